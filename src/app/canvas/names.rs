//! Names under which drawn things are found by tests and read by screen readers.

use crate::drawing;
use crate::model::{
    Control, Draw, Element, HalfSide, Part, PartKind, Project, Wire, cavity_of_terminal,
};
use crate::units::{format_ohm_short, trim_zeros};

/// `R1 resistor 6.81 kΩ`, `S1 contact gate`, `X2 connector`.
pub fn part_name(part: &Part) -> String {
    let noun = part.kind.noun();
    let value = match &part.kind {
        PartKind::Resistor(resistor) => spaced_ohm(resistor.ohm),
        PartKind::Supply(supply) => {
            format!("{} V", trim_zeros(&format!("{:.2}", supply.volt.nominal)))
        }
        PartKind::Fuse(fuse) => format!("{} A", fuse.rating_amp),
        PartKind::Element(element) => element_value(element),
        PartKind::Ground
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::Connector(_)
        | PartKind::Controller(_)
        | PartKind::TestPoint => String::new(),
    };
    let words = [part.name.as_str(), noun, value.as_str(), part.label.as_str()];
    words.into_iter().filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// `0.7 V`, `72 Ω`, `0.2 A`.
fn element_value(element: &Element) -> String {
    match element {
        Element::Diode(diode) => format!("{} V", diode.drop_volt.nominal),
        Element::Relay(relay) => spaced_ohm(relay.coil_ohm.nominal),
        Element::Load(load) => match load.draw {
            Draw::Ohm(ohm) => spaced_ohm(ohm.nominal),
            Draw::Amp(amp) => format!("{} A", amp.nominal),
        },
        Element::Input(input) => input.pull_ohm.map_or(String::new(), |p| spaced_ohm(p.nominal)),
    }
}

/// `6.81 kΩ`.
fn spaced_ohm(ohm: f64) -> String {
    let short = format_ohm_short(ohm);
    match short.char_indices().last() {
        Some((at, letter)) if letter.is_alphabetic() => format!("{} {letter}Ω", &short[..at]),
        _ => format!("{short} Ω"),
    }
}

/// `wire D2`.
pub fn wire_name(wire: &Wire) -> String {
    format!("wire {}", wire.name)
}

/// `D2 violet 0.5 mm²`.
pub fn wire_label(wire: &Wire, size_text: &str) -> String {
    format!("{} {} {size_text}", wire.name, wire.colour.text())
}

/// `terminal R1-1`; where both halves of a connector have one name, also which half.
pub fn terminal_name(part: &Part, terminal: u16) -> String {
    let name = format!("terminal {}", part.terminal_name(terminal));
    match &part.kind {
        PartKind::Connector(connector)
            if connector.second.as_ref().is_some_and(|s| s.name == connector.first.name) =>
        {
            match cavity_of_terminal(terminal).1 {
                HalfSide::First => format!("{name}, first half"),
                HalfSide::Second => format!("{name}, second half"),
            }
        }
        _ => name,
    }
}

/// One sentence about what lies under the pointer.
pub fn tip(project: &Project, hit: drawing::Hit) -> Option<String> {
    match hit {
        drawing::Hit::Terminal(terminal) => {
            let part = project.parts.get(terminal.part)?;
            let name = part.terminal_name(terminal.terminal);
            Some(match &part.kind {
                PartKind::Splice { .. } | PartKind::TestPoint | PartKind::Element(_) => {
                    format!("{name}: drag to draw a wire; click first, then drag, to move it")
                }
                PartKind::Supply(_)
                | PartKind::Ground
                | PartKind::Fuse(_)
                | PartKind::Resistor(_)
                | PartKind::Contact(_)
                | PartKind::Connector(_)
                | PartKind::Controller(_) => format!("{name}: drag to draw a wire"),
            })
        }
        drawing::Hit::Part(id) => {
            let moves = |c: &&Control| c.positions.iter().any(|p| p.throws.contains_key(&id));
            let control = project.controls.iter().map(|(_, control)| control).find(moves)?;
            let part = project.parts.get(id)?;
            Some(format!("{}: double-click to move {}", part.name, control.name))
        }
        drawing::Hit::Frame { .. } => None,
        drawing::Hit::Wire { wire, .. } => {
            let row = project.wires.get(wire)?;
            let ends = [row.from.terminal, row.to.terminal].map(|end| project.terminal_name(end));
            let label = wire_label(row, &row.size.text());
            let circuit =
                if row.circuit.is_empty() { String::new() } else { format!(", {}", row.circuit) };
            Some(format!("{label}: {} to {}{circuit}", ends[0], ends[1]))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, apply, parse_placing};

    #[test]
    fn names_say_kind_and_value_with_its_unit() {
        let mut project = Project::empty("test");
        for text in ["6k81", "470", "supply 12", "fuse 2", "button", "X 2x4", "splice"] {
            apply(&mut project, Edit::Place(parse_placing(text).unwrap())).unwrap();
        }
        let names: Vec<String> = project.parts.iter().map(|(_, part)| part_name(part)).collect();
        let want = [
            "R1 resistor 6.81 kΩ",
            "R2 resistor 470 Ω",
            "G1 supply 12 V",
            "F1 fuse 2 A",
            "S1 contact",
            "X1 connector",
            "SP1 splice",
        ];
        assert_eq!(names, want);
        let (_, part) = project.parts.iter().next().unwrap();
        assert_eq!(terminal_name(part, 1), "terminal R1-2");
        let (_, connector) = project.parts.iter().nth(5).unwrap();
        assert_eq!(terminal_name(connector, 2), "terminal X1-2, first half");
        assert_eq!(terminal_name(connector, 3), "terminal X1-2, second half");
    }
}
