//! The stages, a file or folder for each tab.

mod breaking;
mod choose;
mod cut;
mod prove;
mod read;
mod route;

pub use breaking::break_ui;
pub use choose::choose_ui;
pub use cut::cut_ui;
pub use prove::prove_ui;
pub use read::read_ui;
pub use route::{RouteState, route_card_ui, route_ui};

/// Fields and switches of the stages.
#[derive(Default)]
pub struct StagesState {
    /// Stage Read.
    pub read: read::ReadState,
    /// Stage Choose.
    pub choose: choose::ChooseState,
    /// Stage Break.
    pub breaking: breaking::BreakState,
    /// Stage Route.
    pub route: RouteState,
    /// Stage Cut.
    pub cut: cut::CutState,
    /// Stage Prove.
    pub prove: prove::ProveState,
}
