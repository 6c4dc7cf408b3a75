//! The file as it stands on disk: serde structs, field by field, units in the names.
//!
//! Nothing here is checked beyond its shape; [`crate::store::decode`] does that.

mod bench;
mod cutting;
mod element;
mod face;
mod layout;
mod moving;
mod part;
mod record;
mod sense;
mod story;
mod underlay;
mod wiring;
mod words;

pub use bench::{BenchReading, BenchRun, Meter, MeterRange, Sign};
pub use cutting::{Cutting, EndFit, HalfEnds, Price, Substitute, Ticks, WireEnds};
pub use element::{Diode, Draw, Input, Load, Relay};
pub use face::{CavityLayout, Fit, Grid, Numbering, Offset, Path, Ring, Span};
pub use layout::{Allowances, Frame, Piece, Place, Point, Run, Settings};
pub use moving::{Permit, Timing};
pub use part::{
    Cavity, Connector, Contact, ContactForm, Controller, Fuse, Half, Part, PartKind, Resistor,
    Splice, Supply,
};
pub use record::{ChangeNote, SetupRow};
pub use sense::{
    Band, Control, Converter, Expectation, FullScale, Position, SensePin, Stand, Throw,
};
pub use story::{
    Deed, Observation, ReadsAs, ReadsAsOne, StandsInOne, Story, StoryEvent, StoryLink, StoryMode,
    StoryStand,
};
pub use underlay::Underlay;
pub use wiring::{Covering, Hole, Laid, Make, OwnWire, RunPoint, Shield, Twist, Wiring};
pub use words::{BaseColour, EndKind, HalfSide, WireUse};

use serde::{Deserialize, Serialize};

/// The whole file.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Project {
    pub format: String,
    pub version: u32,
    pub title: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub notes: String,
    pub next_id: u32,
    pub settings: Settings,
    pub parts: Vec<Part>,
    pub wires: Vec<Wire>,
    pub frames: Vec<Frame>,
    pub controls: Vec<Control>,
    pub sense_pins: Vec<SensePin>,
    pub places: Vec<Place>,
    pub runs: Vec<Run>,
    pub pieces: Vec<Piece>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bench_runs: Vec<BenchRun>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set_up: Vec<SetupRow>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changes: Vec<ChangeNote>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub story: Option<Story>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub permit: Option<Permit>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cutting: Option<Cutting>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub layout_scale: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub underlay: Option<Underlay>,
}

/// Whether the file leaves the field out.
fn is_false(value: &bool) -> bool {
    !*value
}

/// Least, usual and greatest value.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Range {
    pub low: f64,
    pub nominal: f64,
    pub high: f64,
}

/// A value and the fraction it may be off by.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tolerant {
    pub nominal: f64,
    pub tolerance: f64,
}

/// A terminal of a part: by cavity (and half) on connectors and controllers, by number elsewhere.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Terminal {
    pub part: u32,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terminal: Option<u16>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cavity: Option<u16>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub half: Option<HalfSide>,
}

/// A wire.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wire {
    pub id: u32,
    pub name: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub circuit: String,
    pub from: Terminal,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_end: Option<EndKind>,
    pub to: Terminal,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to_end: Option<EndKind>,
    pub size: WireSize,
    pub colour: Colour,
    #[serde(rename = "use", default, skip_serializing_if = "WireUse::is_default")]
    pub usage: WireUse,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bends_mm: Vec<Point>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub via_places: Vec<u32>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub typed_length_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub make: Option<Make>,
}

/// Conductor size, in one of two measures.
#[derive(Serialize, Deserialize)]
pub enum WireSize {
    #[serde(rename = "mm2")]
    Mm2(f64),
    #[serde(rename = "awg")]
    Awg(i32),
}

/// Insulation colour.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Colour {
    pub base: BaseColour,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tracer: Option<BaseColour>,
}
