//! Practice: a fault hidden in a machine that is built within its tolerances. Somebody asks for
//! measurements and names it; the diagnosis plays the same game for comparison.
//!
//! Everything follows from the seed: the fault, what every part is off by, what the meter is off by.

use crate::circuit::solve::{self, Problem};
use crate::circuit::{Change, Corner, Netlist, Source};
use crate::model::{PartKind, Project, SensePin, SensePinId, Shown, Side, State, TerminalRef};
use crate::proving::diagnose::{Blame, Inquiry, Measurement, Reading, Verdict};
use crate::proving::typed::Quantity;
use crate::random::Random;
use crate::sense::{Live, ohm_error, volt_error, wire_data};
use crate::study::faults::Cause;
use crate::units::{Range, Tolerant, round_figures};

/// Beyond this a meter whose ranges nobody knows shows its sign (60 MΩ, from memory: what many
/// meters end at).
const MOST_OHM: f64 = 60e6;

/// Figures of ohms that are shown.
const OHM_FIGURES: usize = 4;

/// Worth of the last figure of volts that are shown: they are rounded to thousandths.
const VOLT_STEP: f64 = 0.001;

/// Faults that are tried until one shows at the pin.
const TRIES: usize = 40;

/// The program itself gives up after so many measurements.
const ENGINE_MOST: usize = 10;

/// Where the leads go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leads {
    /// Ohms from the pin to its reference, supplies off, controller unplugged.
    PinOhms,
    /// Volts at the pin, plugged in and switched on.
    PinVolts,
    /// Ohms between any two terminals, supplies off, controller unplugged.
    Between(TerminalRef, TerminalRef),
}

/// How the name that was given fits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Named {
    /// It is the hidden fault.
    Right,
    /// It reads the same at the pin as the hidden one.
    Alike,
    /// It is another one.
    Wrong,
}

/// A machine with a hidden fault.
#[derive(Clone, Debug)]
pub struct Practice {
    /// What everything follows from.
    pub seed: u64,
    row: usize,
    machine: Machine,
    engine: Option<usize>,
}

impl Practice {
    /// Hides a fault that shows at the pin in some measurement. `None` where none does, or
    /// `keep_going` said no.
    pub fn hide(
        project: &Project,
        inquiry: &Inquiry,
        seed: u64,
        keep_going: &dyn Fn() -> bool,
    ) -> Option<Self> {
        let r = &mut Random::new(seed);
        let rows = choices(inquiry);
        for _ in 0..TRIES {
            if rows.is_empty() || !keep_going() {
                return None;
            }
            let row = rows[r.below(rows.len())];
            let cause = &inquiry.survey.rows[row].fault.cause;
            let machine = Machine::build(project, inquiry.survey.pin, cause, r)?;
            let mut practice = Self { seed, row, machine, engine: None };
            if practice.is_seen(inquiry) {
                practice.engine = practice.play(project, inquiry, keep_going);
                return keep_going().then_some(practice);
            }
        }
        None
    }

    /// What the meter shows; the same again whenever it is asked again.
    ///
    /// # Errors
    /// Why nothing can be measured so.
    pub fn measure(&self, state: &State, leads: Leads) -> Result<Shown, String> {
        let place = match leads {
            Leads::PinOhms => [1, 0, 0, 0],
            Leads::PinVolts => [2, 0, 0, 0],
            Leads::Between(a, b) => {
                [a.part.0, u32::from(a.terminal) + 3, b.part.0, u32::from(b.terminal)]
            }
        };
        let moved = state.0.iter().flat_map(|(id, at)| [id.0, u32::from(*at)]);
        let mixed = place.into_iter().chain(moved).fold(self.seed, |mixed, number| {
            Random::new(mixed ^ u64::from(number).wrapping_mul(0x9E37_79B9)).bits()
        });
        self.machine.measure(state, leads, &mut Random::new(mixed))
    }

    /// How a fault of the survey fits, by row.
    pub fn judge(&self, inquiry: &Inquiry, row: usize) -> Named {
        match () {
            () if row == self.row => Named::Right,
            () if is_alike(inquiry, row, self.row) => Named::Alike,
            () => Named::Wrong,
        }
    }

    /// The hidden fault, by row of the survey.
    pub fn answer(&self) -> usize {
        self.row
    }

    /// Measurements at the pin the diagnosis needed until it was first, or first among those that
    /// read alike, with hardly any doubt; `None` where it did not get there.
    pub fn engine(&self) -> Option<usize> {
        self.engine
    }

    /// Whether some measurement at the pin lies outside its limits.
    fn is_seen(&self, inquiry: &Inquiry) -> bool {
        inquiry.measurements.iter().any(|at| {
            self.reading(inquiry, *at)
                .is_some_and(|reading| !is_as_drawn(inquiry, *at, reading.shown))
        })
    }

