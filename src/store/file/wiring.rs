//! Laying of runs, make of wires and the rules for wire in the file.

use serde::{Deserialize, Serialize};

use crate::store::file::WireSize;
use crate::store::file::words::{AmpacityRule, Conductor, CoveringKind, Insulation, Zone};

/// How a run is laid.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Laid {
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub zones: Vec<Zone>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hole: Option<Hole>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub covering: Option<Covering>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub support_mm: Option<f64>,
}

/// A hole.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hole {
    pub bore_mm: f64,
    #[serde(default, skip_serializing_if = "is_false")]
    pub grommet: bool,
}

/// A covering.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Covering {
    pub kind: CoveringKind,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thickness_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
}

/// A point along a run.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RunPoint {
    pub run: u32,
    pub from_place: u32,
    pub distance_mm: f64,
}

/// What a wire is made of and carries.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Make {
    #[serde(default, skip_serializing_if = "Conductor::is_default")]
    pub conductor: Conductor,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insulation: Option<Insulation>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub twist: Option<Twist>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shield: Option<Shield>,
    #[serde(default, skip_serializing_if = "is_false")]
    pub spare: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub current_amp: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drop_limit: Option<f64>,
}

/// A twisted pair.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Twist {
    pub pair: String,
    pub lay_mm: f64,
}

/// A shield.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shield {
    pub name: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drain: Option<WireSize>,
}

/// The project's rules for wire.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wiring {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ambient_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hot_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ampacity: Option<AmpacityRule>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drop_limit: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supply_volt: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insulation: Option<Insulation>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub own_wires: Vec<OwnWire>,
}

/// A row of the user's own wire table.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnWire {
    pub size: WireSize,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insulation: Option<Insulation>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ohm_per_m: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub single_amp: Option<f64>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub source: String,
}

fn is_false(value: &bool) -> bool {
    !*value
}
