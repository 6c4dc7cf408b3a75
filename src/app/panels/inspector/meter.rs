//! The meter on the bench: what it may be off by, range by range where its leaflet is at hand.

use egui::{Id, RichText, Ui};

use crate::app::widgets::{
    Field, Pen, add_word, heading, number_text, ohm_text, optional_row, parse_ohms, parse_positive,
    parse_unit, percent_text, quiet, remove_sign,
};
use crate::edit::Edit;
use crate::model::{MeterProfile, MeterRange, Settings};
use crate::units::parse_percent;

/// Ohms or volts.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Unit {
    Ohm,
    Volt,
}

impl Unit {
    fn word(self) -> &'static str {
        match self {
            Self::Ohm => "ohms",
            Self::Volt => "volts",
        }
    }

    fn ranges(self, meter: &mut MeterProfile) -> &mut Vec<MeterRange> {
        match self {
            Self::Ohm => &mut meter.ohm_ranges,
            Self::Volt => &mut meter.volt_ranges,
        }
    }

    fn text(self, value: f64) -> String {
        match self {
            Self::Ohm => ohm_text(value),
            Self::Volt => number_text(value, "V"),
        }
    }

    fn parse(self, text: &str) -> Result<f64, String> {
        match self {
            Self::Ohm => parse_ohms(text),
            Self::Volt => parse_positive(text, "V", "volts such as 6 V"),
        }
    }
}

/// Widths of the four fields of a range.
const WIDTHS: [f32; 4] = [66.0, 54.0, 40.0, 62.0];

/// All that is known of the meter, ready to be typed; `place` tells two forms in sight apart.
pub fn meter_profile_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, place: &'static str) {
    heading(ui, "Meter on the bench");
    let words = "How far it may be off: a share of what it shows, and some ohms on top. Its leaflet says both.";
    quiet(ui, words, pen.view.palette);
    let settings = &pen.view.project.settings;
    let meter = &settings.meter;
    if meter.ohm_ranges.is_empty() {
        let share = Field::figure(
            Id::unique(("meter share", place)),
            "Meter error, share",
            percent_text(meter.fraction),
        );
        pen.row(ui, "Off by", &share, |text| {
            let fraction = parse_percent(text).map_err(|error| error.to_string())?;
            Ok(changed(settings, |meter| meter.fraction = fraction))
        });
        let offset = Field::figure(
            Id::unique(("meter offset", place)),
            "Meter error, ohms",
            ohm_text(meter.offset_ohm),
        );
        pen.row(ui, "and on top", &offset, |text| {
            let ohm = parse_ohms(text)?;
            Ok(changed(settings, |meter| meter.offset_ohm = ohm))
        });
    }
    let leads = Field::figure(
        Id::unique(("meter leads", place)),
        "Ohms of the leads",
        ohm_text(meter.lead_ohm),
    );
    pen.row(ui, "Its leads", &leads, |text| {
        let ohm = parse_ohms(text)?;
        Ok(changed(settings, |meter| meter.lead_ohm = ohm))
    });
    let sign = Field::words(
        Id::unique(("meter sign", place)),
        "Sign for over range",
        meter.over_range.as_str(),
    );
    pen.row(ui, "Open shows", &sign, |text| {
        let sign = text.trim().to_owned();
        Ok(changed(settings, |meter| meter.over_range = sign))
    });
    let shown = meter.tone_ohm.map_or_else(String::new, ohm_text);
    let tone = Field::figure(Id::unique(("meter tone", place)), "It sounds below", shown);
    optional_row(ui, pen, ("Beeps below", tone), parse_ohms, |ohm| {
        changed(settings, |meter| meter.tone_ohm = ohm)
    });
    for unit in [Unit::Ohm, Unit::Volt] {
        ranges_ui(ui, pen, (unit, place));
    }
}

