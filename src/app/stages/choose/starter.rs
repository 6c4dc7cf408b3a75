//! The page that asks what is known before there is a drawing, and draws the ladder.

mod form;
mod outcome;

use egui::{Checkbox, Id, RichText, TextEdit, Ui};

use crate::app::action::Actions;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Half, choice_wide, halves_ui, label_cell, quiet};
use crate::model::{Scale, Settings, Side};
use crate::series::Series;
use crate::study::starter::{Device, Join, Plan, Wanted, names_from_text};

use form::Form;

/// Width of the choice of what asks for an action.
const DEVICE_WIDTH: f32 = 92.0;

/// What the page remembers between frames.
#[derive(Default)]
pub struct StarterState {
    form: Form,
    known: Option<Known>,
}

/// A plan, and what it was made for.
struct Known {
    form: Form,
    settings: Settings,
    answer: Result<(Wanted, Plan), String>,
}

/// The questions beside the ladder they make.
pub fn starter_ui(ui: &mut Ui, view: View<'_>, own: &mut StarterState, actions: &mut Actions) {
    let (title, words) = if view.project.sense_pins.is_empty() {
        (
            "No sense pin yet",
            "Say what the machine shall do and what is known of the controller, and start with a ladder that is drawn, valued and checked; or make a cavity of a controller a sense pin.",
        )
    } else {
        (
            "Another ladder",
            "It is drawn below what is on the sheet, with a controller and a pin of its own.",
        )
    };
    ui.label(RichText::new(title).font(theme::bold(theme::TEXT_HEADING)));
    quiet(ui, words, view.palette);
    let settings = &view.project.settings;
    let is_known = own
        .known
        .as_ref()
        .is_some_and(|known| known.form == own.form && known.settings == *settings);
    if !is_known {
        own.known = Some(Known {
            answer: own.form.plan(settings),
            form: own.form.clone(),
            settings: settings.clone(),
        });
    }
    let StarterState { form, known } = own;
    halves_ui(ui, 0.5, &mut |ui, half| match half {
        Half::First => {
            actions_ui(ui, view, form);
            papers_ui(ui, view, form);
            parts_ui(ui, view, form);
        }
        Half::Second => {
            if let Some(known) = &known {
                outcome::outcome_ui(ui, view, &known.answer, actions);
            }
        }
    });
}

/// A label and what stands behind it.
fn row(ui: &mut Ui, view: View<'_>, label: &str, add: impl FnOnce(&mut Ui)) {
    ui.horizontal(|ui| {
        label_cell(ui, label, view.palette);
        add(ui);
    });
}

fn field(ui: &mut Ui, text: &mut String, name: &str, (hint, width): (&str, f32)) {
    let width = width.min(ui.available_width() - 4.0);
    ui.add(TextEdit::singleline(text).hint_text(hint).desired_width(width)).accessible_name(name);
}

/// What the machine shall do, and what asks for it where.
fn actions_ui(ui: &mut Ui, view: View<'_>, form: &mut Form) {
    row(ui, view, "Actions", |ui| {
        field(ui, &mut form.actions, "Actions", ("UP, DOWN, HOLD", 300.0));
    });
    row(ui, view, "Idle band", |ui| {
        field(ui, &mut form.idle, "Name of nothing asked for", ("idle", 110.0));
    });
    row(ui, view, "Stations", |ui| {
        field(ui, &mut form.stations, "Stations", ("one; or column, rim", 300.0));
    });
    let actions = names_from_text(&form.actions);
    let stations = form.station_names();
    if !actions.is_empty() {
        if stations.len() > 1 {
            ui.horizontal(|ui| {
                label_cell(ui, "", view.palette);
                for station in &stations {
                    let words = RichText::new(station).small().color(view.palette.quiet);
                    let label = egui::Label::new(words).truncate().halign(egui::Align::LEFT);
                    ui.add_sized([DEVICE_WIDTH, 16.0], label);
                }
            });
        }
        for (n, action) in actions.iter().enumerate() {
            ui.horizontal_wrapped(|ui| {
                label_cell(ui, action, view.palette);
                for (at, station) in stations.iter().enumerate() {
                    device_ui(ui, (action, station), (n, at), form);
                }
            });
        }
        if form.has_lever(actions.len(), stations.len()) {
            quiet(ui, "Two lever actions of one station, in order, share one lever.", view.palette);
        }
    }
    ui.add_space(4.0);
    row(ui, view, "Switches", |ui| {
        ui.selectable_value(&mut form.join, Join::Chain, "in a chain")
            .on_hover_text("A resistor between neighbours; the switch nearer the pin wins");
        ui.selectable_value(&mut form.join, Join::SideBySide, "side by side")
            .on_hover_text("A resistor for each; what is pressed together reads as something else");
    });
    row(ui, view, "", |ui| {
        ui.add(Checkbox::new(&mut form.has_end, "end resistor"))
            .on_hover_text("Tells a broken wire from nothing pressed");
    });
}

