//! Every move of one pin: one control to its next position, or two at once in either order.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::model::{Harm, Project, SensePinId, State, Timing};
use crate::sense::Live;
use crate::study::faults::Base;
use crate::study::transitions::course::{course, has_order};
use crate::study::transitions::decoder::{Decoder, Wanted};
use crate::study::transitions::{Making, Move, Moves, Passing, Stay, Step, Stretch};

/// More moves than this are not looked at; those from states with few controls off rest go first.
pub const MAX_MOVES: usize = 20_000;

/// Differences of times that are typed with a few digits are right to this many milliseconds.
const ROUNDING_MS: f64 = 1e-9;

/// Puts one pin through every move.
///
/// A move takes one control to a neighbouring position, or two controls at once, in either order,
/// the second so much later than the first. `None` where the pin reads nothing, has more than
/// [`crate::study::faults::MAX_STATES`] states, or `keep_going` said no. Cost: one reduction for
/// each setting of the contacts that is passed, then a few steps a move.
///
/// # Errors
/// One sentence where the timing is none, or a diode, relay or load decides what the pin reads.
pub fn moves(
    project: &Project,
    pin_id: SensePinId,
    timing: &Timing,
    keep_going: &dyn Fn() -> bool,
) -> Result<Option<Moves>, String> {
    timing.check()?;
    let Some(base) = Base::new(project, pin_id) else { return Ok(None) };
    if let Some(live) = Live::of_pin(project, &base.netlist, base.sense) {
        return Err(format!(
            "moves are reckoned for contacts and resistances only: how fast {} act is not known",
            live.names()
        ));
    }
    let index: BTreeMap<&State, usize> =
        base.states.iter().enumerate().map(|(idx, state)| (state, idx)).collect();
    let mut order: Vec<usize> = (0..base.states.len()).collect();
    order.sort_by_key(|idx| (base.n_off_rest[*idx], *idx));
    let walker = Walker { base: &base, index, timing };
    let mut decoder = Decoder::new(&base);
    let contacts = decoder.contacts();
    let (mut rows, mut left_out) = (Vec::new(), 0);
    for start in order {
        if !keep_going() {
            return Ok(None);
        }
        for steps in walker.steps_from(start) {
            let stations = walker.stations(start, &steps);
            let states: Vec<&State> = stations.iter().map(|idx| &base.states[*idx]).collect();
            let makings: &[Option<Making>] = match has_order(project, &contacts, &states) {
                true => &[Some(Making::BreakFirst), Some(Making::MakeFirst)],
                false => &[None],
            };
            for making in makings {
                if rows.len() >= MAX_MOVES {
                    left_out += 1;
                    continue;
                }
                let first = making.unwrap_or(Making::BreakFirst);
                let spans = course(project, &contacts, &states, (timing, first));
                let wanted = walker.wanted(&stations);
                let stretches: Vec<Stretch> = spans
                    .iter()
                    .map(|span| Stretch {
                        from_ms: span.from_ms,
                        to_ms: span.to_ms,
                        seen: decoder.seen(span, &wanted),
                    })
                    .collect();
                rows.push(walker.row(&stations, steps.clone(), *making, stretches));
            }
        }
    }
    let key = |row: &Move| (row.counted(), row.harm, row.worst());
    rows.sort_by_key(|row| Reverse(key(row)));
    let bands = base.sound.iter().map(|symptom| symptom.band).collect();
    let scaled = base.sound.iter().map(|symptom| symptom.scaled).collect();
    Ok(Some(Moves {
        pin: pin_id,
        states: base.states.clone(),
        bands,
        scaled,
        timing: *timing,
        debounce_ms: base.sense.debounce_ms,
        rows,
        left_out,
    }))
}

struct Walker<'a> {
    base: &'a Base<'a>,
    index: BTreeMap<&'a State, usize>,
    timing: &'a Timing,
}

