//! A wire: name, circuit, ends, size, colour, how it is used, and how long it comes out.

use egui::{Id, RichText, Ui};

use crate::app::panels::inspector::part::title_ui;
use crate::app::prefs::AreaUnit;
use crate::app::reading::capital;
use crate::app::theme;
use crate::app::widgets::{
    Field, Pen, choice, choice_wide, colour_ui, heading, label_cell, parse_named, parse_size,
    quiet, remove_sign, size_in_other_system, terminal_words,
};
use crate::cutting::CutRow;
use crate::edit::Edit;
use crate::model::{EndKind, Wire, WireId, WireSize, WireUse};

fn changed((id, wire): (WireId, &Wire), change: impl FnOnce(&mut Wire)) -> Edit {
    let mut wire = wire.clone();
    change(&mut wire);
    Edit::SetWire(id, Box::new(wire))
}

/// All properties of a wire.
pub fn wire_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, wire): (WireId, &Wire), focus_name: bool) {
    title_ui(ui, pen, "wire");
    let name = Field::words(Id::unique(("wire name", id)), "Name", wire.name.as_str());
    if focus_name {
        ui.memory_mut(|memory| memory.request_focus(name.id));
    }
    pen.row(ui, "Name", &name, |text| {
        let name = parse_named(text)?;
        Ok(changed((id, wire), |wire| wire.name = name))
    });
    let circuit = Field::words(Id::unique(("wire circuit", id)), "Circuit", wire.circuit.as_str())
        .hint("what it carries");
    pen.row(ui, "Circuit", &circuit, |text| {
        Ok(changed((id, wire), |wire| text.clone_into(&mut wire.circuit)))
    });
    ends_ui(ui, pen, (id, wire));
    ui.horizontal(|ui| {
        label_cell(ui, "Use", pen.view.palette);
        ui.spacing_mut().item_spacing.x = 2.0;
        ui.spacing_mut().button_padding.x = 7.0;
        for (word, usage) in [("Harness", WireUse::Harness), ("Inside a box", WireUse::Internal)] {
            let tip = match usage {
                WireUse::Harness => "Cut, marked and laid: stands in the cut list",
                WireUse::Internal => "Joins without resistance, is not cut from this list",
            };
            if ui.selectable_label(wire.usage == usage, word).on_hover_text(tip).clicked()
                && wire.usage != usage
            {
                pen.edit(changed((id, wire), |wire| wire.usage = usage));
            }
        }
    });
    size_ui(ui, pen, (id, wire));
    if let Some(colour) = colour_ui(ui, Id::unique(("wire colour", id)), wire.colour, pen.view) {
        pen.edit(changed((id, wire), |wire| wire.colour = colour));
    }
    if wire.usage == WireUse::Harness {
        length_ui(ui, pen, (id, wire));
    }
}

/// Both ends: terminal and kind of end.
fn ends_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, wire): (WireId, &Wire)) {
    let project = pen.view.project;
    for (label, is_from) in [("From", true), ("To", false)] {
        let end = if is_from { wire.from } else { wire.to };
        let part = project.parts.get(end.terminal.part);
        let suggested = part.map_or(EndKind::Tag, |part| part.end_kind(end.terminal.terminal));
        ui.horizontal(|ui| {
            label_cell(ui, label, pen.view.palette);
            let words = terminal_words(project, end.terminal);
            let name = project.terminal_name(end.terminal);
            let width = ui.available_width() - 112.0;
            ui.allocate_ui_with_layout(
                egui::vec2(width, ui.spacing().interact_size.y),
                egui::Layout::left_to_right(egui::Align::Center),
                |ui| {
                    ui.set_min_width(width);
                    ui.add(egui::Label::new(name.as_str()).truncate())
                        .on_hover_text(words.as_str());
                },
            );
            let now = end.kind.unwrap_or(suggested).noun();
            let kinds = EndKind::ALL.map(|kind| (kind.noun().to_owned(), Some(kind)));
            let by_part = (format!("as the part: {}", suggested.noun()), None);
            let options = std::iter::once(by_part).chain(kinds);
            let name = format!("Kind of end, {}", label.to_lowercase());
            if let Some(kind) =
                choice_wide(ui, Id::unique(("wire end", id, is_from)), (&name, 104.0), now, options)
            {
                pen.edit(changed((id, wire), |wire| {
                    let end = if is_from { &mut wire.from } else { &mut wire.to };
                    end.kind = kind;
                }));
            }
        });
    }
}

/// Sizes offered beside the field: the usual ones of either system.
const USUAL_SIZES: [WireSize; 12] = [
    WireSize::Mm2(0.35),
    WireSize::Mm2(0.5),
    WireSize::Mm2(0.75),
    WireSize::Mm2(1.0),
    WireSize::Mm2(1.5),
    WireSize::Mm2(2.5),
    WireSize::Mm2(4.0),
    WireSize::Awg(22),
    WireSize::Awg(20),
    WireSize::Awg(18),
    WireSize::Awg(16),
    WireSize::Awg(14),
];

