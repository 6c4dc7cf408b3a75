//! Dirt budget: how much resistance, leak or offset each place stands before a state is lost, and
//! from where on it reads as its neighbour.
//!
//! All else stands at its usual value. One resistance moves a reading along a ratio of two straight
//! lines, so the value at an edge is found in closed form, not by steps.

use std::collections::BTreeSet;

use crate::circuit::{Netlist, PinNetwork, Source};
use crate::model::{BandRole, PartKind, Project, SensePin, SensePinId, Side, State, Subject};
use crate::sense::{Live, Measure, asked, wire_data};
use crate::study::values::ladder::state_formula;

/// More states than this are not put on a budget.
pub const MAX_STATES: usize = 4096;

/// What kind of dirt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dirt {
    /// Resistance of a closed contact.
    Contact,
    /// Resistance of a mated joint.
    Joint,
    /// Resistance of a wire, or of the whole loop.
    Wire,
    /// Resistance of a leak from the pin to its reference.
    Leak,
    /// Volts between the controller's ground and the network's.
    Offset,
}

impl Dirt {
    /// Unit of its figures.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Contact | Self::Joint | Self::Wire | Self::Leak => "Ω",
            Self::Offset => "V",
        }
    }
}

/// One place of dirt in one state.
#[derive(Clone, Debug, PartialEq)]
pub struct BudgetRow {
    /// What it is.
    pub dirt: Dirt,
    /// Where, in words.
    pub place: String,
    /// Where.
    pub subject: Subject,
    /// Index of the state.
    pub state: usize,
    /// The action that is asked for.
    pub action: String,
    /// Total value at which the reading leaves the band, in the unit of the dirt.
    pub leaves: f64,
    /// Value from which it reads as another action, and which.
    pub becomes: Option<(f64, String)>,
}

/// The budget of one pin.
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    /// The pin.
    pub pin: SensePinId,
    /// States that rows point to.
    pub states: Vec<State>,
    /// Every place and state that dirt can spoil, by place; the weakest state of a place first.
    pub rows: Vec<BudgetRow>,
}

/// A band in ohms, with its name; `None` for a guard.
struct Span<'a> {
    low: f64,
    high: f64,
    name: &'a str,
    role: BandRole,
}

