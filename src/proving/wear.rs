//! Readings of two rounds years apart: which contact has aged, by how much, and how long until it
//! leaves its band at that rate.
//!
//! Differences of readings count, so what tolerances did is out of it: in every state the reading
//! has changed by what the circuit would change by if one contact, joint or wire had so many ohms
//! more. The ohms are those with the least sum of squared misfits, each measured in half of what the
//! meter may be off by.

use crate::circuit::Source;
use crate::model::{BenchReading, BenchRun, BenchRunId, Project, SensePinId, Shown, Subject};
use crate::proving::calendar::day_number;
use crate::proving::diagnose::{Blame, Inquiry, source_words};
use crate::proving::plan::{Plan, Step, StepKind};
use crate::sense::ohm_error;
use crate::study::budget::budget;

/// Days of a year, leap years counted.
const DAYS_A_YEAR: f64 = 365.25;

/// One step that both rounds read.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// What was measured.
    pub title: String,
    /// Ohms then.
    pub then_ohm: f64,
    /// Ohms now.
    pub now_ohm: f64,
}

/// A place that may have aged.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Where, in words; several where all of them would read alike.
    pub at: Vec<String>,
    /// So many ohms more than then.
    pub more_ohm: f64,
    /// Sum of squared misfits: near the number of readings where it fits, far above where not.
    pub misfit: f64,
    /// Total ohms at which some state leaves its band; `None` where bands or pull are not known.
    pub leaves_ohm: Option<f64>,
    /// Years until then at this rate; `None` where dates or bands are not known.
    pub years_left: Option<f64>,
}

/// What two rounds say of one pin.
#[derive(Clone, Debug, PartialEq)]
pub struct Wear {
    /// The pin.
    pub pin: SensePinId,
    /// Years between the rounds; `None` where a date is not written as 2027-03-14.
    pub years: Option<f64>,
    /// Readings of both.
    pub pairs: Vec<Pair>,
    /// Misfit if nothing had aged.
    pub misfit_of_none: f64,
    /// Places, the best fit first.
    pub places: Vec<Place>,
    /// Steps left out because the drawing has changed since one of the readings.
    pub n_stale: usize,
}

impl Wear {
    /// Whether the change is more than the meter may make of nothing: beyond twice its error in
    /// some reading, or beyond it on the whole.
    pub fn is_aged(&self) -> bool {
        let n = self.pairs.len() as f64;
        n > 0.0 && self.misfit_of_none > 4.0 * n + 4.0
    }

    /// The finding in a sentence, with the runner-up.
    pub fn words(&self) -> String {
        if self.pairs.is_empty() {
            return "No step was read in ohms in both rounds on the drawing as it is now.".into();
        }
        if !self.is_aged() {
            return format!(
                "Nothing has aged that this meter can tell ({} readings).",
                self.pairs.len()
            );
        }
        let [first, rest @ ..] = self.places.as_slice() else {
            return "The readings have changed, but no contact, joint or wire would change them so: diagnose them.".into();
        };
        let runner_up = match rest.first() {
            Some(next) => format!(
                " Next likely: {} with {} more (misfit {:.0} against {:.0}).",
                next.at.join(" or "),
                crate::units::format_ohm(next.more_ohm),
                next.misfit,
                first.misfit
            ),
            None => String::new(),
        };
        format!(
            "{} has {} more than then.{}{runner_up}",
            first.at.join(" or "),
            crate::units::format_ohm(first.more_ohm),
            self.outlook(first)
        )
    }

    fn outlook(&self, place: &Place) -> String {
        match (place.years_left, place.leaves_ohm, self.years) {
            (Some(years), Some(leaves), _) if years <= 0.0 => format!(
                " It is past {}, where a state leaves its band.",
                crate::units::format_ohm(leaves)
            ),
            (Some(years), Some(leaves), _) => format!(
                " At this rate a state leaves its band in about {years:.1} years, at {}.",
                crate::units::format_ohm(leaves)
            ),
            (_, None, _) => {
                " When it leaves its band is not known: bands, or the pull they hang on, are not entered.".into()
            }
            (None, Some(_), _) => {
                " How fast is not known: write the dates of both rounds as 2027-03-14.".into()
            }
        }
    }
}

/// The earliest round of a hand-over by date, `but` left out.
pub fn first_hand_over(project: &Project, but: Option<BenchRunId>) -> Option<BenchRunId> {
    let rounds = project.bench_runs.iter();
    let hand_overs = rounds.filter(|(id, run)| run.is_hand_over && Some(*id) != but);
    hand_overs.min_by_key(|(id, run)| (run.date.as_str(), *id)).map(|(id, _)| id)
}

/// The rounds to compare where nobody says which: the earliest hand-over and the latest other one.
pub fn likely_rounds(project: &Project) -> Option<(BenchRunId, BenchRunId)> {
    let first = first_hand_over(project, None)?;
    let mut others: Vec<(&str, BenchRunId)> = project
        .bench_runs
        .iter()
        .filter(|(id, _)| *id != first)
        .map(|(id, run)| (run.date.as_str(), id))
        .collect();
    others.sort();
    Some((first, others.last()?.1))
}

