//! The machine now: what its display says while a hand moves the controls of the strip.

use egui::{RichText, Ui};

use crate::app::prove_studies::StoryAnswer;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Pen, quiet, word_button};
use crate::edit::{Edit, StoryEdit};
use crate::model::{Deed, Observation, Story, Table};
use crate::proving::story::{Inference, Machine, Player, deed_words, display_words};

/// Lines of what was done that stay in sight.
const LINES: usize = 4;
/// Lines that are kept.
const KEPT: usize = 200;
/// Times that a button lets pass, with its word.
const WAITS: [(&str, u32); 4] =
    [("0.1 s", 100), ("1 s", 1_000), ("10 s", 10_000), ("60 s", 60_000)];

/// The drawing, the story without what was seen, and how many stories that has left.
type LiveKey = (u64, Story, Option<u128>);

/// The machine as it stands.
#[derive(Default)]
pub struct Live {
    /// The walk, for the drawing and the story it belongs to.
    player: Option<(LiveKey, Result<Player, String>)>,
    /// What was done and what the display said, oldest first.
    lines: Vec<(Deed, String)>,
}

impl Live {
    /// Where the machine stands.
    pub fn player(&self) -> Option<&Player> {
        self.player.as_ref().and_then(|(_, player)| player.as_ref().ok())
    }

    /// Follows the strip; a changed story begins anew.
    pub fn follow(&mut self, view: View<'_>, answer: &StoryAnswer) {
        let Some(drawing) = view.studies.proving.number(view.history.revision()) else { return };
        let machine = Machine::new(view.project, &answer.reader);
        // A row nobody looked at changes nothing: the walk goes on.
        let n_left = answer.told.as_ref().ok().map(Inference::n_walked);
        let story = Story { seen: Table::default(), ..view.project.story.clone() };
        let key = (drawing, story, n_left);
        if self.player.as_ref().is_none_or(|(of, _)| *of != key) {
            let player = match &answer.told {
                Ok(told) => Player::with_left(&machine, told, view.bench),
                Err(stuck) => Err(*stuck),
            };
            self.player = Some((key, player.map_err(|stuck| stuck.to_string())));
            self.lines.clear();
            return;
        }
        let controls = view.project.controls.iter();
        let deeds: Vec<Deed> = match self.player() {
            None => return,
            Some(player) => controls
                .filter(|(id, row)| {
                    view.bench.position(*id, row) != player.state.position(*id, row)
                })
                .map(|(id, row)| Deed::Stands {
                    control: id,
                    position: view.bench.position(id, row),
                })
                .collect(),
        };
        for deed in deeds {
            self.act(&machine, deed);
        }
    }

    fn act(&mut self, machine: &Machine<'_>, deed: Deed) {
        let Some((_, player)) = &mut self.player else { return };
        let Ok(walking) = player else { return };
        let before = walking.walk.displays();
        match walking.act(machine, &deed) {
            Ok(()) => {
                let words = display_words(&before, &walking.walk.displays());
                let line = format!("{}: {words}", deed_words(machine.project, &deed));
                self.lines.push((deed, line));
                if self.lines.len() > KEPT {
                    self.lines.remove(0);
                }
            }
            Err(stuck) => *player = Err(stuck.to_string()),
        }
    }
}

/// What the display says, what lets time pass, and what was done last.
pub fn live_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, own: &mut Live, answer: &StoryAnswer) {
    let view = pen.view;
    let palette = view.palette;
    let machine = Machine::new(view.project, &answer.reader);
    let (says, modes) = match &own.player {
        Some((_, Ok(player))) => {
            let shown = |text: String| if text.is_empty() { "nothing".into() } else { text };
            let says: Vec<String> = player.walk.displays().into_iter().map(shown).collect();
            let modes = player.walk.modes().into_iter();
            let modes: Vec<&str> = modes.map(|mode| view.project.story.mode_name(mode)).collect();
            (says.join(" or "), modes.join(" or "))
        }
        Some((_, Err(sentence))) => {
            ui.label(RichText::new(format!("⚠ {sentence}")).color(palette.warning));
            if word_button(ui, "Begin anew", palette.chosen).clicked() {
                own.player = None;
            }
            return;
        }
        None => return,
    };
    quiet(ui, "The display says", palette);
    let figure = RichText::new(&says).font(theme::bold(theme::TEXT_FIGURE)).color(palette.live);
    ui.add(egui::Label::new(figure).wrap());
    quiet(ui, format!("mode: {modes}"), palette);
    ui.horizontal_wrapped(|ui| {
        quiet(ui, "Let pass", palette);
        for (word, ms) in WAITS {
            let name = format!("Let {word} pass");
            if ui.button(word).on_hover_text(name.as_str()).accessible_name(name).clicked() {
                own.act(&machine, Deed::Waited { ms });
            }
        }
        if ui.button("Switch off and on").clicked() {
            own.act(&machine, Deed::SwitchedOn);
        }
    });
    if own.lines.is_empty() {
        let words = "Move the controls of the strip below: the story goes along. Time stands still \
                     but for these buttons.";
        quiet(ui, words, palette);
    }
    let first = own.lines.len().saturating_sub(LINES);
    for (n, (_, line)) in own.lines.iter().enumerate().skip(first) {
        let colour = if n + 1 == own.lines.len() { palette.ink } else { palette.quiet };
        ui.add(egui::Label::new(RichText::new(line).small().color(colour)).wrap());
    }
    if let Some((deed, _)) = own.lines.last() {
        let word = "Write the last one into the table";
        if word_button(ui, word, palette.chosen).clicked() {
            let seen = Observation { deed: deed.clone(), display: None };
            pen.edit(Edit::SetStory(StoryEdit::AddSeen(seen)));
        }
    }
}
