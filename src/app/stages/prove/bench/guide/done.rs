//! The end of a round: how it went, and what is not good or not done.

use egui::{Color32, Key, Modifiers, RichText, ScrollArea, Ui};

use crate::app::stages::prove::bench::guide::{GuideState, Leave, Said, go_to};
use crate::app::stages::prove::bench::steps::mark;
use crate::app::theme::{self, Palette};
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::model::BenchRun;
use crate::proving::plan::Plan;
use crate::proving::{Standing, Tally, standing};

/// How the round went, in one line: green only where nothing was left out.
fn head(tally: &Tally, palette: &Palette) -> (&'static str, Color32) {
    match (tally.bad, tally.skipped, tally.good) {
        (0, 0, 0) => ("There is nothing to be done", palette.quiet),
        (0, 0, _) => ("✔ All that can be done is done", palette.right),
        (0, ..) => ("▲ Done but for what was left out", palette.warning),
        _ => ("✖ Done, but not all is good", palette.wrong),
    }
}

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
    let (head, colour) = head(&tally, palette);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::ThemeChoice;

    #[test]
    fn what_was_left_out_is_not_told_as_done() {
        let palette = Palette::of(ThemeChoice::Paper);
        let told = |good, bad, skipped| {
            let tally = Tally { good, bad, skipped, ..Tally::default() };
            let (words, colour) = head(&tally, palette);
            (words.chars().next().unwrap(), colour)
        };
        assert_eq!(told(40, 0, 0), ('✔', palette.right));
        assert_eq!(told(1, 0, 39), ('▲', palette.warning));
        assert_eq!(told(0, 0, 40), ('▲', palette.warning));
        assert_eq!(told(38, 1, 1), ('✖', palette.wrong));
        assert_eq!(told(0, 0, 0), ('T', palette.quiet), "nothing that can be done");
    }
}
