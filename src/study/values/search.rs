//! The search: best bound first, pairs of parts weighed beforehand, nothing left out that could win.

use crate::circuit::{Netlist, PinNetwork};
use crate::model::{Project, State};
use crate::sense::{Measure, NetworkOhm, asked, decode, judge, wire_data};
use crate::study::values::ladder::{StateFormula, state_formula};
use crate::study::values::{
    Answer, Bands, Candidate, Choice, MAX_PARTS, MAX_STATES, MarginUnit, N_BEST, Progress, Question,
};
use crate::units::Range;

/// Finds the best values.
///
/// `progress` is told how far the search has come and says whether to go on. Margins count every
/// cause the pin's table counts. Cost: exponential in the parts at worst; four parts out of three
/// decades of E96 take well under a second.
///
/// # Errors
/// A sentence: nothing to change, too many parts or states, a pin that is not there.
pub fn choose(
    project: &Project,
    question: &Question,
    progress: &mut dyn FnMut(Progress) -> bool,
) -> Result<Answer, String> {
    let board = Board::new(project, question)?;
    let mut search = Search::new(&board);
    let (bound, is_proven) = search.run(progress);
    let best = search.best;
    let bound = if is_proven { best.first().map_or(bound, |choice| choice.margin) } else { bound };
    Ok(Answer { best, bound, is_proven, unit: board.unit, n_states: board.states.len() })
}

/// One state that counts.
struct Row {
    formula: StateFormula,
    asked: Vec<String>,
}

/// Everything a choice is judged by.
struct Board<'a> {
    project: &'a Project,
    question: &'a Question,
    states: Vec<Row>,
    measure: Measure,
    unit: MarginUnit,
    /// Conductance of each candidate: at its greatest, usual and least resistance swapped for corners
    /// low, nominal and high.
    siemens: Vec<[f64; 3]>,
}

/// Where a state lies on the axis it is judged on.
type Span = (f64, f64);

impl<'a> Board<'a> {
    fn new(project: &'a Project, question: &'a Question) -> Result<Self, String> {
        let sense =
            project.sense_pins.get(question.pin).ok_or("the sense pin is no longer there")?;
        if question.parts.is_empty() || question.candidates.is_empty() {
            return Err("nothing to choose: name at least one resistor and one value".into());
        }
        if question.parts.len() > MAX_PARTS {
            return Err(format!(
                "at most {MAX_PARTS} resistors can be chosen at once, found {}",
                question.parts.len()
            ));
        }
        let netlist = Netlist::new(project, &wire_data(project));
        let network = PinNetwork::new(project, &netlist, sense)
            .ok_or("the pin or its reference is a terminal that does not exist")?;
        if network.state_bound() > MAX_STATES {
            return Err(format!(
                "at most {MAX_STATES} states can be weighed, the pin has {}",
                network.state_bound()
            ));
        }
        let measure = Measure::new(project, sense);
        let unit = match question.bands {
            Bands::Fixed => MarginUnit::Scale,
            Bands::Free if measure.nominal_volt(1.0).is_some() => MarginUnit::Volt,
            Bands::Free => MarginUnit::Ratio,
        };
        if let (Bands::Fixed, Some(missing)) = (question.bands, measure.missing()) {
            return Err(format!(
                "{missing} is not known, so no reading can be compared with the bands"
            ));
        }
        let mut states: Vec<Row> = Vec::new();
        for positions in network.all_positions() {
            let state: State = network.state(&positions);
            let asked = asked(project, sense, &state);
            if question.bands == Bands::Free && asked.len() != 1 {
                continue;
            }
            let formula = state_formula(project, &netlist, &network, &question.parts, &state);
            // States that read the same and ask for the same are one.
            if !states.iter().any(|row| row.formula == formula && row.asked == asked) {
                states.push(Row { formula, asked });
            }
        }
        let spread = |candidate: &Candidate| {
            let fraction = (candidate.tolerance + question.drift).min(0.99);
            let range = Range::plus_minus(candidate.ohm, fraction);
            [1.0 / range.low, 1.0 / range.nominal, 1.0 / range.high]
        };
        let siemens = question.candidates.iter().map(spread).collect();
        Ok(Self { project, question, states, measure, unit, siemens })
    }

