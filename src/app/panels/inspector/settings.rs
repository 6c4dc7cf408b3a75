//! Settings of the project: dirt and cut lengths.

use egui::{Id, Ui};

use crate::app::prefs::Preferences;
use crate::app::widgets::{
    Field, Pen, RangeUnit, choice, heading, label_cell, number_text, parse_unit, quiet, range_row,
};
use crate::edit::Edit;
use crate::model::{Allowances, EndKind, Settings, WireModel};
use crate::units::parse_number;

fn changed(settings: &Settings, change: impl FnOnce(&mut Settings)) -> Edit {
    let mut settings = settings.clone();
    change(&mut settings);
    Edit::SetSettings(Box::new(settings))
}

/// Contact, joint, temperature, wires.
pub fn dirt_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let settings = &pen.view.project.settings;
    heading(ui, "Dirt");
    quiet(ui, "Least, usual and greatest resistance.", pen.view.palette);
    range_row(
        ui,
        pen,
        ("Contact", "Closed contact", Id::unique("contact dirt")),
        (RangeUnit::Ohm, settings.contact_ohm),
        |range| Ok(changed(settings, |settings| settings.contact_ohm = range)),
    );
    range_row(
        ui,
        pen,
        ("Joint", "Mated joint", Id::unique("joint dirt")),
        (RangeUnit::Ohm, settings.joint_ohm),
        |range| Ok(changed(settings, |settings| settings.joint_ohm = range)),
    );
    let span = Field::figure(
        Id::unique("temperature span"),
        "Temperature",
        number_text(settings.temperature_span_k, "K"),
    );
    pen.row(ui, "Temperature", &span, |text| {
        let kelvin = parse_unit(text, "K", "kelvins away from room temperature, such as 60 K")?;
        Ok(changed(settings, |settings| settings.temperature_span_k = kelvin))
    });
    ui.horizontal(|ui| {
        label_cell(ui, "Wires", pen.view.palette);
        let words = |model| match model {
            WireModel::Ideal => "no resistance",
            WireModel::ByLength => "by length and size",
        };
        let options =
            [WireModel::ByLength, WireModel::Ideal].map(|model| (words(model).to_owned(), model));
        if let Some(model) =
            choice(ui, Id::unique("wire model"), "Wires", words(settings.wire_model), options)
        {
            pen.edit(changed(settings, |settings| settings.wire_model = model));
        }
    });
}

/// Factor, rounding, allowances.
pub fn lengths_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let settings = &pen.view.project.settings;
    let preferences = pen.view.preferences;
    heading(ui, "Cut lengths");
    let factor = Field::figure(
        Id::unique("length factor"),
        "Length factor",
        number_text(settings.length_factor, ""),
    );
    pen.row(ui, "Route times", &factor, |text| {
        let factor = parse_number(text, "", "a factor of 1 or more, such as 1.03")
            .map_err(|error| error.to_string())?;
        Ok(changed(settings, |settings| settings.length_factor = factor))
    });
    let rounding = Field::figure(
        Id::unique("rounding"),
        "Rounded up to",
        preferences.length_text(settings.rounding_mm),
    );
    pen.row(ui, "Rounded to", &rounding, |text| {
        let length_mm = preferences.parse_length_mm(text)?;
        Ok(changed(settings, |settings| settings.rounding_mm = length_mm))
    });
    for kind in EndKind::ALL {
        let label = format!("{} end", kind.noun());
        let shown = preferences.length_text(settings.allowances.of(kind));
        let field = Field::figure(
            Id::unique(("allowance", kind.noun())),
            format!("Allowance of a {label}"),
            shown,
        );
        pen.row(ui, &label, &field, |text| {
            let length_mm = length_or_zero_mm(preferences, text)?;
            Ok(changed(settings, |settings| *allowance(&mut settings.allowances, kind) = length_mm))
        });
    }
}

/// A length in the unit a person prefers; nothing at all is a length too.
fn length_or_zero_mm(preferences: &Preferences, text: &str) -> Result<f64, String> {
    let digits = text.trim().trim_end_matches("mm").trim_end_matches("in").trim();
    if digits.parse() == Ok(0.0) { Ok(0.0) } else { preferences.parse_length_mm(text) }
}

fn allowance(allowances: &mut Allowances, kind: EndKind) -> &mut f64 {
    match kind {
        EndKind::Sealed => &mut allowances.sealed_mm,
        EndKind::Inline => &mut allowances.inline_mm,
        EndKind::Tag => &mut allowances.tag_mm,
        EndKind::Splice => &mut allowances.splice_mm,
        EndKind::Ring => &mut allowances.ring_mm,
    }
}
