//! The one function that changes a project.

use std::fmt;

use crate::edit::arrange::{about_middle, align, duplicate, move_by};
use crate::edit::edit_kind::{Edit, Item, Selection};
use crate::edit::guard;
use crate::edit::names::free_name;
use crate::edit::placing::Placement;
use crate::edit::removal::remove;
use crate::edit::rows::apply_to_rows;
use crate::geometry::{Flip, Turn};
use crate::model::{
    Cavity, CavityFill, Control, ControlId, FrameId, Part, PartId, PartKind, Position, Project,
    TerminalRef, WireId, limits,
};

/// What an edit has made.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Applied {
    /// New items of the sheet; what the selection should become when not empty.
    pub created: Selection,
    /// A new control, if there is one.
    pub control: Option<ControlId>,
    /// Number of the new row, for edits that add a row which is no item of the sheet.
    pub row: Option<u32>,
}

/// Why an edit was refused: one sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EditError(pub String);

impl fmt::Display for EditError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for EditError {}

impl From<String> for EditError {
    fn from(sentence: String) -> Self {
        Self(sentence)
    }
}

/// Makes one edit.
///
/// # Errors
/// The edit names something that is not there or carries a number that means nothing.
/// The project is unchanged then.
pub fn apply(project: &mut Project, edit: Edit) -> Result<Applied, EditError> {
    match edit {
        Edit::Place(placement) => {
            let mut work = project.clone();
            let applied = place(&mut work, placement)?;
            guard::check_sizes(&work)?;
            *project = work;
            Ok(applied)
        }
        Edit::AddWire(mut wire) => {
            guard::check_wire(project, &wire)?;
            guard::check_count("wires", project.wires.len() + 1, limits::WIRES)?;
            if wire.name.is_empty() {
                wire.name = free_name("W", project.wires.iter().map(|(_, w)| w.name.as_str()));
            }
            let id: WireId = project.fresh_id();
            for end in [wire.from, wire.to] {
                list_cavity(project, end.terminal);
            }
            project.wires.put(id, wire);
            Ok(created([Item::Wire(id)].into()))
        }
        Edit::AddFrame(frame) => {
            guard::check_frame(&frame)?;
            guard::check_count("frames", project.frames.len() + 1, limits::FRAMES)?;
            let id: FrameId = project.fresh_id();
            project.frames.put(id, frame);
            Ok(created([Item::Frame(id)].into()))
        }
        Edit::Remove(items) => {
            remove(project, &items);
            Ok(Applied::default())
        }
        Edit::Move { items, by } => {
            guard::check_distance(by)?;
            move_by(project, &items, by);
            Ok(Applied::default())
        }
        Edit::Turn(items) => {
            about_middle(
                project,
                &items,
                |p| Turn::Quarter.apply(p),
                |part| {
                    // A mirrored symbol is mirrored before it is turned, so the turn itself never changes direction.
                    part.turn = part.turn.next();
                },
            );
            Ok(Applied::default())
        }
        Edit::Flip(items) => {
            about_middle(
                project,
                &items,
                |p| Flip::Mirrored.apply(p),
                |part| {
                    part.flip = part.flip.other();
                    // Mirroring after a quarter turn equals turning the other way after mirroring.
                    if matches!(part.turn, Turn::Quarter | Turn::ThreeQuarters) {
                        part.turn = part.turn.next().next();
                    }
                },
            );
            Ok(Applied::default())
        }
        Edit::Duplicate { items, by } => {
            guard::check_distance(by)?;
            let mut work = project.clone();
            let copies = duplicate(&mut work, &items, by);
            guard::check_sizes(&work)?;
            *project = work;
            Ok(created(copies))
        }
        Edit::Align(items, edge) => {
            align(project, &items, edge);
            Ok(Applied::default())
        }
        Edit::Together { edits, .. } => together(project, edits),
        other => apply_to_rows(project, other),
    }
}

/// All edits, or none.
fn together(project: &mut Project, edits: Vec<Edit>) -> Result<Applied, EditError> {
    let mut work = project.clone();
    for edit in edits {
        apply(&mut work, edit)?;
    }
    *project = work;
    Ok(Applied::default())
}

fn created(created: Selection) -> Applied {
    Applied { created, ..Applied::default() }
}

/// A cavity of a controller that is used is listed on its symbol from then on.
pub(super) fn list_cavity(project: &mut Project, terminal: TerminalRef) {
    let Some(part) = project.parts.get_mut(terminal.part) else { return };
    let PartKind::Controller(controller) = &mut part.kind else { return };
    let free = Cavity { circuit: String::new(), fill: CavityFill::Free };
    controller.cavities.entry(terminal.terminal + 1).or_insert(free);
}

