//! Parts in the file.

use serde::{Deserialize, Serialize};

use crate::store::file::element::{Diode, Input, Load, Relay};
use crate::store::file::face::{CavityLayout, Fit, Numbering};
use crate::store::file::words::{CavityFill, EndKind, Gender, Latch, Mating};
use crate::store::file::{Point, Range, RunPoint, is_false};

/// A part.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    pub id: u32,
    pub name: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
    pub kind: PartKind,
    pub pos_mm: Point,
    #[serde(default, skip_serializing_if = "is_zero")]
    pub turn_deg: u16,
    #[serde(default, skip_serializing_if = "is_false")]
    pub mirrored: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<u32>,
}

/// What kind of part, with its values.
#[derive(Serialize, Deserialize)]
pub enum PartKind {
    #[serde(rename = "supply")]
    Supply(Supply),
    #[serde(rename = "ground")]
    Ground,
    #[serde(rename = "fuse")]
    Fuse(Fuse),
    #[serde(rename = "resistor")]
    Resistor(Resistor),
    #[serde(rename = "contact")]
    Contact(Contact),
    #[serde(rename = "splice")]
    Splice(Splice),
    #[serde(rename = "connector")]
    Connector(Connector),
    #[serde(rename = "controller")]
    Controller(Controller),
    #[serde(rename = "test point")]
    TestPoint,
    #[serde(rename = "diode")]
    Diode(Diode),
    #[serde(rename = "relay")]
    Relay(Relay),
    #[serde(rename = "load")]
    Load(Load),
    #[serde(rename = "second input")]
    Input(Input),
}

/// A supply.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Supply {
    pub volt: Range,
}

/// A fuse.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fuse {
    pub rating_amp: f64,
    pub cold_ohm: f64,
}

/// A resistor.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Resistor {
    pub ohm: f64,
    pub tolerance: f64,
    pub tempco_ppm_per_k: f64,
    pub power_watt: f64,
}

/// A contact set.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Contact {
    pub form: ContactForm,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closed_ohm: Option<Range>,
}

/// Form of a contact.
#[derive(Serialize, Deserialize)]
pub enum ContactForm {
    #[serde(rename = "normally open")]
    NormallyOpen,
    #[serde(rename = "normally closed")]
    NormallyClosed,
    #[serde(rename = "changeover")]
    Changeover,
    #[serde(rename = "ways")]
    Ways(u8),
}

/// A splice.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Splice {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_wire: Option<u32>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_run: Option<RunPoint>,
}

/// A connector.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Connector {
    pub layout: CavityLayout,
    #[serde(default, skip_serializing_if = "Numbering::is_default")]
    pub numbering: Numbering,
    #[serde(default, skip_serializing_if = "Latch::is_default")]
    pub latch: Latch,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fit: Option<Fit>,
    pub first: Half,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub second: Option<Half>,
    #[serde(default, skip_serializing_if = "Mating::is_default")]
    pub mating: Mating,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joint_ohm: Option<Range>,
    #[serde(default, skip_serializing_if = "is_false")]
    pub rotating: bool,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cavities: Vec<Cavity>,
}

/// A controller.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Controller {
    pub plug: Half,
    pub layout: CavityLayout,
    #[serde(default, skip_serializing_if = "Numbering::is_default")]
    pub numbering: Numbering,
    #[serde(default, skip_serializing_if = "Latch::is_default")]
    pub latch: Latch,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fit: Option<Fit>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cavities: Vec<Cavity>,
}

/// Half of a connector.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Half {
    pub name: String,
    pub gender: Gender,
    pub end: EndKind,
}

/// A note on a cavity.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cavity {
    pub cavity: u16,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub circuit: String,
    #[serde(default, skip_serializing_if = "CavityFill::is_default")]
    pub fill: CavityFill,
}

fn is_zero(value: &u16) -> bool {
    *value == 0
}
