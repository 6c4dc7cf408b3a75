//! The search: regions of values halved again and again, the most hopeful first, until no region can hold
//! anything better than what is known.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use crate::model::Project;
use crate::study::values::board::Board;
use crate::study::values::climb::Climber;
use crate::study::values::lineup::Place;
use crate::study::values::podium::Podium;
use crate::study::values::{Answer, Choice, MAX_PARTS, Progress, Question};

/// More regions than this are not kept waiting: what is taken out then is searched to its depth.
const MAX_WAITING: usize = 2_000_000;

/// Regions of not more choices than this are searched to their depth at once.
const SMALL: f64 = 512.0;

/// So many regions are looked at between two reports.
const REGIONS_A_REPORT: u64 = 256;

/// Finds the best values.
///
/// `progress` is told how far the search has come and says whether to go on. Margins count every
/// cause the pin's table counts. Cost: exponential in the parts at worst; four parts out of three
/// decades of E96 take well under a second.
///
/// # Errors
/// A sentence: nothing to change, too many parts, values or states, a pin that is not there.
pub fn choose(
    project: &Project,
    question: &Question,
    progress: &mut dyn FnMut(Progress) -> bool,
) -> Result<Answer, String> {
    let mut board = Board::new(project, question)?;
    let n_parts = question.parts.len();
    let is_alike: Vec<bool> =
        (0..n_parts).map(|part| part > 0 && board.are_alike(part - 1, part)).collect();
    let mut podium = Podium::new(is_alike.clone());
    let mut climber = Climber::new(n_parts, question.candidates.len());
    climber.guess(&board, &mut podium);
    if let Some(best) = podium.best().first() {
        board.sort_states(&best.ranks);
    }
    let mut search = Search::new(&board, podium, climber, is_alike);
    let (bound, is_proven) = search.run(progress);
    let best: Vec<Choice> = search
        .podium
        .best()
        .iter()
        .map(|known| Choice { picks: board.picks(&known.ranks), margin: known.margin })
        .collect();
    let bound = if is_proven { best.first().map_or(bound, |choice| choice.margin) } else { bound };
    Ok(Answer { best, bound, is_proven, unit: board.unit(), n_states: board.n_states() })
}

/// A stretch of values for each part.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Region {
    /// No choice in it has more margin.
    bound: f64,
    /// How many choices there are in it.
    size: f64,
    parts: [u32; MAX_PARTS],
}

struct Search<'a> {
    board: &'a Board<'a>,
    podium: Podium,
    climber: Climber,
    /// Whether a part is alike to the one before it, so that only ascending values need be looked at.
    is_alike: Vec<bool>,
    n_parts: usize,
    waiting: BinaryHeap<Region>,
    /// Regions of one that was taken out when too many were waiting.
    deep: Vec<Region>,
    places: Vec<Place>,
    /// How many choices are done with.
    n_done: f64,
}

impl<'a> Search<'a> {
    fn new(board: &'a Board<'a>, podium: Podium, climber: Climber, is_alike: Vec<bool>) -> Self {
        Self {
            board,
            podium,
            climber,
            n_parts: is_alike.len(),
            is_alike,
            waiting: BinaryHeap::new(),
            deep: Vec::new(),
            places: Vec::new(),
            n_done: 0.0,
        }
    }

    /// The bound that is left, and whether the best are proven.
    fn run(&mut self, progress: &mut dyn FnMut(Progress) -> bool) -> (f64, bool) {
        let all = (self.board.question.candidates.len() as f64).powi(self.n_parts as i32);
        let mut whole = Region { bound: f64::INFINITY, size: all, parts: [0; MAX_PARTS] };
        whole.bound =
            self.board.bound(&whole.parts[..self.n_parts], f64::NEG_INFINITY, &mut self.places);
        self.put(whole);
        let mut n_regions: u64 = 0;
        let mut bound = whole.bound;
        while let Some(next) = self.take(&mut bound) {
            if n_regions.is_multiple_of(REGIONS_A_REPORT) {
                let best = self.podium.top();
                let share = self.n_done / all;
                if !progress(Progress { share, best, bound: bound.max(best) }) {
                    return (bound.max(best), false);
                }
            }
            n_regions += 1;
            if n_regions.is_power_of_two() {
                let middle = self.middle(&next);
                self.climber.climb(self.board, &mut self.podium, middle);
            }
            self.halve(&next);
        }
        (self.podium.top(), true)
    }

