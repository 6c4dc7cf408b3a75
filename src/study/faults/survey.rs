//! All faults of one pin, what each shows, and which of them look alike.

use std::cmp::Reverse;

use crate::model::{Harm, Project, SensePinId, State};
use crate::study::faults::base::{Base, Effect, Symptom};
use crate::study::faults::parting::{Parting, parting};
use crate::study::faults::twins::groups;
use crate::study::faults::{Fault, drift, elements, mirror, opens, pin, shorts, stuck, swaps};

/// One fault and what comes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultRow {
    /// The fault.
    pub fault: Fault,
    /// What the pin shows, one for each state of the survey.
    pub symptoms: Vec<Symptom>,
    /// The worst of them.
    pub worst: Effect,
    /// The state in which it is worst, by index.
    pub worst_state: usize,
    /// How bad that is, by the marks of the bands.
    pub harm: Harm,
    /// Whether the pin gets more volts than it stands in some state.
    pub is_over_limit: bool,
}

/// Every fault of one pin against every state.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// The pin.
    pub pin: SensePinId,
    /// The states.
    pub states: Vec<State>,
    /// What the sound circuit shows in each.
    pub sound: Vec<Symptom>,
    /// All faults, the most harmful first.
    pub rows: Vec<FaultRow>,
    /// Groups of faults that look alike, by index of row.
    pub twins: Vec<Vec<usize>>,
}

/// Puts one pin through every fault.
///
/// `None` where the pin reads nothing, has more than [`super::MAX_STATES`] states, or
/// `keep_going` said no. Readings are usual values; ohms are exact for the changed network, volts
/// hold where the pull is known. Cost: one reduction a fault, and one walk over the states for each
/// circuit that faults leave, however many leave the same.
pub fn survey(
    project: &Project,
    pin_id: SensePinId,
    keep_going: &dyn Fn() -> bool,
) -> Option<Survey> {
    let base = Base::new(project, pin_id)?;
    let kinds = [
        opens::list,
        shorts::list,
        stuck::list,
        drift::list,
        mirror::list,
        swaps::list,
        pin::list,
        elements::list,
    ];
    let mut rows = Vec::new();
    for list in kinds {
        for fault in list(&base) {
            if !keep_going() {
                return None;
            }
            if let Some(symptoms) = base.symptoms(&fault) {
                rows.push(row(&base, fault, symptoms));
            }
        }
    }
    rows.sort_by(|a, b| {
        (b.harm, b.worst, &a.fault.kind, &a.fault.title).cmp(&(
            a.harm,
            a.worst,
            &b.fault.kind,
            &b.fault.title,
        ))
    });
    let twins = groups(&rows, &project.settings.meter);
    Some(Survey { pin: pin_id, states: base.states, sound: base.sound, rows, twins })
}

impl Survey {
    /// The group of look-alikes a row belongs to, itself left out.
    pub fn twins_of(&self, row: usize) -> Vec<usize> {
        let group = self.twins.iter().find(|group| group.contains(&row));
        group.into_iter().flatten().copied().filter(|other| *other != row).collect()
    }

    /// The measurement that tells two rows apart.
    pub fn parting(&self, project: &Project, one: usize, other: usize) -> Option<Parting> {
        let base = Base::new(project, self.pin)?;
        parting(&base, &self.rows[one].fault, &self.rows[other].fault)
    }
}

fn row(base: &Base<'_>, fault: Fault, symptoms: Vec<Symptom>) -> FaultRow {
    // Of equals the state with the fewest controls moved is named, and of those the first.
    let rated = symptoms.iter().enumerate().map(|(idx, symptom)| {
        let effect = symptom.effect.unwrap_or(Effect::Silent);
        (harm(base, symptom, effect), effect, Reverse((base.n_off_rest[idx], idx)))
    });
    let (harm, worst, Reverse((_, worst_state))) =
        rated.max().unwrap_or((Harm::Harmless, Effect::Silent, Reverse((0, 0))));
    let is_over_limit = symptoms.iter().any(|symptom| symptom.is_over_limit);
    let harm = if is_over_limit { harm.max(Harm::Nuisance) } else { harm };
    FaultRow { fault, symptoms, worst, worst_state, harm, is_over_limit }
}

fn harm(base: &Base<'_>, symptom: &Symptom, effect: Effect) -> Harm {
    match (effect, symptom.band) {
        (Effect::WrongAction, Some(band)) => base.sense.bands[band].harm,
        (Effect::WrongAction, None) | (Effect::Detected | Effect::Dead, _) => Harm::Nuisance,
        (Effect::Silent, _) => Harm::Harmless,
    }
}
