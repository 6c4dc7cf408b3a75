//! Settings that belong to the project and travel with its file.

use crate::model::meter::MeterProfile;
use crate::model::timing::Timing;
use crate::model::wire::EndKind;
use crate::model::wiring::Wiring;
use crate::units::Range;

/// How wires enter the circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WireModel {
    /// No resistance.
    Ideal,
    /// Routed length times resistance per metre, where the route is known.
    ByLength,
}

/// What each kind of wire end adds to the length, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Allowances {
    /// Sealed connector.
    pub sealed_mm: f64,
    /// Inline connector.
    pub inline_mm: f64,
    /// Tag.
    pub tag_mm: f64,
    /// Splice.
    pub splice_mm: f64,
    /// Ring.
    pub ring_mm: f64,
}

impl Allowances {
    /// Allowance of one kind of end in millimetres.
    pub fn of(&self, kind: EndKind) -> f64 {
        match kind {
            EndKind::Sealed => self.sealed_mm,
            EndKind::Inline => self.inline_mm,
            EndKind::Tag => self.tag_mm,
            EndKind::Splice => self.splice_mm,
            EndKind::Ring => self.ring_mm,
        }
    }
}

/// All project settings.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Closed contact, in ohms.
    pub contact_ohm: Range,
    /// One mated joint of a connector, in ohms.
    pub joint_ohm: Range,
    /// How far the temperature may go from that of the room, in kelvin.
    pub temperature_span_k: f64,
    /// How wires enter the circuit.
    pub wire_model: WireModel,
    /// Routed length is multiplied by this for the way around corners.
    pub length_factor: f64,
    /// End allowances.
    pub allowances: Allowances,
    /// Cut lengths are rounded up to a multiple of this, in millimetres.
    pub rounding_mm: f64,
    /// The meter.
    pub meter: MeterProfile,
    /// What a hand and its contacts take.
    pub timing: Timing,
    /// Rules for wire.
    pub wiring: Wiring,
}

impl Settings {
    /// What a new project starts with. Common practice, no source.
    pub fn for_new_project() -> Self {
        Self {
            contact_ohm: Range::up_to(3.0),
            joint_ohm: Range::exact(0.0),
            temperature_span_k: 60.0,
            wire_model: WireModel::ByLength,
            length_factor: 1.03,
            allowances: Allowances {
                sealed_mm: 80.0,
                inline_mm: 80.0,
                tag_mm: 40.0,
                splice_mm: 40.0,
                ring_mm: 30.0,
            },
            rounding_mm: 10.0,
            meter: MeterProfile::plain(0.01, 0.5),
            timing: Timing::USUAL,
            wiring: Wiring::default(),
        }
    }
}
