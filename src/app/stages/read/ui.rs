//! The stage: header, large ruler, findings, table.

use egui::{RichText, Ui};

use crate::app::action::{Action, Actions};
use crate::app::reading::capital;
use crate::app::ruler::{RulerMemo, RulerSize, SUMMARY_FROM, current_row, ruler_plot_ui};
use crate::app::stages::read::header::{findings_ui, header_ui};
use crate::app::stages::read::rows::{Filter, Sort, shown_rows};
use crate::app::stages::read::table::{TableFacts, step_by_keys, table_ui};
use crate::app::theme;
use crate::app::view::View;
use crate::edit::Revision;
use crate::model::{SensePin, SensePinId};
use crate::sense::PinTable;

/// Below this height header, ruler and table no longer fit above each other.
const LEAST_HEIGHT: f32 = 300.0;

/// What the order of the rows was reckoned from.
type OrderOf = (Revision, bool, SensePinId, Filter, Sort);

/// What the stage remembers between frames.
#[derive(Default)]
pub struct ReadState {
    /// What was chosen; until then the worst of a very large table, else all.
    filter: Option<Filter>,
    sort: Sort,
    order: Vec<usize>,
    order_of: Option<OrderOf>,
    /// State the table was last scrolled to.
    scrolled_to: Option<usize>,
    ruler: RulerMemo,
}

impl ReadState {
    fn filter(&self, table: &PinTable) -> Filter {
        let is_large = table.rows.len() > SUMMARY_FROM;
        self.filter.unwrap_or(if is_large { Filter::Worst } else { Filter::All })
    }
}

/// Stage Read: the state table and the band ruler.
pub fn read_ui(ui: &mut Ui, view: View<'_>, own: &mut ReadState, actions: &mut Actions) {
    let Some((id, pin)) = view.pin.and_then(|id| Some((id, view.project.sense_pins.get(id)?)))
    else {
        let text = "No sense pin yet. In stage Sketch, select a controller and make one of its cavities a sense pin; \
                    then every position of every control is read here.";
        lone_text_ui(ui, view, text);
        return;
    };
    let Some(table) = view.derived.table(id) else {
        let text = view.derived.failure().map_or_else(|| view.derived.waiting_words(), capital);
        lone_text_ui(ui, view, &text);
        return;
    };
    ui.spacing_mut().item_spacing.y = 6.0;
    if ui.available_height() >= LEAST_HEIGHT {
        content_ui(ui, view, (id, pin, table), own, actions);
        return;
    }
    // Large text in a small window: the whole stage scrolls, and the table keeps a useful height.
    egui::ScrollArea::vertical().id_salt("stage Read").auto_shrink(false).show(ui, |ui| {
        let size = egui::vec2(ui.available_width(), LEAST_HEIGHT + 60.0);
        ui.allocate_ui(size, |ui| {
            ui.set_max_height(size.y);
            content_ui(ui, view, (id, pin, table), own, actions);
        });
    });
}

fn content_ui(
    ui: &mut Ui,
    view: View<'_>,
    (id, pin, table): (SensePinId, &SensePin, &PinTable),
    own: &mut ReadState,
    actions: &mut Actions,
) {
    let mut filter = own.filter(table);
    header_ui(ui, view, pin, table, &mut filter);
    if filter != own.filter(table) {
        own.filter = Some(filter);
    }
    match own.ruler.facts(view, id, pin, table) {
        Ok(facts) => {
            let height = (ui.available_height() * 0.36).clamp(110.0, 250.0);
            ui.allocate_ui(egui::vec2(ui.available_width(), height), |ui| {
                ui.set_min_height(height);
                ruler_plot_ui(ui, view, (pin, table), facts, RulerSize::Large, actions);
            });
        }
        Err(sentence) => {
            ui.label(RichText::new(capital(sentence)).color(view.palette.quiet));
        }
    }
    findings_ui(ui, view, &table.findings, actions);
    states_ui(ui, view, (id, table), own, actions);
}

fn lone_text_ui(ui: &mut Ui, view: View<'_>, text: &str) {
    ui.add_space(24.0);
    ui.label(RichText::new(view.stage.question()).font(theme::bold(theme::TEXT_HEADING)));
    ui.label(RichText::new(text).color(view.palette.quiet));
}