/// Compares two rounds, pin by pin. `None` where `keep_going` said no.
pub fn wear(
    project: &Project,
    plan: &Plan,
    (then, now): (&BenchRun, &BenchRun),
    keep_going: &dyn Fn() -> bool,
) -> Option<Vec<Wear>> {
    let years =
        days(&then.date).zip(days(&now.date)).map(|(then, now)| (now - then) as f64 / DAYS_A_YEAR);
    let mut found = Vec::new();
    for pin in project.sense_pins.ids() {
        let Some(inquiry) = Inquiry::new(project, pin, keep_going) else {
            if keep_going() { continue } else { return None }
        };
        found.push(of_pin(project, pin, &inquiry, (plan, then, now, years)));
    }
    Some(found)
}

type Rounds<'a> = (&'a Plan, &'a BenchRun, &'a BenchRun, Option<f64>);

fn of_pin(
    project: &Project,
    pin: SensePinId,
    inquiry: &Inquiry,
    (plan, then, now, years): Rounds<'_>,
) -> Wear {
    let terminal = inquiry.pin.terminal;
    let steps: Vec<&Step> = plan
        .steps
        .iter()
        .filter(|step| step.kind == StepKind::Ohms && step.red == Some(terminal))
        .collect();
    let (mut pairs, mut states, mut n_stale) = (Vec::new(), Vec::new(), 0);
    for step in steps {
        let (Some(old), Some(new)) = (then.readings.get(&step.key), now.readings.get(&step.key))
        else {
            continue;
        };
        if old.drawing != step.drawing || new.drawing != step.drawing {
            n_stale += 1;
            continue;
        }
        let state = step.state.as_ref().and_then(|state| inquiry.state_of(project, state));
        if let (Some(then_ohm), Some(now_ohm), Some(state)) = (ohm(old), ohm(new), state) {
            pairs.push(Pair { title: step.title.clone(), then_ohm, now_ohm });
            states.push(state);
        }
    }
    let fit = Fit { project, inquiry, pairs: &pairs, states: &states };
    let mut places = fit.places(pin, years);
    places.sort_by(|a, b| a.misfit.total_cmp(&b.misfit));
    let misfit_of_none = fit.misfit(&|_| 0.0);
    // What fits no better than nothing is no candidate.
    places.retain(|place| place.misfit < misfit_of_none - 1.0);
    places.truncate(5);
    Wear { pin, years, pairs, misfit_of_none, places, n_stale }
}

fn ohm(reading: &BenchReading) -> Option<f64> {
    match reading.shown {
        Some(Shown::Ohm(ohm)) => Some(ohm),
        Some(Shown::Volt(_) | Shown::Millimetre(_) | Shown::OverRange | Shown::Yes | Shown::No)
        | None => None,
    }
}

struct Fit<'a> {
    project: &'a Project,
    inquiry: &'a Inquiry,
    pairs: &'a [Pair],
    states: &'a [usize],
}

impl Fit<'_> {
    /// Sum of squared misfits if the reading of a state has changed by so much.
    fn misfit(&self, change: &dyn Fn(usize) -> f64) -> f64 {
        let meter = &self.project.settings.meter;
        let of = |(pair, state): (&Pair, &usize)| {
            let room = 0.5 * ohm_error(meter, pair.now_ohm.max(pair.then_ohm)).max(1e-3);
            ((pair.now_ohm - pair.then_ohm - change(*state)) / room).powi(2)
        };
        self.pairs.iter().zip(self.states).map(of).sum()
    }

    fn places(&self, pin: SensePinId, years: Option<f64>) -> Vec<Place> {
        let budget = budget(self.project, pin).ok();
        let mut places = Vec::new();
        for suspect in &self.inquiry.suspects {
            let Blame::MoreOhms { at, .. } = &suspect.blame else { continue };
            let change = |ohm: f64, state: usize| {
                let read = |x| suspect.usual_ohm(x, state).filter(|ohm| ohm.is_finite());
                read(ohm).zip(read(0.0)).map_or(0.0, |(more, none)| more - none)
            };
            let misfit = |ohm: f64| self.misfit(&|state| change(ohm, state));
            let more_ohm = least(&misfit);
            let leaves_ohm = budget.as_ref().and_then(|budget| {
                let subjects: Vec<Subject> = at.iter().map(|source| subject(*source)).collect();
                let own = budget.rows.iter().filter(|row| {
                    subjects.contains(&row.subject) && row.dirt.unit() == "Ω" && row.leaves > 0.0
                });
                own.map(|row| row.leaves).min_by(f64::total_cmp)
            });
            let years_left = years
                .filter(|years| *years > 0.0)
                .zip(leaves_ohm)
                .map(|(years, leaves)| (leaves - more_ohm) / (more_ohm / years));
            places.push(Place {
                at: at.iter().map(|source| source_words(self.project, *source)).collect(),
                more_ohm,
                misfit: misfit(more_ohm),
                leaves_ohm,
                years_left,
            });
        }
        places
    }
}

