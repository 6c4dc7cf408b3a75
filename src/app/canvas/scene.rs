//! What is drawn, kept until the project changes: runs of wires, outlines, marks of symbols, joints.
//!
//! After an edit only what the edit touched is made anew, so that dragging stays smooth on large sheets.

use std::collections::{BTreeMap, BTreeSet};

use crate::app::canvas::rows::WireRows;
use crate::app::prefs::SignChoice;
use crate::drawing::{self, Mark, ResistorSign, SymbolLook};
use crate::edit::Item;
use crate::geometry::{Point, Rect};
use crate::model::{
    Control, ControlId, Frame, FrameId, Part, PartId, PartKind, Project, State, Table, TerminalRef,
    Wire, WireId,
};

/// Labels reach this far beyond a part's outline, in millimetres.
const LABEL_REACH_MM: f64 = 22.0;
/// Up to this many wires are run one by one after an edit; above it all at once is cheaper.
const ONE_BY_ONE: usize = 60;

/// What meets at a terminal.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Meet {
    /// Wires that end there, by identity; one with both ends there stands in it twice.
    pub wires: Vec<WireId>,
    /// Dots where they part.
    pub dots: Vec<Point>,
}

/// Drawn things of one project, brought up to date by [`Scene::refresh`].
#[derive(Clone, Debug, Default)]
pub struct Scene {
    made_from: Option<(Table<PartId, Part>, Table<WireId, Wire>)>,
    /// Drawn runs of all wires.
    pub paths: BTreeMap<WireId, Vec<Point>>,
    /// Outlines of all parts.
    pub rects: BTreeMap<PartId, Rect>,
    /// What meets at each terminal that has a wire.
    pub meets: BTreeMap<TerminalRef, Meet>,
    /// The wires in the order they are painted.
    pub rows: WireRows,
    /// Grows whenever runs, outlines or wires change.
    pub age: u64,
    marks: BTreeMap<PartId, (SymbolLook, Vec<Mark>)>,
    throws_of: Option<(Table<ControlId, Control>, State)>,
    throws: BTreeMap<PartId, u8>,
    /// Relays that have pulled.
    pulled: BTreeSet<PartId>,
    moved: BTreeSet<PartId>,
}

impl Scene {
    /// Brings runs, outlines and throws up to date.
    pub fn refresh(&mut self, project: &Project, bench: &State, pulled: &BTreeSet<PartId>) {
        self.refresh_throws(project, bench);
        self.pulled.clone_from(pulled);
        let made_from = self.made_from.take();
        match made_from {
            Some((parts, wires))
                if parts.is_same(&project.parts) && wires.is_same(&project.wires) => {}
            Some((parts, wires)) => {
                self.age += 1;
                self.refresh_changed(project, &parts, &wires);
            }
            None => {
                self.age += 1;
                self.marks.clear();
                self.rects =
                    project.parts.iter().map(|(id, part)| (id, drawing::part_rect(part))).collect();
                self.run_all(project);
            }
        }
        self.made_from = Some((project.parts.clone(), project.wires.clone()));
    }

    /// Runs all wires anew.
    fn run_all(&mut self, project: &Project) {
        self.paths = drawing::wire_paths(project);
        self.meets.clear();
        for (id, wire) in project.wires.iter() {
            self.attach(id, wire);
        }
        for (at, meet) in &mut self.meets {
            meet.dots = drawing::partings(project, &self.paths, *at, &meet.wires);
        }
        self.rows = WireRows::of(project, &self.paths);
    }

    fn attach(&mut self, id: WireId, wire: &Wire) {
        for end in [wire.from, wire.to] {
            let wires = &mut self.meets.entry(end.terminal).or_default().wires;
            let at = wires.partition_point(|other| *other <= id);
            wires.insert(at, id);
        }
    }

    fn detach(&mut self, id: WireId, wire: &Wire) {
        for end in [wire.from, wire.to] {
            if let Some(meet) = self.meets.get_mut(&end.terminal) {
                meet.wires.retain(|other| *other != id);
                if meet.wires.is_empty() {
                    self.meets.remove(&end.terminal);
                }
            }
        }
    }

