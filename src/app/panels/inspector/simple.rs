//! Supply, fuse, splice and frame: the kinds with a line or two.

use egui::{Id, Ui};

use crate::app::panels::inspector::part::{set_part, title_ui};
use crate::app::widgets::{
    Field, Pen, choice, label_cell, number_text, ohm_text, parse_named, parse_ohms, parse_positive,
    parse_unit, quiet,
};
use crate::edit::Edit;
use crate::model::{Frame, FrameId, Fuse, Part, PartId, PartKind, Supply, WireId};
use crate::units::Range;

/// One member of a range: its word, its value, and how to put another.
type Member = (&'static str, f64, fn(&mut Range, f64));

/// A supply: volts, least to greatest.
pub fn supply_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, part): (PartId, &Part), supply: &Supply) {
    let rows: [Member; 3] = [
        ("Usual", supply.volt.nominal, |range, volt| {
            // A supply without spread keeps having none.
            if range.low == range.high {
                *range = Range::exact(volt);
            }
            range.nominal = volt;
        }),
        ("Least", supply.volt.low, |range, volt| range.low = volt),
        ("Greatest", supply.volt.high, |range, volt| range.high = volt),
    ];
    for (label, volt, put) in rows {
        let field = Field::figure(
            Id::unique(("supply", label, id)),
            format!("{label} volts"),
            number_text(volt, "V"),
        );
        pen.row(ui, label, &field, |text| {
            let volt = parse_unit(text, "V", "volts such as 12 V")?;
            set_part((id, part), |part| {
                if let PartKind::Supply(supply) = &mut part.kind {
                    put(&mut supply.volt, volt);
                }
                Ok(())
            })
        });
    }
    quiet(ui, "Volts against ground. Fuse a live supply close to it.", pen.view.palette);
}

/// A fuse: rating and cold resistance.
pub fn fuse_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, part): (PartId, &Part), fuse: &Fuse) {
    let rating =
        Field::figure(Id::unique(("fuse rating", id)), "Rating", number_text(fuse.rating_amp, "A"));
    pen.row(ui, "Rating", &rating, |text| {
        let amp = parse_positive(text, "A", "amperes such as 2 A")?;
        set_fuse((id, part), |fuse| fuse.rating_amp = amp)
    });
    let cold =
        Field::figure(Id::unique(("fuse cold", id)), "Cold resistance", ohm_text(fuse.cold_ohm));
    pen.row(ui, "Cold", &cold, |text| {
        let ohm = parse_ohms(text)?;
        set_fuse((id, part), |fuse| fuse.cold_ohm = ohm)
    });
    quiet(
        ui,
        "A fuse protects the wire behind it: never put in a larger one than the wire stands.",
        pen.view.palette,
    );
}

fn set_fuse(part: (PartId, &Part), change: impl FnOnce(&mut Fuse)) -> Result<Edit, String> {
    set_part(part, |part| {
        if let PartKind::Fuse(fuse) = &mut part.kind {
            change(fuse);
        }
        Ok(())
    })
}

/// A splice: the wire it is tapped onto.
pub fn splice_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    on: Option<WireId>,
) {
    let project = pen.view.project;
    let now = on
        .and_then(|wire| project.wires.get(wire))
        .map_or("no wire: it joins ends", |wire| wire.name.as_str());
    ui.horizontal(|ui| {
        label_cell(ui, "Tapped onto", pen.view.palette);
        let none = std::iter::once(("no wire: it joins ends".to_owned(), None));
        let wires = project.wires.iter().map(|(wire, row)| (row.name.clone(), Some(wire)));
        if let Some(on) =
            choice(ui, Id::unique(("splice on", id)), "Tapped onto", now, none.chain(wires))
        {
            let mut part = part.clone();
            if let PartKind::Splice { on: tapped, .. } = &mut part.kind {
                *tapped = on;
            }
            pen.edit(Edit::SetPart(id, Box::new(part)));
        }
    });
}

/// A frame: its name.
pub fn frame_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, frame): (FrameId, &Frame),
    focus_name: bool,
) {
    title_ui(ui, pen, "frame");
    let name = Field::words(Id::unique(("frame name", id)), "Name", frame.name.as_str());
    if focus_name {
        ui.memory_mut(|memory| memory.request_focus(name.id));
    }
    pen.row(ui, "Name", &name, |text| {
        let name = parse_named(text)?;
        Ok(Edit::SetFrame(id, Frame { name, rect: frame.rect }))
    });
    quiet(ui, "A dashed outline around the parts of one box. It joins nothing.", pen.view.palette);
}
