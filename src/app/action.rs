//! What a hand can do in the window. Panels collect actions; dispatch carries them out after the frame.

use std::path::PathBuf;

use crate::app::break_studies::BreakPage;
use crate::app::command::Command;
use crate::app::cut_studies::CutPage;
use crate::app::meter::MeterMode;
use crate::app::packet::{PrintChoices, SaveWhat};
use crate::app::prefs::Preferences;
use crate::app::prove_studies::{ProveAsk, ProvePage};
use crate::edit::{Edit, Gesture, Selection};
use crate::model::{ControlId, PlaceId, RunId, Scale, SensePinId, State, Subject, TerminalRef};
use crate::sheets::SheetKind;
use crate::study::values::Question;

/// One stage of the work; stages are tabs over one project.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// What is wired to what.
    #[default]
    Sketch,
    /// Does the controller understand every position of every control.
    Read,
    /// Which resistors, and how much dirt they stand.
    Choose,
    /// What each fault and mistake would do.
    Break,
    /// Where the wires run.
    Route,
    /// What to cut.
    Cut,
    /// Is what was built what was drawn.
    Prove,
}

impl Stage {
    /// Stages that exist, in the order of the tabs.
    pub const ALL: [Self; 7] =
        [Self::Sketch, Self::Read, Self::Choose, Self::Break, Self::Route, Self::Cut, Self::Prove];

    /// Word on the tab.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sketch => "Sketch",
            Self::Read => "Read",
            Self::Choose => "Choose",
            Self::Break => "Break",
            Self::Route => "Route",
            Self::Cut => "Cut",
            Self::Prove => "Prove",
        }
    }

    /// The question the stage answers.
    pub fn question(self) -> &'static str {
        match self {
            Self::Sketch => "What is wired to what?",
            Self::Read => "Does the controller understand every position of every control?",
            Self::Choose => "Which resistors, and how much dirt will they stand?",
            Self::Break => "What does each fault or building mistake look like?",
            Self::Route => "Where do the wires run, and how thick do they get?",
            Self::Cut => "What do I cut?",
            Self::Prove => "Is what I built what I drew?",
        }
    }
}

/// Something of the harness layout that can be selected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LayoutItem {
    /// A place.
    Place(PlaceId),
    /// A run.
    Run(RunId),
    /// The photo or drawing beneath.
    Underlay,
}

/// One of the two meter leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lead {
    /// The red one.
    Red,
    /// The black one.
    Black,
}

/// One thing a hand did.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "a few are made in a frame, and each is moved once")]
pub enum Action {
    /// Changes the project; edits of one gesture are one undo step.
    Edit(Edit, Option<Gesture>),
    /// Runs a command.
    Run(Command),
    /// Makes this the selection.
    Select(Selection),
    /// Makes this the selection on the layout.
    SelectLayout(Option<LayoutItem>),
    /// Reads a photo or drawing and puts it beneath the layout.
    TakePicture(PathBuf),
    /// Shows a stage.
    ShowStage(Stage),
    /// Shows a sense pin in the readout.
    ShowPin(SensePinId),
    /// Shows the readout in this unit.
    ReadoutScale(Scale),
    /// Moves a control to a position and leaves it there (or lets its spring take it when it is released).
    MoveControl(ControlId, u8),
    /// A hand lets go: a control that returns goes to rest unless it is latched.
    ReleaseControl(ControlId),
    /// Keeps a control that returns where it is, or lets it go again.
    LatchControl(ControlId, bool),
    /// Puts all controls as in this state (a row of the state table).
    GoToState(State),
    /// Looks for the best values; an answer still being sought is given up.
    SeekValues(Box<Question>),
    /// Looks for the measurements that part a fault, by its row, from those that look the same.
    PartTwins(usize),
    /// Shows the circuit as if it had the fault of this title, or as it is drawn.
    ShowAsIf(Option<String>),
    /// Asks stage Break this: another page, other times, other ends of the permit loop.
    ShowBreakPage(BreakPage),
    /// Shows a page of stage Cut.
    ShowCutPage(CutPage),
    /// Shows a page of stage Prove.
    ShowProvePage(ProvePage),
    /// Asks stage Prove something.
    AskProve(ProveAsk),
    /// Opens a log on its page; asks for a file where none is named.
    OpenLog(Option<PathBuf>),
    /// Compares with the project in this file; asks for one where none is named.
    CompareWith(Option<PathBuf>),
    /// Gives the search for the best values up.
    StopSeeking,
    /// Puts a meter lead on a terminal, or takes it off.
    PutLead(Lead, Option<TerminalRef>),
    /// Ohms or volts.
    MeterMode(MeterMode),
    /// Leads to what a finding is about: stage, selection, view.
    ShowSubject(Subject),
    /// Opens a file; asks first when there is unsaved work.
    OpenFile(PathBuf),
    /// Opens a built-in sample; asks first when there is unsaved work.
    OpenSample(String),
    /// Saves the project under this path.
    SaveTo(PathBuf),
    /// Writes the cut list as CSV.
    ExportCutList(PathBuf),
    /// Reads a wire table into its page.
    OpenWireTable(PathBuf),
    /// Writes the wires as a table.
    ExportWires(PathBuf),
    /// Chooses what the packet is printed with.
    ChoosePrint(Box<PrintChoices>),
    /// Puts this date at the foot of every page.
    DatePacket(String),
    /// Opens the packet at this sheet, which is printed from now on.
    ShowSheet(SheetKind),
    /// Makes the pages that were given up.
    MakePacket,
    /// Stops what is being made or written of the packet.
    StopPacket,
    /// Asks where to write this of the packet.
    SavePacket(SaveWhat),
    /// Writes this of the packet there.
    WritePacket(SaveWhat, PathBuf),
    /// Changes the preferences.
    SetPreferences(Preferences),
    /// Answers the question about unsaved work.
    AnswerUnsaved(UnsavedAnswer),
    /// Takes an autosaved copy over (true) or throws it away (false).
    AnswerRecovery(bool),
    /// Answers the field for a path; `None` leaves it.
    AnswerPath(Option<PathBuf>),
    /// Says something in the notice line.
    Say(String),
    /// Says in the notice line why something was not done.
    Refuse(String),
    /// Puts the notice away.
    DismissNotice,
}

/// What to do with unsaved work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnsavedAnswer {
    /// Save, then go on.
    Save,
    /// Throw it away and go on.
    Discard,
    /// Stay.
    Cancel,
}

/// Actions of one frame, in order.
#[derive(Debug, Default)]
pub struct Actions(Vec<Action>);

impl Actions {
    /// Adds one.
    pub fn push(&mut self, action: Action) {
        self.0.push(action);
    }

    /// Adds an edit that is a step of its own.
    pub fn edit(&mut self, edit: Edit) {
        self.push(Action::Edit(edit, None));
    }

    /// Takes all, leaving none.
    pub fn take(&mut self) -> Vec<Action> {
        std::mem::take(&mut self.0)
    }

    /// What has been collected so far.
    pub fn as_slice(&self) -> &[Action] {
        &self.0
    }
}
