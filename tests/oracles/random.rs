//! Random circuits with the cases that break solvers: values nine decades apart or nearly equal,
//! bridges, parallel parts, loops, bits that float, contacts of every simple form.

use ohmloom::circuit::Corner;
use ohmloom::model::{ContactForm, ControlId, SensePinId};
use ohmloom::random::Random;
use ohmloom::testing::{Sketch, at};
use ohmloom::units::Range;

/// How far resistor values are apart.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    NineDecades,
    Moderate,
}

/// One resistor or one contact between two nodes.
#[derive(Clone, Debug)]
pub struct Branch {
    pub a: usize,
    pub b: usize,
    /// Nominal ohms of a resistor, or the range of a closed contact.
    pub ohm: Range,
    pub tolerance: f64,
    /// The control that moves a contact, and the position in which it conducts.
    pub switch: Option<(usize, u8)>,
}

impl Branch {
    pub fn resistor(a: usize, b: usize, ohm: f64) -> Self {
        Self { a, b, ohm: Range::exact(ohm), tolerance: 0.0, switch: None }
    }

    fn ohm_at(&self, corner: Corner) -> f64 {
        match (self.switch, corner) {
            (Some(_), Corner::Low | Corner::BenchLow) => self.ohm.low,
            (Some(_), Corner::High | Corner::BenchHigh) => self.ohm.high,
            (_, Corner::Nominal) => self.ohm.nominal,
            (None, Corner::Low | Corner::BenchLow) => self.ohm.nominal * (1.0 - self.tolerance),
            (None, Corner::High | Corner::BenchHigh) => self.ohm.nominal * (1.0 + self.tolerance),
        }
    }
}

/// A circuit whose node 0 is the pin and node 1 the reference.
#[derive(Clone, Debug)]
pub struct Circuit {
    pub nodes: usize,
    pub branches: Vec<Branch>,
    pub controls: usize,
}

impl Circuit {
    pub fn random(seed: u64, spread: Spread) -> Self {
        let mut random = Random::new(seed.wrapping_mul(7919) + 1);
        let nodes = 3 + random.below(6);
        let controls = random.below(5);
        let mut branches = Vec::new();
        for _ in 0..nodes + random.below(nodes + 3) {
            let (a, b) = (random.below(nodes), random.below(nodes));
            branches.push(Branch {
                tolerance: random.pick(&[0.0, 0.01, 0.05]),
                ..Branch::resistor(a, b, value(&mut random, spread))
            });
        }
        for control in 0..controls {
            for _ in 0..1 + random.below(2) {
                let (a, b) = (random.below(nodes), random.below(nodes));
                let ohm = random.pick(&[
                    Range::exact(0.0),
                    Range::up_to(3.0),
                    Range { low: 0.0625, nominal: 0.5, high: 4.0 },
                ]);
                let position = random.below(2) as u8;
                branches.push(Branch {
                    a,
                    b,
                    ohm,
                    tolerance: 0.0,
                    switch: Some((control, position)),
                });
            }
        }
        Self { nodes, branches, controls }
    }

    /// Node, node and ohms of what conducts.
    pub fn conducting(&self, positions: &[u8], corner: Corner) -> Vec<(usize, usize, f64)> {
        self.branches
            .iter()
            .filter(|branch| {
                branch.switch.is_none_or(|(control, position)| positions[control] == position)
            })
            .map(|branch| (branch.a, branch.b, branch.ohm_at(corner)))
            .collect()
    }

    /// The same as a project: splices for nodes, one control with two positions per switch.
    pub fn drawn(&self) -> (Sketch, Vec<ControlId>, SensePinId) {
        let mut sketch = Sketch::new();
        let controller = sketch.controller(2);
        let nodes: Vec<_> =
            (0..self.nodes).map(|n| at(sketch.splice(&format!("SP{n}")), 0)).collect();
        let mut contacts = vec![Vec::new(); self.controls];
        for (n, branch) in self.branches.iter().enumerate() {
            let part = match branch.switch {
                None => sketch.resistor(&format!("R{n}"), branch.ohm.nominal, branch.tolerance),
                Some((control, position)) => {
                    let form = if position == 1 {
                        ContactForm::NormallyOpen
                    } else {
                        ContactForm::NormallyClosed
                    };
                    let part = sketch.contact_with(&format!("S{n}"), form, branch.ohm);
                    contacts[control].push(part);
                    part
                }
            };
            sketch.wire(nodes[branch.a], at(part, 0));
            sketch.wire(at(part, 1), nodes[branch.b]);
        }
        let controls = contacts
            .iter()
            .enumerate()
            .map(|(n, contacts)| sketch.control_all(&format!("B{n}"), contacts))
            .collect();
        sketch.wire(at(controller, 0), nodes[0]);
        sketch.wire(at(controller, 1), nodes[1]);
        let pin = sketch.pin(at(controller, 0), at(controller, 1));
        (sketch, controls, pin)
    }
}

/// Values with few binary digits, so that the exact oracle stays quick.
fn value(random: &mut Random, spread: Spread) -> f64 {
    match (spread, random.below(3)) {
        // Nearly equal: a thousand and a few 1024ths.
        (_, 0) => 1000.0 + random.below(8) as f64 / 1024.0,
        (Spread::NineDecades, _) => {
            let ohm = random.decades(1e-3, 1e6);
            let step = 2f64.powi(ohm.log2().floor() as i32 - 12);
            (ohm / step).round() * step
        }
        (Spread::Moderate, _) => random.decades(10.0, 1e5).round(),
    }
}
