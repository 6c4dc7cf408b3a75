//! Model to file structs. Never fails, whatever the project holds.

use crate::geometry::{self, Flip, Turn};
use crate::model;
use crate::model::{PartKind, Project, TerminalRef};
use crate::store::encode_element;
use crate::store::encode_story;
use crate::store::file;
use crate::store::{encode_bench, encode_cutting, encode_moving};
use crate::store::{encode_face, encode_underlay, encode_wiring};
use crate::units;

/// The whole project.
pub fn project(p: &Project) -> file::Project {
    file::Project {
        format: super::FORMAT.into(),
        version: super::VERSION,
        title: p.title.clone(),
        notes: p.notes.clone(),
        next_id: p.next_id,
        settings: settings(&p.settings),
        parts: p.parts.iter().map(|(id, row)| part(id.0, row)).collect(),
        wires: p.wires.iter().map(|(id, row)| wire(p, id.0, row)).collect(),
        frames: p.frames.iter().map(|(id, row)| frame(id.0, row)).collect(),
        controls: p.controls.iter().map(|(id, row)| control(id.0, row)).collect(),
        sense_pins: p.sense_pins.iter().map(|(id, row)| sense_pin(p, id.0, row)).collect(),
        places: p.places.iter().map(|(id, row)| place(id.0, row)).collect(),
        runs: p.runs.iter().map(|(id, row)| run(id.0, row)).collect(),
        pieces: p.pieces.iter().map(|(id, row)| piece(id.0, row)).collect(),
        bench_runs: p.bench_runs.iter().map(|(id, row)| encode_bench::run(id.0, row)).collect(),
        permit: p
            .permit
            .map(|(from, to)| file::Permit { from: terminal(p, from), to: terminal(p, to) }),
        set_up: p.set_up.iter().map(|(id, row)| encode_story::setting(id.0, row)).collect(),
        changes: p.changes.iter().map(|(id, row)| encode_story::change(id.0, row)).collect(),
        story: encode_story::story(&p.story),
        cutting: encode_cutting::cutting(&p.cutting),
        layout_scale: p.layout_scale,
        underlay: p.underlay.as_ref().map(encode_underlay::underlay),
    }
}

pub(super) fn range(r: units::Range) -> file::Range {
    file::Range { low: r.low, nominal: r.nominal, high: r.high }
}

pub(super) fn tolerant(t: units::Tolerant) -> file::Tolerant {
    file::Tolerant { nominal: t.nominal, tolerance: t.tolerance }
}

fn point(p: geometry::Point) -> file::Point {
    [p.x_mm, p.y_mm]
}

fn terminal(p: &Project, t: TerminalRef) -> file::Terminal {
    let mut out = file::Terminal { part: t.part.0, terminal: None, cavity: None, half: None };
    match p.parts.get(t.part).map(|part| &part.kind) {
        Some(PartKind::Connector(_)) => {
            let (cavity, half) = model::cavity_of_terminal(t.terminal);
            out.cavity = Some(cavity);
            out.half = Some(half.into());
        }
        Some(PartKind::Controller(_)) => out.cavity = Some(t.terminal.saturating_add(1)),
        Some(
            PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Fuse(_)
            | PartKind::Resistor(_)
            | PartKind::Contact(_)
            | PartKind::Splice { .. }
            | PartKind::TestPoint
            | PartKind::Element(_),
        )
        | None => out.terminal = Some(t.terminal),
    }
    if p.parts.get(t.part).is_some_and(|part| part.kind.terminal_count() == 1)
        && out.terminal == Some(0)
    {
        out.terminal = None;
    }
    out
}

fn part(id: u32, row: &model::Part) -> file::Part {
    file::Part {
        id,
        name: row.name.clone(),
        label: row.label.clone(),
        kind: part_kind(&row.kind),
        pos_mm: point(row.pos),
        turn_deg: match row.turn {
            Turn::None => 0,
            Turn::Quarter => 90,
            Turn::Half => 180,
            Turn::ThreeQuarters => 270,
        },
        mirrored: row.flip == Flip::Mirrored,
        place: row.place.map(|id| id.0),
    }
}

