//! Checks of parts.

use std::collections::BTreeMap;

use crate::geometry::{Flip, Turn};
use crate::model::limits;
use crate::model::{self, CavityLayout, ContactForm, Element, PartKind};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::element;
use crate::store::decode::face;
use crate::store::decode::project::Known;
use crate::store::decode::value;
use crate::store::decode::wiring;
use crate::store::file;

/// One part.
pub fn part(at: &At<'_>, row: file::Part, known: &Known) -> Checked<model::Part> {
    Ok(model::Part {
        name: value::text(&at.field("name"), row.name)?,
        label: value::text(&at.field("label"), row.label)?,
        kind: kind(&at.field("kind"), row.kind, known)?,
        pos: value::point(&at.field("pos_mm"), row.pos_mm)?,
        turn: match row.turn_deg {
            0 => Turn::None,
            90 => Turn::Quarter,
            180 => Turn::Half,
            270 => Turn::ThreeQuarters,
            other => {
                return Err(at
                    .field("turn_deg")
                    .refuse(format!("expected 0, 90, 180 or 270, found {other}")));
            }
        },
        flip: if row.mirrored { Flip::Mirrored } else { Flip::Straight },
        place: row.place.map(|id| known.place(&at.field("place"), id)).transpose()?,
    })
}

fn kind(at: &At<'_>, kind: file::PartKind, known: &Known) -> Checked<PartKind> {
    Ok(match kind {
        file::PartKind::Supply(row) => PartKind::Supply(model::Supply {
            volt: value::range(&at.field("supply").field("volt"), &row.volt, &limits::VOLT)?,
        }),
        file::PartKind::Ground => PartKind::Ground,
        file::PartKind::Fuse(row) => PartKind::Fuse(fuse(&at.field("fuse"), &row)?),
        file::PartKind::Resistor(row) => PartKind::Resistor(resistor(&at.field("resistor"), &row)?),
        file::PartKind::Contact(row) => PartKind::Contact(contact(&at.field("contact"), &row)?),
        file::PartKind::Splice(row) => {
            let splice = at.field("splice");
            let here = splice.field("on_wire");
            let point = splice.field("on_run");
            PartKind::Splice {
                on: row.on_wire.map(|id| known.wire(&here, id)).transpose()?,
                at: row.on_run.map(|at| wiring::run_point(&point, &at, known)).transpose()?,
            }
        }
        file::PartKind::Connector(row) => {
            PartKind::Connector(connector(&at.field("connector"), row)?)
        }
        file::PartKind::Controller(row) => {
            PartKind::Controller(controller(&at.field("controller"), row)?)
        }
        file::PartKind::TestPoint => PartKind::TestPoint,
        file::PartKind::Diode(row) => {
            PartKind::Element(Element::Diode(element::diode(&at.field("diode"), &row)?))
        }
        file::PartKind::Relay(row) => {
            PartKind::Element(Element::Relay(element::relay(&at.field("relay"), &row)?))
        }
        file::PartKind::Load(row) => {
            PartKind::Element(Element::Load(element::load(&at.field("load"), &row)?))
        }
        file::PartKind::Input(row) => {
            PartKind::Element(Element::Input(element::input(&at.field("second input"), &row)?))
        }
    })
}

fn fuse(at: &At<'_>, row: &file::Fuse) -> Checked<model::Fuse> {
    Ok(model::Fuse {
        rating_amp: value::number(&at.field("rating_amp"), row.rating_amp, &limits::RATING_AMP)?,
        cold_ohm: value::number(&at.field("cold_ohm"), row.cold_ohm, &limits::OHM)?,
    })
}

fn resistor(at: &At<'_>, row: &file::Resistor) -> Checked<model::Resistor> {
    Ok(model::Resistor {
        ohm: value::number(&at.field("ohm"), row.ohm, &limits::RESISTOR_OHM)?,
        tolerance: value::number(&at.field("tolerance"), row.tolerance, &limits::TOLERANCE)?,
        tempco_ppm_per_k: value::number(
            &at.field("tempco_ppm_per_k"),
            row.tempco_ppm_per_k,
            &limits::TEMPCO_PPM_PER_K,
        )?,
        power_watt: value::number(&at.field("power_watt"), row.power_watt, &limits::POWER_WATT)?,
    })
}