fn device_ui(
    ui: &mut Ui,
    (action, station): (&str, &str),
    (n, at): (usize, usize),
    form: &mut Form,
) {
    let name = if station.is_empty() {
        format!("What asks for {action}")
    } else {
        format!("What asks for {action} at {station}")
    };
    let now = form.device(n, at);
    let word = |device: Option<Device>| device.map_or("none", Device::word);
    let options = Device::ALL.map(Some).into_iter().chain([None]);
    let options = options.map(|device| (word(device).to_owned(), device));
    let id = Id::unique(("starter device", n, at));
    if let Some(picked) = choice_wide(ui, id, (&name, DEVICE_WIDTH), word(now), options) {
        form.set_device(n, at, picked);
    }
}

/// What the controller's papers say.
fn papers_ui(ui: &mut Ui, view: View<'_>, form: &mut Form) {
    ui.add_space(4.0);
    ui.label(RichText::new("What the controller's papers say").font(theme::bold(theme::TEXT_BODY)));
    row(ui, view, "Side", |ui| {
        ui.selectable_value(&mut form.side, Side::Ground, "ground side")
            .on_hover_text("Switches join the pin to the return; the pull goes up");
        ui.selectable_value(&mut form.side, Side::Supply, "supply side")
            .on_hover_text("Switches join the pin to the reference; the pull goes down");
    });
    row(ui, view, "Pull", |ui| {
        field(ui, &mut form.pull, "Pull", ("not known", 90.0));
        ui.label("±");
        field(ui, &mut form.pull_tolerance, "Tolerance of the pull", ("1 %", 54.0));
    });
    row(ui, view, "Reference", |ui| {
        field(ui, &mut form.reference, "Reference", ("not known", 90.0));
        ui.label("±");
        field(ui, &mut form.reference_tolerance, "Tolerance of the reference", ("1 %", 54.0));
    });
    row(ui, view, "Bands in", |ui| {
        for (scale, word) in [
            (Scale::Ohm, "ohms"),
            (Scale::Volt, "volts"),
            (Scale::Count, "counts"),
            (Scale::Percent, "percent"),
        ] {
            ui.selectable_value(&mut form.scale, scale, word);
        }
    });
    if form.scale == Scale::Count {
        row(ui, view, "Greatest count", |ui| {
            field(ui, &mut form.max_count, "Greatest count", ("1023", 90.0));
        });
    }
    row(ui, view, "The bands", |ui| {
        ui.selectable_value(&mut form.has_bands, false, "can be taught");
        ui.selectable_value(&mut form.has_bands, true, "stand");
    });
    if form.has_bands {
        let width = ui.available_width() - 6.0;
        ui.add(
            TextEdit::multiline(&mut form.bands)
                .hint_text(
                    "A band a line, name and edges:\nUP 0.58 0.86\nidle 2.3 2.75\nopen 3.1 -",
                )
                .desired_rows(4)
                .desired_width(width),
        )
        .accessible_name("Bands of the papers");
    }
}

fn parts_ui(ui: &mut Ui, view: View<'_>, form: &mut Form) {
    ui.add_space(4.0);
    row(ui, view, "Resistors", |ui| {
        let options = Series::ALL.map(|series| (series.to_string(), series));
        let now = form.series.to_string();
        let id = Id::unique("starter series");
        if let Some(picked) = choice_wide(ui, id, ("Series of the ladder", 84.0), &now, options) {
            form.series = picked;
        }
        ui.label("±");
        field(ui, &mut form.tolerance, "Tolerance of the resistors", ("1 %", 54.0));
    });
}
