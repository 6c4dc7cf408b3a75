//! The cut list.

use crate::model::{Colour, Diagnostic, WireId, WireSize};

/// One wire to cut.
#[derive(Clone, Debug, PartialEq)]
pub struct CutRow {
    /// The wire.
    pub wire: WireId,
    /// Its name.
    pub name: String,
    /// Circuit it carries.
    pub circuit: String,
    /// First end, such as `X2-2`.
    pub from: String,
    /// Other end.
    pub to: String,
    /// Conductor size.
    pub size: WireSize,
    /// Colour with tracer.
    pub colour: Colour,
    /// Names of the runs along the way.
    pub route: Vec<String>,
    /// Routed length in millimetres.
    pub routed_mm: Option<f64>,
    /// Allowances and loops in millimetres.
    pub allowance_mm: Option<f64>,
    /// Cut length in millimetres.
    pub cut_mm: Option<f64>,
    /// Why the length is not known.
    pub finding: Option<Diagnostic>,
}
