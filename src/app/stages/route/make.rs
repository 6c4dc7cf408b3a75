//! What a wire is made of and carries: conductor, insulation, measured diameter, current, pair.

use egui::{Id, Ui};

use crate::app::stages::route::shield::shield_ui;
use crate::app::widgets::{
    Field, Pen, choice, heading, label_cell, number_text, parse_positive, parse_unit, percent_text,
};
use crate::edit::Edit;
use crate::model::{Conductor, Duty, Insulation, Make, Twist, Wire, WireId};
use crate::units::parse_percent;

fn make_changed((id, wire): (WireId, &Wire), change: impl FnOnce(&mut Make)) -> Edit {
    let mut wire = wire.clone();
    change(&mut wire.make);
    Edit::SetWire(id, Box::new(wire))
}

/// A figure that may be left open.
fn maybe(
    text: &str,
    parse: impl FnOnce(&str) -> Result<f64, String>,
) -> Result<Option<f64>, String> {
    let text = text.trim();
    if text.is_empty() { Ok(None) } else { parse(text).map(Some) }
}

/// The fields of a wire's make.
pub fn make_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, wire): (WireId, &Wire)) {
    heading(ui, "What it is made of");
    let make = &wire.make;
    ui.horizontal(|ui| {
        label_cell(ui, "Conductor", pen.view.palette);
        let options = Conductor::ALL.map(|metal| (metal.noun().to_owned(), metal));
        let now = make.conductor.noun();
        if let Some(metal) = choice(ui, Id::unique(("make metal", id)), "Conductor", now, options) {
            pen.edit(make_changed((id, wire), |make| make.conductor = metal));
        }
    });
    ui.horizontal(|ui| {
        label_cell(ui, "Insulation", pen.view.palette);
        let now = make.insulation.map_or("as the project", Insulation::noun);
        let types = Insulation::ALL.map(|kind| (kind.noun().to_owned(), Some(kind)));
        let options = std::iter::once(("as the project".to_owned(), None)).chain(types);
        let picked = choice(ui, Id::unique(("make insulation", id)), "Insulation", now, options);
        if let Some(kind) = picked {
            pen.edit(make_changed((id, wire), |make| make.insulation = kind));
        }
    });
    let outside = make.outside_mm.map_or_else(String::new, |mm| number_text(mm, "mm"));
    let field = Field::figure(Id::unique(("make outside", id)), "Measured diameter", outside)
        .hint("from the table");
    pen.row(ui, "Measured Ø", &field, |text| {
        let mm = maybe(text, |text| parse_positive(text, "mm", "a diameter such as 1.6 mm"))?;
        Ok(make_changed((id, wire), |make| make.outside_mm = mm))
    });
    let stands = make.rating_c.map_or_else(String::new, |celsius| number_text(celsius, "°C"));
    let field = Field::figure(Id::unique(("make rating", id)), "Temperature it stands", stands)
        .hint("as the project");
    pen.row(ui, "It stands", &field, |text| {
        let celsius = maybe(text, |text| parse_unit(text, "°C", "degrees such as 105 °C"))?;
        Ok(make_changed((id, wire), |make| make.rating_c = celsius))
    });
    let current = make.current_amp.map_or_else(String::new, |amp| number_text(amp, "A"));
    let field = Field::figure(Id::unique(("make current", id)), "Greatest current", current)
        .hint("from the circuit");
    pen.row(ui, "Carries most", &field, |text| {
        let amp = maybe(text, |text| parse_unit(text, "A", "amperes such as 2.5 A"))?;
        Ok(make_changed((id, wire), |make| make.current_amp = amp))
    });
    let limit = make.drop_limit.map_or_else(String::new, percent_text);
    let field = Field::figure(Id::unique(("make drop", id)), "Limit of the drop on its way", limit)
        .hint("as the project");
    pen.row(ui, "Drop at most", &field, |text| {
        let limit = maybe(text, |text| parse_percent(text).map_err(|error| error.to_string()))?;
        Ok(make_changed((id, wire), |make| make.drop_limit = limit))
    });
    ui.horizontal(|ui| {
        label_cell(ui, "In use", pen.view.palette);
        ui.spacing_mut().item_spacing.x = 2.0;
        for (word, duty) in [("works", Duty::Working), ("spare", Duty::Spare)] {
            if ui.selectable_label(make.duty == duty, word).clicked() && make.duty != duty {
                pen.edit(make_changed((id, wire), |make| make.duty = duty));
            }
        }
    });
    twist_ui(ui, pen, (id, wire));
    shield_ui(ui, pen, (id, wire));
}

/// The pair a wire is twisted into: its name, and the length of a turn.
fn twist_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, wire): (WireId, &Wire)) {
    /// A turn every 40 mm is where the field begins; the user says what is wound.
    const USUAL_LAY_MM: f64 = 40.0;
    let twist = wire.make.twist.as_ref();
    let pair = twist.map_or("", |twist| twist.pair.as_str());
    let field =
        Field::words(Id::unique(("make pair", id)), "Twisted into pair", pair).hint("not twisted");
    pen.row(ui, "Pair", &field, |text| {
        let pair = text.trim().to_owned();
        let lay_mm = wire.make.twist.as_ref().map_or(USUAL_LAY_MM, |twist| twist.lay_mm);
        let twist = (!pair.is_empty()).then_some(Twist { pair, lay_mm });
        Ok(make_changed((id, wire), |make| make.twist = twist))
    });
    let Some(twist) = twist else { return };
    let field = Field::figure(
        Id::unique(("make lay", id)),
        "Length of a turn",
        number_text(twist.lay_mm, "mm"),
    );
    pen.row(ui, "   turn every", &field, |text| {
        let lay_mm = parse_positive(text, "mm", "a length such as 40 mm")?;
        Ok(make_changed((id, wire), |make| {
            if let Some(twist) = &mut make.twist {
                twist.lay_mm = lay_mm;
            }
        }))
    });
}
