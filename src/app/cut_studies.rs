//! What stage Cut asks of workers: the allotment with its shopping list, and another version.
//!
//! Answers belong to the revision they were reckoned for and are not shown for any other.

use std::path::{Path, PathBuf};

use crate::app::studies::{Job, Kept};
use crate::cutting::{
    Allotment, Comparison, ShoppingList, allot, compare, cut_list, shopping_list,
};
use crate::edit::Revision;
use crate::model::Project;

/// One page of stage Cut.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CutPage {
    /// The wires to cut, with ticks.
    #[default]
    List,
    /// Pieces on hand.
    Drawer,
    /// Which wire is cut from which piece.
    Allotment,
    /// What to buy.
    Shopping,
    /// What to redo after another version was built.
    Compare,
}

impl CutPage {
    /// All pages, in their order.
    pub const ALL: [Self; 5] =
        [Self::List, Self::Drawer, Self::Allotment, Self::Shopping, Self::Compare];

    /// Word on its tab.
    pub fn word(self) -> &'static str {
        match self {
            Self::List => "Cut list",
            Self::Drawer => "Pieces on hand",
            Self::Allotment => "Allotment",
            Self::Shopping => "Shopping list",
            Self::Compare => "Compare",
        }
    }
}

/// What is cut from what, and what is bought.
#[derive(Clone, Debug, PartialEq)]
pub struct CutPlan {
    /// Which wire is cut from which piece.
    pub allotment: Allotment,
    /// What to buy.
    pub shopping: ShoppingList,
}

/// Another version of the project, as it was read.
pub struct Other {
    /// Its file.
    pub path: PathBuf,
    /// The project in it.
    project: Project,
    /// Counts the files read, so that an answer for an earlier one is told apart.
    number: u64,
}

/// The page shown, and the answers to it.
#[derive(Default)]
pub struct CutStudies {
    /// The page shown.
    pub page: CutPage,
    plan: Kept<CutPlan, Revision>,
    other: Option<Other>,
    n_read: u64,
    comparison: Kept<Comparison, (Revision, u64)>,
}

impl CutStudies {
    /// Brings what the page shows up to date. Returns whether a worker is busy.
    pub fn refresh(&mut self, project: &Project, revision: Revision) -> bool {
        match self.page {
            CutPage::List => false,
            CutPage::Drawer | CutPage::Allotment | CutPage::Shopping => {
                self.plan.take();
                if self.plan.wants(revision) {
                    let project = project.clone();
                    let job = Job::start(move |leash| {
                        let going = || leash.goes_on();
                        let list = cut_list(&project);
                        let allotment = allot(&project, &list, &going);
                        let shopping = shopping_list(&project, &list, &allotment, &going);
                        Some(CutPlan { allotment, shopping })
                    });
                    self.plan.start(revision, job);
                }
                self.plan.is_busy()
            }
            CutPage::Compare => {
                self.comparison.take();
                let Some(other) = &self.other else { return false };
                let key = (revision, other.number);
                if self.comparison.wants(key) {
                    let (before, now) = (other.project.clone(), project.clone());
                    let job = Job::start(move |_| Some(compare(&before, &now)));
                    self.comparison.start(key, job);
                }
                self.comparison.is_busy()
            }
        }
    }

    /// The plan; `None` while it is sought, `Some(None)` where that failed.
    pub fn plan(&self, revision: Revision) -> Option<Option<&CutPlan>> {
        self.plan.of(revision)
    }

    /// Takes another version to compare with.
    pub fn take_other(&mut self, path: &Path, project: Project) {
        self.n_read += 1;
        self.other = Some(Other { path: path.into(), project, number: self.n_read });
    }

    /// File of the other version.
    pub fn other(&self) -> Option<&Path> {
        self.other.as_ref().map(|other| other.path.as_path())
    }

    /// What is different; `None` while it is sought or nothing is compared with.
    pub fn comparison(&self, revision: Revision) -> Option<Option<&Comparison>> {
        self.comparison.of((revision, self.other.as_ref()?.number))
    }

    /// Whether a worker is at work.
    pub fn is_busy(&self) -> bool {
        self.plan.is_busy() || self.comparison.is_busy()
    }
}
