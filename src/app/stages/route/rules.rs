//! The project's rules for wire: temperatures, the rule for current, the limit for the drop, the insulation.

use egui::{Id, Ui};

use crate::app::stages::route::own_table::own_table_ui;
use crate::app::widgets::{
    Field, Pen, choice, heading, label_cell, number_text, parse_positive, percent_text, quiet,
    word_button,
};
use crate::edit::Edit;
use crate::harness::DROP_LIMITS;
use crate::model::{AmpacityRule, Insulation, Project, Wiring};
use crate::units::{parse_number, parse_percent};

/// A change of the rules as an edit.
pub fn rules_changed(project: &Project, change: impl FnOnce(&mut Wiring)) -> Edit {
    let mut settings = project.settings.clone();
    change(&mut settings.wiring);
    Edit::SetSettings(Box::new(settings))
}

fn parse_celsius(text: &str) -> Result<Option<f64>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let body = text.trim_end_matches("°C").trim();
    parse_number(body, "", "degrees Celsius such as 40 °C").map(Some).map_err(|e| e.to_string())
}

/// The page.
pub fn rules_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let project = pen.view.project;
    let rules = &project.settings.wiring;
    heading(ui, "Current");
    ui.horizontal(|ui| {
        label_cell(ui, "Rule", pen.view.palette);
        let now = rules.ampacity.map_or("none named yet", AmpacityRule::name);
        let named = AmpacityRule::ALL.map(|rule| (rule.name().to_owned(), Some(rule)));
        let options = std::iter::once(("none named yet".to_owned(), None)).chain(named);
        let picked = choice(ui, Id::unique("rule of current"), "Rule for current", now, options);
        if let Some(rule) = picked {
            pen.edit(rules_changed(project, |rules| rules.ampacity = rule));
        }
    });
    let words = "The rules disagree by design: boats, aircraft and vacuum differ. One is named, none is averaged; use the one your local rules ask for.";
    quiet(ui, words, pen.view.palette);
    celsius_ui(
        ui,
        pen,
        ("Around", "Temperature around the harness"),
        rules.ambient_c,
        |rules, c| {
            rules.ambient_c = c;
        },
    );
    celsius_ui(ui, pen, ("In hot zones", "Temperature in hot zones"), rules.hot_c, |rules, c| {
        rules.hot_c = c;
    });
    heading(ui, "Voltage drop, out and back");
    let shown = rules.drop_limit.map_or_else(String::new, percent_text);
    let field =
        Field::figure(Id::unique("drop limit"), "Limit of the drop", shown).hint("none set");
    pen.row(ui, "At most", &field, |text| {
        let text = text.trim();
        let limit = if text.is_empty() {
            None
        } else {
            Some(parse_percent(text).map_err(|error| error.to_string())?)
        };
        Ok(rules_changed(project, |rules| rules.drop_limit = limit))
    });
    ui.horizontal(|ui| {
        label_cell(ui, "", pen.view.palette);
        for limit in DROP_LIMITS {
            if word_button(ui, &percent_text(limit), pen.view.palette.chosen).clicked() {
                pen.edit(rules_changed(project, |rules| rules.drop_limit = Some(limit)));
            }
        }
        quiet(ui, "where it matters, elsewhere", pen.view.palette);
    });
    let shown = rules.supply_volt.map_or_else(String::new, |volt| number_text(volt, "V"));
    let field = Field::figure(Id::unique("drop supply"), "Voltage it is judged against", shown)
        .hint("drawn supply");
    pen.row(ui, "Of", &field, |text| {
        let text = text.trim();
        let volt = if text.is_empty() {
            None
        } else {
            Some(parse_positive(text, "V", "volts such as 12 V")?)
        };
        Ok(rules_changed(project, |rules| rules.supply_volt = volt))
    });
    insulation_ui(ui, pen);
    own_table_ui(ui, pen);
}

fn insulation_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let project = pen.view.project;
    let rules = &project.settings.wiring;
    heading(ui, "Wires that name no insulation");
    ui.horizontal(|ui| {
        label_cell(ui, "Insulation", pen.view.palette);
        let now = rules.insulation.map_or("not known", Insulation::noun);
        let types = Insulation::ALL.map(|kind| (kind.noun().to_owned(), Some(kind)));
        let options = std::iter::once(("not known".to_owned(), None)).chain(types);
        let picked =
            choice(ui, Id::unique("rule of insulation"), "Insulation of the project", now, options);
        if let Some(kind) = picked {
            pen.edit(rules_changed(project, |rules| rules.insulation = kind));
        }
    });
    quiet(
        ui,
        "Diameters of these types are from memory; what you measure goes first.",
        pen.view.palette,
    );
    celsius_ui(
        ui,
        pen,
        ("It stands", "Temperature the insulation stands"),
        rules.rating_c,
        |rules, c| {
            rules.rating_c = c;
        },
    );
}

fn celsius_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (label, name): (&str, &'static str),
    now: Option<f64>,
    put: impl FnOnce(&mut Wiring, Option<f64>),
) {
    let project = pen.view.project;
    let shown = now.map_or_else(String::new, |celsius| number_text(celsius, "°C"));
    let field = Field::figure(Id::unique(name), name, shown).hint("not known");
    pen.row(ui, label, &field, |text| {
        let celsius = parse_celsius(text)?;
        Ok(rules_changed(project, |rules| put(rules, celsius)))
    });
}
