//! The search: best bound first, pairs of parts weighed beforehand, nothing left out that could win.

use crate::model::Project;
use crate::study::values::board::{Board, Cell};
use crate::study::values::lineup::{Axis, Lineup};
use crate::study::values::{Answer, Bands, Choice, N_BEST, Progress, Question};

/// Finds the best values.
///
/// `progress` is told how far the search has come and says whether to go on. Margins count every
/// cause the pin's table counts. Cost: exponential in the parts at worst; four parts out of three
/// decades of E96 take well under a second where the states differ by them alone.
///
/// # Errors
/// A sentence: nothing to change, too many parts, values or states, a pin that is not there.
pub fn choose(
    project: &Project,
    question: &Question,
    progress: &mut dyn FnMut(Progress) -> bool,
) -> Result<Answer, String> {
    let board = Board::new(project, question)?;
    let mut search = Search::new(&board);
    let (bound, is_proven) = search.run(progress);
    let mut best = search.best;
    for choice in &mut best {
        let mut picks = vec![0; choice.picks.len()];
        for (place, part) in search.order.iter().enumerate() {
            picks[*part] = choice.picks[place];
        }
        choice.picks = picks;
    }
    let bound = if is_proven { best.first().map_or(bound, |choice| choice.margin) } else { bound };
    Ok(Answer { best, bound, is_proven, unit: board.unit, n_states: board.rows.len() })
}

/// Picks inside the search stand in the order of the search, not of the question.
struct Search<'a> {
    board: &'a Board<'a>,
    bands: Bands,
    best: Vec<Choice>,
    /// Parts in the order they are given values.
    order: Vec<usize>,
    /// For each row the places in the order of the parts it depends on, ascending.
    places: Vec<Vec<usize>>,
    /// Where rows that depend on at most two parts lie, by their values.
    tables: Vec<Vec<Cell>>,
    /// Margin of every pair of values, by later place, earlier place, earlier value, later value.
    pairs: Vec<Vec<Vec<f64>>>,
    /// Whether a part is alike to the one before it, so that only ascending values need be looked at.
    is_alike: Vec<bool>,
    n_values: usize,
    axis: Option<Axis>,
    lineups: Vec<Lineup>,
}

impl<'a> Search<'a> {
    fn new(board: &'a Board<'a>) -> Self {
        let n_parts = board.question.parts.len();
        let order = best_order(board);
        let is_alike = (0..n_parts)
            .map(|place| place > 0 && board.are_alike(order[place - 1], order[place]))
            .collect();
        let place_of = |part: &usize| order.iter().position(|known| known == part).unwrap_or(0);
        let places = board
            .rows
            .iter()
            .map(|row| {
                let mut places: Vec<usize> = row.formula.parts.iter().map(place_of).collect();
                places.sort_unstable();
                places
            })
            .collect();
        Self {
            board,
            bands: board.question.bands,
            best: Vec::new(),
            order,
            places,
            tables: Vec::new(),
            pairs: Vec::new(),
            is_alike,
            n_values: board.question.candidates.len(),
            axis: board.axis(),
            lineups: vec![Lineup::new(); n_parts + 1],
        }
    }

    fn run(&mut self, progress: &mut dyn FnMut(Progress) -> bool) -> (f64, bool) {
        self.guess();
        self.look_around();
        if !self.weigh(progress) {
            return (f64::INFINITY, false);
        }
        let n_parts = self.order.len();
        let mut order: Vec<(f64, usize)> =
            (0..self.n_values).map(|value| (self.bound_of_first(value), value)).collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut picks = vec![0; n_parts];
        self.lineups[0] = self.lineup_of(&picks, |places| places.is_empty());
        for (done, (bound, value)) in order.iter().enumerate() {
            if *bound <= self.floor() {
                break;
            }
            let share = done as f64 / order.len() as f64;
            if !progress(Progress { share, best: self.top(), bound: bound.max(self.top()) }) {
                return (bound.max(self.top()), false);
            }
            self.take(0, *value, &mut picks);
        }
        (self.top(), true)
    }