/// The dirt budget of one pin.
///
/// # Errors
/// One sentence: what the pin has no budget for, and what would have to be known.
pub fn budget(project: &Project, pin_id: SensePinId) -> Result<Budget, String> {
    let sense = project.sense_pins.get(pin_id).ok_or("the sense pin is no longer there")?;
    let netlist = Netlist::new(project, &wire_data(project));
    let network = PinNetwork::new(project, &netlist, sense)
        .ok_or("the pin or its reference is a terminal that does not exist")?;
    if let Some(why) = refusal(project, (sense, &netlist, &network)) {
        return Err(why);
    }
    let measure = Measure::new(project, sense);
    let spans = spans(sense, &measure).ok_or_else(|| no_spans(&measure))?;
    let states: Vec<State> =
        network.all_positions().iter().map(|positions| network.state(positions)).collect();
    let sources: BTreeSet<Source> =
        network.edges.iter().map(|edge| netlist.graph[*edge].source).collect();
    let places: Vec<(Source, Dirt, String, Subject)> =
        sources.into_iter().filter_map(|source| place(project, source)).collect();
    let mut rows = Vec::new();
    for (idx, state) in states.iter().enumerate() {
        let asked = asked(project, sense, state);
        let [action] = asked.as_slice() else { continue };
        let sound = state_formula(project, &netlist, &network, &[], state).corners[1].ohm(&[]);
        let Some(own) = spans.iter().find(|span| span.name == action && span.holds(sound)) else {
            continue;
        };
        let mut add = |(dirt, place, subject): (Dirt, &str, Subject), found: Crossing| {
            rows.push(BudgetRow {
                dirt,
                place: place.into(),
                subject,
                state: idx,
                action: action.clone(),
                leaves: found.leaves,
                becomes: found.becomes,
            });
        };
        for (source, dirt, place, subject) in &places {
            let formula = state_formula(project, &netlist, &network, &[*source], state);
            if formula.parts.is_empty() {
                continue;
            }
            let at = |ohm: f64| Some(1.0 / formula.corners[1].siemens_for(ohm)?);
            if let Some(found) = crossing(&spans, own, Way::Up, &at) {
                add((*dirt, place, *subject), found);
            }
        }
        let leak = |ohm: f64| (ohm < sound).then(|| 1.0 / (1.0 / ohm - 1.0 / sound));
        let at_pin = Subject::SensePin(pin_id);
        if let Some(found) = crossing(&spans, own, Way::Down, &leak) {
            add((Dirt::Leak, "leak from the pin to its reference", at_pin), found);
        }
        for way in [Way::Up, Way::Down] {
            let offset = |ohm: f64| offset_volt(sense.side, &measure, sound, ohm).map(f64::abs);
            if let Some(found) = crossing(&spans, own, way, &offset) {
                let words = match way {
                    Way::Up => "ground of the network lifted",
                    Way::Down => "ground of the network lowered",
                };
                add((Dirt::Offset, words, at_pin), found);
            }
        }
    }
    let order = |row: &BudgetRow| match row.dirt {
        // A leak harms the more the smaller it is, everything else the more the larger.
        Dirt::Leak => -row.leaves,
        Dirt::Contact | Dirt::Joint | Dirt::Wire | Dirt::Offset => row.leaves,
    };
    rows.sort_by(|a, b| {
        (a.dirt, &a.place).cmp(&(b.dirt, &b.place)).then(order(a).total_cmp(&order(b)))
    });
    Ok(Budget { pin: pin_id, states, rows })
}

/// Why the network has no budget, if so.
fn refusal(
    project: &Project,
    (sense, netlist, network): (&SensePin, &Netlist, &PinNetwork),
) -> Option<String> {
    let n_states = network.state_bound();
    if n_states > MAX_STATES {
        return Some(format!("at most {MAX_STATES} states are put on a budget, found {n_states}"));
    }
    if let Some(live) = Live::of_pin(project, netlist, sense) {
        return Some(format!(
            "what dirt does to this pin hangs on {} as well, whose state it may turn over: there is no single value to give; stage Break and the sliders show what single values do",
            live.names()
        ));
    }
    let words = "the network hangs on more than one potential, so its reading is no matter of resistance alone";
    (!network.mixed.is_empty()).then(|| words.to_owned())
}

fn no_spans(measure: &Measure) -> String {
    match measure.missing() {
        Some(missing) => {
            format!(
                "{missing} is not known, so the bands cannot be brought to ohms; type it at the pin"
            )
        }
        None => "an edge of the bands cannot be brought to ohms".to_owned(),
    }
}

impl BudgetRow {
    /// `LEFT drops out at 155 Ω of dirt in S1 and reads CENTRE from 280 Ω`.
    pub fn words(&self, figure: impl Fn(Dirt, f64) -> String) -> String {
        let (action, place) = (&self.action, &self.place);
        let leaves = figure(self.dirt, self.leaves);
        let mut words = match self.dirt {
            Dirt::Contact | Dirt::Joint | Dirt::Wire => {
                format!("{action} drops out at {leaves} of dirt in {place}")
            }
            Dirt::Leak => format!("{action} drops out with a {place} of {leaves}"),
            Dirt::Offset => format!("{action} drops out with the {place} by {leaves}"),
        };
        if let Some((value, name)) = &self.becomes {
            words += &format!(" and reads {name} from {}", figure(self.dirt, *value));
        }
        words
    }
}

impl Span<'_> {
    fn holds(&self, ohm: f64) -> bool {
        self.low <= ohm && ohm <= self.high
    }
}

