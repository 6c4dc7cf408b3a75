//! Resistance between two nodes in exact rational arithmetic: Gaussian elimination, nothing rounded.

use num_rational::BigRational;
use num_traits::{One, Zero};

/// Exact ohms between two nodes; `None` where no path joins them. Zero ohms joins two nodes.
pub fn resistance(
    nodes: usize,
    edges: &[(usize, usize, f64)],
    from: usize,
    to: usize,
) -> Option<BigRational> {
    let mut net: Vec<usize> = (0..nodes).collect();
    for (a, b, _) in edges.iter().filter(|(.., ohm)| *ohm == 0.0) {
        let (old, new) = (net[*a], net[*b]);
        net.iter_mut().filter(|n| **n == old).for_each(|n| *n = new);
    }
    let (from, to) = (net[from], net[to]);
    if from == to {
        return Some(BigRational::zero());
    }
    // Only nets that the input reaches have equations; the others would make the matrix singular.
    let mut reached = vec![false; nodes];
    reached[from] = true;
    for _ in 0..nodes {
        for (a, b, _) in edges {
            let (a, b) = (net[*a], net[*b]);
            let any = reached[a] || reached[b];
            (reached[a], reached[b]) = (any, any);
        }
    }
    if !reached[to] {
        return None;
    }
    let unknown: Vec<usize> =
        (0..nodes).filter(|n| net[*n] == *n && reached[*n] && *n != to).collect();
    let size = unknown.len();
    let mut rows = vec![vec![BigRational::zero(); size + 1]; size];
    let at = |n: usize| unknown.iter().position(|u| *u == n);
    for (a, b, ohm) in edges {
        let (a, b) = (net[*a], net[*b]);
        if a == b || !reached[a] {
            continue;
        }
        let siemens = BigRational::from_float(*ohm).expect("finite").recip();
        for (this, that) in [(a, b), (b, a)] {
            let Some(row) = at(this) else { continue };
            rows[row][row] += &siemens;
            if let Some(column) = at(that) {
                rows[row][column] -= &siemens;
            }
        }
    }
    let input = at(from).expect("the input is not the return");
    rows[input][size] = BigRational::one();
    // The input goes last, so that back substitution needs one division only.
    rows.swap(input, size - 1);
    for row in &mut rows {
        row.swap(input, size - 1);
    }
    for pivot in 0..size {
        let chosen = (pivot..size).find(|row| !rows[*row][pivot].is_zero()).expect("regular");
        rows.swap(pivot, chosen);
        for row in pivot + 1..size {
            if rows[row][pivot].is_zero() {
                continue;
            }
            let factor = &rows[row][pivot] / &rows[pivot][pivot];
            #[expect(
                clippy::needless_range_loop,
                reason = "two rows are read and written side by side"
            )]
            for column in pivot..=size {
                let less = &factor * &rows[pivot][column];
                rows[row][column] -= less;
            }
        }
    }
    Some(&rows[size - 1][size] / &rows[size - 1][size - 1])
}

#[test]
fn the_oracle_itself_knows_a_bridge() {
    // Balanced bridge 1, 2 over 2, 4 with 5 across: 2 exactly (textbook); a wheel's 7/15.
    let bridge = [(0, 2, 1.0), (0, 3, 2.0), (2, 1, 2.0), (3, 1, 4.0), (2, 3, 5.0)];
    assert_eq!(resistance(4, &bridge, 0, 1), Some(BigRational::from_integer(2.into())));
    let wheel: Vec<(usize, usize, f64)> =
        (1..5).flat_map(|n| [(0, n, 1.0), (n, n % 4 + 1, 1.0)]).collect();
    assert_eq!(resistance(5, &wheel, 0, 1), Some(BigRational::new(7.into(), 15.into())));
    assert_eq!(resistance(4, &[(0, 2, 1.0), (1, 3, 1.0)], 0, 1), None);
}
