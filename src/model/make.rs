//! What a wire is made of and what it carries, beyond its size and colour.

use crate::model::wire::WireSize;

/// Metal of the strands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Conductor {
    /// Plain copper.
    #[default]
    Copper,
    /// Copper with a coat of tin.
    TinnedCopper,
}

impl Conductor {
    /// Both, in the order they are listed.
    pub const ALL: [Self; 2] = [Self::Copper, Self::TinnedCopper];

    /// What a person calls it.
    pub fn noun(self) -> &'static str {
        match self {
            Self::Copper => "copper",
            Self::TinnedCopper => "tinned copper",
        }
    }
}

/// Insulation type, which decides the outside diameter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Insulation {
    /// Ultra thin wall (ISO 6722-1).
    UltraThinWall,
    /// Thin wall (ISO 6722-1).
    ThinWall,
    /// Thick wall (ISO 6722-1).
    ThickWall,
    /// Type TXL (SAE J1128).
    Txl,
    /// Type GXL (SAE J1128).
    Gxl,
    /// Type SXL (SAE J1128).
    Sxl,
    /// Type GPT (SAE J1128).
    Gpt,
}

impl Insulation {
    /// All types, in the order they are listed.
    pub const ALL: [Self; 7] = [
        Self::UltraThinWall,
        Self::ThinWall,
        Self::ThickWall,
        Self::Txl,
        Self::Gxl,
        Self::Sxl,
        Self::Gpt,
    ];

    /// What a person calls it.
    pub fn noun(self) -> &'static str {
        match self {
            Self::UltraThinWall => "ultra thin wall",
            Self::ThinWall => "thin wall",
            Self::ThickWall => "thick wall",
            Self::Txl => "TXL",
            Self::Gxl => "GXL",
            Self::Sxl => "SXL",
            Self::Gpt => "GPT",
        }
    }
}

/// A wire twisted with another one.
#[derive(Clone, Debug, PartialEq)]
pub struct Twist {
    /// Name of the pair; both of its wires carry it.
    pub pair: String,
    /// Length of one full turn in millimetres.
    pub lay_mm: f64,
}

/// A shield around a wire, or around all wires that name the same one.
#[derive(Clone, Debug, PartialEq)]
pub struct Shield {
    /// Name of the shield; all wires under it carry it.
    pub name: String,
    /// Outside diameter of the shielded cable in millimetres, where it was measured.
    pub outside_mm: Option<f64>,
    /// Bare wire that lies against the shield.
    pub drain: Option<WireSize>,
}

/// Whether a wire is in use.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Duty {
    /// It carries something.
    #[default]
    Working,
    /// Laid for later; carries nothing.
    Spare,
}

/// What a wire is made of and what it carries. Everything may be left open.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Make {
    /// Metal of the strands.
    pub conductor: Conductor,
    /// Insulation type; `None` takes that of the project.
    pub insulation: Option<Insulation>,
    /// Temperature the insulation stands, in degrees Celsius; `None` takes that of the project.
    pub rating_c: Option<f64>,
    /// Measured outside diameter in millimetres; goes before every table.
    pub outside_mm: Option<f64>,
    /// The pair it is twisted into.
    pub twist: Option<Twist>,
    /// The shield it lies under.
    pub shield: Option<Shield>,
    /// In use or spare.
    pub duty: Duty,
    /// Greatest current in amperes, where the circuit cannot tell; goes before the circuit.
    pub current_amp: Option<f64>,
    /// Greatest voltage drop as a fraction of the supply; `None` takes that of the project.
    pub drop_limit: Option<f64>,
}
