//! What stage Break asks beside the faults: moves, advice, and the permit loop.
//!
//! Times and ends of the loop stand in the project; answers belong to the revision they were
//! reckoned for and are not shown for any other.

use crate::app::studies::{Job, Kept, Key};
use crate::edit::Revision;
use crate::model::{Project, SensePinId};
use crate::study::advice::{Advice, advice};
use crate::study::consequence::{ActionFate, consequences};
use crate::study::faults::Survey;
use crate::study::permit::{Permit, likely_ends, permit};
use crate::study::transitions::{Moves, moves};

/// One page of stage Break.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BreakPage {
    /// Every fault and mistake.
    #[default]
    Faults,
    /// What the pin passes while controls are moved.
    Moves,
    /// Advice, and what stuck contacts and two hands mean.
    Advice,
    /// The truth table of a permit loop.
    Permit,
}

impl BreakPage {
    /// All pages, in their order.
    pub const ALL: [Self; 4] = [Self::Faults, Self::Moves, Self::Advice, Self::Permit];

    /// Word on its tab.
    pub fn word(self) -> &'static str {
        match self {
            Self::Faults => "Faults",
            Self::Moves => "Moves",
            Self::Advice => "Advice",
            Self::Permit => "Permit loop",
        }
    }
}

/// Advice and consequences of one pin.
#[derive(Clone, Debug, PartialEq)]
pub struct Counsel {
    /// Advice, the most pressing first.
    pub advice: Vec<Advice>,
    /// What becomes of each action.
    pub fates: Vec<ActionFate>,
}

/// The page shown, and the answers to it.
#[derive(Default)]
pub struct BreakStudies {
    /// The page shown.
    pub page: BreakPage,
    moves: Kept<Moves, Key>,
    counsel: Kept<Counsel, Key>,
    permit: Kept<Result<Permit, String>, Revision>,
}

impl BreakStudies {
    /// Brings what the page shows up to date. Returns whether a worker is busy.
    pub fn refresh(
        &mut self,
        project: &Project,
        revision: Revision,
        (pin, survey): (Option<SensePinId>, Option<&Survey>),
    ) -> bool {
        let timing = project.settings.timing;
        match (self.page, pin) {
            (BreakPage::Permit, _) => {
                let key = revision;
                self.permit.take();
                if self.permit.wants(key) {
                    let project = project.clone();
                    let job = Job::start(move |_| {
                        let (from, to) = project.permit.or_else(|| likely_ends(&project))?;
                        Some(permit(&project, from, to))
                    });
                    self.permit.start(key, job);
                }
                self.permit.is_busy()
            }
            (BreakPage::Moves, Some(pin)) => {
                let key = (revision, pin);
                self.moves.take();
                if self.moves.wants(key) {
                    let project = project.clone();
                    let job = Job::start(move |leash| {
                        moves(&project, pin, &timing, &|| leash.goes_on()).ok().flatten()
                    });
                    self.moves.start(key, job);
                }
                self.moves.is_busy()
            }
            (BreakPage::Advice, Some(pin)) => {
                let key = (revision, pin);
                self.counsel.take();
                if let Some(survey) = survey.filter(|_| self.counsel.wants(key)).cloned() {
                    let project = project.clone();
                    let job = Job::start(move |leash| {
                        let sense = project.sense_pins.get(pin)?;
                        let going = || leash.goes_on();
                        let moves = moves(&project, pin, &timing, &going).ok().flatten();
                        let fates = consequences(&project, sense, &survey);
                        let advice = advice(&project, &survey, moves.as_ref());
                        leash.goes_on().then_some(Counsel { advice, fates })
                    });
                    self.counsel.start(key, job);
                }
                self.counsel.is_busy()
            }
            (BreakPage::Faults, _) | (BreakPage::Moves | BreakPage::Advice, None) => false,
        }
    }

    /// Moves of a pin; `None` while they are reckoned, `Some(None)` where there are none to be had.
    pub fn moves(&self, key: Key) -> Option<Option<&Moves>> {
        self.moves.of(key)
    }

    /// Advice and consequences; `None` and `Some(None)` as for [`BreakStudies::moves`].
    pub fn counsel(&self, key: Key) -> Option<Option<&Counsel>> {
        self.counsel.of(key)
    }

    /// The permit loop; `Some(None)` where no ends are picked and none are likely.
    pub fn permit(&self, revision: Revision) -> Option<Option<&Result<Permit, String>>> {
        self.permit.of(revision)
    }

    /// Whether a worker is at work.
    pub fn is_busy(&self) -> bool {
        self.moves.is_busy() || self.counsel.is_busy() || self.permit.is_busy()
    }
}
