//! One reading worked out as on paper: series and parallel groups, one step a line.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::circuit::blocks::edges_on_paths;
use crate::circuit::netlist::{Netlist, Source};
use crate::circuit::ohm::Corner;
use crate::circuit::solve::Problem;
use crate::model::{PartKind, Project, Wire};
use crate::units::{format_ohm, format_ohm_figures, format_ohm_short, round_figures, trim_zeros};

/// Names longer than this are replaced by a letter.
const LONGEST_NAME: usize = 24;

/// A resistance between two nets, with what it is called in the sums.
#[derive(Clone, Debug)]
struct Element {
    a: usize,
    b: usize,
    ohm: f64,
    name: String,
    /// Wires, joints, contacts and loops come last in a sum.
    is_minor: bool,
    is_group: bool,
}

/// The steps from the conducting edges to the reading at nominal values; the last line is the result.
pub fn working(
    project: &Project,
    netlist: &Netlist,
    closed: &[EdgeIndex],
    pin: NodeIndex,
    reference: NodeIndex,
) -> Vec<String> {
    let ends =
        format!("{} to {}", netlist.node_name(project, pin), netlist.node_name(project, reference));
    let problem = Problem::of_edges(netlist, closed, Corner::Nominal);
    let Ok(joined) = problem.solve() else { return Vec::new() };
    let (from, to) = (joined.group(pin.index()), joined.group(reference.index()));
    if from == to {
        return vec![
            format!("nothing between them but contacts and wires without resistance"),
            format!("{ends}: 0 Ω"),
        ];
    }
    let mut elements: Vec<Element> = closed
        .iter()
        .zip(&problem.resistances)
        .filter(|(_, (.., ohm))| *ohm > 0.0)
        .map(|(edge, (a, b, ohm))| {
            let (name, is_minor) = name(project, netlist.graph[*edge].source);
            Element {
                a: joined.group(*a),
                b: joined.group(*b),
                ohm: *ohm,
                name,
                is_minor,
                is_group: false,
            }
        })
        .collect();
    let pairs: Vec<(usize, usize)> = elements.iter().map(|e| (e.a, e.b)).collect();
    let mut on_path = edges_on_paths(netlist.graph.node_count(), &pairs, from, to).into_iter();
    elements.retain(|_| on_path.next().unwrap_or(false));
    if elements.is_empty() {
        return vec![format!("no path from {ends}"), format!("{ends}: open")];
    }
    let mut paper = Paper { elements, lines: Vec::new(), letters: 0, from, to };
    if let [only] = paper.elements.as_slice() {
        paper.lines.push(format!("{} = {}", only.name, ohm_text(only.ohm)));
    }
    while paper.parallel() || paper.series() {}
    let ohm = match paper.elements.as_slice() {
        [only] => only.ohm,
        _ => paper.node_equations(project, netlist),
    };
    paper.lines.push(format!("{ends}: {}", format_ohm(ohm)));
    paper.lines
}

struct Paper {
    elements: Vec<Element>,
    lines: Vec<String>,
    letters: u32,
    from: usize,
    to: usize,
}

impl Paper {
    /// Combines the first set of elements that share both nets.
    fn parallel(&mut self) -> bool {
        let mut between: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
        for (idx, e) in self.elements.iter().enumerate() {
            between.entry((e.a.min(e.b), e.a.max(e.b))).or_default().push(idx);
        }
        let first =
            between.into_iter().filter(|(_, idx)| idx.len() > 1).min_by_key(|(_, idx)| idx[0]);
        let Some(((a, b), members)) = first else { return false };
        let members = self.take(&members);
        let ohm = 1.0 / members.iter().map(|e| 1.0 / e.ohm).sum::<f64>();
        self.write(&members, " ∥ ", ohm, (a, b));
        true
    }

    /// Combines the first chain of elements whose inner nets touch nothing else.
    fn series(&mut self) -> bool {
        let mut around: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (idx, e) in self.elements.iter().enumerate() {
            around.entry(e.a).or_default().push(idx);
            around.entry(e.b).or_default().push(idx);
        }
        let is_inner = |net: usize| net != self.from && net != self.to && around[&net].len() == 2;
        let Some((start, _)) = around.iter().find(|(net, _)| is_inner(**net)) else { return false };
        let mut chain: Vec<usize> = Vec::new();
        let mut ends = [0; 2];
        for (side, first) in around[start].iter().enumerate() {
            let (mut net, mut edge) = (*start, *first);
            loop {
                match side {
                    0 => chain.insert(0, edge),
                    _ => chain.push(edge),
                }
                let e = &self.elements[edge];
                net = if e.a == net { e.b } else { e.a };
                if !is_inner(net) || net == *start {
                    break;
                }
                let Some(next) = around[&net].iter().find(|next| **next != edge) else { break };
                edge = *next;
            }
            ends[side] = net;
        }
        if ends[1] == self.from || ends[0] == self.to {
            chain.reverse();
        }
        let mut members = self.take(&chain);
        members.sort_by_key(|e| e.is_minor);
        let ohm = members.iter().map(|e| e.ohm).fold(0.0, |sum, ohm| sum + ohm);
        self.write(&members, " + ", ohm, (ends[0], ends[1]));
        true
    }

    /// Takes elements out, in the order given.
    fn take(&mut self, which: &[usize]) -> Vec<Element> {
        let taken: Vec<Element> = which.iter().map(|idx| self.elements[*idx].clone()).collect();
        let gone: BTreeSet<usize> = which.iter().copied().collect();
        let mut idx = 0..;
        self.elements.retain(|_| !gone.contains(&idx.next().expect("a range without end")));
        taken
    }