    fn range(&self, row: &Row, picks: &[usize]) -> Range {
        let ohm = |corner: usize| {
            let mut values = [0.0; MAX_PARTS];
            for (value, part) in values.iter_mut().zip(&row.formula.parts) {
                *value = self.siemens[picks[*part]][corner];
            }
            row.formula.corners[corner].ohm(&values[..row.formula.parts.len()])
        };
        Range { low: ohm(0), nominal: ohm(1), high: ohm(2) }
    }

    /// Where a state lies, for bands that are free.
    fn span(&self, row: &Row, picks: &[usize]) -> Span {
        let ohm = self.range(row, picks);
        match self.unit {
            MarginUnit::Ratio | MarginUnit::Scale => (ohm.low.ln(), ohm.high.ln()),
            MarginUnit::Volt => {
                let bench = (ohm.low, ohm.high);
                let volt = self.measure.reading(&NetworkOhm { worst: ohm, bench }).volt;
                volt.map_or((0.0, 0.0), |volt| (volt.low, volt.high))
            }
        }
    }

    /// Margin of one state in its bands; minus infinity for a clash.
    fn margin(&self, row: &Row, picks: &[usize]) -> f64 {
        let Some(sense) = self.project.sense_pins.get(self.question.pin) else { return 0.0 };
        let ohm = self.range(row, picks);
        let bench = (ohm.low, ohm.high);
        let Some(scaled) = self.measure.reading(&NetworkOhm { worst: ohm, bench }).scaled else {
            return f64::NEG_INFINITY;
        };
        let band = decode(sense, scaled.nominal, &row.asked);
        let is_asked = band.is_some_and(|idx| row.asked.contains(&sense.bands[idx].name));
        if row.asked.len() == 1 && !is_asked {
            return f64::NEG_INFINITY;
        }
        let outcome = judge(sense, self.measure.scale_ends(), &scaled, &row.asked);
        match outcome.verdict {
            Some(crate::sense::Verdict::Clash) | None => f64::NEG_INFINITY,
            Some(_) => outcome.margin.and_then(|margin| margin.value()).unwrap_or(f64::INFINITY),
        }
    }

    /// Least gap between spans that lie next to each other; rows that ask for the same may touch.
    fn least_gap(&self, spans: &mut [(Span, usize)]) -> f64 {
        spans.sort_by(|a, b| (a.0.0 + a.0.1).total_cmp(&(b.0.0 + b.0.1)));
        let mut least = f64::INFINITY;
        for pair in spans.windows(2) {
            let ((one, first), (other, second)) = (pair[0], pair[1]);
            if self.states[first].asked != self.states[second].asked {
                // Both may be open: then there is no gap at all.
                let gap = other.0 - one.1;
                least = least.min(if gap.is_nan() { f64::NEG_INFINITY } else { gap });
            }
        }
        least
    }

    /// The margin of all rows that depend on nothing but the parts in `known`.
    fn score(&self, known: &[usize], picks: &[usize]) -> f64 {
        let rows = (0..self.states.len())
            .filter(|row| self.states[*row].formula.parts.iter().all(|part| known.contains(part)));
        match self.question.bands {
            Bands::Fixed => {
                rows.map(|row| self.margin(&self.states[row], picks)).fold(f64::INFINITY, f64::min)
            }
            Bands::Free => {
                let mut spans: Vec<(Span, usize)> =
                    rows.map(|row| (self.span(&self.states[row], picks), row)).collect();
                self.least_gap(&mut spans)
            }
        }
    }

    fn all(&self) -> Vec<usize> {
        (0..self.question.parts.len()).collect()
    }