    /// Gives the part at a place a value and goes on to the next, unless a bound rules it out.
    fn take(&mut self, place: usize, value: usize, picks: &mut Vec<usize>) {
        let floor = self.floor();
        picks[place] = value;
        let (above, below) = self.lineups.split_at_mut(place + 1);
        let lineup = &mut below[0];
        lineup.copy(&above[place]);
        let mut left = 0;
        for (row, places) in self.places.iter().enumerate() {
            match places.last() {
                Some(last) if *last == place => {
                    let cell = match places.as_slice() {
                        [_] => self.tables[row][value],
                        [one, _] => self.tables[row][picks[*one] * self.n_values + value],
                        _ => cell(self.board, &self.order, row, picks),
                    };
                    lineup.add(self.bands, cell, self.board.rows[row].action);
                    if lineup.least <= floor {
                        return;
                    }
                }
                Some(last) => left += usize::from(*last > place),
                None => {}
            }
        }
        if place + 1 == self.order.len() {
            let margin = lineup.least;
            return self.keep(picks, margin);
        }
        if let Some(axis) = self.axis
            && !lineup.has_room(left, floor, axis)
        {
            return;
        }
        let next = place + 1;
        let first = if self.is_alike[next] { picks[place] } else { 0 };
        let bound = |value: usize| {
            (0..next)
                .map(|earlier| self.pairs[next][earlier][picks[earlier] * self.n_values + value])
                .fold(f64::INFINITY, f64::min)
        };
        let mut values: Vec<(f64, usize)> = (first..self.n_values)
            .map(|value| (bound(value), value))
            .filter(|(bound, _)| *bound > floor)
            .collect();
        // Good choices first, so that they rule out the rest.
        if next + 1 < self.order.len() {
            values.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        }
        for (bound, value) in values {
            if bound > self.floor() {
                self.take(next, value, picks);
            }
        }
    }

    /// Fills the tables of rows and of pairs. Says whether to go on.
    fn weigh(&mut self, progress: &mut dyn FnMut(Progress) -> bool) -> bool {
        let (n, n_parts) = (self.n_values, self.order.len());
        let mut picks = vec![0; n_parts];
        for (row, places) in self.places.iter().enumerate() {
            let mut table = Vec::new();
            match places.as_slice() {
                [one] => {
                    for value in 0..n {
                        picks[*one] = value;
                        table.push(cell(self.board, &self.order, row, &picks));
                    }
                }
                [one, other] => {
                    for a in 0..n {
                        let step = Progress { share: 0.0, best: self.top(), bound: f64::INFINITY };
                        if a % 16 == 0 && !progress(step) {
                            return false;
                        }
                        for b in 0..n {
                            (picks[*one], picks[*other]) = (a, b);
                            table.push(cell(self.board, &self.order, row, &picks));
                        }
                    }
                }
                _ => {}
            }
            self.tables.push(table);
        }
        let fixed = self.lineup_of(&picks, |places| places.is_empty());
        let mut lineup = Lineup::new();
        for later in 0..n_parts {
            let mut of_later = Vec::new();
            for earlier in 0..later {
                let mine: Vec<usize> = (0..self.places.len())
                    .filter(|row| {
                        let places = &self.places[*row];
                        !places.is_empty() && places.iter().all(|p| *p == earlier || *p == later)
                    })
                    .collect();
                let mut scores = Vec::with_capacity(n * n);
                for a in 0..n {
                    for b in 0..n {
                        lineup.copy(&fixed);
                        for row in &mine {
                            let cell = match self.places[*row].as_slice() {
                                [one] if *one == earlier => self.tables[*row][a],
                                [_] => self.tables[*row][b],
                                _ => self.tables[*row][a * n + b],
                            };
                            lineup.add(self.bands, cell, self.board.rows[*row].action);
                        }
                        scores.push(lineup.least);
                    }
                }
                of_later.push(scores);
            }
            self.pairs.push(of_later);
        }
        true
    }

    /// The rows whose places pass, for these picks.
    fn lineup_of(&self, picks: &[usize], passes: impl Fn(&[usize]) -> bool) -> Lineup {
        let mut lineup = Lineup::new();
        for row in (0..self.places.len()).filter(|row| passes(&self.places[*row])) {
            let cell = cell(self.board, &self.order, row, picks);
            lineup.add(self.bands, cell, self.board.rows[row].action);
        }
        lineup
    }