    fn refresh_changed(
        &mut self,
        project: &Project,
        parts: &Table<PartId, Part>,
        wires: &Table<WireId, Wire>,
    ) {
        // Wires to run anew: changed ones, those at changed parts, and those that go through a
        // splice that came, went or moved.
        let mut stale: BTreeSet<WireId> = BTreeSet::new();
        let tap = |part: &Part| match part.kind {
            PartKind::Splice { on, .. } => on,
            _ => None,
        };
        for id in project.parts.gone_since(parts) {
            stale.extend(parts.get(id).and_then(tap));
            stale.extend(self.wires_at(id));
            self.rects.remove(&id);
            self.marks.remove(&id);
        }
        for (id, part) in project.parts.changed_since(parts) {
            stale.extend(parts.get(id).and_then(tap));
            stale.extend(tap(part));
            stale.extend(self.wires_at(id));
            self.rects.insert(id, drawing::part_rect(part));
            self.marks.remove(&id);
        }
        let mut touched: BTreeSet<TerminalRef> = BTreeSet::new();
        let mut touch = |wire: &Wire| touched.extend([wire.from.terminal, wire.to.terminal]);
        let mut has_come_or_gone = false;
        for (id, wire) in
            project.wires.gone_since(wires).filter_map(|id| Some((id, wires.get(id)?)))
        {
            has_come_or_gone = true;
            touch(wire);
            self.detach(id, wire);
            self.paths.remove(&id);
        }
        for (id, wire) in project.wires.changed_since(wires) {
            match wires.get(id) {
                Some(old) => {
                    touch(old);
                    self.detach(id, old);
                }
                None => has_come_or_gone = true,
            }
            self.attach(id, wire);
            stale.insert(id);
        }
        stale.retain(|id| project.wires.contains(*id));
        if stale.len() > ONE_BY_ONE {
            self.run_all(project);
            return;
        }
        for id in &stale {
            self.paths.insert(*id, drawing::wire_path(project, *id));
            project.wires.get(*id).iter().for_each(|wire| touch(wire));
        }
        for at in touched {
            if let Some(meet) = self.meets.get_mut(&at) {
                meet.dots = drawing::partings(project, &self.paths, at, &meet.wires);
            }
        }
        if has_come_or_gone {
            self.rows = WireRows::of(project, &self.paths);
        } else {
            self.rows.renew(project, &self.paths, &stale);
        }
    }

    /// Wires that end at any terminal of a part.
    fn wires_at(&self, part: PartId) -> impl Iterator<Item = WireId> {
        let terminal = |terminal| TerminalRef { part, terminal };
        let meets = self.meets.range(terminal(0)..=terminal(u16::MAX));
        meets.flat_map(|(_, meet)| meet.wires.iter().copied())
    }

    /// How many wires end at a terminal.
    pub fn n_ends(&self, at: TerminalRef) -> usize {
        self.meets.get(&at).map_or(0, |meet| meet.wires.len())
    }

    fn refresh_throws(&mut self, project: &Project, bench: &State) {
        if self
            .throws_of
            .as_ref()
            .is_some_and(|(controls, state)| controls.is_same(&project.controls) && state == bench)
        {
            return;
        }
        self.throws.clear();
        self.moved.clear();
        for (id, control) in project.controls.iter() {
            for position in &control.positions {
                self.moved.extend(position.throws.keys());
            }
            if let Some(position) = control.positions.get(usize::from(bench.position(id, control)))
            {
                for (part, throw) in &position.throws {
                    self.throws.entry(*part).or_insert(*throw);
                }
            }
        }
        self.throws_of = Some((project.controls.clone(), bench.clone()));
    }

    /// Throw a contact or relay stands in.
    pub fn throw(&self, part: PartId) -> u8 {
        self.throws.get(&part).copied().unwrap_or(u8::from(self.pulled.contains(&part)))
    }

    /// Whether a control moves this contact.
    pub fn is_moved(&self, part: PartId) -> bool {
        self.moved.contains(&part)
    }

    /// Marks of a part in the look it has now, made when they are first wanted.
    pub fn marks(&mut self, id: PartId, part: &Part, look: SymbolLook) -> &[Mark] {
        let entry = self.marks.entry(id).or_insert_with(|| {
            let marks = drawing::symbol(part, &look);
            (look.clone(), marks)
        });
        if entry.0 != look {
            entry.1 = drawing::symbol(part, &look);
            entry.0 = look;
        }
        &entry.1
    }

    /// Parts that may show in a rectangle, labels included.
    pub fn parts_in(&self, rect: Rect) -> impl Iterator<Item = PartId> {
        let wide = rect.grown(LABEL_REACH_MM);
        self.rects.iter().filter(move |(_, part)| part.touches(wide)).map(|(id, _)| *id)
    }

    /// The least rectangle around an item.
    pub fn item_rect(&self, project: &Project, item: Item) -> Option<Rect> {
        match item {
            Item::Part(id) => self.rects.get(&id).copied(),
            Item::Wire(id) => self.rows.get(id).map(|row| row.rect),
            Item::Frame(id) => project.frames.get(id).map(|frame| frame.rect),
        }
    }

    /// Everything there is, with room for labels; `None` on an empty sheet.
    pub fn bounds(&self, frames: &Table<FrameId, Frame>) -> Option<Rect> {
        let parts = self.rects.values().map(|rect| rect.grown(6.0));
        let wires = self.rows.iter().map(|row| row.rect.grown(2.0));
        let frames = frames.iter().map(|(_, frame)| frame.rect);
        parts.chain(wires).chain(frames).reduce(Rect::union)
    }
}

