//! What is asked of moving controls in the file: times, and the ends of the permit loop.

use serde::{Deserialize, Serialize};

use crate::store::file::Terminal;

/// What a hand and its contacts take, in milliseconds.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Timing {
    pub skew_ms: f64,
    pub change_ms: f64,
    pub bounce_ms: f64,
}

/// The two ends of the permit loop.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Permit {
    pub from: Terminal,
    pub to: Terminal,
}