/// The ranges of one unit, a line each.
fn ranges_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (unit, place): (Unit, &'static str)) {
    let palette = pen.view.palette;
    let settings = &pen.view.project.settings;
    let meter = &settings.meter;
    let ranges = unit.ranges(&mut meter.clone()).clone();
    let word = unit.word();
    ui.add_space(4.0);
    ui.label(RichText::new(format!("Ranges in {word}, from its leaflet")).color(palette.quiet));
    if ranges.is_empty() {
        let words = match unit {
            Unit::Ohm => "None typed: the share and the ohms above hold for every reading.",
            Unit::Volt => "None typed: the error in volts is not known and not in the limits.",
        };
        quiet(ui, words, palette);
    } else {
        ui.horizontal(|ui| {
            for (head, width) in ["up to", "off by", "counts", "a count is"].iter().zip(WIDTHS) {
                let size = egui::vec2(width.min(ui.available_width()), 16.0);
                let layout = egui::Layout::left_to_right(egui::Align::Center);
                ui.allocate_ui_with_layout(size, layout, |ui| {
                    ui.set_min_width(size.x);
                    let head = RichText::new(*head).small().color(palette.quiet);
                    ui.add(egui::Label::new(head).truncate());
                });
            }
        });
    }
    for (n, range) in ranges.iter().enumerate() {
        ui.horizontal(|ui| range_ui(ui, pen, (unit, place), (n, range)));
        for what in ["most", "share", "counts", "step"] {
            let kept = unit.text(range.most);
            pen.refusal_ui(ui, range_id((unit, place), n, what), &kept);
        }
    }
    if add_word(ui, &format!("Add a range in {word}"), palette).clicked() {
        let next = match ranges.last() {
            Some(last) => MeterRange { most: 10.0 * last.most, step: 10.0 * last.step, ..*last },
            None => MeterRange {
                most: if unit == Unit::Ohm { 600.0 } else { 6.0 },
                fraction: meter.fraction,
                counts: 0.0,
                step: if unit == Unit::Ohm { 0.1 } else { 0.001 },
            },
        };
        pen.edit(changed(settings, |meter| unit.ranges(meter).push(next)));
    }
}

fn range_id((unit, place): (Unit, &'static str), n: usize, what: &str) -> Id {
    Id::unique(("meter range", place, unit.word(), n, what))
}

fn range_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (unit, place): (Unit, &'static str),
    (n, range): (usize, &MeterRange),
) {
    let settings = &pen.view.project.settings;
    let name = format!("range {} in {}", n + 1, unit.word());
    let field = |what: &str, words: &str, shown: String, width: f32| {
        Field::figure(range_id((unit, place), n, what), format!("{words} of {name}"), shown)
            .width(width)
            .when_left()
    };
    let put = |change: &dyn Fn(&mut MeterRange)| {
        changed(settings, |meter| {
            if let Some(row) = unit.ranges(meter).get_mut(n) {
                change(row);
            }
        })
    };
    let most = field("most", "Greatest reading", unit.text(range.most), WIDTHS[0]);
    pen.field(ui, &most, |text| unit.parse(text).map(|most| put(&|row| row.most = most)));
    let share = field("share", "Share", percent_text(range.fraction), WIDTHS[1]);
    pen.field(ui, &share, |text| {
        let fraction = parse_percent(text).map_err(|error| error.to_string())?;
        Ok(put(&|row| row.fraction = fraction))
    });
    let counts = field("counts", "Counts", number_text(range.counts, ""), WIDTHS[2]);
    pen.field(ui, &counts, |text| {
        let counts = parse_unit(text, "counts", "counts such as 3")?;
        Ok(put(&|row| row.counts = counts))
    });
    let step = field("step", "Worth of a count", unit.text(range.step), WIDTHS[3]);
    pen.field(ui, &step, |text| unit.parse(text).map(|step| put(&|row| row.step = step)));
    if remove_sign(ui, &name, pen.view.palette).clicked() {
        pen.edit(changed(settings, |meter| {
            unit.ranges(meter).remove(n);
        }));
    }
}

fn changed(settings: &Settings, change: impl FnOnce(&mut MeterProfile)) -> Edit {
    let mut settings = settings.clone();
    change(&mut settings.meter);
    Edit::SetSettings(Box::new(settings))
}
