//! A table of wires beside the work: pasted or opened, matched, looked at, and taken over when confirmed.

mod matching;
mod preview;

use std::hash::{DefaultHasher, Hash, Hasher};

use egui::{Button, RichText, TextEdit, Ui};

use crate::app::action::{Action, Actions};
use crate::app::command::Command;
use crate::app::studies::{Job, Kept};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{heading, quiet};
use crate::edit::Revision;
use crate::tables::{Delimiter, ImportPlan, Matching, Missing, Moving, RawTable, plan, read_table};

/// Longer texts are counted instead of shown for editing.
const EDITABLE_BYTES: usize = 40_000;
/// More problems than this are counted instead of listed.
const PROBLEMS_LISTED: usize = 8;

/// Where table and project together have more rows, the plan is made beside the window: names are
/// looked up in the whole project, whatever is typed.
const PLANNED_AT_ONCE: usize = 400;

/// What the page remembers between frames.
#[derive(Default)]
pub struct WireTableState {
    text: String,
    /// Tells whether the text is still the one that was read, without a second text.
    text_hash: u64,
    /// The file it came from.
    source: Option<String>,
    /// The delimiter a hand chose; told from the text without it.
    delimiter: Option<Delimiter>,
    read: Option<Result<Read, String>>,
    makes_missing: bool,
    /// Whether wires may be led to other ends.
    moves: bool,
    plan: Option<(Revision, ImportPlan)>,
    /// Counts what was asked, so that a late answer to an earlier question is told apart.
    asked: u64,
    /// The worker that plans a long table.
    worker: Kept<ImportPlan, (Revision, u64)>,
    /// How often a plan was made while the window waited.
    n_made_at_once: u64,
}

/// A table that could be taken apart.
struct Read {
    table: RawTable,
    matching: Matching,
}

impl WireTableState {
    /// Takes a text in, from a file or from nowhere, and understands it anew.
    pub fn take_text(&mut self, text: String, source: Option<String>) {
        let (makes_missing, asked) = (self.makes_missing, self.asked);
        *self = Self { text, source, makes_missing, asked, ..Self::default() };
        self.read_anew();
    }

    fn read_anew(&mut self) {
        self.forget_plan();
        self.text_hash = hash_of(&self.text);
        self.read = (!self.text.trim().is_empty()).then(|| {
            let table = read_table(&self.text, self.delimiter)?;
            let matching = Matching::guess(&table);
            Ok(Read { table, matching })
        });
    }

    /// The plan for the project as it is now; made again when anything has changed.
    fn refresh_plan(&mut self, view: View<'_>, ctx: &egui::Context) {
        let revision = view.history.revision();
        let Some(Ok(read)) = &self.read else { return };
        if self.plan.as_ref().is_some_and(|(of, _)| *of == revision) {
            return;
        }
        let project = view.project;
        let size = read.table.rows.len() + project.wires.len() + project.parts.len();
        if size > PLANNED_AT_ONCE {
            self.ask_worker(view, ctx);
            return;
        }
        let missing = if self.makes_missing { Missing::Make } else { Missing::Refuse };
        let moving = if self.moves { Moving::Take } else { Moving::Refuse };
        let made = plan(view.project, &read.table, &read.matching, (missing, moving));
        self.plan = Some((revision, made));
        self.n_made_at_once += 1;
    }
}

impl WireTableState {
    /// Forgets the plan: something it came from is different.
    fn forget_plan(&mut self) {
        self.plan = None;
        self.asked += 1;
    }

    /// Has a long table planned beside the window, and takes the answer when it is there.
    fn ask_worker(&mut self, view: View<'_>, ctx: &egui::Context) {
        let Some(Ok(read)) = &self.read else { return };
        let revision = view.history.revision();
        let key = (revision, self.asked);
        self.worker.take();
        if let Some(answer) = self.worker.of(key) {
            self.plan = answer.map(|plan| (revision, plan.clone()));
            return;
        }
        if self.worker.wants(key) {
            let missing = if self.makes_missing { Missing::Make } else { Missing::Refuse };
            let moving = if self.moves { Moving::Take } else { Moving::Refuse };
            let (project, table) = (view.project.clone(), read.table.clone());
            let matching = read.matching.clone();
            let job =
                Job::start(move |_| Some(plan(&project, &table, &matching, (missing, moving))));
            self.worker.start(key, job);
        }
        self.plan = None;
        ctx.request_repaint_after(std::time::Duration::from_millis(50));
    }
}

