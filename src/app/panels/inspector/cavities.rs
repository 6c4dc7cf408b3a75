//! The cavities of a connector or controller: both views, and what is written down about each cavity.

use std::collections::BTreeMap;

use egui::{Id, RichText, Ui};

use crate::app::panels::inspector::part::set_part;
use crate::app::panels::inspector::pins;
use crate::app::panels::inspector::{Next, Unfolded};
use crate::app::theme;
use crate::app::widgets::{
    CavityLook, CavityMark, Field, Pen, choice_wide, face_ui, heading, quiet,
};
use crate::drawing::{FaceSide, FaceView};
use crate::edit::Edit;
use crate::model::{
    Cavity, CavityFill, Connector, Controller, HalfSide, Part, PartId, PartKind, Project,
    SensePinId, Subject, TerminalRef, Wire,
};

/// Everything the pictures and the list need to know about one half.
struct HalfOf<'a> {
    id: PartId,
    part: &'a Part,
    face: FaceView,
    notes: &'a BTreeMap<u16, Cavity>,
    side: HalfSide,
    is_controller: bool,
    /// Wires at the part's terminals.
    wires: BTreeMap<u16, &'a Wire>,
}

impl HalfOf<'_> {
    fn terminal(&self, cavity: u16) -> TerminalRef {
        let terminal = if self.is_controller {
            cavity - 1
        } else {
            2 * (cavity - 1) + u16::from(self.side == HalfSide::Second)
        };
        TerminalRef { part: self.id, terminal }
    }
}

/// Cavities of one half of a connector.
pub fn connector_cavities_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    (connector, side): (&Connector, HalfSide),
    unfolded: &mut Unfolded,
) {
    let face = FaceView::of(&part.kind, side, FaceSide::Face);
    let Some(face) = face else { return };
    let wires = wires_at(pen.view.project, id);
    let notes = &connector.cavities;
    let half = HalfOf { id, part, face, notes, side, is_controller: false, wires };
    views_ui(ui, pen, &half, unfolded);
    list_ui(ui, pen, &half, unfolded);
}

/// Cavities of a controller, with the way to make one a sense pin.
pub fn controller_cavities_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    controller: &Controller,
    (unfolded, next): (&mut Unfolded, &mut Next),
) {
    let face = FaceView::of(&part.kind, HalfSide::First, FaceSide::Face);
    let Some(face) = face else { return };
    let wires = wires_at(pen.view.project, id);
    let notes = &controller.cavities;
    let half = HalfOf { id, part, face, notes, side: HalfSide::First, is_controller: true, wires };
    views_ui(ui, pen, &half, unfolded);
    sense_ui(ui, pen, &half, (unfolded, next));
    list_ui(ui, pen, &half, unfolded);
}

/// The wire at each terminal of a part, found in one pass.
fn wires_at(project: &Project, part: PartId) -> BTreeMap<u16, &Wire> {
    let ends = project
        .wires
        .iter()
        .flat_map(|(_, wire)| [(wire.from.terminal, wire), (wire.to.terminal, wire)]);
    ends.filter(|(terminal, _)| terminal.part == part)
        .map(|(terminal, wire)| (terminal.terminal, wire))
        .collect()
}

fn sense_pin_at(project: &Project, terminal: TerminalRef) -> Option<SensePinId> {
    project.sense_pins.iter().find(|(_, pin)| pin.terminal == terminal).map(|(id, _)| id)
}

fn fill_word(fill: CavityFill) -> &'static str {
    match fill {
        CavityFill::Free => "free",
        CavityFill::Existing => "existing",
        CavityFill::Plug => "plug",
    }
}

fn look(project: &Project, half: &HalfOf<'_>, cavity: u16) -> CavityLook {
    let terminal = half.terminal(cavity);
    let note = half.notes.get(&cavity).cloned().unwrap_or_default();
    let wire = half.wires.get(&terminal.terminal);
    let mut words = vec![format!("cavity {cavity}")];
    words.extend(Some(note.circuit.clone()).filter(|circuit| !circuit.is_empty()));
    words.push(match wire {
        Some(wire) => format!("wire {}, {}", wire.name, wire.colour.text()),
        None => match note.fill {
            CavityFill::Free => "empty".into(),
            CavityFill::Existing => "a wire that was there before".into(),
            CavityFill::Plug => "sealing plug".into(),
        },
    });
    CavityLook {
        lead: None,
        wire: wire.map(|wire| wire.colour),
        is_sense: half.is_controller && sense_pin_at(project, terminal).is_some(),
        mark: match note.fill {
            CavityFill::Free => CavityMark::None,
            CavityFill::Existing => CavityMark::Existing,
            CavityFill::Plug => CavityMark::Plug,
        },
        words: words.join(", "),
    }
}

/// Face view and wire view, beside each other where they fit.
fn views_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, half: &HalfOf<'_>, unfolded: &mut Unfolded) {
    let (view, project) = (pen.view, pen.view.project);
    let chosen = unfolded.cavity(half.id);
    let mut clicked = None;
    let beside = {
        let plan = half.face.plan();
        plan.width_mm / plan.cavity_mm < 4.6
    };
    let mut one = |ui: &mut Ui, side: FaceSide| {
        let id = Id::unique(("cavity", half.id, half.side == HalfSide::First));
        let face = FaceView { side, ..half.face };
        clicked =
            clicked.or(face_ui(ui, id, face, chosen, view, |cavity| look(project, half, cavity)));
    };
    ui.add_space(4.0);
    if beside {
        ui.columns(2, |columns| {
            one(&mut columns[0], FaceSide::Face);
            one(&mut columns[1], FaceSide::Wires);
        });
    } else {
        one(ui, FaceSide::Face);
        one(ui, FaceSide::Wires);
    }
    if let Some(cavity) = clicked {
        unfolded.cavity = Some((half.id, cavity));
    }
}

