//! The meter on the bench: what it may be off by, and what it shows when there is nothing to show.

/// One range of a meter, as its leaflet gives it: so much of the reading and so many counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeterRange {
    /// Greatest reading of the range, in ohms or volts.
    pub most: f64,
    /// Share of the reading (0.01 is one percent).
    pub fraction: f64,
    /// Counts of the last digit that are added to the share.
    pub counts: f64,
    /// What one count is worth in ohms or volts.
    pub step: f64,
}

/// The meter on the bench: reading times `fraction`, plus `offset_ohm`, either way, or range by
/// range where its leaflet is at hand.
#[derive(Clone, Debug, PartialEq)]
pub struct MeterProfile {
    /// Share of the reading (0.01 is one percent), where no ranges are given.
    pub fraction: f64,
    /// Counts and leads, in ohms, where no ranges are given.
    pub offset_ohm: f64,
    /// What it shows with the leads held together, where that is not taken off, in ohms.
    pub lead_ohm: f64,
    /// Its ranges in ohms, by rising greatest reading; they go before `fraction` and `offset_ohm`.
    pub ohm_ranges: Vec<MeterRange>,
    /// Its ranges in volts; empty where nobody knows them.
    pub volt_ranges: Vec<MeterRange>,
    /// What it shows when the reading is beyond its greatest range.
    pub over_range: String,
    /// Ohms below which it sounds in a continuity test; `None` where nobody knows.
    pub tone_ohm: Option<f64>,
}

impl MeterProfile {
    /// What most meters show beyond their greatest range (common practice, no source).
    pub const OVER_RANGE: &'static str = "OL";

    /// A share of the reading and an offset, and nothing else known.
    pub fn plain(fraction: f64, offset_ohm: f64) -> Self {
        Self {
            fraction,
            offset_ohm,
            lead_ohm: 0.0,
            ohm_ranges: Vec::new(),
            volt_ranges: Vec::new(),
            over_range: Self::OVER_RANGE.into(),
            tone_ohm: None,
        }
    }
}
