//! Page Faults: what each fault or building mistake looks like.

use std::collections::BTreeSet;

use egui::{RichText, TextEdit, Ui};

use crate::app::action::Actions;
use crate::app::reading::pin_title;
use crate::app::stages::breaking::{beside_ui, detail, table};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::model::{Harm, SensePin, SensePinId};
use crate::study::faults::{Effect, FaultRow, MAX_STATES, Survey};

/// What the page remembers between frames.
#[derive(Default)]
pub struct FaultsState {
    /// Only faults with this effect.
    only: Option<Effect>,
    /// Only faults that make a dangerous action.
    only_dangerous: bool,
    /// Only faults whose words hold this text.
    wanted: String,
    /// Title of the fault that is looked at.
    chosen: Option<String>,
}

/// Height of the table in a narrow window.
const NARROW_TABLE: f32 = 170.0;
/// Room for the sentences beneath while no fault is picked.
const BENEATH: f32 = 112.0;

/// Every fault of the pin shown, the most harmful first, and what the chosen one does.
pub fn faults_ui(
    ui: &mut Ui,
    view: View<'_>,
    (id, pin): (SensePinId, &SensePin),
    own: &mut FaultsState,
    actions: &mut Actions,
) {
    match view.studies.faults(view.history.revision(), id) {
        None => {
            ui.horizontal(|ui| {
                ui.spinner();
                ui.label("Trying every fault in every state …");
            });
        }
        Some(None) => {
            let words = format!(
                "There is nothing to try: {} has no network, or more than {MAX_STATES} states.",
                pin_title(view.project, pin)
            );
            quiet(ui, words, view.palette);
        }
        Some(Some(survey)) => survey_ui(ui, view, (pin, survey), own, actions),
    }
}

fn survey_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, survey): (&SensePin, &Survey),
    own: &mut FaultsState,
    actions: &mut Actions,
) {
    head_ui(ui, view, (pin, survey), own);
    ui.add_space(4.0);
    let shown = shown_rows(survey, own);
    let chosen = own
        .chosen
        .as_ref()
        .and_then(|title| survey.rows.iter().position(|row| row.fault.title == *title));
    // Both parts say what a hand did, so each collects for itself.
    let (mut of_table, mut of_detail) = (Actions::default(), Actions::default());
    let table = |ui: &mut Ui| {
        if let Some(row) = table::table_ui(ui, view, (pin, survey), (&shown, chosen)) {
            own.chosen = Some(survey.rows[row].fault.title.clone());
            detail::go_there(view, survey, row, &mut of_table);
        }
    };
    let detail = |ui: &mut Ui| match chosen {
        Some(row) => detail::detail_ui(ui, view, (pin, survey, row), &mut of_detail),
        None => {
            quiet(
                ui,
                "Pick a fault: the controls go where it is worst, and its place is selected on the sheet.",
                view.palette,
            );
            cautions_ui(ui, view);
        }
    };
    // While none is picked there is little beneath the list.
    let room = match chosen {
        Some(_) => NARROW_TABLE,
        None => (ui.available_height() - BENEATH).max(NARROW_TABLE),
    };
    beside_ui(ui, room, table, detail);
    for action in of_table.take().into_iter().chain(of_detail.take()) {
        actions.push(action);
    }
}

/// What stands beside every list of faults.
fn cautions_ui(ui: &mut Ui, view: View<'_>) {
    ui.add_space(6.0);
    for words in [
        "Readings are usual values; tolerances can make a fault look like its neighbour.",
        "A list of faults is no proof of safety: what can hurt somebody when it moves unasked needs an independent stop. Local rules and licensed practice go first.",
    ] {
        quiet(ui, format!("• {words}"), view.palette);
    }
}

/// The pin, and how many faults do what; each count filters.
fn head_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, survey): (&SensePin, &Survey),
    own: &mut FaultsState,
) {
    ui.horizontal_wrapped(|ui| {
        let title = format!("Faults of {}", pin_title(view.project, pin));
        ui.label(RichText::new(title).font(theme::bold(theme::TEXT_HEADING)));
        let all = own.only.is_none() && !own.only_dangerous;
        if ui.selectable_label(all, format!("all {}", survey.rows.len())).clicked() {
            (own.only, own.only_dangerous) = (None, false);
        }
        let n = survey.rows.iter().filter(|row| row.harm == Harm::Dangerous).count();
        if n > 0 {
            let words = RichText::new(format!("⚠ {n} dangerous")).color(view.palette.wrong);
            if ui.selectable_label(own.only_dangerous, words).clicked() {
                (own.only, own.only_dangerous) = (None, !own.only_dangerous);
            }
        }
        for effect in [Effect::WrongAction, Effect::Dead, Effect::Detected, Effect::Silent] {
            let n = survey.rows.iter().filter(|row| row.worst == effect).count();
            let words = format!("{} {n} {}", table::effect_sign(effect), effect.word());
            if n > 0 && ui.selectable_label(own.only == Some(effect), words).clicked() {
                own.only = if own.only == Some(effect) { None } else { Some(effect) };
                own.only_dangerous = false;
            }
        }
        let field = TextEdit::singleline(&mut own.wanted)
            .hint_text("part, wire or kind …")
            .desired_width(150.0);
        ui.add(field).accessible_name("Find a fault");
    });
}

/// Rows that pass the filters, by index.
fn shown_rows(survey: &Survey, own: &FaultsState) -> Vec<usize> {
    let wanted = own.wanted.trim().to_lowercase();
    let passes = |row: &FaultRow| {
        own.only.is_none_or(|effect| row.worst == effect)
            && (!own.only_dangerous || row.harm == Harm::Dangerous)
            && (wanted.is_empty()
                || row.fault.title.to_lowercase().contains(&wanted)
                || row.fault.kind.word().contains(&wanted))
    };
    let rows: BTreeSet<usize> =
        (0..survey.rows.len()).filter(|idx| passes(&survey.rows[*idx])).collect();
    rows.into_iter().collect()
}
