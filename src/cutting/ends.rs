//! What goes onto each end of a wire: strip length, terminal, seal, boot, marker, and in which order.

use crate::cutting::cut_list::CutRow;
use crate::harness::end_kinds;
use crate::model::{End, EndFit, EndKind, HalfSide, Project, TerminalRef, Wire, WireId};
use crate::units::trim_zeros;

/// One end of a wire, made ready for the bench. What is not known is empty or `None`.
#[derive(Clone, Debug, PartialEq)]
pub struct EndPlan {
    /// Where it goes, such as `X2-3`.
    pub name: String,
    /// Kind of end.
    pub kind: EndKind,
    /// Length to strip in millimetres.
    pub strip_mm: Option<f64>,
    /// Name of the terminal.
    pub terminal: String,
    /// Name of the seal.
    pub seal: String,
    /// Least and greatest outside diameter the seal holds, in millimetres.
    pub seal_mm: Option<(f64, f64)>,
    /// Name of the boot or sleeve.
    pub boot: String,
    /// Text of the marker.
    pub marker: String,
}

/// Both ends of a wire: what the wire says, else what its half says.
///
/// A marker reads wire, own cavity, other cavity: `A1 X3-1/X2-3` at X3-1, `A1 X2-3/X3-1` at the
/// other end. Common practice, no source.
pub fn end_plans(project: &Project, id: WireId, wire: &Wire) -> [EndPlan; 2] {
    let kinds = end_kinds(project, wire);
    let own = project.cutting.wire_fits.get(id).cloned().unwrap_or_default();
    let names = [wire.from, wire.to].map(|end| project.terminal_name(end.terminal));
    let plan = |at: usize, end: End, fit: &EndFit| {
        let half = half_fit(project, end.terminal).unwrap_or_default();
        let text = |own: &str, half: &str| if own.is_empty() { half } else { own }.to_owned();
        let marker = if own.marker.is_empty() {
            format!("{} {}/{}", wire.name, names[at], names[1 - at])
        } else {
            own.marker.clone()
        };
        // A wire with a seal of its own does not take the diameters of the half's.
        let seal_mm = if fit.seal.is_empty() { fit.seal_mm.or(half.seal_mm) } else { fit.seal_mm };
        EndPlan {
            name: names[at].clone(),
            kind: kinds[at],
            strip_mm: fit.strip_mm.or(half.strip_mm),
            terminal: text(&fit.terminal, &half.terminal),
            seal: text(&fit.seal, &half.seal),
            seal_mm: seal_mm.or_else(|| cavity_seal_mm(project, end.terminal)),
            boot: text(&fit.boot, &half.boot),
            marker,
        }
    };
    [plan(0, wire.from, &own.from), plan(1, wire.to, &own.to)]
}

/// The half a terminal belongs to; parts that are no connector have only a first one.
pub fn half_of(project: &Project, terminal: TerminalRef) -> HalfSide {
    let part = project.parts.get(terminal.part);
    let seat = part.and_then(|part| part.kind.seat(terminal.terminal));
    seat.map_or(HalfSide::First, |(_, side)| side)
}

fn half_fit(project: &Project, terminal: TerminalRef) -> Option<EndFit> {
    project.cutting.half_fits.get((terminal.part, half_of(project, terminal))).cloned()
}

/// What the maker of the connector says its seals hold, where that is written down.
fn cavity_seal_mm(project: &Project, terminal: TerminalRef) -> Option<(f64, f64)> {
    let fit = project.parts.get(terminal.part)?.kind.arrangement()?.fit;
    fit.insulation_mm.map(|span| (span.low, span.high))
}

/// The steps for one wire, in order. What is wider than a terminal must be on the wire before that
/// end is crimped; a splice is made last, with its sleeve on the wire before. Common practice, no
/// source.
pub fn build_order(ends: &[EndPlan; 2], cut: &str) -> Vec<String> {
    let mut steps = vec![format!("cut {cut}; plus something, minus nothing")];
    let is_splice = |end: &&EndPlan| end.kind == EndKind::Splice;
    let first: Vec<&EndPlan> = ends.iter().filter(|end| !is_splice(end)).collect();
    let last: Vec<&EndPlan> = ends.iter().filter(is_splice).collect();
    let order: Vec<&EndPlan> = first.into_iter().chain(last).collect();
    for (n, end) in order.iter().enumerate() {
        if n + 1 == order.len() {
            steps.push("slide on what covers the whole wire, before its last end is made".into());
        }
        let mut on = vec![format!("marker \"{}\"", end.marker)];
        match (end.kind, end.boot.is_empty()) {
            (EndKind::Splice, true) => on.push("the sleeve of the splice".into()),
            (EndKind::Splice, false) => on.push(format!("sleeve {}", end.boot)),
            (EndKind::Sealed | EndKind::Inline | EndKind::Tag | EndKind::Ring, true) => {}
            (EndKind::Sealed | EndKind::Inline | EndKind::Tag | EndKind::Ring, false) => {
                on.push(format!("boot {}", end.boot));
            }
        }
        if !end.seal.is_empty() {
            on.push(format!("seal {}", end.seal));
        } else if end.kind == EndKind::Sealed {
            on.push("the seal (no seal is named)".into());
        }
        steps.push(format!("{}: slide on {}", end.name, on.join(", then ")));
        steps.push(match end.strip_mm {
            Some(mm) => format!("{}: strip {} mm", end.name, trim_zeros(&format!("{mm:.1}"))),
            None => format!(
                "{}: strip as the terminal's maker says; no length is written down",
                end.name
            ),
        });
        steps.push(match (end.kind, end.terminal.as_str()) {
            (EndKind::Splice, "") => format!("{}: join in the splice", end.name),
            (EndKind::Splice, name) => format!("{}: join in the splice {name}", end.name),
            (_, "") => format!("{}: crimp; no terminal is named", end.name),
            (_, name) => format!("{}: crimp {name}", end.name),
        });
    }
    steps
}

