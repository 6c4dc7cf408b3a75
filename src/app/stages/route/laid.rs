//! How a run is laid: zones, the hole it passes, its covering, its supports.

use egui::{Id, Ui};

use crate::app::stages::route::lists::run_changed;
use crate::app::view::View;
use crate::app::widgets::{Field, Pen, choice, heading, label_cell, number_text, parse_positive};
use crate::edit::Edit;
use crate::model::{Covering, CoveringKind, Grommet, Hole, Run, RunId, Zone};

/// Zones, hole and covering in words, such as `hot, wet · hole 22 mm, grommet · tape`; empty where
/// nothing is said.
pub fn laid_words(run: &Run) -> String {
    let mut words = Vec::new();
    let zones: Vec<&str> = run.laid.zones.iter().map(|zone| zone.noun()).collect();
    if !zones.is_empty() {
        words.push(zones.join(", "));
    }
    if let Some(hole) = run.laid.hole {
        let grommet = match hole.grommet {
            Grommet::Fitted => "grommet",
            Grommet::Missing => "bare edge",
        };
        words.push(format!("hole {}, {grommet}", number_text(hole.bore_mm, "mm")));
    }
    if let Some(covering) = &run.laid.covering {
        words.push(covering.kind.noun().to_owned());
    }
    words.join(" · ")
}

/// The fields of a run's laying.
pub fn laid_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, run): (RunId, &Run)) {
    let view = pen.view;
    heading(ui, "How it is laid");
    ui.horizontal(|ui| {
        label_cell(ui, "Zones", view.palette);
        ui.spacing_mut().item_spacing.x = 2.0;
        ui.spacing_mut().button_padding.x = 6.0;
        for zone in Zone::ALL {
            let is_in = run.laid.zones.contains(&zone);
            if ui.selectable_label(is_in, zone.noun()).clicked() {
                pen.edit(run_changed((id, run), |run| {
                    if !run.laid.zones.remove(&zone) {
                        run.laid.zones.insert(zone);
                    }
                }));
            }
        }
    });
    hole_ui(ui, pen, (id, run));
    covering_ui(ui, pen, (id, run));
    let support =
        run.laid.support_mm.map_or_else(String::new, |mm| view.preferences.length_text(mm));
    let field = Field::figure(Id::unique(("run supports", id)), "Distance of supports", support)
        .hint("not known");
    pen.row(ui, "Supports every", &field, |text| {
        let text = text.trim();
        let support_mm =
            if text.is_empty() { None } else { Some(view.preferences.parse_length_mm(text)?) };
        Ok(run_changed((id, run), |run| run.laid.support_mm = support_mm))
    });
}

fn hole_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, run): (RunId, &Run)) {
    let shown = run.laid.hole.map_or_else(String::new, |hole| number_text(hole.bore_mm, "mm"));
    let field = Field::figure(Id::unique(("run hole", id)), "Bore of the hole it passes", shown)
        .hint("passes none");
    pen.row(ui, "Hole, bore", &field, |text| {
        let text = text.trim();
        let bore_mm = if text.is_empty() {
            None
        } else {
            Some(parse_positive(text, "mm", "a bore such as 22 mm")?)
        };
        Ok(run_changed((id, run), |run| {
            let grommet = run.laid.hole.map_or(Grommet::Missing, |hole| hole.grommet);
            run.laid.hole = bore_mm.map(|bore_mm| Hole { bore_mm, grommet });
        }))
    });
    let Some(hole) = run.laid.hole else { return };
    ui.horizontal(|ui| {
        label_cell(ui, "", pen.view.palette);
        ui.spacing_mut().item_spacing.x = 2.0;
        for (word, grommet) in
            [("grommet fitted", Grommet::Fitted), ("bare edge", Grommet::Missing)]
        {
            if ui.selectable_label(hole.grommet == grommet, word).clicked()
                && hole.grommet != grommet
            {
                let hole = Some(Hole { grommet, ..hole });
                pen.edit(run_changed((id, run), |run| run.laid.hole = hole));
            }
        }
    });
}

fn covering_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, run): (RunId, &Run)) {
    ui.horizontal(|ui| {
        label_cell(ui, "Covering", pen.view.palette);
        let now = run.laid.covering.as_ref().map_or("none", |covering| covering.kind.noun());
        let kinds = CoveringKind::ALL.map(|kind| (kind.noun().to_owned(), Some(kind)));
        let options = std::iter::once(("none".to_owned(), None)).chain(kinds);
        let picked = choice(ui, Id::unique(("run covering", id)), "Covering", now, options);
        if let Some(kind) = picked {
            pen.edit(run_changed((id, run), |run| {
                let old = run.laid.covering.take();
                run.laid.covering = kind.map(|kind| match old {
                    Some(old) => Covering { kind, ..old },
                    None => Covering { kind, thickness_mm: None, words: String::new() },
                });
            }));
        }
    });
    let Some(covering) = &run.laid.covering else { return };
    let shown = covering.thickness_mm.map_or_else(String::new, |mm| number_text(mm, "mm"));
    let field =
        Field::figure(Id::unique(("run thickness", id)), "Thickness of the covering", shown)
            .hint("not known");
    pen.row(ui, "   one layer", &field, |text| {
        let text = text.trim();
        let thickness_mm = if text.is_empty() {
            None
        } else {
            Some(parse_positive(text, "mm", "a thickness such as 0.13 mm")?)
        };
        Ok(covering_changed((id, run), |covering| covering.thickness_mm = thickness_mm))
    });
    let words = Field::words(
        Id::unique(("run covering words", id)),
        "What covering exactly",
        covering.words.as_str(),
    )
    .hint("which one");
    pen.row(ui, "   exactly", &words, |text| {
        let words = text.to_owned();
        Ok(covering_changed((id, run), |covering| covering.words = words))
    });
}

fn covering_changed((id, run): (RunId, &Run), change: impl FnOnce(&mut Covering)) -> Edit {
    run_changed((id, run), |run| {
        if let Some(covering) = &mut run.laid.covering {
            change(covering);
        }
    })
}

/// What a figure of the card depends on that nobody has typed yet.
pub fn figure_row(ui: &mut Ui, view: View<'_>, label: &str, value: &str, note: &str) {
    ui.horizontal(|ui| {
        label_cell(ui, label, view.palette);
        ui.add(egui::Label::new(value).wrap());
    });
    if !note.is_empty() {
        crate::app::widgets::quiet(ui, note, view.palette);
    }
}
