//! Fields of the settings of cutting and buying, and the substitutes that are allowed.

use egui::{Id, RichText, Ui};

use crate::app::widgets::{
    Field, Pen, add_word, heading, number_text, parse_size, parse_unit, quiet, remove_sign, swatch,
};
use crate::edit::{CuttingEdit, Edit};
use crate::model::{Colour, CutSettings, Project, Substitute, WireSize, WireUse};
use crate::units::parse_number;

/// The edit that changes the settings.
pub fn changed(now: &CutSettings, change: impl FnOnce(&mut CutSettings)) -> Edit {
    let mut settings = now.clone();
    change(&mut settings);
    Edit::SetCutting(CuttingEdit::Settings(Box::new(settings)))
}

/// Size and colour of the first wire of the harness: something to begin with.
pub fn first_wire(project: &Project) -> Option<(WireSize, Colour)> {
    let mut wires = project.wires.iter();
    let (_, wire) = wires.find(|(_, wire)| wire.usage == WireUse::Harness)?;
    Some((wire.size, wire.colour))
}

/// A figure of the settings with its label before it, in a row that wraps.
pub fn figure_row(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    label: &'static str,
    unit: &str,
    of: fn(&mut CutSettings) -> &mut f64,
) {
    let now = &pen.view.project.cutting.settings;
    let mut copy = now.clone();
    let shown = number_text(*of(&mut copy), unit);
    let field = Field::figure(Id::unique(("cut setting", label)), label, shown).width(76.0);
    // A label stays with its field.
    if ui.available_size_before_wrap().x < 7.5 * label.len() as f32 + 76.0 {
        ui.end_row();
    }
    ui.label(RichText::new(label).small().color(pen.view.palette.quiet));
    pen.field(ui, &field, |text| {
        let value = parse_number(text, unit, "a number").map_err(|error| error.to_string())?;
        Ok(changed(now, |settings| *of(settings) = value))
    });
    pen.refusal_ui(ui, field.id, &field.shown);
}

/// Length of a spool, empty where wire is bought by the metre; and the sign of the money.
pub fn buying_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let now = &pen.view.project.cutting.settings;
    let shown = now.spool_mm.map_or_else(String::new, |mm| number_text(mm / 1e3, "m"));
    let spool = Field::figure(Id::unique("spool"), "Length of a spool", shown)
        .hint("by the metre")
        .width(130.0);
    let currency = Field::words(Id::unique("currency"), "Currency", now.currency.clone())
        .hint("currency")
        .width(96.0);
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("Wire comes on spools of").small().color(pen.view.palette.quiet));
        pen.field(ui, &spool, |text| {
            let text = text.trim();
            let metres = if text.is_empty() {
                None
            } else {
                Some(parse_unit(text, "m", "a length such as 25 m")?)
            };
            Ok(changed(now, |settings| settings.spool_mm = metres.map(|m| m * 1e3)))
        });
        ui.label(RichText::new("Prices in").small().color(pen.view.palette.quiet));
        pen.field(ui, &currency, |text| {
            Ok(changed(now, |settings| settings.currency = text.trim().to_owned()))
        });
    });
    for field in [&spool, &currency] {
        pen.refusal_ui(ui, field.id, &field.shown);
    }
}

/// Wire that may take the place of other wire, each with the marker it then gets.
pub fn substitutes_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let now = &pen.view.project.cutting.settings;
    heading(ui, "Substitutes that are allowed");
    if now.substitutes.is_empty() {
        let words = "None: size and colour of a piece must be those of the drawing.";
        quiet(ui, words, pen.view.palette);
    }
    for (at, row) in now.substitutes.iter().enumerate() {
        substitute_ui(ui, pen, (at, row));
    }
    if add_word(ui, "Allow a substitute", pen.view.palette).clicked() {
        let Some((size, colour)) = first_wire(pen.view.project) else { return };
        let marker = colour.text();
        let row = Substitute { size, colour, by_size: size, by_colour: colour, marker };
        pen.edit(changed(now, |settings| settings.substitutes.push(row)));
    }
}

fn substitute_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (at, row): (usize, &Substitute)) {
    let now = &pen.view.project.cutting.settings;
    let palette = pen.view.palette;
    let field = |what: &str, shown: String, width: f32| {
        let name = format!("{what} of substitute {}", at + 1);
        Field::words(Id::unique(("substitute", what.to_owned(), at)), name, shown).width(width)
    };
    let fields = [
        field("Drawn wire", wire_text(row.size, row.colour), 150.0).when_left(),
        field("Wire instead", wire_text(row.by_size, row.by_colour), 150.0).when_left(),
        field("Marker", row.marker.clone(), 100.0),
    ];
    ui.horizontal(|ui| {
        swatch(ui, row.colour, pen.view);
        for (column, field) in fields.iter().enumerate() {
            if column == 1 {
                ui.label(RichText::new("may be").small().color(palette.quiet));
                swatch(ui, row.by_colour, pen.view);
            }
            if column == 2 {
                ui.label(RichText::new("marked").small().color(palette.quiet));
            }
            pen.field(ui, field, |text| {
                let mut row = row.clone();
                match column {
                    0 => (row.size, row.colour) = parse_wire(text)?,
                    1 => (row.by_size, row.by_colour) = parse_wire(text)?,
                    _ => row.marker = text.to_owned(),
                }
                Ok(changed(now, |settings| settings.substitutes[at] = row))
            });
        }
        if remove_sign(ui, &format!("substitute {}", at + 1), palette).clicked() {
            pen.edit(changed(now, |settings| drop(settings.substitutes.remove(at))));
        }
    });
    for field in &fields {
        pen.refusal_ui(ui, field.id, &field.shown);
    }
}

fn wire_text(size: WireSize, colour: Colour) -> String {
    format!("{} {}", size.text(), colour.text())
}

/// `0.75 mm² violet/black`.
fn parse_wire(text: &str) -> Result<(WireSize, Colour), String> {
    let refuse = || format!("expected size and colour such as 0.75 mm² violet, found \"{text}\"");
    let (size, colour) = text.trim().rsplit_once(' ').ok_or_else(refuse)?;
    Ok((parse_size(size)?, Colour::from_text(colour).ok_or_else(refuse)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wires_are_read_as_they_are_shown() {
        for text in ["0.75 mm² violet/black", "18 AWG red"] {
            let (size, colour) = parse_wire(text).unwrap();
            assert_eq!(wire_text(size, colour), text);
        }
        assert!(parse_wire("violet").is_err() && parse_wire("0.75 mm² mauve").is_err());
    }
}
