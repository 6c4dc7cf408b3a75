//! Finding parts, wires, controls, sense pins and frames by name.

use egui::{Id, Ui};

use crate::app::action::{Action, Actions};
use crate::app::canvas::bar::{DropList, list_keys, moved_choice, pill};
use crate::app::canvas::names;
use crate::app::canvas::state::CanvasState;
use crate::app::view::View;
use crate::model::{Project, Subject};

/// Identity of the field.
pub const FIND_ID: &str = "find field";
/// How many matches are listed.
const MOST: usize = 12;

/// Something whose name matches.
#[derive(Clone, Debug, PartialEq)]
pub struct Match {
    /// Its name.
    pub title: String,
    /// What it is.
    pub detail: String,
    /// What to show.
    pub subject: Subject,
}

/// Everything whose name, label or circuit holds the text: equal names first, then names that begin with it.
pub fn matches(project: &Project, text: &str) -> Vec<Match> {
    let wanted = text.trim().to_lowercase();
    if wanted.is_empty() {
        return Vec::new();
    }
    let mut found: Vec<(u8, Match)> = Vec::new();
    let mut add = |title: &str, detail: String, subject: Subject| {
        let (name, other) = (title.to_lowercase(), detail.to_lowercase());
        let rank = if name == wanted {
            0
        } else if name.starts_with(&wanted) {
            1
        } else if name.contains(&wanted) {
            2
        } else if other.contains(&wanted) {
            3
        } else {
            return;
        };
        found.push((rank, Match { title: title.to_owned(), detail, subject }));
    };
    for (id, part) in project.parts.iter() {
        let full = names::part_name(part);
        let detail = full.strip_prefix(part.name.as_str()).unwrap_or(&full).trim().to_owned();
        add(&part.name, detail, Subject::Part(id));
    }
    for (id, wire) in project.wires.iter() {
        let detail = format!("wire {} {}", wire.colour.text(), wire.circuit);
        add(&wire.name, detail.trim().to_owned(), Subject::Wire(id));
    }
    for (id, control) in project.controls.iter() {
        add(&control.name, "control".into(), Subject::Control(id));
    }
    for (id, pin) in project.sense_pins.iter() {
        let detail = format!("sense pin at {}", project.terminal_name(pin.terminal));
        add(&pin.name, detail, Subject::SensePin(id));
    }
    for (id, frame) in project.frames.iter() {
        add(&frame.name, "frame".into(), Subject::Frame(id));
    }
    found.sort_by_key(|(rank, _)| *rank);
    found.into_iter().map(|(_, found)| found).take(MOST).collect()
}

/// The field; enter or a click selects the match and brings it into view.
pub fn find_ui(ui: &mut Ui, view: View<'_>, own: &mut CanvasState, actions: &mut Actions) {
    let id = Id::unique(FIND_ID);
    let keys = list_keys(ui, id);
    let field = pill(&mut own.find.text, "Find …", view).id(id).desired_width(104.0);
    let response = ui.add(field).accessible_name("Find");
    if std::mem::take(&mut own.focus_find) {
        response.request_focus();
    }
    if response.changed() {
        own.find.chosen = 0;
    }
    if !response.has_focus() && !response.lost_focus() && own.find.text.is_empty() {
        return;
    }
    let found = matches(view.project, &own.find.text);
    own.find.chosen = moved_choice(Some(own.find.chosen), &keys, found.len()).unwrap_or(0);
    let rows: Vec<(&str, &str)> =
        found.iter().map(|m| (m.title.as_str(), m.detail.as_str())).collect();
    let is_vain = found.is_empty() && !own.find.text.trim().is_empty();
    let nothing = [("nothing", "no name holds this")];
    let list = DropList {
        id,
        anchor: response.rect,
        has_focus: response.has_focus(),
        chosen: Some(own.find.chosen),
    };
    let clicked = list.show(ui, view, if is_vain { &nothing } else { &rows }, None);
    let entered = (response.lost_focus() && keys.is_entered).then_some(own.find.chosen);
    if let Some(found) = clicked.or(entered).and_then(|at| found.get(at)) {
        actions.push(Action::ShowSubject(found.subject));
        own.find.text.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, apply, parse_placing};

    #[test]
    fn equal_names_come_before_longer_ones_and_values_are_found() {
        let mut project = Project::empty("test");
        for _ in 0..12 {
            apply(&mut project, Edit::Place(parse_placing("4k7").unwrap())).unwrap();
        }
        apply(&mut project, Edit::Place(parse_placing("button").unwrap())).unwrap();
        let titles = |text: &str| -> Vec<String> {
            matches(&project, text).into_iter().map(|found| found.title).collect()
        };
        assert_eq!(titles("r1"), ["R1", "R10", "R11", "R12"]);
        assert_eq!(titles("S1"), ["S1", "S1"], "the contact and its control");
        assert_eq!(titles("4.7").len(), MOST);
        assert!(titles("  ").is_empty() && titles("zebra").is_empty());
        assert!(matches!(matches(&project, "R12")[0].subject, Subject::Part(_)));
    }
}