fn states_ui(
    ui: &mut Ui,
    view: View<'_>,
    (id, table): (SensePinId, &PinTable),
    own: &mut ReadState,
    actions: &mut Actions,
) {
    let Some(pin) = view.project.sense_pins.get(id) else { return };
    let revision = view.history.revision();
    let filter = own.filter(table);
    let of = (revision, view.derived.is_current(revision), id, filter, own.sort);
    if own.order_of != Some(of) {
        own.order = shown_rows(pin, table, filter, own.sort);
        own.order_of = Some(of);
    }
    if own.order.is_empty() {
        let text = match filter {
            Filter::All | Filter::Worst => "No states: no control can change this reading.",
            Filter::Problems => "No problems: every state is right over its whole range.",
        };
        ui.label(RichText::new(text).color(view.palette.quiet));
        return;
    }
    let current = current_row(view.project, table, view.bench);
    let mut place = current.and_then(|row| own.order.iter().position(|idx| *idx == row));
    if let Some(to) = step_by_keys(ui, place, own.order.len()) {
        place = Some(to);
        if let Some(row) = table.rows.get(own.order[to]) {
            actions.push(Action::GoToState(row.state.clone()));
            ui.ctx().request_repaint();
        }
    }
    // The table follows the controls, but leaves a hand that scrolls alone.
    let moved = place.filter(|place| own.scrolled_to != Some(*place));
    if moved.is_some() {
        own.scrolled_to = place;
    }
    let facts = TableFacts { pin, table, shown: &own.order, current: place, scroll_to: moved };
    let mut sort = own.sort;
    let clicked = table_ui(ui, view, &facts, &mut sort, actions);
    if clicked.is_some() {
        // What was clicked is in sight already.
        own.scrolled_to = clicked;
    }
    if sort != own.sort {
        own.sort = sort;
        own.scrolled_to = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::{Bench, ladder};
    use crate::model::State;
    use egui::Key;
    use egui_kittest::Harness;
    use egui_kittest::kittest::Queryable;

    struct Stage(Bench, ReadState);

    fn stage(bench: Bench) -> Harness<'static, Stage> {
        Harness::builder()
            .with_size(egui::vec2(1000.0, 700.0))
            .with_context_setup(theme::install_fonts)
            .build_ui_state(
                |ui, stage: &mut Stage| {
                    theme::apply(ui.ctx(), &stage.0.preferences);
                    let (view, actions) = stage.0.split();
                    read_ui(ui, view, &mut stage.1, actions);
                },
                Stage(bench, ReadState::default()),
            )
    }

    #[test]
    fn a_click_on_a_row_moves_the_controls_there() {
        let mut harness = stage(Bench::new(ladder().0));
        harness.run();
        harness.get_by_label("Row Gate HOLD, Lever fore").click();
        harness.run();
        let ids: Vec<_> = harness.state().0.history.project().controls.ids().collect();
        let actions = harness.state_mut().0.actions.take();
        let [Action::GoToState(state)] = actions.as_slice() else { panic!("{actions:?}") };
        assert_eq!((state.0.get(&ids[0]), state.0.get(&ids[1])), (Some(&1), Some(&2)));
    }

    #[test]
    fn arrow_keys_go_from_state_to_state_and_the_filter_leaves_problems() {
        let mut harness = stage(Bench::new(ladder().0));
        harness.run();
        harness.key_press(Key::ArrowDown);
        harness.run();
        let actions = harness.state_mut().0.actions.take();
        assert!(
            matches!(actions.as_slice(), [Action::GoToState(state)] if *state != State::rest()),
            "{actions:?}"
        );
        let all = harness.state().1.order.len();
        harness.get_by_label("Show problems only").click();
        harness.run();
        let stage = harness.state();
        assert!(stage.1.order.len() < all);
        let id = stage.0.history.project().sense_pins.ids().next().unwrap();
        let table = stage.0.derived.table(id).unwrap();
        assert!(
            stage
                .1
                .order
                .iter()
                .all(|idx| table.rows[*idx].verdict != Some(crate::sense::Verdict::Ok))
        );
    }

    #[test]
    fn headings_sort() {
        let mut harness = stage(Bench::new(ladder().0));
        harness.run();
        harness.get_by_label("Sort by Ohms").click();
        harness.run();
        let rising = harness.state().1.order.clone();
        harness.get_by_label("Sort by Ohms").click();
        harness.run();
        let stage = harness.state();
        let id = stage.0.history.project().sense_pins.ids().next().unwrap();
        let rows = &stage.0.derived.table(id).unwrap().rows;
        assert!(rising.is_sorted_by(|a, b| rows[*a].ohm.nominal <= rows[*b].ohm.nominal));
        assert!(stage.1.order.is_sorted_by(|a, b| rows[*a].ohm.nominal >= rows[*b].ohm.nominal));
        assert_ne!(rising, stage.1.order);
    }

    #[test]
    fn without_a_pin_the_stage_says_how_to_get_one() {
        let harness = stage(Bench::new(crate::model::Project::empty("New")));
        harness.get_by_label_contains("No sense pin yet");
    }
}
