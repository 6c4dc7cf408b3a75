//! Bench runs and the meter in the file.

use serde::{Deserialize, Serialize};

/// The meter.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Meter {
    pub fraction: f64,
    pub offset_ohm: f64,
    #[serde(default, skip_serializing_if = "is_zero")]
    pub lead_ohm: f64,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ohm_ranges: Vec<MeterRange>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub volt_ranges: Vec<MeterRange>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub over_range: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tone_ohm: Option<f64>,
}

/// One range of the meter.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeterRange {
    pub most: f64,
    pub fraction: f64,
    pub counts: f64,
    pub step: f64,
}

/// One round of the bench test.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BenchRun {
    pub id: u32,
    pub name: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub date: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub initials: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub meter: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub notes: String,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub hand_over: bool,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<BenchReading>,
}

/// One step of a round: one of `ohm`, `volt`, `mm` and `sign`, or none where it was skipped.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BenchReading {
    pub step: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ohm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volt: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sign: Option<Sign>,
    #[serde(default, skip_serializing_if = "is_zero")]
    pub last_digit: f64,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    pub drawing: String,
}

/// What is no number.
#[derive(Serialize, Deserialize)]
pub enum Sign {
    #[serde(rename = "over range")]
    OverRange,
    #[serde(rename = "yes")]
    Yes,
    #[serde(rename = "no")]
    No,
}

fn is_zero(value: &f64) -> bool {
    *value == 0.0
}
