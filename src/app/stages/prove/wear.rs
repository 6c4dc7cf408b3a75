//! Page "Wear": two rounds compared; which contact, joint or wire has gathered ohms, and how long
//! it still has.

use egui::{Grid, Id, RichText, ScrollArea, Ui};

use crate::app::action::Action;
use crate::app::prove_studies::ProveAsk;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Pen, choice_wide, heading, quiet};
use crate::model::BenchRunId;
use crate::proving::wear::{Place, Wear};
use crate::units::{counted, format_ohm};

/// The page.
pub fn wear_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let view = pen.view;
    let palette = view.palette;
    let words =
        "What the ohms of the same steps have changed by: tolerances fall out, wear is left.";
    if ui.available_height() >= 360.0 {
        ui.label(RichText::new("Two rounds compared").font(theme::bold(theme::TEXT_HEADING)));
        quiet(ui, words, palette);
    }
    let Some((then, now)) = view.studies.proving.rounds(view.project) else {
        let words = match view.project.bench_runs.len() {
            0 | 1 => {
                "Two rounds with readings are needed, years apart: make them on page Bench test."
            }
            _ => "Mark one round as the hand-over on page Bench test: others are held to it.",
        };
        ui.label(RichText::new(words).color(palette.warning));
        return;
    };
    let width = ((ui.available_width() - 130.0) / 2.0).clamp(140.0, 260.0);
    ui.horizontal_wrapped(|ui| {
        pick_ui(ui, pen, ("Then", width), (then, now), |id| ProveAsk::Compare(id, now));
        ui.add_space(12.0);
        pick_ui(ui, pen, ("Now", width), (now, then), |id| ProveAsk::Compare(then, id));
    });
    match view.studies.proving.wear(view.history.revision()) {
        None => {
            ui.horizontal(|ui| {
                ui.spinner();
                quiet(ui, "Comparing …", palette);
            });
        }
        Some(None) => {
            let words = "The rounds could not be compared; the project is unharmed.";
            ui.label(RichText::new(words).color(palette.wrong));
        }
        Some(Some([])) => {
            let words = "No sense pin can be compared: none is set, or it has too many states.";
            ui.label(RichText::new(words).color(palette.warning));
        }
        Some(Some(found)) => {
            ScrollArea::vertical().id_salt("wear").auto_shrink(false).show(ui, |ui| {
                for wear in found {
                    pin_ui(ui, view, wear);
                }
            });
        }
    }
}

/// One of the two rounds, to be picked.
fn pick_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (label, width): (&str, f32),
    (now, other): (BenchRunId, BenchRunId),
    ask: impl Fn(BenchRunId) -> ProveAsk,
) {
    let runs = &pen.view.project.bench_runs;
    let words = |id: BenchRunId| {
        runs.get(id).map_or_else(
            || "?".to_owned(),
            |run| {
                let is_named = run.name.contains("hand-over");
                let mark = if run.is_hand_over && !is_named { ", hand-over" } else { "" };
                format!("{} {}{mark}", run.name, run.date)
            },
        )
    };
    quiet(ui, label, pen.view.palette);
    let options = runs.ids().filter(|id| *id != other).map(|id| (words(id), id));
    let name = format!("{label}: round");
    let id = Id::unique(("wear round", label.to_owned()));
    if let Some(id) = choice_wide(ui, id, (&name, width), &words(now), options) {
        pen.actions.push(Action::AskProve(ask(id)));
    }
}

