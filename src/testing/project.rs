//! Random projects that are well-formed but make no sense as circuits.
//!
//! Every reference leads somewhere and every number is in bounds; loops, floating bits, contacts
//! nobody moves, odd texts and bands that overlap are wanted.

use std::collections::BTreeMap;

use crate::geometry::{Point, Rect, point};
use crate::model::{
    Allowances, Band, BandRole, BaseColour, Colour, Control, ControlId, ControlKind, Converter,
    End, EndKind, Expectation, Frame, FullScale, Harm, MeterProfile, Need, PartId, PartKind, Piece,
    Place, PlaceId, Position, Project, Run, RunId, RunPoint, Scale, SensePin, Settings, Side,
    TerminalRef, Timing, Underlay, Wire, WireId, WireModel, WireSize, WireUse,
};
use crate::random::Random;
use crate::testing::parts::part;
use crate::testing::{bench, wiring};
use crate::units::{Range, Tolerant};

/// A random project of a seed, with about `size` parts.
pub fn project(seed: u64, size: usize) -> Project {
    let r = &mut Random::new(seed);
    let mut p = Project::empty(&word(r));
    p.notes = if r.once_in(3) { word(r) } else { String::new() };
    if r.once_in(2) {
        p.settings = settings(r);
    }
    for _ in 0..r.below(size / 3 + 2) {
        skip_ids(&mut p, r);
        let id = p.fresh_id();
        let row = Place { name: word(r), pos: sheet_point(r) };
        p.places.put(id, row);
    }
    let places: Vec<PlaceId> = p.places.ids().collect();
    for _ in 0..if places.is_empty() { 0 } else { r.below(size / 2 + 2) } {
        let id = p.fresh_id();
        let row = Run {
            name: word(r),
            from: r.pick(&places),
            to: r.pick(&places),
            length_mm: r.decades(1.0, 1e4),
            loop_mm: r.maybe(|r| r.between(0.0, 200.0)),
            laid: wiring::laid(r, word),
        };
        p.runs.put(id, row);
    }
    for _ in 0..r.below(size + 1) + 1 {
        skip_ids(&mut p, r);
        let id = p.fresh_id();
        let row = part(r, &places);
        p.parts.put(id, row);
    }
    add_wires(&mut p, r, size, &places);
    add_splices_on_wires(&mut p, r);
    for _ in 0..r.below(4) {
        let id = p.fresh_id();
        let row = Frame { name: word(r), rect: Rect::spanning(sheet_point(r), sheet_point(r)) };
        p.frames.put(id, row);
    }
    add_controls(&mut p, r, size / 4 + 1);
    add_sense_pins(&mut p, r);
    for _ in 0..r.below(4) {
        let id = p.fresh_id();
        let row = piece(r);
        p.pieces.put(id, row);
    }
    crate::testing::cutting::add_cutting(&mut p, r);
    skip_ids(&mut p, r);
    bench::add_runs(&mut p, r);
    p.permit = r.maybe(|r| (terminal(&p, r), terminal(&p, r))).filter(|(from, to)| from != to);
    p.layout_scale = r.maybe(|r| r.decades(1e-3, 1e3));
    p.underlay = r.maybe(underlay);
    crate::testing::story::add_story(&mut p, r);
    p
}

/// Bytes that make no picture; nothing below the window minds.
fn underlay(r: &mut Random) -> Underlay {
    Underlay {
        name: word(r),
        bytes: (0..1 + r.below(40)).map(|_| r.below(256) as u8).collect(),
        pos: sheet_point(r),
        width_mm: r.decades(1.0, 1e4),
        opacity: r.between(0.0, 1.0),
    }
}

/// Leaves gaps between the ids, as deleted rows do.
fn skip_ids(p: &mut Project, r: &mut Random) {
    if r.once_in(4) {
        p.next_id += u32::try_from(r.below(40)).unwrap_or(0);
    }
}

pub(super) fn word(r: &mut Random) -> String {
    const WORDS: [&str; 12] = [
        "",
        "R1",
        "lever base",
        "12 V feed",
        "Ω ± µ ²",
        "say \"go\" \\ stop",
        "two\nlines\tand a tab",
        "{\"id\": [1.0, null]}",
        "-0.0",
        "naïve Größe ∥ ⏚",
        "\u{7f}\u{1}\u{2028}",
        "🚜 on ice",
    ];
    r.pick(&WORDS).to_owned()
}

pub(super) fn sheet_point(r: &mut Random) -> Point {
    let snapped = point(r.between(-500.0, 500.0), r.between(-500.0, 500.0)).snapped(2.5);
    if r.once_in(5) { point(r.between(-1e6, 1e6), r.between(-1.0, 1.0)) } else { snapped }
}