/// The least rectangle around a run.
pub fn run_rect(run: &[Point]) -> Option<Rect> {
    run.iter().map(|p| Rect::spanning(*p, *p)).reduce(Rect::union)
}

/// The sign of resistors a person prefers.
pub fn resistor_sign(choice: SignChoice) -> ResistorSign {
    match choice {
        SignChoice::Iec => ResistorSign::Iec,
        SignChoice::Ieee => ResistorSign::Ieee,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, History, parse_placing};
    use crate::geometry::point;
    use crate::model::{ControlKind, WireUse};

    fn place(history: &mut History, text: &str, x_mm: f64, y_mm: f64) -> PartId {
        let edit = Edit::Place(parse_placing(text).unwrap().at(point(x_mm, y_mm)));
        let created = history.commit(edit, None).unwrap().created;
        match created.first().unwrap() {
            Item::Part(id) => *id,
            Item::Wire(_) | Item::Frame(_) => unreachable!("placing makes parts"),
        }
    }

    fn join(history: &mut History, from: (PartId, u16), to: (PartId, u16)) -> WireId {
        let end = |(part, terminal)| TerminalRef { part, terminal };
        let wire = crate::app::canvas::wiring::new_wire(history.project(), end(from), end(to));
        let created = history.commit(Edit::AddWire(wire), None).unwrap().created;
        match created.first().unwrap() {
            Item::Wire(id) => *id,
            Item::Part(_) | Item::Frame(_) => unreachable!("a wire was drawn"),
        }
    }

    /// After any edit the scene equals one made from scratch.
    #[test]
    fn a_scene_brought_up_to_date_equals_a_new_one() {
        let mut history = History::new(Project::empty("test"));
        let mut scene = Scene::default();
        let check = |scene: &mut Scene, history: &History, what: &str| {
            scene.refresh(history.project(), &State::rest(), &BTreeSet::new());
            let mut fresh = Scene::default();
            fresh.refresh(history.project(), &State::rest(), &BTreeSet::new());
            assert_eq!(scene.paths, fresh.paths, "{what}");
            assert_eq!(scene.rects, fresh.rects, "{what}");
            assert_eq!(scene.meets, fresh.meets, "{what}");
            assert_eq!(scene.rows, fresh.rows, "{what}");
            let mut dots: Vec<Point> =
                scene.meets.values().flat_map(|meet| meet.dots.iter().copied()).collect();
            dots.sort_by(|a, b| a.x_mm.total_cmp(&b.x_mm).then(a.y_mm.total_cmp(&b.y_mm)));
            dots.dedup();
            assert_eq!(dots, drawing::junctions(history.project(), &fresh.paths), "{what}");
            for (id, part) in history.project().parts.iter() {
                let look = || SymbolLook::at_rest(ResistorSign::Iec);
                assert_eq!(scene.marks(id, part, look()), fresh.marks(id, part, look()), "{what}");
            }
        };
        let r1 = place(&mut history, "4k7", 0.0, 0.0);
        let s1 = place(&mut history, "button", 60.0, 20.0);
        let r2 = place(&mut history, "1k", 60.0, 60.0);
        let wire = join(&mut history, (r1, 1), (s1, 0));
        join(&mut history, (r1, 1), (r2, 0));
        check(&mut scene, &history, "first");
        let move_r1 = Edit::Move { items: [Item::Part(r1)].into(), by: point(-5.0, 7.5) };
        history.commit(move_r1, None).unwrap();
        check(&mut scene, &history, "moved");
        let tap = Edit::Place(crate::app::canvas::wiring::splice_on(wire).at(point(30.0, -20.0)));
        history.commit(tap, None).unwrap();
        check(&mut scene, &history, "tapped");
        history.commit(Edit::Remove([Item::Part(s1)].into()), None).unwrap();
        check(&mut scene, &history, "removed");
        for _ in 0..3 {
            history.undo();
            check(&mut scene, &history, "undone");
        }
    }

    #[test]
    fn a_contact_stands_as_its_control_does() {
        let mut history = History::new(Project::empty("test"));
        let s1 = place(&mut history, "toggle", 0.0, 0.0);
        let loose = place(&mut history, "4k7", 0.0, 0.0);
        let (control, row) = history.project().controls.iter().next().unwrap();
        assert_eq!(row.kind, ControlKind::Maintained);
        let mut scene = Scene::default();
        scene.refresh(history.project(), &State::rest(), &BTreeSet::new());
        assert_eq!((scene.throw(s1), scene.is_moved(s1), scene.is_moved(loose)), (0, true, false));
        scene.refresh(history.project(), &State([(control, 1)].into()), &BTreeSet::new());
        assert_eq!(scene.throw(s1), 1);
        assert_eq!(history.project().throw(s1, &State([(control, 1)].into())), 1);
        assert!(history.project().wires.iter().all(|(_, wire)| wire.usage == WireUse::Harness));
    }
}
