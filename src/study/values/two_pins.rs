//! Two pins instead of one: which controls to move to the second, and what gaps both then have room for.

use std::collections::BTreeMap;

use crate::circuit::{Netlist, PinNetwork};
use crate::model::{Control, ControlId, Project, SensePinId, State};
use crate::sense::{asked, wire_data};
use crate::study::values::capacity::{capacity, count_up_to};
use crate::units::{format_percent, format_volt};

/// More controls than this are not shared out in every way.
const MAX_CONTROLS: usize = 12;

/// How the controls of a pin are shared out over two.
#[derive(Clone, Debug, PartialEq)]
pub struct TwoPins {
    /// Controls that stay.
    pub stay: Vec<ControlId>,
    /// Controls that go to the second pin.
    pub moved: Vec<ControlId>,
    /// Readings each pin must then tell apart, that of all controls at rest among them.
    pub n_readings: (usize, usize),
    /// Gap between neighbouring readings each pin has room for, in volts.
    pub gap_volt: (f64, f64),
    /// What the one pin has room for with all of its readings; `None` where they do not fit at all.
    pub gap_now_volt: Option<f64>,
    /// Readings the one pin has to tell apart now.
    pub n_now: usize,
}

/// The best way to share a pin's controls out over two pins alike: the one that leaves the least gap
/// largest, and of equals the one that moves fewest controls.
///
/// A reading is counted for every set of positions that asks for something of its own; what controls
/// of both pins ask for together is taken to be told by the two readings. `spread` is the tolerance
/// of the resistors with drift, as a fraction. `None` where pull or reference are not known, where a
/// control needs another, with fewer than two or more than twelve controls, or more states than are
/// weighed against each other.
pub fn two_pins(
    project: &Project,
    pin: SensePinId,
    spread: f64,
    keep_going: &dyn Fn() -> bool,
) -> Option<TwoPins> {
    let sense = project.sense_pins.get(pin)?;
    let netlist = Netlist::new(project, &wire_data(project));
    let network = PinNetwork::new(project, &netlist, sense)?;
    let controls: Vec<(ControlId, &Control)> =
        network.controls().filter_map(|id| Some((id, project.controls.get(id)?))).collect();
    let n = controls.len();
    if !(2..=MAX_CONTROLS).contains(&n) || controls.iter().any(|(_, c)| c.needs.is_some()) {
        return None;
    }
    let count = |part: usize| n_readings(project, sense, &controls, part);
    let whole = (1 << n) - 1;
    let n_now = count(whole)?;
    let mut known: BTreeMap<usize, Option<f64>> = BTreeMap::new();
    let mut gap = |n: usize| *known.entry(n).or_insert_with(|| room(project, pin, spread, n));
    let mut best: Option<(f64, usize, TwoPins)> = None;
    // The first control stays, so that no way is tried twice.
    for moved in (1..whole).filter(|moved| moved & 1 == 0) {
        if !keep_going() {
            return None;
        }
        let Some(n_readings) = count(whole & !moved).zip(count(moved)) else { continue };
        let Some(gap_volt) = gap(n_readings.0).zip(gap(n_readings.1)) else { continue };
        let least = gap_volt.0.min(gap_volt.1);
        let n_moved = moved.count_ones() as usize;
        let is_better = best.as_ref().is_none_or(|(known, fewest, _)| {
            least > known + 1e-6 || (least >= known - 1e-6 && n_moved < *fewest)
        });
        if is_better {
            let of = |part: usize| {
                let is_in = |(idx, _): &(usize, &(ControlId, &Control))| part >> idx & 1 == 1;
                controls.iter().enumerate().filter(is_in).map(|(_, (id, _))| *id).collect()
            };
            let two = TwoPins {
                stay: of(whole & !moved),
                moved: of(moved),
                n_readings,
                gap_volt,
                gap_now_volt: gap(n_now),
                n_now,
            };
            best = Some((least, n_moved, two));
        }
    }
    best.map(|(_, _, two)| two)
}

impl TwoPins {
    /// What to move and what it gives, in two sentences.
    pub fn words(&self, project: &Project) -> String {
        let names = |ids: &[ControlId]| {
            let named = ids.iter().filter_map(|id| project.controls.get(*id));
            named.map(|control| control.name.as_str()).collect::<Vec<_>>().join(", ")
        };
        let now = match self.gap_now_volt {
            Some(gap) => format!("at most {} between neighbours", format_volt(gap)),
            None => "no room for all of them".to_owned(),
        };
        format!(
            "{} on one pin leave {now}. With {} on a second pin like it, the first tells {} apart with room for {} between neighbours, the second {} with {}.",
            readings(self.n_now),
            names(&self.moved),
            readings(self.n_readings.0),
            format_volt(self.gap_volt.0),
            readings(self.n_readings.1),
            format_volt(self.gap_volt.1)
        )
    }
}

