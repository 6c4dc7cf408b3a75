//! Connectors and controllers: halves, mating, and both views of the cavities.

use egui::{Id, RichText, Ui};

use crate::app::panels::inspector::arrangement;
use crate::app::panels::inspector::cavities;
use crate::app::panels::inspector::part::set_part;
use crate::app::panels::inspector::{Next, Unfolded};
use crate::app::theme;
use crate::app::widgets::{
    Field, Pen, RangeUnit, choice, heading, label_cell, parse_named, quiet, range_row, range_text,
};
use crate::edit::Edit;
use crate::harness::half_fills;
use crate::model::{
    Connector, Controller, EndKind, Gender, Half, HalfSide, Mating, Part, PartId, PartKind,
};
use crate::units::Range;

/// All properties of a connector.
pub fn connector_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    connector: &Connector,
    unfolded: &mut Unfolded,
) {
    arrangement::arrangement_ui(ui, pen, (id, part), unfolded);
    mating_ui(ui, pen, (id, part), connector);
    let side = half_words_ui(ui, (id, connector), unfolded);
    let half = match side {
        HalfSide::First => Some(&connector.first),
        HalfSide::Second => connector.second.as_ref(),
    };
    if let Some(half) = half {
        half_ui(ui, pen, (id, part), half, side);
        live_ui(ui, pen, (half, unfolded.fed_halves(pen.view, id).contains(&side)));
        plugs_ui(ui, pen, id, side);
    }
    cavities::connector_cavities_ui(ui, pen, (id, part), (connector, side), unfolded);
}

/// All properties of a controller, its sense pins among them.
pub fn controller_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    controller: &Controller,
    (unfolded, next): (&mut Unfolded, &mut Next),
) {
    arrangement::arrangement_ui(ui, pen, (id, part), unfolded);
    heading(ui, "Plug of the harness");
    half_ui(ui, pen, (id, part), &controller.plug, HalfSide::First);
    let is_fed = !unfolded.fed_halves(pen.view, id).is_empty();
    live_ui(ui, pen, (&controller.plug, is_fed));
    plugs_ui(ui, pen, id, HalfSide::First);
    cavities::controller_cavities_ui(ui, pen, (id, part), controller, (unfolded, next));
}

fn set_connector(
    part: (PartId, &Part),
    change: impl FnOnce(&mut Connector),
) -> Result<Edit, String> {
    set_part(part, |part| {
        if let PartKind::Connector(connector) = &mut part.kind {
            change(connector);
        }
        Ok(())
    })
}

fn mating_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    connector: &Connector,
) {
    let mut edits = Vec::new();
    let mut paired = connector.second.is_some();
    ui.horizontal(|ui| {
        label_cell(ui, "Counterpart", pen.view.palette);
        if ui.checkbox(&mut paired, "has a second half").changed() {
            let gender = match connector.first.gender {
                Gender::Pins => Gender::Sockets,
                Gender::Sockets => Gender::Pins,
            };
            let half = Half {
                name: connector.first.name.clone(),
                gender,
                end_kind: connector.first.end_kind,
            };
            edits.push(set_connector((id, part), |connector| {
                connector.second = paired.then_some(half)
            }));
        }
    });
    if connector.second.is_some() {
        ui.horizontal(|ui| {
            label_cell(ui, "", pen.view.palette);
            for (word, mating) in [("Mated", Mating::Mated), ("Apart", Mating::Apart)] {
                if ui.selectable_label(connector.mating == mating, word).clicked()
                    && connector.mating != mating
                {
                    edits.push(set_connector((id, part), |connector| connector.mating = mating));
                }
            }
        });
        ui.horizontal(|ui| {
            label_cell(ui, "", pen.view.palette);
            let mut rotating = connector.rotating;
            if ui
                .checkbox(&mut rotating, "a rotating contact")
                .on_hover_text("A rotating contact, as under a wheel")
                .changed()
            {
                edits.push(set_connector((id, part), |connector| connector.rotating = rotating));
            }
        });
        joint_ui(ui, pen, (id, part), connector);
    }
    for edit in edits.into_iter().flatten() {
        pen.edit(edit);
    }
}

fn joint_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    connector: &Connector,
) {
    let project_range = pen.view.project.settings.joint_ohm;
    let mut own = connector.joint_ohm.is_some();
    ui.horizontal(|ui| {
        label_cell(ui, "Joint", pen.view.palette);
        let words = format!("own, else {}", range_text(project_range, "Ω"));
        if ui.checkbox(&mut own, words).changed()
            && let Ok(edit) = set_connector((id, part), |connector| {
                connector.joint_ohm = own.then_some(project_range)
            })
        {
            pen.edit(edit);
        }
    });
    if let Some(range) = connector.joint_ohm {
        range_row(
            ui,
            pen,
            ("", "Joint resistance", Id::unique(("joint", id))),
            (RangeUnit::Ohm, range),
            |range: Range| set_connector((id, part), |connector| connector.joint_ohm = Some(range)),
        );
    }
}

