//! Photos and files named in the set-up record: looked for beside the project, pictures made small,
//! all on a worker. What is gone is said; nothing is kept in the project.
//!
//! They are looked for anew each time the page is opened.

use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use egui::{ColorImage, TextureHandle, TextureOptions};

use crate::app::pictures::decoded_to;
use crate::files;
use crate::model::Project;

/// Longest side of a small picture, in pixels.
const MOST_PIXELS: u32 = 480;
/// So many names are looked for; a record of more is scrolled through by name only.
const MOST: usize = 200;

/// What is known of a name.
pub enum Beside {
    /// It is being looked for.
    Coming,
    /// A picture.
    Picture(TextureHandle),
    /// The file is there; it is no picture that can be shown, and why.
    File(String),
    /// There is no such file; where it was looked for.
    Gone(PathBuf),
    /// It is named outside the project's folder, where nothing is looked for.
    Elsewhere,
}

/// What a worker found: a picture, or whether there is a file and why it is no picture.
type Found = Result<ColorImage, (bool, String)>;

/// The names of the record, as they were typed.
#[derive(Default)]
pub struct RecordPictures {
    known: BTreeMap<String, Beside>,
    coming: Option<(String, PathBuf, Receiver<Found>)>,
    /// The folder of the project they were looked for beside.
    folder: Option<PathBuf>,
}

impl RecordPictures {
    /// What is known of a name.
    pub fn of(&self, name: &str) -> Option<&Beside> {
        self.known.get(name.trim())
    }

    /// Whether a worker is busy.
    pub fn is_busy(&self) -> bool {
        self.coming.is_some()
    }

    /// Forgets all, so that they are looked for anew.
    pub fn forget(&mut self) {
        *self = Self::default();
    }

    /// Takes an answer in and looks for the next name; one at a time.
    pub fn refresh(&mut self, ctx: &egui::Context, project: &Project, file: Option<&Path>) {
        let folder = file.and_then(Path::parent).map(Path::to_owned);
        if self.folder != folder {
            self.forget();
            self.folder = folder;
        }
        self.take(ctx);
        if self.coming.is_some() {
            return;
        }
        let names = project.set_up.iter().map(|(_, row)| row.file.trim()).take(MOST);
        for name in names.filter(|name| !name.is_empty()) {
            if self.known.contains_key(name) {
                continue;
            }
            let Some(path) = self.path_of(name) else {
                if self.folder.is_some() {
                    self.known.insert(name.to_owned(), Beside::Elsewhere);
                }
                continue;
            };
            let (send, found) = channel();
            let worker = path.clone();
            std::thread::spawn(move || {
                // Where the window has gone nobody listens.
                let _ = send.send(found_at(&worker));
            });
            self.known.insert(name.to_owned(), Beside::Coming);
            self.coming = Some((name.to_owned(), path, found));
            return;
        }
    }

    /// Where a name is looked for: in the folder of the project and below, and nowhere else, for the
    /// project may come from a stranger. Nowhere while the project has no file.
    fn path_of(&self, name: &str) -> Option<PathBuf> {
        let path = Path::new(name);
        let is_below =
            path.components().all(|step| matches!(step, Component::Normal(_) | Component::CurDir));
        Some(self.folder.as_ref()?.join(path)).filter(|_| is_below)
    }

    fn take(&mut self, ctx: &egui::Context) {
        let Some((name, path, found)) = &self.coming else { return };
        let answer = match found.try_recv() {
            Ok(answer) => answer,
            Err(TryRecvError::Disconnected) => Err((true, "it could not be read".to_owned())),
            Err(TryRecvError::Empty) => return,
        };
        let beside = match answer {
            Ok(image) => {
                Beside::Picture(ctx.load_texture(name.as_str(), image, TextureOptions::LINEAR))
            }
            Err((true, why)) => Beside::File(why),
            Err((false, _)) => Beside::Gone(path.clone()),
        };
        self.known.insert(name.clone(), beside);
        self.coming = None;
    }
}

fn found_at(path: &Path) -> Found {
    if !path.exists() {
        return Err((false, String::new()));
    }
    let bytes = files::read_picture(path).map_err(|error| (true, error.to_string()))?;
    decoded_to(&bytes, MOST_PIXELS).map_err(|why| (true, why))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_there_is_told_from_what_is_gone() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let picture = image::RgbaImage::from_pixel(960, 40, image::Rgba([9, 9, 9, 255]));
        picture.save(at("screen.png")).unwrap();
        std::fs::write(at("sheet.pdf"), b"%PDF-1.7").unwrap();
        assert_eq!(found_at(&at("screen.png")).unwrap().size, [480, 20]);
        let why = found_at(&at("sheet.pdf")).unwrap_err();
        assert!(why.0 && why.1.contains("expected a PNG or JPEG"), "{why:?}");
        assert!(!found_at(&at("gone.jpg")).unwrap_err().0);
    }

    #[test]
    fn nothing_is_looked_for_outside_the_folder_of_the_project() {
        let folder = tempfile::tempdir().unwrap();
        let home = Some(folder.path().to_owned());
        let beside = RecordPictures { folder: home, ..RecordPictures::default() };
        let below = folder.path().join("photos/plug.jpg");
        assert_eq!(beside.path_of("photos/plug.jpg"), Some(below));
        for name in ["/etc/hostname", "../plug.jpg", "photos/../../plug.jpg"] {
            assert_eq!(beside.path_of(name), None, "{name}");
        }
        assert_eq!(RecordPictures::default().path_of("plug.jpg"), None, "it is not saved yet");
    }
}
