//! Fields for values nobody may know, and for the tolerance of those that are known.

use egui::{Id, Ui};

use crate::app::widgets::field::Field;
use crate::app::widgets::pen::Pen;
use crate::app::widgets::quantity::percent_text;
use crate::edit::Edit;
use crate::units::{Tolerant, parse_percent};

/// What a person calls a value nobody knows.
pub const UNKNOWN: &str = "not known";

/// A field that may be empty: `None` is "not known".
pub fn optional_row(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (label, field): (&str, Field),
    parse: impl FnOnce(&str) -> Result<f64, String>,
    put: impl FnOnce(Option<f64>) -> Edit,
) {
    let field = Field { hint: if field.hint.is_empty() { UNKNOWN } else { field.hint }, ..field };
    pen.row(ui, label, &field, |text| {
        let text = text.trim();
        let value = if text.is_empty() || text == UNKNOWN { None } else { Some(parse(text)?) };
        Ok(put(value))
    });
}

/// The tolerance that belongs to the value in the row above.
pub fn tolerance_row(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (name, id): (&str, Id),
    now: Tolerant,
    put: impl FnOnce(Tolerant) -> Edit,
) {
    let field = Field::figure(id, format!("Tolerance of {name}"), percent_text(now.tolerance));
    pen.row(ui, "   give or take", &field, |text| {
        let tolerance = parse_percent(text).map_err(|error| error.to_string())?;
        Ok(put(Tolerant { tolerance, ..now }))
    });
}
