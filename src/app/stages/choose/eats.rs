//! What eats the margin: a bar for each cause, as the controls stand.

use egui::{Rect, Role, Sense, Ui, WidgetInfo, vec2};

use crate::app::action::{Action, Actions};
use crate::app::reading::number_text;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::model::{Scale, SensePinId};
use crate::sense::Eater;

/// Not more causes than this are shown.
const MAX_SHOWN: usize = 8;

/// Height of a bar's row.
const ROW: f32 = 22.0;

/// The causes of spread in the state the controls stand in, the greatest first.
pub fn eats_ui(ui: &mut Ui, view: View<'_>, pin: SensePinId, actions: &mut Actions) {
    let eaters = view.derived.live(pin).map_or(&[][..], |live| live.eaters.as_slice());
    ui.label(egui::RichText::new("What eats the margin").font(theme::bold(theme::TEXT_BODY)));
    let Some(most) = eaters.first().map(|eater| eater.spread) else {
        quiet(
            ui,
            "Nothing in this state: it is open, or the reading is not known in the pin's scale.",
            view.palette,
        );
        return;
    };
    quiet(
        ui,
        "Share of the spread from worst low to worst high, as the controls stand now.",
        view.palette,
    );
    let scale = view.project.sense_pins.get(pin).map_or(Scale::Ohm, |pin| pin.scale);
    for eater in eaters.iter().take(MAX_SHOWN) {
        bar_ui(ui, view, (eater, most, scale), actions);
    }
    if eaters.len() > MAX_SHOWN {
        let rest: f64 = eaters[MAX_SHOWN..].iter().map(|eater| eater.spread).sum();
        let words = format!("{} more make {}", eaters.len() - MAX_SHOWN, number_text(rest, scale));
        quiet(ui, words, view.palette);
    }
    ui.add_space(8.0);
}

fn bar_ui(
    ui: &mut Ui,
    view: View<'_>,
    (eater, most, scale): (&Eater, f64, Scale),
    actions: &mut Actions,
) {
    const NAME: f32 = 132.0;
    const FIGURE: f32 = 84.0;
    let width = ui.available_width();
    let (rect, response) = ui.allocate_exact_size(vec2(width, ROW), Sense::click());
    let palette = view.palette;
    let painter = ui.painter();
    let font = theme::plain(theme::TEXT_SMALL);
    let middle = rect.center().y;
    let name_at = egui::pos2(rect.left(), middle);
    painter.text(name_at, egui::Align2::LEFT_CENTER, &eater.name, font.clone(), palette.ink);
    let room = (width - NAME - FIGURE).max(20.0);
    let long = (room * (eater.spread / most) as f32).max(2.0);
    let bar = Rect::from_min_size(egui::pos2(rect.left() + NAME, middle - 5.0), vec2(long, 10.0));
    painter.rect_filled(bar, 3.0, palette.wash(palette.chosen, 0.55));
    let figure = number_text(eater.spread, scale);
    let figure_at = egui::pos2(rect.right(), middle);
    painter.text(figure_at, egui::Align2::RIGHT_CENTER, &figure, font, palette.quiet);
    let words = format!("{} makes {figure} of the spread", eater.name);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &words));
    if response
        .on_hover_cursor(egui::CursorIcon::PointingHand)
        .on_hover_text("Show where it is")
        .clicked()
    {
        actions.push(Action::ShowSubject(eater.subject));
    }
}
