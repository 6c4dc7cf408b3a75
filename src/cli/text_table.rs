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
/// columns give way first and end in `…`.
pub fn table(columns: &[(&str, Align)], rows: &[Vec<String>]) -> String {
    const GAP: usize = 2;
    let clean: Vec<Vec<String>> =
        rows.iter().map(|row| row.iter().map(|cell| one_line(cell)).collect()).collect();
    let mut widths: Vec<usize> = columns.iter().map(|(head, _)| width(head)).collect();
    for row in &clean {
        for (widest, cell) in widths.iter_mut().zip(row) {
            *widest = (*widest).max(width(cell));
        }
    }
    let gaps = GAP * columns.len().saturating_sub(1);
    while widths.iter().sum::<usize>() + gaps > WIDTH {
        let Some(widest) = widths.iter_mut().max().filter(|widest| **widest > 1) else { break };
        *widest -= 1;
    }
    let line = |cells: &mut dyn Iterator<Item = &str>| {
        let mut text = String::new();
        for ((cell, (_, align)), room) in cells.zip(columns).zip(&widths) {
            if !text.is_empty() {
                text.push_str(&" ".repeat(GAP));
            }
            let cell = cut(cell, *room);
            let pad = " ".repeat(room - width(&cell));
            match align {
                Align::Left => text.extend([cell.as_str(), &pad]),
                Align::Right => text.extend([pad.as_str(), &cell]),
            }
        }
        text.trim_end().to_owned() + "\n"
    };
    let mut text = line(&mut columns.iter().map(|(head, _)| *head));
    let rules: Vec<String> = widths.iter().map(|width| "-".repeat(*width)).collect();
    text += &line(&mut rules.iter().map(String::as_str));
    for row in &clean {
        text += &line(&mut row.iter().map(String::as_str));
    }
    text
}

/// Breaks a sentence at spaces so that no line is wider than [`WIDTH`]; all lines but the first
/// start with `indent` spaces. A word longer than a line is broken where the line ends.
pub fn wrapped(first: &str, text: &str, indent: usize) -> String {
    let mut out = String::from(first);
    let mut column = width(first);
    let mut is_line_empty = true;
    let new_line = |out: &mut String, column: &mut usize| {
        out.push('\n');
        out.push_str(&" ".repeat(indent));
        *column = indent;
    };
    for word in one_line(text).split(' ').filter(|word| !word.is_empty()) {
        let room = width(word) + usize::from(!is_line_empty);
        if column + room > WIDTH && !is_line_empty {
            new_line(&mut out, &mut column);
            is_line_empty = true;
        }
        if !is_line_empty {
            out.push(' ');
            column += 1;
        }
        for c in word.chars() {
            if column + char_width(c) > WIDTH {
                new_line(&mut out, &mut column);
            }
            out.push(c);
            column += char_width(c);
        }
        is_line_empty = false;
    }
    out.push('\n');
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

/// Cuts a text to a width; what is cut ends in `…`.
fn cut(text: &str, room: usize) -> String {
    if width(text) <= room {
        return text.to_owned();
    }
    let mut out = String::new();
    let mut used = 0;
    for c in text.chars() {
        if used + char_width(c) + 1 > room {
            break;
        }
        used += char_width(c);
        out.push(c);
    }
    out.push('…');
    out
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
            É3       1 mm  a b c
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
        assert_eq!(text.matches('…').count(), 2);
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
