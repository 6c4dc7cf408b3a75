//! Push buttons and rockers, and what all faces of controls share.

use egui::{
    Color32, CornerRadius, FontId, Rect, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo,
    pos2, vec2,
};

use crate::app::theme;
use crate::app::theme::Palette;
use crate::model::Control;

/// Height of every face, so that names stand on one line.
pub const FACE_HEIGHT: f32 = 78.0;
/// Longest word drawn beside a position, in points.
const MOST_WORD: f32 = 84.0;

/// What the pointer did on a face this frame.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Touch {
    /// The position the pointer holds down, for controls that return.
    pub down_on: Option<u8>,
    /// The position that was clicked.
    pub clicked: Option<u8>,
    /// Clicked by keyboard or by a screen reader, which cannot hold.
    pub is_without_pointer: bool,
}

impl Touch {
    /// Adds what one zone of the face saw.
    pub fn add(&mut self, response: &egui::Response, position: u8) {
        if response.is_pointer_button_down_on()
            && response.ctx.input(|input| input.pointer.primary_down())
        {
            self.down_on = Some(position);
        }
        if response.clicked() {
            self.clicked = Some(position);
            self.is_without_pointer = !response.clicked_by(egui::PointerButton::Primary);
        }
    }
}

/// Colours of a face, faded while the control cannot move.
#[derive(Clone, Copy)]
pub struct FaceLook<'a> {
    /// The theme.
    pub palette: &'a Palette,
    /// Whether what the control needs is there.
    pub is_free: bool,
    /// Position it stands in.
    pub stands: u8,
    /// Whether it only shows how to hold the control, and no hand moves it.
    pub is_still: bool,
}

impl FaceLook<'_> {
    /// A colour, faded where the control is not free.
    pub fn tone(&self, colour: Color32) -> Color32 {
        if self.is_free { colour } else { self.palette.wash(colour, 0.42) }
    }

    /// What a zone of the face takes from the pointer.
    pub fn sense(&self) -> Sense {
        if self.is_still { Sense::hover() } else { Sense::click() }
    }

    /// What a zone is called.
    pub fn name(&self, words: String) -> String {
        if self.is_still { format!("hold {words}") } else { words }
    }

    /// Marks the zone that has the keyboard.
    pub fn focus_ring(&self, ui: &Ui, response: &egui::Response, round: u8) {
        if response.has_focus() {
            let stroke = Stroke::new(2.0, self.palette.chosen);
            ui.painter().rect_stroke(
                response.rect.expand(2.0),
                CornerRadius::same(round),
                stroke,
                StrokeKind::Outside,
            );
        }
    }
}

/// A word shortened to what fits.
pub fn word(ui: &Ui, text: &str, font: FontId, colour: Color32) -> std::sync::Arc<egui::Galley> {
    let mut job = egui::text::LayoutJob::simple_singleline(text.to_owned(), font, colour);
    job.wrap = egui::text::TextWrapping::truncate_at_width(MOST_WORD);
    ui.painter().layout_job(job)
}

/// Width of the longest word of a control's positions, in bold.
pub fn widest_word(ui: &Ui, control: &Control) -> f32 {
    let font = || theme::bold(theme::TEXT_SMALL);
    let width = |name: &str| word(ui, name, font(), Color32::PLACEHOLDER).size().x;
    control.positions.iter().map(|position| width(&position.name)).fold(0.0, f32::max)
}

