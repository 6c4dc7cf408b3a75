//! The photo or drawing beneath the layout, decoded on a worker thread; the window never waits.
//!
//! A picture that cannot be decoded is said in one sentence and changes nothing: one that is taken
//! anew does not come into the project, one that is in the project stays there byte for byte.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use egui::{ColorImage, TextureHandle, TextureOptions};

use crate::app::action::{Action, Actions};
use crate::edit::Edit;
use crate::files;
use crate::geometry::{Point, point};
use crate::model::{Project, Underlay};

/// Longest side of the texture, in pixels; larger pictures are shown smaller.
const MOST_PIXELS: u32 = 2048;
/// Pictures of more pixels than this are refused before they are decoded.
const MOST_AREA: u64 = 60_000_000;
/// Width of a new picture where there is no layout yet, in millimetres of the layout.
const USUAL_WIDTH_MM: f64 = 200.0;
/// A new picture lets the lines above it be seen.
const USUAL_OPACITY: f64 = 0.6;

/// What is known of the picture in the project.
pub enum Shown {
    /// It is being decoded.
    Coming,
    /// It can be painted.
    Ready(TextureHandle),
    /// Why it cannot be shown.
    Damaged(String),
}

/// A file on its way into the project: its name, bytes and size in pixels, or why not.
type Taken = Result<(String, Vec<u8>, [usize; 2]), String>;

/// The decoded picture of the project, and one that is being taken.
#[derive(Default)]
pub struct Pictures {
    shown: Option<(Arc<[u8]>, Shown)>,
    coming: Option<Receiver<Result<ColorImage, String>>>,
    taking: Option<Receiver<Taken>>,
}

impl Pictures {
    /// Reads and tries a file on a worker; what comes of it arrives by [`Pictures::refresh`].
    pub fn take(&mut self, path: PathBuf) {
        let (send, taking) = channel();
        std::thread::spawn(move || {
            // Where the window has gone nobody listens.
            let _ = send.send(taken(&path));
        });
        self.taking = Some(taking);
    }

    /// Whether a worker is busy.
    pub fn is_busy(&self) -> bool {
        self.coming.is_some() || self.taking.is_some()
    }

    /// What is known of the project's picture; `None` where there is none or nobody has looked yet.
    pub fn shown(&self) -> Option<&Shown> {
        self.shown.as_ref().map(|(_, shown)| shown)
    }

    /// Takes answers in and starts what is wanted. A taken picture becomes an edit.
    pub fn refresh(&mut self, ctx: &egui::Context, project: &Project, actions: &mut Actions) {
        match self.taking.as_ref().map(Receiver::try_recv) {
            Some(Ok(Ok((name, bytes, size)))) => {
                self.taking = None;
                let underlay = laid_down(project, name, bytes, size);
                actions.edit(Edit::SetUnderlay(Some(Box::new(underlay))));
            }
            Some(Ok(Err(sentence))) => {
                self.taking = None;
                actions.push(Action::Refuse(sentence));
            }
            Some(Err(TryRecvError::Disconnected)) => {
                self.taking = None;
                actions.push(Action::Refuse(format!("Picture not taken: {FAILED}.")));
            }
            Some(Err(TryRecvError::Empty)) | None => {}
        }
        let Some(underlay) = &project.underlay else {
            (self.shown, self.coming) = (None, None);
            return;
        };
        let is_same = self.shown.as_ref().is_some_and(|(of, _)| Arc::ptr_eq(of, &underlay.bytes));
        if !is_same {
            let bytes = Arc::clone(&underlay.bytes);
            self.shown = Some((Arc::clone(&bytes), Shown::Coming));
            let (send, coming) = channel();
            std::thread::spawn(move || {
                let _ = send.send(decoded(&bytes));
            });
            self.coming = Some(coming);
        }
        let answer = match self.coming.as_ref().map(Receiver::try_recv) {
            Some(Ok(answer)) => answer,
            Some(Err(TryRecvError::Disconnected)) => Err(FAILED.to_owned()),
            Some(Err(TryRecvError::Empty)) | None => return,
        };
        self.coming = None;
        if let Some((_, shown)) = &mut self.shown {
            *shown = match answer {
                Ok(image) => {
                    Shown::Ready(ctx.load_texture("underlay", image, TextureOptions::LINEAR))
                }
                Err(why) => Shown::Damaged(why),
            };
        }
    }
}

/// What is said when the decoder panicked.
const FAILED: &str = "it could not be decoded";

/// Reads a file and tries whether it is a picture.
fn taken(path: &Path) -> Taken {
    let name =
        path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let refuse = |why: String| format!("Picture not taken: {why}.");
    let bytes = files::read_picture(path).map_err(|error| refuse(error.to_string()))?;
    let image = decoded(&bytes).map_err(|why| refuse(format!("{name}: {why}")))?;
    Ok((name, bytes, image.size))
}