/// Gives new parts their names and puts them down with their control.
fn place(project: &mut Project, placement: Placement) -> Result<Applied, EditError> {
    let mut ids: Vec<PartId> = Vec::new();
    for mut part in placement.parts {
        if part.name.is_empty() {
            part.name = free_name(part.kind.letter(), names_taken(project));
        }
        name_halves(project, &mut part);
        guard::check_part(&part)?;
        let id = project.fresh_id();
        project.parts.put(id, part);
        ids.push(id);
    }
    let control = placement.control.map(|placed| {
        let name = ids
            .first()
            .and_then(|id| project.parts.get(*id))
            .map_or("Control".into(), |p| p.name.clone());
        let positions = placed
            .positions
            .into_iter()
            .map(|(name, throws)| Position {
                name,
                throws: throws
                    .into_iter()
                    .filter_map(|(idx, throw)| Some((*ids.get(idx)?, throw)))
                    .collect(),
            })
            .collect();
        let id: ControlId = project.fresh_id();
        project.controls.put(
            id,
            Control { name, kind: placed.kind, positions, rest: placed.rest, needs: None },
        );
        id
    });
    Ok(Applied { created: ids.into_iter().map(Item::Part).collect(), control, row: None })
}

/// Names of parts, and of controllers' plugs, which stand in the same lists.
fn names_taken(project: &Project) -> impl Iterator<Item = &str> {
    let plugs = project.parts.iter().filter_map(|(_, part)| match &part.kind {
        PartKind::Controller(controller) => Some(controller.plug.name.as_str()),
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::Connector(_)
        | PartKind::TestPoint
        | PartKind::Element(_) => None,
    });
    project.parts.iter().map(|(_, part)| part.name.as_str()).chain(plugs)
}

