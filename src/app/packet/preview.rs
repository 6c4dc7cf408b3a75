//! One page, large: zoom, pan, from page to page.

use egui::{Key, Rect, RichText, Sense, Ui, Vec2, vec2};

use crate::app::action::Actions;
use crate::app::packet::pages::title_of;
use crate::app::packet::state::{PacketState, Zoom};
use crate::app::packet::walker::{Lies, paint_page};
use crate::app::view::View;
use crate::sheets::Packet;

/// Air around the page.
const AIR: f32 = 10.0;
/// Largest scale: a millimetre of paper in points of the screen.
const MOST_SCALE: f32 = 32.0;
/// So far a wheel turns at the end of a page before the next one comes.
const TURN: f32 = 70.0;
/// A key moves the page by so much.
const KEY_STEP: f32 = 60.0;
/// Scales are powers of this, so that letters of few sizes have to be drawn.
const SCALE_STEP: f32 = 1.1;

/// Keys that lead from page to page, wherever the hand is, unless it types.
pub fn page_keys(ui: &Ui, packet: &Packet, own: &mut PacketState) {
    if ui.ctx().text_edit_focused() {
        return;
    }
    let last = packet.pages.len().saturating_sub(1);
    let pressed = |key: Key| ui.input(|input| input.key_pressed(key));
    let wanted = if pressed(Key::PageDown) {
        Some((own.page + 1).min(last))
    } else if pressed(Key::PageUp) {
        Some(own.page.saturating_sub(1))
    } else if pressed(Key::Home) {
        Some(0)
    } else if pressed(Key::End) {
        Some(last)
    } else {
        None
    };
    if let Some(page) = wanted
        && page != own.page
    {
        own.show_page(packet, page);
    }
}

/// The page with its buttons above.
pub fn preview_ui(
    ui: &mut Ui,
    view: View<'_>,
    packet: &Packet,
    (own, _actions): (&mut PacketState, &mut Actions),
) {
    bar_ui(ui, view, packet, own);
    let size = ui.available_size().max(vec2(40.0, 40.0));
    let (room, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let page = &packet.pages[own.page];
    let page_mm = vec2(page.width_mm as f32, page.height_mm as f32);
    let scale = scale_of(own, room.size(), page_mm);
    move_ui(ui, &response, packet, (own, scale));
    // The page may have changed.
    let page = &packet.pages[own.page];
    let page_mm = vec2(page.width_mm as f32, page.height_mm as f32);
    own.middle_mm = held(own.middle_mm, page_mm, room.size() / scale);
    own.scale_seen = scale;
    let corner = (room.center() - own.middle_mm * scale).round();
    let painter = ui.painter_at(room);
    painter.rect_filled(room, 4.0, view.palette.wash(view.palette.ink, 0.10));
    paint_page(&painter, &own.fonts, page, Lies { corner, scale });
    if response.has_focus() {
        let edge = egui::Stroke::new(2.0, view.palette.chosen);
        ui.painter().rect_stroke(room, 4.0, edge, egui::StrokeKind::Inside);
    }
    let title = title_of(packet, own.page);
    let name = format!("Page {} of {}: {title}", own.page + 1, packet.pages.len());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, &name));
}

/// From page to page, larger and smaller.
fn bar_ui(ui: &mut Ui, view: View<'_>, packet: &Packet, own: &mut PacketState) {
    let n_pages = packet.pages.len();
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let is_narrow = ui.available_width() < 470.0;
        if is_narrow {
            ui.spacing_mut().button_padding.x = 5.0;
        }
        let sign = |ui: &mut Ui, sign: &str, name: &str, tip: &str, is_enabled: bool| {
            let button = egui::Button::new(sign).min_size(vec2(28.0, 26.0));
            let response = ui.add_enabled(is_enabled, button).on_hover_text(tip);
            response
                .widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, is_enabled, name));
            response.clicked()
        };
        if sign(ui, "◀", "Page before", "The page before (Page up)", own.page > 0) {
            own.show_page(packet, own.page - 1);
        }
        let word = if is_narrow { "" } else { "page " };
        let words = format!("{word}{} of {n_pages}", own.page + 1);
        ui.label(RichText::new(words));
        if sign(ui, "▶", "Next page", "The next page (Page down)", own.page + 1 < n_pages) {
            own.show_page(packet, own.page + 1);
        }
        ui.add_space(if is_narrow { 2.0 } else { 8.0 });
        if sign(ui, "−", "Page smaller", "Smaller (−)", true) {
            own.zoom_wanted = Some(0.8);
        }
        if sign(ui, "+", "Page larger", "Larger (+)", true) {
            own.zoom_wanted = Some(1.25);
        }
        if ui.selectable_label(own.zoom == Zoom::Page, "whole page").clicked() {
            own.fit_wanted = true;
        }
        if ui.selectable_label(own.zoom == Zoom::Width, "page width").clicked() {
            own.zoom = Zoom::Width;
        }
        if is_narrow {
            return;
        }
        ui.add_space(8.0);
        let title = RichText::new(title_of(packet, own.page)).color(view.palette.quiet);
        ui.label(title);
    });
}

