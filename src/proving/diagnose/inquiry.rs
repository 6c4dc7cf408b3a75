//! From readings to suspects in the order of their likelihood.

use std::sync::OnceLock;

use crate::model::{MeterProfile, Project, SensePin, SensePinId, Shown, State};
use crate::proving::diagnose::belief::Belief;
use crate::proving::diagnose::list::Bench;
use crate::proving::diagnose::next::{self, Slots, best_next};
use crate::proving::diagnose::suspect::Suspect;
use crate::proving::diagnose::weigh::{Expected, Scale, is_inside};
use crate::proving::divider::Divider;
use crate::proving::typed::Quantity;
use crate::study::faults::{Survey, survey};

/// Share of all likelihood at which a suspect is named as the cause.
pub const SURE: f64 = 0.95;

/// One reading at the pin.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// How the controls stood.
    pub state: State,
    /// What the meter showed, in ohms (controller unplugged, supplies off) or volts (plugged in).
    pub shown: Shown,
    /// What the last digit was worth; 0 where it counts as exact.
    pub last_digit: f64,
}

/// A measurement that can be made at the pin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Measurement {
    /// State by index of [`Inquiry::states`].
    pub state: usize,
    /// Ohms or volts.
    pub quantity: Quantity,
}

/// A reading held against the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// The measurement.
    pub measurement: Measurement,
    /// What was shown.
    pub shown: Shown,
    /// What the meter may show in a sound circuit.
    pub expected: Expected,
    /// Whether the reading lies in it.
    pub is_inside: bool,
}

/// A suspect with what the readings say of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked {
    /// Index among [`Inquiry::suspects`].
    pub suspect: usize,
    /// Share of all likelihood, from 0 to 1.
    pub share: f64,
    /// Least, mean and greatest ohms or volts that carry nine tenths of its likelihood.
    pub value: Option<(f64, f64, f64)>,
    /// Other suspects, by index, that at their likeliest value would read the same as this one at
    /// every measurement there is, as far as the meter can tell.
    pub alike: Vec<usize>,
}

impl Ranked {
    /// Share of this suspect and of all that read the same.
    pub fn share_with_alike(&self, all: &[Self]) -> f64 {
        let others = all.iter().filter(|one| self.alike.contains(&one.suspect));
        self.share + others.map(|one| one.share).sum::<f64>()
    }
}

/// What the readings come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// No reading yet.
    NothingMeasured,
    /// Every reading lies within its limits: nothing to find fault with.
    WithinLimits,
    /// One suspect, or one group that reads alike, carries nearly all likelihood.
    Found,
    /// Several are left.
    Undecided,
    /// No suspect explains the readings; a slip, or something that is not on the list.
    Unexplained,
}

/// The measurement that is worth most now.
#[derive(Clone, Debug, PartialEq)]
pub struct Next {
    /// What to measure.
    pub measurement: Measurement,
    /// How much it is expected to tell, in bits.
    pub bits: f64,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    /// Readings held against the drawing.
    pub judged: Vec<Judged>,
    /// What they come to.
    pub verdict: Verdict,
    /// All suspects that carry a thousandth of the likelihood or more, the likeliest first; never
    /// fewer than two, so that no verdict stands without its runner-up.
    pub ranked: Vec<Ranked>,
    /// What to measure next; `None` where nothing at this pin tells more.
    pub next: Option<Next>,
}

/// Everything about one pin that does not change from reading to reading.
pub struct Inquiry {
    /// The pin.
    pub pin: SensePin,
    /// The faults that are reckoned with.
    pub survey: Survey,
    /// What may be wrong; the first is nothing.
    pub suspects: Vec<Suspect>,
    /// Measurements to choose from.
    pub measurements: Vec<Measurement>,
    pub(super) meter: MeterProfile,
    ohm: Scale,
    pub(super) volt: Scale,
    n_off_rest: Vec<usize>,
    /// How many causes every point stands for, by suspect and point.
    pub(super) causes: Vec<Vec<f64>>,
    /// By measurement, where the readings of every point fall; worked out when first asked for.
    slots: Vec<OnceLock<Vec<Vec<Slots>>>>,
}