    fn reading(&self, inquiry: &Inquiry, at: Measurement) -> Option<Reading> {
        let state = inquiry.survey.states.get(at.state)?.clone();
        let leads = match at.quantity {
            Quantity::Volt => Leads::PinVolts,
            Quantity::Ohm | Quantity::Length | Quantity::Sign => Leads::PinOhms,
        };
        let shown = self.measure(&state, leads).ok()?;
        Some(Reading { state, shown, last_digit: last_digit(shown) })
    }

    /// Measures what is proposed until the cause is found.
    fn play(
        &self,
        project: &Project,
        inquiry: &Inquiry,
        keep_going: &dyn Fn() -> bool,
    ) -> Option<usize> {
        let mut readings = Vec::new();
        while readings.len() < ENGINE_MOST {
            let answer = inquiry.diagnose(project, &readings, keep_going).ok()??;
            let is_found = match answer.verdict {
                Verdict::Found => true,
                Verdict::Undecided => answer.next.is_none(),
                Verdict::NothingMeasured | Verdict::WithinLimits | Verdict::Unexplained => false,
            };
            if is_found {
                let first = answer.ranked.first()?;
                let alike = first.alike.iter().chain([&first.suspect]);
                let mut rows = alike.flat_map(|one| inquiry.suspects[*one].blame.rows());
                let is_right =
                    rows.any(|row| *row == self.row || is_alike(inquiry, *row, self.row));
                return is_right.then_some(readings.len());
            }
            let next = answer.next?.measurement;
            readings.push(self.reading(inquiry, next)?);
        }
        None
    }
}

/// Whether a sound circuit may read this, with what the meter rounds away.
pub fn is_as_drawn(inquiry: &Inquiry, at: Measurement, shown: Shown) -> bool {
    inquiry.is_within(at, shown, last_digit(shown))
}

/// Worth of the last figure the meter shows; nothing where it shows no figure.
fn last_digit(shown: Shown) -> f64 {
    match shown {
        Shown::Ohm(ohm) if ohm > 0.0 => {
            let written = format!("{:.*e}", OHM_FIGURES - 1, ohm);
            let exponent = written.split_once('e').and_then(|(_, power)| power.parse::<i32>().ok());
            exponent.map_or(0.0, |power| 10f64.powi(power + 1 - OHM_FIGURES as i32))
        }
        Shown::Volt(_) => VOLT_STEP,
        Shown::Ohm(_) | Shown::Millimetre(_) | Shown::OverRange | Shown::Yes | Shown::No => 0.0,
    }
}

/// Faults that may be hidden and named, by row of the survey: those that change some reading.
pub fn choices(inquiry: &Inquiry) -> Vec<usize> {
    let unseen: &[usize] = match inquiry.suspects.first().map(|suspect| &suspect.blame) {
        Some(Blame::Nothing { unseen }) => unseen,
        Some(
            Blame::Faults(_)
            | Blame::MoreOhms { .. }
            | Blame::OtherValue { .. }
            | Blame::Leak { .. }
            | Blame::Lifted
            | Blame::OtherPull,
        )
        | None => &[],
    };
    (0..inquiry.survey.rows.len()).filter(|row| !unseen.contains(row)).collect()
}

fn is_alike(inquiry: &Inquiry, one: usize, other: usize) -> bool {
    inquiry.survey.twins_of(one).contains(&other)
        || inquiry.suspects.iter().any(|suspect| {
            matches!(&suspect.blame, Blame::Faults(rows) if rows.contains(&one) && rows.contains(&other))
        })
}

/// A machine as it was built.
#[derive(Clone, Debug)]
struct Machine {
    project: Project,
    netlist: Netlist,
    pin: SensePin,
    lifted_volt: f64,
}

impl Machine {
    fn build(project: &Project, id: SensePinId, cause: &Cause, r: &mut Random) -> Option<Self> {
        let drawing = match cause {
            Cause::Drawing(wrong) => wrong,
            Cause::Circuit(_) | Cause::Pin(_) | Cause::Offset(_) => project,
        };
        let mut built = within_tolerance(drawing, r);
        let mut pin = match cause {
            Cause::Pin(pin) => (**pin).clone(),
            Cause::Circuit(_) | Cause::Drawing(_) | Cause::Offset(_) => {
                built.sense_pins.get(id)?.clone()
            }
        };
        for value in [&mut pin.pull_ohm, &mut pin.reference_volt] {
            *value = value.map(|value| drawn(value, r));
        }
        pin.wire_loop_ohm =
            pin.wire_loop_ohm.map(|range| Range::exact(r.between(range.low, range.high)));
        built.sense_pins.put(id, pin.clone());
        let netlist = Netlist::new(&built, &wire_data(&built));
        let netlist = match cause {
            Cause::Circuit(changes) => {
                let changes: Vec<Change> =
                    changes.iter().map(|change| with_tolerance(project, *change, r)).collect();
                netlist.changed(&changes)
            }
            Cause::Drawing(_) | Cause::Pin(_) | Cause::Offset(_) => netlist,
        };
        let offset = pin.ground_offset_volt.abs();
        let lifted = if let Cause::Offset(volt) = cause { *volt } else { 0.0 };
        let lifted_volt = match pin.side {
            Side::Ground => lifted + r.between(-offset, offset),
            Side::Supply => 0.0,
        };
        Some(Self { project: built, netlist, pin, lifted_volt })
    }

