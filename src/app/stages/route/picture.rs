//! The photo or drawing beneath the layout: which one, how much of it is seen, how large; and the scale.

use egui::{Id, Label, RichText, Ui};

use crate::app::action::{Action, Actions, LayoutItem};
use crate::app::canvas::Lens;
use crate::app::command::Command;
use crate::app::pictures::Shown;
use crate::app::stages::route::canvas::take_input;
use crate::app::stages::route::gesture::Input;
use crate::app::stages::route::state::RouteState;
use crate::app::view::View;
use crate::app::widgets::{
    Field, Pen, heading, label_cell, parse_positive, parse_unit, percent_text, quiet, word_button,
};
use crate::edit::Edit;
use crate::model::Underlay;
use crate::units::trim_zeros;

/// The page.
pub fn picture_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    lens: Option<Lens>,
    actions: &mut Actions,
) {
    heading(ui, "Beneath the layout");
    match &view.project.underlay {
        None => {
            let words = "A photo of the machine or a drawing of your own, PNG or JPEG, up to 12 MiB. It is kept inside the project file.";
            quiet(ui, words, view.palette);
        }
        Some(underlay) => underlay_ui(ui, view, own, underlay, actions),
    }
    let word = match view.project.underlay {
        None => "+ Put a picture beneath …",
        Some(_) => "Take another picture …",
    };
    if word_button(ui, word, view.palette.chosen).clicked() {
        actions.push(Action::Run(Command::TakePicture));
    }
    scale_ui(ui, view, own, lens, actions);
}

fn underlay_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    underlay: &Underlay,
    actions: &mut Actions,
) {
    let size = trim_zeros(&format!("{:.1}", underlay.bytes.len() as f64 / 1024.0));
    ui.add(Label::new(format!("{} ({size} KiB)", underlay.name)).truncate());
    match view.pictures.shown() {
        Some(Shown::Damaged(why)) => {
            let text = format!(
                "✖ It cannot be shown: {why}. The layout is unharmed and the file in the project is kept as it is; take another picture, or take this one away."
            );
            ui.add(Label::new(RichText::new(text).small().color(view.palette.wrong)).wrap());
        }
        Some(Shown::Coming) | None => {
            quiet(ui, "It is being read …", view.palette);
        }
        Some(Shown::Ready(_)) => {}
    }
    let seen = Field::figure(
        Id::unique("underlay opacity"),
        "How much of the picture is seen",
        percent_text(underlay.opacity),
    );
    let mut pen = Pen { view, fields: &mut own.fields, actions };
    let seen_as =
        |opacity: f64| Edit::SetUnderlay(Some(Box::new(Underlay { opacity, ..underlay.clone() })));
    pen.row(ui, "Seen", &seen, |text| {
        let percent = parse_unit(text, "%", "a share such as 60 %")?;
        Ok(seen_as(percent / 100.0))
    });
    ui.horizontal(|ui| {
        label_cell(ui, "", view.palette);
        for (word, by) in [("Fainter", -0.1), ("Stronger", 0.1)] {
            let opacity = ((underlay.opacity + by) * 10.0).round() / 10.0;
            let is_enabled = (0.0..=1.0).contains(&opacity);
            ui.add_enabled_ui(is_enabled, |ui| {
                if word_button(ui, word, view.palette.chosen).clicked() {
                    pen.edit(seen_as(opacity));
                }
            });
        }
    });
    let field = Field::figure(
        Id::unique("underlay width"),
        "Width of the picture on the layout",
        format!("{} mm", trim_zeros(&format!("{:.1}", underlay.width_mm))),
    );
    pen.row(ui, "Width drawn", &field, |text| {
        let width_mm = parse_positive(text, "mm", "a width such as 200 mm")?;
        Ok(Edit::SetUnderlay(Some(Box::new(Underlay { width_mm, ..underlay.clone() }))))
    });
    let is_held = view.layout == Some(LayoutItem::Underlay);
    ui.horizontal_wrapped(|ui| {
        let word = if is_held { "Leave it where it is" } else { "Move it" };
        if word_button(ui, word, view.palette.chosen).clicked() {
            let item = if is_held { None } else { Some(LayoutItem::Underlay) };
            actions.push(Action::SelectLayout(item));
        }
        if word_button(ui, "Take it away", view.palette.chosen).clicked() {
            actions.edit(Edit::SetUnderlay(None));
        }
    });
    if is_held {
        quiet(ui, "Drag it on the layout; its lower right corner makes it larger.", view.palette);
    }
}

/// How many millimetres of the machine one of the layout stands for.
fn scale_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    lens: Option<Lens>,
    actions: &mut Actions,
) {
    heading(ui, "Scale");
    match view.project.layout_scale {
        None => {
            let words = "Not known. Mark a stretch whose length you know by two clicks; then every run says how long it is as drawn. The rope stays what counts.";
            quiet(ui, words, view.palette);
        }
        Some(scale) => {
            let text =
                format!("1 mm drawn is {} of the machine.", view.preferences.length_text(scale));
            quiet(ui, text, view.palette);
        }
    }
    ui.horizontal_wrapped(|ui| {
        let word = "This stretch is …";
        if let Some(lens) = lens
            && word_button(ui, word, view.palette.chosen).clicked()
        {
            take_input(view, own, &lens, Input::Measure, actions);
        }
        if view.project.layout_scale.is_some()
            && word_button(ui, "Forget the scale", view.palette.chosen).clicked()
        {
            actions.edit(Edit::SetLayoutScale(None));
        }
    });
}