fn part_kind(kind: &PartKind) -> file::PartKind {
    match kind {
        PartKind::Supply(supply) => {
            file::PartKind::Supply(file::Supply { volt: range(supply.volt) })
        }
        PartKind::Ground => file::PartKind::Ground,
        PartKind::Fuse(fuse) => file::PartKind::Fuse(file::Fuse {
            rating_amp: fuse.rating_amp,
            cold_ohm: fuse.cold_ohm,
        }),
        PartKind::Resistor(r) => file::PartKind::Resistor(file::Resistor {
            ohm: r.ohm,
            tolerance: r.tolerance,
            tempco_ppm_per_k: r.tempco_ppm_per_k,
            power_watt: r.power_watt,
        }),
        PartKind::Contact(contact) => file::PartKind::Contact(file::Contact {
            form: match contact.form {
                model::ContactForm::NormallyOpen => file::ContactForm::NormallyOpen,
                model::ContactForm::NormallyClosed => file::ContactForm::NormallyClosed,
                model::ContactForm::Changeover => file::ContactForm::Changeover,
                model::ContactForm::Ways(ways) => file::ContactForm::Ways(ways),
            },
            closed_ohm: contact.closed_ohm.map(range),
        }),
        PartKind::Splice { on, at } => file::PartKind::Splice(file::Splice {
            on_wire: on.map(|id| id.0),
            on_run: at.map(encode_wiring::run_point),
        }),
        PartKind::Connector(c) => file::PartKind::Connector(file::Connector {
            layout: encode_face::layout(c.layout),
            numbering: encode_face::numbering(c.numbering),
            latch: c.latch.into(),
            fit: encode_face::fit(c.fit),
            first: half(&c.first),
            second: c.second.as_ref().map(half),
            mating: c.mating.into(),
            joint_ohm: c.joint_ohm.map(range),
            rotating: c.rotating,
            cavities: c.cavities.iter().map(cavity).collect(),
        }),
        PartKind::Controller(c) => file::PartKind::Controller(file::Controller {
            plug: half(&c.plug),
            layout: encode_face::layout(c.layout),
            numbering: encode_face::numbering(c.numbering),
            latch: c.latch.into(),
            fit: encode_face::fit(c.fit),
            cavities: c.cavities.iter().map(cavity).collect(),
        }),
        PartKind::TestPoint => file::PartKind::TestPoint,
        PartKind::Element(element) => encode_element::element(element),
    }
}

fn half(half: &model::Half) -> file::Half {
    file::Half { name: half.name.clone(), gender: half.gender.into(), end: half.end_kind.into() }
}

fn cavity((number, cavity): (&u16, &model::Cavity)) -> file::Cavity {
    file::Cavity { cavity: *number, circuit: cavity.circuit.clone(), fill: cavity.fill.into() }
}

fn wire(p: &Project, id: u32, row: &model::Wire) -> file::Wire {
    file::Wire {
        id,
        name: row.name.clone(),
        circuit: row.circuit.clone(),
        from: terminal(p, row.from.terminal),
        from_end: row.from.kind.map(Into::into),
        to: terminal(p, row.to.terminal),
        to_end: row.to.kind.map(Into::into),
        size: size(row.size),
        colour: colour(row.colour),
        usage: row.usage.into(),
        bends_mm: row.bends.iter().copied().map(point).collect(),
        via_places: row.via.iter().map(|id| id.0).collect(),
        typed_length_mm: row.typed_length_mm,
        make: encode_wiring::make(&row.make),
    }
}

pub(super) fn size(size: model::WireSize) -> file::WireSize {
    match size {
        model::WireSize::Mm2(area) => file::WireSize::Mm2(area),
        model::WireSize::Awg(gauge) => file::WireSize::Awg(gauge),
    }
}

pub(super) fn colour(colour: model::Colour) -> file::Colour {
    file::Colour { base: colour.base.into(), tracer: colour.tracer.map(Into::into) }
}

