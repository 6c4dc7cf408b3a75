//! Collects the findings of all checks, worst first.

use crate::check::{
    bands, controls, decades, feeding, laying, lengths, names, plugs, resistors, states, supplies,
    wiring,
};
use crate::harness::wire_lengths;
use crate::model::{Diagnostic, Project, Severity, Subject};
use crate::sense::{PinTable, Reader};

/// Every finding about a project: worst first, then by what it is about. Each stands once.
///
/// Prepares the circuit and walks all states; where these are at hand, [`findings_from`] saves
/// that.
pub fn findings(project: &Project) -> Vec<Diagnostic> {
    let reader = Reader::new(project);
    let tables: Vec<PinTable> =
        project.sense_pins.ids().filter_map(|pin| reader.table(pin)).collect();
    findings_from(project, &reader, &tables.iter().collect::<Vec<_>>())
}

/// The same, from a prepared circuit and the tables of all its pins.
pub fn findings_from(project: &Project, reader: &Reader, tables: &[&PinTable]) -> Vec<Diagnostic> {
    let mut found = Found::default();
    names::check(project, &mut found);
    wiring::check(project, &mut found);
    plugs::check(project, &mut found);
    controls::check(project, &mut found);
    bands::check(project, tables, &mut found);
    states::check(project, tables, &mut found);
    supplies::check(project, &mut found);
    harness(project, &mut found);
    decades::check(project, &mut found);
    found.0.extend(reader.findings().iter().cloned());
    found.0.extend(tables.iter().flat_map(|table| &table.findings).cloned());
    found.0.sort();
    found.0.dedup();
    found.0
}

/// Findings about the harness alone: ways, runs, splices, feeds. Asks nothing of the circuit.
pub fn harness_findings(project: &Project) -> Vec<Diagnostic> {
    let mut found = Found::default();
    harness(project, &mut found);
    found.0.sort();
    found.0.dedup();
    found.0
}

fn harness(project: &Project, found: &mut Found) {
    let ways = wire_lengths(project);
    laying::check(project, &ways, found);
    resistors::check(project, found);
    feeding::check(project, &ways, found);
    lengths::check(project, ways, found);
}

/// Findings so far.
#[derive(Default)]
pub(super) struct Found(Vec<Diagnostic>);

impl Found {
    /// The result cannot be trusted or computed.
    pub fn error(&mut self, subject: Subject, what: String, cure: impl Into<String>) {
        self.put(Severity::Error, subject, what, cure.into());
    }

    /// It works, but not over the whole range or not for long.
    pub fn warning(&mut self, subject: Subject, what: String, cure: impl Into<String>) {
        self.put(Severity::Warning, subject, what, cure.into());
    }

    /// Worth knowing.
    pub fn note(&mut self, subject: Subject, what: String, cure: impl Into<String>) {
        self.put(Severity::Note, subject, what, cure.into());
    }

    /// A finding made elsewhere.
    pub fn push(&mut self, finding: Diagnostic) {
        self.0.push(finding);
    }

    fn put(&mut self, severity: Severity, subject: Subject, what: String, cure: String) {
        self.0.push(Diagnostic { severity, subject, what, cure });
    }
}
