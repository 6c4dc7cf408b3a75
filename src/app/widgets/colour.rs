//! Wire colours: the swatch as the wire looks, and the picker of base and tracer.

use egui::{Id, Rect, Sense, Stroke, StrokeKind, Ui, pos2, vec2};

use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::row::label_cell;
use crate::model::{BaseColour, Colour};

/// A short piece of wire in its colour, tracer dashed along the middle.
pub fn swatch(ui: &mut Ui, colour: Colour, view: View<'_>) {
    let (rect, _) = ui.allocate_exact_size(vec2(34.0, 14.0), Sense::hover());
    paint_wire(ui, rect.shrink2(vec2(0.0, 3.0)), colour, view);
}

fn paint_wire(ui: &Ui, rect: Rect, colour: Colour, view: View<'_>) {
    let painter = ui.painter();
    painter.rect_filled(rect, 2.0, theme::insulation(colour.base));
    if let Some(tracer) = colour.tracer {
        let (y, half) = (rect.center().y, rect.height() / 6.0);
        let mut x = rect.left() + 2.0;
        while x < rect.right() - 2.0 {
            let dash = Rect::from_min_max(
                pos2(x, y - half),
                pos2((x + 6.0).min(rect.right() - 1.0), y + half),
            );
            painter.rect_filled(dash, 0.0, theme::insulation(tracer));
            x += 9.0;
        }
    }
    painter.rect_stroke(rect, 2.0, Stroke::new(1.0, view.palette.ink), StrokeKind::Outside);
}

/// Two rows of squares, base and tracer, with the colour's name and code. Returns a new pick.
pub fn colour_ui(ui: &mut Ui, id: Id, colour: Colour, view: View<'_>) -> Option<Colour> {
    let mut picked = None;
    ui.horizontal(|ui| {
        label_cell(ui, "Colour", view.palette);
        let (rect, _) = ui.allocate_exact_size(vec2(36.0, 18.0), Sense::hover());
        paint_wire(ui, rect.shrink2(vec2(1.0, 3.0)), colour, view);
        let code = colour.tracer.map_or_else(String::new, |tracer| format!("/{}", tracer.code()));
        ui.label(format!("{} {}{code}", colour.text(), colour.base.code()));
    });
    for (what, now) in [("base", Some(colour.base)), ("tracer", colour.tracer)] {
        ui.horizontal(|ui| {
            let cell = vec2(48.0, ui.spacing().interact_size.y);
            ui.allocate_ui_with_layout(
                cell,
                egui::Layout::left_to_right(egui::Align::Center),
                |ui| {
                    ui.set_min_width(cell.x);
                    ui.label(egui::RichText::new(what).small().color(view.palette.quiet));
                },
            );
            ui.spacing_mut().item_spacing.x = 2.0;
            let none = (what == "tracer").then_some(None);
            for option in none.into_iter().chain(BaseColour::ALL.into_iter().map(Some)) {
                if square_ui(
                    ui,
                    id.with((what, option.map(BaseColour::code))),
                    what,
                    (option, option == now),
                    view,
                ) {
                    picked = Some(match (what, option) {
                        ("base", Some(base)) => {
                            Colour { base, tracer: colour.tracer.filter(|t| *t != base) }
                        }
                        // A tracer of the base's own colour cannot be seen: it is none.
                        (_, tracer) => Colour {
                            base: colour.base,
                            tracer: tracer.filter(|t| *t != colour.base),
                        },
                    });
                }
            }
        });
    }
    picked.filter(|picked| *picked != colour)
}

/// One square of the picker; `None` is a square with a stroke through it.
fn square_ui(
    ui: &mut Ui,
    id: Id,
    what: &str,
    (colour, chosen): (Option<BaseColour>, bool),
    view: View<'_>,
) -> bool {
    let (rect, _) = ui.allocate_exact_size(vec2(15.0, 22.0), Sense::hover());
    let response = ui.interact(rect, id, Sense::click());
    let square = Rect::from_center_size(rect.center(), vec2(14.0, 15.0));
    let painter = ui.painter();
    let edge = Stroke::new(1.0, view.palette.quiet);
    match colour {
        Some(colour) => {
            painter.rect_filled(square, 2.0, theme::insulation(colour));
            painter.rect_stroke(square, 2.0, edge, StrokeKind::Inside);
        }
        None => {
            painter.rect_stroke(square, 2.0, edge, StrokeKind::Inside);
            painter.line_segment([square.left_bottom(), square.right_top()], edge);
        }
    }
    if chosen {
        let line = Rect::from_min_size(
            pos2(square.left(), rect.bottom() - 2.0),
            vec2(square.width(), 2.0),
        );
        painter.rect_filled(line, 1.0, view.palette.live);
    }
    if response.hovered() || response.has_focus() {
        painter.rect_stroke(
            square.expand(1.0),
            2.0,
            Stroke::new(1.5, view.palette.chosen),
            StrokeKind::Outside,
        );
    }
    let name = format!("{what} {}", colour.map_or("none", BaseColour::name));
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, name.clone())
    });
    response.on_hover_text(name.as_str()).clicked()
}
