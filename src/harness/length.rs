//! How long each wire is, along which runs.

use crate::harness::layout::Stretch;
use crate::model::{Diagnostic, RunId};

/// The way one wire takes and how long to cut it.
#[derive(Clone, Debug, PartialEq)]
pub struct WireLength {
    /// Runs in order from the wire's first end; empty where the length was typed.
    pub runs: Vec<RunId>,
    /// The same as stretches: parts of a run where the wire ends at a splice along it.
    pub stretches: Vec<Stretch>,
    /// Sum of the runs in millimetres, or the typed length.
    pub routed_mm: f64,
    /// Allowances of both ends and the loops of moving runs, in millimetres.
    pub allowance_mm: f64,
    /// How much longer the wire is than its way, because it is twisted: 1 where it is not.
    pub take_up: f64,
    /// What to cut, in millimetres: (routed x factor x take-up + allowance) rounded up.
    pub cut_mm: f64,
}

/// A wire's length, or why it is not known.
pub type LengthResult = Result<WireLength, Diagnostic>;
