//! The proof: branch and bound over the wires, longest first, for one goal after the other.

use std::cmp::Reverse;

use crate::cutting::allotment::bound::{Reach, Rooms};
use crate::cutting::allotment::greedy::{best_fit, first_fit, improve, longest_first};
use crate::cutting::allotment::packing::{Demand, Fit, Packing, Places, Score};
use crate::cutting::allotment::values::by_values;

/// How far the proof got.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// Nothing is better.
    Optimal,
    /// No more than so many micrometres less could be bought new.
    New(u64),
    /// New wire is proven least; no more than so many pieces fewer could be opened.
    Opened(usize),
    /// New wire and pieces are proven least; what is left may be a little more useful.
    Left,
}

/// The best places found for one packing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// The places.
    pub places: Places,
    /// How good they are.
    pub score: Score,
    /// How far that is proven.
    pub proof: Proof,
}

/// Nodes looked at for each goal before the search says how far it got.
pub const NODES: u64 = 400_000;

/// Wires above which only the quick ways and the bounds at the root are tried.
const MOST_SEARCHED: usize = 300;

/// Wires above which single moves are not tried, for they cost the square of them.
const MOST_IMPROVED: usize = 120;

/// Finds the best places and how far they are proven: least new wire, then fewest pieces, then the
/// most useful left, then fewest substitutes.
pub fn best_places(packing: &Packing, nodes: u64, keep_going: &dyn Fn() -> bool) -> Found {
    let (places, score) = start(packing, keep_going);
    let order = longest_first(packing);
    let wires: Vec<Demand> = order.iter().map(|wire| packing.wires[*wire]).collect();
    let reach = Reach::new(packing, &wires);
    let mut ahead = vec![0; wires.len() + 1];
    for (at, wire) in wires.iter().enumerate().rev() {
        ahead[at] = ahead[at + 1] + wire.weight;
    }
    let mut search = Search {
        packing,
        order,
        ahead,
        reach: reach.as_ref(),
        goal: Goal::New,
        best: (places, score),
        load: packing.pieces.iter().map(|piece| (piece.room, 0)).collect(),
        places: vec![None; packing.wires.len()],
        so_far: Score { new: 0, opened: 0, useful: 0, substitutes: 0 },
        nodes_left: nodes,
        keep_going,
    };
    let proof = search.prove(nodes);
    let (places, score) = search.best;
    Found { places, score, proof }
}

/// The best of the quick ways.
fn start(packing: &Packing, keep_going: &dyn Fn() -> bool) -> (Places, Score) {
    let listed: Vec<usize> = (0..packing.pieces.len()).collect();
    let mut longest = listed.clone();
    longest.sort_by_key(|piece| Reverse(packing.pieces[*piece].room));
    let mut shortest = longest.clone();
    shortest.reverse();
    let mut tries = vec![best_fit(packing)];
    for pieces in [&listed, &longest, &shortest] {
        tries.push(first_fit(packing, pieces));
    }
    // Few wires are moved about afterwards; of many, a round that meets the bound is enough.
    let is_small = packing.wires.len() <= MOST_IMPROVED;
    let least = packing.pieces.iter().map(|piece| (piece.room, 0)).collect::<Vec<_>>();
    let rooms = Rooms { packing, load: &least, reach: None };
    let new = rooms.least_new(0, packing.weight());
    let opened = rooms.least_opened(0, packing.weight() - new);
    let is_enough = |places: &Places| {
        let score = packing.score(places).expect("the quick ways keep the rules");
        !is_small && (score.new, score.opened) == (new, opened)
    };
    for pieces in [&longest, &shortest] {
        let rounds = (if is_small { 8 } else { 40 }, &is_enough as &dyn Fn(&Places) -> bool);
        tries.extend(by_values(packing, pieces, rounds, keep_going));
        if tries.last().is_some_and(is_enough) {
            break;
        }
    }
    let scored = tries.into_iter().map(|places| {
        let score = packing.score(&places).expect("the quick ways keep the rules");
        (places, score)
    });
    let (places, score) = scored.min_by_key(|(_, score)| *score).expect("there are quick ways");
    if packing.wires.len() > MOST_IMPROVED || !keep_going() {
        return (places, score);
    }
    improve(packing, places, 20)
}

/// What the search is after; what stands before it is proven already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Goal {
    New,
    Opened,
    Useful,
}

struct Search<'a> {
    packing: &'a Packing,
    /// Wires, longest first.
    order: Vec<usize>,
    /// Weight of the wires from each place of the order on.
    ahead: Vec<u64>,
    reach: Option<&'a Reach>,
    goal: Goal,
    best: (Places, Score),
    load: Vec<(u64, usize)>,
    places: Places,
    /// What is decided so far; its `useful` is not kept.
    so_far: Score,
    nodes_left: u64,
    keep_going: &'a dyn Fn() -> bool,
}

