//! Above the state table: how many states fare how, what the pin measures with, and what was found.

use egui::{Label, RichText, Ui};

use crate::app::action::{Action, Actions};
use crate::app::panels::{Segment, segment_ui};
use crate::app::reading::{capital, pin_title, short_text, verdict_colour, verdict_sign};
use crate::app::ruler::SUMMARY_FROM;
use crate::app::stages::read::rows::{Counts, Filter};
use crate::app::theme;
use crate::app::view::View;
use crate::model::{Diagnostic, FullScale, Project, Scale, SensePin, Severity, Side};
use crate::sense::{PinTable, Verdict};
use crate::units::{Tolerant, format_percent};

/// Title, verdict counts and the filter.
pub fn header_ui(
    ui: &mut Ui,
    view: View<'_>,
    pin: &SensePin,
    table: &PinTable,
    filter: &mut Filter,
) {
    let counts = Counts::of(table);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 16.0;
        ui.label(
            RichText::new(pin_title(view.project, pin)).font(theme::bold(theme::TEXT_HEADING)),
        );
        let states = if table.rows.len() == 1 {
            "1 state".into()
        } else {
            format!("{} states", table.rows.len())
        };
        ui.label(RichText::new(states).color(view.palette.quiet));
        for (count, verdict, word) in [
            (counts.right, Some(Verdict::Ok), "right"),
            (counts.thin, Some(Verdict::Thin), "thin"),
            (counts.gap, Some(Verdict::Gap), if counts.gap == 1 { "gap" } else { "gaps" }),
            (
                counts.clash,
                Some(Verdict::Clash),
                if counts.clash == 1 { "clash" } else { "clashes" },
            ),
            (counts.unknown, None, "not known"),
        ] {
            if count > 0 || verdict == Some(Verdict::Ok) {
                let text = format!("{} {count} {word}", verdict_sign(verdict));
                let colour = if count == 0 {
                    view.palette.quiet
                } else {
                    verdict_colour(view.palette, verdict)
                };
                let text = RichText::new(text).color(colour).font(theme::bold(theme::TEXT_BODY));
                ui.add(Label::new(text).extend());
            }
        }
        let mut filters = vec![
            (Filter::All, "all", "Show all states"),
            (Filter::Problems, "problems only", "Show problems only"),
        ];
        if table.rows.len() > SUMMARY_FROM {
            filters.insert(0, (Filter::Worst, "worst 40", "Show the worst 40 states"));
        }
        let segments: Vec<Segment<'_>> = filters
            .iter()
            .map(|(_, text, label)| Segment {
                text,
                label: (*label).into(),
                tip: (*label).into(),
                is_enabled: true,
            })
            .collect();
        let chosen = filters.iter().position(|(one, ..)| one == filter);
        if let Some(idx) = segment_ui(ui, view.palette, &segments, chosen) {
            *filter = filters[idx].0;
        }
        if !view.derived.is_current(view.history.revision()) {
            let words = view.derived.waiting_words();
            ui.label(RichText::new(words).color(view.palette.quiet));
        }
    });
    let summary = summary_text(view.project, pin);
    ui.add(Label::new(RichText::new(summary).small().color(view.palette.quiet)).wrap());
    if !pin.arming.is_empty() {
        let text = format!("Arming: {}", pin.arming);
        ui.add(Label::new(RichText::new(text).small().color(view.palette.quiet)).truncate());
    }
}

/// Findings of the table, each a way to its place.
pub fn findings_ui(ui: &mut Ui, view: View<'_>, findings: &[Diagnostic], actions: &mut Actions) {
    if findings.is_empty() {
        return;
    }
    egui::ScrollArea::vertical().id_salt("findings of the table").max_height(66.0).show(ui, |ui| {
        ui.set_min_width(ui.available_width());
        for finding in findings {
            let (sign, colour) = match finding.severity {
                Severity::Error => ("✖", view.palette.wrong),
                Severity::Warning => ("⚠", view.palette.warning),
                Severity::Note => ("•", view.palette.quiet),
            };
            let text = format!("{sign} {}. {}.", capital(&finding.what), capital(&finding.cure));
            let button = egui::Button::new(RichText::new(text).color(colour)).frame(false).wrap();
            if ui.add(button).on_hover_text("Show where").clicked() {
                actions.push(Action::ShowSubject(finding.subject));
            }
        }
    });
}

/// What the pin measures with, in one line.
fn summary_text(project: &Project, pin: &SensePin) -> String {
    let reference = project.terminal_name(pin.reference);
    let (side, pull) = match pin.side {
        Side::Ground => (format!("ground side, return {reference}"), "pull-up"),
        Side::Supply => (format!("supply side, from {reference}"), "pull-down"),
    };
    let tolerant = |value: Tolerant, scale: Scale| {
        format!("{} ± {}", short_text(value.nominal, scale), format_percent(value.tolerance))
    };
    let mut words = vec![side];
    words.push(match pin.pull_ohm {
        Some(ohm) => format!("{pull} {}", tolerant(ohm, Scale::Ohm)),
        None => format!("{pull} not known"),
    });
    if let Some(volt) = pin.reference_volt {
        words.push(format!("reference {}", tolerant(volt, Scale::Volt)));
    }
    match pin.full_scale {
        Some(FullScale::Ratiometric { volt }) => {
            words.push(format!(
                "full scale {}, follows the reference",
                short_text(volt, Scale::Volt)
            ));
        }
        Some(FullScale::Fixed(volt)) => {
            words.push(format!("full scale {}", tolerant(volt, Scale::Volt)))
        }
        None => {}
    }
    if let Some(converter) = pin.converter {
        words.push(format!(
            "converter to {} ± {} counts",
            converter.max_count, converter.error_count
        ));
    }
    words.push(match pin.scale {
        Scale::Ohm => "bands in ohms".into(),
        Scale::Volt => "bands in volts".into(),
        Scale::Count => "bands in counts".into(),
        Scale::Percent => "bands in percent of full scale".into(),
    });
    if let Some(limit) = pin.limit_volt {
        words.push(format!("stands {} at most", short_text(limit, Scale::Volt)));
    }
    if let Some(debounce) = pin.debounce_ms {
        words.push(format!("debounce {debounce} ms"));
    }
    capital(&words.join(" · "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::ladder;
    use crate::model::Converter;

    #[test]
    fn the_pin_is_summed_up_with_units() {
        let (project, id) = ladder();
        let mut pin = project.sense_pins.get(id).unwrap().clone();
        let text = summary_text(&project, &pin);
        assert_eq!(
            text,
            "Supply side, from G1 · pull-down not known · bands in ohms · debounce 60 ms"
        );
        pin.side = Side::Ground;
        pin.pull_ohm = Some(Tolerant { nominal: 1000.0, tolerance: 0.01 });
        pin.reference_volt = Some(Tolerant { nominal: 5.0, tolerance: 0.005 });
        pin.full_scale = Some(FullScale::Ratiometric { volt: 5.0 });
        pin.converter = Some(Converter { max_count: 1023, error_count: 2.0 });
        pin.debounce_ms = None;
        assert_eq!(
            summary_text(&project, &pin),
            "Ground side, return G1 · pull-up 1 kΩ ± 1 % · reference 5 V ± 0.5 % · full scale 5 V, follows the \
             reference · converter to 1023 ± 2 counts · bands in ohms"
        );
    }
}