fn pin_ui(ui: &mut Ui, view: View<'_>, wear: &Wear) {
    let palette = view.palette;
    let pin = view.project.sense_pins.get(wear.pin);
    let name = pin.map_or_else(
        || "?".to_owned(),
        |pin| format!("{} {}", view.project.terminal_name(pin.terminal), pin.name),
    );
    heading(ui, &name);
    let (sign, colour) = match (wear.pairs.is_empty(), wear.is_aged()) {
        (true, _) => ("–", palette.quiet),
        (false, true) => ("▲", palette.warning),
        (false, false) => ("✔", palette.right),
    };
    let words = format!("{sign} {}", wear.words());
    ui.label(RichText::new(words).font(theme::bold(16.0)).color(colour));
    if wear.n_stale > 0 {
        let words =
            format!("{} left out: the drawing has changed since", counted(wear.n_stale, "step"));
        quiet(ui, words, palette);
    }
    if wear.is_aged() && !wear.places.is_empty() {
        places_ui(ui, view, wear);
    }
    if !wear.pairs.is_empty() {
        pairs_ui(ui, view, wear);
    }
}

fn head(ui: &mut Ui, view: View<'_>, words: &[&str]) {
    for word in words {
        ui.label(RichText::new(*word).small().color(view.palette.quiet));
    }
    ui.end_row();
}

/// Places that may have aged, the best fit first.
fn places_ui(ui: &mut Ui, view: View<'_>, wear: &Wear) {
    quiet(
        ui,
        "Places that would explain it, the best fit first; a misfit near the number of readings fits.",
        view.palette,
    );
    ScrollArea::horizontal().id_salt(("wear places", wear.pin)).auto_shrink([false, true]).show(
        ui,
        |ui| {
            // Long names give way, so that the figures stay in sight.
            let width = (ui.clip_rect().width() - 370.0).clamp(150.0, 460.0);
            Grid::new(("wear places", wear.pin)).striped(true).spacing([18.0, 4.0]).show(
                ui,
                |ui| {
                    head(ui, view, &["place", "more", "misfit", "band left at", "in"]);
                    for place in &wear.places {
                        place_ui(ui, place, width);
                        ui.label(format_ohm(place.more_ohm));
                        ui.label(format!("{:.0}", place.misfit));
                        ui.label(place.leaves_ohm.map_or_else(|| "not known".into(), format_ohm));
                        ui.label(years_words(place));
                        ui.end_row();
                    }
                },
            );
        },
    );
}

/// Names of places that would read alike, as far as there is room.
fn place_ui(ui: &mut Ui, place: &Place, width: f32) {
    let size = egui::vec2(width, ui.spacing().interact_size.y);
    ui.allocate_ui_with_layout(size, egui::Layout::left_to_right(egui::Align::Center), |ui| {
        ui.set_min_width(width);
        let label = egui::Label::new(short(&place.at)).truncate();
        ui.add(label).on_hover_text(place.at.join(" or "));
    });
}

/// The first two places of several that would read alike.
fn short(at: &[String]) -> String {
    match at.len() {
        0..=2 => at.join(" or "),
        n => format!("{} or {} more", at[..2].join(", "), n - 2),
    }
}

fn years_words(place: &Place) -> String {
    match place.years_left {
        Some(years) if years <= 0.0 => "it is past".into(),
        Some(years) if years > 100.0 => "over 100 years".into(),
        Some(years) => format!("{years:.1} years"),
        None => "not known".into(),
    }
}

/// Readings of both rounds.
fn pairs_ui(ui: &mut Ui, view: View<'_>, wear: &Wear) {
    ui.add_space(4.0);
    let area = ScrollArea::horizontal().id_salt(("wear pairs", wear.pin));
    area.auto_shrink([false, true]).show(ui, |ui| pairs_grid_ui(ui, view, wear));
}

fn pairs_grid_ui(ui: &mut Ui, view: View<'_>, wear: &Wear) {
    Grid::new(("wear pairs", wear.pin)).striped(true).spacing([18.0, 4.0]).show(ui, |ui| {
        head(ui, view, &["step", "then", "now", "change"]);
        for pair in &wear.pairs {
            ui.label(&pair.title);
            ui.label(format_ohm(pair.then_ohm));
            ui.label(format_ohm(pair.now_ohm));
            let change = pair.now_ohm - pair.then_ohm;
            let sign = if change < 0.0 { "−" } else { "+" };
            ui.label(format!("{sign}{}", format_ohm(change.abs())));
            ui.end_row();
        }
    });
}
