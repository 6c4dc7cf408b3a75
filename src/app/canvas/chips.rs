//! The strip of small parts that can be dragged onto the sheet, or clicked and put down.

use egui::{
    CursorIcon, Id, Painter, Pos2, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2,
    vec2,
};

use crate::app::canvas::hand::{Hand, Input};
use crate::app::canvas::transform::Lens;
use crate::app::theme::Palette;
use crate::app::view::View;
use crate::edit::parse_placing;

/// Height of one small part.
const CHIP_HEIGHT: f32 = 30.0;
/// How many there are.
pub const CHIPS: usize = Chip::ALL.len();

/// What a chip places, and the sign on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Chip {
    Resistor,
    Button,
    Toggle,
    Lever,
    Splice,
    Connector,
    Controller,
    Supply,
    Ground,
    Fuse,
    TestPoint,
}

impl Chip {
    const ALL: [Self; 11] = [
        Self::Resistor,
        Self::Button,
        Self::Toggle,
        Self::Lever,
        Self::Splice,
        Self::Connector,
        Self::Controller,
        Self::Supply,
        Self::Ground,
        Self::Fuse,
        Self::TestPoint,
    ];

    /// Name, and the text that would be typed for it.
    fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::Resistor => ("Resistor", "1k"),
            Self::Button => ("Button", "button"),
            Self::Toggle => ("Toggle", "toggle"),
            Self::Lever => ("Lever", "lever"),
            Self::Splice => ("Splice", "splice"),
            Self::Connector => ("Connector", "X 2x2"),
            Self::Controller => ("Controller", "controller 2x8"),
            Self::Supply => ("Supply", "supply 12"),
            Self::Ground => ("Ground point", "ground"),
            Self::Fuse => ("Fuse", "fuse 5"),
            Self::TestPoint => ("Test point", "test point"),
        }
    }
}

/// Draws the strip; a click takes the part in hand, a drag carries it onto the sheet.
pub fn chips_ui(
    ui: &mut Ui,
    view: View<'_>,
    lens: &Lens,
    hand: &mut Hand,
    width: f32,
) -> Vec<Input> {
    let inputs = ui.scope(|ui| strip_ui(ui, view, lens, width)).inner;
    // A hand that carries while nothing is pressed any more has missed the end of its drag.
    if matches!(hand, Hand::Placing { is_carried: true, .. })
        && inputs.is_empty()
        && !ui.input(|input| input.pointer.any_down())
    {
        *hand = Hand::Idle;
    }
    inputs
}

fn strip_ui(ui: &mut Ui, view: View<'_>, lens: &Lens, width: f32) -> Vec<Input> {
    let mut inputs = Vec::new();
    ui.spacing_mut().item_spacing.x = 1.0;
    for chip in Chip::ALL {
        let (name, typed) = chip.words();
        let (_, rect) = ui.allocate_space(vec2(width, CHIP_HEIGHT));
        let response = ui.interact(rect, Id::unique(("chip", name)), Sense::click_and_drag());
        let label = format!("Place {}", name.to_lowercase());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
        if response.hovered() || response.has_focus() {
            ui.painter().rect(
                rect,
                6.0,
                view.palette.wash(view.palette.ink, 0.06),
                Stroke::new(1.0, view.palette.edge),
                StrokeKind::Inside,
            );
        }
        paint_sign(ui.painter(), view.palette, chip, rect.center());
        let place = response.interact_pointer_pos().map(|pos| lens.sheet_from_screen(pos));
        let placement = || parse_placing(typed).map(Box::new).ok();
        if response.clicked() {
            inputs.extend(placement().map(Input::Take));
        }
        if response.drag_started() {
            inputs.extend(placement().map(Input::Carry));
        }
        if let (true, Some(place)) = (response.dragged(), place) {
            inputs.push(Input::Drag(place));
        }
        if let (true, Some(place)) = (response.drag_stopped(), place) {
            // Carried parts are put down only on the sheet; elsewhere they go back into the strip.
            let is_over =
                response.interact_pointer_pos().is_some_and(|pos| lens.view.contains(pos));
            inputs.push(if is_over { Input::Drop(place) } else { Input::Cancel });
        }
        response
            .on_hover_cursor(CursorIcon::Grab)
            .on_hover_text(format!("{name}: drag it onto the sheet, or click here and then there"));
    }
    inputs
}

