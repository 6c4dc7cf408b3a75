//! Which runs every wire takes, and which wires lie in every run: reckoned with the other results.

use std::collections::BTreeMap;

use crate::harness::{LengthResult, wire_lengths};
use crate::model::{Project, RunId, WireId};

/// The routes of one revision.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Routes {
    /// Length and runs of every harness wire, or why they are not known.
    pub lengths: BTreeMap<WireId, LengthResult>,
    /// Wires in each run that has any, by identity.
    pub wires_in: BTreeMap<RunId, Vec<WireId>>,
}

impl Routes {
    /// Routes all harness wires.
    pub fn of(project: &Project) -> Self {
        let lengths = wire_lengths(project);
        let mut wires_in: BTreeMap<RunId, Vec<WireId>> = BTreeMap::new();
        for (wire, length) in &lengths {
            for run in length.iter().flat_map(|length| &length.runs) {
                let wires = wires_in.entry(*run).or_default();
                // A wire that comes back through a run lies in it twice, but is listed once.
                if wires.last() != Some(wire) {
                    wires.push(*wire);
                }
            }
        }
        Self { lengths, wires_in }
    }

    /// Runs a wire takes, in order; none where it has no way.
    pub fn runs_of(&self, wire: WireId) -> &[RunId] {
        match self.lengths.get(&wire) {
            Some(Ok(length)) => &length.runs,
            Some(Err(_)) | None => &[],
        }
    }

    /// Wires in a run.
    pub fn wires_in(&self, run: RunId) -> &[WireId] {
        self.wires_in.get(&run).map_or(&[], Vec::as_slice)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    #[test]
    fn every_wire_is_in_the_runs_it_takes_and_in_no_other() {
        for sample in samples::LIST {
            let project = samples::open(sample.name).unwrap();
            let routes = Routes::of(&project);
            assert!(!routes.wires_in.is_empty(), "{}", sample.name);
            for (wire, _) in project.wires.iter() {
                for run in project.runs.ids() {
                    let takes = routes.runs_of(wire).contains(&run);
                    assert_eq!(routes.wires_in(run).contains(&wire), takes, "{}", sample.name);
                }
            }
        }
    }
}
