//! Lines of a recorded file into cells, as slices of its bytes.

use crate::tables::Delimiter;

/// Where a cell begins and ends in its line, spaces and quotes around it taken away.
pub type Cell = (u32, u32);

/// Walks over lines; knows where it is.
pub struct Lines<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u32,
    end: u8,
}

impl<'a> Lines<'a> {
    /// From a place in the bytes, which is the beginning of this line.
    pub fn from(bytes: &'a [u8], at: usize, line: u32) -> Self {
        // Very old programs end lines with a carriage return alone.
        let head = &bytes[..bytes.len().min(1 << 16)];
        let end = if head.contains(&b'\r') && !head.contains(&b'\n') { b'\r' } else { b'\n' };
        Self { bytes, at, line, end }
    }

    /// Place of the next line.
    pub fn place(&self) -> (usize, u32) {
        (self.at, self.line)
    }
}

impl<'a> Iterator for Lines<'a> {
    /// Number of the line, from 1, and its bytes without the end.
    type Item = (u32, &'a [u8]);

    fn next(&mut self) -> Option<Self::Item> {
        let rest = self.bytes.get(self.at..).filter(|rest| !rest.is_empty())?;
        let length = rest.iter().position(|byte| *byte == self.end).unwrap_or(rest.len());
        let line = rest[..length].strip_suffix(b"\r").unwrap_or(&rest[..length]);
        let number = self.line;
        self.at += length + 1;
        self.line = self.line.saturating_add(1);
        Some((number, line))
    }
}

/// The byte of a delimiter.
pub fn byte_of(delimiter: Delimiter) -> u8 {
    match delimiter {
        Delimiter::Tab => b'\t',
        Delimiter::Semicolon => b';',
        Delimiter::Comma => b',',
        Delimiter::Bar => b'|',
    }
}

/// Cuts a line into cells. `None` where quotes do not end on the line: a broken quote costs one row,
/// never the rest of the file.
pub fn cut(line: &[u8], delimiter: u8, cells: &mut Vec<Cell>) -> Option<()> {
    cells.clear();
    let mut from = 0;
    if !line.contains(&b'"') {
        for (at, byte) in line.iter().enumerate() {
            if *byte == delimiter {
                cells.push(trimmed(line, from, at));
                from = at + 1;
            }
        }
        cells.push(trimmed(line, from, line.len()));
        return Some(());
    }
    loop {
        let (start, _) = trimmed(line, from, line.len());
        let start = (start as usize).max(from);
        if line.get(start) == Some(&b'"') && line[from..start].iter().all(|byte| *byte == b' ') {
            let close = start + 1 + closing(&line[start + 1..])?;
            cells.push((short(start + 1), short(close)));
            let behind = line[close + 1..].iter().position(|byte| *byte == delimiter);
            let end = behind.map_or(line.len(), |n| close + 1 + n);
            if line[close + 1..end].iter().any(|byte| !byte.is_ascii_whitespace()) {
                return None;
            }
            if behind.is_none() {
                return Some(());
            }
            from = end + 1;
        } else {
            match line[from..].iter().position(|byte| *byte == delimiter) {
                Some(n) => {
                    cells.push(trimmed(line, from, from + n));
                    from += n + 1;
                }
                None => {
                    cells.push(trimmed(line, from, line.len()));
                    return Some(());
                }
            }
        }
    }
}

/// Where the closing quotes stand; doubled ones are text.
fn closing(bytes: &[u8]) -> Option<usize> {
    let mut at = 0;
    while at < bytes.len() {
        if bytes[at] == b'"' {
            if bytes.get(at + 1) != Some(&b'"') {
                return Some(at);
            }
            at += 1;
        }
        at += 1;
    }
    None
}

fn trimmed(line: &[u8], from: usize, to: usize) -> Cell {
    let is_space = |byte: &u8| *byte == b' ' || *byte == b'\t';
    let cell = &line[from..to];
    let front = cell.iter().take_while(|byte| is_space(byte)).count();
    let back = cell[front..].iter().rev().take_while(|byte| is_space(byte)).count();
    (short(from + front), short(to - back))
}

fn short(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}

/// The bytes of a cell; nothing where the row has no such cell.
pub fn cell_of<'a>(line: &'a [u8], cells: &[Cell], idx: usize) -> &'a [u8] {
    cells.get(idx).map_or(&[], |(from, to)| &line[*from as usize..*to as usize])
}

/// A cell as text: UTF-8, else what a Western machine would have meant (ISO 8859-1).
pub fn text_of(bytes: &[u8]) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => text.replace("\"\"", "\""),
        Err(_) => bytes.iter().map(|byte| char::from(*byte)).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(line: &str, want: Option<&[&str]>) {
        let mut cells = Vec::new();
        let got = cut(line.as_bytes(), b';', &mut cells).map(|()| {
            (0..cells.len()).map(|n| text_of(cell_of(line.as_bytes(), &cells, n))).collect()
        });
        let want = want.map(|want| want.iter().map(|text| (*text).to_owned()).collect::<Vec<_>>());
        assert_eq!(got, want, "{line}");
    }

    #[test]
    fn cells_are_cut_with_and_without_quotes() {
        check("1;2;3", Some(&["1", "2", "3"]));
        check(" 1 ;; 3 ", Some(&["1", "", "3"]));
        check("", Some(&[""]));
        check("a;", Some(&["a", ""]));
        check("\"a;b\"; 2", Some(&["a;b", "2"]));
        check("1;\"say \"\"go\"\"\"", Some(&["1", "say \"go\""]));
        check("1;\"\";2", Some(&["1", "", "2"]));
        check("5\" pipe;2", Some(&["5\" pipe", "2"]));
        check("1;\"open", None);
        check("1;\"a\"b;2", None);
    }

    #[test]
    fn lines_end_in_every_way() {
        for text in ["a\nb\nc", "a\r\nb\r\nc\r\n", "a\rb\rc"] {
            let lines: Vec<(u32, &[u8])> = Lines::from(text.as_bytes(), 0, 1).collect();
            assert_eq!(lines, [(1, &b"a"[..]), (2, b"b"), (3, b"c")], "{text:?}");
        }
        assert_eq!(text_of(b"k\xd8"), "kØ");
    }
}
