//! Many states of many controls on paper: a letter for each place off rest, so that a state takes a
//! line.

use crate::check::state_words;
use crate::model::{ControlId, Project, State};
use crate::sense::StateRow;
use crate::sheets::table::{Cell, Table};

/// Fewer states, or fewer places off rest, are told in words.
const LEAST_ROWS: usize = 33;
const LEAST_PLACES: usize = 4;

/// A place of a control off its rest.
type Place = (ControlId, u8);

/// The table with its second column, the controls in words, as letters, and what each letter is;
/// `None` where words do as well.
pub(super) fn lettered(
    project: &Project,
    rows: &[&StateRow],
    table: &Table,
) -> Option<(String, Table)> {
    let places = places(project, rows);
    if rows.len() < LEAST_ROWS || places.len() < LEAST_PLACES {
        return None;
    }
    let names: Vec<String> = places
        .iter()
        .enumerate()
        .map(|(n, (id, position))| {
            let one = State([(*id, *position)].into());
            format!("{} {}", letter(n), state_words(project, &one))
        })
        .collect();
    let legend = format!(
        "All controls but those of the letters are at rest. {}. ✔ is asked for and read.",
        names.join(", ")
    );
    Some((legend, with_letters(project, table, (rows, &places))))
}

/// Places off rest that some row has, in the order of the controls.
fn places(project: &Project, rows: &[&StateRow]) -> Vec<Place> {
    let all = project.controls.iter().flat_map(|(id, control)| {
        let n = u8::try_from(control.positions.len()).unwrap_or(u8::MAX);
        (0..n).filter(|at| *at != control.rest).map(move |at| (id, at))
    });
    all.filter(|place| rows.iter().any(|row| stands(project, row, *place))).collect()
}

fn stands(project: &Project, row: &StateRow, (id, position): Place) -> bool {
    let control = project.controls.get(id);
    control.is_some_and(|control| row.state.position(id, control) == position)
}

/// `A` to `Z`, then `A2` and so on.
fn letter(n: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(n % 26).expect("less than 26"));
    if n < 26 { letter.to_string() } else { format!("{letter}{}", n / 26 + 1) }
}

fn with_letters(
    project: &Project,
    table: &Table,
    (rows, places): (&[&StateRow], &[Place]),
) -> Table {
    let at = |head: &str| table.columns.iter().position(|column| column.head == head);
    let (controls, asked) = (at("controls"), at("reads as").zip(at("asked for")));
    let mut printed = table.clone();
    for (cells, row) in printed.rows.iter_mut().zip(rows) {
        if let Some((reads, asked)) = asked {
            cells[asked] = short(&cells[reads], &cells[asked]);
        }
        let letters: Vec<String> = places
            .iter()
            .enumerate()
            .filter(|(_, place)| stands(project, row, **place))
            .map(|(n, _)| letter(n))
            .collect();
        if let Some(controls) = controls {
            cells[controls] =
                if letters.is_empty() { "all at rest".into() } else { letters.join(" ").into() };
        }
    }
    printed
}

/// What is asked for, with a tick in place of what the state reads as.
fn short(reads: &Cell, asked: &Cell) -> Cell {
    let (reads, asked) = (reads.plain(), asked.plain());
    let mut parts: Vec<&str> = asked.split(" or ").collect();
    if let Some(same) = parts.iter().position(|part| *part == reads) {
        parts.remove(same);
        parts.insert(0, "✔");
    }
    parts.join(" or ").into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_have_letters_and_a_tick_stands_for_what_is_read() {
        assert_eq!([letter(0), letter(25), letter(26), letter(53)], ["A", "Z", "A2", "B3"]);
        let short = |reads: &str, asked: &str| short(&reads.into(), &asked.into()).plain();
        assert_eq!(short("LEFT", "LEFT"), "✔");
        assert_eq!(short("LEFT", "FLOOD or LEFT or RIGHT"), "✔ or FLOOD or RIGHT");
        assert_eq!(short("LEFT", "RIGHT"), "RIGHT");
        assert_eq!(short("no band", "nothing"), "nothing");
    }
}
