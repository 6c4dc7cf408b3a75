//! What a log is looked through for, and one thing that was found.

use crate::model::{Harm, SensePin};
use crate::proving::replay::claims::BandIdx;
use crate::units::Range;

/// What kind of event.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EventKind {
    /// Read as an action the controls do not give.
    WrongAction,
    /// Read as a broken wire or a short.
    Detected,
    /// Opens and closes faster than a hand could.
    Intermittent,
    /// Between two bands for so long that it counts.
    InGuard,
    /// Moved because the supply dipped.
    Dip,
    /// The centre of a band moves away from what the drawing gives.
    Drift,
    /// Somewhere else for less than the debounce, and back.
    Brief,
}

impl EventKind {
    /// All of them, worst first.
    pub const ALL: [Self; 7] = [
        Self::WrongAction,
        Self::Detected,
        Self::Intermittent,
        Self::InGuard,
        Self::Dip,
        Self::Drift,
        Self::Brief,
    ];

    /// The words for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::WrongAction => "wrong action",
            Self::Detected => "open or short",
            Self::Intermittent => "intermittent contact",
            Self::InGuard => "in a guard",
            Self::Dip => "supply dip",
            Self::Drift => "drift",
            Self::Brief => "shorter than the debounce",
        }
    }
}

/// Something found in a log.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// What it is.
    pub kind: EventKind,
    /// When it begins, seconds since the first row.
    pub from_s: f64,
    /// When it ends.
    pub to_s: f64,
    /// Its first row.
    pub first: usize,
    /// The row behind its last.
    pub end: usize,
    /// Least and greatest reading in the pin's scale.
    pub read: (f64, f64),
    /// Band it was read as, or the band it left.
    pub band: BandIdx,
    /// What the drawing gives there.
    pub expected: Option<Range>,
    /// How often: times it left its band; 1 for all else.
    pub times: usize,
    /// For drift: reading at its beginning and at its end, twice the same where it stands off and did
    /// not move; for dips: least volts and usual volts.
    pub course: Option<(f64, f64)>,
    /// Whether the controller may take notice of it, as far as the log and the pin tell.
    pub may_count: bool,
}

impl Event {
    /// How long it lasts, in seconds.
    pub fn length_s(&self) -> f64 {
        self.to_s - self.from_s
    }

    /// How bad it is: an action nobody gave carries the mark of its band.
    pub fn harm(&self, pin: &SensePin) -> Harm {
        match self.kind {
            EventKind::WrongAction => {
                pin.bands.get(usize::from(self.band)).map_or(Harm::Nuisance, |band| band.harm)
            }
            EventKind::Brief if !self.may_count => Harm::Harmless,
            EventKind::Brief
            | EventKind::Detected
            | EventKind::Intermittent
            | EventKind::InGuard
            | EventKind::Dip
            | EventKind::Drift => Harm::Nuisance,
        }
    }
}

/// By what rules events are told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rules {
    /// A stay that counts, in seconds: the debounce.
    pub counts_s: f64,
    /// Whether the controller's debounce is known, or 50 ms was taken.
    pub is_debounce_known: bool,
    /// Changing from one band to another may take so long, in seconds.
    pub passing_s: f64,
    /// So many times out and back make an intermittent contact…
    pub flickers: usize,
    /// …where no more than so many seconds lie between them.
    pub flicker_gap_s: f64,
    /// A broken wire that is back within so many seconds may belong to one.
    pub open_s: f64,
    /// A supply below its usual volts by this share dips.
    pub dip_share: f64,
    /// A centre that moves by this share of its way to the edge drifts.
    pub drift_share: f64,
}

impl Rules {
    /// The pin's debounce; all else common practice, no source.
    pub fn of(pin: &SensePin) -> Self {
        let counts_s = pin.debounce_ms.unwrap_or(50.0) / 1e3;
        Self {
            counts_s,
            is_debounce_known: pin.debounce_ms.is_some(),
            passing_s: counts_s.max(0.15),
            flickers: 3,
            flicker_gap_s: 2.0,
            open_s: 1.0,
            dip_share: 0.1,
            drift_share: 0.2,
        }
    }
}
