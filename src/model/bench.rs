//! Bench runs: what was measured, step by step, when, by whom and with what.

use std::collections::BTreeMap;

/// What a meter, a tape or an eye said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shown {
    /// Ohms.
    Ohm(f64),
    /// Volts.
    Volt(f64),
    /// Millimetres.
    Millimetre(f64),
    /// The sign for beyond the greatest range.
    OverRange,
    /// As it should be; a tone.
    Yes,
    /// Not as it should be; no tone.
    No,
}

/// One step of a run, done or skipped.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchReading {
    /// What was read; `None` where the step was skipped.
    pub shown: Option<Shown>,
    /// What its last digit was worth, in its unit; 0 where it counts as exact.
    pub last_digit: f64,
    /// Why it was skipped, or what else was seen.
    pub note: String,
    /// Fingerprint of what the step's limits hung on when it was read.
    pub drawing: u64,
}

/// One round of the bench test.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BenchRun {
    /// Name, such as `hand-over`.
    pub name: String,
    /// Day it was begun, as typed; `2027-03-14` sorts.
    pub date: String,
    /// Who measured.
    pub initials: String,
    /// Temperature in degrees Celsius, if it was looked at.
    pub temperature_c: Option<f64>,
    /// The meter in words, such as its number in the workshop.
    pub meter: String,
    /// Free notes.
    pub notes: String,
    /// Whether this is what the machine was handed over with: later runs are held to it.
    pub is_hand_over: bool,
    /// Readings by the identity of their step.
    pub readings: BTreeMap<String, BenchReading>,
}
