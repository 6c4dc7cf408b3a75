//! A range in one row: least, usual, greatest beside each other.

use egui::{Id, Ui};

use crate::app::widgets::field::Field;
use crate::app::widgets::pen::Pen;
use crate::app::widgets::quantity::{number_text, ohm_text, parse_ohms, parse_unit};
use crate::app::widgets::row::label_cell;
use crate::edit::Edit;
use crate::units::Range;

/// One member of a range: its word, its value, and how to put another.
type Member = (&'static str, f64, fn(&mut Range, f64));

/// What the figures of a range are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RangeUnit {
    /// Ohms.
    Ohm,
    /// Volts.
    Volt,
    /// Amperes.
    Amp,
}

impl RangeUnit {
    fn text(self, value: f64) -> String {
        match self {
            Self::Ohm => ohm_text(value),
            Self::Volt => number_text(value, "V"),
            Self::Amp => number_text(value, "A"),
        }
    }

    fn parse(self, text: &str) -> Result<f64, String> {
        match self {
            Self::Ohm => parse_ohms(text),
            Self::Volt => parse_unit(text, "V", "volts such as 0.7 V"),
            Self::Amp => parse_unit(text, "A", "amperes such as 0.2 A"),
        }
    }
}

/// Three fields in a row for a range. `names` are label, spoken name and identity.
pub fn range_row(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (label, spoken, id): (&str, &str, Id),
    (unit, range): (RangeUnit, Range),
    make: impl Fn(Range) -> Result<Edit, String>,
) {
    let members: [Member; 3] = [
        ("least", range.low, |range, ohm| range.low = ohm),
        ("usual", range.nominal, |range, ohm| range.nominal = ohm),
        ("greatest", range.high, |range, ohm| range.high = ohm),
    ];
    let fields: Vec<Field> = members
        .iter()
        .map(|(word, ohm, _)| {
            Field::figure(id.with(*word), format!("{spoken}, {word}"), unit.text(*ohm))
        })
        .collect();
    ui.horizontal(|ui| {
        label_cell(ui, label, pen.view.palette);
        ui.spacing_mut().item_spacing.x = 4.0;
        let width = (ui.available_width() - 2.0 * 4.0) / 3.0;
        for (field, (word, _, put)) in fields.iter().zip(members) {
            let field = field.clone().width(width).hint(word);
            pen.field(ui, &field, |text| {
                let mut range = range;
                put(&mut range, unit.parse(text)?);
                if !range.is_ordered() {
                    return Err("least, usual and greatest must stand in this order".into());
                }
                make(range)
            });
        }
    });
    for field in &fields {
        pen.refusal_ui(ui, field.id, &field.shown);
    }
}
