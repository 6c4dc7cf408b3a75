//! The bench test as a list of steps, made from the drawing: what to connect, how to hold the
//! controls, between which figures the meter must come to stand, or why a step can't be done yet.
//!
//! Limits are worst cases at room temperature with the meter's error in them: least true value less
//! the error there, greatest true value plus the error there, and what the leads have in both.

mod continuity;
mod fingerprint;
mod isolation;
mod judge;
mod loops;
mod pins;
mod place;
mod rounds;
mod tape;
mod words;

pub use judge::{Outcome, judge, judge_figure, reads_like};
pub use place::place_words;
pub use words::{accept_words, figure_words, usual_words};

use crate::model::{Project, State, TerminalRef};
use crate::proving::typed::Quantity;

/// What a step is for, in the order in which a bench test goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StepKind {
    /// Length of a branch with a tape.
    Tape,
    /// The few touches that prove from which side every plug was filled.
    Mirror,
    /// Cavity to cavity through the harness.
    Continuity,
    /// Neighbour cavities that must not touch.
    Isolation,
    /// Ohms of a state at the unplugged plug.
    Ohms,
    /// A permit loop, closed or open.
    Loop,
    /// Volts of a state, plugged in.
    Volts,
    /// A reading that must stand while connectors and wires are moved.
    Wiggle,
    /// A reading that must stand while it is warm.
    Heat,
    /// A reading that must stand while it is wet.
    Wet,
    /// What the return carries with every load on.
    Loads,
}

impl StepKind {
    /// All of them, in order.
    pub const ALL: [Self; 11] = [
        Self::Tape,
        Self::Mirror,
        Self::Continuity,
        Self::Isolation,
        Self::Ohms,
        Self::Loop,
        Self::Volts,
        Self::Wiggle,
        Self::Heat,
        Self::Wet,
        Self::Loads,
    ];

    /// The words for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Tape => "tape measure",
            Self::Mirror => "mirror check",
            Self::Continuity => "pin to pin",
            Self::Isolation => "isolation",
            Self::Ohms => "ohms by state",
            Self::Loop => "permit loop",
            Self::Volts => "volts by state",
            Self::Wiggle => "wiggle round",
            Self::Heat => "heat round",
            Self::Wet => "wet round",
            Self::Loads => "all-loads round",
        }
    }
}

/// What the meter, the tape or the eye must come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limits {
    /// A figure in the step's unit.
    Figure {
        /// Accept from here.
        low: f64,
        /// What is most likely read.
        usual: f64,
        /// Accept up to here.
        high: f64,
    },
    /// The sign for over range, or at least so many ohms.
    Open {
        /// Least ohms to accept.
        least_ohm: f64,
    },
}

/// One step of the bench test.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What a reading of it is kept under: the same for the same measurement in every version of
    /// the drawing.
    pub key: String,
    /// What it is for.
    pub kind: StepKind,
    /// What is measured, in a few words.
    pub title: String,
    /// What to connect and do, in order.
    pub connect: Vec<String>,
    /// How to hold the controls; `None` where no control matters.
    pub state: Option<State>,
    /// Where the red lead goes.
    pub red: Option<TerminalRef>,
    /// Where the black lead goes.
    pub black: Option<TerminalRef>,
    /// What is read.
    pub quantity: Quantity,
    /// Between what the reading must lie; `None` where the step cannot be done yet.
    pub limits: Option<Limits>,
    /// Why it cannot be done yet and what to do about it.
    pub blocked: Option<String>,
    /// What else to know.
    pub notes: Vec<String>,
    /// Of all that its limits hang on, but the meter: a reading kept with another is stale.
    pub drawing: u64,
}

/// The bench test of a project.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// Steps in the order in which to do them.
    pub steps: Vec<Step>,
    /// What is not in it, and why.
    pub left_out: Vec<String>,
}

/// What stands beside every bench test (common practice, no source).
pub const CAUTIONS: [&str; 4] = [
    "Ohms only with all supplies off and the controller unplugged; a meter set to ohms on a live wire reads nonsense and may be damaged.",
    "Before anything is switched on secure the machine: what the controls ask for may start or move.",
    "Never bridge a start-inhibit loop or a fuse to get a step done; keep off airbag plugs on a steering wheel.",
    "Local rules, the machine's own documents and licensed practice go first; passed steps prove no safety.",
];

/// More states of one pin than this are not all tested one by one.
pub const STATES_MOST: usize = 64;

/// Makes the bench test; `None` where `keep_going` said no. Cost: that of reading every state of
/// every pin once, and of the harness's nets.
pub fn plan(project: &Project, keep_going: &dyn Fn() -> bool) -> Option<Plan> {
    let mut plan = Plan::default();
    let parts: [fn(&Project, &mut Plan); 6] =
        [tape::add, continuity::add, isolation::add, pins::add, loops::add, rounds::add];
    for add in parts {
        if !keep_going() {
            return None;
        }
        add(project, &mut plan);
    }
    // Ohms of all pins come before volts of any: nothing is switched on until all of it is right.
    plan.steps.sort_by_key(|step| step.kind);
    Some(plan)
}

#[cfg(test)]
mod tests;
