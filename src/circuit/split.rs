//! Where the controls fall into two halves that meet at one node at most.

use std::collections::BTreeSet;

use petgraph::graph::NodeIndex;

use crate::circuit::cut::Cut;
use crate::circuit::states::Level;

/// Fewer states than this are walked as one tree: the halves would cost more than they save.
const FEW_STATES: usize = 32;

/// A division of the controls, and of the network between their contacts.
#[derive(Clone, Debug)]
pub struct Split {
    /// The first level of the last half.
    pub at: usize,
    /// The node through which the halves meet, beside pin and reference.
    pub shared: Option<NodeIndex>,
    /// Nodes of the last half; all others are the first's.
    pub last: BTreeSet<NodeIndex>,
    /// Whether a control of one half needs one of the other.
    pub has_needs_across: bool,
}

impl Split {
    /// The division that leaves least to walk; `None` where there is none that is worth it.
    ///
    /// A division is good where no contact is moved by controls of both halves and, with pin,
    /// reference and at most one more node taken out, no way leads from one half's contacts to the
    /// other's. Cost: a search of the network for each node of one way between the halves.
    pub fn find(cut: &Cut<'_>, levels: &[Level]) -> Option<Self> {
        let states = |levels: &[Level]| {
            levels.iter().fold(1usize, |n, level| n.saturating_mul(usize::from(level.positions)))
        };
        if states(levels) < FEW_STATES {
            return None;
        }
        let left = |at: &usize| states(&levels[..*at]).saturating_add(states(&levels[*at..]));
        let mut cuts: Vec<usize> =
            (1..levels.len()).filter(|at| left(at) <= states(levels) / 2).collect();
        cuts.sort_by_key(left);
        let around = fixed_neighbours(cut);
        cuts.into_iter().find_map(|at| Self::at(cut, levels, at, &around))
    }

    fn at(cut: &Cut<'_>, levels: &[Level], at: usize, around: &[Vec<NodeIndex>]) -> Option<Self> {
        let spans = |level: &Level| {
            level.contacts.iter().any(|contact| contact.throws.iter().any(|(of, _)| *of < at))
        };
        if levels[at..].iter().any(spans) {
            return None;
        }
        let (first, last) = (contact_nodes(cut, &levels[..at]), contact_nodes(cut, &levels[at..]));
        let apart = |shared: Option<NodeIndex>| {
            let (way, reached) = way_between(&last, &first, around, shared);
            (way, reached)
        };
        let (way, reached) = apart(None);
        let (shared, last) = if way.is_empty() {
            (None, reached)
        } else {
            way.into_iter().find_map(|node| {
                let (way, reached) = apart(Some(node));
                way.is_empty().then_some((Some(node), reached))
            })?
        };
        let has_needs_across = levels
            .iter()
            .enumerate()
            .any(|(n, level)| level.need.is_some_and(|(other, _)| (n < at) != (other < at)));
        Some(Self { at, shared, last, has_needs_across })
    }
}

/// Nodes each node is joined to by edges that always conduct; none for pin and reference.
fn fixed_neighbours(cut: &Cut<'_>) -> Vec<Vec<NodeIndex>> {
    let mut around = vec![Vec::new(); cut.netlist.graph.node_count()];
    let is_end = |node: NodeIndex| node == cut.pin || node == cut.reference;
    for edge in cut.edges.iter().copied().filter(|edge| cut.is_fixed(*edge)) {
        let (a, b) = cut.ends(edge);
        if !is_end(a) && !is_end(b) {
            around[a.index()].push(b);
            around[b.index()].push(a);
        }
    }
    around
}

/// Nodes other than pin and reference at the contacts of these levels.
fn contact_nodes(cut: &Cut<'_>, levels: &[Level]) -> BTreeSet<NodeIndex> {
    levels
        .iter()
        .flat_map(|level| &level.contacts)
        .flat_map(|contact| &contact.edges)
        .flat_map(|(_, idx)| <[NodeIndex; 2]>::from(cut.ends(cut.switches[*idx].0)))
        .filter(|node| *node != cut.pin && *node != cut.reference)
        .collect()
}

/// The nodes of one way from any of `from` to any of `to` that avoids a node, both ends with it,
/// and all nodes reached before it was found. Without a way the first list is empty.
fn way_between(
    from: &BTreeSet<NodeIndex>,
    to: &BTreeSet<NodeIndex>,
    around: &[Vec<NodeIndex>],
    avoid: Option<NodeIndex>,
) -> (Vec<NodeIndex>, BTreeSet<NodeIndex>) {
    let mut before: Vec<Option<NodeIndex>> = vec![None; around.len()];
    let mut reached: BTreeSet<NodeIndex> =
        from.iter().copied().filter(|n| Some(*n) != avoid).collect();
    let mut waiting: Vec<NodeIndex> = reached.iter().copied().collect();
    while let Some(node) = waiting.pop() {
        if to.contains(&node) {
            let mut way = vec![node];
            while let Some(earlier) = before[way[way.len() - 1].index()] {
                way.push(earlier);
            }
            return (way, reached);
        }
        for next in around[node.index()].iter().copied().filter(|next| Some(*next) != avoid) {
            if reached.insert(next) {
                before[next.index()] = Some(node);
                waiting.push(next);
            }
        }
    }
    (Vec::new(), reached)
}

