//! The project's rules for wire: temperatures, limits, the ampacity rule, tables of the user's own.

use crate::model::make::Insulation;
use crate::model::wire::WireSize;

/// A published rule for how much current a wire may carry. They disagree by design: vacuum, boats
/// and aircraft differ, so one is named and none is averaged with another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AmpacityRule {
    /// 33 CFR 183.425 Table 5: boats below 50 V.
    Boats,
    /// FAA AC 43.13-1B Table 11-9: wires in a large bundle of an aircraft.
    AircraftBundle,
    /// The user's own figure for a single wire, times the bundle factor of MIL-STD-975M App. A 3.16.
    OwnTable,
}

impl AmpacityRule {
    /// All rules, in the order they are listed.
    pub const ALL: [Self; 3] = [Self::Boats, Self::AircraftBundle, Self::OwnTable];

    /// Its name, with the document and clause.
    pub fn name(self) -> &'static str {
        match self {
            Self::Boats => "33 CFR 183.425 Table 5",
            Self::AircraftBundle => "FAA AC 43.13-1B Table 11-9",
            Self::OwnTable => "own table, bundle factor of MIL-STD-975M Appendix A 3.16",
        }
    }
}

/// A row of the user's own wire table; goes before every table of the program.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnWire {
    /// The size the row is for.
    pub size: WireSize,
    /// The insulation type the row is for; `None` for all.
    pub insulation: Option<Insulation>,
    /// Ohms per metre at 20 °C.
    pub ohm_per_m: Option<f64>,
    /// Outside diameter in millimetres.
    pub outside_mm: Option<f64>,
    /// Amperes of one wire by itself in air.
    pub single_amp: Option<f64>,
    /// Where the figures come from, in words.
    pub source: String,
}

/// The project's rules for wire. Everything may be left open.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wiring {
    /// Temperature around the harness in degrees Celsius.
    pub ambient_c: Option<f64>,
    /// Temperature in hot zones in degrees Celsius.
    pub hot_c: Option<f64>,
    /// The rule for current.
    pub ampacity: Option<AmpacityRule>,
    /// Greatest voltage drop, out and back, as a fraction of the supply.
    pub drop_limit: Option<f64>,
    /// Voltage the drop is judged against, in volts; `None` takes the drawn supply.
    pub supply_volt: Option<f64>,
    /// Insulation type of wires that name none.
    pub insulation: Option<Insulation>,
    /// Temperature the insulation stands, in degrees Celsius, of wires that name none.
    pub rating_c: Option<f64>,
    /// The user's own table.
    pub own_wires: Vec<OwnWire>,
}