/// Ohms with the least misfit, looked for on a grid by ratio and then between its neighbours.
fn least(misfit: &dyn Fn(f64) -> f64) -> f64 {
    let grid: Vec<f64> = (0..=140).map(|n| 0.1 * 10f64.powf(f64::from(n) / 20.0)).collect();
    let best =
        (0..grid.len()).min_by(|a, b| misfit(grid[*a]).total_cmp(&misfit(grid[*b]))).unwrap_or(0);
    let (mut low, mut high) = (grid[best.saturating_sub(1)], grid[(best + 1).min(grid.len() - 1)]);
    for _ in 0..60 {
        let third = (high - low) / 3.0;
        if misfit(low + third) < misfit(high - third) {
            high -= third;
        } else {
            low += third;
        }
    }
    low.midpoint(high)
}

fn subject(source: Source) -> Subject {
    match source {
        Source::Part(part) | Source::Coil(part) | Source::Joint { part, .. } => Subject::Part(part),
        Source::Wire(wire) => Subject::Wire(wire),
        Source::Loop(pin) => Subject::SensePin(pin),
        Source::Bridge => Subject::Project,
    }
}

/// Days from 1970-01-01 to a date written `2027-03-14`.
fn days(date: &str) -> Option<i64> {
    let mut fields = date.trim().split('-');
    let mut number = || fields.next()?.parse::<u32>().ok();
    let (year, month, day) = (number()?, number()?, number()?);
    (1..=9999).contains(&year).then(|| day_number(year, month, day))?
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::proving::plan::plan;
    use crate::samples;

    #[test]
    fn dates_are_read_year_first() {
        assert_eq!(days(" 2027-03-14 "), day_number(2027, 3, 14));
        assert_eq!(days("14.3.2027"), None);
        assert_eq!(days("2027-13-01"), None);
    }

    fn rounds(change: impl Fn(&Step, f64) -> f64) -> Vec<Wear> {
        let project = samples::open("sprayer").unwrap();
        let plan = plan(&project, &|| true).unwrap();
        let run = |date: &str, read: &dyn Fn(&Step, f64) -> f64| {
            let mut run = BenchRun { date: date.into(), ..BenchRun::default() };
            for step in plan.steps.iter().filter(|step| step.kind == StepKind::Ohms) {
                let Some(crate::proving::plan::Limits::Figure { usual, .. }) = step.limits else {
                    panic!("{step:?}")
                };
                // Every resistor half a percent high: no matter, as only the change counts.
                let shown = Some(Shown::Ohm(read(step, usual * 1.005)));
                let reading = BenchReading {
                    shown,
                    last_digit: 0.0,
                    note: String::new(),
                    drawing: step.drawing,
                };
                run.readings.insert(step.key.clone(), reading);
            }
            run
        };
        let (then, now) = (run("2020-05-01", &|_, ohm| ohm), run("2024-05-01", &change));
        wear(&project, &plan, (&then, &now), &|| true).unwrap()
    }

    /// By hand: the contact of LEFT has 60 Ω more after four years, so each state with LEFT on reads
    /// what 1560 Ω in place of 1500 Ω would.
    #[test]
    fn the_contact_that_has_aged_is_named_with_its_ohms_and_its_years() {
        let beside = |list: &[f64]| 1.0 / list.iter().map(|ohm| 1.0 / ohm).sum::<f64>();
        let found = rounds(|step, ohm| {
            let mut list = vec![22e3];
            for (name, value) in [("LEFT", 1500.0), ("CENTRE", 2000.0), ("RIGHT", 3300.0)] {
                if step.title.contains(name) {
                    list.push(value);
                }
            }
            let before = beside(&list);
            for value in list.iter_mut().filter(|value| **value == 1500.0) {
                *value += 60.0;
            }
            ohm + beside(&list) - before
        });
        let wear = &found[0];
        assert_eq!(wear.pairs.len(), 8);
        assert!(wear.is_aged(), "{}", wear.misfit_of_none);
        let first = &wear.places[0];
        assert!((first.more_ohm - 60.0).abs() < 1.0, "{first:?}");
        assert!(first.at.iter().any(|at| at.starts_with("contact")), "{:?}", first.at);
        assert!(first.misfit < 1.0 && wear.places[1].misfit > 10.0, "{:?}", wear.places);
        // 60 Ω in four years, so the rest of the room at 15 Ω a year.
        let leaves = first.leaves_ohm.unwrap();
        let years = wear.years.unwrap();
        assert!((years - 4.0).abs() < 0.01);
        let want = (leaves - first.more_ohm) / (first.more_ohm / years);
        assert!((first.years_left.unwrap() - want).abs() < 1e-9);
        let words = wear.words();
        assert!(words.contains("more than then") && words.contains("Next likely"), "{words}");
    }

    #[test]
    fn nothing_is_made_of_what_the_meter_may_do() {
        let found = rounds(|_, ohm| ohm * 1.004 + 0.2);
        assert!(!found[0].is_aged());
        assert!(found[0].words().starts_with("Nothing has aged"), "{}", found[0].words());
    }
}
