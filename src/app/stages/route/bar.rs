//! The line above the layout: the field for a new place, the words of the lists, the zoom.

use egui::{Align, Button, Id, Key, Layout, Margin, RichText, Stroke, TextEdit, Ui};

use crate::app::action::{Action, Actions};
use crate::app::canvas::Lens;
use crate::app::command::Command;
use crate::app::stages::route::gesture::free_spot;
use crate::app::stages::route::state::RouteState;
use crate::app::view::View;
use crate::app::widgets::parse_named;
use crate::edit::Edit;
use crate::model::Place;

/// Height of the bar.
pub const BAR_HEIGHT: f32 = 34.0;

/// Draws the bar. `lens` is `None` while the lists cover the layout.
pub fn bar_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    (lens, is_wide): (Option<Lens>, bool),
    actions: &mut Actions,
) {
    ui.horizontal(|ui| {
        ui.set_height(BAR_HEIGHT);
        if !is_wide {
            for (word, shown) in [("Layout", false), ("Lists", true)] {
                if ui.selectable_label(own.tray_shown == shown, word).clicked() {
                    own.tray_shown = shown;
                }
            }
        }
        if let Some(lens) = lens {
            place_ui(ui, view, own, &lens, actions);
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if let Some(lens) = lens {
                zoom_ui(ui, view, own, &lens, actions);
            }
            if is_wide {
                summary_ui(ui, view);
            }
        });
    });
}

/// A name and Enter: a new place in view.
fn place_ui(ui: &mut Ui, view: View<'_>, own: &mut RouteState, lens: &Lens, actions: &mut Actions) {
    let frame = egui::Frame::new()
        .fill(view.palette.card)
        .stroke(Stroke::new(1.0, view.palette.edge))
        .corner_radius(13)
        .inner_margin(Margin::symmetric(12, 4));
    let wide = (ui.available_width() - 130.0).clamp(90.0, 280.0);
    let field = TextEdit::singleline(&mut own.new_place)
        .id(Id::unique("new place"))
        .desired_width(wide)
        .hint_text(RichText::new("New place: type its name").color(view.palette.quiet))
        .frame(frame);
    let response = ui.add(field).accessible_name("New place");
    if std::mem::take(&mut own.focus_placing) {
        response.request_focus();
    }
    if response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter)) {
        match parse_named(&own.new_place) {
            Ok(name) => {
                let pos = free_spot(view.project, lens.sheet_rect().centre());
                actions.edit(Edit::AddPlace(Place { name, pos }));
                own.new_place.clear();
                own.focus_placing = true;
            }
            Err(sentence) => actions.push(Action::Refuse(format!("Not placed: {sentence}."))),
        }
    }
}

/// How much there is, and how many wires have no route yet.
fn summary_ui(ui: &mut Ui, view: View<'_>) {
    let Some(routes) = view.derived.routes() else { return };
    let missing = routes.lengths.values().filter(|length| length.is_err()).count();
    let (text, colour) = match (routes.lengths.len(), missing) {
        (0, _) => ("no harness wire yet".to_owned(), view.palette.quiet),
        (n, 0) => (format!("✔ all {n} wires have a route"), view.palette.right),
        (n, missing) => (format!("⚠ {missing} of {n} wires have no route"), view.palette.warning),
    };
    ui.label(RichText::new(text).small().color(colour));
}

fn zoom_ui(ui: &mut Ui, view: View<'_>, own: &mut RouteState, lens: &Lens, actions: &mut Actions) {
    let fit = Button::new(RichText::new("Fit").color(view.palette.quiet)).frame(false);
    if ui.add(fit).on_hover_text("Show the whole layout (F)").clicked() {
        actions.push(Action::Run(Command::Fit));
    }
    let text = RichText::new(lens.transform.text()).color(view.palette.quiet);
    if ui.add(Button::new(text).frame(false)).on_hover_text("Show it at 100 %").clicked() {
        own.zoom_wanted = Some((1.0 / lens.transform.zoom) as f32);
    }
}
