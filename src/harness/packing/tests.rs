//! Packings against the table of least circles, hand formulas and bounds.

use super::*;
use crate::random::Random;

fn pack(diameters_mm: &[f64]) -> Packing {
    super::pack(diameters_mm, Effort::Search)
}

/// Published least circles of equal circles, `tests/data/circle_packing.csv`: source per row.
const PUBLISHED: &str = include_str!("../../../tests/data/circle_packing.csv");

fn published() -> Vec<(usize, f64, f64)> {
    csv::Reader::from_reader(PUBLISHED.as_bytes())
        .into_records()
        .map(|row| {
            let row = row.unwrap();
            (row[0].parse().unwrap(), row[1].parse().unwrap(), row[2].parse().unwrap())
        })
        .collect()
}

/// No two circles overlap and all lie inside.
#[track_caller]
fn check_placement(packing: &Packing) {
    let circles = &packing.circles;
    for (i, a) in circles.iter().enumerate() {
        assert!(a.0.hypot(a.1) + a.2 / 2.0 <= packing.placed_mm / 2.0 * (1.0 + 1e-9));
        for b in &circles[i + 1..] {
            let gap = (a.0 - b.0).hypot(a.1 - b.1);
            assert!(gap >= (a.2 + b.2) / 2.0 * (1.0 - 1e-9), "{a:?} and {b:?} overlap");
        }
    }
}

#[test]
fn equal_wires_follow_the_published_table() {
    let rows = published();
    assert_eq!(rows.len(), EQUAL.len());
    for (n, ratio, thumb) in rows {
        let packing = pack(&vec![1.6; n]);
        assert!((packing.diameter_mm / 1.6 - ratio).abs() < 1e-9, "{n}");
        check_placement(&packing);
        // The search knows nothing of the table, so it must never go below it …
        let reached = packing.placed_mm / 1.6;
        assert!(reached >= ratio - 6e-5, "{n}: {reached} is below the least circle {ratio}");
        // … and it should come near.
        assert!(reached <= ratio * 1.015, "{n}: {reached} where {ratio} is possible");
        assert!((rule_of_thumb_mm(&vec![1.0; n]) - thumb).abs() < 6e-5, "{n}");
    }
}

#[test]
fn the_rule_of_thumb_lies_below_what_is_possible_for_some_counts() {
    let below: Vec<usize> = published()
        .into_iter()
        .filter(|(n, ratio, _)| *n > 1 && rule_of_thumb_mm(&vec![1.0; *n]) < *ratio)
        .map(|(n, _, _)| n)
        .collect();
    assert_eq!(below, [2, 3, 4, 5, 6, 9, 10]);
}

/// Three circles that touch each other: Descartes' theorem (1643) gives the circle around them.
#[test]
fn three_unequal_wires_come_near_descartes_circle() {
    for [a, b, c] in [[1.6, 1.6, 1.6], [3.0, 1.9, 1.6], [2.4, 2.0, 1.9], [3.0, 3.0, 1.6]] {
        let [p, q, r] = [a / 2.0, b / 2.0, c / 2.0].map(|r: f64| 1.0 / r);
        let outer = 1.0 / (2.0 * (p * q + q * r + r * p).sqrt() - p - q - r);
        // Where the smallest fits beside the two others, these alone decide (the same theorem).
        let beside = a * b * (a + b) / (a * a + a * b + b * b);
        let want = if c <= beside { a + b } else { 2.0 * outer };
        let packing = pack(&[a, b, c]);
        check_placement(&packing);
        assert!(packing.placed_mm >= want * (1.0 - 1e-9), "{a} {b} {c}");
        assert!(packing.placed_mm <= want * 1.01, "{a} {b} {c}: {} {want}", packing.placed_mm);
    }
    // A wire that fits beside the two widest costs nothing.
    let packing = pack(&[3.0, 3.0, 0.9]);
    assert!((packing.placed_mm - 6.0).abs() < 0.02, "{}", packing.placed_mm);
}

#[test]
fn mixed_bundles_lie_between_their_bounds() {
    let r = &mut Random::new(77);
    for round in 0..120 {
        let n = 1 + r.below(if round % 10 == 0 { 140 } else { 30 });
        let diameters: Vec<f64> =
            (0..n).map(|_| r.pick(&[1.2, 1.4, 1.6, 1.9, 2.1, 2.4, 3.0, 3.7])).collect();
        let packing = pack(&diameters);
        assert_eq!(packing.circles.len(), n);
        check_placement(&packing);
        assert!(packing.diameter_mm >= packing.lower_mm * (1.0 - 1e-9), "{diameters:?}");
        let slack = packing.diameter_mm / packing.lower_mm;
        assert!(slack < 1.45, "{n}: {slack} times the lower bound for {diameters:?}");
        let quick = super::pack(&diameters, Effort::Quick);
        check_placement(&quick);
        assert!(quick.diameter_mm >= packing.diameter_mm * (1.0 - 1e-9));
        assert!(quick.diameter_mm <= packing.lower_mm * 1.6, "{n}: {}", quick.diameter_mm);
        // Order does not matter, and one wire more never makes the lower bound smaller.
        let mut turned = diameters.clone();
        turned.reverse();
        assert_eq!(pack(&turned).diameter_mm, packing.diameter_mm);
        turned.push(1.2);
        assert!(pack(&turned).lower_mm >= packing.lower_mm);
    }
}

#[test]
fn nothing_and_one_and_two_are_exact() {
    assert_eq!(pack(&[]).diameter_mm, 0.0);
    assert_eq!(pack(&[2.5]).diameter_mm, 2.5);
    let two = pack(&[2.5, 1.0]);
    assert!((two.diameter_mm - 3.5).abs() < 1e-6 && two.lower_mm == 3.5, "{two:?}");
    assert_eq!(pack(&[f64::NAN, 2.0, -1.0]).diameter_mm, 2.0);
}