/// The same as a menu, where there is no room for the strip.
pub fn chips_menu(ui: &mut Ui) -> Vec<Input> {
    let mut inputs = Vec::new();
    ui.menu_button("Parts", |ui| {
        for chip in Chip::ALL {
            let (name, typed) = chip.words();
            if ui.button(name).clicked() {
                inputs.extend(parse_placing(typed).map(Box::new).map(Input::Take).ok());
                ui.close();
            }
        }
    });
    inputs
}

/// A sign of about 24 by 18 points: the standard's where there is one, what the hand finds for controls.
fn paint_sign(painter: &Painter, palette: &Palette, chip: Chip, middle: Pos2) {
    let pen = Stroke::new(1.4, palette.ink);
    let line = |points: &[(f32, f32)]| {
        let points: Vec<Pos2> = points.iter().map(|(x, y)| middle + vec2(*x, *y)).collect();
        painter.add(Shape::line(points, pen));
    };
    let block = |x: f32, y: f32, w: f32, h: f32, round: f32| {
        let rect = egui::Rect::from_center_size(middle + vec2(x, y), vec2(w, h));
        painter.rect(rect, round, palette.card, pen, StrokeKind::Middle);
    };
    match chip {
        Chip::Resistor => {
            line(&[(-12.0, 0.0), (12.0, 0.0)]);
            block(0.0, 0.0, 14.0, 6.0, 0.5);
        }
        Chip::Button => {
            painter.circle(middle, 8.0, palette.card, pen);
            painter.circle(
                middle,
                4.8,
                palette.wash(palette.ink, 0.12),
                Stroke::new(1.0, palette.ink),
            );
        }
        Chip::Toggle => {
            block(0.0, 0.0, 24.0, 12.0, 6.0);
            let half = egui::Rect::from_center_size(middle + vec2(5.5, 0.0), vec2(12.0, 10.0));
            painter.rect_filled(half, 5.0, palette.wash(palette.ink, 0.55));
        }
        Chip::Lever => {
            line(&[(-8.0, 8.0), (8.0, 8.0)]);
            line(&[(0.0, 8.0), (4.5, -4.0)]);
            painter.circle_filled(middle + vec2(5.2, -5.6), 3.6, palette.ink);
        }
        Chip::Splice => {
            line(&[(-11.0, 0.0), (11.0, 0.0)]);
            line(&[(0.0, 0.0), (0.0, 9.0)]);
            painter.circle_filled(middle, 3.0, palette.ink);
        }
        Chip::Connector => {
            for (x, y) in [(-4.0, -4.0), (4.0, -4.0), (-4.0, 4.0), (4.0, 4.0)] {
                block(x, y, 8.0, 8.0, 1.0);
            }
        }
        Chip::Controller => {
            block(0.0, 0.0, 22.0, 20.0, 3.0);
            for (x, y) in [(-5.5, -4.0), (0.0, -4.0), (5.5, -4.0)] {
                block(x, y, 4.0, 4.0, 0.5);
            }
            line(&[(-11.0, 5.0), (-4.0, 5.0)]);
        }
        Chip::Supply => {
            block(-1.0, 0.0, 18.0, 13.0, 2.0);
            line(&[(8.0, 0.0), (13.0, 0.0)]);
            line(&[(-4.0, 0.0), (2.0, 0.0)]);
            line(&[(-1.0, -3.0), (-1.0, 3.0)]);
        }
        Chip::Ground => {
            line(&[(0.0, -9.0), (0.0, 1.0)]);
            line(&[(-8.0, 1.0), (8.0, 1.0)]);
            line(&[(-5.0, 4.5), (5.0, 4.5)]);
            line(&[(-2.0, 8.0), (2.0, 8.0)]);
        }
        Chip::Fuse => {
            block(0.0, 0.0, 16.0, 7.0, 1.5);
            line(&[(-12.0, 0.0), (12.0, 0.0)]);
        }
        Chip::TestPoint => {
            line(&[(0.0, 2.0), (0.0, 9.0)]);
            painter.circle(pos2(middle.x, middle.y - 2.0), 4.0, palette.card, pen);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_chip_places_what_its_name_says() {
        for chip in Chip::ALL {
            let (name, typed) = chip.words();
            let placement = parse_placing(typed).unwrap();
            assert_eq!(placement.noun, name.to_lowercase());
        }
    }
}
