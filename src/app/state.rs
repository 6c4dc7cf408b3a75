//! The window's whole state. Only dispatch changes it.

use std::collections::BTreeSet;
use std::path::PathBuf;

use crate::app::action::{Action, LayoutItem, Stage};
use crate::app::canvas::CanvasState;
use crate::app::derived::Derived;
use crate::app::dialogs::{DialogPurpose, Dialogs, NoDialogs};
use crate::app::harness_study::HarnessStudy;
use crate::app::meter::MeterState;
use crate::app::packet::PacketStudy;
use crate::app::panels::{PanelsState, PathFinding};
use crate::app::pictures::Pictures;
use crate::app::prefs::Preferences;
use crate::app::record_pictures::RecordPictures;
use crate::app::stages::StagesState;
use crate::app::studies::Studies;
use crate::app::theme::Palette;
use crate::app::view::View;
use crate::edit::{History, Revision, Selection};
use crate::model::{ControlId, Project, Scale, SensePinId, State};

/// A sentence shown at the lower edge until it is put away.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// The sentence.
    pub text: String,
    /// Whether something went wrong.
    pub is_error: bool,
}

/// Something that waits for an answer about unsaved work.
#[derive(Clone, Debug, PartialEq)]
pub struct Pending {
    /// What to do once the work is safe or given up.
    pub then: Action,
}

/// The field a path is typed into where there are no dialogs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PathField {
    /// What the path is for.
    pub purpose: DialogPurpose,
    /// What is typed.
    pub text: String,
    /// The project's own file, which may be written over without a question.
    pub own_file: Option<PathBuf>,
    /// What is to be said about the text.
    pub finding: PathFinding,
}

/// Work left over from a crash.
#[derive(Clone, Debug, PartialEq)]
pub struct Recovery {
    /// The file it was opened from.
    pub file: Option<PathBuf>,
    /// The work.
    pub project: Project,
    /// How long ago it was kept, in words.
    pub age: String,
}

/// Everything the window knows.
pub struct AppState {
    /// The project and its history.
    pub history: History,
    /// File of the project.
    pub file: Option<PathBuf>,
    /// Content ([`History::content`]) that was last saved or opened.
    pub saved: Revision,
    /// Where the controls stand.
    pub bench: State,
    /// Controls that are latched.
    pub latched: BTreeSet<ControlId>,
    /// The meter.
    pub meter: MeterState,
    /// What is selected on the sheet.
    pub selection: Selection,
    /// What is selected on the layout.
    pub layout: Option<LayoutItem>,
    /// The sense pin in the readout; `None` takes the first there is.
    pub pin: Option<SensePinId>,
    /// Unit of readout and ruler; `None` takes the pin's own.
    pub scale: Option<Scale>,
    /// The stage shown.
    pub stage: Stage,
    /// Preferences.
    pub preferences: Preferences,
    /// The preferences the window was last dressed in.
    pub themed: Option<Preferences>,
    /// Recent files, latest first.
    pub recent: Vec<PathBuf>,
    /// Results.
    pub derived: Derived,
    /// The photo or drawing beneath the layout.
    pub pictures: Pictures,
    /// Photos and files of the set-up record.
    pub record: RecordPictures,
    /// Bundles, currents, drops and fuses.
    pub harness: HarnessStudy,
    /// What-ifs that take their time.
    pub studies: Studies,
    /// The packet of sheets.
    pub packet: PacketStudy,
    /// Zoom, pan and gesture of the sheet.
    pub canvas: CanvasState,
    /// Fields and switches of the panels.
    pub panels: PanelsState,
    /// Fields and switches of the stages.
    pub stages: StagesState,
    /// The sentence at the lower edge.
    pub notice: Option<Notice>,
    /// What waits for an answer about unsaved work.
    pub pending: Option<Pending>,
    /// What goes on once a path for unsaved work was picked and the work is safe.
    pub pending_after_save: Option<Pending>,
    /// A path is wanted and this machine shows no dialog: the window shows a field for it.
    pub path_field: Option<PathField>,
    /// An autosaved copy of work that a crash interrupted.
    pub recovery: Option<Recovery>,
    /// Whether the window should close now.
    pub closing: bool,
    /// File dialogs.
    pub dialogs: Box<dyn Dialogs>,
}

impl AppState {
    /// Starts with a project; no file, nothing unsaved, every control at rest.
    pub fn new(project: Project) -> Self {
        let history = History::new(project);
        Self {
            saved: history.content(),
            history,
            file: None,
            bench: State::rest(),
            latched: BTreeSet::new(),
            meter: MeterState::default(),
            selection: Selection::new(),
            layout: None,
            pin: None,
            scale: None,
            stage: Stage::default(),
            preferences: Preferences::default(),
            themed: None,
            recent: Vec::new(),
            derived: Derived::default(),
            pictures: Pictures::default(),
            record: RecordPictures::default(),
            harness: HarnessStudy::default(),
            studies: Studies::default(),
            packet: PacketStudy::default(),
            canvas: CanvasState::default(),
            panels: PanelsState::default(),
            stages: StagesState::default(),
            notice: None,
            pending: None,
            pending_after_save: None,
            path_field: None,
            recovery: None,
            closing: false,
            dialogs: Box::new(NoDialogs),
        }
    }

