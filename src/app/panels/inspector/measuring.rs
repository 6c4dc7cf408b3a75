//! How the controller measures a sense pin: cavity, reference, pull, full scale, converter, and its dirt.

use egui::{Id, Ui};

use crate::app::panels::inspector::pins::changed_pin;
use crate::app::widgets::{
    Field, Pen, RangeUnit, UNKNOWN, choice, heading, label_cell, number_text, ohm_text,
    optional_row, parse_count, parse_named, parse_ohms, parse_positive, parse_unit, range_row,
    terminal_choice, terminal_words, tolerance_row,
};
use crate::model::{
    Converter, FullScale, PartKind, Scale, SensePin, SensePinId, Side, TerminalRef,
};
use crate::units::{Range, Tolerant};

type PinRow<'a> = (SensePinId, &'a SensePin);

/// Name, cavity, reference, side, scale: what the pin is.
pub fn place_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, pin): PinRow<'_>) {
    let project = pen.view.project;
    let name =
        Field::words(Id::unique(("pin name", id)), "Name of the sense pin", pin.name.as_str());
    pen.row(ui, "Name", &name, |text| {
        let name = parse_named(text)?;
        Ok(changed_pin((id, pin), |pin| pin.name = name))
    });
    ui.horizontal(|ui| {
        label_cell(ui, "Cavity", pen.view.palette);
        let mut cavities: Vec<(String, TerminalRef)> = Vec::new();
        for (part_id, part) in project.parts.iter() {
            if matches!(part.kind, PartKind::Controller(_)) {
                let terminals = (0..part.kind.terminal_count())
                    .map(|t| TerminalRef { part: part_id, terminal: t });
                cavities.extend(
                    terminals.map(|terminal| (terminal_words(project, terminal), terminal)),
                );
            }
        }
        let now = terminal_words(project, pin.terminal);
        if let Some(terminal) = choice(ui, Id::unique(("pin cavity", id)), "Cavity", &now, cavities)
        {
            pen.edit(changed_pin((id, pin), |pin| pin.terminal = terminal));
        }
    });
    ui.horizontal(|ui| {
        label_cell(ui, "Switches to", pen.view.palette);
        for (word, side) in [("Ground", Side::Ground), ("Supply", Side::Supply)] {
            if ui.selectable_label(pin.side == side, word).clicked() && pin.side != side {
                pen.edit(changed_pin((id, pin), |pin| pin.side = side));
            }
        }
    });
    let id_reference = Id::unique(("pin reference", id));
    if let Some(reference) =
        terminal_choice(ui, id_reference, "Measured to", pen.view, pin.reference)
    {
        pen.edit(changed_pin((id, pin), |pin| pin.reference = reference));
    }
    ui.horizontal(|ui| {
        label_cell(ui, "Bands are in", pen.view.palette);
        let words = |scale| match scale {
            Scale::Ohm => "ohms",
            Scale::Volt => "volts",
            Scale::Count => "counts",
            Scale::Percent => "percent of full scale",
        };
        let options = [Scale::Ohm, Scale::Volt, Scale::Count, Scale::Percent]
            .map(|s| (words(s).to_owned(), s));
        if let Some(scale) =
            choice(ui, Id::unique(("pin scale", id)), "Bands are in", words(pin.scale), options)
        {
            pen.edit(changed_pin((id, pin), |pin| pin.scale = scale));
        }
    });
}

