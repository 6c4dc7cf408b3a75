//! Aligned columns of plain text, at most as wide as asked, and wrapped paragraphs.

/// Greatest width of everything that is printed.
pub const WIDTH: usize = 120;

/// On which side a column lines up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// Writes rows under a head and a rule. Where the whole is wider than [`WIDTH`], the widest
/// columns give way first and their cells go on over several lines.
pub fn table(columns: &[(&str, Align)], rows: &[Vec<String>]) -> String {
    let clean: Vec<Vec<String>> =
        rows.iter().map(|row| row.iter().map(|cell| one_line(cell)).collect()).collect();
    let widths = widths(columns, &clean);
    let mut text = String::new();
    put_row(&mut text, columns, &widths, columns.iter().map(|(head, _)| *head));
    let rules: Vec<String> = widths.iter().map(|width| "-".repeat(*width)).collect();
    put_row(&mut text, columns, &widths, rules.iter().map(String::as_str));
    for row in &clean {
        put_row(&mut text, columns, &widths, row.iter().map(String::as_str));
    }
    text
}

/// Spaces between two columns.
const GAP: usize = 2;

fn widths(columns: &[(&str, Align)], rows: &[Vec<String>]) -> Vec<usize> {
    let mut widths: Vec<usize> = columns.iter().map(|(head, _)| width(head)).collect();
    for row in rows {
        for (widest, cell) in widths.iter_mut().zip(row) {
            *widest = (*widest).max(width(cell));
        }
    }
    let gaps = GAP * columns.len().saturating_sub(1);
    while widths.iter().sum::<usize>() + gaps > WIDTH {
        // Two columns is what one wide character takes.
        let Some(widest) = widths.iter_mut().max().filter(|widest| **widest > 2) else { break };
        *widest -= 1;
    }
    widths
}

fn put_row<'a>(
    text: &mut String,
    columns: &[(&str, Align)],
    widths: &[usize],
    cells: impl Iterator<Item = &'a str>,
) {
    let folded: Vec<Vec<String>> =
        cells.zip(widths).map(|(cell, room)| folded(cell, *room)).collect();
    let n_lines = folded.iter().map(Vec::len).max().unwrap_or(0);
    for n in 0..n_lines {
        let mut line = String::new();
        for ((cell, (_, align)), room) in folded.iter().zip(columns).zip(widths) {
            let part = cell.get(n).map_or("", String::as_str);
            let pad = " ".repeat(room.saturating_sub(width(part)));
            if !line.is_empty() {
                line.push_str(&" ".repeat(GAP));
            }
            match align {
                Align::Left => line.extend([part, &pad]),
                Align::Right => line.extend([pad.as_str(), part]),
            }
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
}

/// A text in lines no wider than `room`, broken at spaces where there are some.
fn folded(text: &str, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut used = 0;
    for word in text.split(' ') {
        if used > 0 && used + 1 + width(word) <= room {
            used += 1;
            lines.last_mut().expect("there is always a line").push(' ');
        } else if used > 0 {
            lines.push(String::new());
            used = 0;
        }
        for c in word.chars() {
            if used + char_width(c) > room {
                lines.push(String::new());
                used = 0;
            }
            lines.last_mut().expect("there is always a line").push(c);
            used += char_width(c);
        }
    }
    lines
}

/// Breaks a sentence at spaces so that no line is wider than [`WIDTH`]. It starts with `first`;
/// all lines but the first start with `indent` spaces.
pub fn wrapped(first: &str, text: &str, indent: usize) -> String {
    let room = WIDTH.saturating_sub(indent.max(width(first)));
    let margin = " ".repeat(indent);
    let mut out = String::new();
    for (n, line) in folded(&one_line(text), room).iter().enumerate() {
        let start = if n == 0 { first } else { margin.as_str() };
        out.push_str(format!("{start}{line}").trim_end());
        out.push('\n');
    }
    out
}

/// Columns a text takes on a screen of fixed width.
pub fn width(text: &str) -> usize {
    text.chars().map(char_width).sum()
}

/// One character's columns: none for marks that sit on the one before, two for wide scripts.
/// The common blocks of Unicode 15 (UAX 11), not all of them.
fn char_width(c: char) -> usize {
    match u32::from(c) {
        0x0300..=0x036F | 0x200B..=0x200F | 0x20D0..=0x20FF | 0xFE00..=0xFE0F => 0,
        0x1100..=0x115F
        | 0x2E80..=0x303E
        | 0x3041..=0xA4CF
        | 0xAC00..=0xD7A3
        | 0xF900..=0xFAFF
        | 0xFE30..=0xFE4F
        | 0xFF00..=0xFF60
        | 0xFFE0..=0xFFE6
        | 0x1F300..=0x1F64F
        | 0x1F900..=0x1F9FF
        | 0x20000..=0x3FFFD => 2,
        _ => 1,
    }
}

/// Line breaks, tabs and other control characters become spaces, so that no name can break a
/// table or speak to the terminal. Directional overrides go, too.
fn one_line(text: &str) -> String {
    let is_override = |c: char| matches!(u32::from(c), 0x202A..=0x202E | 0x2066..=0x2069);
    text.chars().map(|c| if c.is_control() || is_override(c) { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use expect_test::expect;

    use super::*;

    fn rows(rows: &[&[&str]]) -> Vec<Vec<String>> {
        rows.iter().map(|row| row.iter().map(|cell| (*cell).to_owned()).collect()).collect()
    }

    #[test]
    fn columns_line_up_whatever_the_script() {
        let text = table(
            &[("wire", Align::Left), ("cut", Align::Right), ("route", Align::Left)],
            &rows(&[
                &["D1", "3490 mm", "floor"],
                &["線2", "90 mm", ""],
                &["E\u{301}3", "1 mm", "a\tb\nc"],
            ]),
        );
        expect![[r#"
            wire      cut  route
            ----  -------  -----
            D1    3490 mm  floor
            線2     90 mm
            É3       1 mm  a b c
        "#]]
        .assert_eq(&text);
    }

    #[test]
    fn the_widest_column_gives_way() {
        let long = "x".repeat(400);
        let text = table(
            &[("a", Align::Left), ("b", Align::Left)],
            &rows(&[&[&long, "short"], &["漢".repeat(300).as_str(), "short"]]),
        );
        for line in text.lines() {
            assert!(width(line) <= WIDTH, "{}: {line}", width(line));
        }
        assert_eq!(text.matches('x').count(), 400, "nothing is lost");
        assert_eq!(text.matches('漢').count(), 300);
        assert_eq!(text.matches("short").count(), 2, "the narrow column is whole");
    }

    #[test]
    fn a_name_cannot_speak_to_the_terminal() {
        let text = table(&[("a", Align::Left)], &rows(&[&["\u{1b}[31mred\u{202e}"]]));
        assert!(!text.contains('\u{1b}') && !text.contains('\u{202e}'), "{text:?}");
    }

    #[test]
    fn sentences_are_broken_at_spaces() {
        let text = wrapped("error  ", &"word ".repeat(60), 7);
        assert!(text.lines().count() > 2);
        for (n, line) in text.lines().enumerate() {
            assert!(width(line) <= WIDTH && !line.ends_with(' '), "{line:?}");
            assert!(n == 0 || line.starts_with("       word"), "{line:?}");
        }
        assert_eq!(text.split_whitespace().filter(|word| *word == "word").count(), 60);
        let endless = wrapped("", &"x".repeat(500), 2);
        assert!(endless.lines().all(|line| width(line) <= WIDTH));
        assert_eq!(endless.matches('x').count(), 500);
    }
}
