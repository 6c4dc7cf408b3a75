//! What stage Prove asks of workers: the bench test, what its readings mean, a hidden fault, wear.
//!
//! Answers belong to the drawing they were reckoned for. Typing readings down changes the project
//! but not the drawing, so the bench test stays in sight while a round is made.

use std::sync::Arc;

use crate::app::studies::{Job, Kept};
use crate::edit::Revision;
use crate::model::{Project, SensePinId, Table};
use crate::proving::plan::{Plan, plan};

/// One page of stage Prove.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ProvePage {
    /// The bench test, step by step.
    #[default]
    Bench,
    /// From readings to what is wrong.
    Cause,
    /// A hidden fault to be found.
    Practice,
    /// Two rounds compared.
    Wear,
}

impl ProvePage {
    /// All pages with the words on their tabs, in their order.
    pub const ALL: &[(Self, &str)] = &[
        (Self::Bench, "Bench test"),
        (Self::Cause, "Cause"),
        (Self::Practice, "Practice"),
        (Self::Wear, "Wear"),
    ];

    /// Word on its tab.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(page, _)| *page == self).map_or("", |(_, word)| word)
    }
}

/// What a hand asks of stage Prove.
#[derive(Clone, Debug, PartialEq)]
pub enum ProveAsk {
    /// Whether the readings of the rounds count for the cause.
    TakeRounds(bool),
}

/// The page shown, and the answers to it.
#[derive(Default)]
pub struct ProveStudies {
    /// The page shown.
    pub page: ProvePage,
    drawing: Drawing,
    plan: Kept<Plan, u64>,
    takes_rounds: bool,
}

/// The project without its rounds, and how often that has changed.
#[derive(Default)]
struct Drawing {
    revision: Option<Revision>,
    project: Option<Arc<Project>>,
    number: u64,
}

impl Drawing {
    /// Looks whether more than rounds has changed since the last frame.
    fn refresh(&mut self, project: &Project, revision: Revision) {
        if self.revision == Some(revision) {
            return;
        }
        self.revision = Some(revision);
        let mut bare = project.clone();
        bare.bench_runs = Table::default();
        if self.project.as_deref() != Some(&bare) {
            self.project = Some(Arc::new(bare));
            self.number += 1;
        }
    }
}

impl ProveStudies {
    /// Brings what the page shows up to date. Returns whether a worker is busy.
    pub fn refresh(
        &mut self,
        project: &Project,
        revision: Revision,
        _pin: Option<SensePinId>,
    ) -> bool {
        self.drawing.refresh(project, revision);
        let number = self.drawing.number;
        self.plan.take();
        if self.plan.wants(number)
            && let Some(project) = self.drawing.project.clone()
        {
            let job = Job::start(move |leash| plan(&project, &|| leash.goes_on()));
            self.plan.start(number, job);
        }
        self.is_busy()
    }

    /// Takes what is asked.
    pub fn ask(&mut self, ask: ProveAsk) {
        match ask {
            ProveAsk::TakeRounds(take) => self.takes_rounds = take,
        }
    }

    /// The bench test; `None` while it is made, `Some(None)` where that failed.
    pub fn plan(&self, revision: Revision) -> Option<Option<&Plan>> {
        (self.drawing.revision == Some(revision)).then_some(())?;
        self.plan.of(self.drawing.number)
    }

    /// Whether a worker is at work.
    pub fn is_busy(&self) -> bool {
        self.plan.is_busy()
    }
}