/// Pull, reference, full scale, converter, limit, debounce, arming.
pub fn measuring_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, pin): PinRow<'_>) {
    heading(ui, "How it measures");
    let pull = match pin.side {
        Side::Ground => "Pull-up",
        Side::Supply => "Pull-down",
    };
    let shown = pin.pull_ohm.map_or_else(String::new, |pull| ohm_text(pull.nominal));
    let field = Field::figure(Id::unique(("pin pull", id)), pull, shown);
    optional_row(ui, pen, (pull, field), parse_ohms, |ohm| {
        changed_pin((id, pin), |pin| pin.pull_ohm = tolerant(ohm, pin.pull_ohm))
    });
    if let Some(now) = pin.pull_ohm {
        tolerance_row(ui, pen, ("the pull", Id::unique(("pin pull tolerance", id))), now, |now| {
            changed_pin((id, pin), |pin| pin.pull_ohm = Some(now))
        });
    }
    let volts = |text: &str| parse_positive(text, "V", "volts such as 5 V");
    let shown = pin.reference_volt.map_or_else(String::new, |volt| number_text(volt.nominal, "V"));
    let field = Field::figure(Id::unique(("pin volts", id)), "Reference", shown);
    optional_row(ui, pen, ("Reference", field), volts, |volt| {
        changed_pin((id, pin), |pin| pin.reference_volt = tolerant(volt, pin.reference_volt))
    });
    if let Some(now) = pin.reference_volt {
        tolerance_row(
            ui,
            pen,
            ("the reference", Id::unique(("pin volts tolerance", id))),
            now,
            |now| changed_pin((id, pin), |pin| pin.reference_volt = Some(now)),
        );
    }
    full_scale_ui(ui, pen, (id, pin));
    converter_ui(ui, pen, (id, pin));
    let shown = pin.limit_volt.map_or_else(String::new, |volt| number_text(volt, "V"));
    let field = Field::figure(Id::unique(("pin limit", id)), "Stands at most", shown);
    optional_row(ui, pen, ("Pin limit", field), volts, |volt| {
        changed_pin((id, pin), |pin| pin.limit_volt = volt)
    });
    let shown = pin.debounce_ms.map_or_else(String::new, |ms| number_text(ms, "ms"));
    let field = Field::figure(Id::unique(("pin debounce", id)), "Debounce", shown);
    let parse = |text: &str| parse_unit(text, "ms", "milliseconds such as 60 ms");
    optional_row(ui, pen, ("Debounce", field), parse, |ms| {
        changed_pin((id, pin), |pin| pin.debounce_ms = ms)
    });
    ui.label(egui::RichText::new("How it comes to listen").color(pen.view.palette.quiet));
    let field =
        Field::words(Id::unique(("pin arming", id)), "How it comes to listen", pin.arming.as_str())
            .rows(3)
            .hint("in words: what must happen before the controller takes notice");
    pen.field(ui, &field, |text| {
        Ok(changed_pin((id, pin), |pin| text.clone_into(&mut pin.arming)))
    });
}

/// A new nominal value keeps the tolerance that was there.
fn tolerant(nominal: Option<f64>, now: Option<Tolerant>) -> Option<Tolerant> {
    nominal.map(|nominal| Tolerant { nominal, tolerance: now.map_or(0.01, |now| now.tolerance) })
}

fn full_scale_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, pin): PinRow<'_>) {
    let follows = "follows the reference";
    let fixed = "stands by itself";
    let now = match pin.full_scale {
        None => UNKNOWN,
        Some(FullScale::Ratiometric { .. }) => follows,
        Some(FullScale::Fixed(_)) => fixed,
    };
    let volt = pin
        .full_scale
        .map(FullScale::volt)
        .or(pin.reference_volt.map(|volt| volt.nominal))
        .unwrap_or(5.0);
    ui.horizontal(|ui| {
        label_cell(ui, "Full scale", pen.view.palette);
        let options = [
            (UNKNOWN.to_owned(), None),
            (follows.to_owned(), Some(FullScale::Ratiometric { volt })),
            (fixed.to_owned(), Some(FullScale::Fixed(Tolerant { nominal: volt, tolerance: 0.01 }))),
        ];
        if let Some(full_scale) =
            choice(ui, Id::unique(("pin full scale", id)), "Full scale", now, options)
        {
            pen.edit(changed_pin((id, pin), |pin| pin.full_scale = full_scale));
        }
    });
    let Some(full_scale) = pin.full_scale else { return };
    let field = Field::figure(
        Id::unique(("full scale volts", id)),
        "Full scale volts",
        number_text(full_scale.volt(), "V"),
    );
    pen.row(ui, "   is", &field, |text| {
        let volt = parse_positive(text, "V", "volts such as 5 V")?;
        let full_scale = match full_scale {
            FullScale::Ratiometric { .. } => FullScale::Ratiometric { volt },
            FullScale::Fixed(now) => FullScale::Fixed(Tolerant { nominal: volt, ..now }),
        };
        Ok(changed_pin((id, pin), |pin| pin.full_scale = Some(full_scale)))
    });
    if let FullScale::Fixed(now) = full_scale {
        tolerance_row(
            ui,
            pen,
            ("full scale", Id::unique(("full scale tolerance", id))),
            now,
            |now| changed_pin((id, pin), |pin| pin.full_scale = Some(FullScale::Fixed(now))),
        );
    }
}

