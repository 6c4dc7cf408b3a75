//! How a connector's or controller's cavities lie, how they are numbered, where the latch is.

use egui::{Id, Ui};

use crate::app::panels::inspector::Unfolded;
use crate::app::panels::inspector::convention;
use crate::app::panels::inspector::fit;
use crate::app::panels::inspector::part::set_part;
use crate::app::widgets::{Field, Pen, choice, label_cell, quiet};
use crate::edit::{Edit, parse_placing};
use crate::model::{
    Arrangement, CavityLayout, Corner, Course, Latch, Lines, Numbering, Part, PartId, PartKind,
    RowShift,
};

/// Puts an arrangement into a connector or controller; notes on cavities that are gone go with them.
pub(super) fn set_arrangement(
    part: (PartId, &Part),
    arrangement: Arrangement,
) -> Result<Edit, String> {
    set_part(part, |part| {
        part.kind.set_arrangement(arrangement);
        Ok(())
    })
}

/// `2x8`, `rows 5+4`, `ring 6`, `ring 6+1`, as it is typed to place one.
fn layout_text(layout: CavityLayout) -> String {
    match layout {
        CavityLayout::Grid { rows, columns } => format!("{rows}x{columns}"),
        CavityLayout::Offset(rows) => {
            let counts: Vec<String> = rows.counts().iter().map(u16::to_string).collect();
            let shift = match rows.shift {
                RowShift::Middle => "",
                RowShift::Right => " right",
                RowShift::Left => " left",
            };
            format!("rows {}{shift}", counts.join("+"))
        }
        CavityLayout::Ring { around, centre: false } => format!("ring {around}"),
        CavityLayout::Ring { around, centre: true } => format!("ring {around}+1"),
    }
}

/// Reads an arrangement in the words of placing.
fn parse_layout(text: &str) -> Result<CavityLayout, String> {
    let placement = parse_placing(&format!("X {text}"))?;
    match placement.parts.first().map(|part| &part.kind) {
        Some(PartKind::Connector(connector)) => Ok(connector.layout),
        Some(_) | None => Err(format!(
            "expected rows x columns such as 2x8, rows 5+4, or ring 6+1, found \"{text}\""
        )),
    }
}

/// The rows of the arrangement, with the ways in for a pin table and for what fits.
pub(super) fn arrangement_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    unfolded: &mut Unfolded,
) {
    let Some(now) = part.kind.arrangement() else { return };
    let field =
        Field::figure(Id::unique(("cavity layout", id)), "Cavities", layout_text(now.layout))
            .when_left();
    pen.row(ui, "Cavities", &field, |text| {
        let layout = parse_layout(text)?;
        set_arrangement((id, part), Arrangement { layout, ..now })
    });
    quiet(ui, seen_words(part), pen.view.palette);
    let mut wanted =
        numbering_ui(ui, pen, Id::unique(("numbering", id)), (now.layout, now.numbering))
            .map(|numbering| Arrangement { numbering, ..now });
    ui.horizontal(|ui| {
        label_cell(ui, "Latch", pen.view.palette);
        let options = Latch::ALL.map(|l| (l.noun().to_owned(), l));
        if let Some(latch) =
            choice(ui, Id::unique(("latch", id)), "Latch", now.latch.noun(), options)
        {
            wanted = Some(Arrangement { latch, ..now });
        }
    });
    if let Some(edit) = wanted.and_then(|wanted| set_arrangement((id, part), wanted).ok()) {
        pen.edit(edit);
    }
    // In a scope of its own, so that what comes below keeps its identity while it opens and closes.
    ui.push_id(("pin table of", id), |ui| {
        convention::pin_table_ui(ui, pen, (id, part), unfolded);
    });
    fit::fit_ui(ui, pen, (id, part), now);
}