/// Whether ohms seem to grow or to shrink.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
    Up,
    Down,
}

struct Crossing {
    leaves: f64,
    becomes: Option<(f64, String)>,
}

/// Where a reading leaves its band and where it enters the next action on its way; `at` gives the
/// dirt that makes so many ohms.
fn crossing(
    spans: &[Span<'_>],
    own: &Span<'_>,
    way: Way,
    at: &dyn Fn(f64) -> Option<f64>,
) -> Option<Crossing> {
    let edge = match way {
        Way::Up => own.high,
        Way::Down => own.low,
    };
    if !edge.is_finite() || edge <= 0.0 {
        return None;
    }
    let leaves = at(edge).filter(|value| value.is_finite())?;
    let others = spans
        .iter()
        .filter(|span| span.role == BandRole::Action && span.name != own.name)
        .filter(|span| match way {
            Way::Up => span.low >= edge,
            Way::Down => span.high <= edge,
        });
    let next = match way {
        Way::Up => others.min_by(|a, b| a.low.total_cmp(&b.low)).map(|span| (span.low, span.name)),
        Way::Down => {
            others.max_by(|a, b| a.high.total_cmp(&b.high)).map(|span| (span.high, span.name))
        }
    };
    let becomes = next.and_then(|(ohm, name)| Some((at(ohm)?, name.to_owned())));
    Some(Crossing { leaves, becomes })
}

/// The pin's bands in ohms, lowest first.
fn spans<'a>(sense: &'a SensePin, measure: &Measure) -> Option<Vec<Span<'a>>> {
    let mut spans = Vec::new();
    for band in &sense.bands {
        let low = measure.ohm_at(band.low);
        let high = match band.high {
            Some(high) => measure.ohm_at(high),
            None => Some(f64::INFINITY),
        };
        // Edges beyond what any resistance gives are the ends of the scale.
        let (low, high) = match sense.side {
            Side::Supply if measure.is_ohm() => (low?, high?),
            Side::Ground => (low.unwrap_or(0.0), high.unwrap_or(f64::INFINITY)),
            Side::Supply => (high.unwrap_or(0.0), low.unwrap_or(f64::INFINITY)),
        };
        spans.push(Span { low, high, name: &band.name, role: band.role });
    }
    measure.missing().is_none().then_some(spans)
}

/// Volts between the grounds that make `sound` ohms read as `ohm`.
fn offset_volt(side: Side, measure: &Measure, sound: f64, ohm: f64) -> Option<f64> {
    let (is, wanted) = (measure.nominal_volt(sound)?, measure.nominal_volt(ohm)?);
    let one = measure.volt_with_offset(sound, 1.0)? - is;
    let volt = (wanted - is) / one;
    (side == Side::Ground && volt.is_finite()).then_some(volt)
}

fn place(project: &Project, source: Source) -> Option<(Source, Dirt, String, Subject)> {
    let (dirt, words, subject) = match source {
        Source::Part(part) => {
            let row = project.parts.get(part)?;
            if !matches!(row.kind, PartKind::Contact(_)) {
                return None;
            }
            (Dirt::Contact, row.name.clone(), Subject::Part(part))
        }
        Source::Joint { part, cavity } => {
            let name = project.parts.get(part)?.terminal_name(2 * (cavity - 1));
            (Dirt::Joint, format!("joint {name}"), Subject::Part(part))
        }
        Source::Wire(wire) => {
            let name = &project.wires.get(wire)?.name;
            // Wires inside a box have no length to be damaged along.
            if name.is_empty() {
                return None;
            }
            (Dirt::Wire, format!("wire {name}"), Subject::Wire(wire))
        }
        Source::Loop(pin) => (Dirt::Wire, "the wire loop".into(), Subject::SensePin(pin)),
        Source::Coil(_) | Source::Bridge => return None,
    };
    Some((source, dirt, words, subject))
}