/// Sense pins of a controller, and the button that makes the chosen cavity one.
fn sense_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    half: &HalfOf<'_>,
    (unfolded, next): (&mut Unfolded, &mut Next),
) {
    let project = pen.view.project;
    heading(ui, "Sense pins");
    let own: Vec<_> =
        project.sense_pins.iter().filter(|(_, pin)| pin.terminal.part == half.id).collect();
    for (id, pin) in &own {
        let words = format!("{} {}", project.terminal_name(pin.terminal), pin.name);
        if ui.link(words).on_hover_text("Open its bands and what is expected").clicked() {
            next.0 = Some(Subject::SensePin(*id));
        }
    }
    match unfolded.cavity(half.id) {
        Some(cavity) if sense_pin_at(project, half.terminal(cavity)).is_none() => {
            if ui.button(format!("Make cavity {cavity} a sense pin")).clicked()
                && let Some(pin) = pins::new_pin(project, half.terminal(cavity))
            {
                pen.edit(Edit::AddSensePin(Box::new(pin)));
            }
        }
        Some(_) => {}
        None => {
            quiet(
                ui,
                "Click a cavity to choose it; then it can be made a sense pin.",
                pen.view.palette,
            );
        }
    }
}

fn set_note(
    half: &HalfOf<'_>,
    cavity: u16,
    change: impl FnOnce(&mut Cavity),
) -> Result<Edit, String> {
    set_part((half.id, half.part), |part| {
        let notes = match &mut part.kind {
            PartKind::Connector(connector) => Some(&mut connector.cavities),
            PartKind::Controller(controller) => Some(&mut controller.cavities),
            PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Fuse(_)
            | PartKind::Resistor(_)
            | PartKind::Contact(_)
            | PartKind::Splice { .. }
            | PartKind::TestPoint
            | PartKind::Element(_) => None,
        };
        if let Some(notes) = notes {
            let note = notes.entry(cavity).or_default();
            change(note);
            if *note == Cavity::default() {
                notes.remove(&cavity);
            }
        }
        Ok(())
    })
}

/// One row for each cavity: number, circuit, fill, wire.
fn list_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, half: &HalfOf<'_>, unfolded: &mut Unfolded) {
    heading(ui, "Cavities");
    let count = usize::from(half.face.layout.count());
    let row_height = ui.spacing().interact_size.y;
    let area = egui::ScrollArea::vertical().id_salt(("cavity list", half.id)).max_height(300.0);
    let many = count > 10;
    let mut draw = |ui: &mut Ui, range: std::ops::Range<usize>| {
        for idx in range {
            let cavity = u16::try_from(idx + 1).unwrap_or(u16::MAX);
            row_ui(ui, pen, half, cavity, unfolded);
        }
    };
    if many {
        area.show_rows(ui, row_height, count, |ui, range| draw(ui, range));
    } else {
        draw(ui, 0..count);
    }
}

fn row_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    half: &HalfOf<'_>,
    cavity: u16,
    unfolded: &mut Unfolded,
) {
    let note = half.notes.get(&cavity).cloned().unwrap_or_default();
    let first = half.side == HalfSide::First;
    let field = Field::words(
        Id::unique(("cavity circuit", half.id, first, cavity)),
        format!("Circuit of cavity {cavity}"),
        note.circuit.as_str(),
    );
    let mut edit = None;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let chosen = unfolded.cavity(half.id) == Some(cavity);
        let number = RichText::new(cavity.to_string());
        let number = if chosen {
            number.font(theme::bold(theme::TEXT_BODY)).color(pen.view.palette.chosen)
        } else {
            number
        };
        let button = egui::Button::new(number).frame(false).min_size(egui::vec2(26.0, 0.0));
        if ui.add(button).on_hover_text("Choose this cavity").clicked() {
            unfolded.cavity = Some((half.id, cavity));
        }
        let wide = ui.available_width() - 148.0;
        pen.field(ui, &field.clone().width(wide).hint("circuit"), |text| {
            set_note(half, cavity, |note| note.circuit = text.to_owned())
        });
        let options = [CavityFill::Free, CavityFill::Existing, CavityFill::Plug]
            .map(|f| (fill_word(f).to_owned(), f));
        let name = format!("Fill of cavity {cavity}");
        let id = Id::unique(("cavity fill", half.id, first, cavity));
        if let Some(fill) = choice_wide(ui, id, (&name, 94.0), fill_word(note.fill), options) {
            edit = set_note(half, cavity, |note| note.fill = fill).ok();
        }
        if let Some(wire) = half.wires.get(&half.terminal(cavity).terminal) {
            ui.label(wire.name.as_str()).on_hover_text(format!(
                "wire {}, {}",
                wire.name,
                wire.colour.text()
            ));
        }
    });
    if let Some(edit) = edit {
        pen.edit(edit);
    }
}