/// More states than this are not all proposed: those with most controls off rest are left out.
const STATES_PROPOSED: usize = 128;

impl Inquiry {
    /// Works out what every suspect would read. `None` where the pin reads nothing, has more states
    /// than faults are put to, or `keep_going` said no. Cost: three reductions a fault and nine a
    /// contact, joint or wire.
    pub fn new(project: &Project, id: SensePinId, keep_going: &dyn Fn() -> bool) -> Option<Self> {
        let pin = project.sense_pins.get(id)?;
        let survey = survey(project, id, keep_going)?;
        let (suspects, is_live) = {
            let bench = Bench::new(project, pin, &survey)?;
            (bench.suspects(keep_going)?, bench.is_live)
        };
        let divider = Divider::new(project, pin);
        let n_off_rest: Vec<usize> =
            survey.states.iter().map(|state| project.n_off_rest(state)).collect();
        let mut order: Vec<usize> = (0..survey.states.len()).collect();
        order.sort_by_key(|state| (n_off_rest[*state], *state));
        order.truncate(STATES_PROPOSED);
        order.sort_unstable();
        let quantities = [(Quantity::Ohm, !is_live), (Quantity::Volt, divider.is_some())];
        let measurements: Vec<Measurement> = order
            .into_iter()
            .flat_map(|state| {
                let can = quantities.iter().filter(|(_, can)| *can);
                can.map(move |(quantity, _)| Measurement { state, quantity: *quantity })
            })
            .collect();
        let meter = &project.settings.meter;
        let causes = suspects.iter().map(Suspect::causes).collect();
        let slots = measurements.iter().map(|_| OnceLock::new()).collect();
        Some(Self {
            pin: pin.clone(),
            survey,
            suspects,
            measurements,
            meter: meter.clone(),
            ohm: Scale::ohm(meter),
            volt: Scale::volt(divider.map_or(5.0, |divider| divider.reference.nominal)),
            n_off_rest,
            causes,
            slots,
        })
    }

    /// The state of the list in which these controls stand; `None` where they cannot stand so.
    pub fn state_of(&self, project: &Project, state: &State) -> Option<usize> {
        let stands = |known: &State| {
            known.0.iter().all(|(id, position)| {
                project.controls.get(*id).is_some_and(|c| state.position(*id, c) == *position)
            })
        };
        self.survey.states.iter().position(stands)
    }

    /// What the meter may show at a measurement if this point of this suspect is so.
    pub fn expected(&self, suspect: usize, point: usize, at: Measurement) -> Expected {
        let span = self.suspects[suspect].span(point, at.state, at.quantity);
        self.scale(at.quantity).expected(&self.meter, span)
    }

    /// Whether a sound circuit may show this.
    pub fn is_within(&self, at: Measurement, shown: Shown, last_digit: f64) -> bool {
        is_inside(self.expected(0, 0, at), shown, last_digit)
    }

    /// Where the readings of every point fall at a measurement, by its index.
    pub(super) fn slots(&self, measurement: usize) -> &[Vec<Slots>] {
        let at = self.measurements[measurement];
        self.slots[measurement].get_or_init(|| next::slots(self, at))
    }

    pub(super) fn scale(&self, quantity: Quantity) -> &Scale {
        match quantity {
            Quantity::Volt => &self.volt,
            Quantity::Ohm | Quantity::Length | Quantity::Sign => &self.ohm,
        }
    }

    /// How much trouble a measurement is: controls to hold, and volts after ohms.
    pub(super) fn trouble(&self, at: Measurement) -> usize {
        2 * self.n_off_rest[at.state] + usize::from(at.quantity == Quantity::Volt)
    }

