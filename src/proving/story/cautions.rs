//! What to heed before anything of an arming story is tried at the machine.

use crate::check;
use crate::model::Project;

/// Beside everything that is to be tried: trying moves the machine.
pub const TRY_CAUTION: &str = "Before you try it: the machine may move or start when a control is \
                               moved. Secure it so that it cannot roll, drop, turn or drive off, \
                               and keep everyone clear; local rules and licensed practice go first.";

/// Above what was seen at the machine: the same, and what fits this project.
pub fn try_cautions(project: &Project) -> Vec<String> {
    let mut all = vec![TRY_CAUTION.to_owned()];
    all.extend(check::cautions(project));
    all
}
