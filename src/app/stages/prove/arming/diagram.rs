//! The story drawn: modes as rounded labels on a ring, links as arrows, the mode of now lit.

use std::collections::{BTreeMap, BTreeSet};
use std::f32::consts::TAU;

use egui::{
    Color32, Painter, Pos2, Rect, Role, Shape, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, vec2,
};

use crate::app::prove_studies::StoryAnswer;
use crate::app::stages::prove::arming::labels;
use crate::app::stages::prove::arming::live::Live;
use crate::app::theme;
use crate::app::view::View;
use crate::model::{LinkId, ModeId, Project, StoryEvent, StoryLink};
use crate::proving::story::{StoryField, link_words, ms_words};

/// Least height of the picture, in points.
const HEIGHT: f32 = 330.0;
/// More height for each mode beyond five, in points.
const MORE: f32 = 34.0;
/// Air within a label, in points.
const PAD: Vec2 = vec2(10.0, 6.0);
/// Points along an arrow.
const STEPS: usize = 48;

/// An arrow: all links that lead from one mode to another.
#[derive(Debug, PartialEq)]
struct Arrow {
    from: ModeId,
    to: ModeId,
    words: Vec<String>,
    /// Whether each of its links may as well lead elsewhere.
    is_open: bool,
}

/// Draws the story.
pub fn diagram_ui(ui: &mut Ui, view: View<'_>, live: &Live, answer: &StoryAnswer) {
    let story = &view.project.story;
    let n = story.modes.len();
    let width = ui.available_width().max(240.0);
    let height = HEIGHT + MORE * n.saturating_sub(5) as f32;
    let (rect, response) = ui.allocate_exact_size(vec2(width, height), egui::Sense::hover());
    let painter = ui.painter_at(rect);
    let palette = view.palette;
    let now = live.player().map(|player| player.walk.modes()).unwrap_or_default();
    let boxes = boxes(&painter, view, rect);
    let arrows = arrows(view.project, answer);
    let mut paths = Vec::new();
    let mut galleys = Vec::new();
    for arrow in &arrows {
        let (Some(from), Some(to)) = (boxes.get(&arrow.from), boxes.get(&arrow.to)) else {
            continue;
        };
        let is_live = now.contains(&arrow.from);
        let colour = if is_live { palette.live } else { palette.quiet };
        let path = path((*from, *to), rect.center());
        draw_path(&painter, &path, (colour, arrow.is_open));
        paths.push(path);
        let font = theme::plain(theme::TEXT_SMALL);
        galleys.push(painter.layout_no_wrap(arrow.words.join("\n"), font, palette.ink));
    }
    let sizes: Vec<Vec2> = galleys.iter().map(|galley| galley.size() + vec2(6.0, 2.0)).collect();
    let around: Vec<Rect> = boxes.values().map(|place| place.expand(3.0)).collect();
    for (place, galley) in labels::places(rect, &around, &paths, &sizes).iter().zip(galleys) {
        if let Some(place) = place {
            painter.rect_filled(*place, 4.0, palette.card);
            painter.galley(place.min + vec2(3.0, 1.0), galley, palette.ink);
        }
    }
    for (id, place) in &boxes {
        mode_box(&painter, view, (*id, *place), now.contains(id));
    }
    response.widget_info(|| {
        let links: Vec<String> =
            story.links.iter().map(|(_, link)| link_words(view.project, link)).collect();
        WidgetInfo::labeled(Role::Image, true, format!("Story: {}", links.join("; ")))
    });
}

