//! The drawing: resistors in a row, a column of contacts for each action, a box for each station.
//!
//! The pin comes in from the controller at the right, nearest action first. What different nets have
//! in common are crossings at right angles only; a test draws many ladders and holds that.

use std::collections::BTreeMap;

use crate::drawing::terminal_pos;
use crate::edit::{Applied, Edit, Item, Placement, apply};
use crate::geometry::{Flip, Point, Turn, point};
use crate::model::{
    BaseColour, Cavity, CavityFill, CavityFit, CavityLayout, Colour, Contact, ContactForm,
    Controller, End, EndKind, Frame, Gender, Half, Latch, Numbering, Part, PartId, PartKind,
    Project, Resistor, SensePinId, Side, TerminalRef, Wire, WireId, WireSize, WireUse,
};
use crate::study::starter::asking::{add_controls, add_pin};
use crate::study::starter::grid::{Grid, frame_name};
use crate::study::starter::{Join, Plan, TEMPCO_PPM_PER_K, Wanted};

/// A ladder as one edit, and the pin it makes.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// The edit; good for the very project it was made for.
    pub edit: Edit,
    /// The sense pin it adds.
    pub pin: SensePinId,
}

/// Draws a plan below what is on the sheet already.
///
/// # Errors
/// What an edit refuses, in one sentence.
pub fn draw(project: &Project, wanted: &Wanted, plan: &Plan) -> Result<Drawn, String> {
    let mut hand = Hand { work: project.clone(), edits: Vec::new() };
    let grid = Grid::new(project, wanted, plan);
    let parts = place_parts(&mut hand, wanted, plan, &grid)?;
    wire_box(&mut hand, wanted, (&parts, &grid))?;
    wire_stations(&mut hand, wanted, (&parts, &grid))?;
    wire_controller(&mut hand, wanted, (&parts, &grid))?;
    for station in 0..wanted.stations.len() {
        if parts.first_contact(station).is_some() {
            let name = frame_name(wanted, station);
            hand.make(Edit::AddFrame(Frame { name, rect: grid.frames[station] }))?;
        }
    }
    let asked = add_controls(&mut hand, wanted, &parts)?;
    let pin = add_pin(&mut hand, wanted, plan, (&parts, &asked))?;
    let title = "start a ladder".to_owned();
    Ok(Drawn { edit: Edit::Together { title, edits: hand.edits }, pin })
}

/// Makes edits on a copy and keeps them, so that identities are known on the way.
pub struct Hand {
    /// The project as it will be.
    pub work: Project,
    edits: Vec<Edit>,
}

impl Hand {
    /// Makes one edit and keeps it.
    pub fn make(&mut self, edit: Edit) -> Result<Applied, String> {
        let applied = apply(&mut self.work, edit.clone()).map_err(|error| error.to_string())?;
        self.edits.push(edit);
        Ok(applied)
    }

    /// A wire; one inside a box gets no marker.
    fn wire(&mut self, wire: Wire) -> Result<(), String> {
        let usage = wire.usage;
        let applied = self.make(Edit::AddWire(wire))?;
        let made = applied.created.iter().next().copied();
        if let (WireUse::Internal, Some(Item::Wire(id))) = (usage, made) {
            self.without_marker(id)?;
        }
        Ok(())
    }

    fn without_marker(&mut self, id: WireId) -> Result<(), String> {
        let Some(wire) = self.work.wires.get(id) else { return Ok(()) };
        let wire = Wire { name: String::new(), ..wire.clone() };
        self.make(Edit::SetWire(id, Box::new(wire))).map(|_| ())
    }
}

/// The parts by what they are for.
pub struct Parts {
    pub controller: PartId,
    resistors: Vec<PartId>,
    end: Option<PartId>,
    /// By station and rung.
    pub contacts: BTreeMap<(usize, usize), PartId>,
    /// Where the rail of a station is joined to those of others, by station; none for a single one.
    joints: BTreeMap<usize, PartId>,
    /// Actions in the order of the rungs.
    pub actions: Vec<usize>,
}