/// Where a new picture lies: in the place of the old one, else around the layout there is.
fn laid_down(project: &Project, name: String, bytes: Vec<u8>, size: [usize; 2]) -> Underlay {
    let bytes = bytes.into();
    if let Some(old) = &project.underlay {
        return Underlay { name, bytes, ..old.clone() };
    }
    let ratio = size[1] as f64 / size[0].max(1) as f64;
    let spots = || project.places.iter().map(|(_, place)| place.pos);
    let low = spots().reduce(|a, b| point(a.x_mm.min(b.x_mm), a.y_mm.min(b.y_mm)));
    let high = spots().reduce(|a, b| point(a.x_mm.max(b.x_mm), a.y_mm.max(b.y_mm)));
    let (width_mm, centre) = match low.zip(high) {
        Some((low, high)) => {
            let needed = (high.x_mm - low.x_mm).max((high.y_mm - low.y_mm) / ratio.max(1e-3));
            let centre = point((low.x_mm + high.x_mm) / 2.0, (low.y_mm + high.y_mm) / 2.0);
            ((needed * 1.25).max(USUAL_WIDTH_MM / 2.0), centre)
        }
        None => (USUAL_WIDTH_MM, Point::default()),
    };
    let pos = centre - point(width_mm / 2.0, width_mm * ratio / 2.0);
    Underlay { name, bytes, pos, width_mm, opacity: USUAL_OPACITY }
}

/// A picture as a texture, or why it is none, in words.
fn decoded(bytes: &[u8]) -> Result<ColorImage, String> {
    decoded_to(bytes, MOST_PIXELS)
}

/// The same with a longest side of its own, in pixels.
pub(super) fn decoded_to(bytes: &[u8], most_pixels: u32) -> Result<ColorImage, String> {
    let outcome = catch_unwind(AssertUnwindSafe(|| decode(bytes, most_pixels)));
    outcome.unwrap_or_else(|_| Err(FAILED.to_owned()))
}

fn decode(bytes: &[u8], most_pixels: u32) -> Result<ColorImage, String> {
    let format = image::guess_format(bytes)
        .ok()
        .filter(|format| matches!(format, image::ImageFormat::Png | image::ImageFormat::Jpeg))
        .ok_or_else(|| "expected a PNG or JPEG picture, found something else".to_owned())?;
    let word = if format == image::ImageFormat::Png { "PNG" } else { "JPEG" };
    let damaged = |error: image::ImageError| {
        format!("the {word} picture is damaged or cut short ({})", plain(&error))
    };
    let reader = || image::ImageReader::with_format(std::io::Cursor::new(bytes), format);
    let (width, height) = reader().into_dimensions().map_err(damaged)?;
    if u64::from(width) * u64::from(height) > MOST_AREA {
        return Err(format!(
            "{width} × {height} pixels are too many, save it with up to 60 million"
        ));
    }
    let picture = reader().decode().map_err(damaged)?;
    let picture = if width.max(height) > most_pixels {
        picture.thumbnail(most_pixels, most_pixels)
    } else {
        picture
    };
    let pixels = picture.to_rgba8();
    let size = [pixels.width() as usize, pixels.height() as usize];
    Ok(ColorImage::from_rgba_unmultiplied(size, pixels.as_raw()))
}

/// The decoder's own words, on one line and not too long.
fn plain(error: &image::ImageError) -> String {
    let words = error.to_string();
    let line: String = words.lines().collect::<Vec<_>>().join(" ");
    line.trim_end_matches('.').chars().take(120).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Place;

    fn png(width: u32, height: u32) -> Vec<u8> {
        let mut bytes = Vec::new();
        let picture = image::RgbaImage::from_pixel(width, height, image::Rgba([200, 40, 40, 255]));
        picture.write_to(&mut std::io::Cursor::new(&mut bytes), image::ImageFormat::Png).unwrap();
        bytes
    }

    fn jpeg() -> Vec<u8> {
        let mut bytes = Vec::new();
        let picture = image::RgbImage::from_pixel(32, 16, image::Rgb([40, 200, 40]));
        picture.write_to(&mut std::io::Cursor::new(&mut bytes), image::ImageFormat::Jpeg).unwrap();
        bytes
    }

    #[test]
    fn png_and_jpeg_are_decoded_and_large_ones_shown_smaller() {
        assert_eq!(decoded(&png(30, 20)).unwrap().size, [30, 20]);
        assert_eq!(decoded(&jpeg()).unwrap().size, [32, 16]);
        assert_eq!(decoded(&png(4096, 64)).unwrap().size, [2048, 32]);
    }

    #[test]
    fn damage_is_said_in_words() {
        let whole = png(30, 20);
        let said = |bytes: &[u8]| decoded(bytes).unwrap_err();
        assert!(said(&whole[..whole.len() / 2]).starts_with("the PNG picture is damaged"));
        let mut turned = whole.clone();
        for byte in &mut turned[40..60] {
            *byte ^= 0xff;
        }
        assert!(said(&turned).starts_with("the PNG picture is damaged"), "{}", said(&turned));
        let short = jpeg();
        assert!(said(&short[..30]).starts_with("the JPEG picture is damaged"));
        assert!(said(b"GIF89a no picture of ours").contains("expected a PNG or JPEG"));
        assert!(said(b"").contains("expected a PNG or JPEG"));
    }

    #[test]
    fn a_new_picture_lies_around_the_layout_and_takes_the_place_of_the_old_one() {
        let mut project = Project::empty("test");
        for x_mm in [0.0, 300.0] {
            let id = project.fresh_id();
            project.places.put(id, Place { name: "P".into(), pos: point(x_mm, 50.0) });
        }
        let first = laid_down(&project, "a.png".into(), vec![1], [400, 200]);
        assert!(first.pos.x_mm < 0.0 && first.pos.x_mm + first.width_mm > 300.0);
        assert!((first.pos.y_mm + first.width_mm / 4.0 - 50.0).abs() < 1e-9);
        project.underlay = Some(Underlay { opacity: 0.3, ..first.clone() });
        let second = laid_down(&project, "b.png".into(), vec![2], [10, 10]);
        assert_eq!((second.pos, second.width_mm, second.opacity), (first.pos, first.width_mm, 0.3));
    }
}