    fn measure(&self, state: &State, leads: Leads, r: &mut Random) -> Result<Shown, String> {
        let meter = &self.project.settings.meter;
        let (a, b) = match leads {
            Leads::PinVolts => {
                let volt = self.volt(state).ok_or(
                    "no voltage can be measured: the pull or reference is not known, or a supply is shorted and its fuse blows",
                )?;
                let error = volt_error(meter, volt).filter(|error| error.is_finite());
                let error = error.unwrap_or(0.0);
                let shown = volt + r.between(-error, error);
                return Ok(Shown::Volt((shown * 1000.0).round() / 1000.0));
            }
            Leads::PinOhms => (self.pin.terminal, self.pin.reference),
            Leads::Between(a, b) => (a, b),
        };
        let node = |at| self.netlist.node(at).ok_or("one of the leads touches nothing");
        let (a, b) = (node(a)?, node(b)?);
        let edges = self.netlist.closed_edges(&self.project, state);
        let ohm = match a == b {
            true => meter.lead_ohm,
            false => solve::ohm(&self.netlist, &edges, Corner::Nominal, a, b) + meter.lead_ohm,
        };
        let error = ohm_error(meter, ohm);
        let most = meter.ohm_ranges.last().map_or(MOST_OHM, |range| range.most);
        if ohm > most || !error.is_finite() {
            return Ok(Shown::OverRange);
        }
        let shown = (ohm + r.between(-error, error)).max(0.0);
        Ok(Shown::Ohm(round_figures(shown, OHM_FIGURES)))
    }

    fn volt(&self, state: &State) -> Option<f64> {
        if let Some(live) = Live::of_pin(&self.project, &self.netlist, &self.pin) {
            return live.nominal_volt(&self.pin, state, self.lifted_volt);
        }
        let edges = self.netlist.closed_edges(&self.project, state);
        let mut problem = Problem::of_edges(&self.netlist, &edges, Corner::Nominal);
        let reference = self.netlist.node(self.pin.reference)?;
        for potential in &self.netlist.potentials {
            let lift = if potential.node == reference { self.lifted_volt } else { 0.0 };
            problem.held.push((potential.node.index(), potential.volt.nominal + lift));
        }
        if !problem.held.iter().any(|(node, _)| *node == reference.index()) {
            let volt = match self.pin.side {
                Side::Ground => self.lifted_volt,
                Side::Supply => self.pin.reference_volt?.nominal,
            };
            problem.held.push((reference.index(), volt));
        }
        let far = match self.pin.side {
            Side::Ground => self.pin.reference_volt?.nominal,
            Side::Supply => 0.0,
        };
        let pin = self.netlist.node(self.pin.terminal)?.index();
        let node = problem.add_held(far);
        problem.resistances.push((node, pin, self.pin.pull_ohm?.nominal));
        problem.solve().ok()?.volt(pin)
    }
}

fn drawn(value: Tolerant, r: &mut Random) -> Tolerant {
    let share = r.between(-value.tolerance, value.tolerance);
    Tolerant { nominal: value.nominal * (1.0 + share), ..value }
}

/// Every value somewhere within what the drawing allows on the bench.
fn within_tolerance(project: &Project, r: &mut Random) -> Project {
    let mut built = project.clone();
    let within = |range: Range, r: &mut Random| Range::exact(r.between(range.low, range.high));
    let (contact, joint) = (project.settings.contact_ohm, project.settings.joint_ohm);
    let ids: Vec<_> = project.parts.ids().collect();
    for id in ids {
        let Some(part) = built.parts.get_mut(id) else { continue };
        match &mut part.kind {
            PartKind::Resistor(row) => {
                row.ohm *= 1.0 + r.between(-row.tolerance, row.tolerance);
            }
            PartKind::Contact(row) => {
                row.closed_ohm = Some(within(row.closed_ohm.unwrap_or(contact), r));
            }
            PartKind::Connector(row) => {
                row.joint_ohm = Some(within(row.joint_ohm.unwrap_or(joint), r));
            }
            PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Fuse(_)
            | PartKind::Splice { .. }
            | PartKind::Controller(_)
            | PartKind::TestPoint
            | PartKind::Element(_) => {}
        }
    }
    built
}

fn with_tolerance(project: &Project, change: Change, r: &mut Random) -> Change {
    let Change::Value(Source::Part(part), ohm) = change else { return change };
    let resistor = project.parts.get(part).and_then(|part| part.kind.resistor());
    let tolerance = resistor.map_or(0.0, |resistor| resistor.tolerance);
    Change::Value(Source::Part(part), ohm * (1.0 + r.between(-tolerance, tolerance)))
}

#[cfg(test)]
mod tests;
