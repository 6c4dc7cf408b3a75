//! Frames, the harness layout, wire on hand and the settings in the file.

use serde::{Deserialize, Serialize};

use crate::store::file::words::WireModel;
use crate::store::file::{Colour, Laid, Meter, Range, Timing, WireSize, Wiring};

/// A point of the sheet: to the right and downwards, in millimetres.
pub type Point = [f64; 2];

/// A frame.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Frame {
    pub id: u32,
    pub name: String,
    pub min_mm: Point,
    pub max_mm: Point,
}

/// A place.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    pub id: u32,
    pub name: String,
    pub pos_mm: Point,
}

/// A run.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Run {
    pub id: u32,
    pub name: String,
    pub from_place: u32,
    pub to_place: u32,
    pub length_mm: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loop_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub laid: Option<Laid>,
}

/// A piece of wire on hand.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Piece {
    pub id: u32,
    pub name: String,
    pub size: WireSize,
    pub colour: Colour,
    pub length_mm: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured_ohm: Option<f64>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub condition: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub source: String,
}

/// The project's settings, all of them, so that a later default changes no old project.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    pub contact_ohm: Range,
    pub joint_ohm: Range,
    pub temperature_span_k: f64,
    pub wire_model: WireModel,
    pub length_factor: f64,
    pub rounding_mm: f64,
    pub allowances: Allowances,
    pub meter: Meter,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub timing: Option<Timing>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wiring: Option<Wiring>,
}

/// End allowances.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Allowances {
    pub sealed_mm: f64,
    pub inline_mm: f64,
    pub tag_mm: f64,
    pub splice_mm: f64,
    pub ring_mm: f64,
}
