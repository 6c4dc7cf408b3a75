//! What a reader finds wrong with the circuit: degenerate networks, by name and place.

use std::collections::BTreeSet;

use crate::circuit::{MAX_STATES, PinNetwork};
use crate::model::{Diagnostic, PartId, PartKind, SensePin, SensePinId, Severity, State, Subject};
use crate::sense::convert::Measure;
use crate::sense::powered::{DRAWS, Live};
use crate::sense::reader::Reader;
use crate::sense::row::StateRow;

impl Reader {
    /// Supplies shorted at rest or once any one control has moved, each finding once.
    pub(super) fn supply_findings_of_all_states(&self) -> Vec<Diagnostic> {
        if !self.can_short {
            return Vec::new();
        }
        let mut states = vec![State::rest()];
        for (id, control) in self.project.controls.iter() {
            for position in 0..u8::try_from(control.positions.len()).unwrap_or(u8::MAX) {
                let mut state = State::rest();
                if let Some(need) = control.needs {
                    state.0.insert(need.control, need.position);
                }
                state.0.insert(id, position);
                states.push(state);
            }
        }
        let mut all: BTreeSet<Diagnostic> =
            states.iter().flat_map(|state| self.findings_in(state)).collect();
        for network in self.networks.values().filter(|network| network.state_bound() <= 4096) {
            let states = network.all_positions();
            all.extend(
                states.iter().flat_map(|positions| self.findings_in(&network.state(positions))),
            );
        }
        all.into_iter().collect()
    }

    /// What is odd about one pin's network.
    pub(super) fn pin_findings(
        &self,
        id: SensePinId,
        sense: &SensePin,
        network: &PinNetwork,
        measure: &Measure,
    ) -> Vec<Diagnostic> {
        let subject = Subject::SensePin(id);
        let (pin, reference) = (
            self.project.terminal_name(sense.terminal),
            self.project.terminal_name(sense.reference),
        );
        let mut findings = Vec::new();
        let mut find = |severity, subject, what: String, cure: String| {
            findings.push(Diagnostic { severity, subject, what, cure });
        };
        if !network.has_path {
            find(
                Severity::Error,
                subject,
                format!("open: nothing leads from {pin} to its reference {reference}, whatever the controls do"),
                "draw the missing wire, or choose the terminal the network really goes to as reference".into(),
            );
        }
        if network.pin == network.reference {
            let what = format!("{pin} is its own reference");
            find(
                Severity::Error,
                subject,
                what,
                "choose the network's other end as reference".into(),
            );
        }
        for other in &network.mixed {
            let at = self.netlist.node_name(&self.project, other.node);
            find(
                Severity::Warning,
                subject,
                format!(
                    "the network of {pin} also touches {at}, which is not its reference {reference}: its volts come from the node equations and their bounds are not exact"
                ),
                format!("part the network from {at} if that is not meant"),
            );
        }
        self.active_findings(id, sense, &pin, &mut find);
        if network.state_bound() > MAX_STATES {
            find(
                Severity::Warning,
                subject,
                format!(
                    "the controls of {pin} have more than {MAX_STATES} states, so they are not listed"
                ),
                "read single states, or split the network over more pins".into(),
            );
        }
        if let Some(missing) = measure.missing() {
            find(
                Severity::Note,
                subject,
                format!(
                    "{missing} is not known, so the reading of {pin} cannot be compared with its bands"
                ),
                format!("enter {missing}, or give the bands in ohms"),
            );
        }
        self.dangling_findings(network, &pin, &mut find);
        findings.extend(self.findings().iter().filter(|f| f.severity == Severity::Error).cloned());
        findings
    }

    /// States in which diodes, relays or loads leave no reading.
    pub(super) fn unread_finding(&self, id: SensePinId, rows: &[StateRow]) -> Option<Diagnostic> {
        let unread: Vec<&StateRow> = rows.iter().filter(|row| row.volt.is_none()).collect();
        let first = unread.first()?;
        let stands: Vec<String> = first
            .state
            .0
            .iter()
            .filter_map(|(id, position)| {
                let control = self.project.controls.get(*id)?;
                let position = control.positions.get(usize::from(*position))?;
                Some(format!("{} {}", control.name, position.name))
            })
            .collect();
        Some(Diagnostic {
            severity: Severity::Error,
            subject: Subject::SensePin(id),
            what: format!(
                "{} of {} states have no reading, the first at {}: {}",
                unread.len(),
                rows.len(),
                stands.join(", "),
                first.why
            ),
            cure: "let no relay switch what feeds its own coil, and give every net one way to a supply or ground".into(),
        })
    }

    /// How a pin is reckoned that diodes, relays or loads decide.
    fn active_findings(
        &self,
        id: SensePinId,
        sense: &SensePin,
        pin: &str,
        find: &mut impl FnMut(Severity, Subject, String, String),
    ) {
        let Some(live) = Live::of_pin(&self.project, &self.netlist, sense) else {
            return;
        };
        let names = live.names();
        let decide = if live.parts().count() == 1 { "decides" } else { "decide" };
        find(
            Severity::Note,
            Subject::SensePin(id),
            format!(
                "{names} {decide} what {pin} reads, so its bounds come from 16 corners and {DRAWS} draws of extremes: a slightly worse case may exist"
            ),
            "leave more margin here than elsewhere, and prove it on the bench".into(),
        );
    }

    /// Resistors and contacts that hang on the network and can never carry its current.
    fn dangling_findings(
        &self,
        network: &PinNetwork,
        pin: &str,
        find: &mut impl FnMut(Severity, Subject, String, String),
    ) {
        let dangling: BTreeSet<PartId> = network
            .dangling
            .iter()
            .filter_map(|edge| self.netlist.graph[*edge].source.part())
            .collect();
        for part in dangling {
            let Some(row) = self.project.parts.get(part) else { continue };
            if matches!(row.kind, PartKind::Resistor(_) | PartKind::Contact(_)) {
                find(
                    Severity::Note,
                    Subject::Part(part),
                    format!(
                        "{} hangs on the network of {pin} but can never carry its current",
                        row.name
                    ),
                    "wire its free end, or leave it if it serves something else".into(),
                );
            }
        }
    }
}