pub(super) fn range(r: &mut Random) -> Range {
    let mut values = [r.decades(1e-3, 1e6), r.decades(1e-3, 1e6), r.decades(1e-3, 1e6)];
    values.sort_by(f64::total_cmp);
    match r.below(3) {
        0 => Range::up_to(values[2]),
        1 => Range::exact(values[1]),
        _ => Range { low: values[0], nominal: values[1], high: values[2] },
    }
}

pub(super) fn tolerant(r: &mut Random) -> Tolerant {
    Tolerant {
        nominal: r.decades(1e-3, 1e6),
        tolerance: if r.once_in(2) { 0.01 } else { r.between(0.0, 0.9) },
    }
}

pub(super) fn ohm(r: &mut Random) -> f64 {
    match r.below(3) {
        0 => r.pick(&[470.0, 1210.0, 3480.0, 6810.0, 22e3]),
        1 => r.decades(1.0, 1e9),
        // Nearly equal values are the hard ones for arithmetic.
        _ => 1000.0 * (1.0 + f64::EPSILON * r.below(8) as f64),
    }
}

fn settings(r: &mut Random) -> Settings {
    Settings {
        contact_ohm: range(r),
        joint_ohm: range(r),
        temperature_span_k: r.between(0.0, 100.0),
        wire_model: r.pick(&[WireModel::Ideal, WireModel::ByLength]),
        length_factor: r.between(1.0, 1.2),
        allowances: Allowances {
            sealed_mm: r.between(0.0, 100.0),
            inline_mm: 80.0,
            tag_mm: r.between(0.0, 100.0),
            splice_mm: 0.0,
            ring_mm: 30.0,
        },
        rounding_mm: r.pick(&[1.0, 5.0, 10.0, 25.4]),
        meter: MeterProfile::plain(r.between(0.0, 0.05), r.between(0.0, 1.0)),
        timing: if r.once_in(2) {
            Timing::USUAL
        } else {
            Timing {
                skew_ms: r.between(0.0, 200.0),
                change_ms: r.between(0.0, 20.0),
                bounce_ms: 0.0,
            }
        },
        wiring: wiring::wiring(r, word),
    }
}

/// A terminal that exists.
fn terminal(p: &Project, r: &mut Random) -> TerminalRef {
    let ids: Vec<PartId> = p.parts.ids().collect();
    let part = r.pick(&ids);
    let count = p.parts.get(part).map_or(1, |row| row.kind.terminal_count());
    let terminal = u16::try_from(r.below(usize::from(count))).unwrap_or(0);
    let out = TerminalRef { part, terminal };
    // The only terminals that are missing in between are those of a second half that is not there.
    if p.has_terminal(out) { out } else { TerminalRef { part, terminal: terminal - 1 } }
}

pub(super) fn colour(r: &mut Random) -> Colour {
    Colour { base: r.pick(&BaseColour::ALL), tracer: r.maybe(|r| r.pick(&BaseColour::ALL)) }
}

pub(super) fn size(r: &mut Random) -> WireSize {
    let area = r.pick(&[0.35, 0.5, 1.0, 2.5]);
    let gauge = i32::try_from(r.below(40)).unwrap_or(0) - 3;
    r.pick(&[WireSize::Mm2(area), WireSize::Awg(gauge)])
}

fn add_wires(p: &mut Project, r: &mut Random, size_parts: usize, places: &[PlaceId]) {
    for _ in 0..r.below(2 * size_parts + 2) {
        let id: WireId = p.fresh_id();
        let row = Wire {
            name: word(r),
            circuit: word(r),
            from: End { terminal: terminal(p, r), kind: r.maybe(|r| r.pick(&EndKind::ALL)) },
            to: End { terminal: terminal(p, r), kind: r.maybe(|r| r.pick(&EndKind::ALL)) },
            bends: (0..r.below(4)).map(|_| sheet_point(r)).collect(),
            size: size(r),
            colour: colour(r),
            usage: r.pick(&[WireUse::Harness, WireUse::Internal]),
            via: if places.is_empty() {
                Vec::new()
            } else {
                (0..r.below(3)).map(|_| r.pick(places)).collect()
            },
            typed_length_mm: r.maybe(|r| r.decades(10.0, 1e4)),
            make: Box::new(wiring::make(r, word)),
        };
        p.wires.put(id, row);
    }
}

fn add_splices_on_wires(p: &mut Project, r: &mut Random) {
    let wires: Vec<WireId> = p.wires.ids().collect();
    let runs: Vec<(RunId, PlaceId)> = p.runs.iter().map(|(id, run)| (id, run.to)).collect();
    let ids: Vec<PartId> = p.parts.ids().collect();
    for id in ids {
        if let Some(row) = p.parts.get_mut(id)
            && let PartKind::Splice { on, at } = &mut row.kind
        {
            if !wires.is_empty() {
                *on = r.maybe(|r| r.pick(&wires));
            }
            if !runs.is_empty() {
                let (run, from) = r.pick(&runs);
                let distance_mm = r.between(0.0, 500.0);
                *at = r.maybe(|_| RunPoint { run, from, distance_mm });
            }
        }
    }
}