    /// The next box that may hold something better; `None` where none does.
    fn take(&mut self, bound: &mut f64) -> Option<Region> {
        while let Some(next) = self.deep.pop() {
            if next.bound > self.podium.floor() {
                return Some(next);
            }
            self.n_done += next.size;
        }
        let next = self.waiting.pop().filter(|next| next.bound > self.podium.floor())?;
        *bound = next.bound;
        Some(next)
    }

    fn put(&mut self, new: Region) {
        if self.waiting.len() < MAX_WAITING && new.size > SMALL {
            self.waiting.push(new);
        } else {
            self.deep.push(new);
        }
    }

    /// Looks at both halves of a region.
    fn halve(&mut self, whole: &Region) {
        let Some((part, halves)) = self.best_cut(whole) else {
            // A single choice.
            let ranks = self.middle(whole);
            let margin = self.board.score(&ranks, &mut self.places);
            self.podium.add(self.board, &ranks, margin);
            self.n_done += 1.0;
            return;
        };
        let width = |part: u32| {
            let (from, to) = self.board.stretches[part as usize].ranks;
            (to - from) as f64
        };
        let sizes = halves.map(|half| whole.size / width(whole.parts[part]) * width(half));
        for (half, size) in halves.into_iter().zip(sizes) {
            let mut new = Region { size, ..*whole };
            new.parts[part] = half;
            if self.is_ascending(&new) {
                let floor = self.podium.floor();
                let parts = &new.parts[..self.n_parts];
                new.bound = whole.bound.min(self.board.bound(parts, floor, &mut self.places));
                if new.bound > floor {
                    self.put(new);
                    continue;
                }
            }
            self.n_done += size;
        }
    }

    /// The part that moves most in a region, and its halves; `None` for a single choice.
    fn best_cut(&self, whole: &Region) -> Option<(usize, [u32; 2])> {
        let effects = self.board.effects(&whole.parts[..self.n_parts]);
        let halves = |part: usize| self.board.stretches[whole.parts[part] as usize].halves;
        let parts = (0..self.n_parts).filter_map(|part| Some((part, halves(part)?)));
        // The first of equals.
        parts.rev().max_by(|a, b| effects[a.0].total_cmp(&effects[b.0]))
    }

    /// Whether some choice of a box has alike parts in ascending order: of those that differ by their
    /// order one is enough.
    fn is_ascending(&self, of: &Region) -> bool {
        let ranks = |n: usize| self.board.stretches[of.parts[n] as usize].ranks;
        (1..self.n_parts).all(|n| !self.is_alike[n] || ranks(n - 1).0 < ranks(n).1)
    }

    fn middle(&self, of: &Region) -> Vec<usize> {
        let ranks = |part: &u32| {
            let (from, to) = self.board.stretches[*part as usize].ranks;
            from.midpoint(to - 1)
        };
        of.parts[..self.n_parts].iter().map(ranks).collect()
    }
}

impl Eq for Region {}

impl Ord for Region {
    /// The greater bound first, then the smaller box, then the lower values.
    fn cmp(&self, other: &Self) -> Ordering {
        self.bound
            .total_cmp(&other.bound)
            .then_with(|| other.size.total_cmp(&self.size))
            .then_with(|| other.parts.cmp(&self.parts))
    }
}

impl PartialOrd for Region {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