#[cfg(test)]
mod tests {
    use crate::circuit::{Corner, Netlist, PinNetwork};
    use crate::model::{ContactForm, ControlId, Need, SensePinId};
    use crate::random::Random;
    use crate::testing::{Sketch, at};

    /// A chain of switches from the pin towards the reference: each to the next node, to the pin, to
    /// the reference or `across` to a node further on, with resistors of any size or none.
    fn chain(r: &mut Random, switches: usize, across: usize) -> (Sketch, SensePinId) {
        let mut sketch = Sketch::new();
        let controller = sketch.controller(2);
        let ends = [at(controller, 0), at(controller, 1)];
        let nodes: Vec<_> =
            (0..=switches).map(|n| at(sketch.splice(&format!("SP{n}")), 0)).collect();
        sketch.resistor_between("RA", r.decades(1.0, 1e4), ends[0], nodes[0]);
        sketch.resistor_between("RE", r.decades(1.0, 1e4), nodes[switches], ends[1]);
        for n in 0..switches {
            let form = r.pick(&[ContactForm::NormallyOpen, ContactForm::NormallyClosed]);
            let contact = sketch.contact(&format!("S{n}"), form);
            sketch.wire(nodes[n], at(contact, 0));
            let to = r.pick(&[ends[0], ends[1], nodes[n + 1], nodes[(n + across).min(switches)]]);
            if r.once_in(3) {
                sketch.wire(at(contact, 1), to);
            } else {
                let ohm = r.decades(1e-2, 1e6);
                sketch.resistor_between(&format!("R{n}"), ohm, at(contact, 1), to);
            }
            let ohm = r.decades(1e-2, 1e6);
            sketch.resistor_between(&format!("C{n}"), ohm, nodes[n], nodes[n + 1]);
            sketch.control(&format!("B{n}"), contact, 2);
        }
        let pin = sketch.pin(ends[0], ends[1]);
        (sketch, pin)
    }

    fn network(sketch: &Sketch, pin: SensePinId) -> PinNetwork {
        let netlist = Netlist::new(&sketch.project, &Default::default());
        let sense = sketch.project.sense_pins.get(pin).unwrap();
        PinNetwork::new(&sketch.project, &netlist, sense).unwrap()
    }

    fn check(network: &PinNetwork, round: usize) {
        for corner in Corner::ALL {
            let all = network.all_ohms(corner);
            let positions = network.all_positions();
            assert_eq!(all.len(), positions.len());
            let (mut in_blocks, mut first) = (Vec::new(), None);
            network.ohms_in_blocks(corner, &mut |block| {
                in_blocks.extend_from_slice(block);
                true
            });
            assert_eq!(in_blocks, all, "round {round}");
            network.ohms_in_blocks(corner, &mut |block| {
                assert_eq!(first.replace(block.len()), None, "it goes on though told to stop");
                false
            });
            for (got, positions) in all.iter().zip(&positions) {
                let want = network.ohm(corner, positions);
                let is_same = *got == want || ((got - want) / want).abs() < 1e-12;
                assert!(is_same, "round {round}, {positions:?}: {got} is not {want}");
            }
        }
    }

    #[test]
    fn halves_give_the_numbers_of_the_whole() {
        let mut r = Random::new(11);
        let mut halved = 0;
        for round in 0..120 {
            let (mut sketch, pin) = chain(&mut r, 6 + round % 3, 1);
            if r.once_in(3) {
                let ids: Vec<ControlId> = sketch.project.controls.ids().collect();
                for (one, other) in [(0, 4), (5, 1)] {
                    let control = sketch.project.controls.get_mut(ids[one]).unwrap();
                    control.needs = Some(Need { control: ids[other], position: 1 });
                }
            }
            let network = network(&sketch, pin);
            halved += usize::from(network.is_halved());
            check(&network, round);
        }
        assert!(halved > 100, "only {halved} of 120 networks fell into halves");
    }

    #[test]
    fn what_meets_at_more_nodes_is_walked_as_one() {
        let mut r = Random::new(5);
        let mut whole = 0;
        for round in 0..60 {
            let (sketch, pin) = chain(&mut r, 7, 4);
            let network = network(&sketch, pin);
            whole += usize::from(!network.is_halved());
            check(&network, round);
        }
        assert!(whole > 8, "only {whole} of 60 networks had to be walked whole");
    }
}
