//! Page Permit loop: when a loop that lets a machine start is closed, and what mistakes make of it.

use egui::{Color32, Grid, Id, Label, RichText, ScrollArea, Sense, Ui};

use crate::app::action::{Action, Actions};
use crate::app::reading::{StateNames, capital, state_text};
use crate::app::theme::{self, Palette};
use crate::app::view::View;
use crate::app::widgets::{Half, halves_ui, heading, quiet, terminal_choice, terminal_words};
use crate::edit::Edit;
use crate::model::{PartKind, TerminalRef};
use crate::study::permit::{CAUTIONS, Mistake, MistakeEffect, Permit};
use crate::units::format_ohm;

/// More states than this are not listed.
const MAX_LISTED: usize = 128;
/// More states than this are counted in a line, not named.
const MAX_NAMED: usize = 3;

/// Ends, rule, truth table and mistakes, with the cautions beside them.
pub fn permit_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let answer = view.studies.breaking.permit(view.history.revision());
    let found = answer.flatten().and_then(|found| found.as_ref().ok());
    halves_ui(ui, 0.42, &mut |ui, half| match half {
        Half::First => {
            let title = "Permit loop (start inhibit)";
            ui.label(RichText::new(title).font(theme::bold(theme::TEXT_HEADING)));
            ends_ui(ui, view, found, actions);
            match answer {
                None => {
                    ui.horizontal(|ui| {
                        ui.spinner();
                        ui.label("Trying every mistake …");
                    });
                }
                Some(None) => {
                    quiet(
                        ui,
                        "Pick the two terminals between which the loop must be closed before the machine may start: two cavities of the controller, or a cavity and a ground point.",
                        view.palette,
                    );
                }
                Some(Some(Err(sentence))) => {
                    let words = RichText::new(capital(sentence)).color(view.palette.wrong);
                    ui.add(Label::new(words).wrap());
                }
                Some(Some(Ok(permit))) => loop_ui(ui, view, permit, actions),
            }
        }
        Half::Second => {
            if let Some(permit) = found {
                mistakes_ui(ui, view, permit, actions);
            }
            cautions_ui(ui, view);
        }
    });
}

/// The two ends as choices.
fn ends_ui(ui: &mut Ui, view: View<'_>, found: Option<&Permit>, actions: &mut Actions) {
    let shown = view.project.permit.or(found.map(|permit| (permit.from, permit.to)));
    let Some((from, to)) = shown.or_else(|| any_ends(view)) else {
        quiet(ui, "Draw a controller first.", view.palette);
        return;
    };
    let picked_from = terminal_choice(ui, Id::unique("permit from"), "From", view, from);
    let picked_to = terminal_choice(ui, Id::unique("permit to"), "To", view, to);
    if picked_from.is_some() || picked_to.is_some() {
        let ends = (picked_from.unwrap_or(from), picked_to.unwrap_or(to));
        actions.edit(Edit::SetPermit(Some(ends)));
    }
}

/// The first two cavities of a controller, to have something to choose from.
fn any_ends(view: View<'_>) -> Option<(TerminalRef, TerminalRef)> {
    let mut controllers = view.project.parts.iter();
    let (part, _) = controllers.find(|(_, part)| matches!(part.kind, PartKind::Controller(_)))?;
    let at = |terminal| TerminalRef { part, terminal };
    Some((at(0), at(1)))
}

fn loop_ui(ui: &mut Ui, view: View<'_>, permit: &Permit, actions: &mut Actions) {
    ui.add_space(4.0);
    let rule = capital(&permit.rule_words(view.project));
    ui.add(Label::new(RichText::new(rule).font(theme::bold(theme::TEXT_HEADING))).wrap());
    let ends = [permit.from, permit.to].map(|end| terminal_words(view.project, end));
    quiet(ui, format!("{} to {}", ends[0], ends[1]), view.palette);
    for finding in &permit.findings {
        let words = format!("⚠ {}", finding.words(view.project));
        ui.add(Label::new(RichText::new(words).color(view.palette.warning)).wrap());
    }
    if let Some(now) = permit.states.iter().position(|state| view.project.stands(state, view.bench))
    {
        let (words, colour) = word_of(view.palette, permit.is_closed(now));
        let words = format!("As the controls stand now the loop is {words}");
        ui.add(Label::new(RichText::new(words).color(colour)).wrap());
    }
    heading(ui, "Truth table");
    table_ui(ui, view, permit, actions);
}

fn word_of(palette: &Palette, is_closed: bool) -> (&'static str, Color32) {
    if is_closed { ("closed: it permits", palette.right) } else { ("open: it blocks", palette.ink) }
}

