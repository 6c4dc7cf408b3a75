//! Everything about the harness of one revision that needs the circuit too: what each run holds,
//! what each wire carries and may carry, what is lost on the way, which fuse fits.

use std::collections::BTreeMap;

use crate::harness::{
    self, Current, Feed, FuseAdvice, LengthResult, RunReport, WireReport, feeds, fuse_advice,
    run_loading, run_reports, wire_currents, wire_reports,
};
use crate::model::{Project, RunId, WireId};
use crate::sense::reader::Reader;

/// The harness of one revision.
#[derive(Clone, Debug, PartialEq)]
pub struct HarnessReport {
    /// Way and cut length of every harness wire, or why they are not known.
    pub lengths: BTreeMap<WireId, LengthResult>,
    /// Current of every wire where it is known.
    pub currents: BTreeMap<WireId, Current>,
    /// What each run holds.
    pub runs: BTreeMap<RunId, RunReport>,
    /// What each harness wire's size means.
    pub wires: BTreeMap<WireId, WireReport>,
    /// Share of what all its wires together may carry that a run carries, where that is known.
    pub loading: BTreeMap<RunId, f64>,
    /// Ways to what is fed, and the fuse for each.
    pub feeds: Vec<(Feed, FuseAdvice)>,
}

impl HarnessReport {
    /// Reckons everything. `reader` is of the same project.
    pub fn new(project: &Project, reader: &Reader) -> Self {
        Self::with_currents(project, &reader.wire_currents())
    }

    /// The same with the currents the circuit tells given; empty where nobody asks the circuit.
    pub fn with_currents(project: &Project, circuit: &BTreeMap<WireId, f64>) -> Self {
        let lengths = harness::wire_lengths(project);
        let currents = wire_currents(project, circuit);
        let wires = wire_reports(project, &lengths, &currents);
        let feeds = feeds(project, &wires)
            .into_iter()
            .map(|feed| {
                let advice = fuse_advice(project, &feed, &wires);
                (feed, advice)
            })
            .collect();
        let loading = run_loading(&lengths, &wires);
        Self { runs: run_reports(project, &lengths), lengths, currents, wires, loading, feeds }
    }
}
