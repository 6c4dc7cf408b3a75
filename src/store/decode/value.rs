//! Checks of single values: numbers within their bounds, ordered ranges, texts, sizes of lists.

use crate::geometry;
use crate::model;
use crate::model::limits::{self, Bound};
use crate::store::decode::at::{At, Checked};
use crate::store::file;
use crate::units;

/// A number within its bound.
pub fn number(at: &At<'_>, value: f64, bound: &Bound) -> Checked<f64> {
    if bound.holds(value) {
        Ok(value)
    } else {
        Err(at.refuse(format!("expected {}, found {value}", bound.words())))
    }
}

/// A number within its bound, where there is one.
pub fn maybe(at: &At<'_>, value: Option<f64>, bound: &Bound) -> Checked<Option<f64>> {
    value.map(|value| number(at, value, bound)).transpose()
}

/// A range in order, every member within the bound.
pub fn range(at: &At<'_>, r: &file::Range, bound: &Bound) -> Checked<units::Range> {
    let out = units::Range {
        low: number(&at.field("low"), r.low, bound)?,
        nominal: number(&at.field("nominal"), r.nominal, bound)?,
        high: number(&at.field("high"), r.high, bound)?,
    };
    if out.is_ordered() {
        return Ok(out);
    }
    Err(at.refuse(format!(
        "expected low, nominal and high in rising order, found {}, {} and {}",
        out.low, out.nominal, out.high
    )))
}

/// A value with its tolerance.
pub fn tolerant(at: &At<'_>, t: &file::Tolerant, bound: &Bound) -> Checked<units::Tolerant> {
    Ok(units::Tolerant {
        nominal: number(&at.field("nominal"), t.nominal, bound)?,
        tolerance: number(&at.field("tolerance"), t.tolerance, &limits::TOLERANCE)?,
    })
}

/// A point of the sheet.
pub fn point(at: &At<'_>, p: file::Point) -> Checked<geometry::Point> {
    Ok(geometry::point(
        number(&at.row(0), p[0], &limits::SHEET_MM)?,
        number(&at.row(1), p[1], &limits::SHEET_MM)?,
    ))
}

/// A text that is not too long.
pub fn text(at: &At<'_>, text: String) -> Checked<String> {
    text_up_to(at, text, limits::TEXT_CHARS)
}

/// A text of at most so many characters.
pub fn text_up_to(at: &At<'_>, text: String, most: usize) -> Checked<String> {
    // Counting is needed only where the bytes alone do not settle it.
    if text.len() > most && text.chars().count() > most {
        return Err(at.refuse(format!(
            "expected a text of at most {most} characters, found {}",
            text.chars().count()
        )));
    }
    Ok(text)
}

/// A list that is not too long.
pub fn at_most<T>(at: &At<'_>, list: &[T], most: usize, noun: &str) -> Checked<()> {
    if list.len() <= most {
        return Ok(());
    }
    Err(at.refuse(format!("expected at most {most} {noun}, found {}", list.len())))
}

/// A conductor size.
pub fn size(at: &At<'_>, size: &file::WireSize) -> Checked<model::WireSize> {
    Ok(match *size {
        file::WireSize::Mm2(area) => {
            model::WireSize::Mm2(number(&at.field("mm2"), area, &limits::AREA_MM2)?)
        }
        file::WireSize::Awg(gauge) => {
            number(&at.field("awg"), f64::from(gauge), &limits::AWG)?;
            model::WireSize::Awg(gauge)
        }
    })
}

/// A colour.
pub fn colour(colour: &file::Colour) -> model::Colour {
    model::Colour { base: colour.base.into(), tracer: colour.tracer.map(Into::into) }
}