/// The scale of this frame; takes in what a command or a button asked for.
fn scale_of(own: &mut PacketState, room: Vec2, page_mm: Vec2) -> f32 {
    let free = (room - vec2(2.0 * AIR, 2.0 * AIR)).max(vec2(20.0, 20.0));
    let whole = (free.x / page_mm.x).min(free.y / page_mm.y);
    if std::mem::take(&mut own.fit_wanted) {
        own.zoom = Zoom::Page;
    }
    let scale = match own.zoom {
        Zoom::Page => whole,
        Zoom::Width => free.x / page_mm.x,
        Zoom::Scale(scale) => scale,
    };
    let Some(factor) = own.zoom_wanted.take() else { return scale };
    let wanted = (scale * factor).clamp(whole * 0.5, MOST_SCALE);
    let steps = (wanted.ln() / SCALE_STEP.ln()).round();
    let scale = SCALE_STEP.powf(steps);
    own.zoom = Zoom::Scale(scale);
    scale
}

/// Drags, wheel, pinch and arrow keys.
fn move_ui(
    ui: &Ui,
    response: &egui::Response,
    packet: &Packet,
    (own, scale): (&mut PacketState, f32),
) {
    if response.dragged() {
        own.middle_mm -= response.drag_delta() / scale;
        ui.set_cursor_icon(egui::CursorIcon::Grabbing);
    } else if response.hovered() {
        ui.set_cursor_icon(egui::CursorIcon::Grab);
    }
    if response.clicked() {
        response.request_focus();
    }
    if response.has_focus() {
        ui.memory_mut(|memory| {
            let filter = egui::EventFilter {
                horizontal_arrows: true,
                vertical_arrows: true,
                ..Default::default()
            };
            memory.set_focus_lock_filter(response.id, filter);
        });
        for (key, way) in [
            (Key::ArrowLeft, vec2(-1.0, 0.0)),
            (Key::ArrowRight, vec2(1.0, 0.0)),
            (Key::ArrowUp, vec2(0.0, -1.0)),
            (Key::ArrowDown, vec2(0.0, 1.0)),
        ] {
            if ui.input(|input| input.key_pressed(key)) {
                own.middle_mm += way * (KEY_STEP / scale);
            }
        }
    }
    let Some(pos) = response.hover_pos() else { return };
    let (scroll, pinch) = ui.input(|input| (input.smooth_scroll_delta(), input.zoom_delta()));
    if (pinch - 1.0).abs() > 1e-3 {
        // What is under the pointer stays there.
        let grown = (scale * pinch).clamp(0.2, MOST_SCALE);
        let off = (pos - response.rect.center()) / scale;
        own.middle_mm += off * (1.0 - scale / grown);
        own.zoom = Zoom::Scale(grown);
        return;
    }
    if scroll != Vec2::ZERO {
        turn(packet, (own, scale), (scroll, response.rect));
    }
}

/// A wheel moves the page, and at its end turns to the next.
fn turn(packet: &Packet, (own, scale): (&mut PacketState, f32), (scroll, room): (Vec2, Rect)) {
    let page = &packet.pages[own.page];
    let page_mm = vec2(page.width_mm as f32, page.height_mm as f32);
    let room_mm = room.size() / scale;
    let wanted = own.middle_mm - scroll / scale;
    let held = held(wanted, page_mm, room_mm);
    own.middle_mm = held;
    let left = (wanted.y - held.y) * scale;
    if left.abs() < 0.5 {
        own.wheel = 0.0;
        return;
    }
    own.wheel = if own.wheel * left < 0.0 { left } else { own.wheel + left };
    if own.wheel > TURN && own.page + 1 < packet.pages.len() {
        own.show_page(packet, own.page + 1);
        own.wheel = 0.0;
    } else if own.wheel < -TURN && own.page > 0 {
        own.show_page(packet, own.page - 1);
        own.middle_mm.y = f32::MAX;
        own.wheel = 0.0;
    }
}

/// The middle of the view, so that the page neither leaves it nor wanders about within it.
fn held(middle: Vec2, page_mm: Vec2, room_mm: Vec2) -> Vec2 {
    let one = |middle: f32, page: f32, room: f32| {
        let air = (room * 0.02).min(8.0);
        let (low, high) = (room / 2.0 - air, page - room / 2.0 + air);
        if low >= high { page / 2.0 } else { middle.clamp(low, high) }
    };
    vec2(one(middle.x, page_mm.x, room_mm.x), one(middle.y, page_mm.y, room_mm.y))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_page_stays_in_the_middle_and_a_large_one_within_reach() {
        let page = vec2(210.0, 297.0);
        assert_eq!(held(vec2(-500.0, 900.0), page, vec2(400.0, 400.0)), page / 2.0);
        let near = vec2(100.0, 100.0);
        assert_eq!(held(vec2(0.0, 0.0), page, near), vec2(48.0, 48.0));
        assert_eq!(held(vec2(999.0, f32::MAX), page, near), vec2(162.0, 249.0));
        assert_eq!(held(vec2(80.0, 120.0), page, near), vec2(80.0, 120.0));
    }

    #[test]
    fn zooming_goes_in_steps_from_what_is_seen() {
        let (room, page) = (vec2(620.0, 614.0), vec2(210.0, 297.0));
        let mut own = PacketState::default();
        assert_eq!(scale_of(&mut own, room, page), 2.0);
        own.zoom_wanted = Some(1.25);
        let larger = scale_of(&mut own, room, page);
        assert!((2.3..2.7).contains(&larger) && own.zoom == Zoom::Scale(larger));
        for _ in 0..40 {
            own.zoom_wanted = Some(1.25);
            scale_of(&mut own, room, page);
        }
        assert!(scale_of(&mut own, room, page) <= MOST_SCALE * SCALE_STEP);
        own.fit_wanted = true;
        assert_eq!(scale_of(&mut own, room, page), 2.0);
    }
}
