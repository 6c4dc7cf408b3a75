//! Figures of one wire: resistance, current, drop, what it may carry by a rule that is named, its fuse.

use egui::{Label, RichText, Ui};

use crate::app::reading::capital;
use crate::app::stages::route::laid::figure_row;
use crate::app::view::View;
use crate::app::widgets::{heading, quiet};
use crate::harness::{Ampacity, Feed, FuseAdvice, Standing, Told, WireReport, own_sources_of};
use crate::model::{Project, WireId};
use crate::units::trim_zeros;

fn figure(value: f64, unit: &str) -> String {
    let text = if value != 0.0 && value.abs() < 0.1 {
        return format!("{} m{unit}", trim_zeros(&format!("{:.2}", value * 1e3)));
    } else {
        trim_zeros(&format!("{value:.2}"))
    };
    format!("{text} {unit}")
}

/// How a current is known.
fn told_words(project: &Project, told: Told) -> String {
    match told {
        Told::Typed => "typed".into(),
        Told::Spare => "spare, carries none".into(),
        Told::Along(wire) => {
            let name = project.wires.get(wire).map_or("?", |wire| wire.name.as_str());
            format!("as {name}, nothing branches off")
        }
        Told::Load => "of the load at its end".into(),
        Told::Sum => "sum of all others it meets, the worst case".into(),
        Told::Circuit => "reckoned from the circuit".into(),
    }
}

/// All figures of a wire.
pub fn wire_figures_ui(ui: &mut Ui, view: View<'_>, id: WireId) {
    heading(ui, "Figures");
    let Some(report) = view.harness.report() else {
        quiet(ui, "Reckoning the wires …", view.palette);
        return;
    };
    let Some(wire) = report.wires.get(&id) else { return };
    resistance_ui(ui, view, wire);
    match wire.current {
        Some(current) => {
            let note = told_words(view.project, current.told);
            figure_row(ui, view, "Current", &figure(current.amp, "A"), &capital(&note));
        }
        None => figure_row(
            ui,
            view,
            "Current",
            "not known",
            "Type it below, or draw the load at its end.",
        ),
    }
    if let Some(drop) = wire.drop_volt {
        figure_row(ui, view, "Drop along it", &figure(drop, "V"), "");
    }
    ampacity_ui(ui, view, wire);
    let sources = view.project.wires.get(id).map(|wire| own_sources_of(view.project, wire));
    for source in sources.into_iter().flatten() {
        quiet(ui, format!("Own wire table: {source}."), view.palette);
    }
    for (feed, advice) in &report.feeds {
        if feed.out.contains(&id) || feed.back.contains(&id) {
            feed_ui(ui, view, feed, advice);
        }
    }
    heading(ui, "Mind");
    for caution in view.derived.cautions() {
        quiet(ui, format!("▲ {caution}"), view.palette);
    }
}

fn resistance_ui(ui: &mut Ui, view: View<'_>, wire: &WireReport) {
    let value = wire.ohm.map_or_else(|| "not known".into(), |ohm| figure(ohm, "Ω"));
    let note = format!("at {:.0} °C; {}", wire.celsius, wire.ohm_per_m);
    figure_row(ui, view, "Resistance", &value, &note);
    match &wire.outside {
        Ok(outside) => {
            let memory =
                if outside.standing == Standing::FromMemory { ", from memory" } else { "" };
            let note = format!("{}{memory}.", outside.source);
            figure_row(ui, view, "Outside", &figure(outside.mm, "mm"), &note);
        }
        Err(why) => figure_row(ui, view, "Outside", "not known", &capital(why.words())),
    }
}

fn ampacity_ui(ui: &mut Ui, view: View<'_>, wire: &WireReport) {
    match &wire.ampacity {
        Ok(ampacity) => {
            let value = match wire.is_overloaded() {
                Some(true) => format!("⚠ {}, it carries more", figure(ampacity.amp, "A")),
                Some(false) | None => figure(ampacity.amp, "A"),
            };
            figure_row(ui, view, "May carry", &value, &rule_words(ampacity));
            for note in &ampacity.notes {
                quiet(ui, capital(note), view.palette);
            }
        }
        Err(why) => figure_row(ui, view, "May carry", "not known", &capital(why)),
    }
}

/// The rule, its table figure and its own corrections.
fn rule_words(ampacity: &Ampacity) -> String {
    let factors: Vec<String> = ampacity
        .factors
        .iter()
        .map(|(what, factor)| format!("× {} {what}", trim_zeros(&format!("{factor:.3}"))))
        .collect();
    let memory = if ampacity.standing == Standing::FromMemory { ", from memory" } else { "" };
    format!(
        "{}{memory}: {} {}",
        ampacity.rule.name(),
        figure(ampacity.table_amp, "A"),
        factors.join(" ")
    )
}

/// Drop out and back to one consumer, and the fuse in front of it.
fn feed_ui(ui: &mut Ui, view: View<'_>, feed: &Feed, advice: &FuseAdvice) {
    let name = |id| view.project.parts.get(id).map_or("?", |part| part.name.as_str());
    heading(ui, &format!("Feed of {} from {}", name(feed.consumer), name(feed.supply)));
    let percent = trim_zeros(&format!("{:.1}", feed.fraction() * 100.0));
    let mark = if feed.is_over() == Some(true) { "⚠ " } else { "" };
    let value = format!("{mark}{}, {percent} %", figure(feed.drop_volt, "V"));
    let limit = match feed.limit {
        Some(limit) => {
            let limit = trim_zeros(&format!("{:.1}", limit * 100.0));
            format!("out and back; the limit is {limit} % of {}.", figure(feed.supply_volt, "V"))
        }
        None => "out and back; no limit is set, 3 % and 10 % are usual: see Rules.".to_owned(),
    };
    figure_row(ui, view, "Drop", &value, &limit);
    if feed.warm_volt.is_some() {
        quiet(ui, format!("{}.", capital(&feed.verdict())), view.palette);
    }
    if !feed.unknown.is_empty() {
        let text = format!(
            "{} wires on the way are not known: the true drop is greater.",
            feed.unknown.len()
        );
        quiet(ui, text, view.palette);
    }
    let value = match &advice.rating_amp {
        Ok(rating) => format!("{} blade", figure(*rating, "A")),
        Err(_) => "none to propose".to_owned(),
    };
    let load = match &advice.carried_amp {
        Ok(amp) => format!("Load {}.", figure(*amp, "A")),
        Err(_) => "Load not known.".to_owned(),
    };
    figure_row(ui, view, "Fuse", &value, &load);
    // The row above says a rating that is proposed.
    let n_said = usize::from(advice.rating_amp.is_ok());
    for sentence in advice.sentences(view.project).into_iter().skip(n_said) {
        quiet(ui, sentence, view.palette);
    }
    for words in &advice.not_protected {
        let text = RichText::new(format!("▲ {}", capital(words))).small();
        ui.add(Label::new(text.color(view.palette.warning)).wrap());
    }
}
