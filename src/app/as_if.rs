//! A fault shown as if it were there: what the pin reads and where the current goes.
//!
//! The fault is known by its title and sought again after every change of the drawing; where it is
//! no longer one, the window shows the sound circuit again.

use std::collections::BTreeSet;

use crate::app::studies::Key;
use crate::edit::Item;
use crate::model::{PartId, Project, State, Subject, WireId};
use crate::sense::Reader;
use crate::study::faults::{Survey, Symptom, reader_as_if};

/// What is shown of a fault while the controls stand as they do.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// What is wrong, in words.
    pub title: String,
    /// What the pin shows.
    pub symptom: Symptom,
    /// What it shows without the fault.
    pub sound: Symptom,
    /// The sum in words.
    pub working: Vec<String>,
    /// Parts the current passes.
    pub parts: BTreeSet<PartId>,
    /// Wires it passes.
    pub wires: BTreeSet<WireId>,
    /// What is faulty on the sheet.
    pub items: BTreeSet<Item>,
}

/// The fault that is shown as if it were there, if one is.
#[derive(Default)]
pub struct AsIf {
    title: Option<String>,
    reader: Option<(Key, String, Reader)>,
    shown: Option<(Key, State, Shown)>,
}

impl AsIf {
    /// Shows this fault, or the sound circuit.
    pub fn set(&mut self, title: Option<String>) {
        *self = Self { title, ..Self::default() };
    }

    /// Title of the fault that is asked for.
    pub fn title(&self) -> Option<&str> {
        self.title.as_deref()
    }

    /// Brings what is shown up to date with the faults of a pin and where the controls stand.
    pub fn refresh(&mut self, project: &Project, key: Key, survey: Option<&Survey>, bench: &State) {
        let Some(title) = &self.title else { return };
        if self.shown.as_ref().is_some_and(|(of, at, _)| *of == key && at == bench) {
            return;
        }
        self.shown = None;
        let Some(survey) = survey else { return };
        let Some(row) = survey.rows.iter().find(|row| row.fault.title == *title) else {
            self.set(None);
            return;
        };
        if self.reader.as_ref().is_none_or(|(of, known, _)| *of != key || known != title) {
            let reader = reader_as_if(project, key.1, &row.fault);
            self.reader = Some((key, title.clone(), reader));
        }
        let stands = |state: &State| project.stands(state, bench);
        let (Some(state), Some((_, _, reader))) =
            (survey.states.iter().position(stands), &self.reader)
        else {
            return;
        };
        let (parts, wires) = reader.live(key.1, bench);
        let shown = Shown {
            title: title.clone(),
            symptom: row.symptoms[state],
            sound: survey.sound[state],
            working: reader.working(key.1, bench),
            parts,
            wires,
            items: row.fault.subjects.iter().filter_map(|s| item_of(project, *s)).collect(),
        };
        self.shown = Some((key, bench.clone(), shown));
    }

    /// What is shown; `None` while it is sought, and where the circuit is shown as drawn.
    pub fn shown(&self) -> Option<&Shown> {
        self.shown.as_ref().map(|(_, _, shown)| shown)
    }
}

/// What stands for a subject on the sheet.
pub fn item_of(project: &Project, subject: Subject) -> Option<Item> {
    match subject {
        Subject::Part(id) => Some(Item::Part(id)),
        Subject::Wire(id) => Some(Item::Wire(id)),
        Subject::Frame(id) => Some(Item::Frame(id)),
        Subject::SensePin(id) => {
            project.sense_pins.get(id).map(|pin| Item::Part(pin.terminal.part))
        }
        Subject::Project | Subject::Control(_) | Subject::Place(_) | Subject::Run(_) => None,
    }
}