/// A label for each mode, on an ellipse, the first at the left.
fn boxes(painter: &Painter, view: View<'_>, rect: Rect) -> BTreeMap<ModeId, Rect> {
    let story = &view.project.story;
    let most = (rect.width() / 2.6).clamp(80.0, 190.0);
    let sizes: Vec<(ModeId, Vec2)> = story
        .modes
        .iter()
        .map(|(id, mode)| {
            let (name, says) =
                (name_galley(painter, &mode.name, most), says_galley(painter, &mode.display, most));
            let size = vec2(name.size().x.max(says.size().x), name.size().y + says.size().y);
            (id, size + PAD * 2.0)
        })
        .collect();
    let widest = sizes.iter().fold(Vec2::ZERO, |most, (_, size)| most.max(*size));
    let room = (rect.size() - widest) / 2.0 - vec2(8.0, 8.0);
    let n = sizes.len() as f32;
    let at = |idx: usize| {
        let angle = TAU / 2.0 + TAU * idx as f32 / n;
        rect.center() + vec2(angle.cos() * room.x.max(0.0), angle.sin() * room.y.max(0.0))
    };
    let centre = |idx: usize| if sizes.len() == 1 { rect.center() } else { at(idx) };
    sizes
        .iter()
        .enumerate()
        .map(|(idx, (id, size))| (*id, Rect::from_center_size(centre(idx), *size)))
        .collect()
}

fn galley(
    painter: &Painter,
    text: &str,
    font: egui::FontId,
    most: f32,
) -> std::sync::Arc<egui::Galley> {
    let mut job = egui::text::LayoutJob::simple(text.to_owned(), font, Color32::PLACEHOLDER, most);
    job.wrap.max_rows = 2;
    painter.layout_job(job)
}

fn name_galley(painter: &Painter, name: &str, most: f32) -> std::sync::Arc<egui::Galley> {
    galley(painter, name, theme::plain(theme::TEXT_SMALL), most)
}

fn says_galley(painter: &Painter, display: &str, most: f32) -> std::sync::Arc<egui::Galley> {
    let words = if display.trim().is_empty() { "(dark)" } else { display };
    galley(painter, words, theme::bold(theme::TEXT_BODY), most)
}

fn mode_box(painter: &Painter, view: View<'_>, (id, rect): (ModeId, Rect), is_now: bool) {
    let palette = view.palette;
    let Some(mode) = view.project.story.modes.get(id) else { return };
    let (fill, edge) = if is_now {
        (palette.wash(palette.live, 0.22), Stroke::new(2.5, palette.live))
    } else {
        (palette.sheet, Stroke::new(1.2, palette.quiet))
    };
    painter.rect(rect, 9.0, fill, edge, StrokeKind::Inside);
    if view.project.story.start.contains(&id) {
        // The mode it is switched on in has a second edge.
        let stroke = Stroke::new(1.0, palette.quiet);
        painter.rect_stroke(rect.expand(4.0), 12.0, stroke, StrokeKind::Inside);
    }
    let most = rect.width() - PAD.x * 2.0 + 1.0;
    let name = name_galley(painter, &mode.name, most);
    let says = says_galley(painter, &mode.display, most);
    let name_at = rect.center_top() + vec2(-name.size().x / 2.0, PAD.y);
    let says_at = rect.center_bottom() - vec2(says.size().x / 2.0, PAD.y + says.size().y);
    painter.galley(name_at, name, palette.quiet);
    painter.galley(says_at, says, palette.ink);
}

/// Candidates of an end that what was seen has left.
fn left(
    answer: &StoryAnswer,
    field: StoryField,
    project: &Project,
    all: &BTreeSet<ModeId>,
) -> BTreeSet<ModeId> {
    let told = answer.told.as_ref().ok();
    let found = told.and_then(|told| told.fields.iter().find(|row| row.field == field));
    let Some(found) = found else { return all.clone() };
    let is_left = |id: &ModeId| {
        let name = project.story.mode_name(*id);
        found.candidates.iter().any(|(words, is_left)| *is_left && words == name)
    };
    let kept: BTreeSet<ModeId> = all.iter().copied().filter(is_left).collect();
    if kept.is_empty() { all.clone() } else { kept }
}