fn add_controls(p: &mut Project, r: &mut Random, most: usize) {
    let contacts: Vec<(PartId, u8)> = p
        .parts
        .iter()
        .filter_map(|(id, row)| match &row.kind {
            PartKind::Contact(contact) => Some((id, contact.form.throws())),
            _ => None,
        })
        .collect();
    for _ in 0..r.below(most + 1) {
        let id: ControlId = p.fresh_id();
        let most = if r.once_in(8) { 23 } else { 3 };
        let n_positions = 2 + r.below(most);
        let positions: Vec<Position> = (0..n_positions)
            .map(|_| {
                let mut throws = BTreeMap::new();
                for (contact, n_throws) in &contacts {
                    if r.once_in(3) {
                        throws.insert(
                            *contact,
                            u8::try_from(r.below(usize::from(*n_throws))).unwrap_or(0),
                        );
                    }
                }
                Position { name: word(r), throws }
            })
            .collect();
        let row = Control {
            name: word(r),
            kind: r.pick(&[
                ControlKind::Momentary,
                ControlKind::SpringReturn,
                ControlKind::Maintained,
                ControlKind::Selector,
            ]),
            positions,
            rest: u8::try_from(r.below(n_positions)).unwrap_or(0),
            needs: None,
        };
        p.controls.put(id, row);
    }
    let ids: Vec<ControlId> = p.controls.ids().collect();
    for id in &ids {
        if r.once_in(3) {
            let need = stand(p, r, next_after(&ids, *id));
            if let Some(row) = p.controls.get_mut(*id) {
                row.needs = Some(Need { control: need.0, position: need.1 });
            }
        }
    }
}

/// The control after `id`, which may be `id` itself.
fn next_after(ids: &[ControlId], id: ControlId) -> ControlId {
    ids.iter().copied().find(|other| *other > id).unwrap_or(id)
}

fn stand(p: &Project, r: &mut Random, id: ControlId) -> (ControlId, u8) {
    let n_positions = p.controls.get(id).map_or(1, |row| row.positions.len());
    (id, u8::try_from(r.below(n_positions)).unwrap_or(0))
}

fn add_sense_pins(p: &mut Project, r: &mut Random) {
    let ids: Vec<ControlId> = p.controls.ids().collect();
    for _ in 0..r.below(4) {
        let id = p.fresh_id();
        let bands = (0..r.below(6))
            .map(|_| {
                let low = r.decades(1e-2, 1e4);
                Band {
                    name: word(r),
                    role: r.pick(&[
                        BandRole::Action,
                        BandRole::Idle,
                        BandRole::Open,
                        BandRole::Short,
                    ]),
                    low,
                    high: r.maybe(|r| low + r.decades(1e-2, 1e4)),
                    harm: r.pick(&Harm::ALL),
                }
            })
            .collect();
        let expectations = (0..r.below(5))
            .map(|_| {
                let mut when = BTreeMap::new();
                for id in &ids {
                    if r.once_in(2) {
                        let (id, position) = stand(p, r, *id);
                        when.insert(id, position);
                    }
                }
                Expectation { when, action: word(r) }
            })
            .collect();
        let volt = r.decades(1.0, 30.0);
        let fixed = FullScale::Fixed(tolerant(r));
        let row = SensePin {
            name: word(r),
            terminal: terminal(p, r),
            reference: terminal(p, r),
            side: r.pick(&[Side::Ground, Side::Supply]),
            pull_ohm: r.maybe(tolerant),
            reference_volt: r.maybe(tolerant),
            full_scale: r.maybe(|r| r.pick(&[FullScale::Ratiometric { volt }, fixed])),
            converter: r.maybe(|r| Converter {
                max_count: r.pick(&[255, 1023, 4095]),
                error_count: r.between(0.0, 8.0),
            }),
            limit_volt: r.maybe(|r| r.decades(1.0, 40.0)),
            scale: r.pick(&[Scale::Ohm, Scale::Volt, Scale::Count, Scale::Percent]),
            bands,
            expectations,
            debounce_ms: r.maybe(|r| r.between(0.0, 200.0)),
            arming: word(r),
            wire_loop_ohm: r.maybe(range),
            leak_low_ohm: r.maybe(|r| r.decades(1e3, 1e9)),
            ground_offset_volt: if r.once_in(2) { 0.0 } else { r.between(0.0, 1.0) },
        };
        p.sense_pins.put(id, row);
    }
}

fn piece(r: &mut Random) -> Piece {
    Piece {
        name: word(r),
        colour: colour(r),
        size: size(r),
        length_mm: r.decades(10.0, 1e5),
        outside_mm: r.maybe(|r| r.between(0.5, 5.0)),
        measured_ohm: r.maybe(|r| r.between(0.0, 2.0)),
        condition: word(r),
        source: word(r),
    }
}
