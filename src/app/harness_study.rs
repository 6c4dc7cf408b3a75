//! Bundles, currents, drops and fuses of the harness, reckoned by a worker while stage Route is shown.
//!
//! Where a place is only moved on the drawing nothing of it changes, so the answer is kept by the
//! tables it depends on, not by the revision. An answer for other tables is never shown.

use std::sync::Arc;

use crate::app::studies::{Job, Kept};
use crate::model::{
    Control, ControlId, Part, PartId, Project, Run, RunId, SensePin, SensePinId, Settings, Table,
    Wire, WireId,
};
use crate::sense::{HarnessReport, Reader};

/// What the report depends on.
#[derive(Clone)]
struct Made {
    parts: Table<PartId, Part>,
    wires: Table<WireId, Wire>,
    runs: Table<RunId, Run>,
    controls: Table<ControlId, Control>,
    pins: Table<SensePinId, SensePin>,
    settings: Settings,
    n_places: usize,
}

impl Made {
    fn of(project: &Project) -> Self {
        Self {
            parts: project.parts.clone(),
            wires: project.wires.clone(),
            runs: project.runs.clone(),
            controls: project.controls.clone(),
            pins: project.sense_pins.clone(),
            settings: project.settings.clone(),
            n_places: project.places.len(),
        }
    }

    fn is_of(&self, project: &Project) -> bool {
        self.parts.is_same(&project.parts)
            && self.wires.is_same(&project.wires)
            && self.runs.is_same(&project.runs)
            && self.controls.is_same(&project.controls)
            && self.pins.is_same(&project.sense_pins)
            && self.n_places == project.places.len()
            && self.settings == project.settings
    }
}

/// The report of the harness, as current as it can be.
#[derive(Default)]
pub struct HarnessStudy {
    /// What was last asked for, and its number.
    asked: Option<(Made, u64)>,
    kept: Kept<Arc<HarnessReport>, u64>,
}

impl HarnessStudy {
    /// Takes an answer in and asks again where something changed. Returns whether a worker is busy.
    pub fn refresh(&mut self, project: &Project) -> bool {
        self.kept.take();
        let is_same = self.asked.as_ref().is_some_and(|(made, _)| made.is_of(project));
        if !is_same {
            let number = self.asked.as_ref().map_or(0, |(_, number)| number + 1);
            self.asked = Some((Made::of(project), number));
            let project = project.clone();
            let job = Job::start(move |_| {
                Some(Arc::new(HarnessReport::new(&project, &Reader::new(&project))))
            });
            self.kept.start(number, job);
        }
        self.kept.is_busy()
    }

    /// The report; `None` while it is being reckoned or nobody has asked.
    pub fn report(&self) -> Option<&Arc<HarnessReport>> {
        let (_, number) = self.asked.as_ref()?;
        self.kept.of(*number).flatten()
    }
}
