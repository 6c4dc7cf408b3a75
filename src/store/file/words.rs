//! The words the file uses where the model has an enum, and the way between the two.

use serde::{Deserialize, Serialize};

use crate::model;

macro_rules! words {
    ($($name:ident { $($variant:ident = $word:literal),+ $(,)? })+) => {$(
        #[doc = concat!("A word for [`model::", stringify!($name), "`].")]
        #[derive(Clone, Copy, PartialEq, Serialize, Deserialize)]
        pub enum $name {
            $(#[serde(rename = $word)] $variant,)+
        }

        impl From<model::$name> for $name {
            fn from(value: model::$name) -> Self {
                match value {
                    $(model::$name::$variant => Self::$variant,)+
                }
            }
        }

        impl From<$name> for model::$name {
            fn from(word: $name) -> Self {
                match word {
                    $($name::$variant => Self::$variant,)+
                }
            }
        }
    )+};
}

macro_rules! defaults {
    ($($name:ident = $variant:ident),+ $(,)?) => {$(
        impl Default for $name {
            fn default() -> Self {
                Self::$variant
            }
        }

        impl $name {
            /// Whether it is what the file leaves out.
            pub fn is_default(&self) -> bool {
                *self == Self::$variant
            }
        }
    )+};
}

words! {
    Side { Ground = "ground", Supply = "supply" }
    Scale { Ohm = "ohm", Volt = "volt", Count = "count", Percent = "percent" }
    BandRole { Action = "action", Idle = "idle", Open = "open", Short = "short" }
    LoadForm { Lamp = "lamp", Other = "other" }
    Provenance {
        Sheet = "sheet",
        Measured = "measured",
        Inferred = "inferred",
        Hearsay = "hearsay",
    }
    Harm { Harmless = "harmless", Nuisance = "nuisance", Dangerous = "dangerous" }
    ControlKind {
        Momentary = "momentary",
        SpringReturn = "spring return",
        Maintained = "maintained",
        Selector = "selector",
    }
    EndKind { Sealed = "sealed", Inline = "inline", Tag = "tag", Splice = "splice", Ring = "ring" }
    WireUse { Harness = "harness", Internal = "internal" }
    WireModel { Ideal = "ideal", ByLength = "by length" }
    Zone { Moves = "moves", Hot = "hot", Wet = "wet", Dry = "dry" }
    CoveringKind {
        Tape = "tape",
        Sleeve = "braided sleeve",
        Tube = "tube",
        HeatShrink = "heat-shrink",
        Spiral = "spiral wrap",
    }
    Conductor { Copper = "copper", TinnedCopper = "tinned copper" }
    Insulation {
        UltraThinWall = "ultra thin wall",
        ThinWall = "thin wall",
        ThickWall = "thick wall",
        Txl = "TXL",
        Gxl = "GXL",
        Sxl = "SXL",
        Gpt = "GPT",
    }
    AmpacityRule {
        Boats = "33 CFR 183.425 Table 5",
        AircraftBundle = "FAA AC 43.13-1B Table 11-9",
        OwnTable = "own table",
    }
    RowShift { Middle = "middle", Right = "right", Left = "left" }
    Corner {
        UpperLeft = "upper left",
        UpperRight = "upper right",
        LowerRight = "lower right",
        LowerLeft = "lower left",
    }
    Lines { Rows = "rows", Columns = "columns" }
    Course { Reading = "reading", Serpentine = "serpentine" }
    Latch { Up = "up", Down = "down", Left = "left", Right = "right" }
    Gender { Pins = "pins", Sockets = "sockets" }
    Mating { Mated = "mated", Apart = "apart" }
    HalfSide { First = "first", Second = "second" }
    CavityFill { Free = "free", Existing = "existing", Plug = "plug" }
    BaseColour {
        Black = "BK",
        Brown = "BN",
        Red = "RD",
        Orange = "OG",
        Yellow = "YE",
        Green = "GN",
        Blue = "BU",
        Violet = "VT",
        Grey = "GY",
        White = "WH",
        Pink = "PK",
        Turquoise = "TQ",
    }
}

defaults! {
    WireUse = Harness,
    RowShift = Middle,
    Lines = Rows,
    Course = Reading,
    Latch = Up,
    Mating = Mated,
    CavityFill = Free,
    Harm = Nuisance,
    Conductor = Copper,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_written_with_the_codes_of_iec_60757() {
        for colour in model::BaseColour::ALL {
            let word = serde_json::to_string(&BaseColour::from(colour)).unwrap();
            assert_eq!(word, format!("\"{}\"", colour.code()));
        }
    }
}
