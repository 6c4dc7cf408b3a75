//! Elements in the file: diode, relay, load, second input.

use serde::{Deserialize, Serialize};

use crate::store::file::words::LoadForm;
use crate::store::file::{Range, Tolerant};

/// A diode.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Diode {
    pub drop_volt: Range,
    pub on_ohm: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leak_ohm: Option<Range>,
}

/// A relay.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Relay {
    pub coil_ohm: Range,
    pub pull_in_volt: f64,
    pub drop_out_volt: f64,
    pub sets: u8,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closed_ohm: Option<Range>,
}

/// A load.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Load {
    pub form: LoadForm,
    pub draw: Draw,
}

/// How much a load takes.
#[derive(Serialize, Deserialize)]
pub enum Draw {
    #[serde(rename = "ohm")]
    Ohm(Range),
    #[serde(rename = "amp")]
    Amp(Range),
}

/// An input of another module.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Input {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pull_ohm: Option<Tolerant>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pull_volt: Option<Tolerant>,
}
