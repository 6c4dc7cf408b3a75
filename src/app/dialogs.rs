//! File dialogs behind a trait, so that tests and machines without dialogs need none.
//!
//! A dialog never blocks the window: it is asked for, and its answer is picked up in a later frame.
//! Beside every dialog there is a path field in the window.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

use crate::app::packet::SaveWhat;

/// What a picked path is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DialogPurpose {
    /// A project to open.
    Open,
    /// Where to save the project; the name to suggest.
    SaveProject(String),
    /// Another version of the project to compare with.
    CompareWith,
    /// A log recorded in the machine.
    OpenLog,
    /// A photo or drawing for the layout.
    TakePicture,
    /// Where to write the cut list; the name to suggest.
    ExportCutList(String),
    /// A wire table to read.
    OpenWireTable,
    /// Where to write the wires; the name to suggest.
    ExportWires(String),
    /// Where to write something of the packet, a file or a folder; the name to suggest.
    SavePacket(SaveWhat, String),
}

/// What came of a dialog.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DialogAnswer {
    /// A path was picked.
    Picked(DialogPurpose, PathBuf),
    /// It was put away.
    Cancelled,
    /// This machine can show none; use the path field.
    NoneHere(DialogPurpose),
}

/// Something that can ask for a path.
pub trait Dialogs {
    /// Starts asking; an earlier question still open is left alone and the new one dropped.
    fn ask(&mut self, purpose: DialogPurpose);
    /// The answer, once there is one.
    fn answer(&mut self) -> Option<DialogAnswer>;
    /// Whether a question is open.
    fn is_open(&self) -> bool;
    /// Whether this machine shows dialogs at all, as far as is known.
    fn is_here(&self) -> bool;
}

/// No dialogs at all: the path field shows instead.
#[derive(Debug, Default)]
pub struct NoDialogs;

impl Dialogs for NoDialogs {
    fn ask(&mut self, _purpose: DialogPurpose) {}

    fn answer(&mut self) -> Option<DialogAnswer> {
        None
    }

    fn is_open(&self) -> bool {
        false
    }

    fn is_here(&self) -> bool {
        false
    }
}

/// A dialog that answers faster than this was never shown: no portal, no helper program. Looking for
/// them takes its time on a busy machine; somebody who puts a dialog away as fast finds the path field.
const TOO_FAST: Duration = Duration::from_millis(1000);

/// The desktop's own dialogs, each on a thread of its own.
#[derive(Default)]
pub struct DesktopDialogs {
    open: Option<(DialogPurpose, Instant, Receiver<Option<PathBuf>>)>,
    missing: bool,
}

impl Dialogs for DesktopDialogs {
    fn ask(&mut self, purpose: DialogPurpose) {
        if self.open.is_some() {
            return;
        }
        let (send, receive) = channel();
        let wanted = purpose.clone();
        std::thread::spawn(move || {
            let project =
                |dialog: rfd::FileDialog| dialog.add_filter("Ohmloom project", &["ohmloom"]);
            let named = |kind: &str, ending: &str, name: String| {
                let dialog = rfd::FileDialog::new().add_filter(kind, &[ending]);
                dialog.set_file_name(name).save_file()
            };
            let picked = match wanted {
                DialogPurpose::Open | DialogPurpose::CompareWith => {
                    project(rfd::FileDialog::new()).pick_file()
                }
                DialogPurpose::SaveProject(name) => {
                    project(rfd::FileDialog::new()).set_file_name(name).save_file()
                }
                DialogPurpose::OpenLog => rfd::FileDialog::new()
                    .add_filter("Recorded log", &["csv", "tsv", "txt", "log"])
                    .pick_file(),
                DialogPurpose::TakePicture => rfd::FileDialog::new()
                    .add_filter("PNG or JPEG picture", &["png", "jpg", "jpeg"])
                    .pick_file(),
                DialogPurpose::OpenWireTable => {
                    rfd::FileDialog::new().add_filter("Table", &["csv", "tsv", "txt"]).pick_file()
                }
                DialogPurpose::ExportCutList(name)
                | DialogPurpose::ExportWires(name)
                | DialogPurpose::SavePacket(SaveWhat::Table(_), name) => {
                    named("CSV table", "csv", name)
                }
                DialogPurpose::SavePacket(SaveWhat::Pdf, name) => named("PDF", "pdf", name),
                DialogPurpose::SavePacket(SaveWhat::Svgs | SaveWhat::Tables, _) => {
                    rfd::FileDialog::new().pick_folder()
                }
            };
            // The window may be gone by now; then nobody listens.
            let _ = send.send(picked);
        });
        self.open = Some((purpose, Instant::now(), receive));
    }

    fn answer(&mut self) -> Option<DialogAnswer> {
        let (purpose, since, answers) = self.open.as_ref()?;
        let answer = match answers.try_recv() {
            Ok(Some(path)) => DialogAnswer::Picked(purpose.clone(), path),
            Ok(None) if since.elapsed() < TOO_FAST => DialogAnswer::NoneHere(purpose.clone()),
            Ok(None) => DialogAnswer::Cancelled,
            Err(TryRecvError::Disconnected) => DialogAnswer::NoneHere(purpose.clone()),
            Err(TryRecvError::Empty) => return None,
        };
        self.open = None;
        self.missing = matches!(answer, DialogAnswer::NoneHere(_));
        Some(answer)
    }

    fn is_open(&self) -> bool {
        self.open.is_some()
    }

    fn is_here(&self) -> bool {
        !self.missing
    }
}
