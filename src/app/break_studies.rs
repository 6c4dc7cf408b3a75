//! What stage Break asks beside the faults: moves, advice, and the permit loop.
//!
//! What is asked stands in one place, [`BreakQuestion`]; answers belong to the question and revision
//! they were reckoned for and are not shown for any other.

use crate::app::studies::{Job, Kept, Key};
use crate::edit::Revision;
use crate::model::{Project, SensePinId, TerminalRef};
use crate::study::advice::{Advice, advice};
use crate::study::consequence::{ActionFate, consequences};
use crate::study::faults::Survey;
use crate::study::permit::{Permit, likely_ends, permit};
use crate::study::transitions::{Moves, Timing, moves};

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

/// What stage Break is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BreakQuestion {
    /// The page shown.
    pub page: BreakPage,
    /// What a hand and its contacts take.
    pub timing: Timing,
    /// Ends of the permit loop; those that are likely where none are picked.
    pub ends: Option<(TerminalRef, TerminalRef)>,
}

impl Default for BreakQuestion {
    fn default() -> Self {
        Self { page: BreakPage::default(), timing: Timing::USUAL, ends: None }
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

type MoveKey = (Revision, SensePinId, Timing);
type PermitKey = (Revision, Option<(TerminalRef, TerminalRef)>);

/// The question, and the answers to it.
#[derive(Default)]
pub struct BreakStudies {
    /// What is asked.
    pub question: BreakQuestion,
    moves: Kept<Moves, MoveKey>,
    counsel: Kept<Counsel, MoveKey>,
    permit: Kept<Result<Permit, String>, PermitKey>,
}

impl BreakStudies {
    /// Brings what the page shows up to date. Returns whether a worker is busy.
    pub fn refresh(
        &mut self,
        project: &Project,
        revision: Revision,
        (pin, survey): (Option<SensePinId>, Option<&Survey>),
    ) -> bool {
        let timing = self.question.timing;
        match (self.question.page, pin) {
            (BreakPage::Permit, _) => {
                let key = (revision, self.ends_in(project));
                self.permit.take();
                if self.permit.wants(key) {
                    let project = project.clone();
                    let job = Job::start(move |_| {
                        let (from, to) = key.1.or_else(|| likely_ends(&project))?;
                        Some(permit(&project, from, to))
                    });
                    self.permit.start(key, job);
                }
                self.permit.is_busy()
            }
            (BreakPage::Moves, Some(pin)) => {
                let key = (revision, pin, timing);
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
                let key = (revision, pin, timing);
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

    /// Ends that are picked and still there.
    fn ends_in(&self, project: &Project) -> Option<(TerminalRef, TerminalRef)> {
        let is_there = |(from, to): &(TerminalRef, TerminalRef)| {
            project.has_terminal(*from) && project.has_terminal(*to)
        };
        self.question.ends.filter(is_there)
    }

    /// Moves of a pin; `None` while they are reckoned, `Some(None)` where there are none to be had.
    pub fn moves(&self, (revision, pin): Key) -> Option<Option<&Moves>> {
        self.moves.of((revision, pin, self.question.timing))
    }

    /// Advice and consequences; `None` and `Some(None)` as for [`BreakStudies::moves`].
    pub fn counsel(&self, (revision, pin): Key) -> Option<Option<&Counsel>> {
        self.counsel.of((revision, pin, self.question.timing))
    }

    /// The permit loop; `Some(None)` where no ends are picked and none are likely.
    pub fn permit(
        &self,
        project: &Project,
        revision: Revision,
    ) -> Option<Option<&Result<Permit, String>>> {
        self.permit.of((revision, self.ends_in(project)))
    }

    /// Whether a worker is at work.
    pub fn is_busy(&self) -> bool {
        self.moves.is_busy() || self.counsel.is_busy() || self.permit.is_busy()
    }
}