fn frame(id: u32, row: &model::Frame) -> file::Frame {
    file::Frame {
        id,
        name: row.name.clone(),
        min_mm: point(row.rect.min),
        max_mm: point(row.rect.max),
    }
}

fn control(id: u32, row: &model::Control) -> file::Control {
    file::Control {
        id,
        name: row.name.clone(),
        kind: row.kind.into(),
        positions: row
            .positions
            .iter()
            .map(|position| file::Position {
                name: position.name.clone(),
                throws: position
                    .throws
                    .iter()
                    .map(|(contact, throw)| file::Throw { contact: contact.0, throw: *throw })
                    .collect(),
            })
            .collect(),
        rest: row.rest,
        needs: row
            .needs
            .map(|need| file::Stand { control: need.control.0, position: need.position }),
    }
}

fn sense_pin(p: &Project, id: u32, row: &model::SensePin) -> file::SensePin {
    file::SensePin {
        id,
        name: row.name.clone(),
        terminal: terminal(p, row.terminal),
        reference: terminal(p, row.reference),
        side: row.side.into(),
        pull_ohm: row.pull_ohm.map(tolerant),
        reference_volt: row.reference_volt.map(tolerant),
        full_scale_volt: row.full_scale.map(|full_scale| match full_scale {
            model::FullScale::Ratiometric { volt } => file::FullScale::Ratiometric(volt),
            model::FullScale::Fixed(value) => file::FullScale::Fixed(tolerant(value)),
        }),
        converter: row
            .converter
            .map(|c| file::Converter { max_count: c.max_count, error_count: c.error_count }),
        limit_volt: row.limit_volt,
        debounce_ms: row.debounce_ms,
        arming: row.arming.clone(),
        wire_loop_ohm: row.wire_loop_ohm.map(range),
        leak_low_ohm: row.leak_low_ohm,
        ground_offset_volt: row.ground_offset_volt,
        scale: row.scale.into(),
        bands: row
            .bands
            .iter()
            .map(|band| file::Band {
                name: band.name.clone(),
                role: band.role.into(),
                low: band.low,
                high: band.high,
                harm: band.harm.into(),
            })
            .collect(),
        expectations: row
            .expectations
            .iter()
            .map(|expectation| file::Expectation {
                when: expectation
                    .when
                    .iter()
                    .map(|(control, position)| file::Stand {
                        control: control.0,
                        position: *position,
                    })
                    .collect(),
                action: expectation.action.clone(),
            })
            .collect(),
    }
}

fn place(id: u32, row: &model::Place) -> file::Place {
    file::Place { id, name: row.name.clone(), pos_mm: point(row.pos) }
}

fn run(id: u32, row: &model::Run) -> file::Run {
    file::Run {
        id,
        name: row.name.clone(),
        from_place: row.from.0,
        to_place: row.to.0,
        length_mm: row.length_mm,
        loop_mm: row.loop_mm,
        laid: encode_wiring::laid(&row.laid),
    }
}

fn piece(id: u32, row: &model::Piece) -> file::Piece {
    file::Piece {
        id,
        name: row.name.clone(),
        size: size(row.size),
        colour: colour(row.colour),
        length_mm: row.length_mm,
        outside_mm: row.outside_mm,
        measured_ohm: row.measured_ohm,
        condition: row.condition.clone(),
        source: row.source.clone(),
    }
}

fn settings(s: &model::Settings) -> file::Settings {
    file::Settings {
        contact_ohm: range(s.contact_ohm),
        joint_ohm: range(s.joint_ohm),
        temperature_span_k: s.temperature_span_k,
        wire_model: s.wire_model.into(),
        length_factor: s.length_factor,
        rounding_mm: s.rounding_mm,
        allowances: file::Allowances {
            sealed_mm: s.allowances.sealed_mm,
            inline_mm: s.allowances.inline_mm,
            tag_mm: s.allowances.tag_mm,
            splice_mm: s.allowances.splice_mm,
            ring_mm: s.allowances.ring_mm,
        },
        meter: encode_bench::meter(&s.meter),
        timing: encode_moving::timing(&s.timing),
        wiring: encode_wiring::wiring(&s.wiring),
    }
}