impl Parts {
    /// The contact nearest the controller.
    fn first_contact(&self, station: usize) -> Option<(usize, PartId)> {
        self.of(station).next()
    }

    fn name<'a>(&self, wanted: &'a Wanted, rung: usize) -> &'a str {
        &wanted.actions[self.actions[rung]].name
    }

    fn of(&self, station: usize) -> impl Iterator<Item = (usize, PartId)> + '_ {
        self.contacts
            .iter()
            .filter(move |((of, _), _)| *of == station)
            .map(|((_, rung), part)| (*rung, *part))
    }
}

fn part(kind: PartKind, label: &str, pos: Point, turn: Turn) -> Part {
    let (name, label) = (String::new(), label.to_owned());
    Part { name, label, kind, pos, turn, flip: Flip::Straight, place: None }
}

/// The controller with its two cavities; its place is set once its rows are known.
fn controller(wanted: &Wanted) -> PartKind {
    let far = match wanted.known.side {
        Side::Ground => "return",
        Side::Supply => "reference",
    };
    let cavity = |circuit: &str| Cavity { circuit: circuit.to_owned(), fill: CavityFill::Free };
    PartKind::Controller(Controller {
        plug: Half { name: String::new(), gender: Gender::Sockets, end_kind: EndKind::Sealed },
        layout: CavityLayout::Grid { rows: 1, columns: 2 },
        numbering: Numbering::FORWARD,
        latch: Latch::Up,
        fit: CavityFit::default(),
        cavities: [(1, cavity("signal")), (2, cavity(far))].into(),
    })
}

fn place_parts(
    hand: &mut Hand,
    wanted: &Wanted,
    plan: &Plan,
    grid: &Grid,
) -> Result<Parts, String> {
    let mut list = Vec::new();
    let resistor = |ohm: f64, label: &str, pos: Point, turn: Turn| {
        let tolerance = wanted.tolerance;
        let kind =
            Resistor { ohm, tolerance, tempco_ppm_per_k: TEMPCO_PPM_PER_K, power_watt: 0.25 };
        part(PartKind::Resistor(kind), label, pos, turn)
    };
    let rungs: Vec<(usize, f64)> =
        plan.rungs.iter().filter_map(|rung| rung.action.zip(rung.resistor_ohm)).collect();
    for (n, (_, ohm)) in rungs.iter().enumerate() {
        let x = grid.columns[n];
        list.push(match wanted.join {
            Join::Chain => resistor(*ohm, "", point(x + 12.5, grid.pin_y), Turn::None),
            Join::SideBySide => resistor(*ohm, "", point(x, grid.pin_y + 12.5), Turn::Quarter),
        });
    }
    let last_x = grid.columns[rungs.len() - 1];
    let end = plan.end_ohm().map(|ohm| {
        let y = match wanted.join {
            Join::Chain => grid.pin_y + 15.0,
            Join::SideBySide => grid.pin_y + 12.5,
        };
        list.push(resistor(ohm, "", point(last_x - grid.end_mm, y), Turn::Quarter));
        list.len() - 1
    });
    let mut contacts = BTreeMap::new();
    for station in 0..wanted.stations.len() {
        for (n, (action, _)) in rungs.iter().enumerate() {
            if wanted.actions[*action].devices[station].is_some() {
                let kind = Contact { form: ContactForm::NormallyOpen, closed_ohm: None };
                let pos = point(grid.columns[n], grid.contacts_y[station]);
                let label = &wanted.actions[*action].name;
                contacts.insert((station, n), list.len());
                list.push(part(PartKind::Contact(kind), label, pos, Turn::Quarter));
            }
        }
    }
    let mut joints = BTreeMap::new();
    let is_used = |station: &usize| contacts.keys().any(|(of, _)| of == station);
    if wanted.stations.len() > 1 {
        for station in (0..wanted.stations.len()).filter(is_used) {
            joints.insert(station, list.len());
            let pos = point(grid.riser_x(), grid.rail_y(station));
            list.push(part(PartKind::Splice { on: None, at: None }, "", pos, Turn::None));
        }
    }
    let mut box_ = part(controller(wanted), "Controller", point(0.0, 0.0), Turn::None);
    // Its first row stands level with the pin's row, whatever the size of its face.
    let row = terminal_pos(&box_, 0);
    // Markers stand in the middle of the longest stretch, which must not be where lines come down.
    let room_mm = if wanted.stations.len() > 1 { grid.pitch_mm + 30.0 } else { 35.0 };
    box_.pos = point(grid.return_x() + room_mm - row.x_mm, grid.pin_y - row.y_mm);
    list.push(box_);
    let placement = Placement { noun: "ladder".into(), parts: list, control: None };
    let made = hand.make(Edit::Place(placement))?;
    let ids: Vec<PartId> = made
        .created
        .iter()
        .filter_map(|item| match item {
            Item::Part(id) => Some(*id),
            Item::Wire(_) | Item::Frame(_) => None,
        })
        .collect();
    let at = |idx: usize| ids.get(idx).copied().ok_or("a part was not placed");
    Ok(Parts {
        controller: at(ids.len().saturating_sub(1))?,
        resistors: ids[..rungs.len()].to_vec(),
        actions: rungs.iter().map(|(action, _)| *action).collect(),
        end: end.map(at).transpose()?,
        contacts: ids_of(contacts, &at)?,
        joints: ids_of(joints, &at)?,
    })
}

