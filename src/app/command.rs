//! Commands: one list feeds the menu, the keys, the help page and the tips.

use egui::{Key, KeyboardShortcut, Modifiers};

/// Everything that can be run by name or key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Command {
    /// Starts an empty project.
    New,
    /// Opens a file.
    Open,
    /// Saves.
    Save,
    /// Saves under another name.
    SaveAs,
    /// Exports the cut list.
    ExportCutList,
    /// Shows or hides the packet of sheets.
    Packet,
    /// Shows or hides the page for a wire table.
    WireTable,
    /// Opens a wire table.
    OpenWireTable,
    /// Exports the wires as a table.
    ExportWires,
    /// Puts a photo or drawing beneath the layout.
    TakePicture,
    /// Takes the last step back.
    Undo,
    /// Makes it again.
    Redo,
    /// Deletes what is selected.
    Delete,
    /// Copies what is selected.
    Duplicate,
    /// Turns what is selected.
    Turn,
    /// Mirrors what is selected.
    Flip,
    /// Lines up in a row.
    AlignRow,
    /// Lines up in a column.
    AlignColumn,
    /// Selects everything.
    SelectAll,
    /// Draws a frame around the selection.
    FrameSelection,
    /// Goes to the placing field.
    PlaceByTyping,
    /// Goes to the find field.
    Find,
    /// Opens the properties of what is selected at its name.
    Rename,
    /// Shows the whole drawing.
    Fit,
    /// Nearer.
    ZoomIn,
    /// Further.
    ZoomOut,
    /// Shows or hides the list of problems.
    Problems,
    /// Puts all controls at rest.
    RestControls,
    /// Takes both leads off.
    LeadsOff,
    /// Changes between paper and bench.
    SwitchTheme,
    /// Larger text.
    TextLarger,
    /// Smaller text.
    TextSmaller,
    /// Stage Sketch.
    StageSketch,
    /// Stage Read.
    StageRead,
    /// Stage Choose.
    StageChoose,
    /// Stage Break.
    StageBreak,
    /// Stage Route.
    StageRoute,
    /// Stage Cut.
    StageCut,
    /// Stage Prove.
    StageProve,
    /// Preferences.
    Preferences,
    /// The help page.
    Help,
    /// Closes the window.
    Quit,
}

/// The platform's command key (Ctrl, or ⌘ on a Mac) with a letter.
const fn ctrl(key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(Modifiers::COMMAND, key))
}

const fn ctrl_shift(key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(Modifiers::COMMAND.plus(Modifiers::SHIFT), key))
}

const fn plain(key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(Modifiers::NONE, key))
}

impl Command {
    /// All commands, grouped as on the help page.
    pub const ALL: [Self; 42] = [
        Self::New,
        Self::Open,
        Self::Save,
        Self::SaveAs,
        Self::ExportCutList,
        Self::Packet,
        Self::WireTable,
        Self::OpenWireTable,
        Self::ExportWires,
        Self::TakePicture,
        Self::Undo,
        Self::Redo,
        Self::Delete,
        Self::Duplicate,
        Self::Turn,
        Self::Flip,
        Self::AlignRow,
        Self::AlignColumn,
        Self::SelectAll,
        Self::FrameSelection,
        Self::PlaceByTyping,
        Self::Find,
        Self::Rename,
        Self::Fit,
        Self::ZoomIn,
        Self::ZoomOut,
        Self::Problems,
        Self::RestControls,
        Self::LeadsOff,
        Self::SwitchTheme,
        Self::TextLarger,
        Self::TextSmaller,
        Self::StageSketch,
        Self::StageRead,
        Self::StageChoose,
        Self::StageBreak,
        Self::StageRoute,
        Self::StageCut,
        Self::StageProve,
        Self::Preferences,
        Self::Help,
        Self::Quit,
    ];