    /// Ranks all suspects by these readings.
    ///
    /// Before the first reading every cause counts alike, and the circuit is as likely sound as
    /// not. Each reading multiplies that by how likely it is under the suspect after the readings
    /// before it. `None` where `keep_going` said no.
    ///
    /// # Errors
    /// A sentence where a reading's state is none of this pin's.
    pub fn diagnose(
        &self,
        project: &Project,
        readings: &[Reading],
        keep_going: &dyn Fn() -> bool,
    ) -> Result<Option<Diagnosis>, String> {
        let mut judged = Vec::new();
        for reading in readings {
            let state = self.state_of(project, &reading.state).ok_or_else(|| {
                "the controls cannot stand so: one of them is held back by another".to_owned()
            })?;
            let quantity = match reading.shown {
                Shown::Volt(_) => Quantity::Volt,
                Shown::Ohm(_) | Shown::OverRange => Quantity::Ohm,
                Shown::Millimetre(_) | Shown::Yes | Shown::No => {
                    return Err("expected ohms, volts or the sign for over range".into());
                }
            };
            let measurement = Measurement { state, quantity };
            let expected = self.expected(0, 0, measurement);
            let is_inside = is_inside(expected, reading.shown, reading.last_digit);
            judged.push(Judged { measurement, shown: reading.shown, expected, is_inside });
        }
        let taken: Vec<(Measurement, &Reading)> =
            judged.iter().map(|judged| judged.measurement).zip(readings).collect();
        let Some(belief) = Belief::of(self, &taken, keep_going) else { return Ok(None) };
        let mut ranked = self.ranked(&belief);
        let is_explained =
            ranked.iter().take(5).any(|one| self.explains(one.suspect, &belief, readings, &judged));
        let verdict_of = |ranked: &[Ranked]| match () {
            () if readings.is_empty() => Verdict::NothingMeasured,
            () if judged.iter().all(|judged| judged.is_inside) => Verdict::WithinLimits,
            () if !is_explained => Verdict::Unexplained,
            () if ranked.first().is_some_and(|one| one.share_with_alike(ranked) >= SURE) => {
                Verdict::Found
            }
            () => Verdict::Undecided,
        };
        if !judged.is_empty() && judged.iter().all(|judged| judged.is_inside) {
            // What lies within its limits is not called faulty, whatever else it might be as well.
            if let Some(at) = ranked.iter().position(|one| one.suspect == 0) {
                let sound = ranked.remove(at);
                ranked.insert(0, sound);
            }
        } else if judged.iter().any(|judged| !judged.is_inside) {
            // A sound circuit does not read this; it is no answer, however the curve's tail falls.
            ranked.retain(|one| one.suspect != 0);
        }
        ranked.retain(|one| !self.is_pull_as_drawn(one));
        self.find_alike(&mut ranked, &belief, &taken);
        let verdict = verdict_of(&ranked);
        let n_shown = ranked.iter().take_while(|one| one.share >= 1e-3).count().max(2);
        ranked.truncate(n_shown);
        let Some(next) = best_next(self, &belief, &taken, keep_going) else { return Ok(None) };
        Ok(Some(Diagnosis { judged, verdict, ranked, next: next.best }))
    }

    fn ranked(&self, belief: &Belief) -> Vec<Ranked> {
        let mut ranked: Vec<Ranked> = (0..self.suspects.len())
            .map(|suspect| Ranked {
                suspect,
                share: belief.share(suspect),
                value: self.value(suspect, belief),
                alike: Vec::new(),
            })
            .collect();
        ranked.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.suspect.cmp(&b.suspect)));
        ranked
    }

    /// Whether every reading lies within what the likeliest point of a suspect lets the meter show.
    fn explains(
        &self,
        suspect: usize,
        belief: &Belief,
        readings: &[Reading],
        judged: &[Judged],
    ) -> bool {
        let weights = &belief.weights[suspect];
        let best = (0..weights.len()).max_by(|a, b| weights[*a].total_cmp(&weights[*b]));
        best.is_some_and(|point| {
            readings.iter().zip(judged).all(|(reading, judged)| {
                let expected = self.expected(suspect, point, judged.measurement);
                is_inside(expected, reading.shown, reading.last_digit)
            })
        })
    }
}