fn arrows(project: &Project, answer: &StoryAnswer) -> Vec<Arrow> {
    let mut arrows: Vec<Arrow> = Vec::new();
    for (id, link) in project.story.links.iter() {
        let from = left(answer, StoryField::From(id), project, &link.from);
        let to = left(answer, StoryField::To(id), project, &link.to);
        let is_open = from.len() > 1 || to.len() > 1;
        let words = short_words(project, id, link) + if is_open { "?" } else { "" };
        for a in &from {
            for b in &to {
                match arrows.iter_mut().find(|arrow| (arrow.from, arrow.to) == (*a, *b)) {
                    Some(arrow) => {
                        arrow.words.push(words.clone());
                        arrow.is_open &= is_open;
                    }
                    None => {
                        arrows.push(Arrow { from: *a, to: *b, words: vec![words.clone()], is_open })
                    }
                }
            }
        }
    }
    arrows
}

/// `Gate HOLD`, `UP`, `60 s`.
fn short_words(project: &Project, _id: LinkId, link: &StoryLink) -> String {
    let mut words = match &link.event {
        StoryEvent::Stands { control, positions } => {
            let row = project.controls.get(*control);
            let name = |at: &u8| {
                let position = row.and_then(|row| row.positions.get(usize::from(*at)));
                position.map_or("?", |position| position.name.as_str())
            };
            let names: Vec<&str> = positions.iter().map(name).collect();
            format!("{} {}", row.map_or("?", |row| row.name.as_str()), names.join("/"))
        }
        StoryEvent::Reads { actions, .. } => {
            actions.iter().map(String::as_str).collect::<Vec<_>>().join("/")
        }
        StoryEvent::TimePasses => String::new(),
    };
    if let Some(ms) = link.after_ms {
        words += &format!(" after {}", ms_words(ms));
    }
    if let Some(ms) = link.within_ms {
        words += &format!(" within {}", ms_words(ms));
    }
    words.trim().to_owned()
}

/// From edge to edge, bowed to the left of its way so that there and back do not lie on each other.
fn path((from, to): (Rect, Rect), middle: Pos2) -> Vec<Pos2> {
    let (a, b) = (from.center(), to.center());
    let bow = if from == to {
        // A link back to its own mode goes around outside.
        let out = (a - middle).normalized();
        let out = if out.is_finite() && out != Vec2::ZERO { out } else { vec2(0.0, -1.0) };
        let side = out.rot90() * (from.width() * 0.6);
        let far = out * (from.height() + 26.0);
        return bezier(&[a, a + far + side, a + far - side, b])
            .into_iter()
            .filter(|p| !from.contains(*p))
            .collect();
    } else {
        (b - a).rot90() * -0.17
    };
    let all = bezier(&[a, a + (b - a) / 3.0 + bow, a + (b - a) * 2.0 / 3.0 + bow, b]);
    all.into_iter().filter(|p| !from.contains(*p) && !to.expand(3.0).contains(*p)).collect()
}

fn bezier(p: &[Pos2; 4]) -> Vec<Pos2> {
    let at = |t: f32| {
        let s = 1.0 - t;
        let sum = p[0].to_vec2() * (s * s * s)
            + p[1].to_vec2() * (3.0 * s * s * t)
            + p[2].to_vec2() * (3.0 * s * t * t)
            + p[3].to_vec2() * (t * t * t);
        sum.to_pos2()
    };
    (0..=STEPS).map(|n| at(n as f32 / STEPS as f32)).collect()
}

fn draw_path(painter: &Painter, path: &[Pos2], (colour, is_open): (Color32, bool)) {
    let stroke = Stroke::new(1.6, colour);
    let [.., before, tip] = path else { return };
    if is_open {
        painter.extend(Shape::dashed_line(path, stroke, 5.0, 4.0));
    } else {
        painter.add(Shape::line(path.to_vec(), stroke));
    }
    let back = (*before - *tip).normalized() * 9.0;
    if back.is_finite() {
        let side = back.rot90() * 0.45;
        let points = vec![*tip, *tip + back + side, *tip + back - side];
        painter.add(Shape::convex_polygon(points, colour, Stroke::NONE));
    }
}
