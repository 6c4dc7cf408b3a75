//! Places of the machine and the runs between them.

use std::collections::BTreeMap;

use egui::{Id, RichText, Ui};

use crate::app::prefs::Preferences;
use crate::app::widgets::{
    Field, Pen, add_word, choice_wide, heading, is_out_of_sight, parse_named, quiet, remove_sign,
};
use crate::edit::{Edit, free_name};
use crate::geometry::{Point, point};
use crate::model::{Place, PlaceId, Project, Run, RunId};

/// Height of one line of fields.
const ROW_HEIGHT: f32 = 26.0;

/// All places by name, with how many parts sit there.
pub fn places_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let project = pen.view.project;
    heading(ui, "Places");
    if project.places.is_empty() {
        let words = "A place is where something ends, branches or is clipped: a box, a tee, the controller.";
        quiet(ui, words, pen.view.palette);
    }
    let mut counts: BTreeMap<PlaceId, usize> = BTreeMap::new();
    for place in project.parts.iter().filter_map(|(_, part)| part.place) {
        *counts.entry(place).or_default() += 1;
    }
    for (id, place) in project.places.iter() {
        if is_out_of_sight(ui, ROW_HEIGHT) {
            continue;
        }
        let field = Field::words(
            Id::unique(("place name", id)),
            format!("Name of place {}", place.name),
            &*place.name,
        );
        ui.horizontal(|ui| {
            let wide = ui.available_width() - 110.0;
            pen.field(ui, &field.clone().width(wide), |text| {
                let name = parse_named(text)?;
                Ok(Edit::SetPlace(id, Place { name, ..place.clone() }))
            });
            let parts = counts.get(&id).copied().unwrap_or(0);
            let words = if parts == 1 { "1 part".into() } else { format!("{parts} parts") };
            if remove_sign(ui, &format!("place {} and its runs", place.name), pen.view.palette)
                .clicked()
            {
                pen.edit(Edit::RemovePlace(id));
            }
            ui.label(RichText::new(words).small().color(pen.view.palette.quiet));
        });
        pen.refusal_ui(ui, field.id, &field.shown);
    }
    if add_word(ui, "Add a place", pen.view.palette).clicked() {
        let name = free_name("Place ", project.places.iter().map(|(_, place)| place.name.as_str()));
        pen.edit(Edit::AddPlace(Place { name, pos: free_pos(project) }));
    }
}

/// Right of all places there are, alternating up and down so that names do not collide.
fn free_pos(project: &Project) -> Point {
    let right = project.places.iter().map(|(_, place)| place.pos.x_mm).fold(0.0, f64::max);
    let down = if project.places.len().is_multiple_of(2) { 0.0 } else { 30.0 };
    point(if project.places.is_empty() { 0.0 } else { right + 40.0 }, down)
}

/// All runs: name, both ends, length, loop. Returns the ends of a run that is to be drawn: its length
/// is asked for, since nobody but a rope knows it.
pub fn runs_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) -> Option<[PlaceId; 2]> {
    let project = pen.view.project;
    heading(ui, "Runs");
    if project.places.len() < 2 {
        quiet(ui, "A run joins two places; add two places first.", pen.view.palette);
        return None;
    }
    for (id, run) in project.runs.iter() {
        if is_out_of_sight(ui, 2.0 * ROW_HEIGHT + 10.0) {
            continue;
        }
        run_ui(ui, pen, (id, run));
        ui.add_space(4.0);
    }
    let is_wanted = add_word(ui, "Add a run …", pen.view.palette).clicked();
    is_wanted.then(|| next_ends(project)).flatten()
}

/// Ends of a run to begin with: the first place that no run reaches and one before it.
fn next_ends(project: &Project) -> Option<[PlaceId; 2]> {
    let reached =
        |place: PlaceId| project.runs.iter().any(|(_, run)| run.from == place || run.to == place);
    let ids: Vec<PlaceId> = project.places.ids().collect();
    let to = ids.iter().skip(1).copied().find(|place| !reached(*place)).or(ids.last().copied())?;
    let from = ids
        .iter()
        .copied()
        .filter(|place| *place != to)
        .rfind(|place| *place < to || reached(*place));
    let from = from.or_else(|| ids.iter().copied().find(|place| *place != to))?;
    Some([from, to])
}