fn contact(at: &At<'_>, row: &file::Contact) -> Checked<model::Contact> {
    let form = match row.form {
        file::ContactForm::NormallyOpen => ContactForm::NormallyOpen,
        file::ContactForm::NormallyClosed => ContactForm::NormallyClosed,
        file::ContactForm::Changeover => ContactForm::Changeover,
        file::ContactForm::Ways(ways)
            if (limits::WAYS_LEAST..=limits::WAYS_MOST).contains(&ways) =>
        {
            ContactForm::Ways(ways)
        }
        file::ContactForm::Ways(ways) => {
            return Err(at.field("form").field("ways").refuse(format!(
                "expected {} to {} ways, found {ways}",
                limits::WAYS_LEAST,
                limits::WAYS_MOST
            )));
        }
    };
    let here = at.field("closed_ohm");
    Ok(model::Contact {
        form,
        closed_ohm: row
            .closed_ohm
            .as_ref()
            .map(|r| value::range(&here, r, &limits::OHM))
            .transpose()?,
    })
}

fn connector(at: &At<'_>, row: file::Connector) -> Checked<model::Connector> {
    let layout = face::layout(&at.field("layout"), row.layout)?;
    let joint = at.field("joint_ohm");
    let second = at.field("second");
    Ok(model::Connector {
        layout,
        numbering: face::numbering(row.numbering),
        latch: row.latch.into(),
        fit: face::fit(&at.field("fit"), row.fit)?,
        first: half(&at.field("first"), row.first)?,
        second: row.second.map(|row| half(&second, row)).transpose()?,
        mating: row.mating.into(),
        joint_ohm: row
            .joint_ohm
            .as_ref()
            .map(|r| value::range(&joint, r, &limits::OHM))
            .transpose()?,
        rotating: row.rotating,
        cavities: cavities(&at.field("cavities"), row.cavities, layout)?,
    })
}

fn controller(at: &At<'_>, row: file::Controller) -> Checked<model::Controller> {
    let layout = face::layout(&at.field("layout"), row.layout)?;
    Ok(model::Controller {
        plug: half(&at.field("plug"), row.plug)?,
        layout,
        numbering: face::numbering(row.numbering),
        latch: row.latch.into(),
        fit: face::fit(&at.field("fit"), row.fit)?,
        cavities: cavities(&at.field("cavities"), row.cavities, layout)?,
    })
}

fn half(at: &At<'_>, row: file::Half) -> Checked<model::Half> {
    Ok(model::Half {
        name: value::text(&at.field("name"), row.name)?,
        gender: row.gender.into(),
        end_kind: row.end.into(),
    })
}

fn cavities(
    at: &At<'_>,
    rows: Vec<file::Cavity>,
    layout: CavityLayout,
) -> Checked<BTreeMap<u16, model::Cavity>> {
    let mut out = BTreeMap::new();
    for (idx, row) in rows.into_iter().enumerate() {
        let at = at.row(idx);
        let here = at.field("cavity");
        cavity_number(&here, row.cavity, layout)?;
        let circuit = value::text(&at.field("circuit"), row.circuit)?;
        if out.insert(row.cavity, model::Cavity { circuit, fill: row.fill.into() }).is_some() {
            return Err(
                here.refuse(format!("expected each cavity once, found {} again", row.cavity))
            );
        }
    }
    Ok(out)
}

/// A cavity that is there.
pub fn cavity_number(at: &At<'_>, cavity: u16, layout: CavityLayout) -> Checked<u16> {
    if (1..=layout.count()).contains(&cavity) {
        return Ok(cavity);
    }
    Err(at.refuse(format!("expected a cavity from 1 to {}, found {cavity}", layout.count())))
}
