//! What each wire's size means: resistance where it lies, drop, and how much it may carry.

use std::collections::BTreeMap;

use crate::harness::ampacity::{Ampacity, Surroundings, ampacity};
use crate::harness::current::Current;
use crate::harness::length::LengthResult;
use crate::harness::outside::{NoOutside, Outside, outside_of};
use crate::harness::wire_data::{COPPER_PER_K, OhmPerMetre, ohm_per_metre_of};
use crate::model::{Project, RunId, WireId, Zone};

/// What is known of one wire. Harness wires only.
#[derive(Clone, Debug, PartialEq)]
pub struct WireReport {
    /// Resistance by length at 20 °C, with its source.
    pub ohm_per_m: OhmPerMetre,
    /// Outside diameter, or why it is not known.
    pub outside: Result<Outside, NoOutside>,
    /// Length that counts, the cut length, in millimetres.
    pub length_mm: Option<f64>,
    /// What surrounds it where it has it worst.
    pub around: Surroundings,
    /// Temperature the resistance is for, in degrees Celsius: 20 where none is typed.
    pub celsius: f64,
    /// Resistance at that temperature, in ohms.
    pub ohm: Option<f64>,
    /// Greatest current, where it is known.
    pub current: Option<Current>,
    /// Drop along this wire alone, in volts.
    pub drop_volt: Option<f64>,
    /// Current it may carry, or why that is not known.
    pub ampacity: Result<Ampacity, String>,
}

impl WireReport {
    /// Whether it carries more than it may; `None` where that is not known.
    pub fn is_overloaded(&self) -> Option<bool> {
        Some(self.current?.amp > self.ampacity.as_ref().ok()?.amp)
    }
}

/// Ohms at a temperature, from those at 20 °C: copper gains 0.393 % of them per kelvin (IEC 60028).
///
/// ```
/// use ohmloom::harness::ohm_at;
/// assert!((ohm_at(1.0, 70.0) - 1.1965).abs() < 1e-12);
/// ```
pub fn ohm_at(ohm_at_20: f64, celsius: f64) -> f64 {
    (ohm_at_20 * (1.0 + COPPER_PER_K * (celsius - 20.0))).max(0.0)
}

/// Every harness wire.
pub fn wire_reports(
    project: &Project,
    lengths: &BTreeMap<WireId, LengthResult>,
    currents: &BTreeMap<WireId, Current>,
) -> BTreeMap<WireId, WireReport> {
    let mut n_inside: BTreeMap<RunId, usize> = BTreeMap::new();
    for run in lengths.values().flatten().flat_map(|length| &length.runs) {
        *n_inside.entry(*run).or_default() += 1;
    }
    lengths
        .iter()
        .filter_map(|(id, length)| {
            let wire = project.wires.get(*id)?;
            let runs = length.as_ref().map_or(&[][..], |length| length.runs.as_slice());
            let around = surroundings(project, runs, &n_inside);
            let celsius = around.celsius.unwrap_or(20.0);
            let ohm_per_m = ohm_per_metre_of(project, wire);
            let length_mm = length.as_ref().ok().map(|length| length.cut_mm);
            let ohm = length_mm.map(|mm| ohm_at(ohm_per_m.ohm_per_m * mm / 1e3, celsius));
            let current = currents.get(id).copied();
            let report = WireReport {
                ohm_per_m,
                outside: outside_of(project, wire),
                length_mm,
                around,
                celsius,
                ohm,
                current,
                drop_volt: ohm.zip(current).map(|(ohm, current)| ohm * current.amp),
                ampacity: ampacity(project, wire, around),
            };
            Some((*id, report))
        })
        .collect()
}

/// Greatest share of what all wires of a run together may carry that FAA AC 43.13-1B Table 11-9
/// holds for. Read.
pub const AIRCRAFT_LOADED_TO: f64 = 0.2;

/// Share of what all its wires together may carry that each run carries, as far as currents are
/// known; runs with a wire whose ampacity is not known are left out.
pub fn run_loading(
    lengths: &BTreeMap<WireId, LengthResult>,
    wires: &BTreeMap<WireId, WireReport>,
) -> BTreeMap<RunId, f64> {
    let mut sums: BTreeMap<RunId, (f64, Option<f64>)> = BTreeMap::new();
    for (id, length) in lengths {
        let (Ok(length), Some(report)) = (length, wires.get(id)) else { continue };
        let may = report.ampacity.as_ref().ok().map(|ampacity| ampacity.amp);
        for run in &length.runs {
            let (carried, all) = sums.entry(*run).or_insert((0.0, Some(0.0)));
            *carried += report.current.map_or(0.0, |current| current.amp);
            *all = all.zip(may).map(|(all, may)| all + may);
        }
    }
    let share = |(run, (carried, all)): (RunId, (f64, Option<f64>))| {
        all.filter(|all| *all > 0.0).map(|all| (run, carried / all))
    };
    sums.into_iter().filter_map(share).collect()
}

/// The hottest and the fullest run on the way.
fn surroundings(
    project: &Project,
    runs: &[RunId],
    n_inside: &BTreeMap<RunId, usize>,
) -> Surroundings {
    let wiring = &project.settings.wiring;
    let is_hot = runs
        .iter()
        .filter_map(|run| project.runs.get(*run))
        .any(|run| run.laid.zones.contains(&Zone::Hot));
    let celsius = match (is_hot, wiring.hot_c, wiring.ambient_c) {
        (true, Some(hot), Some(ambient)) => Some(hot.max(ambient)),
        // What it is around the harness says nothing of a hot zone.
        (true, hot, _) => hot,
        (false, _, ambient) => ambient,
    };
    let n_wires = runs.iter().filter_map(|run| n_inside.get(run)).copied().max().unwrap_or(1);
    Surroundings { celsius, is_hot, n_wires }
}
