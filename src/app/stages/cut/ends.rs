//! Both ends of the chosen wire: what goes onto them, for this wire or all of its half, and the steps.

use egui::{Id, RichText, Ui};

use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Field, Pen, heading, number_text, parse_positive, quiet};
use crate::cutting::{CutRow, build_order, half_of};
use crate::edit::{CuttingEdit, Edit, Item};
use crate::model::{EndFit, HalfSide, PartId, WireId};

/// Whether fields are those of one wire or of all wires of the half.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scope {
    /// All wires that end at the half.
    #[default]
    Half,
    /// This wire only.
    Wire,
}

/// The ends of the wire that is selected; nothing where none is.
pub fn ends_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, scope: &mut Scope) {
    let chosen = pen.view.selection.iter().find_map(|item| match item {
        Item::Wire(wire) => Some(*wire),
        Item::Part(_) | Item::Frame(_) => None,
    });
    let list = pen.view.derived.cut_list();
    let row = chosen.and_then(|wire| list?.rows.iter().find(|row| row.wire == wire));
    let Some(row) = row else {
        heading(ui, "Wire ends");
        quiet(ui, "Choose a wire in the list to see what goes onto its ends.", pen.view.palette);
        return;
    };
    heading(ui, &format!("Ends of wire {}", row.name));
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("What is typed holds for").small().color(pen.view.palette.quiet));
        for (of, word) in [(Scope::Half, "all wires of the half"), (Scope::Wire, "this wire only")]
        {
            if ui.selectable_label(*scope == of, word).clicked() {
                *scope = of;
            }
        }
    });
    for at in [0, 1] {
        end_ui(ui, pen, (row, at), *scope);
    }
    steps_ui(ui, pen, row);
}

/// Where the fields of an end are kept.
#[derive(Clone, Copy)]
enum Kept {
    Half(PartId, HalfSide),
    Wire(WireId, usize),
}

impl Kept {
    fn fit(self, view: View<'_>) -> EndFit {
        let cutting = &view.project.cutting;
        match self {
            Self::Half(part, half) => cutting.half_fits.get((part, half)).cloned(),
            Self::Wire(wire, at) => cutting
                .wire_fits
                .get(wire)
                .map(|fit| if at == 0 { fit.from.clone() } else { fit.to.clone() }),
        }
        .unwrap_or_default()
    }

    fn put(self, view: View<'_>, fit: EndFit) -> Edit {
        Edit::SetCutting(match self {
            Self::Half(part, half) => CuttingEdit::HalfFit(part, half, Box::new(fit)),
            Self::Wire(wire, at) => {
                let known = view.project.cutting.wire_fits.get(wire);
                let mut row = known.cloned().unwrap_or_default();
                if at == 0 {
                    row.from = fit;
                } else {
                    row.to = fit;
                }
                CuttingEdit::WireFit(wire, Box::new(row))
            }
        })
    }
}

fn end_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (row, at): (&CutRow, usize), scope: Scope) {
    let Some(wire) = pen.view.project.wires.get(row.wire) else { return };
    let terminal = if at == 0 { wire.from.terminal } else { wire.to.terminal };
    let kept = match scope {
        Scope::Half => Kept::Half(terminal.part, half_of(pen.view.project, terminal)),
        Scope::Wire => Kept::Wire(row.wire, at),
    };
    let end = &row.ends[at];
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(&end.name).font(theme::bold(theme::TEXT_BODY)));
        quiet(ui, format!("{} end, marker \"{}\"", end.kind.noun(), end.marker), pen.view.palette);
    });
    let fit = kept.fit(pen.view);
    let name = |what: &str| format!("{what} at {}", end.name);
    let id =
        |what: &str| Id::unique(("wire end", what.to_owned(), row.wire, at, scope == Scope::Half));
    let texts = [
        ("Terminal", fit.terminal.clone(), "not known"),
        ("Seal", fit.seal.clone(), "none named"),
        ("Boot", fit.boot.clone(), "none"),
    ];
    for (n, (what, shown, hint)) in texts.into_iter().enumerate() {
        let field = Field::words(id(what), name(what), shown).hint(hint);
        let mut fit = fit.clone();
        row_ui(ui, pen, (what, &field), kept, move |text| {
            let place = match n {
                0 => &mut fit.terminal,
                1 => &mut fit.seal,
                _ => &mut fit.boot,
            };
            *place = text.trim().to_owned();
            Ok(fit)
        });
    }
    let strip = fit.strip_mm.map_or_else(String::new, |mm| number_text(mm, "mm"));
    let field = Field::figure(id("Strip"), name("Strip length"), strip).hint("not known");
    let of = fit.clone();
    row_ui(ui, pen, ("Strip length", &field), kept, move |text| {
        let strip_mm = match text.trim() {
            "" => None,
            text => Some(parse_positive(text, "mm", "a length such as 5 mm")?),
        };
        Ok(EndFit { strip_mm, ..of })
    });
    let holds = fit.seal_mm.map_or_else(String::new, |(low, high)| format!("{low} to {high} mm"));
    let field = Field::figure(id("Seal holds"), name("What the seal holds"), holds)
        .hint("not known")
        .when_left();
    row_ui(ui, pen, ("Seal holds", &field), kept, move |text| {
        Ok(EndFit { seal_mm: parse_seal(text)?, ..fit })
    });
}

fn row_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (label, field): (&str, &Field),
    kept: Kept,
    make: impl FnOnce(&str) -> Result<EndFit, String>,
) {
    let view = pen.view;
    pen.row(ui, label, field, |text| make(text).map(|fit| kept.put(view, fit)));
}

/// `1.2 to 2.1 mm`, `1.2-2.1`, or nothing.
fn parse_seal(text: &str) -> Result<Option<(f64, f64)>, String> {
    let body = text.trim().trim_end_matches("mm").trim();
    if body.is_empty() {
        return Ok(None);
    }
    let refuse =
        || format!("expected two diameters such as 1.2 to 2.1 mm, found \"{}\"", text.trim());
    let parting =
        ["to", "…", "-"].into_iter().find(|sign| body.contains(sign)).ok_or_else(refuse)?;
    let (low, high) = body.split_once(parting).ok_or_else(refuse)?;
    let number = |text: &str| parse_positive(text, "mm", "a diameter").map_err(|_| refuse());
    let (low, high) = (number(low)?, number(high)?);
    if low > high { Err(refuse()) } else { Ok(Some((low, high))) }
}

fn steps_ui(ui: &mut Ui, pen: &Pen<'_, '_>, row: &CutRow) {
    heading(ui, "In this order");
    let cut = row.cut_mm.map_or_else(
        || "it (its length is not known)".to_owned(),
        |mm| pen.view.preferences.length_text(mm),
    );
    for (n, step) in build_order(&row.ends, &cut).iter().enumerate() {
        quiet(ui, format!("{}. {step}", n + 1), pen.view.palette);
    }
    if let Some(plus) = row.tolerance_mm {
        let plus = pen.view.preferences.length_text(plus);
        let words = format!("May be up to {plus} longer (IPC/WHMA-A-620B, draft, Table 11-1).");
        quiet(ui, words, pen.view.palette);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_seal_holds_is_read_in_several_ways() {
        for text in ["1.2 to 2.1 mm", "1.2-2.1", "1,2 … 2,1 mm"] {
            assert_eq!(parse_seal(text), Ok(Some((1.2, 2.1))), "{text}");
        }
        assert_eq!(parse_seal("  "), Ok(None));
        for text in ["2.1 to 1.2", "1.2", "a to b", "0 to 2"] {
            assert!(parse_seal(text).is_err(), "{text}");
        }
    }
}