/// Identities for places in the list.
fn ids_of<K: Ord>(
    places: BTreeMap<K, usize>,
    at: &dyn Fn(usize) -> Result<PartId, &'static str>,
) -> Result<BTreeMap<K, PartId>, &'static str> {
    places.into_iter().map(|(key, idx)| Ok((key, at(idx)?))).collect()
}

fn wire(
    (from, to): ((PartId, u16), (PartId, u16)),
    (circuit, base): (&str, BaseColour),
    usage: WireUse,
    bends: &[Point],
) -> Wire {
    let end = |(part, terminal)| End { terminal: TerminalRef { part, terminal }, kind: None };
    Wire {
        name: String::new(),
        circuit: circuit.to_owned(),
        from: end(from),
        to: end(to),
        bends: bends.to_vec(),
        size: WireSize::Mm2(0.5),
        colour: Colour::plain(base),
        usage,
        via: Vec::new(),
        typed_length_mm: None,
        make: Default::default(),
    }
}

/// Colours of the lines of actions; pin and rail have their own.
const COLOURS: [BaseColour; 6] = [
    BaseColour::Yellow,
    BaseColour::Green,
    BaseColour::Blue,
    BaseColour::Violet,
    BaseColour::Orange,
    BaseColour::Grey,
];

fn rail(wanted: &Wanted) -> (&'static str, BaseColour) {
    match wanted.known.side {
        Side::Ground => ("return", BaseColour::Black),
        Side::Supply => ("reference", BaseColour::Red),
    }
}

/// The terminal of an action's resistor that its contacts hang on.
fn node_of(parts: &Parts, rung: usize, join: Join) -> (PartId, u16) {
    match join {
        Join::Chain => (parts.resistors[rung], 0),
        Join::SideBySide => (parts.resistors[rung], 1),
    }
}

/// Everything inside the first station's box.
fn wire_box(
    hand: &mut Hand,
    wanted: &Wanted,
    (parts, grid): (&Parts, &Grid),
) -> Result<(), String> {
    let inside = WireUse::Internal;
    let signal = ("signal", BaseColour::White);
    let last = parts.resistors.len() - 1;
    for rung in 1..parts.resistors.len() {
        let (ends, line) = match wanted.join {
            Join::Chain => (
                ((parts.resistors[rung - 1], 0), (parts.resistors[rung], 1)),
                (parts.name(wanted, rung - 1), colour(rung - 1)),
            ),
            Join::SideBySide => {
                (((parts.resistors[rung - 1], 0), (parts.resistors[rung], 0)), signal)
            }
        };
        hand.wire(wire(ends, line, inside, &[]))?;
    }
    for (rung, contact) in parts.of(0) {
        let line = (parts.name(wanted, rung), colour(rung));
        let ends = (node_of(parts, rung, wanted.join), (contact, 0));
        hand.wire(wire(ends, line, inside, &[]))?;
    }
    if let Some(end) = parts.end {
        let x = grid.columns[last] - grid.end_mm;
        let (from, line) = match wanted.join {
            Join::Chain => ((parts.resistors[last], 0), (parts.name(wanted, last), colour(last))),
            Join::SideBySide => ((parts.resistors[last], 0), signal),
        };
        hand.wire(wire((from, (end, 0)), line, inside, &[point(x, grid.pin_y)]))?;
        if let Some((_, contact)) = parts.of(0).last() {
            let bend = [point(x, grid.rail_y(0))];
            hand.wire(wire(((end, 1), (contact, 1)), rail(wanted), inside, &bend))?;
        }
    }
    Ok(())
}

