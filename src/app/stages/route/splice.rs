//! Where a splice sits along a run: which run, from which end, how far.

use egui::{Id, RichText, Ui};

use crate::app::theme;
use crate::app::widgets::{Field, Pen, choice, label_cell, quiet};
use crate::edit::Edit;
use crate::model::{Part, PartId, PartKind, RunPoint};

fn moved((id, part): (PartId, &Part), to: Option<RunPoint>) -> Edit {
    let mut part = part.clone();
    if let PartKind::Splice { at, .. } = &mut part.kind {
        *at = to;
        if to.is_some() {
            part.place = None;
        }
    }
    Edit::SetPart(id, Box::new(part))
}

/// The card of a splice; `at` is where it sits now.
pub fn splice_card(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    at: Option<RunPoint>,
) {
    let project = pen.view.project;
    let title = RichText::new(format!("Splice {}", part.name));
    ui.label(title.font(theme::bold(theme::TEXT_HEADING)));
    ui.horizontal(|ui| {
        label_cell(ui, "Along run", pen.view.palette);
        let name = |run| project.runs.get(run).map_or("?", |row| row.name.as_str());
        let now = at.map_or("at a place", |at| name(at.run));
        let runs = project.runs.iter().map(|(run, row)| (row.name.clone(), Some(run)));
        let options = std::iter::once(("at a place".to_owned(), None)).chain(runs);
        let picked = choice(ui, Id::unique(("splice run", id)), "Run of the splice", now, options);
        if let Some(run) = picked {
            let to = run.and_then(|run| {
                let row = project.runs.get(run)?;
                // The middle, until a tape says where; from there it is moved or typed.
                let distance_mm = (row.length_mm / 2.0).round();
                Some(RunPoint { run, from: row.from, distance_mm })
            });
            pen.edit(moved((id, part), to));
        }
    });
    let Some(at) = at else {
        quiet(ui, "Drag it from its place onto a run, or name the run here.", pen.view.palette);
        return;
    };
    let Some(run) = project.runs.get(at.run) else { return };
    let place = |id| project.places.get(id).map_or("?", |row| row.name.as_str());
    ui.horizontal(|ui| {
        label_cell(ui, "Counted from", pen.view.palette);
        let options = [run.from, run.to].map(|end| (place(end).to_owned(), end));
        let name = "End the distance counts from";
        let picked = choice(ui, Id::unique(("splice end", id)), name, place(at.from), options);
        if let Some(from) = picked {
            // It stays where it is; only the tape is laid from the other end.
            let distance_mm = run.length_mm - at.distance_mm;
            pen.edit(moved((id, part), Some(RunPoint { from, distance_mm, ..at })));
        }
    });
    let shown = pen.view.preferences.length_text(at.distance_mm);
    let field = Field::figure(Id::unique(("splice mm", id)), "Distance of the splice", shown);
    let preferences = pen.view.preferences;
    pen.row(ui, "Distance", &field, |text| {
        let distance_mm = preferences.parse_length_mm(text)?;
        Ok(moved((id, part), Some(RunPoint { distance_mm, ..at })))
    });
    let left = run.length_mm - at.distance_mm;
    let other = if at.from == run.from { run.to } else { run.from };
    let words = format!("{} from {}.", pen.view.preferences.length_text(left), place(other));
    quiet(ui, words, pen.view.palette);
}
