//! Where the check stands in the file, kept on the stack and written out only for a refusal.

use crate::store::locate::Step;

/// Why a value is refused, and where it stands.
pub struct Problem {
    /// What was expected and found.
    pub what: String,
    /// Path of the field.
    pub path: Vec<Step>,
}

/// Result of one check.
pub type Checked<T> = Result<T, Problem>;

/// A place in the file.
#[derive(Clone, Copy)]
pub enum At<'a> {
    /// The file itself.
    Root,
    /// A field of an object.
    Field(&'a At<'a>, &'static str),
    /// A row of a list.
    Row(&'a At<'a>, usize),
}

impl At<'_> {
    /// A field of this object.
    pub fn field<'b>(&'b self, name: &'static str) -> At<'b> {
        At::Field(self, name)
    }

    /// A row of this list.
    pub fn row(&self, row: usize) -> At<'_> {
        At::Row(self, row)
    }

    /// The refusal of what stands here.
    pub fn refuse(&self, what: String) -> Problem {
        let mut path = Vec::new();
        let mut at = self;
        loop {
            match at {
                Self::Root => break,
                Self::Field(parent, name) => {
                    path.push(Step::Field((*name).into()));
                    at = parent;
                }
                Self::Row(parent, row) => {
                    path.push(Step::Row(*row));
                    at = parent;
                }
            }
        }
        path.reverse();
        Problem { what, path }
    }
}