fn colour(rung: usize) -> BaseColour {
    COLOURS[rung % COLOURS.len()]
}

/// Rails of all stations, and the lines from each station to the next.
fn wire_stations(
    hand: &mut Hand,
    wanted: &Wanted,
    (parts, grid): (&Parts, &Grid),
) -> Result<(), String> {
    for station in 0..wanted.stations.len() {
        let contacts: Vec<(usize, PartId)> = parts.of(station).collect();
        for pair in contacts.windows(2) {
            let ends = ((pair[0].1, 1), (pair[1].1, 1));
            hand.wire(wire(ends, rail(wanted), WireUse::Internal, &[]))?;
        }
        if let (Some((_, contact)), Some(joint)) = (contacts.first(), parts.joints.get(&station)) {
            let ends = ((*contact, 1), (*joint, 0));
            let bend = [point(grid.columns[0], grid.rail_y(station))];
            hand.wire(wire(ends, rail(wanted), WireUse::Internal, &bend))?;
        }
        if station == 0 {
            continue;
        }
        for (rung, contact) in &contacts {
            let before = (0..station)
                .rev()
                .find_map(|before| Some((before, *parts.contacts.get(&(before, *rung))?)));
            let (at, from) = before
                .map_or((0, node_of(parts, *rung, wanted.join)), |(at, part)| (at, (part, 0)));
            let (x, side) = (grid.columns[*rung], grid.columns[*rung] + grid.side_mm);
            let (top, bottom) = (grid.node_y(at, wanted.join), grid.node_y(station, wanted.join));
            let bends = [point(x, top), point(side, top), point(side, bottom), point(x, bottom)];
            let line = (parts.name(wanted, *rung), colour(*rung));
            hand.wire(wire((from, (*contact, 0)), line, WireUse::Harness, &bends))?;
        }
        let above = parts.joints.range(..station).next_back();
        if let (Some((_, above)), Some(joint)) = (above, parts.joints.get(&station)) {
            let ends = ((*joint, 0), (*above, 0));
            hand.wire(wire(ends, rail(wanted), WireUse::Harness, &[]))?;
        }
    }
    Ok(())
}

/// The two wires from the controller to the first box.
fn wire_controller(
    hand: &mut Hand,
    wanted: &Wanted,
    (parts, grid): (&Parts, &Grid),
) -> Result<(), String> {
    let to = match wanted.join {
        Join::Chain => (parts.resistors[0], 1),
        Join::SideBySide => (parts.resistors[0], 0),
    };
    let ends = ((parts.controller, 0), to);
    hand.wire(wire(ends, ("signal", BaseColour::White), WireUse::Harness, &[]))?;
    let Some((_, contact)) = parts.first_contact(0) else {
        return Err("the first station has no switch".into());
    };
    let x = grid.return_x();
    let row =
        hand.work.parts.get(parts.controller).map_or(grid.pin_y, |part| terminal_pos(part, 1).y_mm);
    let bends = [point(x, row), point(x, grid.rail_y(0))];
    let to = parts.joints.get(&0).map_or((contact, 1), |joint| (*joint, 0));
    let ends = ((parts.controller, 1), to);
    hand.wire(wire(ends, rail(wanted), WireUse::Harness, &bends))
}