fn converter_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, pin): PinRow<'_>) {
    let shown = pin.converter.map_or_else(String::new, |converter| converter.max_count.to_string());
    let field = Field::figure(Id::unique(("pin count", id)), "Greatest count", shown).hint(UNKNOWN);
    pen.row(ui, "Top count", &field, |text| {
        let text = text.trim();
        let now = pin.converter;
        let converter = if text.is_empty() {
            None
        } else {
            let max_count = parse_count(text, "a whole number such as 1023")?;
            Some(Converter {
                max_count,
                error_count: now.map_or(2.0, |converter| converter.error_count),
            })
        };
        Ok(changed_pin((id, pin), |pin| pin.converter = converter))
    });
    if let Some(now) = pin.converter {
        let shown = number_text(now.error_count, "counts");
        pen.row(
            ui,
            "   give or take",
            &Field::figure(Id::unique(("pin count error", id)), "Converter error", shown),
            |text| {
                let error_count = parse_unit(text, "counts", "counts such as 2")?;
                Ok(changed_pin((id, pin), |pin| {
                    pin.converter = Some(Converter { error_count, ..now })
                }))
            },
        );
    }
}

/// Wire loop, leak, ground offset.
pub fn dirt_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, pin): PinRow<'_>) {
    heading(ui, "Dirt at this pin");
    let mut typed = pin.wire_loop_ohm.is_some();
    ui.horizontal(|ui| {
        label_cell(ui, "Wire loop", pen.view.palette);
        let tip = "Otherwise the wires' own resistance is reckoned, as the project says";
        if ui.checkbox(&mut typed, "typed by hand").on_hover_text(tip).changed() {
            pen.edit(changed_pin((id, pin), |pin| {
                pin.wire_loop_ohm = typed.then_some(Range::up_to(0.5))
            }));
        }
    });
    if let Some(range) = pin.wire_loop_ohm {
        range_row(
            ui,
            pen,
            ("", "Wire loop", Id::unique(("pin loop", id))),
            (RangeUnit::Ohm, range),
            |range| Ok(changed_pin((id, pin), |pin| pin.wire_loop_ohm = Some(range))),
        );
    }
    let shown = pin.leak_low_ohm.map_or_else(String::new, ohm_text);
    let field = Field::figure(Id::unique(("pin leak", id)), "Leak, least", shown).hint("none");
    optional_row(ui, pen, ("Leak, least", field), parse_ohms, |ohm| {
        changed_pin((id, pin), |pin| pin.leak_low_ohm = ohm)
    });
    let shown = number_text(pin.ground_offset_volt, "V");
    let field = Field::figure(Id::unique(("pin offset", id)), "Ground offset, either sign", shown);
    pen.row(ui, "Ground offset", &field, |text| {
        let volt = parse_unit(text, "V", "volts such as 0.2 V")?;
        Ok(changed_pin((id, pin), |pin| pin.ground_offset_volt = volt))
    });
}