    /// The project as it is now.
    pub fn project(&self) -> &Project {
        self.history.project()
    }

    /// Whether there is unsaved work.
    pub fn is_unsaved(&self) -> bool {
        self.saved != self.history.content()
    }

    /// The sense pin in the readout.
    pub fn shown_pin(&self) -> Option<SensePinId> {
        let pins = &self.project().sense_pins;
        self.pin.filter(|pin| pins.contains(*pin)).or_else(|| pins.ids().next())
    }

    /// Title of the window, with a mark while there is unsaved work.
    pub fn title(&self) -> String {
        let mark = if self.is_unsaved() { "● " } else { "" };
        format!("{mark}{} · Ohmloom", self.project().title)
    }

    /// A file name to suggest, from the project's title.
    pub fn suggested_name(&self, extension: &str) -> String {
        let known = self
            .file
            .as_deref()
            .and_then(|path| path.file_stem())
            .map(|stem| stem.to_string_lossy());
        let stem = known.unwrap_or_else(|| self.project().title.as_str().into());
        let clean: String = stem
            .chars()
            .map(|c| if c.is_alphanumeric() || c == '-' || c == '_' { c } else { '-' })
            .collect();
        let words: Vec<&str> = clean.split('-').filter(|word| !word.is_empty()).collect();
        let clean = words.join("-");
        format!("{}.{extension}", if clean.is_empty() { "project" } else { &clean })
    }

    /// Asks for a path: by dialog, or by a field where the machine shows none.
    pub fn ask_path(&mut self, purpose: DialogPurpose) {
        if self.dialogs.is_here() {
            self.dialogs.ask(purpose);
        } else {
            self.show_path_field(purpose);
        }
    }

    /// Shows the field for a path.
    pub fn show_path_field(&mut self, purpose: DialogPurpose) {
        let name = match &purpose {
            DialogPurpose::Open
            | DialogPurpose::OpenWireTable
            | DialogPurpose::CompareWith
            | DialogPurpose::OpenLog
            | DialogPurpose::TakePicture => String::new(),
            DialogPurpose::SaveProject(name)
            | DialogPurpose::ExportCutList(name)
            | DialogPurpose::ExportWires(name)
            | DialogPurpose::SavePacket(_, name) => name.clone(),
        };
        let folder =
            self.file.as_deref().and_then(|path| path.parent()).map(|folder| folder.join(&name));
        let text = folder.map_or(name, |path| path.display().to_string());
        let finding = PathFinding::default();
        let own_file = self.file.clone();
        self.path_field = Some(PathField { purpose, text, own_file, finding });
    }

    /// Puts a file at the top of the recent files.
    pub fn remember(&mut self, path: &std::path::Path) {
        let path = std::path::absolute(path).unwrap_or_else(|_| path.into());
        self.recent.retain(|known| *known != path);
        self.recent.insert(0, path);
        self.recent.truncate(crate::files::recent::MOST);
    }

    /// The immutable view of one frame, apart from what panels own.
    pub fn split(&mut self) -> (View<'_>, &mut CanvasState, &mut PanelsState, &mut StagesState) {
        let pin = self.shown_pin();
        let unsaved = self.is_unsaved();
        let project = self.history.project();
        let own =
            pin.and_then(|pin| project.sense_pins.get(pin)).map_or(Scale::Ohm, |pin| pin.scale);
        let view = View {
            project,
            history: &self.history,
            derived: &self.derived,
            studies: &self.studies,
            bench: &self.bench,
            latched: &self.latched,
            meter: &self.meter,
            selection: &self.selection,
            layout: self.layout,
            packet: &self.packet,
            pictures: &self.pictures,
            record: &self.record,
            harness: &self.harness,
            pin,
            scale: self.scale.unwrap_or(own),
            stage: self.stage,
            preferences: &self.preferences,
            palette: Palette::of(self.preferences.theme),
            file: self.file.as_deref(),
            unsaved,
        };
        (view, &mut self.canvas, &mut self.panels, &mut self.stages)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_suggested_name_is_made_of_the_titles_words() {
        let name = |title: &str| AppState::new(Project::empty(title)).suggested_name("csv");
        assert_eq!(name("Loader: gate, 12 V (rear)"), "Loader-gate-12-V-rear.csv");
        assert_eq!(name(" :: "), "project.csv");
    }
}
