//! Moves: what a pin passes while one control is moved, or two at once, and what of it counts.
//!
//! A hand and its contacts take time. Two controls that are moved at once never arrive at once; a
//! control that opens one contact and closes another does one of the two first; a contact that
//! closes bounces. [`moves`] lists every such move with the stretches of time it passes, what each
//! may decode as, and which decodes that belong to neither end stay long enough to count.
//!
//! Readings are usual values. Contacts bounce when they make, not when they break.

mod course;
mod decoder;
mod survey;

pub use survey::{MAX_MOVES, moves};

use crate::model::{ControlId, Harm, Project, SensePinId, State, Timing};

/// What a control does first that opens one contact and closes another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Making {
    /// It opens the one before it closes the other.
    BreakFirst,
    /// It closes the one before it opens the other.
    MakeFirst,
}

impl Making {
    /// The trade's words for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::BreakFirst => "break before make",
            Self::MakeFirst => "make before break",
        }
    }
}

/// One control from one position to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Step {
    /// The control.
    pub control: ControlId,
    /// Index of the position it leaves.
    pub from: u8,
    /// Index of the position it goes to.
    pub to: u8,
}

/// What the machine makes of something the pin shows in passing, the mildest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Passing {
    /// What one of the two ends shows or asks for as well, or nothing.
    Silent,
    /// The controller takes it for a broken wire or a short.
    Detected,
    /// What is asked for before and after stays away in between.
    DropsOut,
    /// An action of a position that is passed, asked for at neither end.
    OnTheWay,
    /// An action that no position of the whole move asks for.
    WrongAction,
}

impl Passing {
    /// All of them, mildest first.
    pub const ALL: [Self; 5] =
        [Self::Silent, Self::Detected, Self::DropsOut, Self::OnTheWay, Self::WrongAction];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Silent => "silent",
            Self::Detected => "detected",
            Self::DropsOut => "drops out",
            Self::OnTheWay => "on the way",
            Self::WrongAction => "wrong action",
        }
    }
}

/// One thing the pin may show in a stretch of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// Ohms between pin and reference; infinite where open.
    pub ohm: f64,
    /// Volts at the pin, as far as they are known.
    pub volt: Option<f64>,
    /// The reading in the pin's scale, as far as it is known.
    pub scaled: Option<f64>,
    /// Index of the band it lies in.
    pub band: Option<usize>,
    /// What the machine makes of it.
    pub passing: Passing,
}

/// A stretch of time in which no contact starts or stops anything.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// When it begins, in milliseconds after the first contact moves.
    pub from_ms: f64,
    /// When it ends.
    pub to_ms: f64,
    /// What the pin may show: one thing, or several while a contact bounces.
    pub seen: Vec<Seen>,
}

/// A decode that belongs to neither end, and how long it may stay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stay {
    /// Index of the band; `None` for a guard.
    pub band: Option<usize>,
    /// When it may begin, in milliseconds.
    pub from_ms: f64,
    /// How long it stays at most, in milliseconds.
    pub most_ms: f64,
    /// What the machine makes of it.
    pub passing: Passing,
    /// Whether it may stay as long as the debounce. Where that is not known every stay counts.
    pub counts: bool,
}

/// One move, what the pin passes and what comes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Move {
    /// Index of the state it starts from.
    pub start: usize,
    /// Index of the state it ends in.
    pub end: usize,
    /// One step, or two in their order.
    pub steps: Vec<Step>,
    /// What opens and closes first; `None` where no control of the move does both.
    pub making: Option<Making>,
    /// What the pin passes, in order; before and after it shows what the two states show.
    pub stretches: Vec<Stretch>,
    /// Decodes that belong to neither end, in order of their beginning.
    pub stays: Vec<Stay>,
    /// How bad the worst stay that counts is, by the marks of the bands.
    pub harm: Harm,
}

impl Move {
    /// The worst of all stays.
    pub fn worst(&self) -> Passing {
        self.stays.iter().map(|stay| stay.passing).max().unwrap_or(Passing::Silent)
    }

    /// The worst of the stays that count.
    pub fn counted(&self) -> Passing {
        let counting = self.stays.iter().filter(|stay| stay.counts);
        counting.map(|stay| stay.passing).max().unwrap_or(Passing::Silent)
    }

    /// The stay to speak of: the worst that counts, else the worst, and of those the longest.
    pub fn main_stay(&self) -> Option<&Stay> {
        let weight = |stay: &&Stay| (stay.counts, stay.passing);
        let longest =
            |a: &&Stay, b: &&Stay| weight(a).cmp(&weight(b)).then(a.most_ms.total_cmp(&b.most_ms));
        self.stays.iter().max_by(longest)
    }

    /// When everything has come to rest, in milliseconds.
    pub fn done_ms(&self) -> f64 {
        self.stretches.last().map_or(0.0, |stretch| stretch.to_ms)
    }

    /// `LEFT off to on, then CENTRE on to off`.
    pub fn words(&self, project: &Project) -> String {
        let step = |step: &Step| {
            let control = project.controls.get(step.control);
            let name = |position: u8| {
                let position = control.and_then(|c| c.positions.get(usize::from(position)));
                position.map_or("?", |position| position.name.as_str())
            };
            let control = control.map_or("?", |control| control.name.as_str());
            format!("{control} {} to {}", name(step.from), name(step.to))
        };
        self.steps.iter().map(step).collect::<Vec<_>>().join(", then ")
    }
}

/// Every move of one pin.
#[derive(Clone, Debug, PartialEq)]
pub struct Moves {
    /// The pin.
    pub pin: SensePinId,
    /// The states.
    pub states: Vec<State>,
    /// Band each state decodes as.
    pub bands: Vec<Option<usize>>,
    /// What each state reads in the pin's scale, as far as it is known.
    pub scaled: Vec<Option<f64>>,
    /// What it was reckoned with.
    pub timing: Timing,
    /// The pin's debounce, where it is known.
    pub debounce_ms: Option<f64>,
    /// All moves, those first whose worst counting stay is worst.
    pub rows: Vec<Move>,
    /// Moves beyond [`MAX_MOVES`], from states with many controls off rest, that were left out.
    pub left_out: usize,
}

impl Moves {
    /// The longest stay of something as bad as this, over all moves, in milliseconds.
    pub fn longest_ms(&self, at_least: Passing) -> Option<f64> {
        let stays = self.rows.iter().flat_map(|row| &row.stays);
        stays
            .filter(|stay| stay.passing >= at_least)
            .map(|stay| stay.most_ms)
            .max_by(f64::total_cmp)
    }
}

#[cfg(test)]
mod tests;
