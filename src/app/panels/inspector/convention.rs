//! A pin table drawn in another maker's way: typed or chosen, shown as they draw it and as it becomes
//! here, and taken over only when confirmed.

use egui::{Button, Id, RichText, TextEdit, Ui};

use crate::app::panels::inspector::Unfolded;
use crate::app::panels::inspector::arrangement::{numbering_ui, set_arrangement};
use crate::app::widgets::{CavityLook, Pen, add_word, choice, heading, label_cell, plan_ui, quiet};
use crate::drawing::{Convention, FaceSide, FaceView, convention_words, parse_convention, seen_as};
use crate::model::{Arrangement, Gender, HalfSide, Latch, Part, PartId, PartKind};

/// What is being typed.
pub(super) struct PinTable {
    text: String,
    refused: Option<String>,
    convention: Convention,
}

/// The two halves: what the first carries, and both in words.
struct Halves {
    first: Gender,
    words: [String; 2],
}

impl Halves {
    fn of(part: &Part) -> Option<Self> {
        let other = |gender| match gender {
            Gender::Pins => Gender::Sockets,
            Gender::Sockets => Gender::Pins,
        };
        let words = |name: &str, gender: Gender| format!("{name}, {}", gender.noun());
        match &part.kind {
            PartKind::Connector(c) => Some(Self {
                first: c.first.gender,
                words: [
                    words(&c.first.name, c.first.gender),
                    c.second.as_ref().map_or_else(
                        || words("its counterpart", other(c.first.gender)),
                        |half| words(&half.name, half.gender),
                    ),
                ],
            }),
            PartKind::Controller(c) => Some(Self {
                first: c.plug.gender,
                words: [
                    words(&c.plug.name, c.plug.gender),
                    words("the controller's side", other(c.plug.gender)),
                ],
            }),
            PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Fuse(_)
            | PartKind::Resistor(_)
            | PartKind::Contact(_)
            | PartKind::Splice { .. }
            | PartKind::TestPoint
            | PartKind::Element(_) => None,
        }
    }
}

/// The word that opens the entry, or the entry.
pub(super) fn pin_table_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    unfolded: &mut Unfolded,
) {
    let (Some(now), Some(halves)) = (part.kind.arrangement(), Halves::of(part)) else { return };
    let table = match &mut unfolded.pin_table {
        Some((of, table)) if *of == id => table,
        _ => {
            let tip =
                "Where a pin table is drawn from the wires, of the other half, or upside down";
            let word = add_word(ui, "Numbers from another maker's pin table…", pen.view.palette);
            if word.on_hover_text(tip).clicked() {
                let convention = Convention {
                    side: FaceSide::Wires,
                    half: HalfSide::First,
                    latch: Latch::Up,
                    numbering: now.numbering,
                };
                let text = convention_words(now.layout, convention);
                unfolded.pin_table = Some((id, PinTable { text, refused: None, convention }));
            }
            return;
        }
    };
    heading(ui, "As the pin table draws it");
    typed_ui(ui, pen, (now, &halves), table);
    chosen_ui(ui, pen, Id::unique(("pin table", id)), (now, &halves), table);
    let wanted = table.convention.ours(now.latch);
    preview_ui(ui, pen, (id, part), table.convention);
    let is_new = wanted != now.numbering;
    if !is_new {
        quiet(ui, "The numbers here are the same already.", pen.view.palette);
    }
    let mut is_done = false;
    ui.horizontal(|ui| {
        let button =
            ui.add_enabled(is_new && table.refused.is_none(), Button::new("Take these numbers"));
        let tip = "Only the places of the numbers on the face change; wires stay on their numbers";
        if button.on_hover_text(tip).clicked() {
            let arrangement = Arrangement { numbering: wanted, ..now };
            if let Ok(edit) = set_arrangement((id, part), arrangement) {
                pen.edit(edit);
            }
            is_done = true;
        }
        is_done |= ui.button("Leave").clicked();
    });
    if is_done {
        unfolded.pin_table = None;
    }
    ui.add_space(6.0);
}

/// The whole convention as one line of words.
fn typed_ui(
    ui: &mut Ui,
    pen: &Pen<'_, '_>,
    (now, halves): (Arrangement, &Halves),
    table: &mut PinTable,
) {
    let edit = TextEdit::multiline(&mut table.text).desired_rows(2).desired_width(f32::INFINITY);
    let response = ui.add(edit).accessible_name("How the pin table is drawn");
    if response.changed() {
        let hand = (halves.first, table.convention.half);
        match parse_convention(&table.text, now.layout, hand) {
            Ok(convention) => {
                table.convention = convention;
                table.refused = None;
            }
            Err(sentence) => table.refused = Some(sentence),
        }
    }
    if let Some(sentence) = &table.refused {
        ui.label(RichText::new(format!("⚠ {sentence}")).small().color(pen.view.palette.wrong));
    }
}

/// The same as choices.
fn chosen_ui(
    ui: &mut Ui,
    pen: &Pen<'_, '_>,
    id: Id,
    (now, halves): (Arrangement, &Halves),
    table: &mut PinTable,
) {
    let mut convention = table.convention;
    ui.horizontal(|ui| {
        label_cell(ui, "Seen from", pen.view.palette);
        for (word, side) in [("the face", FaceSide::Face), ("the wires", FaceSide::Wires)] {
            if ui.selectable_label(convention.side == side, word).clicked() {
                convention.side = side;
            }
        }
    });
    ui.horizontal(|ui| {
        label_cell(ui, "Half drawn", pen.view.palette);
        let sides = [HalfSide::First, HalfSide::Second];
        let shown = usize::from(convention.half == HalfSide::Second);
        let options = halves.words.iter().cloned().zip(sides);
        if let Some(half) = choice(ui, id.with("half"), "Half drawn", &halves.words[shown], options)
        {
            convention.half = half;
        }
    });
    ui.horizontal(|ui| {
        label_cell(ui, "Latch there", pen.view.palette);
        let options = Latch::ALL.map(|latch| (latch.noun().to_owned(), latch));
        let noun = convention.latch.noun();
        if let Some(latch) = choice(ui, id.with("latch"), "Latch there", noun, options) {
            convention.latch = latch;
        }
    });
    ui.push_id(id.with("numbering"), |ui| {
        let pair = (now.layout, convention.numbering);
        if let Some(numbering) = numbering_ui(ui, pen, id.with("theirs"), pair) {
            convention.numbering = numbering;
        }
    });
    if convention != table.convention {
        table.convention = convention;
        table.text = convention_words(now.layout, convention);
        table.refused = None;
    }
}

/// Their picture, to be laid beside the pin table, and both of ours.
fn preview_ui(ui: &mut Ui, pen: &Pen<'_, '_>, (id, part): (PartId, &Part), convention: Convention) {
    let Some(face) = FaceView::of(&part.kind, HalfSide::First, FaceSide::Face) else { return };
    let face = FaceView { numbering: convention.ours(face.latch), ..face };
    let plain = |_| CavityLook::default();
    let their_tip = "This must look like the picture in the pin table";
    let id = Id::unique(("pin table preview", id));
    let view = (None, pen.view);
    plan_ui(
        ui,
        id.with("theirs"),
        ("the pin table", their_tip),
        &seen_as(face, convention),
        view,
        plain,
    );
    for side in FaceSide::ALL {
        let name = format!("new {}", side.words());
        let tip = "How the first half is drawn here afterwards";
        let plan = FaceView { side, ..face }.plan();
        plan_ui(ui, id.with(side), (&name, tip), &plan, view, plain);
    }
}