    fn score(&self, picks: &[usize]) -> f64 {
        self.lineup_of(picks, |_| true).least
    }

    /// No choice with this value of the first part can have more.
    fn bound_of_first(&self, value: usize) -> f64 {
        let n = self.n_values;
        if self.order.len() == 1 {
            return self.score(&[value]);
        }
        (1..self.order.len())
            .map(|later| {
                let row = &self.pairs[later][0][value * n..(value + 1) * n];
                row.iter().copied().fold(f64::NEG_INFINITY, f64::max)
            })
            .fold(f64::INFINITY, f64::min)
    }

    fn top(&self) -> f64 {
        self.best.first().map_or(f64::NEG_INFINITY, |choice| choice.margin)
    }

    /// Least margin that is no longer wanted.
    fn floor(&self) -> f64 {
        self.best.get(N_BEST - 1).map_or(f64::NEG_INFINITY, |last| last.margin)
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

    /// Every choice whose values are at most two steps from the best known one.
    fn look_around(&mut self) {
        const REACH: i64 = 2;
        let Some(middle) = self.best.first().map(|choice| choice.picks.clone()) else { return };
        let per_part = 2 * REACH + 1;
        let n_parts = u32::try_from(middle.len()).unwrap_or(0);
        for mut code in 0..per_part.pow(n_parts) {
            let mut picks = Vec::with_capacity(middle.len());
            for value in &middle {
                let value = *value as i64 + code % per_part - REACH;
                code /= per_part;
                picks.extend(usize::try_from(value).ok().filter(|value| *value < self.n_values));
            }
            if picks.len() == middle.len() {
                let score = self.score(&picks);
                self.keep(&picks, score);
            }
        }
    }

    /// Good choices to begin with, by climbing from a few spread-out ones: the better they are, the
    /// more the bounds rule out.
    fn guess(&mut self) {
        let n_parts = self.order.len();
        for start in 0..8 {
            let mut picks: Vec<usize> = (0..n_parts)
                .map(|part| {
                    let share =
                        (part as f64 + 1.0 + f64::from(start) * 0.37) / (n_parts as f64 + 3.0);
                    ((share * self.n_values as f64) as usize).min(self.n_values - 1)
                })
                .collect();
            if start % 2 == 1 {
                picks.reverse();
            }
            let mut best = self.score(&picks);
            self.keep(&picks, best);
            let mut step = (self.n_values / 4).max(1);
            loop {
                let mut is_better = false;
                for part in 0..n_parts {
                    for value in [picks[part].checked_sub(step), Some(picks[part] + step)] {
                        let Some(value) = value.filter(|value| *value < self.n_values) else {
                            continue;
                        };
                        let old = std::mem::replace(&mut picks[part], value);
                        let score = self.score(&picks);
                        self.keep(&picks, score);
                        if score > best {
                            (best, is_better) = (score, true);
                        } else {
                            picks[part] = old;
                        }
                    }
                }
                match (is_better, step) {
                    (true, _) => {}
                    (false, 1) => break,
                    (false, _) => step /= 2,
                }
            }
        }
    }
}

/// Where a row lies, for picks in the order of the search.
fn cell(board: &Board<'_>, order: &[usize], row: usize, picks: &[usize]) -> Cell {
    let mut of_parts = [0; super::MAX_PARTS];
    for (place, part) in order.iter().enumerate() {
        of_parts[*part] = picks[place];
    }
    board.cell(row, &of_parts[..order.len()])
}

/// Parts so that as many rows as can be are known as early as can be.
fn best_order(board: &Board<'_>) -> Vec<usize> {
    let n_parts = board.question.parts.len();
    let mut order: Vec<usize> = Vec::new();
    while order.len() < n_parts {
        let next = (0..n_parts).filter(|part| !order.contains(part)).max_by_key(|part| {
            let known = |other: &usize| order.contains(other) || other == part;
            let rows = board.rows.iter().map(|row| &row.formula.parts);
            let full = rows.clone().filter(|parts| parts.iter().all(known)).count();
            let touched = rows.filter(|parts| parts.contains(part)).count();
            (full, touched, std::cmp::Reverse(*part))
        });
        order.extend(next);
    }
    order
}
