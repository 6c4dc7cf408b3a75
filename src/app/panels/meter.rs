//! The meter: a large figure, what it measures, and where its two leads are.

use egui::{Button, Label, RichText, Sense, TextEdit, Ui, vec2};

use crate::app::action::{Action, Actions, Lead};
use crate::app::meter::MeterMode;
use crate::app::panels::segment::{Segment, segment_ui};
use crate::app::reading::{capital, number_text};
use crate::app::theme;
use crate::app::view::View;
use crate::model::{Project, Scale, TerminalRef};
use crate::sense::MeterReading;

/// No more terminals than this are listed; typing narrows them down.
const MOST_LISTED: usize = 40;

/// What the panel remembers between frames.
#[derive(Default)]
pub struct MeterCardState {
    /// What was typed to find a terminal.
    search: String,
}

/// The meter with its two leads.
pub fn meter_ui(ui: &mut Ui, view: View<'_>, own: &mut MeterCardState, actions: &mut Actions) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Meter").font(theme::bold(theme::TEXT_HEADING)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            mode_ui(ui, view, actions)
        });
    });
    let (figure, sentence) = meter_text(view.meter.mode, view.derived.meter());
    if view.meter.red.is_some() && view.meter.black.is_some() {
        ui.add(Label::new(RichText::new(&figure).font(theme::bold(theme::TEXT_FIGURE))).wrap());
    }
    if !sentence.is_empty() {
        ui.add(Label::new(RichText::new(sentence).color(view.palette.warning)).wrap());
    }
    for lead in [Lead::Red, Lead::Black] {
        lead_ui(ui, view, lead, own, actions);
    }
    let how = match (view.meter.red.is_some() && view.meter.black.is_some(), view.meter.mode) {
        (false, _) => "Put both leads on terminals: pick them here, or drag them onto the sheet.",
        (true, MeterMode::Ohm) => "Feed off, controller unplugged",
        (true, MeterMode::Volt) => "Feed on, controller plugged in; red against black",
    };
    ui.add(Label::new(RichText::new(how).small().color(view.palette.quiet)).wrap());
}

fn mode_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let modes = [MeterMode::Ohm, MeterMode::Volt];
    let segments = modes.map(|mode| {
        let (text, label, tip) = match mode {
            MeterMode::Ohm => {
                ("Ω", "Measure ohms", "Ohms, with the feed off and the controller unplugged")
            }
            MeterMode::Volt => {
                ("V", "Measure volts", "Volts, with the feed on and the controller plugged in")
            }
        };
        Segment { text, label: label.into(), tip: tip.into(), is_enabled: true }
    });
    let chosen = modes.iter().position(|mode| *mode == view.meter.mode);
    if let Some(idx) = segment_ui(ui, view.palette, &segments, chosen) {
        actions.push(Action::MeterMode(modes[idx]));
    }
}

/// The figure, and a sentence where the figure alone does not tell.
fn meter_text(mode: MeterMode, reading: Option<&MeterReading>) -> (String, String) {
    let scale = match mode {
        MeterMode::Ohm => Scale::Ohm,
        MeterMode::Volt => Scale::Volt,
    };
    match reading {
        None => ("reckoning…".into(), String::new()),
        Some(MeterReading::Value(value)) => (number_text(*value, scale), String::new()),
        Some(MeterReading::Open) => ("open".into(), "No path between the leads".into()),
        Some(MeterReading::Floating(net)) => (
            "floating".into(),
            format!("Nothing fixes the potential of {net}; a real meter wanders here"),
        ),
        Some(MeterReading::Impossible(sentence)) => ("no reading".into(), capital(sentence)),
    }
}

/// One lead: its colour and name, the terminal it is on (a menu to pick another), and a way off.
fn lead_ui(
    ui: &mut Ui,
    view: View<'_>,
    lead: Lead,
    own: &mut MeterCardState,
    actions: &mut Actions,
) {
    let (name, colour) = match lead {
        Lead::Red => ("red", view.palette.lead_red),
        Lead::Black => ("black", view.palette.lead_black),
    };
    ui.horizontal(|ui| {
        let (dot, _) = ui.allocate_exact_size(vec2(14.0, 14.0), Sense::hover());
        ui.painter().circle_filled(dot.center(), 6.0, colour);
        ui.painter().circle_stroke(
            dot.center(),
            6.0,
            egui::Stroke::new(1.0, view.palette.ink.gamma_multiply(0.4)),
        );
        let word = ui.label(RichText::new(name).color(view.palette.quiet));
        ui.add_space((40.0 - word.rect.width()).max(0.0));
        let at = view.meter.lead(lead);
        let text = at.map_or_else(|| "off".into(), |terminal| view.project.terminal_name(terminal));
        ui.menu_button(format!("{text} ▾"), |ui| {
            if let Some(picked) = pick_ui(ui, view.project, own) {
                actions.push(Action::PutLead(lead, Some(picked)));
                own.search.clear();
                ui.close();
            }
        })
        .response
        .on_hover_text(format!("Where the {name} lead is; click to pick a terminal"));
        if at.is_some() {
            let button = Button::new(RichText::new("take off").small()).frame(false);
            let tip = format!("Take the {name} lead off");
            if ui.add(button).on_hover_text(tip).clicked() {
                actions.push(Action::PutLead(lead, None));
            }
        }
    });
}

