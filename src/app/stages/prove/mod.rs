//! Stage Prove: the bench test, from readings to their cause, practice, wear, log, set-up and story.

mod arming;
mod bench;
mod cause;
mod log;
mod practice;
mod set_up;
mod wear;

use egui::{RichText, Ui};

use crate::app::action::{Action, Actions, Stage};
use crate::app::prove_studies::ProvePage;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Fields, Pen};

/// What the stage remembers between frames.
#[derive(Default)]
pub struct ProveState {
    fields: Fields,
    bench: bench::BenchState,
    cause: cause::CauseState,
    practice: practice::PracticeState,
    arming: arming::ArmingState,
    log: log::LogState,
}

impl ProveState {
    /// Whether the guided run is in sight.
    pub fn is_running(&self, view: View<'_>) -> bool {
        view.stage == Stage::Prove
            && view.studies.proving.page == ProvePage::Bench
            && self.bench.is_running()
    }
}

/// Stage Prove: the pages, and the one that is asked for.
pub fn prove_ui(ui: &mut Ui, view: View<'_>, own: &mut ProveState, actions: &mut Actions) {
    let page = view.studies.proving.page;
    pages_ui(ui, view, page, actions);
    let mut pen = Pen { view, fields: &mut own.fields, actions };
    match page {
        ProvePage::Bench => bench::bench_ui(ui, &mut pen, &mut own.bench),
        ProvePage::Cause => cause::cause_ui(ui, &mut pen, &mut own.cause),
        ProvePage::Practice => practice::practice_ui(ui, &mut pen, &mut own.practice),
        ProvePage::Wear => wear::wear_ui(ui, &mut pen),
        ProvePage::SetUp => set_up::set_up_ui(ui, &mut pen),
        ProvePage::Arming => arming::arming_ui(ui, &mut pen, &mut own.arming),
        ProvePage::Log => log::log_ui(ui, &mut pen, &mut own.log),
    }
}

fn pages_ui(ui: &mut Ui, view: View<'_>, shown: ProvePage, actions: &mut Actions) {
    ui.horizontal_wrapped(|ui| {
        for (page, word) in ProvePage::ALL {
            let is_shown = shown == *page;
            let word = RichText::new(*word).font(theme::bold(theme::TEXT_BODY));
            let word = word.color(if is_shown { view.palette.ink } else { view.palette.quiet });
            if ui.selectable_label(is_shown, word).clicked() {
                actions.push(Action::ShowProvePage(*page));
            }
        }
    });
    ui.add_space(2.0);
}
