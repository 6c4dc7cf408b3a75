//! The list of sense pins; one can be folded out and edited.

use std::collections::BTreeMap;

use egui::{Id, Ui};

use crate::app::action::Action;
use crate::app::panels::inspector::Unfolded;
use crate::app::panels::inspector::bands;
use crate::app::panels::inspector::controls::folding_row;
use crate::app::panels::inspector::expectations;
use crate::app::panels::inspector::measuring;
use crate::app::widgets::{Pen, choice, quiet, word_button};
use crate::edit::Edit;
use crate::model::{PartKind, Project, SensePin, SensePinId, Side, TerminalRef, Wire};

/// Turns a change of a pin into an edit.
pub fn changed_pin((id, pin): (SensePinId, &SensePin), change: impl FnOnce(&mut SensePin)) -> Edit {
    let mut pin = pin.clone();
    change(&mut pin);
    Edit::SetSensePin(id, Box::new(pin))
}

/// All sense pins.
pub fn pins_page_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, unfolded: &mut Unfolded) {
    let project = pen.view.project;
    if project.sense_pins.is_empty() {
        let words = "No sense pin yet. A sense pin is a cavity of the controller that reads several switches.";
        quiet(ui, words, pen.view.palette);
    }
    // The only pin there is needs no click to open.
    if project.sense_pins.len() == 1 && unfolded.pin.is_none() {
        unfolded.pin = project.sense_pins.ids().next();
    }
    for (id, pin) in project.sense_pins.iter() {
        let name = project.terminal_name(pin.terminal);
        let open = unfolded.pin == Some(id);
        if folding_row(ui, pen, (&name, &pin.name), open) {
            unfolded.pin = (!open).then_some(id);
            pen.actions.push(Action::ShowPin(id));
        }
        if open {
            pin_ui(ui, pen, (id, pin), unfolded);
        }
    }
    ui.add_space(4.0);
    add_ui(ui, pen);
}

fn pin_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, pin): (SensePinId, &SensePin),
    unfolded: &mut Unfolded,
) {
    measuring::place_ui(ui, pen, (id, pin));
    bands::bands_ui(ui, pen, (id, pin));
    expectations::expectations_ui(ui, pen, (id, pin), unfolded);
    measuring::measuring_ui(ui, pen, (id, pin));
    measuring::dirt_ui(ui, pen, (id, pin));
    if word_button(ui, "Delete this sense pin", pen.view.palette.wrong)
        .on_hover_text("The controller and its wires stay")
        .clicked()
    {
        pen.edit(Edit::RemoveSensePin(id));
    }
}

/// Choice of the cavity that becomes a sense pin.
fn add_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let project = pen.view.project;
    let mut cavities: Vec<(String, TerminalRef)> = Vec::new();
    for (id, part) in project.parts.iter() {
        if !matches!(part.kind, PartKind::Controller(_)) {
            continue;
        }
        for terminal in
            (0..part.kind.terminal_count()).map(|terminal| TerminalRef { part: id, terminal })
        {
            if !project.sense_pins.iter().any(|(_, pin)| pin.terminal == terminal) {
                cavities.push((crate::app::widgets::terminal_words(project, terminal), terminal));
            }
        }
    }
    if cavities.is_empty() {
        let words = "Place a controller on the sheet first, such as controller 2x8.";
        quiet(ui, words, pen.view.palette);
        return;
    }
    let id = Id::unique("make a sense pin");
    if let Some(terminal) =
        choice(ui, id, "Make a cavity a sense pin", "make a cavity a sense pin …", cavities)
        && let Some(pin) = new_pin(project, terminal)
    {
        pen.edit(Edit::AddSensePin(Box::new(pin)));
    }
}

/// A sense pin as it starts: named after its circuit, measured in ohms, nothing known about the inside.
///
/// Its reference is a guess to be changed: the supply where the project has one, else a ground point,
/// else another cavity of the controller. `None` where there is nothing to measure against.
pub fn new_pin(project: &Project, terminal: TerminalRef) -> Option<SensePin> {
    let first = |wanted: fn(&PartKind) -> bool| {
        project
            .parts
            .iter()
            .find(|(_, part)| wanted(&part.kind))
            .map(|(part, _)| TerminalRef { part, terminal: 0 })
    };
    let supply = first(|kind| matches!(kind, PartKind::Supply(_)));
    let ground = first(|kind| matches!(kind, PartKind::Ground));
    let controller = project.parts.get(terminal.part)?;
    let cavity = (0..controller.kind.terminal_count())
        .map(|other| TerminalRef { part: terminal.part, terminal: other })
        .find(|other| *other != terminal);
    let side = if supply.is_some() { Side::Supply } else { Side::Ground };
    let reference = supply.or(ground).or(cavity)?;
    Some(SensePin { side, ..SensePin::bare(&pin_name(project, terminal), terminal, reference) })
}

/// Circuit of the wire that ends there, or of the cavity's note, or `signal`.
fn pin_name(project: &Project, terminal: TerminalRef) -> String {
    let ends_here = |wire: &Wire| wire.from.terminal == terminal || wire.to.terminal == terminal;
    let circuits: BTreeMap<_, &str> = project
        .wires
        .iter()
        .filter(|(_, wire)| ends_here(wire))
        .map(|(id, wire)| (id, wire.circuit.as_str()))
        .collect();
    let noted = project
        .parts
        .get(terminal.part)
        .and_then(|part| part.kind.controller()?.cavities.get(&(terminal.terminal + 1)));
    let noted = noted.map(|cavity| cavity.circuit.as_str());
    noted
        .into_iter()
        .chain(circuits.into_values())
        .find(|name| !name.is_empty())
        .unwrap_or("signal")
        .to_owned()
}