/// A row for each state; a click moves the controls there.
fn table_ui(ui: &mut Ui, view: View<'_>, permit: &Permit, actions: &mut Actions) {
    let control = |id| view.project.controls.get(id);
    ScrollArea::horizontal().id_salt("truth").auto_shrink([false, true]).show(ui, |ui| {
        Grid::new("truth table").striped(true).spacing([16.0, 4.0]).show(ui, |ui| {
            let heads = permit.controls.iter().filter_map(|id| control(*id));
            for head in heads.map(|control| control.name.as_str()).chain(["Loop", "Ohms"]) {
                let head = RichText::new(head).font(theme::bold(theme::TEXT_SMALL));
                ui.label(head.color(view.palette.quiet));
            }
            ui.end_row();
            for (idx, state) in permit.states.iter().enumerate().take(MAX_LISTED) {
                for id in &permit.controls {
                    let Some(control) = control(*id) else { continue };
                    let at = usize::from(state.position(*id, control));
                    ui.label(control.positions.get(at).map_or("?", |p| p.name.as_str()));
                }
                let is_closed = permit.is_closed(idx);
                let (word, colour) = if is_closed {
                    ("● closed", view.palette.right)
                } else {
                    ("○ open", view.palette.quiet)
                };
                let here = if view.project.stands(state, view.bench) { " ◀ now" } else { "" };
                let text = RichText::new(format!("{word}{here}")).color(colour);
                let response = ui.add(Label::new(text).sense(Sense::click()));
                if response.on_hover_text("click to move the controls there").clicked() {
                    actions.push(Action::GoToState(state.clone()));
                }
                ui.label(RichText::new(format_ohm(permit.ohms[idx])).color(view.palette.quiet));
                ui.end_row();
            }
        });
    });
    let n_more = permit.states.len().saturating_sub(MAX_LISTED);
    if n_more > 0 {
        quiet(ui, format!("… and {n_more} states more"), view.palette);
    }
}

/// Every single mistake, those that permit wrongly first.
fn mistakes_ui(ui: &mut Ui, view: View<'_>, permit: &Permit, actions: &mut Actions) {
    ui.label(RichText::new("Single mistakes").font(theme::bold(theme::TEXT_HEADING)));
    let mut last = None;
    for mistake in &permit.mistakes {
        let effect = mistake.effect();
        if last.replace(effect) != Some(effect) {
            let words = match effect {
                MistakeEffect::Permits => "✖ Permits although it should block",
                MistakeEffect::Blocks => "○ Blocks although it should permit",
                MistakeEffect::Same => "· Changes nothing",
            };
            ui.add_space(6.0);
            let words = RichText::new(words).font(theme::bold(theme::TEXT_SMALL));
            ui.label(words.color(effect_colour(view.palette, effect)));
        }
        let words = format!("{}{}", capital(&mistake.title), while_words(view, permit, mistake));
        let response = ui.add(Label::new(words).wrap().sense(Sense::click()));
        let response = response.on_hover_text("click to see where it is, in the state it shows in");
        if response.clicked() {
            if let Some(state) = mistake.permits.iter().chain(&mistake.blocks).next() {
                actions.push(Action::GoToState(permit.states[*state].clone()));
            }
            actions.push(Action::ShowSubject(mistake.subject));
        }
    }
}

fn effect_colour(palette: &Palette, effect: MistakeEffect) -> Color32 {
    match effect {
        MistakeEffect::Permits => palette.wrong,
        MistakeEffect::Blocks => palette.warning,
        MistakeEffect::Same => palette.quiet,
    }
}

/// `: while Neutral in gear`, by what it does worst.
fn while_words(view: View<'_>, permit: &Permit, mistake: &Mistake) -> String {
    let states = match mistake.effect() {
        MistakeEffect::Permits => &mistake.permits,
        MistakeEffect::Blocks => &mistake.blocks,
        MistakeEffect::Same => return String::new(),
    };
    if states.len() > MAX_NAMED {
        return format!(": in {} of {} states", states.len(), permit.states.len());
    }
    let name = |idx: &usize| {
        state_text(view.project, &permit.controls, &permit.states[*idx], StateNames::All)
    };
    format!(": while {}", states.iter().map(name).collect::<Vec<_>>().join("; or "))
}

/// What stands beside every permit loop, and what fits this project.
fn cautions_ui(ui: &mut Ui, view: View<'_>) {
    heading(ui, "Before you work on it");
    for words in CAUTIONS {
        quiet(ui, format!("⚠ {words}"), view.palette);
    }
    for words in view.derived.cautions() {
        quiet(ui, format!("• {words}"), view.palette);
    }
}
