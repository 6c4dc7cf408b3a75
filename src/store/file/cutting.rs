//! What is written down about cutting, in the file.

use serde::{Deserialize, Serialize};

use crate::store::file::{Colour, HalfSide, WireSize};

/// All that is written down about cutting; left out where nothing is.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cutting {
    pub kerf_mm: f64,
    pub trim_mm: f64,
    pub scrap_mm: f64,
    pub measured_at_c: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spool_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub currency: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub substitutes: Vec<Substitute>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub prices: Vec<Price>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub half_ends: Vec<HalfEnds>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub wire_ends: Vec<WireEnds>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ticks: Vec<Ticks>,
}

/// Wire that may take the place of other wire.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Substitute {
    pub size: WireSize,
    pub colour: Colour,
    pub by_size: WireSize,
    pub by_colour: Colour,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub marker: String,
}

/// Price of something on the shopping list.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Price {
    pub item: String,
    pub price: f64,
}

/// What goes onto the wires of a half.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HalfEnds {
    pub part: u32,
    pub half: HalfSide,
    pub end: EndFit,
}

/// What differs at one wire.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WireEnds {
    pub wire: u32,
    #[serde(default, skip_serializing_if = "EndFit::is_default")]
    pub from: EndFit,
    #[serde(default, skip_serializing_if = "EndFit::is_default")]
    pub to: EndFit,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub marker: String,
}

/// What goes onto one end.
#[derive(Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EndFit {
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub terminal: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub seal: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seal_mm: Option<[f64; 2]>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub boot: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strip_mm: Option<f64>,
}

impl EndFit {
    pub fn is_default(&self) -> bool {
        *self == Self::default()
    }
}

/// What is done at one wire.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ticks {
    pub wire: u32,
    #[serde(default, skip_serializing_if = "is_false")]
    pub cut: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<WireSize>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<Colour>,
    #[serde(default, skip_serializing_if = "is_false")]
    pub crimped: bool,
    #[serde(default, skip_serializing_if = "is_false")]
    pub tested: bool,
}

fn is_false(value: &bool) -> bool {
    !value
}