/// A change of a run as an edit.
pub fn run_changed((id, run): (RunId, &Run), change: impl FnOnce(&mut Run)) -> Edit {
    let mut run = run.clone();
    change(&mut run);
    Edit::SetRun(id, run)
}

/// The fields for length and loop of a run; `place` tells those of one corner of the window from
/// those of another, and is empty in the list.
pub fn run_fields(
    preferences: &Preferences,
    (id, run): (RunId, &Run),
    place: &'static str,
) -> [Field; 2] {
    let name = |what: &str| {
        let comma = if place.is_empty() { "" } else { ", " };
        format!("{what} of {}{comma}{place}", run.name)
    };
    let length = preferences.length_text(run.length_mm);
    let slack = run.loop_mm.map_or_else(String::new, |mm| preferences.length_text(mm));
    [
        Field::figure(Id::unique(("run length", id, place)), name("Length"), length),
        Field::figure(Id::unique(("run loop", id, place)), name("Loop"), slack).hint("none"),
    ]
}

fn run_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, run): (RunId, &Run)) {
    let (project, preferences) = (pen.view.project, pen.view.preferences);
    let name = Field::words(
        Id::unique(("run name", id)),
        format!("Name of run {}", run.name),
        run.name.as_str(),
    );
    let [length, slack] = run_fields(preferences, (id, run), "");
    ui.horizontal(|ui| {
        let wide = ui.available_width() - 134.0;
        pen.field(ui, &name.clone().width(wide), |text| {
            let name = parse_named(text)?;
            Ok(run_changed((id, run), |run| run.name = name))
        });
        pen.field(ui, &length.clone().width(84.0), |text| {
            let length_mm = preferences.parse_length_mm(text)?;
            Ok(run_changed((id, run), |run| run.length_mm = length_mm))
        });
        if remove_sign(ui, &format!("run {}", run.name), pen.view.palette).clicked() {
            pen.edit(Edit::RemoveRun(id));
        }
    });
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.add_space(10.0);
        let wide = (ui.available_width() - 152.0) / 2.0;
        for (which, now) in [("from", run.from), ("to", run.to)] {
            let words = project.places.get(now).map_or("?", |place| place.name.as_str());
            let other = if which == "from" { run.to } else { run.from };
            let options = project.places.iter().filter(|(place, _)| *place != other);
            let options = options.map(|(place, row)| (row.name.clone(), place));
            let label = format!("{} {which}", run.name);
            if let Some(place) =
                choice_wide(ui, Id::unique(("run", which, id)), (&label, wide), words, options)
            {
                pen.edit(run_changed((id, run), |run| match which {
                    "from" => run.from = place,
                    _ => run.to = place,
                }));
            }
        }
        ui.label(RichText::new("loop").small().color(pen.view.palette.quiet))
            .on_hover_text("Slack for a run that moves; empty where nothing moves");
        pen.field(ui, &slack.clone().width(62.0), |text| {
            let text = text.trim();
            let loop_mm =
                if text.is_empty() { None } else { Some(preferences.parse_length_mm(text)?) };
            Ok(run_changed((id, run), |run| run.loop_mm = loop_mm))
        });
    });
    for field in [&name, &length, &slack] {
        pen.refusal_ui(ui, field.id, &field.shown);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::apply;

    #[test]
    fn runs_that_are_added_join_every_place_to_the_others() {
        let mut project = Project::empty("test");
        for name in ["lever base", "tee", "controller", "fuse box"] {
            let pos = free_pos(&project);
            apply(&mut project, Edit::AddPlace(Place { name: name.into(), pos })).unwrap();
        }
        for _ in 0..3 {
            let [from, to] = next_ends(&project).unwrap();
            assert_ne!(from, to);
            let run = Run {
                name: "run".into(),
                from,
                to,
                length_mm: 500.0,
                loop_mm: None,
                laid: Default::default(),
            };
            apply(&mut project, Edit::AddRun(run)).unwrap();
        }
        let ids: Vec<PlaceId> = project.places.ids().collect();
        for id in ids {
            assert!(project.runs.iter().any(|(_, run)| run.from == id || run.to == id));
        }
    }
}