/// Whose face the numbers are seen on, in the words the halves have below.
fn seen_words(part: &Part) -> String {
    match &part.kind {
        PartKind::Connector(c) if c.second.is_some() => {
            format!("Seen on the face of {} left:", c.first.name)
        }
        PartKind::Controller(c) => format!("Seen on the face of {}:", c.plug.name),
        PartKind::Connector(_)
        | PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => "Seen on the face:".into(),
    }
}

/// Choices for where number 1 is and how the numbers go on; returns what a hand picks.
pub(super) fn numbering_ui(
    ui: &mut Ui,
    pen: &Pen<'_, '_>,
    id: Id,
    (layout, now): (CavityLayout, Numbering),
) -> Option<Numbering> {
    let mut picked = None;
    for (idx, (label, options)) in choices(layout, now).into_iter().enumerate() {
        ui.horizontal(|ui| {
            label_cell(ui, label, pen.view.palette);
            let shown = options.iter().find(|(_, n)| *n == now).map_or("", |(word, _)| word);
            let shown = shown.to_owned();
            if let Some(numbering) = choice(ui, id.with(idx), label, &shown, options) {
                picked = Some(numbering);
            }
        });
    }
    picked
}

/// A label and what may be chosen, one list for each thing numberings differ in.
type Choices = Vec<(&'static str, Vec<(String, Numbering)>)>;

fn choices(layout: CavityLayout, now: Numbering) -> Choices {
    match layout {
        CavityLayout::Grid { .. } | CavityLayout::Offset(_) => {
            let corners = Corner::ALL
                .map(|start| (corner_words(start).to_owned(), Numbering { start, ..now }));
            let lines = [(Lines::Rows, "row by row"), (Lines::Columns, "column by column")]
                .map(|(lines, word)| (word.to_owned(), Numbering { lines, ..now }));
            let courses =
                [(Course::Reading, "from the same side"), (Course::Serpentine, "there and back")]
                    .map(|(course, word)| (word.to_owned(), Numbering { course, ..now }));
            vec![
                ("Number 1", corners.into()),
                ("Numbers run", lines.into()),
                ("Next line", courses.into()),
            ]
        }
        CavityLayout::Ring { .. } => {
            let (start, clockwise) = now.ring();
            let course = now.course;
            let around =
                |side, clockwise| Numbering { course, ..Numbering::around(side, clockwise) };
            let sides =
                Latch::ALL.map(|side| (side_words(side).to_owned(), around(side, clockwise)));
            let turns = [(true, "clockwise"), (false, "anticlockwise")]
                .map(|(way, word)| (word.to_owned(), around(start, way)));
            vec![("Number 1", sides.into()), ("Numbers run", turns.into())]
        }
    }
}

fn corner_words(corner: Corner) -> &'static str {
    match corner {
        Corner::UpperLeft => "upper left",
        Corner::UpperRight => "upper right",
        Corner::LowerRight => "lower right",
        Corner::LowerLeft => "lower left",
    }
}

fn side_words(side: Latch) -> &'static str {
    match side {
        Latch::Up => "top",
        Latch::Down => "bottom",
        Latch::Left => "left",
        Latch::Right => "right",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::OffsetRows;

    #[test]
    fn an_arrangement_is_read_as_it_is_shown() {
        let rows =
            |counts: &[u16], shift| CavityLayout::Offset(OffsetRows::new(counts, shift).unwrap());
        for layout in [
            CavityLayout::Grid { rows: 2, columns: 8 },
            CavityLayout::Ring { around: 6, centre: false },
            CavityLayout::Ring { around: 6, centre: true },
            rows(&[5, 4], RowShift::Middle),
            rows(&[4, 4, 4], RowShift::Right),
            rows(&[7], RowShift::Left),
        ] {
            assert_eq!(parse_layout(&layout_text(layout)), Ok(layout));
        }
        assert!(parse_layout("many").unwrap_err().contains("2x8"));
        assert!(parse_layout("rows 5+").unwrap_err().contains("rows 5+4"));
        assert!(parse_layout("rows 0+4").is_err());
    }
}
