//! Pieces from text: a table as it is copied from a sheet or typed, one piece a line.

use crate::model::{Colour, Piece, SizeUnit, WireSize, limits};
use crate::tables::raw::{Delimiter, read_table};
use crate::units::parse_number;

/// What a line holds, in order. All but the first four may be left out.
pub const PASTE_COLUMNS: &str =
    "name, size, colour, length m, outside mm, measured mΩ, condition, where from";

/// What was read, and what could not be.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pasted {
    /// Pieces, in their order.
    pub pieces: Vec<Piece>,
    /// What is wrong, with line and column; nothing should be taken then.
    pub errors: Vec<String>,
}

/// Reads a table of `name, size, colour, length m, outside mm, measured mΩ, condition, where from`;
/// what parts its cells is told once for the whole table. A first row that says `name` is a header.
pub fn paste_pieces(text: &str) -> Pasted {
    let mut pasted = Pasted::default();
    if text.trim().is_empty() {
        return pasted;
    }
    let table = match read_table(text, None) {
        Ok(table) => table,
        Err(sentence) => {
            pasted.errors.push(sentence);
            return pasted;
        }
    };
    if table.delimiter == Delimiter::Comma
        && let Some((line, found)) = comma_between_digits(text)
    {
        pasted.errors.push(format!(
            "line {line}: expected commas between cells only, found \"{found}\", which may be one number or two: write a space behind the commas between cells, or part the cells by tabs or semicolons"
        ));
        return pasted;
    }
    let is_head = |cell: Option<&String>| cell.is_some_and(|c| c.eq_ignore_ascii_case("name"));
    for (at, row) in table.rows.iter().enumerate() {
        if at == 0 && is_head(row.cells.first()) {
            continue;
        }
        let cells: Vec<&str> = row.cells.iter().map(String::as_str).collect();
        match piece(&cells) {
            Ok(piece) => pasted.pieces.push(piece),
            Err((column, what)) => {
                pasted.errors.push(format!("line {}, column {}: {what}", row.line, column + 1));
            }
        }
    }
    pasted
}

/// The first `4,4` outside quotes, with its line: a decimal comma, or the end of a cell.
fn comma_between_digits(text: &str) -> Option<(usize, String)> {
    for (n, line) in text.lines().enumerate() {
        let mut is_quoted = false;
        for (at, c) in line.char_indices() {
            is_quoted ^= c == '"';
            if c != ',' || is_quoted {
                continue;
            }
            let is_number = |c: char| c.is_ascii_digit() || c == '.';
            let before = &line[..at];
            let before = &before[before.trim_end_matches(is_number).len()..];
            let behind = &line[at + 1..];
            let behind = &behind[..behind.len() - behind.trim_start_matches(is_number).len()];
            let is_whole = |part: &str| !part.is_empty() && !part.contains('.');
            if is_whole(before) && is_whole(behind) {
                return Some((n + 1, format!("{before},{behind}")));
            }
        }
    }
    None
}

type Refusal = (usize, String);

fn piece(cells: &[&str]) -> Result<Piece, Refusal> {
    let cell = |at: usize| cells.get(at).copied().unwrap_or("");
    if cells.len() > 8 {
        return Err((8, format!("expected at most 8 columns, found {}", cells.len())));
    }
    for (at, text) in cells.iter().enumerate() {
        if text.chars().count() > limits::TEXT_CHARS {
            return Err((at, format!("expected at most {} characters", limits::TEXT_CHARS)));
        }
    }
    if cell(0).is_empty() {
        return Err((0, "expected the name of the piece, found nothing".into()));
    }
    let size = WireSize::from_text(cell(1), SizeUnit::Mm2).ok_or_else(|| {
        (1, format!("expected a size such as 0.75 mm² or 18 AWG, found \"{}\"", cell(1)))
    })?;
    let colour = Colour::from_text(cell(2)).ok_or_else(|| {
        (2, format!("expected a colour such as violet/black or VT/BK, found \"{}\"", cell(2)))
    })?;
    let metres = figure(cell(3), "m", 3)?
        .ok_or_else(|| (3, "expected the length in metres, found nothing".to_owned()))?;
    let length_mm = metres * 1e3;
    if !limits::LENGTH_MM.holds(length_mm) {
        return Err((3, format!("expected a length above zero, found \"{}\"", cell(3))));
    }
    let outside_mm = figure(cell(4), "mm", 4)?;
    if outside_mm.is_some_and(|mm| !limits::LENGTH_MM.holds(mm)) {
        return Err((4, format!("expected a diameter above zero, found \"{}\"", cell(4))));
    }
    let measured_ohm = figure(cell(5), "mΩ", 5)?.map(|milli| milli / 1e3);
    if measured_ohm.is_some_and(|ohm| !limits::OHM.holds(ohm)) {
        return Err((5, format!("expected milliohms from zero on, found \"{}\"", cell(5))));
    }
    Ok(Piece {
        name: cell(0).into(),
        size,
        colour,
        length_mm,
        outside_mm,
        measured_ohm,
        condition: cell(6).into(),
        source: cell(7).into(),
    })
}

