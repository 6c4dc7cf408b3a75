//! The ladder a form makes, before it is drawn.

use egui::{Button, Grid, RichText, Ui};

use crate::app::action::{Action, Actions, Stage};
use crate::app::command::Command;
use crate::app::reading::number_text;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::model::{Project, Scale};
use crate::study::starter::{Join, Plan, Rung, Wanted, band_words, draw};
use crate::units::format_ohm;

/// Values, readings and bands, and the button that draws them.
pub fn outcome_ui(
    ui: &mut Ui,
    view: View<'_>,
    answer: &Result<(Wanted, Plan), String>,
    actions: &mut Actions,
) {
    let (wanted, plan) = match answer {
        Ok((wanted, plan)) => (wanted, plan),
        Err(sentence) => {
            quiet(ui, format!("{}.", capital(sentence)), view.palette);
            return;
        }
    };
    let button = Button::new(RichText::new("Draw it on the sheet").strong());
    let tip = "Parts, wires, controls, bands and what is asked for, as one step that can be undone";
    if ui.add(button).on_hover_text(tip).clicked() {
        draw_it(view.project, wanted, plan, actions);
    }
    ui.add_space(4.0);
    table_ui(ui, view, wanted, plan);
    ui.add_space(4.0);
    verdict_ui(ui, view, wanted, plan);
}

fn draw_it(project: &Project, wanted: &Wanted, plan: &Plan, actions: &mut Actions) {
    match draw(project, wanted, plan) {
        Ok(drawn) => {
            actions.edit(drawn.edit);
            actions.push(Action::ShowPin(drawn.pin));
            actions.push(Action::ShowStage(Stage::Sketch));
            actions.push(Action::Run(Command::Fit));
        }
        Err(sentence) => actions.push(Action::Say(format!("Not drawn: {sentence}."))),
    }
}

fn capital(sentence: &str) -> String {
    let mut chars = sentence.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}

fn table_ui(ui: &mut Ui, view: View<'_>, wanted: &Wanted, plan: &Plan) {
    let title = |ui: &mut Ui, text: &str| {
        let font = theme::bold(theme::TEXT_SMALL);
        ui.label(RichText::new(text).font(font).color(view.palette.quiet));
    };
    Grid::new("ladder").spacing([14.0, 5.0]).show(ui, |ui| {
        for word in ["Asked for", "Resistor", "Reads", "Band"] {
            title(ui, word);
        }
        ui.end_row();
        for rung in &plan.rungs {
            let name = rung
                .action
                .map_or(wanted.idle.as_str(), |action| wanted.actions[action].name.as_str());
            ui.label(RichText::new(name).strong());
            ui.label(rung.resistor_ohm.map_or("none".to_owned(), format_ohm));
            ui.label(reading_words(wanted, rung));
            let band = plan.pin.bands.iter().find(|band| band.name == name);
            ui.label(band.map_or("none".to_owned(), |band| band_words(band, plan.pin.scale)));
            ui.end_row();
        }
        let shown = |name: &str| {
            name == wanted.idle || wanted.actions.iter().any(|action| action.name == name)
        };
        for band in plan.pin.bands.iter().filter(|band| !shown(&band.name)) {
            ui.label(RichText::new(band.name.as_str()).color(view.palette.quiet));
            ui.label("");
            ui.label("");
            let words = band_words(band, plan.pin.scale);
            ui.label(RichText::new(words).color(view.palette.quiet));
            ui.end_row();
        }
    });
}

fn reading_words(wanted: &Wanted, rung: &Rung) -> String {
    match (wanted.known.scale, rung.scaled) {
        (Scale::Volt | Scale::Count | Scale::Percent, Some(scaled)) => {
            number_text(scaled.nominal, wanted.known.scale)
        }
        (Scale::Ohm | Scale::Volt | Scale::Count | Scale::Percent, _) => {
            format_ohm(rung.ohm.nominal)
        }
    }
}

fn verdict_ui(ui: &mut Ui, view: View<'_>, wanted: &Wanted, plan: &Plan) {
    match plan.margin {
        Some(margin) if margin >= 0.0 => {
            let words = format!(
                "✔ the worst case of every reading stays {} inside its band",
                number_text(margin, plan.pin.scale)
            );
            ui.label(RichText::new(words).color(view.palette.right));
        }
        Some(margin) => {
            let words = format!(
                "✖ the worst case of a reading leaves its band by {}",
                number_text(-margin, plan.pin.scale)
            );
            ui.label(RichText::new(words).color(view.palette.wrong));
        }
        None => {}
    }
    for sentence in &plan.clashes {
        let words = RichText::new(format!("✖ {sentence}")).color(view.palette.wrong);
        ui.add(egui::Label::new(words).wrap());
    }
    if !plan.clashes.is_empty() {
        quiet(
            ui,
            "In a chain the switch nearer the pin wins, and none of this happens.",
            view.palette,
        );
    }
    if wanted.join == Join::Chain && wanted.actions.len() > 1 {
        let first = plan.rungs.iter().find_map(|rung| rung.action);
        if let Some(first) = first {
            let words = format!(
                "{} is nearest the pin: it wins when several are pressed.",
                wanted.actions[first].name
            );
            quiet(ui, words, view.palette);
        }
    }
    if !wanted.has_end {
        let words = "Without an end resistor a broken wire reads as nothing asked for.";
        ui.label(RichText::new(format!("⚠ {words}")).small().color(view.palette.warning));
    }
    quiet(
        ui,
        "Values are spaced evenly; “Find the best values” searches them all once the ladder is drawn. What can hurt someone when it acts unasked, such as a start inhibit, does not belong on a shared wire: the maker's papers, local rules and licensed practice go first.",
        view.palette,
    );
}
