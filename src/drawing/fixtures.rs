//! Parts and projects for the tests of this module.

use std::collections::BTreeMap;

use crate::geometry::{Flip, Point, Turn, point};
use crate::model::{
    BaseColour, Cavity, CavityFill, CavityFit, CavityLayout, Colour, Connector, Contact,
    ContactForm, Controller, Diode, Draw, Element, End, EndKind, Fuse, Gender, Half, Input, Latch,
    Load, LoadForm, Mating, Numbering, Part, PartId, PartKind, Project, Relay, Resistor, Supply,
    TerminalRef, Wire, WireId, WireSize, WireUse,
};
use crate::units::Range;

/// A part at the origin.
pub(super) fn part_of(kind: PartKind) -> Part {
    Part {
        name: format!("{}1", kind.letter()),
        label: String::new(),
        kind,
        pos: point(0.0, 0.0),
        turn: Turn::None,
        flip: Flip::Straight,
        place: None,
    }
}

/// A resistor at the origin.
pub(super) fn resistor_part(name: &str, ohm: f64) -> Part {
    let value = Resistor { ohm, tolerance: 0.01, tempco_ppm_per_k: 100.0, power_watt: 0.25 };
    Part { name: name.to_owned(), ..part_of(PartKind::Resistor(value)) }
}

/// A contact at the origin.
pub(super) fn contact_part(form: ContactForm) -> Part {
    part_of(PartKind::Contact(Contact { form, closed_ohm: None }))
}

/// A splice at the origin.
pub(super) fn splice_part(on: Option<WireId>) -> Part {
    part_of(PartKind::Splice { on, at: None })
}

fn half(name: &str) -> Half {
    Half { name: name.to_owned(), gender: Gender::Sockets, end_kind: EndKind::Sealed }
}

fn connector_part(layout: CavityLayout, second: Option<Half>, mating: Mating) -> Part {
    part_of(PartKind::Connector(Connector {
        layout,
        numbering: Numbering::FORWARD,
        latch: Latch::Up,
        fit: CavityFit::default(),
        first: half("X1"),
        second,
        mating,
        joint_ohm: None,
        rotating: mating == Mating::Mated,
        cavities: BTreeMap::new(),
    }))
}

fn controller_part(layout: CavityLayout, latch: Latch, listed: &[u16]) -> Part {
    let cavity = |fill| Cavity { circuit: "RANGE signal".into(), fill };
    let mut cavities: BTreeMap<u16, Cavity> =
        listed.iter().map(|n| (*n, cavity(CavityFill::Free))).collect();
    cavities.insert(1, cavity(CavityFill::Plug));
    part_of(PartKind::Controller(Controller {
        plug: half("X1"),
        layout,
        numbering: Numbering::BACKWARD,
        latch,
        fit: CavityFit::default(),
        cavities,
    }))
}

/// Parts of every kind and form.
pub(super) fn one_of_each() -> Vec<Part> {
    let grid = |rows, columns| CavityLayout::Grid { rows, columns };
    let ring = CavityLayout::Ring { around: 6, centre: true };
    let mut parts = vec![
        part_of(PartKind::Supply(Supply { volt: Range { low: 10.5, nominal: 12.0, high: 14.7 } })),
        part_of(PartKind::Ground),
        part_of(PartKind::Fuse(Fuse { rating_amp: 2.0, cold_ohm: 0.0 })),
        resistor_part("R1", 6810.0),
        splice_part(None),
        part_of(PartKind::TestPoint),
        connector_part(grid(2, 8), Some(half("X2")), Mating::Mated),
        connector_part(ring, Some(half("X1")), Mating::Apart),
        connector_part(grid(1, 3), None, Mating::Mated),
        controller_part(grid(2, 8), Latch::Up, &[2, 11]),
        controller_part(grid(2, 6), Latch::Down, &[12]),
        controller_part(ring, Latch::Left, &[3, 7]),
        controller_part(grid(1, 3), Latch::Right, &[]),
    ];
    for form in [
        ContactForm::NormallyOpen,
        ContactForm::NormallyClosed,
        ContactForm::Changeover,
        ContactForm::Ways(4),
        ContactForm::Ways(5),
    ] {
        parts.push(contact_part(form));
    }
    parts.extend(elements().into_iter().map(|element| part_of(PartKind::Element(element))));
    parts
}

fn elements() -> [Element; 5] {
    let draw = Draw::Amp(Range::exact(0.2));
    let lamp = Draw::Ohm(Range::exact(72.0));
    [
        Element::Diode(Diode::silicon()),
        Element::Relay(Relay { sets: 2, ..Relay::for_supply(12.0) }),
        Element::Load(Load { form: LoadForm::Other, draw }),
        Element::Load(Load { form: LoadForm::Lamp, draw: lamp }),
        Element::Input(Input { pull_ohm: None, pull_volt: None }),
    ]
}

/// A project of these parts, numbered from 1.
pub(super) fn project_of(parts: &[Part]) -> (Project, Vec<PartId>) {
    let mut project = Project::empty("drawing");
    let ids = parts
        .iter()
        .map(|part| {
            let id = project.fresh_id();
            project.parts.put(id, part.clone());
            id
        })
        .collect();
    (project, ids)
}

/// The project with one wire more.
pub(super) fn wire(
    mut project: Project,
    from: (PartId, u16),
    to: (PartId, u16),
    bends: &[Point],
) -> (Project, WireId) {
    let end = |(part, terminal)| End { terminal: TerminalRef { part, terminal }, kind: None };
    let id = project.fresh_id();
    let row = Wire {
        name: String::new(),
        circuit: String::new(),
        from: end(from),
        to: end(to),
        bends: bends.to_vec(),
        size: WireSize::Mm2(0.5),
        colour: Colour::plain(BaseColour::Violet),
        usage: WireUse::Harness,
        via: Vec::new(),
        typed_length_mm: None,
        make: Default::default(),
    };
    project.wires.put(id, row);
    (project, id)
}

/// Every stretch is level or upright, none is empty, and none runs straight on or back.
pub(super) fn assert_right_angles(path: &[Point]) {
    assert!(path.len() >= 2, "{path:?}");
    let way = |pair: &[Point]| (pair[1].x_mm - pair[0].x_mm, pair[1].y_mm - pair[0].y_mm);
    for pair in path.windows(2) {
        let (dx, dy) = way(pair);
        assert!((dx == 0.0) != (dy == 0.0), "{path:?}");
    }
    for three in path.windows(3) {
        let (before, after) = (way(&three[..2]), way(&three[1..]));
        assert!(before.0 * after.0 + before.1 * after.1 <= 0.0, "straight corner in {path:?}");
    }
}

/// A small seeded source of numbers (a linear congruence).
pub(super) struct Seeded(pub u64);

impl Seeded {
    /// A number below `end`.
    pub(super) fn below(&mut self, end: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % end
    }
}
