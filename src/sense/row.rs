//! What one sense pin reads in one state, and what the controller makes of it.

use crate::model::{ControlId, Diagnostic, Scale, SensePinId, State};
use crate::units::Range;

/// How a state fares.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// Decodes as an action nobody asked for.
    Clash,
    /// Lies in no band although an action was asked for.
    Gap,
    /// Right at nominal values, but not over the whole range.
    Thin,
    /// Right over the whole range.
    Ok,
}

impl Verdict {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Clash => "clash",
            Self::Gap => "gap",
            Self::Thin => "thin",
            Self::Ok => "ok",
        }
    }
}

/// Distance of the worst case to the nearest edge that would change the decode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// Distance to the lower edge; `None` where there is no edge below.
    pub below: Option<f64>,
    /// Distance to the upper edge; `None` where there is no edge above.
    pub above: Option<f64>,
    /// What both are in.
    pub scale: Scale,
}

impl Margin {
    /// The smaller of the two; negative when the worst case is past the edge.
    pub fn value(&self) -> Option<f64> {
        match (self.below, self.above) {
            (Some(below), Some(above)) => Some(below.min(above)),
            (one, None) | (None, one) => one,
        }
    }
}

/// What a pin reads in one state.
#[derive(Clone, Debug, PartialEq)]
pub struct StateRow {
    /// Positions of the controls that matter to this pin.
    pub state: State,
    /// Ohms between pin and reference terminal: worst low, nominal, worst high, everything counted.
    /// Infinite means open.
    pub ohm: Range,
    /// What a meter at the unplugged plug may show at room temperature, its own error counted.
    pub bench_ohm: (f64, f64),
    /// Volts at the pin, where pull and reference are known.
    pub volt: Option<Range>,
    /// Counts: lowest, nominal, highest.
    pub count: Option<(u32, u32, u32)>,
    /// The reading in the pin's own scale, as far as it can be known; what is decoded.
    pub scaled: Option<Range>,
    /// Index into the pin's bands of the band the nominal reading lies in.
    pub band: Option<usize>,
    /// Names of all actions asked for in this state; empty where nothing is asked for.
    pub asked: Vec<String>,
    /// Distance to the edges.
    pub margin: Option<Margin>,
    /// How it fares; `None` where the reading is not known in the pin's scale.
    pub verdict: Option<Verdict>,
    /// One plain sentence about the verdict, with cause and figure.
    pub why: String,
}

impl StateRow {
    /// How bad it is, less being worse: the verdict, then the margin.
    pub fn badness(&self) -> (u8, f64) {
        let rank = match self.verdict {
            Some(Verdict::Clash) => 0,
            Some(Verdict::Gap) => 1,
            Some(Verdict::Thin) => 2,
            None => 3,
            Some(Verdict::Ok) => 4,
        };
        (rank, self.margin.and_then(|margin| margin.value()).unwrap_or(f64::INFINITY))
    }
}

/// All states of one pin.
#[derive(Clone, Debug, PartialEq)]
pub struct PinTable {
    /// The pin.
    pub pin: SensePinId,
    /// Controls that can change the reading, in the order of the control strip.
    pub controls: Vec<ControlId>,
    /// One row per allowed state, first control slowest.
    pub rows: Vec<StateRow>,
    /// Degenerate circuits and what else is wrong, by name and place.
    pub findings: Vec<Diagnostic>,
}
