//! What stage Prove asks of workers: the bench test, and what its readings mean.
//!
//! Answers belong to the revision they were reckoned for and are not shown for any other.

use crate::app::studies::{Job, Kept};
use crate::edit::Revision;
use crate::model::{Project, SensePinId};
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

/// The page shown, and the answers to it.
#[derive(Default)]
pub struct ProveStudies {
    /// The page shown.
    pub page: ProvePage,
    plan: Kept<Plan, Revision>,
}

impl ProveStudies {
    /// Brings what the page shows up to date. Returns whether a worker is busy.
    pub fn refresh(
        &mut self,
        project: &Project,
        revision: Revision,
        _pin: Option<SensePinId>,
    ) -> bool {
        self.plan.take();
        if self.plan.wants(revision) {
            let project = project.clone();
            let job = Job::start(move |leash| plan(&project, &|| leash.goes_on()));
            self.plan.start(revision, job);
        }
        self.is_busy()
    }

    /// The bench test; `None` while it is made, `Some(None)` where that failed.
    pub fn plan(&self, revision: Revision) -> Option<Option<&Plan>> {
        self.plan.of(revision)
    }

    /// Whether a worker is at work.
    pub fn is_busy(&self) -> bool {
        self.plan.is_busy()
    }
}