    /// Whether the drawer holds what these picks take.
    fn is_in_stock(&self, picks: &[usize]) -> bool {
        let list = &self.question.candidates;
        picks.iter().all(|pick| list[*pick].quantity.is_none()) || {
            let taken: Vec<f64> =
                picks.iter().flat_map(|pick| list[*pick].recipe.parts()).collect();
            taken.iter().all(|ohm| {
                let need = taken.iter().filter(|other| *other == ohm).count();
                let one = list.iter().filter(|known| known.recipe.parts() == [*ohm]);
                let have = one.map(|known| known.quantity.map_or(usize::MAX, |n| n as usize));
                have.fold(0usize, usize::saturating_add) >= need
            })
        }
    }

    /// Whether part `a` and part `b` can change places without changing the set of readings.
    fn are_alike(&self, a: usize, b: usize) -> bool {
        if self.question.bands == Bands::Fixed {
            return false;
        }
        let count = self.question.candidates.len();
        let spread = |seed: usize| -> Vec<usize> {
            self.all().iter().map(|part| (seed + part * (count / 7 + 1)) % count).collect()
        };
        let list = |picks: &[usize]| {
            let mut spans: Vec<Span> =
                self.states.iter().map(|row| self.span(row, picks)).collect();
            spans.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
            spans
        };
        let is_same = |x: f64, y: f64| x == y || (x - y).abs() <= 1e-9 * x.abs().max(y.abs());
        (0..3).all(|seed| {
            let picks = spread(seed * 5);
            let mut swapped = picks.clone();
            swapped.swap(a, b);
            let is_distinct = (0..self.states.len()).all(|one| {
                (0..one).all(|other| self.states[one].asked != self.states[other].asked)
            });
            is_distinct
                && list(&picks)
                    .iter()
                    .zip(list(&swapped))
                    .all(|(x, y)| is_same(x.0, y.0) && is_same(x.1, y.1))
        })
    }
}

struct Search<'a> {
    board: &'a Board<'a>,
    best: Vec<Choice>,
    /// Margin of every pair of values of every pair of parts, later part by earlier part.
    pairs: Vec<Vec<Vec<f64>>>,
    /// Whether a part is alike to the one before it, so that only ascending values need be looked at.
    is_alike: Vec<bool>,
    n_values: usize,
    stop: bool,
}

impl<'a> Search<'a> {
    fn new(board: &'a Board<'a>) -> Self {
        let n_parts = board.question.parts.len();
        let is_alike =
            (0..n_parts).map(|part| part > 0 && board.are_alike(part - 1, part)).collect();
        let n_values = board.question.candidates.len();
        Self { board, best: Vec::new(), pairs: Vec::new(), is_alike, n_values, stop: false }
    }

    /// Least margin that is still wanted.
    fn floor(&self) -> f64 {
        match self.best.get(N_BEST - 1) {
            Some(last) => last.margin,
            None => f64::NEG_INFINITY,
        }
    }

    /// Alike neighbours in ascending order: of choices that differ by their order one is kept.
    fn ordered(&self, picks: &[usize]) -> Vec<usize> {
        let mut picks = picks.to_vec();
        let mut start = 0;
        for end in 1..=picks.len() {
            if end == picks.len() || !self.is_alike[end] {
                picks[start..end].sort_unstable();
                start = end;
            }
        }
        picks
    }

    fn keep(&mut self, picks: &[usize], margin: f64) {
        let picks = self.ordered(picks);
        if margin == f64::NEG_INFINITY
            || margin <= self.floor()
            || self.best.iter().any(|known| known.picks == picks)
            || !self.board.is_in_stock(&picks)
        {
            return;
        }
        let place = self.best.partition_point(|known| known.margin >= margin);
        self.best.insert(place, Choice { picks, margin });
        self.best.truncate(N_BEST);
    }

    fn run(&mut self, progress: &mut dyn FnMut(Progress) -> bool) -> (f64, bool) {
        self.guess();
        self.weigh_pairs(progress);
        if self.stop {
            return (f64::INFINITY, false);
        }
        let mut order: Vec<(f64, usize)> =
            (0..self.n_values).map(|value| (self.bound_of_first(value), value)).collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let n_parts = self.board.question.parts.len();
        let mut picks = vec![0; n_parts];
        for (done, (bound, value)) in order.iter().enumerate() {
            if *bound <= self.floor() {
                break;
            }
            let best = self.best.first().map_or(f64::NEG_INFINITY, |choice| choice.margin);
            let share = done as f64 / order.len() as f64;
            if !progress(Progress { share, best, bound: bound.max(best) }) {
                return (bound.max(best), false);
            }
            picks[0] = *value;
            self.descend(1, &mut picks);
        }
        (self.best.first().map_or(f64::NEG_INFINITY, |choice| choice.margin), true)
    }

