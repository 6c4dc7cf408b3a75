//! A finding about a drawing: what is wrong, where, and what to do about it.

use crate::model::id::{ControlId, FrameId, PartId, PlaceId, RunId, SensePinId, WireId};

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The result cannot be trusted or computed.
    Error,
    /// It works, but not over the whole range or not for long.
    Warning,
    /// Worth knowing.
    Note,
}

/// What a finding is about, so that a click can lead there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// The project as a whole.
    Project,
    /// A part.
    Part(PartId),
    /// A wire.
    Wire(WireId),
    /// A frame.
    Frame(FrameId),
    /// A control.
    Control(ControlId),
    /// A sense pin.
    SensePin(SensePinId),
    /// A place.
    Place(PlaceId),
    /// A run.
    Run(RunId),
}

/// One finding. Sentences are in plain words, without a full stop.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Diagnostic {
    /// How bad.
    pub severity: Severity,
    /// Where.
    pub subject: Subject,
    /// What is wrong, naming the culprit.
    pub what: String,
    /// What to do.
    pub cure: String,
}