/// The page.
pub fn wire_table_ui(ui: &mut Ui, view: View<'_>, own: &mut WireTableState, actions: &mut Actions) {
    let words = "Paste a table with a row for each wire, or open one as CSV. Nothing is taken over before you confirm it.";
    quiet(ui, words, view.palette);
    source_ui(ui, view, own, actions);
    text_ui(ui, view, own);
    match &own.read {
        None => {
            heading(ui, "What a table may look like");
            let example =
                "from;to;size;colour;length\nX1-11;X2-2;0,5;VT/BK;815\nX1-3;X2-3;20 AWG;blue;0,9 m";
            ui.label(RichText::new(example).monospace());
            let words = "Terminals by their names in lists. Colours by the codes of IEC 60757 or English words, tracer behind a slash. Columns may stand in any order.";
            quiet(ui, words, view.palette);
            return;
        }
        Some(Err(sentence)) => {
            ui.label(RichText::new(format!("⚠ {sentence}.")).color(view.palette.wrong));
            return;
        }
        Some(Ok(_)) => {}
    }
    if matching::matching_ui(ui, view, own) {
        own.forget_plan();
    }
    own.refresh_plan(view, ui.ctx());
    if own.plan.is_none() {
        ui.horizontal(|ui| {
            ui.spinner();
            quiet(ui, "Looking at every row …", view.palette);
        });
    }
    preview::preview_ui(ui, view, own);
    outcome_ui(ui, view, own, actions);
}

/// Where a table comes from and goes to.
fn source_ui(ui: &mut Ui, view: View<'_>, own: &mut WireTableState, actions: &mut Actions) {
    ui.horizontal_wrapped(|ui| {
        for command in [Command::OpenWireTable, Command::ExportWires] {
            if ui.button(command.label()).on_hover_text(command.tip()).clicked() {
                actions.push(Action::Run(command));
            }
        }
        if !own.text.is_empty() && ui.button("Clear").clicked() {
            own.take_text(String::new(), None);
        }
        if let Some(source) = &own.source {
            ui.label(RichText::new(source).small().color(view.palette.quiet));
        }
    });
}

fn text_ui(ui: &mut Ui, view: View<'_>, own: &mut WireTableState) {
    if own.text.len() > EDITABLE_BYTES {
        let lines = own.text.lines().count();
        quiet(ui, format!("{lines} lines of text, too many to show here."), view.palette);
        return;
    }
    let is_typed =
        egui::ScrollArea::vertical().id_salt("wire table text").max_height(120.0).show(ui, |ui| {
            let edit = TextEdit::multiline(&mut own.text)
                .font(egui::TextStyle::Monospace)
                .desired_rows(4)
                .desired_width(f32::INFINITY)
                .hint_text("Paste here");
            ui.add(edit).accessible_name("Text of the wire table").changed()
        });
    // A key that changes nothing asks for nothing; a frame without one does not even look.
    if is_typed.inner && own.text_hash != hash_of(&own.text) {
        own.source = None;
        own.delimiter = None;
        own.read_anew();
    }
}

/// A number that is another one for another text.
fn hash_of(text: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    text.hash(&mut hasher);
    hasher.finish()
}