fn readings(n: usize) -> String {
    if n == 1 { "1 reading".to_owned() } else { format!("{n} readings") }
}

/// What a pin has room for.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Readings it tells apart with 20 mV and with 100 mV between them.
    pub n_readings: (usize, usize),
    /// What a second pin would give.
    pub two: Option<TwoPins>,
    /// Tolerance of the resistors it is reckoned for, without drift.
    pub tolerance: f64,
}

impl Room {
    /// Reckons it for resistors like the first of the project; `None` where pull or reference are
    /// not known or there is no resistor.
    pub fn of(project: &Project, pin: SensePinId, keep_going: &dyn Fn() -> bool) -> Option<Self> {
        let first = project.parts.iter().find_map(|(_, part)| part.kind.resistor())?;
        let drift = first.tempco_ppm_per_k * 1e-6 * project.settings.temperature_span_k;
        Self::with(project, pin, (first.tolerance, drift), keep_going)
    }

    /// The same for resistors of this tolerance and drift.
    pub fn with(
        project: &Project,
        pin: SensePinId,
        (tolerance, drift): (f64, f64),
        keep_going: &dyn Fn() -> bool,
    ) -> Option<Self> {
        let spread = tolerance + drift;
        let count = |gap| capacity(project, pin, spread, gap);
        let n_readings = (count(0.02)?, count(0.1)?);
        let two = two_pins(project, pin, spread, keep_going);
        Some(Self { n_readings, two, tolerance })
    }

    /// In a few sentences.
    pub fn words(&self, project: &Project) -> String {
        let (close, wide) = self.n_readings;
        let two = self.two.as_ref().map_or_else(
            || "More states than that need a second pin.".to_owned(),
            |two| two.words(project),
        );
        format!(
            "With {} parts this pin tells {close} readings apart with 20 mV between them, {wide} with 100 mV. {two}",
            format_percent(self.tolerance)
        )
    }
}

/// How many things are asked for, nothing among them, while only these controls move; where several
/// are asked for at once every one of them is right, so such a reading needs no place of its own.
fn n_readings(
    project: &Project,
    sense: &crate::model::SensePin,
    controls: &[(ControlId, &Control)],
    part: usize,
) -> Option<usize> {
    let mut states = vec![State::rest()];
    for (idx, (id, control)) in controls.iter().enumerate() {
        if part >> idx & 1 == 0 {
            continue;
        }
        let positions = 0..u8::try_from(control.positions.len()).unwrap_or(u8::MAX);
        states = states
            .iter()
            .flat_map(|state| {
                positions.clone().map(move |position| {
                    let mut state = state.clone();
                    state.0.insert(*id, position);
                    state
                })
            })
            .collect();
        if states.len() > super::MAX_STATES {
            return None;
        }
    }
    let mut all: Vec<Vec<String>> =
        states.iter().map(|state| asked(project, sense, state)).filter(|a| a.len() < 2).collect();
    all.sort();
    all.dedup();
    Some(all.len())
}

/// The greatest gap with which a pin has room for so many readings, in volts, to a tenth of a millivolt.
fn room(project: &Project, pin: SensePinId, spread: f64, n_readings: usize) -> Option<f64> {
    let fits = |gap: f64| Some(count_up_to(project, pin, (spread, gap), n_readings)? >= n_readings);
    if !fits(0.0)? {
        return None;
    }
    let (mut low, mut high) = (0.0, 100.0);
    while high - low > 1e-4 {
        let middle = f64::midpoint(low, high);
        if fits(middle)? { low = middle } else { high = middle }
    }
    Some(low)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    #[test]
    fn three_toggles_are_shared_out_as_two_and_one() {
        let project = samples::open("sprayer").unwrap();
        let pin = project.sense_pins.ids().next().unwrap();
        let two = two_pins(&project, pin, 0.016, &|| true).unwrap();
        // Eight states that all ask for something of their own; four and two of them on two pins.
        assert_eq!(two.n_now, 8);
        assert_eq!((two.stay.len(), two.moved.len(), two.n_readings), (2, 1, (4, 2)));
        let now = two.gap_now_volt.unwrap();
        assert!(two.gap_volt.0 > 1.5 * now && two.gap_volt.1 > two.gap_volt.0, "{two:?}");
        // The gap is the greatest with which the count still fits.
        for (n, gap) in [(8, now), (4, two.gap_volt.0), (2, two.gap_volt.1)] {
            assert!(capacity(&project, pin, 0.016, gap).unwrap() >= n);
            assert!(capacity(&project, pin, 0.016, gap + 2e-4).unwrap() < n);
        }
    }

    #[test]
    fn nothing_is_proposed_that_cannot_be_reckoned() {
        let project = samples::open("forwarder").unwrap();
        let pin = project.sense_pins.ids().next().unwrap();
        assert_eq!(two_pins(&project, pin, 0.01, &|| true), None, "its pull is not known");
    }
}
