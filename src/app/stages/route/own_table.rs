//! The user's own wire table: rows typed from a maker's sheet or measured, which go before every
//! table of the program; the rule for current may be read from it too.

use egui::{Id, RichText, Ui};

use crate::app::stages::route::rules::rules_changed;
use crate::app::widgets::{
    Field, Pen, add_word, choice_wide, heading, number_text, parse_positive, parse_size,
    parse_unit, quiet, remove_sign,
};
use crate::edit::Edit;
use crate::harness::ohm_per_metre;
use crate::model::{AmpacityRule, Insulation, OwnWire, Project, WireSize, WireUse};

/// Units of the three figures, as they are typed.
const FIGURES: [(&str, &str); 3] =
    [("Ω at 20 °C", "mΩ/m"), ("Outside", "mm"), ("Alone in air", "A")];

fn row_changed(project: &Project, at: usize, change: impl FnOnce(&mut OwnWire)) -> Edit {
    rules_changed(project, |rules| {
        if let Some(row) = rules.own_wires.get_mut(at) {
            change(row);
        }
    })
}

/// A row to begin with: the first size of the harness that has none.
fn next_row(project: &Project) -> OwnWire {
    let rows = &project.settings.wiring.own_wires;
    let sizes = project.wires.iter().filter(|(_, wire)| wire.usage == WireUse::Harness);
    let mut sizes = sizes.map(|(_, wire)| wire.size);
    let size =
        sizes.find(|size| rows.iter().all(|row| row.size != *size)).unwrap_or(WireSize::Mm2(0.5));
    OwnWire {
        size,
        insulation: None,
        ohm_per_m: None,
        outside_mm: None,
        single_amp: None,
        source: String::new(),
    }
}

/// The table.
pub fn own_table_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let project = pen.view.project;
    let palette = pen.view.palette;
    heading(ui, "Own wire table");
    let words = "What you type here goes before every table of the program; what you leave empty is \
                 taken from there. A row for one insulation goes before a row for all.";
    quiet(ui, words, palette);
    for (at, row) in project.settings.wiring.own_wires.iter().enumerate() {
        row_ui(ui, pen, (at, row));
        ui.add_space(6.0);
    }
    if add_word(ui, "Add a row", palette).clicked() {
        pen.edit(rules_changed(project, |rules| rules.own_wires.push(next_row(project))));
    }
    let words = match project.settings.wiring.ampacity {
        Some(AmpacityRule::OwnTable) => {
            "Amperes are for one wire alone in air, at the temperature your harness has. They are \
             lowered by the number of wires in the bundle (MIL-STD-975M Appendix A 3.16, made for \
             vacuum)."
        }
        Some(AmpacityRule::Boats | AmpacityRule::AircraftBundle) | None => {
            "Amperes count where the rule above is the own table."
        }
    };
    quiet(ui, words, palette);
}

fn row_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (at, row): (usize, &OwnWire)) {
    let project = pen.view.project;
    let palette = pen.view.palette;
    let named = |what: &str| format!("{what}, row {} of the own table", at + 1);
    let size = Field::figure(Id::unique(("own size", at)), named("Size"), row.size.text());
    let source = Field::words(Id::unique(("own source", at)), named("Source"), &*row.source)
        .hint("where the figures are from");
    ui.horizontal(|ui| {
        pen.field(ui, &size.clone().width(78.0), |text| {
            let size = parse_size(text)?;
            Ok(row_changed(project, at, |row| row.size = size))
        });
        let now = row.insulation.map_or("all insulation", Insulation::noun);
        let types = Insulation::ALL.map(|kind| (kind.noun().to_owned(), Some(kind)));
        let options = std::iter::once(("all insulation".to_owned(), None)).chain(types);
        let wide = (ui.available_width() - 30.0).max(90.0);
        let name = named("Insulation");
        let picked =
            choice_wide(ui, Id::unique(("own insulation", at)), (&name, wide), now, options);
        if let Some(kind) = picked {
            pen.edit(row_changed(project, at, |row| row.insulation = kind));
        }
        let what = format!("row {} of the own table, {}", at + 1, row.size.text());
        if remove_sign(ui, &what, palette).clicked() {
            pen.edit(rules_changed(project, |rules| {
                rules.own_wires.remove(at);
            }));
        }
    });
    pen.refusal_ui(ui, size.id, &size.shown);
    figures_ui(ui, pen, (at, row));
    ui.horizontal(|ui| {
        let wide = ui.available_width() - 8.0;
        pen.field(ui, &source.clone().width(wide), |text| {
            Ok(row_changed(project, at, |row| row.source = text.trim().to_owned()))
        });
    });
    if row.source.is_empty() {
        quiet(ui, "▲ Say where the figures are from: a sheet, or what you measured.", palette);
    }
}

/// Resistance, diameter and current, each with the program's figure as hint where there is one.
fn figures_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (at, row): (usize, &OwnWire)) {
    let project = pen.view.project;
    let milli = row.ohm_per_m.map(|ohm| ohm * 1e3);
    let shown = [milli, row.outside_mm, row.single_amp];
    let fields: Vec<Field> = FIGURES
        .iter()
        .zip(shown)
        .map(|((what, unit), value)| {
            let name = format!("{what}, row {} of the own table", at + 1);
            let text = value.map_or_else(String::new, |value| number_text(value, unit));
            Field::figure(Id::unique(("own figure", *what, at)), name, text).hint("empty")
        })
        .collect();
    let widths = [96.0, 78.0, 78.0];
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        for ((what, _), width) in FIGURES.into_iter().zip(widths) {
            let size = egui::vec2(width, 16.0);
            let layout = egui::Layout::left_to_right(egui::Align::Center);
            ui.allocate_ui_with_layout(size, layout, |ui| {
                ui.set_min_width(width);
                ui.label(RichText::new(what).small().color(pen.view.palette.quiet));
            });
        }
    });
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        for (column, (field, width)) in fields.iter().zip(widths).enumerate() {
            pen.field(ui, &field.clone().width(width), |text| figure(project, (at, column), text));
        }
    });
    for field in &fields {
        pen.refusal_ui(ui, field.id, &field.shown);
    }
    let table = ohm_per_metre(row.size);
    if row.ohm_per_m.is_none() {
        quiet(ui, format!("The program's resistance: {table}."), pen.view.palette);
    }
}

/// What a text in one of the three columns makes of the row; nothing leaves it open.
fn figure(project: &Project, (at, column): (usize, usize), text: &str) -> Result<Edit, String> {
    let text = text.trim();
    let unit = FIGURES[column].1;
    let read = |expected: &'static str| match text {
        "" => Ok(None),
        text if column == 2 => parse_unit(text, unit, expected).map(Some),
        text => parse_positive(text, unit, expected).map(Some),
    };
    Ok(match column {
        0 => {
            let milli = read("milliohms per metre such as 24.7 mΩ/m")?;
            row_changed(project, at, |row| row.ohm_per_m = milli.map(|milli| milli / 1e3))
        }
        1 => {
            let mm = read("a diameter such as 1.9 mm")?;
            row_changed(project, at, |row| row.outside_mm = mm)
        }
        _ => {
            let amp = read("amperes such as 14 A")?;
            row_changed(project, at, |row| row.single_amp = amp)
        }
    })
}
