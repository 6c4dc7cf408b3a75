//! The allotment as a sum in whole micrometres: wires, pieces, which fits which, and what is best.
//!
//! Nothing here knows of projects; lengths are integers, so equal is equal and a proof is a proof.

use std::cmp::{Ordering, Reverse};

/// Whether wire of one class may be cut from pieces of another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fit {
    /// It may not.
    No,
    /// Size and colour are those of the drawing.
    Same,
    /// The user allows the piece in its place.
    Substitute,
}

/// A wire to cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Demand {
    /// Length to cut and the width of one cut, in micrometres.
    pub weight: u64,
    /// Row of [`Packing::fits`].
    pub class: usize,
}

/// A piece to cut from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stock {
    /// Length in micrometres.
    pub whole: u64,
    /// What weights must fit into: the length without the trim, and one cut, because the last cut is
    /// not made where nothing is left behind it.
    pub room: u64,
    /// Column of [`Packing::fits`].
    pub class: usize,
}

/// One question: which wire from which piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Packing {
    /// Wires.
    pub wires: Vec<Demand>,
    /// Pieces.
    pub pieces: Vec<Stock>,
    /// By class of the wire, then by class of the piece.
    pub fits: Vec<Vec<Fit>>,
    /// Width of one cut in micrometres.
    pub kerf: u64,
    /// What is shorter is thrown away.
    pub scrap: u64,
}

/// For each wire the piece it is cut from; `None` is new wire.
pub type Places = Vec<Option<usize>>;

/// How good an allotment is; less is better, from the first field to the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Score {
    /// Weight of the wires that must be bought, in micrometres.
    pub new: u64,
    /// Pieces that are cut into.
    pub opened: usize,
    /// Sum of the squares of what is left of all pieces, in square micrometres; more is better.
    pub useful: u128,
    /// Wires cut from a substitute.
    pub substitutes: usize,
}

impl Score {
    fn key(&self) -> (u64, usize, Reverse<u128>, usize) {
        (self.new, self.opened, Reverse(self.useful), self.substitutes)
    }
}

impl PartialOrd for Score {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Score {
    fn cmp(&self, other: &Self) -> Ordering {
        self.key().cmp(&other.key())
    }
}

impl Packing {
    /// Whether this wire may be cut from this piece at all.
    pub fn fit(&self, wire: usize, piece: usize) -> Fit {
        self.fits[self.wires[wire].class][self.pieces[piece].class]
    }

    /// What is left of a piece with so much of its room still free, in micrometres; scrap is nothing.
    pub fn left(&self, piece: usize, free: u64, is_opened: bool) -> u64 {
        if !is_opened {
            return self.pieces[piece].whole;
        }
        let left = free.saturating_sub(self.kerf);
        if left < self.scrap { 0 } else { left }
    }

    /// Weight of all wires.
    pub fn weight(&self) -> u64 {
        self.wires.iter().map(|wire| wire.weight).sum()
    }

    /// Free room of every piece and the number of wires from it; `None` where the places break a rule.
    pub fn load(&self, places: &Places) -> Option<Vec<(u64, usize)>> {
        let mut load: Vec<(u64, usize)> = self.pieces.iter().map(|piece| (piece.room, 0)).collect();
        for (wire, place) in places.iter().enumerate() {
            let Some(piece) = *place else { continue };
            if self.fit(wire, piece) == Fit::No {
                return None;
            }
            let (free, n_wires) = &mut load[piece];
            *free = free.checked_sub(self.wires[wire].weight)?;
            *n_wires += 1;
        }
        Some(load)
    }

    /// How good these places are; `None` where they break a rule.
    pub fn score(&self, places: &Places) -> Option<Score> {
        let load = self.load(places)?;
        let mut score = Score { new: 0, opened: 0, useful: 0, substitutes: 0 };
        for (piece, (free, n_wires)) in load.iter().enumerate() {
            score.opened += usize::from(*n_wires > 0);
            score.useful += u128::from(self.left(piece, *free, *n_wires > 0)).pow(2);
        }
        for (wire, place) in places.iter().enumerate() {
            match place {
                None => score.new += self.wires[wire].weight,
                Some(piece) => {
                    score.substitutes += usize::from(self.fit(wire, *piece) == Fit::Substitute);
                }
            }
        }
        Some(score)
    }
}