    /// Name, tip and key in one place, so that none is forgotten.
    fn entry(self) -> (&'static str, &'static str, Option<KeyboardShortcut>) {
        match self {
            Self::New => ("New project", "Start with an empty sheet", ctrl(Key::N)),
            Self::Open => ("Open…", "Open a project file", ctrl(Key::O)),
            Self::Save => ("Save", "Save the project", ctrl(Key::S)),
            Self::SaveAs => ("Save as…", "Save under another name", ctrl_shift(Key::S)),
            Self::ExportCutList => ("Export cut list…", "Write the cut list as CSV", ctrl(Key::E)),
            Self::Packet => {
                ("Packet", "All sheets on paper, to pick, look at and save", ctrl(Key::P))
            }
            Self::WireTable => (
                "Wire table…",
                "Paste or open a table of wires, look at it, take it over",
                ctrl(Key::I),
            ),
            Self::OpenWireTable => ("Open wire table…", "Read a table of wires from a file", None),
            Self::ExportWires => {
                ("Export wires…", "Write the wires as a table that can be read back", None)
            }
            Self::TakePicture => (
                "Picture beneath the layout…",
                "Put a photo or drawing (PNG or JPEG) beneath the layout",
                None,
            ),
            Self::Undo => ("Undo", "Take the last step back", ctrl(Key::Z)),
            Self::Redo => ("Redo", "Make the step again", ctrl_shift(Key::Z)),
            Self::Delete => ("Delete", "Delete what is selected", plain(Key::Delete)),
            Self::Duplicate => {
                ("Duplicate", "Copy what is selected, with its wires and controls", ctrl(Key::D))
            }
            Self::Turn => ("Turn", "Turn what is selected a quarter", plain(Key::R)),
            Self::Flip => ("Mirror", "Mirror what is selected left to right", plain(Key::M)),
            Self::AlignRow => {
                ("Align in a row", "Bring what is selected to one height", plain(Key::H))
            }
            Self::AlignColumn => {
                ("Align in a column", "Bring what is selected under each other", plain(Key::V))
            }
            Self::SelectAll => ("Select all", "Select everything on the sheet", ctrl(Key::A)),
            Self::FrameSelection => {
                ("Frame", "Draw a dashed frame around what is selected", plain(Key::G))
            }
            Self::PlaceByTyping => ("Place…", "Type what to place", plain(Key::P)),
            Self::Find => ("Find…", "Find a part, wire or control by name", ctrl(Key::F)),
            Self::Rename => ("Rename", "Go to the name of what is selected", plain(Key::F2)),
            Self::Fit => ("Fit", "Show the whole drawing", plain(Key::F)),
            Self::ZoomIn => ("Zoom in", "Show it larger", plain(Key::Plus)),
            Self::ZoomOut => ("Zoom out", "Show more of it", plain(Key::Minus)),
            Self::Problems => ("Problems", "Show what is wrong, and what to do", plain(Key::F10)),
            Self::RestControls => {
                ("All controls to rest", "Let go of everything", plain(Key::Num0))
            }
            Self::LeadsOff => ("Take meter leads off", "Put the meter away", plain(Key::L)),
            Self::SwitchTheme => {
                ("Paper or bench", "Change between the light and the dark theme", ctrl(Key::T))
            }
            Self::TextLarger => ("Larger text", "Make all text larger", ctrl(Key::Plus)),
            Self::TextSmaller => ("Smaller text", "Make all text smaller", ctrl(Key::Minus)),
            Self::StageSketch => ("Sketch", "What is wired to what?", plain(Key::F3)),
            Self::StageRead => (
                "Read",
                "Does the controller understand every position of every control?",
                plain(Key::F4),
            ),
            Self::StageChoose => {
                ("Choose", "Which resistors, and how much dirt will they stand?", plain(Key::F5))
            }
            Self::StageBreak => {
                ("Break", "What does each fault or building mistake look like?", plain(Key::F6))
            }
            Self::StageRoute => {
                ("Route", "Where do the wires run, and how thick do they get?", plain(Key::F7))
            }
            Self::StageCut => ("Cut", "What do I cut?", plain(Key::F8)),
            Self::StageProve => ("Prove", "Is what I built what I drew?", plain(Key::F9)),
            Self::Preferences => {
                ("Preferences…", "Theme, text size, units, resistor sign", ctrl(Key::Comma))
            }
            Self::Help => ("Help", "All keys, and how to start", plain(Key::F1)),
            Self::Quit => ("Quit", "Close the window", ctrl(Key::Q)),
        }
    }

    /// Name in menus.
    pub fn label(self) -> &'static str {
        self.entry().0
    }

    /// One sentence for tips.
    pub fn tip(self) -> &'static str {
        self.entry().1
    }

    /// Its key.
    pub fn shortcut(self) -> Option<KeyboardShortcut> {
        self.entry().2
    }

    /// Whether the key also works while a field takes text.
    pub fn works_while_typing(self) -> bool {
        self.shortcut().is_some_and(|s| {
            s.modifiers.command && !matches!(self, Self::SelectAll | Self::Undo | Self::Redo)
                || matches!(
                    s.logical_key,
                    Key::F1
                        | Key::F3
                        | Key::F4
                        | Key::F5
                        | Key::F6
                        | Key::F7
                        | Key::F8
                        | Key::F9
                        | Key::F10
                )
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_command_is_listed_once_and_no_two_share_a_key() {
        let labels: BTreeSet<_> = Command::ALL.iter().map(|c| c.label()).collect();
        assert_eq!(labels.len(), Command::ALL.len());
        let keys: Vec<_> = Command::ALL.iter().filter_map(|c| c.shortcut()).collect();
        for (at, key) in keys.iter().enumerate() {
            assert!(!keys[at + 1..].contains(key), "{key:?} is taken twice");
        }
    }
}