impl Walker<'_> {
    /// Single steps and pairs of steps that may be made from a state.
    fn steps_from(&self, start: usize) -> Vec<Vec<Step>> {
        let state = &self.base.states[start];
        let single: Vec<Step> = state
            .0
            .iter()
            .flat_map(|(id, at)| {
                let positions =
                    self.base.project.controls.get(*id).map_or(0, |control| {
                        u8::try_from(control.positions.len()).unwrap_or(u8::MAX)
                    });
                let next = [at.checked_sub(1), at.checked_add(1).filter(|to| *to < positions)];
                next.into_iter().flatten().map(|to| Step { control: *id, from: *at, to })
            })
            .collect();
        let mut all: Vec<Vec<Step>> = single.iter().map(|step| vec![*step]).collect();
        for (n, one) in single.iter().enumerate() {
            for other in single[n + 1..].iter().filter(|other| other.control != one.control) {
                all.push(vec![*one, *other]);
                // Without skew there is no order.
                if self.timing.skew_ms > 0.0 {
                    all.push(vec![*other, *one]);
                }
            }
        }
        all.retain(|steps| self.stations(start, steps).len() == steps.len() + 1);
        all
    }

    /// States passed, by index; cut short where one is not allowed.
    fn stations(&self, start: usize, steps: &[Step]) -> Vec<usize> {
        let mut state = self.base.states[start].clone();
        let mut stations = vec![start];
        for step in steps {
            state.0.insert(step.control, step.to);
            let Some(idx) = self.index.get(&state) else { break };
            stations.push(*idx);
        }
        stations
    }

    fn wanted(&self, stations: &[usize]) -> Wanted {
        let (start, end) = (stations[0], stations[stations.len() - 1]);
        let asked = |idx: usize| self.base.asked[idx].iter().cloned();
        let way = &stations[1..stations.len() - 1];
        Wanted {
            ends: asked(start).chain(asked(end)).collect(),
            way: way.iter().flat_map(|idx| asked(*idx)).collect(),
            bands: [self.base.sound[start].band, self.base.sound[end].band],
            is_same: self.base.asked[start].len() == 1
                && self.base.asked[start] == self.base.asked[end],
        }
    }

    fn row(
        &self,
        stations: &[usize],
        steps: Vec<Step>,
        making: Option<Making>,
        stretches: Vec<Stretch>,
    ) -> Move {
        let stays = stays(&stretches, self.base.sense.debounce_ms);
        let of_stay = |stay: &Stay| match (stay.passing, stay.band) {
            (Passing::Silent, _) => Harm::Harmless,
            (Passing::WrongAction | Passing::OnTheWay, Some(band)) => {
                self.base.sense.bands[band].harm
            }
            (Passing::WrongAction | Passing::OnTheWay, None)
            | (Passing::Detected | Passing::DropsOut, _) => Harm::Nuisance,
        };
        let counting = stays.iter().filter(|stay| stay.counts).map(of_stay);
        let harm = counting.max().unwrap_or(Harm::Harmless);
        let (start, end) = (stations[0], stations[stations.len() - 1]);
        Move { start, end, steps, making, stretches, stays, harm }
    }
}

/// Runs of stretches in which the pin may all the time be read as one band of neither end.
fn stays(stretches: &[Stretch], debounce_ms: Option<f64>) -> Vec<Stay> {
    let mut stays: Vec<Stay> = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    for stretch in stretches {
        let mut still = Vec::new();
        for seen in stretch.seen.iter().filter(|seen| seen.passing != Passing::Silent) {
            let same = |idx: &&usize| stays[**idx].band == seen.band;
            let idx = match still.iter().chain(&open).find(same) {
                Some(idx) => *idx,
                None => {
                    stays.push(Stay {
                        band: seen.band,
                        from_ms: stretch.from_ms,
                        most_ms: 0.0,
                        passing: seen.passing,
                        counts: false,
                    });
                    stays.len() - 1
                }
            };
            stays[idx].most_ms = stretch.to_ms - stays[idx].from_ms;
            if !still.contains(&idx) {
                still.push(idx);
            }
        }
        open = still;
    }
    for stay in &mut stays {
        stay.counts = debounce_ms.is_none_or(|least| stay.most_ms + ROUNDING_MS >= least);
    }
    stays
}
