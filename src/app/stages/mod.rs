//! The stages, a file or folder for each tab.

mod cut;
mod read;

pub use cut::cut_ui;
pub use read::read_ui;

/// Fields and switches of the stages.
#[derive(Default)]
pub struct StagesState {
    /// Stage Read.
    pub read: read::ReadState,
    /// Stage Cut.
    pub cut: cut::CutState,
}
