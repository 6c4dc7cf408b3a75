//! Random parts: connectors, controllers, contacts and elements within their bounds.

use std::collections::BTreeMap;

use crate::geometry::{Flip, Turn};
use crate::model::{
    Cavity, CavityFill, CavityFit, CavityLayout, Connector, Contact, ContactForm, Controller,
    Corner, Course, Diode, Draw, Element, EndKind, Fuse, Gender, Half, Input, Latch, Lines, Load,
    LoadForm, Mating, Numbering, OffsetRows, Part, PartKind, PlaceId, Relay, Resistor, RowShift,
    Span, Supply,
};
use crate::random::Random;
use crate::testing::project::{ohm, range, sheet_point, word};
use crate::units::{Range, Tolerant};

pub(super) fn part(r: &mut Random, places: &[PlaceId]) -> Part {
    Part {
        name: word(r),
        label: word(r),
        kind: part_kind(r),
        pos: sheet_point(r),
        turn: r.pick(&[Turn::None, Turn::Quarter, Turn::Half, Turn::ThreeQuarters]),
        flip: r.pick(&[Flip::Straight, Flip::Mirrored]),
        place: if places.is_empty() { None } else { r.maybe(|r| r.pick(places)) },
    }
}

fn part_kind(r: &mut Random) -> PartKind {
    match r.below(12) {
        0 => PartKind::Supply(Supply { volt: range(r) }),
        1 => PartKind::Ground,
        2 => {
            PartKind::Fuse(Fuse { rating_amp: r.pick(&[3.0, 7.5]), cold_ohm: r.between(0.0, 0.1) })
        }
        3..=5 => PartKind::Resistor(Resistor {
            ohm: ohm(r),
            tolerance: r.pick(&[0.0, 0.001, 0.01, 0.05]),
            tempco_ppm_per_k: r.pick(&[0.0, 50.0, 100.0]),
            power_watt: r.pick(&[0.25, 0.6]),
        }),
        6..=7 => {
            let ways = u8::try_from(2 + r.below(23)).unwrap_or(2);
            let form = r.pick(&[
                ContactForm::NormallyOpen,
                ContactForm::NormallyClosed,
                ContactForm::Changeover,
                ContactForm::Ways(ways),
            ]);
            PartKind::Contact(Contact { form, closed_ohm: r.maybe(range) })
        }
        8 => PartKind::Splice { on: None, at: None },
        9 => PartKind::Connector(connector(r)),
        10 => {
            let layout = layout(r);
            PartKind::Controller(Controller {
                plug: half(r),
                layout,
                numbering: numbering(r),
                latch: r.pick(&[Latch::Up, Latch::Down, Latch::Left, Latch::Right]),
                fit: fit(r),
                cavities: cavities(r, layout),
            })
        }
        _ if r.once_in(2) => PartKind::TestPoint,
        _ => PartKind::Element(element(r)),
    }
}

fn element(r: &mut Random) -> Element {
    let above_zero = |r: &mut Random| {
        let ohm = ohm(r);
        Range { low: ohm * 0.9, nominal: ohm, high: ohm * 1.1 }
    };
    let tolerant = |r: &mut Random| Tolerant { nominal: ohm(r), tolerance: 0.05 };
    match r.below(4) {
        0 => Element::Diode(Diode {
            drop_volt: Range { low: 0.4, nominal: r.between(0.4, 0.9), high: 0.9 },
            on_ohm: r.decades(1e-2, 1e3),
            leak_ohm: r.maybe(above_zero),
        }),
        1 => Element::Relay(Relay {
            coil_ohm: above_zero(r),
            pull_in_volt: r.between(4.0, 8.0),
            drop_out_volt: r.between(0.5, 3.0),
            sets: u8::try_from(r.below(4)).unwrap_or(0),
            closed_ohm: r.maybe(range),
        }),
        2 => Element::Load(Load {
            form: r.pick(&[LoadForm::Lamp, LoadForm::Other]),
            draw: if r.once_in(2) {
                Draw::Ohm(above_zero(r))
            } else {
                Draw::Amp(Range::exact(r.decades(1e-3, 10.0)))
            },
        }),
        _ => Element::Input(Input {
            pull_ohm: r.maybe(tolerant),
            pull_volt: r.maybe(|r| Tolerant { nominal: r.between(3.0, 30.0), tolerance: 0.05 }),
        }),
    }
}

fn layout(r: &mut Random) -> CavityLayout {
    let mut few = |most| u16::try_from(1 + r.below(most)).unwrap_or(1);
    let (rows, columns, around) = (few(4), few(12), few(30));
    if r.once_in(4) {
        let shift = r.pick(&[RowShift::Middle, RowShift::Right, RowShift::Left]);
        let counts: Vec<u16> =
            (0..=rows).map(|_| u16::try_from(1 + r.below(8)).unwrap_or(1)).collect();
        OffsetRows::new(&counts, shift)
            .map_or(CavityLayout::Grid { rows, columns }, CavityLayout::Offset)
    } else if r.once_in(3) {
        CavityLayout::Ring { around, centre: r.once_in(2) }
    } else {
        CavityLayout::Grid { rows, columns }
    }
}

fn numbering(r: &mut Random) -> Numbering {
    if r.once_in(2) {
        return r.pick(&[Numbering::FORWARD, Numbering::BACKWARD]);
    }
    Numbering {
        start: r.pick(&Corner::ALL),
        lines: r.pick(&[Lines::Rows, Lines::Columns]),
        course: r.pick(&[Course::Reading, Course::Serpentine]),
    }
}

fn fit(r: &mut Random) -> CavityFit {
    let span = |r: &mut Random| {
        let low = r.decades(0.1, 5.0);
        Span { low, high: low * r.between(1.0, 4.0) }
    };
    CavityFit {
        pitch_mm: r.maybe(|r| r.between(1.0, 10.0)),
        row_pitch_mm: r.maybe(|r| r.between(1.0, 10.0)),
        conductor_mm2: r.maybe(span),
        insulation_mm: r.maybe(span),
    }
}

fn half(r: &mut Random) -> Half {
    Half {
        name: word(r),
        gender: r.pick(&[Gender::Pins, Gender::Sockets]),
        end_kind: r.pick(&EndKind::ALL),
    }
}

fn cavities(r: &mut Random, layout: CavityLayout) -> BTreeMap<u16, Cavity> {
    let mut out = BTreeMap::new();
    for number in 1..=layout.count() {
        if r.once_in(3) {
            let fill = r.pick(&[CavityFill::Free, CavityFill::Existing, CavityFill::Plug]);
            out.insert(number, Cavity { circuit: word(r), fill });
        }
    }
    out
}

fn connector(r: &mut Random) -> Connector {
    let layout = layout(r);
    Connector {
        layout,
        numbering: numbering(r),
        latch: r.pick(&[Latch::Up, Latch::Down, Latch::Left, Latch::Right]),
        fit: fit(r),
        first: half(r),
        second: r.maybe(half),
        mating: r.pick(&[Mating::Mated, Mating::Apart]),
        joint_ohm: r.maybe(range),
        rotating: r.once_in(3),
        cavities: cavities(r, layout),
    }
}
