//! Picking a terminal: first the part, then which of its terminals.

use egui::{Id, Ui};

use crate::app::view::View;
use crate::app::widgets::choice::choice;
use crate::app::widgets::row::label_cell;
use crate::model::{Part, PartId, PartKind, Project, TerminalRef};

/// A terminal as a person reads it: its name and what is known about it, `X1-11 RANGE signal`.
pub fn terminal_words(project: &Project, terminal: TerminalRef) -> String {
    let name = project.terminal_name(terminal);
    let circuit =
        project.parts.get(terminal.part).and_then(|part| circuit_of(part, terminal.terminal));
    circuit.map_or_else(|| name.clone(), |circuit| format!("{name} {circuit}"))
}

/// Circuit written down for the terminal's cavity.
fn circuit_of(part: &Part, terminal: u16) -> Option<&str> {
    part.kind
        .cavity_at(terminal)
        .map(|cavity| cavity.circuit.as_str())
        .filter(|circuit| !circuit.is_empty())
}

/// Two rows, part and terminal, under one label. Returns a new pick.
pub fn terminal_choice(
    ui: &mut Ui,
    id: Id,
    label: &str,
    view: View<'_>,
    now: TerminalRef,
) -> Option<TerminalRef> {
    let project = view.project;
    let part_now = project.parts.get(now.part);
    let mut picked = None;
    ui.horizontal(|ui| {
        label_cell(ui, label, view.palette);
        let shown = part_now.map_or("?".to_owned(), part_words);
        let parts = project.parts.iter().filter(|(_, part)| is_choosable(part));
        let options = parts.map(|(id, part)| (part_words(part), id));
        let name = format!("{label}: part");
        let part: Option<PartId> = choice(ui, id.with("part"), &name, &shown, options);
        picked = part.map(|part| TerminalRef { part, terminal: 0 });
    });
    let Some(part) = part_now.filter(|part| part.kind.terminal_count() > 1) else { return picked };
    ui.horizontal(|ui| {
        label_cell(ui, "   at", view.palette);
        let terminals =
            (0..part.kind.terminal_count()).filter(|terminal| part.kind.has_terminal(*terminal));
        let words = |terminal| terminal_words(project, TerminalRef { part: now.part, terminal });
        let options = terminals.map(|terminal| (words(terminal), terminal));
        let name = format!("{label}: terminal");
        if let Some(terminal) =
            choice(ui, id.with("terminal"), &name, &words(now.terminal), options)
        {
            picked = Some(TerminalRef { part: now.part, terminal });
        }
    });
    picked
}

fn part_words(part: &Part) -> String {
    format!("{} {}", part.name, part.kind.noun())
}

/// Whether a network may end there: supplies, ground points, outputs of the controller, points to measure at.
fn is_choosable(part: &Part) -> bool {
    match part.kind {
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Connector(_)
        | PartKind::Controller(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint => true,
        PartKind::Fuse(_) | PartKind::Resistor(_) | PartKind::Contact(_) | PartKind::Element(_) => {
            false
        }
    }
}