/// The two halves' names as words; returns the half looked at.
fn half_words_ui(
    ui: &mut Ui,
    (id, connector): (PartId, &Connector),
    unfolded: &mut Unfolded,
) -> HalfSide {
    let Some(second) = &connector.second else {
        heading(ui, "Half");
        return HalfSide::First;
    };
    let side = unfolded.half(id);
    ui.add_space(6.0);
    ui.horizontal(|ui| {
        ui.label(RichText::new("Half").font(theme::bold(theme::TEXT_BODY)));
        for (option, half, where_it_is) in
            [(HalfSide::First, &connector.first, "left"), (HalfSide::Second, second, "right")]
        {
            let words = format!("{} {where_it_is}", half.name);
            if ui.selectable_label(side == option, words).clicked() {
                unfolded.second_half = (option == HalfSide::Second).then_some(id);
            }
        }
    });
    side
}

fn set_half(
    part: (PartId, &Part),
    side: HalfSide,
    change: impl FnOnce(&mut Half),
) -> Result<Edit, String> {
    set_part(part, |part| {
        let half = match (&mut part.kind, side) {
            (PartKind::Connector(connector), HalfSide::First) => Some(&mut connector.first),
            (PartKind::Connector(connector), HalfSide::Second) => connector.second.as_mut(),
            (PartKind::Controller(controller), _) => Some(&mut controller.plug),
            (
                PartKind::Supply(_)
                | PartKind::Ground
                | PartKind::Fuse(_)
                | PartKind::Resistor(_)
                | PartKind::Contact(_)
                | PartKind::Splice { .. }
                | PartKind::TestPoint
                | PartKind::Element(_),
                _,
            ) => None,
        };
        if let Some(half) = half {
            change(half);
        }
        Ok(())
    })
}

/// Name, gender and kind of end of one half.
fn half_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    half: &Half,
    side: HalfSide,
) {
    let field = Field::words(
        Id::unique(("half name", id, side == HalfSide::First)),
        "Name of the half",
        half.name.as_str(),
    );
    pen.row(ui, "Name in lists", &field, |text| {
        let name = parse_named(text)?;
        set_half((id, part), side, |half| half.name = name)
    });
    let mut edit = None;
    ui.horizontal(|ui| {
        label_cell(ui, "Terminals", pen.view.palette);
        for gender in [Gender::Sockets, Gender::Pins] {
            if ui.selectable_label(half.gender == gender, gender.noun()).clicked() {
                edit = set_half((id, part), side, |half| half.gender = gender).ok();
            }
        }
    });
    ui.horizontal(|ui| {
        label_cell(ui, "Kind of end", pen.view.palette);
        let options = EndKind::ALL.map(|kind| (kind.noun().to_owned(), kind));
        let picked = choice(
            ui,
            Id::unique(("half end", id, side == HalfSide::First)),
            "Kind of end",
            half.end_kind.noun(),
            options,
        );
        if let Some(kind) = picked {
            edit = set_half((id, part), side, |half| half.end_kind = kind).ok();
        }
    });
    if let Some(edit) = edit {
        pen.edit(edit);
    }
}

/// Whether a half stays live when it is pulled, and whether its terminals are right for that.
fn live_ui(ui: &mut Ui, pen: &Pen<'_, '_>, (half, is_fed): (&Half, bool)) {
    let palette = pen.view.palette;
    match (is_fed, half.gender) {
        (true, Gender::Sockets) => {
            quiet(
                ui,
                "Fed from the supply: stays live when it is pulled. Sockets are right.",
                palette,
            );
        }
        (true, Gender::Pins) => {
            let words = "⚠ Fed from the supply: stays live when it is pulled. Give this half sockets, so that nothing can touch it.";
            ui.add(egui::Label::new(RichText::new(words).small().color(palette.warning)).wrap());
        }
        (false, Gender::Pins | Gender::Sockets) => {
            quiet(ui, "Not fed while it is pulled, as far as supplies are drawn.", palette);
        }
    }
}

/// How many sealing plugs the half needs.
fn plugs_ui(ui: &mut Ui, pen: &Pen<'_, '_>, id: PartId, side: HalfSide) {
    let Some(fill) =
        half_fills(pen.view.project).into_iter().find(|f| f.part == id && f.side == side)
    else {
        return;
    };
    let words = match (fill.plugs_needed(), fill.is_sealed, fill.empty.len()) {
        (0, true, _) => "No sealing plugs needed: every cavity is filled.".to_owned(),
        (1, _, _) => "1 sealing plug needed.".to_owned(),
        (0, false, 0) => return,
        (0, false, n) => format!("{n} empty, not sealed: no plugs needed."),
        (n, _, _) => format!("{n} sealing plugs needed."),
    };
    quiet(ui, words, pen.view.palette);
}
