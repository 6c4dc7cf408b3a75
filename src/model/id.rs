//! Identities of the project's rows: numbers handed out once per project and never used again.

use std::fmt;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub u32);

        impl From<u32> for $name {
            fn from(number: u32) -> Self {
                Self(number)
            }
        }

        impl From<$name> for u32 {
            fn from(id: $name) -> Self {
                id.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{}", self.0)
            }
        }
    )*};
}

ids! {
    /// Identity of a part.
    PartId
    /// Identity of a wire.
    WireId
    /// Identity of a frame, the dashed outline around the parts of one box.
    FrameId
    /// Identity of a control.
    ControlId
    /// Identity of a sense pin.
    SensePinId
    /// Identity of a place of the harness layout.
    PlaceId
    /// Identity of a run between two places.
    RunId
    /// Identity of a piece of wire on hand.
    PieceId
    /// Identity of a bench run.
    BenchRunId
    /// Identity of a setting of the set-up record.
    SetupId
    /// Identity of a line of the change log.
    ChangeId
    /// Identity of a mode of the arming story.
    ModeId
    /// Identity of a link of the arming story.
    LinkId
    /// Identity of an observation at the machine.
    ObservationId
}
