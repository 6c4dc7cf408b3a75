//! The project as plain data: what a hand drew, typed or measured. No reckoning, no drawing code.
//!
//! Types here are not serialised; [`crate::store`] has its own file structs.

mod bench;
mod cavities;
mod colour;
mod connector;
mod control;
mod cutting;
mod diagnostic;
mod element;
mod harness;
mod id;
mod laid;
pub mod limits;
mod make;
mod meter;
mod part;
mod plug;
mod project;
mod record;
mod sense;
mod settings;
mod story;
mod table;
mod timing;
mod underlay;
mod wire;
mod wiring;

pub use bench::{BenchReading, BenchRun, Shown};
pub use cavities::{
    CavityFit, CavityLayout, Corner, Course, Latch, Lines, Numbering, OFFSET_ROWS_MOST, OffsetRows,
    RowShift, Span,
};
pub use colour::{BaseColour, Colour};
pub use connector::{Cavity, CavityFill, Connector, Controller, Gender, Half, HalfSide, Mating};
pub use control::{Control, ControlKind, Need, Position, State};
pub use cutting::{CutSettings, Cutting, EndFit, Price, Substitute, Ticks, WireFit};
pub use diagnostic::{Diagnostic, Severity, Subject};
pub use element::{Diode, Draw, Element, Input, KNEE_VOLT, Load, LoadForm, Relay};
pub use harness::{Piece, Place, Run};
pub use id::{
    BenchRunId, ChangeId, ControlId, FrameId, LinkId, ModeId, ObservationId, PartId, PieceId,
    PlaceId, RunId, SensePinId, SetupId, WireId,
};
pub use laid::{Covering, CoveringKind, Grommet, Hole, Laid, RunPoint, Zone};
pub use make::{Conductor, Duty, Insulation, Make, Shield, Twist};
pub use meter::{MeterProfile, MeterRange};
pub use part::{
    Contact, ContactForm, Frame, Fuse, Part, PartKind, Resistor, Supply, TerminalRef,
    cavity_of_terminal,
};
pub use plug::Arrangement;
pub use project::Project;
pub use record::{ChangeNote, Provenance, SetupRow};
pub use sense::{Band, BandRole, Converter, Expectation, FullScale, Harm, Scale, SensePin, Side};
pub use settings::{Allowances, Settings, WireModel};
pub use story::{Deed, Observation, Story, StoryEvent, StoryLink, StoryMode};
pub use table::Table;
pub use timing::Timing;
pub use underlay::Underlay;
pub use wire::{End, EndKind, SizeUnit, Wire, WireSize, WireUse};
pub use wiring::{AmpacityRule, OwnWire, Wiring};