    /// No choice with this value of the first part can have more.
    fn bound_of_first(&self, value: usize) -> f64 {
        let n_parts = self.board.question.parts.len();
        if n_parts == 1 {
            return self.board.score(&[0], &[value]);
        }
        (1..n_parts)
            .map(|part| {
                let row = &self.pairs[part][0][value * self.n_values..(value + 1) * self.n_values];
                row.iter().copied().fold(f64::NEG_INFINITY, f64::max)
            })
            .fold(f64::INFINITY, f64::min)
    }

    fn descend(&mut self, part: usize, picks: &mut Vec<usize>) {
        let n_parts = picks.len();
        if part == n_parts {
            let margin = self.board.score(&self.board.all(), picks);
            return self.keep(picks, margin);
        }
        let first = if self.is_alike[part] { picks[part - 1] } else { 0 };
        for value in first..self.n_values {
            let floor = self.floor();
            let fits = (0..part).all(|earlier| {
                self.pairs[part][earlier][picks[earlier] * self.n_values + value] > floor
            });
            if !fits {
                continue;
            }
            picks[part] = value;
            if part >= 2 && part + 1 < n_parts {
                let known: Vec<usize> = (0..=part).collect();
                if self.board.score(&known, picks) <= floor {
                    continue;
                }
            }
            self.descend(part + 1, picks);
        }
    }

    fn weigh_pairs(&mut self, progress: &mut dyn FnMut(Progress) -> bool) {
        let n_parts = self.board.question.parts.len();
        let n = self.n_values;
        self.pairs = vec![Vec::new(); n_parts];
        for later in 1..n_parts {
            for earlier in 0..later {
                let mut scores = vec![0.0; n * n];
                let mut picks = vec![0; n_parts];
                for a in 0..n {
                    let best = self.best.first().map_or(f64::NEG_INFINITY, |choice| choice.margin);
                    if a % 16 == 0 && !progress(Progress { share: 0.0, best, bound: f64::INFINITY })
                    {
                        self.stop = true;
                        return;
                    }
                    for b in 0..n {
                        (picks[earlier], picks[later]) = (a, b);
                        scores[a * n + b] = self.board.score(&[earlier, later], &picks);
                    }
                }
                self.pairs[later].push(scores);
            }
        }
    }

    /// Good choices to begin with, by climbing from a few spread-out ones: the better they are, the
    /// more the bounds rule out.
    fn guess(&mut self) {
        let n_parts = self.board.question.parts.len();
        let all = self.board.all();
        for start in 0..6 {
            let mut picks: Vec<usize> = (0..n_parts)
                .map(|part| {
                    let share = (part as f64 + 1.0 + start as f64 * 0.37) / (n_parts as f64 + 2.2);
                    ((share * self.n_values as f64) as usize).min(self.n_values - 1)
                })
                .collect();
            if start % 2 == 1 {
                picks.reverse();
            }
            let mut best = self.board.score(&all, &picks);
            self.keep(&picks, best);
            let mut step = (self.n_values / 4).max(1);
            for _ in 0..200 {
                let mut is_better = false;
                for part in 0..n_parts {
                    for way in [-1i64, 1] {
                        let value = picks[part] as i64 + way * step as i64;
                        let Ok(value) = usize::try_from(value) else { continue };
                        if value >= self.n_values {
                            continue;
                        }
                        let old = std::mem::replace(&mut picks[part], value);
                        let score = self.board.score(&all, &picks);
                        self.keep(&picks, score);
                        if score > best {
                            (best, is_better) = (score, true);
                        } else {
                            picks[part] = old;
                        }
                    }
                }
                if !is_better {
                    if step == 1 {
                        break;
                    }
                    step /= 2;
                }
            }
        }
    }
}
