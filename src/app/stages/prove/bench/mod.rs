//! Page "Bench test": the rounds, and the guided run through one of them, a step a screen.

mod connect;
mod entry;
mod guide;
mod rounds;
mod steps;

use egui::{RichText, Ui};

use crate::app::widgets::{Pen, quiet};
use crate::model::{BenchRun, BenchRunId};

/// What the page remembers between frames.
#[derive(Default)]
pub struct BenchState {
    /// The round that is worked on; the newest where none is picked.
    run: Option<BenchRunId>,
    /// Whether the guided run is shown, and not the rounds.
    is_running: bool,
    /// Put the cursor into the date of the round.
    focus_date: bool,
    /// The guided run's own state.
    guide: guide::GuideState,
}

impl BenchState {
    /// Whether the guided run is shown.
    pub fn is_running(&self) -> bool {
        self.is_running
    }
}

/// The page.
pub fn bench_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, own: &mut BenchState) {
    let view = pen.view;
    let run = own.run.filter(|id| view.project.bench_runs.contains(*id));
    let run = run.or_else(|| view.project.bench_runs.ids().next_back());
    let plan = view.studies.proving.plan(view.history.revision());
    let shown = run.and_then(|id| Some((id, view.project.bench_runs.get(id)?)));
    match (shown, plan) {
        (Some(shown), Some(Some(plan))) if own.is_running => {
            match guide::guide_ui(ui, pen, (plan, shown), &mut own.guide) {
                guide::Leave::Stay => {}
                guide::Leave::ToRounds => own.is_running = false,
                guide::Leave::ToDate => {
                    own.is_running = false;
                    own.focus_date = true;
                }
            }
        }
        (_, Some(None)) => {
            let words = "The bench test could not be worked out; the project is unharmed.";
            ui.label(RichText::new(words).color(view.palette.wrong));
            rounds::rounds_ui(ui, pen, (None, shown), own);
        }
        (_, None) if own.is_running => {
            ui.horizontal(|ui| {
                ui.spinner();
                quiet(ui, "Working the bench test out …", view.palette);
            });
        }
        (_, plan) => rounds::rounds_ui(ui, pen, (plan.flatten(), shown), own),
    }
}

/// `hand-over, 2027-03-14, KV`: what is known of a round.
fn run_words(run: &BenchRun) -> String {
    let known = [run.name.as_str(), run.date.as_str(), run.initials.as_str()];
    let known: Vec<&str> = known.into_iter().filter(|text| !text.is_empty()).collect();
    if known.is_empty() { "a round without a name".into() } else { known.join(", ") }
}
