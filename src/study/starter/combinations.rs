//! What can be pressed together, and what that reads where resistances stand side by side.

use crate::model::{BandRole, SensePin};
use crate::sense::{Measure, decode};
use crate::study::starter::{Device, Join, Rung, Wanted};

/// A control as it will be: what it is, where, and the actions of its positions off rest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannedControl {
    /// Button, lever or toggle.
    pub device: Device,
    /// Index of its station.
    pub station: usize,
    /// Actions it asks for, one a position; a lever has one or two.
    pub actions: Vec<usize>,
}

impl PlannedControl {
    /// Its positions, rest counted.
    pub fn n_positions(&self) -> usize {
        self.actions.len() + 1
    }
}

/// All controls, station by station; levers of one station take two actions each, in order.
pub fn controls(wanted: &Wanted) -> Vec<PlannedControl> {
    let mut list: Vec<PlannedControl> = Vec::new();
    for station in 0..wanted.stations.len() {
        let first = list.len();
        for (idx, action) in wanted.actions.iter().enumerate() {
            let Some(device) = action.devices.get(station).copied().flatten() else { continue };
            let open_lever = list[first..]
                .iter()
                .position(|control| control.device == Device::Lever && control.actions.len() == 1);
            match (device, open_lever) {
                (Device::Lever, Some(at)) => list[first + at].actions.push(idx),
                (Device::Button | Device::Lever | Device::Toggle, _) => {
                    list.push(PlannedControl { device, station, actions: vec![idx] });
                }
            }
        }
    }
    list
}

/// More sentences than this are not needed to see that it does not work.
const MOST_SENTENCES: usize = 4;

/// Actions asked for together that read as one nobody asked for, in words.
///
/// In a chain the nearest wins, so there are none.
pub fn clashes(wanted: &Wanted, pin: &SensePin, measure: &Measure, rungs: &[Rung]) -> Vec<String> {
    if wanted.join == Join::Chain {
        return Vec::new();
    }
    let asked: Vec<(usize, f64)> =
        rungs.iter().filter_map(|rung| Some((rung.action?, 1.0 / rung.resistor_ohm?))).collect();
    let end = rungs
        .iter()
        .find(|rung| rung.action.is_none())
        .and_then(|rung| rung.resistor_ohm)
        .map_or(0.0, |ohm| 1.0 / ohm);
    let mut found: Vec<String> = Vec::new();
    let mut more = 0;
    for set in 0..1u32 << asked.len() {
        let mine: Vec<(usize, f64)> =
            (0..asked.len()).filter(|bit| set >> bit & 1 == 1).map(|bit| asked[bit]).collect();
        if mine.len() < 2 || !is_possible(wanted, &mine) {
            continue;
        }
        let ohm = 1.0 / (end + mine.iter().map(|(_, siemens)| siemens).sum::<f64>());
        let Some(scaled) = measure.scaled(ohm, measure.nominal_volt(ohm)) else { continue };
        let names: Vec<String> =
            mine.iter().map(|(action, _)| wanted.actions[*action].name.clone()).collect();
        let Some(band) = decode(pin, scaled, &names).map(|idx| &pin.bands[idx]) else { continue };
        if names.contains(&band.name) {
            continue;
        }
        if found.len() < MOST_SENTENCES {
            let what = match band.role {
                BandRole::Action => "which nobody asked for",
                BandRole::Idle | BandRole::Open | BandRole::Short => "which is neither",
            };
            found.push(format!("{} together read as {}, {what}", names.join(" and "), band.name));
        } else {
            more += 1;
        }
    }
    if more > 0 {
        found.push(format!("{more} more combinations read as what nobody asked for"));
    }
    found
}

/// Whether hands can ask for all of these at once: not by the two sides of one lever alone.
fn is_possible(wanted: &Wanted, actions: &[(usize, f64)]) -> bool {
    let all = controls(wanted);
    let asking = |action: usize| -> Vec<usize> {
        (0..all.len()).filter(|idx| all[*idx].actions.contains(&action)).collect()
    };
    actions.iter().enumerate().all(|(n, (one, _))| {
        actions[..n].iter().all(|(other, _)| {
            let (mine, theirs) = (asking(*one), asking(*other));
            mine.len() > 1 || theirs.len() > 1 || mine != theirs
        })
    })
}