/// Halves without a name take the connector's; a controller's plug takes the next free `X`.
fn name_halves(project: &Project, part: &mut Part) {
    let name = part.name.clone();
    match &mut part.kind {
        PartKind::Connector(connector) => {
            for half in std::iter::once(&mut connector.first).chain(connector.second.as_mut()) {
                if half.name.is_empty() {
                    half.name.clone_from(&name);
                }
            }
        }
        PartKind::Controller(controller) if controller.plug.name.is_empty() => {
            controller.plug.name = free_name("X", names_taken(project));
        }
        PartKind::Controller(_)
        | PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::parse_placing;
    use crate::geometry::point;
    use crate::model::{BaseColour, Colour, End, TerminalRef, Wire, WireSize, WireUse};

    fn placed(project: &mut Project, text: &str, x_mm: f64) -> PartId {
        let placement = parse_placing(text).unwrap().at(point(x_mm, 0.0));
        let applied = apply(project, Edit::Place(placement)).unwrap();
        match applied.created.iter().next().copied() {
            Some(Item::Part(id)) => id,
            other => panic!("{other:?}"),
        }
    }

    fn wire(from: PartId, to: PartId) -> Wire {
        let end = |part| End { terminal: TerminalRef { part, terminal: 0 }, kind: None };
        Wire {
            name: String::new(),
            circuit: String::new(),
            from: end(from),
            to: end(to),
            bends: vec![],
            size: WireSize::Mm2(0.5),
            colour: Colour::plain(BaseColour::Red),
            usage: WireUse::Harness,
            via: vec![],
            typed_length_mm: None,
            make: Default::default(),
        }
    }

    #[test]
    fn a_connector_never_takes_the_name_of_a_controllers_plug() {
        let mut project = Project::empty("test");
        let controller = placed(&mut project, "controller 1x4", 0.0);
        let connector = placed(&mut project, "X 2x2", 80.0);
        let name = |id: PartId| project.parts.get(id).unwrap().terminal_name(0);
        assert_eq!([name(controller), name(connector)], ["X1-1", "X2-1"]);
    }

    #[test]
    fn a_cavity_that_gets_a_wire_is_listed_on_its_controller() {
        let mut project = Project::empty("test");
        let controller = placed(&mut project, "controller 1x4", 0.0);
        let resistor = placed(&mut project, "1k", 80.0);
        let mut wire = wire(resistor, controller);
        wire.to.terminal.terminal = 2;
        apply(&mut project, Edit::AddWire(wire)).unwrap();
        let part = project.parts.get(controller).unwrap();
        let PartKind::Controller(row) = &part.kind else { panic!() };
        assert_eq!(row.cavities.keys().copied().collect::<Vec<_>>(), [3]);
    }

    #[test]
    fn a_button_brings_its_control_and_takes_it_along() {
        let mut project = Project::empty("test");
        let button = placed(&mut project, "button", 0.0);
        assert_eq!(project.controls.len(), 1);
        apply(&mut project, Edit::Remove([Item::Part(button)].into())).unwrap();
        assert!(project.controls.is_empty() && project.parts.is_empty());
    }

    #[test]
    fn wires_go_with_the_parts_they_end_at() {
        let mut project = Project::empty("test");
        let (a, b) = (placed(&mut project, "1k", 0.0), placed(&mut project, "2k", 40.0));
        apply(&mut project, Edit::AddWire(wire(a, b))).unwrap();
        assert_eq!(project.wires.iter().next().unwrap().1.name, "W1");
        apply(&mut project, Edit::Remove([Item::Part(a)].into())).unwrap();
        assert!(project.wires.is_empty());
    }

    #[test]
    fn a_refused_edit_changes_nothing_and_says_why() {
        let mut project = Project::empty("test");
        let a = placed(&mut project, "1k", 0.0);
        let before = project.clone();
        let mut bad = project.parts.get(a).unwrap().clone();
        if let PartKind::Resistor(resistor) = &mut bad.kind {
            resistor.ohm = -5.0;
        }
        let error = apply(&mut project, Edit::SetPart(a, Box::new(bad))).unwrap_err();
        assert!(error.0.contains("R1") && error.0.contains("-5"), "{error}");
        assert!(apply(&mut project, Edit::AddWire(wire(a, a))).is_err());
        assert!(apply(&mut project, Edit::AddWire(wire(a, PartId(999)))).is_err());
        assert_eq!(project, before);
    }

    #[test]
    fn edits_made_together_are_all_made_or_none() {
        let mut project = Project::empty("test");
        let place = |text: &str| Edit::Place(parse_placing(text).unwrap());
        let together = |edits| Edit::Together { title: "two parts".into(), edits };
        apply(&mut project, together(vec![place("1k"), place("button")])).unwrap();
        assert_eq!((project.parts.len(), project.controls.len()), (2, 1));
        let before = project.clone();
        let gone = Edit::RemoveControl(ControlId(999));
        assert!(apply(&mut project, together(vec![place("2k"), gone])).is_err());
        assert_eq!(project, before);
    }

    #[test]
    fn copies_bring_wires_controls_and_new_names() {
        let mut project = Project::empty("test");
        let (a, b) = (placed(&mut project, "1k", 0.0), placed(&mut project, "button", 40.0));
        apply(&mut project, Edit::AddWire(wire(a, b))).unwrap();
        let items: Selection = [Item::Part(a), Item::Part(b)].into();
        let applied = apply(&mut project, Edit::Duplicate { items, by: point(0.0, 20.0) }).unwrap();
        assert_eq!(applied.created.len(), 3);
        assert_eq!(project.controls.len(), 2);
        let names: Vec<_> = project.parts.iter().map(|(_, p)| p.name.clone()).collect();
        assert_eq!(names, ["R1", "S1", "R2", "S2"]);
    }

    #[test]
    fn turning_and_mirroring_four_and_two_times_is_nothing() {
        let mut project = Project::empty("test");
        let (a, b) = (placed(&mut project, "1k", 0.0), placed(&mut project, "2k", 40.0));
        let items: Selection = [Item::Part(a), Item::Part(b)].into();
        let before = project.clone();
        for _ in 0..4 {
            apply(&mut project, Edit::Turn(items.clone())).unwrap();
        }
        assert_eq!(project, before);
        apply(&mut project, Edit::Turn(items.clone())).unwrap();
        let turned = project.clone();
        for _ in 0..2 {
            apply(&mut project, Edit::Flip(items.clone())).unwrap();
        }
        assert_eq!(project, turned);
    }

    #[test]
    fn the_permit_loop_is_forgotten_with_one_of_its_ends() {
        let mut project = Project::empty("test");
        let (a, b) = (placed(&mut project, "1k", 0.0), placed(&mut project, "X 1x4", 40.0));
        let end = |part, terminal| TerminalRef { part, terminal };
        let ends = (end(a, 0), end(b, 6));
        for bad in [(end(a, 0), end(a, 0)), (end(a, 0), end(b, 60))] {
            assert!(apply(&mut project, Edit::SetPermit(Some(bad))).is_err());
        }
        apply(&mut project, Edit::SetPermit(Some(ends))).unwrap();
        let mut smaller = project.parts.get(b).unwrap().clone();
        let PartKind::Connector(connector) = &mut smaller.kind else { panic!() };
        connector.layout = crate::model::CavityLayout::Grid { rows: 1, columns: 2 };
        let before = project.clone();
        apply(&mut project, Edit::SetPart(b, Box::new(smaller))).unwrap();
        assert_eq!((before.permit, project.permit), (Some(ends), None));
        apply(&mut project, Edit::SetPermit(Some((end(a, 0), end(b, 0))))).unwrap();
        apply(&mut project, Edit::Remove([Item::Part(a)].into())).unwrap();
        assert_eq!(project.permit, None);
    }
}
