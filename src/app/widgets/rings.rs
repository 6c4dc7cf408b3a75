//! A picture of a resistor with its colour rings.

use egui::{Color32, Id, Rect, Sense, Ui, pos2, vec2};

use crate::app::theme;
use crate::app::view::View;
use crate::marking::Ring;
use crate::model::BaseColour;

fn paint(ring: Ring) -> Color32 {
    let plain = match ring {
        Ring::Gold => return theme::GOLD,
        Ring::Silver => return theme::SILVER,
        Ring::Black => BaseColour::Black,
        Ring::Brown => BaseColour::Brown,
        Ring::Red => BaseColour::Red,
        Ring::Orange => BaseColour::Orange,
        Ring::Yellow => BaseColour::Yellow,
        Ring::Green => BaseColour::Green,
        Ring::Blue => BaseColour::Blue,
        Ring::Violet => BaseColour::Violet,
        Ring::Grey => BaseColour::Grey,
        Ring::White => BaseColour::White,
        Ring::Pink => BaseColour::Pink,
    };
    theme::insulation(plain)
}

/// Names of rings in a row.
pub fn ring_names(rings: &[Ring]) -> String {
    rings.iter().map(|ring| ring.name()).collect::<Vec<_>>().join(", ")
}

/// Draws a resistor with its rings, the last one set apart; pointing at it names them.
pub fn rings_ui(ui: &mut Ui, id: Id, rings: &[Ring], view: View<'_>) {
    let (rect, _) = ui.allocate_exact_size(vec2(112.0, 32.0), Sense::hover());
    let response = ui.interact(rect, id, Sense::hover());
    let painter = ui.painter();
    let middle = rect.center().y;
    painter.hline(rect.x_range(), middle, egui::Stroke::new(1.5, view.palette.quiet));
    let body = Rect::from_center_size(rect.center(), vec2(84.0, 26.0));
    painter.rect_filled(body, 9.0, theme::RESISTOR_BODY);
    let last = rings.len().saturating_sub(1);
    for (n, ring) in rings.iter().enumerate() {
        let x = if n == last { 70.0 } else { 14.0 + 13.0 * n as f32 };
        let band = Rect::from_min_max(
            pos2(body.left() + x - 3.5, body.top()),
            pos2(body.left() + x + 3.5, body.bottom()),
        );
        painter.rect_filled(band, 0.0, paint(*ring));
    }
    painter.rect_stroke(
        body,
        9.0,
        egui::Stroke::new(1.0, view.palette.quiet),
        egui::StrokeKind::Inside,
    );
    let names = ring_names(rings);
    response.widget_info(|| {
        egui::WidgetInfo::labeled(
            egui::accesskit::Role::Image,
            true,
            format!("colour rings {names}"),
        )
    });
    response.on_hover_text(names);
}
