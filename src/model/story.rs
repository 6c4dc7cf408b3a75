//! The arming story: modes of the machine, what its display says in each, and what leads from one
//! to the next. What is not known is a set of candidates; what was seen at the machine stands beside.

use std::collections::BTreeSet;

use crate::model::id::{ControlId, LinkId, ModeId, ObservationId, SensePinId};
use crate::model::table::Table;

/// A mode the machine may be in.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StoryMode {
    /// Name, for the story only.
    pub name: String,
    /// What the display says; empty where it is dark.
    pub display: String,
}

/// What may lead out of a mode. Several values are candidates: one of them is right, not known which.
#[derive(Clone, Debug, PartialEq)]
pub enum StoryEvent {
    /// A control reaches a position.
    Stands {
        /// The control.
        control: ControlId,
        /// Candidates for the position.
        positions: BTreeSet<u8>,
    },
    /// A pin comes to read as a band.
    Reads {
        /// The pin.
        pin: SensePinId,
        /// Candidates for the band's name.
        actions: BTreeSet<String>,
    },
    /// Nothing but time passes: as much as the link's `after_ms`.
    TimePasses,
}

/// The way from one mode to another.
#[derive(Clone, Debug, PartialEq)]
pub struct StoryLink {
    /// Candidates for the mode it leaves.
    pub from: BTreeSet<ModeId>,
    /// What makes the machine take it.
    pub event: StoryEvent,
    /// Counts only so long after the mode was entered, in milliseconds; from the start where `None`.
    pub after_ms: Option<u32>,
    /// Counts only up to so long after the mode was entered, in milliseconds; without end where `None`.
    pub within_ms: Option<u32>,
    /// Candidates for the mode it enters.
    pub to: BTreeSet<ModeId>,
}

/// What was done at the machine.
#[derive(Clone, Debug, PartialEq)]
pub enum Deed {
    /// It was switched off and on; controls stay where they stand.
    SwitchedOn,
    /// A control was put into a position and left there.
    Stands {
        /// The control.
        control: ControlId,
        /// The position.
        position: u8,
    },
    /// A control was put into a position and back to its rest.
    Tapped {
        /// The control.
        control: ControlId,
        /// The position.
        position: u8,
    },
    /// The pin was made to read as a band by other means, such as a resistor held to it.
    Reads {
        /// The pin.
        pin: SensePinId,
        /// Name of the band.
        action: String,
    },
    /// Nothing for so many milliseconds.
    Waited {
        /// Milliseconds.
        ms: u32,
    },
}

/// One row of the observation table: what was done, and what the display said afterwards.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    /// What was done.
    pub deed: Deed,
    /// What the display said; `None` where nobody looked.
    pub display: Option<String>,
}

/// The arming story of a project.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Story {
    /// Candidates for the mode the machine is in when it is switched on; none where nobody said.
    pub start: BTreeSet<ModeId>,
    /// Modes.
    pub modes: Table<ModeId, StoryMode>,
    /// Links, in the order in which they are looked at.
    pub links: Table<LinkId, StoryLink>,
    /// What was seen, in the order in which it was done.
    pub seen: Table<ObservationId, Observation>,
}

impl Story {
    /// Whether nothing of a story is written down.
    pub fn is_empty(&self) -> bool {
        self.start.is_empty()
            && self.modes.is_empty()
            && self.links.is_empty()
            && self.seen.is_empty()
    }

    /// Name of a mode; `?` where there is no such mode.
    pub fn mode_name(&self, id: ModeId) -> &str {
        self.modes.get(id).map_or("?", |mode| mode.name.as_str())
    }
}