/// A number with or without its unit; `None` where nothing stands.
fn figure(text: &str, unit: &str, column: usize) -> Result<Option<f64>, Refusal> {
    let body = text.strip_suffix(unit).unwrap_or(text).trim();
    if body.is_empty() || body == "?" {
        return Ok(None);
    }
    let refuse = || (column, format!("expected a number, in {unit}, found \"{text}\""));
    let value = parse_number(body, "", "a number").map_err(|_| refuse())?;
    if value.is_finite() { Ok(Some(value)) } else { Err(refuse()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_copied_from_a_sheet_is_read() {
        let text = "name\tsize\tcolour\tlength m\n\
                    SA1\t0.75\tviolet\t3.9\t1.95\t98\tok\told trailer loom\n\n\
                    B2\t18 AWG\tVT/BK\t4,4 m\t\t?\n";
        let pasted = paste_pieces(text);
        assert_eq!(pasted.errors, Vec::<String>::new());
        let [a, b] = pasted.pieces.as_slice() else { panic!("{pasted:?}") };
        assert_eq!((a.size, a.length_mm), (WireSize::Mm2(0.75), 3900.0));
        assert_eq!((a.outside_mm, a.measured_ohm), (Some(1.95), Some(0.098)));
        assert_eq!((a.condition.as_str(), a.source.as_str()), ("ok", "old trailer loom"));
        assert_eq!((b.size, b.colour.text()), (WireSize::Awg(18), "violet/black".into()));
        assert_eq!((b.length_mm, b.outside_mm, b.measured_ohm), (4400.0, None, None));
    }

    #[test]
    fn what_cannot_be_read_is_named_by_line_and_column() {
        let text = "A, 0.75, violet, 3\n, 1, red, 2\nC, big, red, 2\nD, 1, mauve, 2\nE, 1, red, -2\n\
                    F, 1, red, 2, x\nG, 1, red, 2, 0\nH, 1, red, 2, 1, -4\nI, 1, red";
        let pasted = paste_pieces(text);
        assert_eq!(pasted.pieces.len(), 1);
        let places: Vec<&str> =
            pasted.errors.iter().map(|error| error.split(':').next().unwrap()).collect();
        assert_eq!(
            places,
            [
                "line 2, column 1",
                "line 3, column 2",
                "line 4, column 3",
                "line 5, column 4",
                "line 6, column 5",
                "line 7, column 5",
                "line 8, column 6",
                "line 9, column 4",
            ]
        );
    }

    #[test]
    fn a_comma_that_may_be_a_decimal_mark_is_refused() {
        for (text, found) in [
            ("A,0.75,red,4,4", "4,4"),
            ("A,0,75,red,4", "0,75"),
            ("N9, 0.75, red, 3\nB, 1, red, 4,4", "4,4"),
        ] {
            let pasted = paste_pieces(text);
            assert!(pasted.pieces.is_empty(), "{text}");
            assert!(pasted.errors[0].contains(&format!("found \"{found}\"")), "{pasted:?}");
        }
        for text in ["A,0.75,red,\"4,4\"", "A;0,75;red;4,4", "A\t0,75\tred\t4,4"] {
            let pasted = paste_pieces(text);
            assert_eq!((pasted.errors.len(), pasted.pieces[0].length_mm), (0, 4400.0), "{text}");
        }
    }

    #[test]
    fn cells_are_parted_alike_in_every_row_and_quotes_hold() {
        let pasted =
            paste_pieces("name;size;colour;length\nA;2/0 AWG;red;3\n\"B, long\";AWG-3;RD;2\n");
        assert_eq!(pasted.errors, Vec::<String>::new());
        let sizes: Vec<WireSize> = pasted.pieces.iter().map(|piece| piece.size).collect();
        assert_eq!(sizes, [WireSize::Awg(-1), WireSize::Awg(3)]);
        assert_eq!(pasted.pieces[1].name, "B, long");
        let torn = paste_pieces("A;\"0.5;red;2");
        assert!(torn.pieces.is_empty() && torn.errors.len() == 1, "{torn:?}");
    }
}
