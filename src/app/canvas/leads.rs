//! The meter's leads: their handles in the corner of the sheet, and the curved leads to the terminals.

use egui::epaint::CubicBezierShape;
use egui::{
    Align2, Color32, CursorIcon, Id, Pos2, Response, Role, Sense, Stroke, Ui, WidgetInfo, pos2,
    vec2,
};

use crate::app::action::Lead;
use crate::app::canvas::hand::{Hand, Input};
use crate::app::canvas::paint::Brush;
use crate::app::theme::{self, Palette};
use crate::app::view::View;
use crate::drawing;
use crate::geometry::Point;
use crate::model::TerminalRef;

const BOTH: [Lead; 2] = [Lead::Black, Lead::Red];
/// Size of a handle in the corner.
const HANDLE: egui::Vec2 = vec2(62.0, 24.0);
/// Length of a probe on the screen.
const PROBE: f32 = 26.0;

/// Where a lead is drawn to.
struct Drawn {
    tip: Pos2,
    grip: Pos2,
}

/// Draws both leads with their handles and tells when one is dragged.
pub fn leads_ui(ui: &mut Ui, view: View<'_>, brush: &Brush<'_>, hand: &Hand) -> Vec<Input> {
    let mut inputs = Vec::new();
    for lead in BOTH {
        let handle = handle_rect(brush, lead);
        let drawn = drawn(view, brush, hand, lead);
        if let Some(drawn) = &drawn {
            paint_lead(brush, lead, drawn, handle);
        }
        let home =
            ui.interact(handle, Id::unique(("meter lead", word(lead))), Sense::click_and_drag());
        let label = format!("{} meter lead", title(lead));
        home.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
        paint_handle(brush, lead, handle, home.hovered());
        take_drag(&home, lead, brush, &mut inputs);
        home.on_hover_cursor(CursorIcon::Grab)
            .on_hover_text("Drag it onto a terminal to measure there");
        if let Some(drawn) = &drawn {
            // While it is dragged the probe stays where the pointer is, so that the drag is not lost.
            let rect = egui::Rect::from_center_size(drawn.grip, vec2(20.0, 20.0));
            let probe =
                ui.interact(rect, Id::unique(("meter probe", word(lead))), Sense::click_and_drag());
            let label = match view.meter.lead(lead) {
                Some(terminal) => {
                    format!("{} lead at {}", title(lead), view.project.terminal_name(terminal))
                }
                None => format!("{} lead", title(lead)),
            };
            probe.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
            take_drag(&probe, lead, brush, &mut inputs);
            probe
                .on_hover_cursor(CursorIcon::Grab)
                .on_hover_text("Drag it to another terminal, or off to take it away");
        }
    }
    inputs
}

/// Turns the drag of a handle or probe into inputs of the sheet.
fn take_drag(response: &Response, lead: Lead, brush: &Brush<'_>, inputs: &mut Vec<Input>) {
    let place = response.interact_pointer_pos().map(|pos| brush.lens.sheet_from_screen(pos));
    if response.drag_started() {
        inputs.push(Input::TakeLead(lead));
    }
    if let (true, Some(place)) = (response.dragged(), place) {
        inputs.push(Input::Drag(place));
    }
    if let (true, Some(place)) = (response.drag_stopped(), place) {
        inputs.push(Input::Drop(place));
    }
}

fn drawn(view: View<'_>, brush: &Brush<'_>, hand: &Hand, lead: Lead) -> Option<Drawn> {
    let tip = match hand {
        Hand::Carrying { lead: carried, at } if *carried == lead => brush.pos((*at)?),
        Hand::Carrying { .. }
        | Hand::Idle
        | Hand::Placing { .. }
        | Hand::Moving { .. }
        | Hand::Wiring { .. }
        | Hand::Bending { .. }
        | Hand::Framing { .. }
        | Hand::Boxing { .. } => brush.pos(terminal_pos(view, view.meter.lead(lead)?)?),
    };
    let way = match lead {
        Lead::Red => vec2(0.42, 0.91),
        Lead::Black => vec2(-0.42, 0.91),
    };
    Some(Drawn { tip, grip: tip + way * PROBE })
}

fn terminal_pos(view: View<'_>, terminal: TerminalRef) -> Option<Point> {
    let part = view.project.parts.get(terminal.part)?;
    Some(drawing::terminal_pos(part, terminal.terminal))
}

fn paint_lead(brush: &Brush<'_>, lead: Lead, drawn: &Drawn, handle: egui::Rect) {
    let colour = colour(brush.palette, lead);
    let end = handle.center_top();
    let start = drawn.grip;
    // The lead leaves the probe the way it points and comes into its handle from above.
    let sag = (start.distance(end) * 0.42).clamp(30.0, 420.0);
    let away = (drawn.grip - drawn.tip).normalized();
    let points = [start, start + away * sag, pos2(end.x - sag * 0.25, end.y - sag * 0.45), end];
    let width = 3.0;
    brush.painter.add(CubicBezierShape::from_points_stroke(
        points,
        false,
        Color32::TRANSPARENT,
        Stroke::new(width + 2.0, Brush::glaze(brush.palette.sheet, 0.8)),
    ));
    brush.painter.add(CubicBezierShape::from_points_stroke(
        points,
        false,
        Color32::TRANSPARENT,
        Stroke::new(width, colour),
    ));
    let middle = drawn.tip + (drawn.grip - drawn.tip) * 0.35;
    brush.painter.line_segment([drawn.tip, middle], Stroke::new(2.0, brush.palette.ink));
    brush.painter.line_segment([middle, drawn.grip], Stroke::new(7.0, colour));
    brush.painter.circle_filled(drawn.grip, 3.5, colour);
    brush.painter.circle(drawn.tip, 4.5, colour, Stroke::new(1.5, brush.palette.sheet));
}

fn paint_handle(brush: &Brush<'_>, lead: Lead, rect: egui::Rect, is_hovered: bool) {
    let colour = colour(brush.palette, lead);
    let width = if is_hovered { 2.0 } else { 1.2 };
    let fill = brush.palette.card;
    brush.painter.rect(rect, 12.0, fill, Stroke::new(width, colour), egui::StrokeKind::Inside);
    brush.painter.circle_filled(rect.left_center() + vec2(13.0, 0.0), 5.0, colour);
    let at = rect.left_center() + vec2(23.0, 0.0);
    brush.painter.text(
        at,
        Align2::LEFT_CENTER,
        word(lead),
        theme::plain(theme::TEXT_SMALL),
        brush.palette.ink,
    );
}

fn handle_rect(brush: &Brush<'_>, lead: Lead) -> egui::Rect {
    let corner = brush.lens.view.right_bottom() - vec2(12.0, 12.0);
    let right = match lead {
        Lead::Black => corner.x,
        Lead::Red => corner.x - HANDLE.x - 8.0,
    };
    egui::Rect::from_min_max(pos2(right - HANDLE.x, corner.y - HANDLE.y), pos2(right, corner.y))
}

fn colour(palette: &Palette, lead: Lead) -> Color32 {
    match lead {
        Lead::Red => palette.lead_red,
        Lead::Black => palette.lead_black,
    }
}

fn word(lead: Lead) -> &'static str {
    match lead {
        Lead::Red => "red",
        Lead::Black => "black",
    }
}

fn title(lead: Lead) -> &'static str {
    match lead {
        Lead::Red => "Red",
        Lead::Black => "Black",
    }
}