/// A field to type in and the terminals that match; returns what was picked.
fn pick_ui(ui: &mut Ui, project: &Project, own: &mut MeterCardState) -> Option<TerminalRef> {
    ui.set_min_width(220.0);
    let field =
        ui.add(TextEdit::singleline(&mut own.search).hint_text("find a terminal: X1-11, R1…"));
    field.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, "Find a terminal"));
    if ui.memory(|memory| memory.focused().is_none()) {
        field.request_focus();
    }
    let (found, more) = find_terminals(project, &own.search);
    let entered = field.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
    if entered && let Some((terminal, _)) = found.first() {
        return Some(*terminal);
    }
    let mut picked = None;
    egui::ScrollArea::vertical().max_height(280.0).show(ui, |ui| {
        for (terminal, text) in &found {
            if ui.selectable_label(false, text).clicked() {
                picked = Some(*terminal);
            }
        }
        if found.is_empty() {
            ui.label("no terminal of that name");
        }
        if more > 0 {
            ui.label(format!("and {more} more; type to narrow them down"));
        }
    });
    picked
}

/// Terminals whose name, part or circuit holds every word typed, and how many more there are.
fn find_terminals(project: &Project, search: &str) -> (Vec<(TerminalRef, String)>, usize) {
    let words: Vec<String> = search.to_lowercase().split_whitespace().map(str::to_owned).collect();
    let mut found = Vec::new();
    let mut more = 0;
    for (id, part) in project.parts.iter() {
        for terminal in
            (0..part.kind.terminal_count()).filter(|terminal| part.kind.has_terminal(*terminal))
        {
            let name = part.terminal_name(terminal);
            let about = if part.label.is_empty() { part.kind.noun() } else { part.label.as_str() };
            let text = format!("{name}  {about}");
            let lower = text.to_lowercase();
            if words.iter().all(|word| lower.contains(word.as_str())) {
                if found.len() < MOST_LISTED {
                    found.push((TerminalRef { part: id, terminal }, text));
                } else {
                    more += 1;
                }
            }
        }
    }
    (found, more)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::{Bench, ladder};
    use egui_kittest::Harness;
    use egui_kittest::kittest::Queryable;

    #[test]
    fn terminals_are_found_by_any_words_of_their_name_or_part() {
        let (project, _) = ladder();
        let names = |search: &str| {
            find_terminals(&project, search).0.into_iter().map(|(_, text)| text).collect::<Vec<_>>()
        };
        assert_eq!(names("r1"), ["R1-1  resistor", "R1-2  resistor"]);
        assert_eq!(names("supply"), ["G1  supply"]);
        assert_eq!(names("r1 2"), ["R1-2  resistor"]);
        assert!(names("nothing like it").is_empty());
        assert_eq!(find_terminals(&project, "").0.len(), 18);
    }

    #[test]
    fn what_a_figure_cannot_tell_is_said() {
        assert_eq!(meter_text(MeterMode::Ohm, Some(&MeterReading::Value(1027.4))).0, "1.027 kΩ");
        assert_eq!(meter_text(MeterMode::Volt, Some(&MeterReading::Value(1.5))).0, "1.500 V");
        let (figure, sentence) = meter_text(MeterMode::Ohm, Some(&MeterReading::Open));
        assert_eq!((figure.as_str(), sentence.as_str()), ("open", "No path between the leads"));
        let (_, sentence) =
            meter_text(MeterMode::Volt, Some(&MeterReading::Floating("X1-3".into())));
        assert!(sentence.contains("X1-3"));
    }

    #[test]
    fn leads_are_put_by_menu_and_taken_off() {
        struct Both(Bench, MeterCardState);
        let mut harness = Harness::builder()
            .with_size(vec2(320.0, 420.0))
            .with_context_setup(theme::install_fonts)
            .build_ui_state(
                |ui, both: &mut Both| {
                    let (view, actions) = both.0.split();
                    meter_ui(ui, view, &mut both.1, actions);
                },
                Both(Bench::new(ladder().0), MeterCardState::default()),
            );
        harness.get_all_by_label("off ▾").next().unwrap().click();
        harness.run();
        harness.get_by_label("Find a terminal").type_text("g1");
        harness.run();
        harness.get_by_label("G1  supply").click();
        harness.run();
        let terminal = find_terminals(harness.state().0.history.project(), "g1").0[0].0;
        assert_eq!(
            harness.state_mut().0.actions.take(),
            [Action::PutLead(Lead::Red, Some(terminal))]
        );
        harness.state_mut().0.meter.red = Some(terminal);
        harness.run();
        harness.get_by_label("take off").click();
        harness.get_by_label("Measure volts").click();
        harness.run();
        let actions = harness.state_mut().0.actions.take();
        assert_eq!(actions, [Action::PutLead(Lead::Red, None), Action::MeterMode(MeterMode::Volt)]);
    }
}
