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

/// Below this height the guided run does without the tabs.
const LOW: f32 = 420.0;

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

/// What the page in sight does without where the window is small.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Spares {
    /// The strip with the controls and the ruler.
    pub strip: bool,
    /// The cards beside the work.
    pub cards: bool,
}

impl ProveState {
    /// What the page in sight does without: controls are moved for three of the pages only, and the
    /// guided run draws them as they must be held.
    pub fn spares(&self, view: View<'_>) -> Spares {
        if view.stage != Stage::Prove {
            return Spares::default();
        }
        let strip = match view.studies.proving.page {
            ProvePage::Bench | ProvePage::Wear | ProvePage::SetUp | ProvePage::Log => true,
            ProvePage::Cause | ProvePage::Practice | ProvePage::Arming => false,
        };
        Spares { strip, cards: true }
    }
}

/// Stage Prove: the pages, and the one that is asked for.
pub fn prove_ui(ui: &mut Ui, view: View<'_>, own: &mut ProveState, actions: &mut Actions) {
    let page = view.studies.proving.page;
    // Where there is little height, the step at hand is all; its way back stands above it.
    let is_run = page == ProvePage::Bench && own.bench.is_running();
    if !is_run || ui.available_height() >= LOW {
        pages_ui(ui, view, page, actions);
    }
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
