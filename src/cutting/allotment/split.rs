//! Takes a packing apart where wires and pieces have nothing to do with each other.

use crate::cutting::allotment::packing::{Fit, Packing, Places, Score};
use crate::cutting::allotment::search::{Found, Proof, best_places};

/// One group: what it asks, and which wires and pieces of the whole it is.
struct Group {
    packing: Packing,
    wires: Vec<usize>,
    pieces: Vec<usize>,
}

/// Solves every group by itself and puts the answers together. All goals are sums over the groups,
/// so the best of each is the best of all.
pub fn best_of_groups(packing: &Packing, nodes: u64, keep_going: &dyn Fn() -> bool) -> Found {
    let mut places: Places = vec![None; packing.wires.len()];
    let mut proof = Proof::Optimal;
    for group in groups(packing) {
        let found = best_places(&group.packing, nodes, keep_going);
        for (wire, place) in group.wires.iter().zip(&found.places) {
            places[*wire] = place.map(|piece| group.pieces[piece]);
        }
        proof = weaker(proof, found.proof);
    }
    let score: Score = packing.score(&places).expect("groups keep the rules");
    Found { places, score, proof }
}

/// The proof of two groups taken together: gaps in the first goal that is open add up.
fn weaker(a: Proof, b: Proof) -> Proof {
    match (a, b) {
        (Proof::New(a), Proof::New(b)) => Proof::New(a + b),
        (Proof::New(gap), _) | (_, Proof::New(gap)) => Proof::New(gap),
        (Proof::Opened(a), Proof::Opened(b)) => Proof::Opened(a + b),
        (Proof::Opened(gap), _) | (_, Proof::Opened(gap)) => Proof::Opened(gap),
        (Proof::Left, _) | (_, Proof::Left) => Proof::Left,
        (Proof::Optimal, Proof::Optimal) => Proof::Optimal,
    }
}

fn groups(packing: &Packing) -> Vec<Group> {
    let n_wire_classes = packing.fits.len();
    let n_piece_classes = packing.fits.first().map_or(0, Vec::len);
    let mut of: Vec<usize> = (0..n_wire_classes + n_piece_classes).collect();
    for (wire, row) in packing.fits.iter().enumerate() {
        for (piece, fit) in row.iter().enumerate() {
            if *fit != Fit::No {
                let (a, b) = (of[wire], of[n_wire_classes + piece]);
                let (low, high) = (a.min(b), a.max(b));
                of.iter_mut().filter(|group| **group == high).for_each(|group| *group = low);
            }
        }
    }
    let mut names: Vec<usize> = of.clone();
    names.sort_unstable();
    names.dedup();
    let groups = names.into_iter().map(|name| {
        let wires: Vec<usize> = (0..packing.wires.len())
            .filter(|wire| of[packing.wires[*wire].class] == name)
            .collect();
        let pieces: Vec<usize> = (0..packing.pieces.len())
            .filter(|piece| of[n_wire_classes + packing.pieces[*piece].class] == name)
            .collect();
        let packing = Packing {
            wires: wires.iter().map(|wire| packing.wires[*wire]).collect(),
            pieces: pieces.iter().map(|piece| packing.pieces[*piece]).collect(),
            fits: packing.fits.clone(),
            kerf: packing.kerf,
            scrap: packing.scrap,
        };
        Group { packing, wires, pieces }
    });
    groups.filter(|group| !group.wires.is_empty() && !group.pieces.is_empty()).collect()
}
