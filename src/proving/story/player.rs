//! What is done at the machine, turned into what the machine notices.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use crate::model::{Control, ControlId, Deed, Project, SensePinId, State, StoryEvent};
use crate::proving::story::infer::Inference;
use crate::proving::story::walk::{Happening, Stuck, Walk};
use crate::sense::Reader;

/// The drawing, asked what its pins read as.
pub struct Machine<'a> {
    /// The project.
    pub project: &'a Project,
    reader: &'a Reader,
    /// Pins the story names; others need not be read.
    pins: BTreeSet<SensePinId>,
    known: RefCell<BTreeMap<State, BTreeMap<SensePinId, String>>>,
}

impl<'a> Machine<'a> {
    /// The machine of a project.
    pub fn new(project: &'a Project, reader: &'a Reader) -> Self {
        let pins = project.story.links.iter().filter_map(|(_, link)| match &link.event {
            StoryEvent::Reads { pin, .. } => Some(*pin),
            StoryEvent::Stands { .. } | StoryEvent::TimePasses => None,
        });
        Self { project, reader, pins: pins.collect(), known: RefCell::default() }
    }

    /// What each pin of the story reads as; pins in a guard are left out.
    fn reads(&self, state: &State) -> BTreeMap<SensePinId, String> {
        if let Some(known) = self.known.borrow().get(state) {
            return known.clone();
        }
        let read = |pin: &SensePinId| {
            let band = self.reader.row(*pin, state)?.band?;
            let band = self.project.sense_pins.get(*pin)?.bands.get(band)?;
            Some((*pin, band.name.clone()))
        };
        let reads: BTreeMap<_, _> = self.pins.iter().filter_map(read).collect();
        self.known.borrow_mut().insert(state.clone(), reads.clone());
        reads
    }

    fn control(&self, id: ControlId) -> Option<&Control> {
        self.project.controls.get(id)
    }
}

/// A walk with hands on the controls.
#[derive(Clone, Debug, PartialEq)]
pub struct Player {
    /// The stories that may be right.
    pub walk: Walk,
    /// Where the controls stand.
    pub state: State,
    reads: BTreeMap<SensePinId, String>,
}

impl Player {
    /// The machine is switched on with its controls as they stand.
    ///
    /// # Errors
    /// The story cannot be walked.
    pub fn switched_on(machine: &Machine<'_>, state: &State) -> Result<Self, Stuck> {
        let walk = Walk::begin(&machine.project.story)?;
        let mut player = Self { walk, state: state.clone(), reads: BTreeMap::new() };
        player.report_all(machine)?;
        Ok(player)
    }

    /// The same with the stories that what was seen has left.
    ///
    /// # Errors
    /// The story cannot be walked.
    pub fn with_left(
        machine: &Machine<'_>,
        told: &Inference,
        state: &State,
    ) -> Result<Self, Stuck> {
        let mut walk = Walk::begin(&machine.project.story)?;
        walk.cases.clone_from(&told.left);
        walk.switch_on();
        walk.begin_clock();
        let mut player = Self { walk, state: state.clone(), reads: BTreeMap::new() };
        player.report_all(machine)?;
        Ok(player)
    }

    /// For a hand that waits for every answer: gives up far sooner on links on time alone that go
    /// round and round.
    pub fn in_a_hurry(mut self) -> Self {
        self.walk.hurry();
        self
    }

    /// Does one thing.
    ///
    /// # Errors
    /// The story cannot be walked any further.
    pub fn act(&mut self, machine: &Machine<'_>, deed: &Deed) -> Result<(), Stuck> {
        match deed {
            Deed::SwitchedOn => {
                self.walk.switch_on();
                self.report_all(machine)
            }
            Deed::Stands { control, position } => self.put(machine, *control, *position),
            Deed::Tapped { control, position } => {
                let rest = machine.control(*control).map_or(0, |control| control.rest);
                self.put(machine, *control, *position)?;
                self.put(machine, *control, rest)
            }
            Deed::Reads { pin, action } => {
                if self.reads.insert(*pin, action.clone()).as_ref() == Some(action) {
                    return Ok(());
                }
                self.walk.happen(&Happening::Reads(*pin, action.clone()))
            }
            Deed::Waited { ms } => self.walk.wait(u64::from(*ms)),
        }
    }

    fn put(&mut self, machine: &Machine<'_>, id: ControlId, position: u8) -> Result<(), Stuck> {
        let Some(control) = machine.control(id) else { return Ok(()) };
        if self.state.position(id, control) == position {
            return Ok(());
        }
        if position == control.rest {
            self.state.0.remove(&id);
        } else {
            self.state.0.insert(id, position);
        }
        self.walk.happen(&Happening::Stands(id, position))?;
        self.report_pins(machine)
    }

    /// Everything that stands or reads already, as just reached.
    fn report_all(&mut self, machine: &Machine<'_>) -> Result<(), Stuck> {
        for (id, control) in machine.project.controls.iter() {
            self.walk.happen(&Happening::Stands(id, self.state.position(id, control)))?;
        }
        self.reads = BTreeMap::new();
        self.report_pins(machine)
    }

    /// Pins that read as another band than before.
    fn report_pins(&mut self, machine: &Machine<'_>) -> Result<(), Stuck> {
        let reads = machine.reads(&self.state);
        for (pin, action) in &reads {
            if self.reads.get(pin) != Some(action) {
                self.walk.happen(&Happening::Reads(*pin, action.clone()))?;
            }
        }
        self.reads = reads;
        Ok(())
    }
}
