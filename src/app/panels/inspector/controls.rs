//! The list of controls; one can be folded out and edited.

use egui::{RichText, Ui};

use crate::app::panels::inspector::Unfolded;
use crate::app::panels::inspector::control;
use crate::app::theme;
use crate::app::widgets::{Pen, add_word, quiet};
use crate::edit::{Edit, free_name};
use crate::model::{Control, ControlId, ControlKind, Position};

/// All controls.
pub fn controls_page_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, unfolded: &mut Unfolded) {
    let project = pen.view.project;
    if project.controls.is_empty() {
        let words = "No controls yet. Place a button, toggle, lever or selector on the sheet and its control comes \
                     with it, or add one here and give it contacts.";
        quiet(ui, words, pen.view.palette);
    }
    for (id, row) in project.controls.iter() {
        if folding_row(ui, pen, (&row.name, &summary(row)), unfolded.control == Some(id)) {
            unfolded.control = if unfolded.control == Some(id) { None } else { Some(id) };
        }
        if unfolded.control == Some(id) {
            body_ui(ui, pen, (id, row));
        }
    }
    ui.add_space(4.0);
    if add_word(ui, "Add a control", pen.view.palette).clicked() {
        let name = free_name("Control ", project.controls.iter().map(|(_, c)| c.name.as_str()));
        let positions =
            ["off", "on"].map(|name| Position { name: name.into(), ..Position::default() }).into();
        pen.edit(Edit::AddControl(Control {
            name,
            kind: ControlKind::Maintained,
            positions,
            rest: 0,
            needs: None,
        }));
    }
}

fn body_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, row): (ControlId, &Control)) {
    egui::Frame::new().inner_margin(egui::Margin { left: 10, right: 0, top: 0, bottom: 8 }).show(
        ui,
        |ui| {
            control::control_ui(ui, pen, (id, row));
        },
    );
}

/// `stays where it is put · AUTO, HOLD`.
fn summary(control: &Control) -> String {
    let names: Vec<&str> =
        control.positions.iter().map(|position| position.name.as_str()).collect();
    names.join(" · ")
}

/// A row that folds out what lies below it; returns whether it was clicked.
pub fn folding_row(
    ui: &mut Ui,
    pen: &Pen<'_, '_>,
    (name, words): (&str, &str),
    open: bool,
) -> bool {
    let palette = pen.view.palette;
    let height = ui.spacing().interact_size.y + 4.0;
    let (rect, response) =
        ui.allocate_exact_size(egui::vec2(ui.available_width(), height), egui::Sense::click());
    response.widget_info(|| {
        egui::WidgetInfo::selected(egui::accesskit::Role::Button, true, open, name)
    });
    let fill = if response.hovered() || response.has_focus() {
        palette.wash(palette.ink, 0.08)
    } else if open {
        palette.wash(palette.ink, 0.05)
    } else {
        palette.card
    };
    let painter = ui.painter();
    painter.rect_filled(rect, 6.0, fill);
    let sign = if open { "▾" } else { "▸" };
    let at = rect.left_center() + egui::vec2(8.0, 0.0);
    painter.text(
        at,
        egui::Align2::LEFT_CENTER,
        sign,
        theme::plain(theme::TEXT_BODY),
        palette.quiet,
    );
    let font = theme::bold(theme::TEXT_BODY);
    let name_rect = painter.text(
        at + egui::vec2(16.0, 0.0),
        egui::Align2::LEFT_CENTER,
        name,
        font,
        palette.ink,
    );
    let room = rect.right() - name_rect.right() - 20.0;
    if room > 30.0 {
        let text = RichText::new(words).small().color(palette.quiet);
        let place = egui::Rect::from_min_max(
            egui::pos2(name_rect.right() + 12.0, rect.top()),
            egui::pos2(rect.right() - 6.0, rect.bottom()),
        );
        let layout = egui::Layout::right_to_left(egui::Align::Center);
        let mut child = ui.new_child(egui::UiBuilder::new().max_rect(place).layout(layout));
        child.add(egui::Label::new(text).truncate().selectable(false));
    }
    response.clicked()
}
