//! Allotments piece by piece: each piece gets the dearest wires that fit, and wires that led to waste
//! become dearer for the next try (sequential value correction; Mukhacheva, Belov and Scheithauer).

use crate::cutting::allotment::greedy::longest_first;
use crate::cutting::allotment::packing::{Fit, Packing, Places};

/// Wires that are alike: same weight, same class.
struct Kind {
    weight: u64,
    class: usize,
    wires: Vec<usize>,
    value: f64,
}

/// Greatest number of cells of one knapsack.
const MOST_CELLS: u64 = 200_000;

/// Tries so many rounds over the pieces in the order given, until one is enough, and returns what each
/// round found.
///
/// Empty where the lengths have no common measure that makes the sums small enough.
pub fn by_values(
    packing: &Packing,
    pieces: &[usize],
    (rounds, is_enough): (usize, &dyn Fn(&Places) -> bool),
    keep_going: &dyn Fn() -> bool,
) -> Vec<Places> {
    let Some(unit) = common_measure(packing) else { return Vec::new() };
    let mut kinds = kinds(packing);
    let mut found: Vec<Places> = Vec::new();
    for _ in 0..rounds {
        if !keep_going() {
            break;
        }
        let places = one_round(packing, pieces, unit, &mut kinds);
        if found.contains(&places) {
            break;
        }
        let is_last = is_enough(&places);
        found.push(places);
        if is_last {
            break;
        }
    }
    found
}

/// Greatest common divisor of all weights, if the greatest room is few enough of them.
pub fn common_measure(packing: &Packing) -> Option<u64> {
    let unit = packing.wires.iter().fold(0, |gcd, wire| gcd_of(gcd, wire.weight));
    let most = packing.pieces.iter().map(|piece| piece.room).max()?;
    (unit > 0 && most / unit <= MOST_CELLS).then_some(unit)
}

fn gcd_of(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd_of(b, a % b) }
}

fn kinds(packing: &Packing) -> Vec<Kind> {
    let mut kinds: Vec<Kind> = Vec::new();
    for wire in longest_first(packing) {
        let demand = packing.wires[wire];
        match kinds.iter_mut().find(|k| k.weight == demand.weight && k.class == demand.class) {
            Some(kind) => kind.wires.push(wire),
            None => kinds.push(Kind {
                weight: demand.weight,
                class: demand.class,
                wires: vec![wire],
                value: demand.weight as f64,
            }),
        }
    }
    kinds
}

fn one_round(packing: &Packing, pieces: &[usize], unit: u64, kinds: &mut [Kind]) -> Places {
    let mut places = vec![None; packing.wires.len()];
    let mut spare: Vec<usize> = kinds.iter().map(|kind| kind.wires.len()).collect();
    for piece in pieces {
        let stock = packing.pieces[*piece];
        let may = |kind: &Kind| packing.fits[kind.class][stock.class] != Fit::No;
        let taken = knapsack(kinds, &spare, (stock.room / unit, unit), &may);
        let used: u64 =
            taken.iter().zip(kinds.iter()).map(|(n, kind)| *n as u64 * kind.weight).sum();
        if used == 0 {
            continue;
        }
        let waste = stock.room.saturating_sub(used) as f64;
        let dearer = stock.room as f64 / (stock.room as f64 - waste).max(1.0);
        for ((kind, n), spare) in kinds.iter_mut().zip(taken).zip(&mut spare) {
            for _ in 0..n {
                *spare -= 1;
                places[kind.wires[*spare]] = Some(*piece);
            }
            if n > 0 {
                // Longer wires are harder to place: the power 1.02 makes them a little dearer still.
                let target = (kind.weight as f64).powf(1.02) * dearer;
                let (old, new) = ((*spare + n) as f64, n as f64);
                kind.value = (old * kind.value + new * target) / (old + new);
            }
        }
    }
    places
}

/// How many wires of each kind give the greatest value in so many units of room.
fn knapsack(
    kinds: &[Kind],
    spare: &[usize],
    (room, unit): (u64, u64),
    may: &dyn Fn(&Kind) -> bool,
) -> Vec<usize> {
    let cells = room as usize + 1;
    let mut value = vec![0.0_f64; cells];
    let mut taken: Vec<Vec<u16>> = Vec::with_capacity(kinds.len());
    for (kind, spare) in kinds.iter().zip(spare) {
        let mut of_kind = vec![0_u16; cells];
        let step = (kind.weight / unit) as usize;
        if *spare > 0 && step < cells && may(kind) {
            let before = value.clone();
            for cell in step..cells {
                for n in 1..=(*spare).min(cell / step).min(usize::from(u16::MAX)) {
                    let worth = before[cell - n * step] + n as f64 * kind.value;
                    if worth > value[cell] + 1e-9 {
                        value[cell] = worth;
                        of_kind[cell] = n as u16;
                    }
                }
            }
        }
        taken.push(of_kind);
    }
    let mut cell = cells - 1;
    let mut out = vec![0; kinds.len()];
    for (at, kind) in kinds.iter().enumerate().rev() {
        let n = usize::from(taken[at][cell]);
        out[at] = n;
        cell -= n * (kind.weight / unit) as usize;
    }
    out
}
