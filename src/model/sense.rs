//! Sense pins: how the controller measures one pin, and what it makes of the reading.

use std::collections::BTreeMap;

use crate::model::id::ControlId;
use crate::model::part::TerminalRef;
use crate::units::{self, Range, Tolerant};

/// Which way the switches pull the pin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Switches join the pin to the return; the pull goes up to the reference voltage.
    Ground,
    /// Switches join the pin to the supply or reference; the pull goes down to ground.
    Supply,
}

/// What the numbers of the bands are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Ohms between the pin and its reference terminal.
    Ohm,
    /// Volts at the pin.
    Volt,
    /// Counts of the converter.
    Count,
    /// Percent of full scale.
    Percent,
}

impl Scale {
    /// A number of the scale with its unit: `1.027 kΩ`, `0.053 V`, `12 counts`, `3.2 %`.
    pub fn text(self, value: f64) -> String {
        match self {
            Self::Ohm if value < 0.0 => format!("-{}", units::format_ohm(-value)),
            Self::Ohm => units::format_ohm(value),
            Self::Volt => format!("{value:.3} V"),
            Self::Count | Self::Percent => {
                format!("{} {}", units::trim_zeros(&format!("{value:.1}")), self.unit())
            }
        }
    }

    /// Unit behind a number of this scale.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Ohm => "Ω",
            Self::Volt => "V",
            Self::Count => "counts",
            Self::Percent => "%",
        }
    }
}

/// What being in a band means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BandRole {
    /// The machine does something.
    Action,
    /// The machine knows that nothing is asked for.
    Idle,
    /// The controller reports a broken wire.
    Open,
    /// The controller reports a short.
    Short,
}

/// How bad it is when the machine does this without being asked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Harm {
    /// Nobody minds.
    Harmless,
    /// It annoys or costs time.
    #[default]
    Nuisance,
    /// It can hurt somebody.
    Dangerous,
}

impl Harm {
    /// All of them, mildest first.
    pub const ALL: [Self; 3] = [Self::Harmless, Self::Nuisance, Self::Dangerous];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Harmless => "harmless",
            Self::Nuisance => "nuisance",
            Self::Dangerous => "dangerous",
        }
    }
}

/// A named range of readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Name; bands of one name are one action.
    pub name: String,
    /// What it means.
    pub role: BandRole,
    /// Lower edge in the pin's scale, part of the band.
    pub low: f64,
    /// Upper edge, part of the band; `None` reaches without end (to open).
    pub high: Option<f64>,
    /// How bad it is when this is read without being asked for.
    pub harm: Harm,
}

/// What the controller is asked for when the controls it names stand so.
///
/// All expectations that match a state are asked for at once. Where they name more than one
/// action (two people press), any of them is right and so is a guard, which does nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct Expectation {
    /// Positions that must hold; controls not named may stand anywhere.
    pub when: BTreeMap<ControlId, u8>,
    /// Name of the band that is right.
    pub action: String,
}

/// The converter behind the pin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Converter {
    /// Greatest count, such as 1023.
    pub max_count: u32,
    /// Error in counts, either way.
    pub error_count: f64,
}

/// The voltage that makes the greatest count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FullScale {
    /// Follows the reference: a percentage of it is what counts.
    Ratiometric {
        /// Nominal full scale in volts.
        volt: f64,
    },
    /// Stands by itself, with a tolerance of its own.
    Fixed(Tolerant),
}

impl FullScale {
    /// Nominal full scale in volts.
    pub fn volt(self) -> f64 {
        match self {
            Self::Ratiometric { volt } => volt,
            Self::Fixed(tolerant) => tolerant.nominal,
        }
    }
}

/// One pin that reads several switches.
#[derive(Clone, Debug, PartialEq)]
pub struct SensePin {
    /// What it is for.
    pub name: String,
    /// The controller's cavity.
    pub terminal: TerminalRef,
    /// Where the network's other end is: the return (ground side), or the supply or
    /// reference output (supply side).
    pub reference: TerminalRef,
    /// Ground side or supply side.
    pub side: Side,
    /// Pull resistor in ohms; `None` where nobody knows it.
    pub pull_ohm: Option<Tolerant>,
    /// Reference in volts; `None` where nobody knows it.
    pub reference_volt: Option<Tolerant>,
    /// Full scale; `None` where nobody knows it.
    pub full_scale: Option<FullScale>,
    /// Converter; `None` where nobody knows it.
    pub converter: Option<Converter>,
    /// Greatest voltage the pin stands.
    pub limit_volt: Option<f64>,
    /// What the bands' numbers are.
    pub scale: Scale,
    /// Bands, in any order.
    pub bands: Vec<Band>,
    /// What should be read when.
    pub expectations: Vec<Expectation>,
    /// Shortest stay in a band that counts, in milliseconds.
    pub debounce_ms: Option<f64>,
    /// How the controller comes to listen at all, in words.
    pub arming: String,
    /// Resistance of the whole wire loop in ohms. Where given, the wires of this pin's network
    /// are ideal and this stands in series with the pin instead.
    pub wire_loop_ohm: Option<Range>,
    /// Least resistance of a leak at the pin: to the return on the ground side,
    /// across the pull on the supply side.
    pub leak_low_ohm: Option<f64>,
    /// Greatest offset of the return against the controller's own ground, volts, either sign.
    pub ground_offset_volt: f64,
}

impl SensePin {
    /// A pin on the ground side that reads ohms between two terminals and knows nothing else.
    pub fn bare(name: &str, terminal: TerminalRef, reference: TerminalRef) -> Self {
        Self {
            name: name.to_owned(),
            terminal,
            reference,
            side: Side::Ground,
            pull_ohm: None,
            reference_volt: None,
            full_scale: None,
            converter: None,
            limit_volt: None,
            scale: Scale::Ohm,
            bands: Vec::new(),
            expectations: Vec::new(),
            debounce_ms: None,
            arming: String::new(),
            wire_loop_ohm: None,
            leak_low_ohm: None,
            ground_offset_volt: 0.0,
        }
    }
}
