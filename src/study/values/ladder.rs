//! What a pin reads as a function of the resistors that may change.
//!
//! By the matrix-tree theorem (Kirchhoff 1847) the resistance between two nodes is the ratio of two
//! polynomials in the conductances, each of first degree in every one of them: sums over spanning
//! trees, and over pairs of trees that part the two nodes. Their coefficients are determinants of
//! the rest of the network with some of the changing parts shorted and the others left out, and no
//! coefficient is negative, so nothing is lost by subtraction.

use std::collections::BTreeMap;

use crate::circuit::{Corner, Netlist, PinNetwork, Source, reduce};
use crate::model::{Project, State};

/// Ohms of one state at one corner as a function of the conductances it depends on.
#[derive(Clone, Debug, PartialEq)]
pub struct Formula {
    /// Terms of the polynomial above the line and of the one below it.
    terms: Vec<Ratio>,
    /// Whether all terms of more than one variable are zero, as where all parts lie side by side.
    is_linear: bool,
}

/// What stands above a fraction's line, and what below.
pub type Ratio = [f64; 2];

/// The three corners of one state.
#[derive(Clone, Debug, PartialEq)]
pub struct StateFormula {
    /// Which of the changing parts matter, ascending.
    pub parts: Vec<usize>,
    /// All else at its least, usual and greatest.
    pub corners: [Formula; 3],
}

impl Formula {
    fn new(terms: Vec<Ratio>) -> Self {
        let is_zero = |(set, term): (usize, &Ratio)| set.count_ones() < 2 || *term == [0.0; 2];
        let is_linear = terms.iter().enumerate().all(is_zero);
        Self { terms, is_linear }
    }

    /// The conductance at which a formula of one variable gives so many ohms; `None` where none does.
    pub fn siemens_for(&self, ohm: f64) -> Option<f64> {
        let [[a0, b0], [a1, b1]] = self.terms.as_slice() else { return None };
        let siemens = if ohm.is_finite() { (a0 - ohm * b0) / (ohm * b1 - a1) } else { -b0 / b1 };
        (siemens.is_finite() && siemens >= 0.0).then_some(siemens)
    }

    /// Ohms for these conductances, one for each part the state depends on; infinite where open.
    pub fn ohm(&self, siemens: &[f64]) -> f64 {
        let [above, below] = self.ratio(siemens);
        above / below
    }

    /// The same as a fraction, one over nothing where open.
    pub fn ratio(&self, siemens: &[f64]) -> Ratio {
        let ratio = if self.is_linear {
            let of_one = siemens.iter().enumerate().map(|(n, value)| (value, self.terms[1 << n]));
            of_one.fold(self.terms[0], |sum, (value, term)| joined(sum, *value, term))
        } else {
            fold(&self.terms, siemens)
        };
        if ratio[1] > 0.0 { ratio } else { [1.0, 0.0] }
    }
}

/// A sum and a multiple of another.
fn joined(one: Ratio, siemens: f64, other: Ratio) -> Ratio {
    [one[0] + siemens * other[0], one[1] + siemens * other[1]]
}

/// Values of two polynomials of first degree in each variable; bit `n` of an index stands for variable `n`.
fn fold(terms: &[Ratio], siemens: &[f64]) -> Ratio {
    match (terms, siemens) {
        ([one], _) => *one,
        ([t0, t1], [a]) => joined(*t0, *a, *t1),
        (_, [a, b, rest @ ..]) => {
            let mut work = [[0.0; 2]; 1 << (super::MAX_PARTS - 2)];
            let mut count = terms.len() / 4;
            for (sum, four) in work.iter_mut().zip(terms.chunks_exact(4)) {
                *sum = joined(joined(four[0], *a, four[1]), *b, joined(four[2], *a, four[3]));
            }
            for value in rest.iter().rev() {
                count /= 2;
                for idx in 0..count {
                    work[idx] = joined(work[idx], *value, work[idx + count]);
                }
            }
            work[0]
        }
        (_, [] | [_]) => [f64::NAN; 2],
    }
}

