//! Words and numbers the text commands share.

use crate::model::{Project, Severity, Subject};
use crate::units::trim_zeros;

/// `error`, `warning` or `note`.
pub fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}

/// What a finding is about: `part R1`, `wire D2`, `sense pin X1-11`.
pub fn subject_words(project: &Project, subject: Subject) -> String {
    let named = |noun: &str, name: Option<String>| {
        name.map_or_else(|| noun.to_owned(), |name| format!("{noun} {name}"))
    };
    match subject {
        Subject::Project => "project".into(),
        Subject::Part(id) => match project.parts.get(id) {
            Some(part) => format!("{} {}", part.kind.noun(), part.name),
            None => "part".into(),
        },
        Subject::Wire(id) => named("wire", project.wires.get(id).map(|row| row.name.clone())),
        Subject::Frame(id) => named("frame", project.frames.get(id).map(|row| row.name.clone())),
        Subject::Control(id) => {
            named("control", project.controls.get(id).map(|row| row.name.clone()))
        }
        Subject::SensePin(id) => named(
            "sense pin",
            project.sense_pins.get(id).map(|pin| project.terminal_name(pin.terminal)),
        ),
        Subject::Place(id) => named("place", project.places.get(id).map(|row| row.name.clone())),
        Subject::Run(id) => named("run", project.runs.get(id).map(|row| row.name.clone())),
    }
}

/// Names of what there is, each once, not too many of them: `R1, R2, R3 and 12 more`.
pub fn listed<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    const MOST: usize = 10;
    let mut unique: Vec<&str> = Vec::new();
    for name in names {
        if !unique.contains(&name) {
            unique.push(name);
        }
    }
    match unique.len().checked_sub(MOST).filter(|more| *more > 0) {
        Some(more) => format!("{} and {more} more", unique[..MOST].join(", ")),
        None => unique.join(", "),
    }
}

/// Millimetres without needless zeros; empty where unknown.
pub fn millimetres(length_mm: Option<f64>) -> String {
    length_mm.map_or_else(String::new, |mm| trim_zeros(&format!("{mm:.3}")))
}

/// A number to nine figures, which hides what differs in the last bits of a sum.
pub fn nine_figures(value: f64) -> f64 {
    format!("{value:.8e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_names_are_listed_each_once() {
        assert_eq!(listed(["X1", "X2", "X2", "X3"]), "X1, X2, X3");
        let many: Vec<String> = (1..=13).map(|n| format!("R{n}")).collect();
        let words = listed(many.iter().map(String::as_str));
        assert!(words.ends_with("R9, R10 and 3 more"), "{words}");
    }
}
