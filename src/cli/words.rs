//! Words and numbers the text commands share.

use crate::model::{Project, Scale, Severity, Subject};
use crate::units::{format_ohm, trim_zeros};

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

/// A number of a scale with its unit: `1.027 kΩ`, `0.053 V`, `12 counts`, `3.2 %`.
pub fn scaled(scale: Scale, value: f64) -> String {
    match scale {
        Scale::Ohm if value < 0.0 => format!("-{}", format_ohm(-value)),
        Scale::Ohm => format_ohm(value),
        Scale::Volt => format!("{value:.3} V"),
        Scale::Count | Scale::Percent => {
            format!("{} {}", trim_zeros(&format!("{value:.1}")), scale.unit())
        }
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

/// `3 errors`, `1 error`.
pub fn counted(n: usize, noun: &str) -> String {
    format!("{n} {noun}{}", if n == 1 { "" } else { "s" })
}

/// Records as RFC 4180 text: CRLF line ends, quotes where needed.
pub fn csv_records(records: &[Vec<String>]) -> String {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for record in records {
        writer.write_record(record).expect("all records have the same fields, memory takes them");
    }
    let bytes = writer.into_inner().expect("memory takes what is flushed");
    String::from_utf8(bytes).expect("only text was written")
}
