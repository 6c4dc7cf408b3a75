//! Elements: parts that are more than a resistance. Diodes, relays, loads, an input of another module.

use crate::units::{Range, Tolerant};

/// A part whose current is not simply its voltage over a resistance, or that brings a source with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Element {
    /// A diode. Terminals 0 anode, 1 cathode.
    Diode(Diode),
    /// A relay. Terminals as in [`Relay`].
    Relay(Relay),
    /// A lamp or another load. Two terminals.
    Load(Load),
    /// An input of another module on the same net. One terminal.
    Input(Input),
}

/// A diode: blocks below its drop, above it the drop and a resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diode {
    /// Forward voltage at which it begins to conduct, in volts.
    pub drop_volt: Range,
    /// Resistance while it conducts, in ohms, above zero.
    pub on_ohm: f64,
    /// Leak beside it, in ohms, conducting either way; `None` where it blocks perfectly.
    pub leak_ohm: Option<Range>,
}

/// A relay. Terminals 0 and 1 are the coil; set `n` (from 0) has its common at `2 + 3n`, then its
/// rest and its work terminal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relay {
    /// Resistance of the coil in ohms, above zero.
    pub coil_ohm: Range,
    /// Volts across the coil, of either sign, at which it surely pulls.
    pub pull_in_volt: f64,
    /// Volts across the coil at which it surely drops; below `pull_in_volt`.
    pub drop_out_volt: f64,
    /// Number of changeover contact sets.
    pub sets: u8,
    /// Resistance of a closed contact in ohms, where it differs from the project's dirt.
    pub closed_ohm: Option<Range>,
}

/// Where the terminals of a relay's contacts begin.
const CONTACTS_FROM: u16 = 2;

impl Relay {
    /// The two terminals that a set (from 0) joins in throw 0 (dropped) or 1 (pulled).
    pub fn joined(set: u8, throw: u8) -> (u16, u16) {
        let common = CONTACTS_FROM + 3 * u16::from(set);
        (common, common + 1 + u16::from(throw.min(1)))
    }
}

/// What a load looks like on the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadForm {
    /// A lamp.
    Lamp,
    /// Anything else that takes current.
    Other,
}

/// How much a load takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Draw {
    /// It is a resistance, in ohms.
    Ohm(Range),
    /// It takes this current in amperes, either way, whatever the voltage, as long as there is
    /// more than [`KNEE_VOLT`]; below that it is a resistance.
    Amp(Range),
}

/// Volts a load of constant current needs before it takes all of it. An assumption of this program.
pub const KNEE_VOLT: f64 = 0.5;

/// A lamp or another load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// What it looks like.
    pub form: LoadForm,
    /// How much it takes.
    pub draw: Draw,
}

/// An input of another module that listens on the same net.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Input {
    /// Its own pull or input resistance in ohms; `None` where nobody knows it.
    pub pull_ohm: Option<Tolerant>,
    /// Where that goes, in volts against ground; `None` for ground itself.
    pub pull_volt: Option<Tolerant>,
}

impl Diode {
    /// An ordinary silicon diode: 0.7 V (0.5 to 0.8 V) and 1 Ω. Common practice, no source.
    pub fn silicon() -> Self {
        let drop_volt = Range { low: 0.5, nominal: 0.7, high: 0.8 };
        Self { drop_volt, on_ohm: 1.0, leak_ohm: None }
    }

    /// A Schottky diode: 0.3 V (0.2 to 0.4 V), 1 Ω, leaking like 1 MΩ. Common practice, no source.
    pub fn schottky() -> Self {
        let drop_volt = Range { low: 0.2, nominal: 0.3, high: 0.4 };
        let leak_ohm = Some(Range { low: 1e5, nominal: 1e6, high: 1e7 });
        Self { drop_volt, on_ohm: 1.0, leak_ohm }
    }
}

impl Relay {
    /// A plug-in relay for a vehicle supply of so many volts with one changeover set: 90 Ω at 12 V,
    /// pulls at 60 %, drops at 10 %. Common practice, no source.
    pub fn for_supply(volt: f64) -> Self {
        let ohm = 90.0 * (volt / 12.0).powi(2);
        Self {
            coil_ohm: Range::plus_minus(ohm, 0.1),
            pull_in_volt: 0.6 * volt,
            drop_out_volt: 0.1 * volt,
            sets: 1,
            closed_ohm: None,
        }
    }
}

impl Element {
    /// How many terminals an element of this kind has.
    pub fn terminal_count(&self) -> u16 {
        match self {
            Self::Input(_) => 1,
            Self::Diode(_) | Self::Load(_) => 2,
            Self::Relay(relay) => CONTACTS_FROM + 3 * u16::from(relay.sets),
        }
    }

    /// Default letter of the reference designation (IEEE 315; E and K also IEC 81346-2, from memory).
    pub fn letter(&self) -> &'static str {
        match self {
            Self::Diode(_) => "D",
            Self::Relay(_) => "K",
            Self::Load(_) => "E",
            Self::Input(_) => "U",
        }
    }

    /// What a person calls it.
    pub fn noun(&self) -> &'static str {
        match self {
            Self::Diode(_) => "diode",
            Self::Relay(_) => "relay",
            Self::Load(load) => match load.form {
                LoadForm::Lamp => "lamp",
                LoadForm::Other => "load",
            },
            Self::Input(_) => "second input",
        }
    }

    /// What follows the part's name in the name of a terminal; empty where there is one only.
    ///
    /// A and K of a diode; A1 and A2 for a coil, then 11, 12 and 14 for common, rest and work of
    /// the first set, 21, 22 and 24 for the second (EN 50005, from memory).
    pub fn terminal_mark(&self, terminal: u16) -> String {
        match self {
            Self::Input(_) => String::new(),
            Self::Load(_) => (terminal + 1).to_string(),
            Self::Diode(_) => if terminal == 0 { "A" } else { "K" }.to_owned(),
            Self::Relay(_) => match terminal.checked_sub(CONTACTS_FROM) {
                None => format!("A{}", terminal + 1),
                Some(contact) => {
                    format!("{}{}", contact / 3 + 1, [1, 2, 4][usize::from(contact % 3)])
                }
            },
        }
    }
}