fn size_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, wire): (WireId, &Wire)) {
    let field =
        Field::figure(Id::unique(("wire size", id)), "Size", wire.size.text()).hint("0.5 mm²");
    ui.horizontal(|ui| {
        label_cell(ui, "Size", pen.view.palette);
        let width = ui.available_width() - 92.0;
        pen.field(ui, &field.clone().width(width), |text| {
            let size = parse_size(text)?;
            Ok(changed((id, wire), |wire| wire.size = size))
        });
        let options = USUAL_SIZES.map(|size| (size.text(), size));
        if let Some(size) =
            choice(ui, Id::unique(("wire sizes", id)), "Usual sizes", "usual", options)
        {
            pen.edit(changed((id, wire), |wire| wire.size = size));
        }
    });
    pen.refusal_ui(ui, field.id, &field.shown);
    let is_other = match wire.size {
        WireSize::Mm2(_) => pen.view.preferences.area == AreaUnit::Awg,
        WireSize::Awg(_) => pen.view.preferences.area == AreaUnit::SquareMillimetre,
    };
    if is_other {
        ui.horizontal(|ui| {
            label_cell(ui, "", pen.view.palette);
            quiet(ui, size_in_other_system(wire.size), pen.view.palette);
        });
    }
}

/// Typed length, places to pass, and what comes out.
fn length_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, wire): (WireId, &Wire)) {
    let (project, preferences) = (pen.view.project, pen.view.preferences);
    heading(ui, "Length");
    let shown = wire.typed_length_mm.map_or_else(String::new, |mm| preferences.length_text(mm));
    let field =
        Field::figure(Id::unique(("wire length", id)), "Typed length", shown).hint("by route");
    pen.row(ui, "Typed length", &field, |text| {
        let text = text.trim();
        let length_mm =
            if text.is_empty() { None } else { Some(preferences.parse_length_mm(text)?) };
        Ok(changed((id, wire), |wire| wire.typed_length_mm = length_mm))
    });
    if wire.typed_length_mm.is_none() && !project.places.is_empty() {
        via_ui(ui, pen, (id, wire));
    }
    let row =
        pen.view.derived.cut_list().and_then(|list| list.rows.iter().find(|row| row.wire == id));
    if let Some(row) = row {
        outcome_ui(ui, pen, row);
    }
}

fn via_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, wire): (WireId, &Wire)) {
    let project = pen.view.project;
    let mut edit = None;
    for (idx, place) in wire.via.iter().enumerate() {
        ui.horizontal(|ui| {
            label_cell(ui, if idx == 0 { "By way of" } else { "then" }, pen.view.palette);
            let name = project.places.get(*place).map_or("?", |place| place.name.as_str());
            ui.label(name);
            if remove_sign(ui, &format!("{name} from the way"), pen.view.palette).clicked() {
                edit = Some(changed((id, wire), |wire| {
                    wire.via.remove(idx);
                }));
            }
        });
    }
    ui.horizontal(|ui| {
        label_cell(ui, if wire.via.is_empty() { "By way of" } else { "" }, pen.view.palette);
        let options = project.places.iter().map(|(place, row)| (row.name.clone(), place));
        let now = if wire.via.is_empty() { "the shortest way" } else { "add a place …" };
        if let Some(place) =
            choice(ui, Id::unique(("wire via", id)), "Add a place to pass", now, options)
        {
            edit = Some(changed((id, wire), |wire| wire.via.push(place)));
        }
    });
    if let Some(edit) = edit {
        pen.edit(edit);
    }
}

/// The cut length, or why there is none.
fn outcome_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, row: &CutRow) {
    let (palette, preferences) = (pen.view.palette, pen.view.preferences);
    match row.cut_mm {
        Some(cut_mm) => {
            ui.horizontal(|ui| {
                label_cell(ui, "Cut", palette);
                ui.label(RichText::new(preferences.length_text(cut_mm)).font(theme::bold(20.0)));
            });
            let routed = row.routed_mm.map_or_else(|| "?".into(), |mm| preferences.length_text(mm));
            let extra =
                row.allowance_mm.map_or_else(|| "?".into(), |mm| preferences.length_text(mm));
            let factor = number_of(pen.view.project.settings.length_factor);
            quiet(
                ui,
                format!("{routed} × {factor} + {extra} for ends and loops, rounded up"),
                palette,
            );
            if !row.route.is_empty() {
                quiet(ui, format!("Runs: {}", row.route.join(" · ")), palette);
            }
        }
        None => {
            if let Some(finding) = &row.finding {
                let text =
                    format!("⚠ No length yet: {}. {}.", finding.what, capital(&finding.cure));
                ui.label(RichText::new(text).small().color(palette.warning));
            }
        }
    }
}

fn number_of(value: f64) -> String {
    crate::app::widgets::number_text(value, "")
}
