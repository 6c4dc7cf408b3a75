//! Quick allotments to start from: first fit, best fit, filling piece by piece, and moving wires about.

use crate::cutting::allotment::packing::{Fit, Packing, Places, Score};

/// The wires, longest first; equal ones in their order.
pub fn longest_first(packing: &Packing) -> Vec<usize> {
    let mut order: Vec<usize> = (0..packing.wires.len()).collect();
    order.sort_by_key(|wire| std::cmp::Reverse(packing.wires[*wire].weight));
    order
}

/// First fit, longest wire first, over the pieces in the order given.
pub fn first_fit(packing: &Packing, pieces: &[usize]) -> Places {
    each_wire(packing, |wire, free| {
        let weight = packing.wires[wire].weight;
        pieces
            .iter()
            .copied()
            .find(|piece| packing.fit(wire, *piece) != Fit::No && free[*piece] >= weight)
    })
}

/// Best fit, longest wire first: opened pieces before whole ones, then where least is left.
pub fn best_fit(packing: &Packing) -> Places {
    each_wire(packing, |wire, free| {
        let weight = packing.wires[wire].weight;
        (0..packing.pieces.len())
            .filter(|piece| packing.fit(wire, *piece) != Fit::No && free[*piece] >= weight)
            .min_by_key(|piece| (free[*piece] == packing.pieces[*piece].room, free[*piece], *piece))
    })
}

fn each_wire(packing: &Packing, mut choose: impl FnMut(usize, &[u64]) -> Option<usize>) -> Places {
    let mut free: Vec<u64> = packing.pieces.iter().map(|piece| piece.room).collect();
    let mut places = vec![None; packing.wires.len()];
    for wire in longest_first(packing) {
        if let Some(piece) = choose(wire, &free) {
            free[piece] -= packing.wires[wire].weight;
            places[wire] = Some(piece);
        }
    }
    places
}

/// Moves single wires and swaps pairs as long as that makes the allotment better.
///
/// Cost: wires times wires plus pieces for a round; at most `rounds` of them.
pub fn improve(packing: &Packing, places: Places, rounds: usize) -> (Places, Score) {
    let mut places = places;
    let mut best = packing.score(&places).expect("greedy places keep the rules");
    for _ in 0..rounds {
        if !(move_one(packing, &mut places, &mut best) | swap_two(packing, &mut places, &mut best))
        {
            break;
        }
    }
    (places, best)
}

fn move_one(packing: &Packing, places: &mut Places, best: &mut Score) -> bool {
    let mut is_better = false;
    for wire in 0..packing.wires.len() {
        for piece in 0..packing.pieces.len() {
            let before = places[wire].replace(piece);
            match packing.score(places).filter(|score| score < best) {
                Some(score) => {
                    *best = score;
                    is_better = true;
                }
                None => places[wire] = before,
            }
        }
    }
    is_better
}

fn swap_two(packing: &Packing, places: &mut Places, best: &mut Score) -> bool {
    let mut is_better = false;
    for a in 0..packing.wires.len() {
        for b in 0..a {
            if places[a] == places[b] {
                continue;
            }
            places.swap(a, b);
            match packing.score(places).filter(|score| score < best) {
                Some(score) => {
                    *best = score;
                    is_better = true;
                }
                None => places.swap(a, b),
            }
        }
    }
    is_better
}