/// The formula of one state for these changing parts.
pub fn state_formula(
    project: &Project,
    netlist: &Netlist,
    network: &PinNetwork,
    parts: &[Source],
    state: &State,
) -> StateFormula {
    let full = [Corner::Low, Corner::Nominal, Corner::High]
        .map(|corner| formula(project, netlist, network, parts, (state, corner)));
    let used: Vec<usize> = (0..parts.len())
        .filter(|part| full.iter().any(|formula| depends(formula, *part)))
        .collect();
    let corners = full.map(|formula| restricted(&formula, parts.len(), &used));
    StateFormula { parts: used, corners }
}

fn formula(
    project: &Project,
    netlist: &Netlist,
    network: &PinNetwork,
    parts: &[Source],
    (state, corner): (&State, Corner),
) -> Formula {
    let mut fixed = Vec::new();
    let mut ends: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
    for edge in network.edges.iter().filter(|edge| netlist.is_closed(project, state, **edge)) {
        let Some((a, b)) = netlist.graph.edge_endpoints(*edge) else { continue };
        let weight = &netlist.graph[*edge];
        let changing = parts.iter().position(|part| weight.source == *part);
        match changing {
            Some(part) => {
                ends.insert(part, (a.index(), b.index()));
            }
            None => fixed.push((a.index(), b.index(), weight.ohm.at(corner))),
        }
    }
    let mut keep = vec![network.pin.index(), network.reference.index()];
    keep.extend(ends.values().flat_map(|(a, b)| [*a, *b]));
    let reduced = reduce(netlist.graph.node_count(), &fixed, &keep);
    let changing: BTreeMap<usize, (usize, usize)> = ends
        .keys()
        .enumerate()
        .map(|(n, part)| (*part, (reduced.port[2 + 2 * n], reduced.port[3 + 2 * n])))
        .collect();
    let mut web = Web {
        count: reduced.count,
        siemens: reduced.siemens,
        changing,
        reference: reduced.port[1],
    };
    web.drop_what_hangs_loose();
    let n_terms = 1usize << parts.len();
    let mut terms = vec![[0.0; 2]; n_terms];
    for (set, term) in terms.iter_mut().enumerate() {
        // Parts that are not in the circuit in this state have no terms.
        if (0..parts.len()).any(|p| set >> p & 1 == 1 && !web.changing.contains_key(&p)) {
            continue;
        }
        *term = web.terms(set).into();
    }
    Formula::new(terms)
}

/// Whether the value of a formula changes with one of its variables: its two halves, without and
/// with it, are not the same ratio everywhere.
fn depends(formula: &Formula, part: usize) -> bool {
    let n_parts = formula.terms.len().trailing_zeros() as usize;
    // Three points off any symmetry; a ratio of polynomials that is constant at all of them is constant.
    [(1e-3, 3.7), (2.3e-4, 1.9), (7.1e-2, 0.6)].iter().any(|(base, step)| {
        let at = |value: f64| {
            let point: Vec<f64> = (0..n_parts)
                .map(|n| if n == part { value } else { base * (1.0 + step * n as f64) })
                .collect();
            formula.ohm(&point)
        };
        let (few, many) = (at(1e-6), at(1.0));
        few != many && (few - many).abs() > 1e-12 * few.min(many)
    })
}

/// The same formula in the variables it depends on.
fn restricted(formula: &Formula, n_parts: usize, used: &[usize]) -> Formula {
    let mut work = formula.clone();
    let mut left: Vec<usize> = (0..n_parts).collect();
    for part in (0..n_parts).rev().filter(|part| !used.contains(part)) {
        let place = left.iter().position(|known| *known == part).unwrap_or(0);
        let pick = |with: usize| -> Vec<Ratio> {
            let idx = (0..work.terms.len()).filter(|idx| idx >> place & 1 == with);
            idx.map(|idx| work.terms[idx]).collect()
        };
        // Either half gives the same ratio where it gives one at all.
        let is_empty = |terms: &[Ratio]| terms.iter().all(|term| term[1] == 0.0);
        let (without, with) = (pick(0), pick(1));
        let terms = if is_empty(&without) && !is_empty(&with) { with } else { without };
        work = Formula::new(terms);
        left.remove(place);
    }
    work
}