/// Whether the search may go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Flow {
    On,
    Stop,
}

impl Search<'_> {
    fn prove(&mut self, nodes: u64) -> Proof {
        let is_small = self.order.len() <= MOST_SEARCHED;
        for goal in [Goal::New, Goal::Opened, Goal::Useful] {
            self.goal = goal;
            self.nodes_left = if is_small { nodes } else { 0 };
            if self.is_hopeless(0) {
                continue;
            }
            if self.go(0) == Flow::Stop {
                let rooms = self.rooms();
                let best = self.best.1;
                return match goal {
                    Goal::New => Proof::New(best.new - rooms.least_new(0, self.ahead[0])),
                    Goal::Opened => {
                        let least = rooms.least_opened(0, self.ahead[0] - best.new);
                        Proof::Opened(best.opened - least)
                    }
                    Goal::Useful => Proof::Left,
                };
            }
        }
        Proof::Optimal
    }

    fn rooms(&self) -> Rooms<'_> {
        Rooms { packing: self.packing, load: &self.load, reach: self.reach }
    }

    /// Whether nothing from here on can beat the best in the goal.
    fn is_hopeless(&self, at: usize) -> bool {
        let (so_far, best) = (&self.so_far, &self.best.1);
        let rooms = self.rooms();
        let new = so_far.new + rooms.least_new(at, self.ahead[at]);
        match self.goal {
            Goal::New => return new >= best.new,
            Goal::Opened | Goal::Useful => {
                if new > best.new {
                    return true;
                }
            }
        }
        // Less new wire than the best is proven impossible, so this much at least must still be cut.
        let cut = self.ahead[at].saturating_sub(best.new - so_far.new);
        let opened = so_far.opened + rooms.least_opened(at, cut);
        match self.goal {
            Goal::New | Goal::Opened => return opened >= best.opened,
            Goal::Useful => {
                if opened > best.opened {
                    return true;
                }
            }
        }
        let useful = rooms.most_useful(cut);
        useful < best.useful || (useful == best.useful && so_far.substitutes >= best.substitutes)
    }

    fn go(&mut self, at: usize) -> Flow {
        if at == self.order.len() {
            let score = self.packing.score(&self.places).expect("the search keeps the rules");
            if score < self.best.1 {
                self.best = (self.places.clone(), score);
            }
            return Flow::On;
        }
        if self.is_hopeless(at) {
            return Flow::On;
        }
        if self.nodes_left == 0 || (self.nodes_left.is_multiple_of(1024) && !(self.keep_going)()) {
            return Flow::Stop;
        }
        self.nodes_left -= 1;
        let wire = self.order[at];
        for piece in self.candidates(at) {
            let weight = self.packing.wires[wire].weight;
            let is_first = self.load[piece].1 == 0;
            let is_other = self.packing.fit(wire, piece) == Fit::Substitute;
            self.load[piece].0 -= weight;
            self.load[piece].1 += 1;
            self.so_far.opened += usize::from(is_first);
            self.so_far.substitutes += usize::from(is_other);
            self.places[wire] = Some(piece);
            let flow = self.go(at + 1);
            self.places[wire] = None;
            self.so_far.substitutes -= usize::from(is_other);
            self.so_far.opened -= usize::from(is_first);
            self.load[piece].1 -= 1;
            self.load[piece].0 += weight;
            if flow == Flow::Stop {
                return flow;
            }
        }
        self.so_far.new += self.packing.wires[wire].weight;
        let flow = self.go(at + 1);
        self.so_far.new -= self.packing.wires[wire].weight;
        flow
    }

    /// Pieces this wire may go to, the tightest first; of pieces in the same state only the first,
    /// and among equal wires never a piece before that of the wire before.
    fn candidates(&self, at: usize) -> Vec<usize> {
        let wire = self.order[at];
        let demand = self.packing.wires[wire];
        let least = match at.checked_sub(1).map(|before| self.order[before]) {
            Some(before) if self.packing.wires[before] == demand => match self.places[before] {
                Some(piece) => piece,
                // The equal wire before is bought new: so is this one.
                None => return Vec::new(),
            },
            Some(_) | None => 0,
        };
        let mut pieces: Vec<usize> = (least..self.load.len())
            .filter(|piece| {
                self.packing.fit(wire, *piece) != Fit::No && self.load[*piece].0 >= demand.weight
            })
            .collect();
        let state = |piece: usize| {
            let (free, n_wires) = self.load[piece];
            (free, n_wires == 0, self.packing.pieces[piece])
        };
        pieces.sort_by_key(|piece| (self.load[*piece].1 == 0, self.load[*piece].0, *piece));
        let mut kept: Vec<usize> = Vec::with_capacity(pieces.len());
        for piece in pieces {
            if kept.iter().all(|known| state(*known) != state(piece)) {
                kept.push(piece);
            }
        }
        kept
    }
}
