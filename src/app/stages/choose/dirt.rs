//! The dirt budget: how much each place stands before a state is lost.

use egui::{Label, RichText, Sense, Ui};

use crate::app::action::{Action, Actions};
use crate::app::reading::capital;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::model::SensePinId;
use crate::study::budget::{Budget, BudgetRow, Dirt};
use crate::units::{format_ohm, format_volt};

/// The weakest state of every place, the weakest place of its kind first.
pub fn dirt_ui(ui: &mut Ui, view: View<'_>, pin: SensePinId, actions: &mut Actions) {
    ui.label(RichText::new("Dirt budget").font(theme::bold(theme::TEXT_BODY)));
    match view.studies.budget(view.history.revision(), pin) {
        None => {
            ui.horizontal(|ui| {
                ui.spinner();
                ui.label("Reckoning what each place stands …");
            });
        }
        Some(None) => {
            quiet(ui, "The budget could not be reckoned; the project is unharmed.", view.palette);
        }
        Some(Some(Err(sentence))) => {
            quiet(ui, format!("{}.", capital(sentence)), view.palette);
        }
        Some(Some(Ok(budget))) => budget_ui(ui, view, budget, actions),
    }
}

fn budget_ui(ui: &mut Ui, view: View<'_>, budget: &Budget, actions: &mut Actions) {
    let weakest = weakest_of_each_place(budget);
    if weakest.is_empty() {
        quiet(ui, "No state asks for an action that dirt could spoil.", view.palette);
        return;
    }
    quiet(
        ui,
        "Total at which the weakest state of each place is lost, all else at its usual value. Click a line to move the controls there.",
        view.palette,
    );
    let mut last = None;
    for rows in alike(&weakest) {
        let first = rows[0];
        if last.replace(first.dirt) != Some(first.dirt) {
            ui.add_space(6.0);
            let word = RichText::new(dirt_word(first.dirt)).font(theme::bold(theme::TEXT_SMALL));
            ui.label(word.color(view.palette.quiet));
        }
        let places: Vec<&str> = rows.iter().map(|row| row.place.as_str()).collect();
        let all = BudgetRow { place: places.join(" or "), ..first.clone() };
        let response = ui.add(Label::new(all.words(figure)).wrap().sense(Sense::click()));
        let response = response.on_hover_cursor(egui::CursorIcon::PointingHand);
        if response.clicked() {
            actions.push(Action::GoToState(budget.states[first.state].clone()));
        }
    }
}

/// Rows that say the same of several places, together.
fn alike<'b>(rows: &[&'b BudgetRow]) -> Vec<Vec<&'b BudgetRow>> {
    let is_alike = |a: &BudgetRow, b: &BudgetRow| {
        (a.dirt, a.state, a.becomes.as_ref().map(|b| &b.1))
            == (b.dirt, b.state, b.becomes.as_ref().map(|b| &b.1))
            && (a.leaves / b.leaves - 1.0).abs() < 1e-6
    };
    let mut groups: Vec<Vec<&BudgetRow>> = Vec::new();
    for row in rows {
        match groups.iter_mut().find(|group| is_alike(group[0], row)) {
            Some(group) => group.push(row),
            None => groups.push(vec![row]),
        }
    }
    groups
}

/// One row a place, weakest place first within its kind.
fn weakest_of_each_place(budget: &Budget) -> Vec<&BudgetRow> {
    let mut rows: Vec<&BudgetRow> = Vec::new();
    for row in &budget.rows {
        if rows.last().is_none_or(|last| (last.dirt, &last.place) != (row.dirt, &row.place)) {
            rows.push(row);
        }
    }
    let weight = |row: &BudgetRow| match row.dirt {
        Dirt::Leak => -row.leaves,
        Dirt::Contact | Dirt::Joint | Dirt::Wire | Dirt::Offset => row.leaves,
    };
    rows.sort_by(|a, b| a.dirt.cmp(&b.dirt).then(weight(a).total_cmp(&weight(b))));
    rows
}

/// A figure that keeps its unit on its line.
fn figure(dirt: Dirt, value: f64) -> String {
    let text = match dirt {
        Dirt::Contact | Dirt::Joint | Dirt::Wire | Dirt::Leak => format_ohm(value),
        Dirt::Offset => format_volt(value),
    };
    text.replace(' ', "\u{a0}")
}

fn dirt_word(dirt: Dirt) -> &'static str {
    match dirt {
        Dirt::Contact => "Contacts",
        Dirt::Joint => "Joints of connectors",
        Dirt::Wire => "Wires",
        Dirt::Leak => "Leak",
        Dirt::Offset => "Ground offset",
    }
}