/// What is wrong, what would be done, and the button that does it.
fn outcome_ui(ui: &mut Ui, view: View<'_>, own: &mut WireTableState, actions: &mut Actions) {
    let Some(Ok(read)) = &own.read else { return };
    let Some((_, plan)) = &own.plan else { return };
    if !plan.problems.is_empty() {
        let n = plan.problems.len();
        heading(ui, &if n == 1 { "1 problem".into() } else { format!("{n} problems") });
        for problem in plan.problems.iter().take(PROBLEMS_LISTED) {
            let words = format!("⚠ {}.", problem.words(&read.matching));
            ui.add(egui::Label::new(RichText::new(words).small().color(view.palette.wrong)).wrap());
        }
        if n > PROBLEMS_LISTED {
            quiet(ui, format!("And {} more.", n - PROBLEMS_LISTED), view.palette);
        }
    }
    let tip = "In one row, with as many cavities as the table names; correct them afterwards";
    if ui
        .checkbox(&mut own.makes_missing, "Make connectors the project does not have")
        .on_hover_text(tip)
        .changed()
    {
        own.forget_plan();
        ui.ctx().request_repaint();
        return;
    }
    if (own.moves || plan.has_moves())
        && ui
            .checkbox(&mut own.moves, "Move wires the project has between other terminals")
            .on_hover_text(
                "A moved wire loses its corners, the places it must pass and its typed length",
            )
            .changed()
    {
        own.forget_plan();
        ui.ctx().request_repaint();
        return;
    }
    for made in &plan.made {
        let n = made.cavities;
        let words = format!("{} is made with {n} in a row, sockets, sealed.", made.name);
        quiet(ui, words, view.palette);
    }
    let (new, changed, same) = plan.counts();
    let words = format!("{new} new, {changed} changed, {same} as they are.");
    quiet(ui, words, view.palette);
    let n = new + changed;
    let label = if n == 1 { "Take over 1 wire".into() } else { format!("Take over {n} wires") };
    let text = RichText::new(label).font(theme::bold(theme::TEXT_BODY)).color(view.palette.card);
    let button = ui.add_enabled(plan.is_ready(), Button::new(text).fill(view.palette.live));
    let why = if plan.problems.is_empty() {
        "The project has all of them just so"
    } else {
        "First correct what is wrong: nothing is taken over in part"
    };
    let button = button.on_disabled_hover_text(why);
    if button.clicked()
        && let Some(edit) = plan.edit()
    {
        actions.edit(edit);
        let wires = if n == 1 { "1 wire".into() } else { format!("{n} wires") };
        actions.push(Action::Say(format!("{wires} taken over from the table, as one step.")));
        own.take_text(String::new(), None);
    }
    ui.add_space(8.0);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::AppState;
    use crate::samples;
    use crate::testing;

    fn refresh(state: &mut AppState, own: &mut WireTableState) {
        let (view, _, _, _) = state.split();
        own.refresh_plan(view, &egui::Context::default());
    }

    /// Counts the plans, not the time: one for each text, matching and revision.
    #[test]
    fn a_plan_is_made_once_for_each_text_and_revision() {
        let mut state = AppState::new(samples::open("forwarder").unwrap());
        let mut own = WireTableState::default();
        own.take_text("from,to,size,colour\nX1-12,X1-13,0.5,red\n".into(), None);
        for _ in 0..5 {
            refresh(&mut state, &mut own);
        }
        assert_eq!(own.n_made_at_once, 1);
        own.forget_plan();
        for _ in 0..5 {
            refresh(&mut state, &mut own);
        }
        assert_eq!(own.n_made_at_once, 2);
        let (_, plan) = own.plan.as_ref().unwrap();
        let edit = plan.edit().unwrap();
        crate::app::dispatch(&mut state, crate::app::Action::Edit(edit, None));
        for _ in 0..5 {
            refresh(&mut state, &mut own);
        }
        assert_eq!(own.n_made_at_once, 3, "the project is another one");
    }

    /// A short table against a large project waits for the worker, and the window does not.
    #[test]
    fn the_window_never_waits_for_a_large_project() {
        let project = testing::project(3, 600);
        assert!(project.parts.len() + project.wires.len() > PLANNED_AT_ONCE);
        let mut state = AppState::new(project);
        let mut own = WireTableState::default();
        own.take_text("from,to,size,colour\nX1-1,X1-2,0.5,red\n".into(), None);
        for _ in 0..1_000 {
            refresh(&mut state, &mut own);
            if own.plan.is_some() {
                break;
            }
            std::thread::sleep(std::time::Duration::from_millis(10));
        }
        assert!(own.plan.is_some(), "the worker answers");
        assert_eq!(own.n_made_at_once, 0);
    }
}