/// The steps for a row of the cut list, its length as it is written in tables.
pub fn build_steps(row: &CutRow) -> Vec<String> {
    let cut = row.cut_mm.map_or_else(
        || "to a length that is not known yet".to_owned(),
        |mm| format!("to {} mm", trim_zeros(&format!("{mm:.3}"))),
    );
    build_order(&row.ends, &cut)
}

/// How much longer than its cut length a wire may be, in millimetres; it may never be shorter.
/// IPC/WHMA-A-620B, draft, Table 11-1.
pub fn tolerance_mm(cut_mm: f64) -> f64 {
    match cut_mm {
        mm if mm <= 300.0 => 25.0,
        mm if mm <= 1500.0 => 50.0,
        mm if mm <= 3000.0 => 100.0,
        mm if mm <= 7500.0 => 150.0,
        mm => mm * 0.05,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::fixture::{parallel_pair, wire_between};
    use crate::model::{WireFit, WireSize};

    /// Rules read in published documents, `tests/data/harness_rules.csv`: source per row.
    const RULES: &str = include_str!("../../tests/data/harness_rules.csv");

    #[test]
    fn tolerances_are_those_of_the_table() {
        let row = csv::Reader::from_reader(RULES.as_bytes())
            .into_records()
            .map(Result::unwrap)
            .find(|row| &row[0] == "length tolerance")
            .unwrap();
        assert_eq!(
            &row[1],
            "<=0.3 m +25/-0; 0.3-1.5 m +50; 1.5-3 m +100; 3-7.5 m +150; >7.5 m +5 %"
        );
        for (cut_mm, plus_mm) in [
            (300.0, 25.0),
            (300.1, 50.0),
            (1500.0, 50.0),
            (1501.0, 100.0),
            (3000.0, 100.0),
            (7500.0, 150.0),
            (8000.0, 400.0),
        ] {
            assert_eq!(tolerance_mm(cut_mm), plus_mm, "{cut_mm}");
        }
    }

    #[test]
    fn a_wire_takes_from_its_half_what_it_does_not_say_itself() {
        let (mut project, a, b) = parallel_pair();
        let id = wire_between(&mut project, "W1", [a, b], WireSize::Mm2(0.75), "red");
        let half = EndFit {
            terminal: "blade".into(),
            seal: "green".into(),
            seal_mm: Some((1.2, 2.1)),
            strip_mm: Some(5.0),
            ..EndFit::default()
        };
        project.cutting.half_fits.put((a, HalfSide::First), half);
        let own = EndFit { seal: "red".into(), ..EndFit::default() };
        project.cutting.wire_fits.put(id, WireFit { from: own, ..WireFit::default() });
        let wire = project.wires.get(id).unwrap();
        let [from, to] = end_plans(&project, id, wire);
        assert_eq!((from.terminal.as_str(), from.seal.as_str()), ("blade", "red"));
        assert_eq!((from.strip_mm, from.seal_mm), (Some(5.0), None));
        assert_eq!((from.marker.as_str(), to.marker.as_str()), ("W1 A-1/B-1", "W1 B-1/A-1"));
        assert_eq!((to.terminal.as_str(), to.strip_mm), ("", None));
    }

    #[test]
    fn a_sleeve_is_on_the_wire_before_the_splice_is_made_and_the_splice_comes_last() {
        let end = |name: &str, kind, boot: &str| EndPlan {
            name: name.into(),
            kind,
            strip_mm: None,
            terminal: String::new(),
            seal: String::new(),
            seal_mm: None,
            boot: boot.into(),
            marker: "W1".into(),
        };
        let ends = [end("K1", EndKind::Splice, "19/6"), end("X1-1", EndKind::Sealed, "")];
        let steps = build_order(&ends, "900 mm");
        let at = |text: &str| steps.iter().position(|step| step.contains(text)).unwrap();
        assert!(at("X1-1: crimp") < at("what covers the whole wire"), "{steps:#?}");
        assert!(at("what covers the whole wire") < at("sleeve 19/6"));
        assert!(at("sleeve 19/6") < at("K1: join in the splice"));
        assert!(at("the seal (no seal is named)") < at("X1-1: crimp; no terminal is named"));
    }
}
