//! What the maker says fits into the cavities: pitch, conductor sizes, insulation diameters.

use egui::{Id, Ui};

use crate::app::panels::inspector::arrangement::set_arrangement;
use crate::app::widgets::{Field, Pen, UNKNOWN, heading, number_text, parse_unit};
use crate::edit::Edit;
use crate::model::{Arrangement, CavityFit, CavityLayout, Part, PartId, Span};

/// Four rows; an empty field is not known.
pub(super) fn fit_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    now: Arrangement,
) {
    heading(ui, "What fits");
    let put = |fit: CavityFit| set_arrangement((id, part), Arrangement { fit, ..now });
    let mut length =
        |ui: &mut Ui, label: &str, value: Option<f64>, set: fn(&mut CavityFit, Option<f64>)| {
            maybe_row(
                ui,
                pen,
                (label, Id::unique((label, id))),
                value.map(|mm| number_text(mm, "mm")),
                |text| {
                    let value = text
                        .map(|t| parse_unit(t, "mm", "millimetres such as 4 mm"))
                        .transpose()?;
                    let mut fit = now.fit;
                    set(&mut fit, value);
                    put(fit)
                },
            );
        };
    length(ui, "Pitch", now.fit.pitch_mm, |fit, mm| fit.pitch_mm = mm);
    if !matches!(now.layout, CavityLayout::Ring { .. }) {
        length(ui, "Row pitch", now.fit.row_pitch_mm, |fit, mm| fit.row_pitch_mm = mm);
    }
    let conductor = now.fit.conductor_mm2.map(|span| span_text(span, "mm²"));
    maybe_row(ui, pen, ("Conductor", Id::unique(("fit conductor", id))), conductor, |text| {
        let conductor_mm2 =
            text.map(|t| parse_span(t, "mm²", "sizes such as 0.35 to 0.5 mm²")).transpose()?;
        put(CavityFit { conductor_mm2, ..now.fit })
    });
    let insulation = now.fit.insulation_mm.map(|span| span_text(span, "mm"));
    maybe_row(ui, pen, ("Insulation", Id::unique(("fit insulation", id))), insulation, |text| {
        let insulation_mm =
            text.map(|t| parse_span(t, "mm", "diameters such as 1.2 to 2.1 mm")).transpose()?;
        put(CavityFit { insulation_mm, ..now.fit })
    });
}

fn maybe_row(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (label, id): (&str, Id),
    shown: Option<String>,
    make: impl FnOnce(Option<&str>) -> Result<Edit, String>,
) {
    let field = Field::figure(id, label, shown.unwrap_or_default()).hint(UNKNOWN).when_left();
    pen.row(ui, label, &field, |text| {
        let text = text.trim();
        make(if text.is_empty() || text == UNKNOWN { None } else { Some(text) })
    });
}

fn span_text(span: Span, unit: &str) -> String {
    if span.low == span.high {
        return number_text(span.low, unit);
    }
    format!("{} to {}", number_text(span.low, ""), number_text(span.high, unit))
}

/// Reads `0.35 to 0.5 mm²`, `0,35–0,5`, or one value for both ends.
fn parse_span(text: &str, unit: &str, expected: &'static str) -> Result<Span, String> {
    let (low, high) = ["to", "–", "…", "-"]
        .iter()
        .find_map(|between| text.split_once(between))
        .unwrap_or((text, text));
    let low = parse_unit(low, unit, expected)?;
    let high = parse_unit(high, unit, expected)?;
    if low <= high {
        Ok(Span { low, high })
    } else {
        Err(format!("expected the least first, found \"{}\"", text.trim()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_is_read_as_it_is_shown_and_as_people_write_it() {
        let read = |text: &str| parse_span(text, "mm²", "sizes");
        for (low, high) in [(0.35, 0.5), (1.0, 1.0), (0.5, 16.0)] {
            let span = Span { low, high };
            assert_eq!(read(&span_text(span, "mm²")), Ok(span));
        }
        assert_eq!(read("0,35–0,5"), Ok(Span { low: 0.35, high: 0.5 }));
        assert!(read("0.5 to 0.35").unwrap_err().contains("least first"));
        assert!(read("thick").is_err() && read("").is_err());
    }
}
