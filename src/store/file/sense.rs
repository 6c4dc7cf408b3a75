//! Controls and sense pins in the file.

use serde::{Deserialize, Serialize};

use crate::store::file::words::{BandRole, ControlKind, Harm, Scale, Side};
use crate::store::file::{Range, Terminal, Tolerant};

/// A control.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Control {
    pub id: u32,
    pub name: String,
    pub kind: ControlKind,
    pub positions: Vec<Position>,
    pub rest: u8,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub needs: Option<Stand>,
}

/// A position of a control.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Position {
    pub name: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub throws: Vec<Throw>,
}

/// Where a position puts a contact.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Throw {
    pub contact: u32,
    pub throw: u8,
}

/// A control that stands in a position.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stand {
    pub control: u32,
    pub position: u8,
}

/// A sense pin.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SensePin {
    pub id: u32,
    pub name: String,
    pub terminal: Terminal,
    pub reference: Terminal,
    pub side: Side,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pull_ohm: Option<Tolerant>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reference_volt: Option<Tolerant>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub full_scale_volt: Option<FullScale>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub converter: Option<Converter>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit_volt: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub debounce_ms: Option<f64>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub arming: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wire_loop_ohm: Option<Range>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leak_low_ohm: Option<f64>,
    #[serde(default, skip_serializing_if = "is_zero")]
    pub ground_offset_volt: f64,
    pub scale: Scale,
    pub bands: Vec<Band>,
    pub expectations: Vec<Expectation>,
}

/// What makes the greatest count.
#[derive(Serialize, Deserialize)]
pub enum FullScale {
    #[serde(rename = "ratiometric")]
    Ratiometric(f64),
    #[serde(rename = "fixed")]
    Fixed(Tolerant),
}

/// A converter.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Converter {
    pub max_count: u32,
    pub error_count: f64,
}

/// A band.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Band {
    pub name: String,
    pub role: BandRole,
    pub low: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
    #[serde(default, skip_serializing_if = "Harm::is_default")]
    pub harm: Harm,
}

/// What is right when.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Expectation {
    pub when: Vec<Stand>,
    pub action: String,
}

fn is_zero(value: &f64) -> bool {
    *value == 0.0
}