/// A small network between ports, with the parts that may change on top of it. Port 0 is the pin.
struct Web {
    count: usize,
    siemens: Vec<f64>,
    changing: BTreeMap<usize, (usize, usize)>,
    reference: usize,
}

impl Web {
    /// Parts and ports that no way joins to the pin play no role; without a way to the reference none do.
    fn drop_what_hangs_loose(&mut self) {
        let mut reached = vec![false; self.count];
        reached[0] = true;
        let mut waiting = vec![0];
        while let Some(port) = waiting.pop() {
            let fixed =
                (0..self.count).filter(|other| self.siemens[port * self.count + other] > 0.0);
            let changing = self.changing.values().filter_map(|(a, b)| match port {
                _ if port == *a => Some(*b),
                _ if port == *b => Some(*a),
                _ => None,
            });
            for next in fixed.chain(changing).collect::<Vec<_>>() {
                if !std::mem::replace(&mut reached[next], true) {
                    waiting.push(next);
                }
            }
        }
        self.changing.retain(|_, (a, _)| reached[*a]);
        // What is loose is tied to the reference, so that it spans nothing and costs nothing.
        for port in (0..self.count).filter(|port| !reached[*port] && *port != self.reference) {
            for other in 0..self.count {
                self.siemens[port * self.count + other] = 0.0;
                self.siemens[other * self.count + port] = 0.0;
            }
            self.siemens[port * self.count + self.reference] = 1.0;
            self.siemens[self.reference * self.count + port] = 1.0;
        }
    }

    /// Weight of the pairs of trees and of the spanning trees that hold exactly this set of parts.
    fn terms(&self, set: usize) -> (f64, f64) {
        let mut group: Vec<usize> = (0..self.count).collect();
        for (part, (a, b)) in &self.changing {
            if set >> part & 1 == 0 {
                continue;
            }
            let (a, b) = (group[*a], group[*b]);
            if a == b {
                // A loop is in no tree.
                return (0.0, 0.0);
            }
            for of in &mut group {
                if *of == b {
                    *of = a;
                }
            }
        }
        let (pin, reference) = (group[0], group[self.reference]);
        let below = self.trees(&group, &[reference]);
        let above = if pin == reference { 0.0 } else { self.trees(&group, &[pin, reference]) };
        (above, below)
    }

    /// Determinant of the nodal matrix of the groups without the grounded ones: the weight of all
    /// ways to hang every other group on them. Elimination without subtraction.
    fn trees(&self, group: &[usize], grounded: &[usize]) -> f64 {
        let mut heads: Vec<usize> = (0..self.count)
            .filter(|port| group[*port] == *port && !grounded.contains(port))
            .collect();
        heads.extend(grounded);
        let n = heads.len();
        let n_free = n - grounded.len();
        let place: BTreeMap<usize, usize> =
            heads.iter().enumerate().map(|(n, head)| (*head, n)).collect();
        let mut web = vec![0.0; n * n];
        for a in 0..self.count {
            for b in 0..self.count {
                let (to, from) = (place[&group[a]], place[&group[b]]);
                if to != from {
                    web[to * n + from] += self.siemens[a * self.count + b];
                }
            }
        }
        let mut weight = 1.0;
        for at in 0..n_free {
            let sum: f64 = (at + 1..n).map(|other| web[at * n + other]).sum();
            weight *= sum;
            if sum == 0.0 {
                return 0.0;
            }
            for a in at + 1..n {
                let share = web[at * n + a] / sum;
                for b in (at + 1..n).filter(|b| *b != a) {
                    web[a * n + b] += share * web[at * n + b];
                }
            }
        }
        weight
    }
}