/// A round push button.
pub fn button_ui(ui: &mut Ui, look: FaceLook<'_>, control: &Control, on: u8, label: &str) -> Touch {
    let palette = look.palette;
    let (rect, _) = ui.allocate_exact_size(vec2(74.0, FACE_HEIGHT), Sense::hover());
    let zone = Rect::from_center_size(rect.center(), Vec2::splat(66.0));
    let response = ui.interact(zone, ui.scope_id().with("button"), look.sense());
    let is_on = look.stands != control.rest;
    response.widget_info(|| {
        WidgetInfo::selected(Role::Button, look.is_free, is_on, look.name(label.to_owned()))
    });
    let painter = ui.painter();
    let centre = rect.center();
    painter.circle(
        centre,
        31.0,
        palette.wash(palette.ink, 0.06),
        Stroke::new(2.0, look.tone(palette.ink)),
    );
    let edge = Stroke::new(1.0, palette.edge);
    if is_on {
        painter.circle(centre + vec2(0.0, 1.0), 20.0, look.tone(palette.live), edge);
        painter.circle_stroke(
            centre + vec2(0.0, 1.0),
            24.0,
            Stroke::new(1.5, palette.wash(palette.live, 0.5)),
        );
    } else {
        let lift = if response.hovered() { palette.sheet } else { palette.card };
        painter.circle_filled(centre + vec2(0.0, 2.5), 22.0, palette.wash(palette.ink, 0.16));
        painter.circle(centre, 22.0, lift, edge);
        painter.circle_stroke(centre, 16.0, Stroke::new(1.0, palette.wash(palette.ink, 0.08)));
    }
    look.focus_ring(ui, &response, 36);
    let mut touch = Touch::default();
    touch.add(&response, on);
    touch
}

/// A rocker of two words; the half that is pressed is lit when it is not at rest.
pub fn rocker_ui(ui: &mut Ui, look: FaceLook<'_>, control: &Control) -> Touch {
    let palette = look.palette;
    let galleys: Vec<_> = (0u8..)
        .zip(&control.positions)
        .map(|(idx, position)| {
            let is_here = look.stands == idx;
            let is_lit = is_here && idx != control.rest;
            let font = if is_here {
                theme::bold(theme::TEXT_SMALL)
            } else {
                theme::plain(theme::TEXT_SMALL)
            };
            let colour = match (is_lit, is_here) {
                (true, _) => palette.card,
                (false, true) => palette.ink,
                (false, false) => palette.quiet,
            };
            (word(ui, &position.name, font, look.tone(colour)), is_here, is_lit, look.tone(colour))
        })
        .collect();
    let half = galleys.iter().map(|(galley, ..)| galley.size().x + 26.0).fold(56.0, f32::max);
    let (rect, _) = ui
        .allocate_exact_size(vec2(half * galleys.len() as f32 + 6.0, FACE_HEIGHT), Sense::hover());
    let body = Rect::from_center_size(rect.center(), vec2(rect.width(), 48.0));
    let round = CornerRadius::same(24);
    let fill = palette.wash(palette.ink, 0.07);
    ui.painter().rect(body, round, fill, Stroke::new(1.0, palette.edge), StrokeKind::Inside);
    let mut touch = Touch::default();
    for ((idx, position), (galley, is_here, is_lit, colour)) in
        (0u8..).zip(&control.positions).zip(galleys)
    {
        let left = body.left() + 3.0 + half * f32::from(idx);
        let cell =
            Rect::from_min_size(pos2(left, body.top() + 3.0), vec2(half, body.height() - 6.0));
        let response = ui.interact(cell, ui.scope_id().with(("half", idx)), look.sense());
        response.widget_info(|| {
            WidgetInfo::selected(
                Role::Button,
                look.is_free,
                is_here,
                look.name(format!("{}: {}", control.name, position.name)),
            )
        });
        let round = CornerRadius::same(21);
        if is_here {
            let fill = if is_lit { look.tone(palette.live) } else { palette.sheet };
            let edge = if is_lit { look.tone(palette.live) } else { palette.edge };
            ui.painter().rect(cell, round, fill, Stroke::new(1.0, edge), StrokeKind::Inside);
        } else if response.hovered() {
            ui.painter().rect_filled(cell, round, palette.wash(palette.ink, 0.11));
        }
        ui.painter().galley(cell.center() - galley.size() / 2.0, galley, colour);
        look.focus_ring(ui, &response, 22);
        touch.add(&response, idx);
    }
    touch
}
