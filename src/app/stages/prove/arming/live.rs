//! The machine now: what its display says while a hand moves the controls of the strip.

use egui::{RichText, Ui};

use crate::app::prove_studies::StoryAnswer;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Pen, quiet, word_button};
use crate::edit::{Edit, Revision, StoryEdit};
use crate::model::{Deed, Observation, Project, Story, Table};
use crate::proving::story::{
    Inference, Machine, Player, Stuck, deed_words, display_words, shown_display,
};

/// Lines of what was done that stay in sight.
const LINES: usize = 4;
/// Lines that are kept.
const KEPT: usize = 200;
/// Times that a button lets pass, with its word.
const WAITS: [(&str, u32); 4] =
    [("0.1 s", 100), ("1 s", 1_000), ("10 s", 10_000), ("60 s", 60_000)];

/// What a walk begins with.
#[derive(Clone, Debug, PartialEq)]
struct LiveKey {
    drawing: u64,
    /// The story without what was seen.
    story: Story,
    /// What was seen, up to the last row in which somebody looked: later rows settle nothing.
    looked: Vec<Observation>,
    /// Stories that has left; `None` where the story cannot be walked.
    n_left: Option<u128>,
}

impl LiveKey {
    fn of(project: &Project, drawing: u64, told: &Result<Inference, Stuck>) -> Self {
        let seen: Vec<&Observation> = project.story.seen.iter().map(|(_, row)| row).collect();
        let n = seen.iter().rposition(|row| row.display.is_some()).map_or(0, |last| last + 1);
        Self {
            drawing,
            story: Story { seen: Table::default(), ..project.story.clone() },
            looked: seen[..n].iter().map(|row| (*row).clone()).collect(),
            n_left: told.as_ref().ok().map(Inference::n_walked),
        }
    }

    /// Whether the same stories are left as before. Rows added below can only take stories away, so
    /// an equal number of them is an equal set; after any other change a number says nothing.
    fn leaves_the_same(&self, before: &Self) -> bool {
        let is_counted = self.n_left.is_some_and(|n| n < u128::MAX) || self.looked == before.looked;
        self.drawing == before.drawing
            && self.story == before.story
            && self.looked.starts_with(&before.looked)
            && self.n_left == before.n_left
            && is_counted
    }
}

/// The machine as it stands.
#[derive(Default)]
pub struct Live {
    /// The walk, for the drawing and the story it belongs to.
    player: Option<(LiveKey, Result<Player, String>)>,
    /// For which revision that was last made sure.
    asked: Option<Revision>,
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
        let revision = view.history.revision();
        let Some(drawing) = view.studies.proving.number(revision) else { return };
        let machine = Machine::new(view.project, &answer.reader);
        if self.player.is_none() || self.asked != Some(revision) {
            let key = LiveKey::of(view.project, drawing, &answer.told);
            self.asked = Some(revision);
            match &mut self.player {
                // A row nobody looked at changes nothing: the walk goes on.
                Some((of, _)) if key.leaves_the_same(of) => *of = key,
                Some(_) | None => {
                    let player = match &answer.told {
                        Ok(told) => Player::with_left(&machine, told, view.bench),
                        Err(stuck) => Err(*stuck),
                    };
                    let player = player.map(Player::in_a_hurry);
                    self.player = Some((key, player.map_err(|stuck| stuck.to_string())));
                    self.lines.clear();
                    return;
                }
            }
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
            let displays = player.walk.displays();
            let says: Vec<&str> = displays.iter().map(|text| shown_display(text)).collect();
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
    ui.horizontal_wrapped(|ui| {
        quiet(ui, "The display says", palette);
        let figure = RichText::new(&says).font(theme::bold(theme::TEXT_FIGURE)).color(palette.live);
        ui.label(figure);
        quiet(ui, format!("mode: {modes}"), palette);
    });
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
    let last = own.lines.len().saturating_sub(1);
    for (_, line) in own.lines.iter().take(last).skip(first) {
        quiet(ui, line.as_str(), palette);
    }
    if let Some((deed, line)) = own.lines.last() {
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new(line).small().color(palette.ink));
            let word = "Write the last one into the table";
            if word_button(ui, word, palette.chosen).clicked() {
                let seen = Observation { deed: deed.clone(), display: None };
                pen.edit(Edit::SetStory(StoryEdit::AddSeen(seen)));
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{ModeId, StoryMode};
    use crate::proving::story::infer;
    use crate::samples;
    use crate::sense::Reader;

    /// A machine in one of two modes when it is switched on, neither known.
    fn project(seen: &[Option<&str>]) -> Project {
        let mut project = samples::open("forwarder").unwrap();
        project.story = Story::default();
        for (id, display) in [(9001, "A"), (9002, "B")] {
            let mode = StoryMode { name: display.to_lowercase(), display: display.into() };
            project.story.modes.put(ModeId(id), mode);
            project.story.start.insert(ModeId(id));
        }
        for (id, display) in (9003..).zip(seen) {
            let display = display.map(str::to_owned);
            let row = Observation { deed: Deed::SwitchedOn, display };
            project.story.seen.put(crate::model::ObservationId(id), row);
        }
        project
    }

    fn key(seen: &[Option<&str>]) -> LiveKey {
        let project = project(seen);
        let reader = Reader::new(&project);
        LiveKey::of(&project, 1, &infer(&Machine::new(&project, &reader), &|| true))
    }

    #[test]
    fn a_walk_goes_on_only_with_the_same_stories() {
        let a = key(&[Some("A")]);
        let b = key(&[Some("B")]);
        assert_eq!((a.n_left, b.n_left), (Some(1), Some(1)), "as many are left");
        assert!(!b.leaves_the_same(&a), "but others");
        assert!(key(&[Some("A"), None]).leaves_the_same(&a), "nobody looked");
        assert!(key(&[Some("A"), Some("A")]).leaves_the_same(&a), "it takes nothing away");
        assert!(!a.leaves_the_same(&key(&[None])), "it takes one away");
        assert!(!key(&[None]).leaves_the_same(&a), "it comes back");
    }
}