    fn write(&mut self, members: &[Element], sign: &str, ohm: f64, (a, b): (usize, usize)) {
        let called: Vec<String> = members
            .iter()
            .map(|e| if e.is_group { format!("({})", e.name) } else { e.name.clone() })
            .collect();
        let names = called.join(sign);
        let values = members.iter().map(|e| ohm_text(e.ohm)).collect::<Vec<_>>().join(sign);
        let mut line = format!("{names} = {values} = {}", result_text(ohm, members));
        let is_last = self.elements.is_empty();
        let too_long = names.chars().count() > LONGEST_NAME && !is_last;
        let name = if too_long {
            let letter = letter(self.letters);
            self.letters += 1;
            line = format!("{letter} = {line}");
            letter
        } else {
            names
        };
        self.lines.push(line);
        self.elements.push(Element { a, b, ohm, name, is_minor: false, is_group: !too_long });
    }

    /// What series and parallel cannot do: potentials of the nets left, and the current.
    fn node_equations(&mut self, project: &Project, netlist: &Netlist) -> f64 {
        let name = |net: usize| netlist.node_name(project, NodeIndex::new(net));
        let left: Vec<String> = self
            .elements
            .iter()
            .map(|e| {
                format!("{} = {} from {} to {}", e.name, ohm_text(e.ohm), name(e.a), name(e.b))
            })
            .collect();
        self.lines.push(format!(
            "what is left is neither in series nor in parallel: {}",
            left.join("; ")
        ));
        let problem = Problem {
            node_count: netlist.graph.node_count(),
            resistances: self.elements.iter().map(|e| (e.a, e.b, e.ohm)).collect(),
            held: vec![(self.from, 1.0), (self.to, 0.0)],
            fed: Vec::new(),
        };
        let Ok(solution) = problem.solve() else { return f64::NAN };
        let nets: BTreeSet<usize> = self.elements.iter().flat_map(|e| [e.a, e.b]).collect();
        let stands: Vec<String> = nets
            .into_iter()
            .filter(|net| *net != self.from && *net != self.to)
            .filter_map(|net| Some(format!("{} at {:.4} V", name(net), solution.volt(net)?)))
            .collect();
        self.lines.push(format!("node equations with 1 V across: {}", stands.join(", ")));
        let amp: f64 = self
            .elements
            .iter()
            .filter_map(|e| {
                let other = match (e.a == self.from, e.b == self.from) {
                    (true, false) => e.b,
                    (false, true) => e.a,
                    (true, true) | (false, false) => return None,
                };
                Some((1.0 - solution.volt(other)?) / e.ohm)
            })
            .sum();
        self.lines.push(format!(
            "the current is {} mA, and 1 V / {} mA = {}",
            short_number(amp * 1e3),
            short_number(amp * 1e3),
            ohm_text(1.0 / amp)
        ));
        1.0 / amp
    }
}

fn name(project: &Project, source: Source) -> (String, bool) {
    let part_name =
        |id| project.parts.get(id).map_or_else(|| "?".to_owned(), |part| part.name.clone());
    match source {
        Source::Coil(id) => (format!("coil of {}", part_name(id)), false),
        Source::Part(id) => {
            let is_resistor = project
                .parts
                .get(id)
                .is_some_and(|part| matches!(part.kind, PartKind::Resistor(_)));
            (part_name(id), !is_resistor)
        }
        Source::Wire(id) => (project.wires.get(id).map_or_else(|| "?".to_owned(), wire_name), true),
        Source::Joint { part, cavity } => (format!("{}-{cavity} joint", part_name(part)), true),
        Source::Loop(_) => ("loop".into(), true),
        Source::Bridge => ("bridge".into(), true),
    }
}

fn wire_name(wire: &Wire) -> String {
    if wire.name.is_empty() { "wire".into() } else { wire.name.clone() }
}

/// Ohms as in sums; below one ohm without a prefix.
fn ohm_text(ohm: f64) -> String {
    if ohm >= 1.0 { format_ohm_short(ohm) } else { short_number(ohm) }
}

/// Share of what a step does to a member that rounding a longer result may still hide.
const HIDDEN_SHARE: f64 = 0.05;

/// A result in four figures, or in more where four would not show that the step did anything:
/// 22k + 0.6 is 22.0006k on paper too, not 22k.
fn result_text(ohm: f64, members: &[Element]) -> String {
    let usual = ohm_text(ohm);
    if ohm < 1.0 || members.iter().all(|e| ohm_text(e.ohm) != usual) {
        return usual;
    }
    let least_change = members.iter().map(|e| (ohm - e.ohm).abs()).fold(f64::INFINITY, f64::min);
    let shows =
        |figures: &usize| (round_figures(ohm, *figures) - ohm).abs() <= HIDDEN_SHARE * least_change;
    format_ohm_figures(ohm, (5..9).find(shows).unwrap_or(9))
}

/// Four figures without an exponent.
fn short_number(value: f64) -> String {
    let decimals =
        if value == 0.0 { 0 } else { (3 - value.abs().log10().floor() as i32).clamp(0, 12) };
    trim_zeros(&format!("{value:.*}", decimals as usize))
}

/// a, b … z, a2, b2 …
fn letter(number: u32) -> String {
    let letter = char::from(b'a' + (number % 26) as u8);
    if number < 26 { letter.to_string() } else { format!("{letter}{}", number / 26 + 1) }
}
