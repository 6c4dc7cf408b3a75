//! The end of a round: how it went, and what is not good or not done.

use egui::{Key, Modifiers, RichText, ScrollArea, Ui};

use crate::app::stages::prove::bench::guide::{GuideState, Leave, Said, go_to};
use crate::app::stages::prove::bench::steps::mark;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::model::BenchRun;
use crate::proving::plan::Plan;
use crate::proving::{Standing, Tally, standing};

/// All that can be done is done.
pub(super) fn done_ui(
    ui: &mut Ui,
    view: View<'_>,
    (plan, run): (&Plan, &BenchRun),
    own: &mut GuideState,
) -> Leave {
    let palette = view.palette;
    let tally = Tally::of(plan, run);
    let mut leave = Leave::Stay;
    if ui.button("‹ Rounds").on_hover_text("Esc").clicked()
        || ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape))
    {
        leave = Leave::ToRounds;
    }
    if let Some(Said::Good(words)) = &own.said {
        ui.label(RichText::new(format!("✔ {words}")).color(palette.right));
    }
    let (head, colour) = match tally.bad {
        0 if tally.good > 0 => ("✔ All that can be done is done", palette.right),
        0 => ("There is nothing to be done", palette.quiet),
        _ => ("✖ Done, but not all is good", palette.wrong),
    };
    ui.label(RichText::new(head).font(theme::bold(30.0)).color(colour));
    ui.label(RichText::new(tally.words()).font(theme::plain(16.0)));
    quiet(ui, "Passed steps prove no safety; local rules and licensed practice go first.", palette);
    ui.add_space(6.0);
    ScrollArea::vertical().id_salt("bench done").auto_shrink(false).show(ui, |ui| {
        for (n, step) in plan.steps.iter().enumerate() {
            let stands = standing(step, run.readings.get(&step.key));
            let is_open = match stands {
                Standing::Read(outcome) => !outcome.is_good(),
                Standing::Skipped | Standing::Blocked | Standing::Stale | Standing::Open => true,
            };
            if !is_open {
                continue;
            }
            let (sign, colour) = mark(stands, palette);
            let words = format!("{sign} {}: {}", step.title, stands.words());
            let text = RichText::new(words).color(colour);
            if ui.selectable_label(false, text).clicked() {
                go_to(own, plan, n);
            }
        }
    });
    leave
}
