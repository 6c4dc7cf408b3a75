//! Text of a table into rows of cells (RFC 4180, and what spreadsheets make of it).

/// Most rows a table may have.
pub const TABLE_ROWS_MOST: usize = 50_000;
/// Most columns.
const COLUMNS_MOST: usize = 64;
/// Longest text of one cell.
const CELL_CHARS: usize = 2_000;
/// Rows looked at to tell the delimiter.
const LOOKED_AT: usize = 60;

/// What stands between two cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Delimiter {
    /// As pasted from a spreadsheet.
    Tab,
    /// Where the comma is the decimal mark.
    Semicolon,
    /// RFC 4180.
    Comma,
    /// `|`
    Bar,
}

impl Delimiter {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Tab, Self::Semicolon, Self::Comma, Self::Bar];

    /// What a person calls it.
    pub fn noun(self) -> &'static str {
        match self {
            Self::Tab => "tab",
            Self::Semicolon => "semicolon",
            Self::Comma => "comma",
            Self::Bar => "vertical bar",
        }
    }

    fn char(self) -> char {
        match self {
            Self::Tab => '\t',
            Self::Semicolon => ';',
            Self::Comma => ',',
            Self::Bar => '|',
        }
    }
}

/// One row of the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RawRow {
    /// Line of the text it begins on, from 1.
    pub line: usize,
    /// Its cells, spaces at their ends taken away.
    pub cells: Vec<String>,
}

/// A table as it stands in the text; rows without any text are left out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RawTable {
    /// What stands between its cells.
    pub delimiter: Delimiter,
    /// Its rows.
    pub rows: Vec<RawRow>,
}

impl RawTable {
    /// Cells of the longest row.
    pub fn n_columns(&self) -> usize {
        self.rows.iter().map(|row| row.cells.len()).max().unwrap_or(0)
    }
}

/// Text of a file: UTF-8, with or without a mark at its beginning.
///
/// # Errors
/// One sentence that says what was found where, and how to save the table instead.
pub fn decoded(bytes: &[u8]) -> Result<&str, String> {
    const CURE: &str = "save the table as CSV in UTF-8";
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(format!("expected text in UTF-8, found UTF-16: {CURE}"));
    }
    if bytes.starts_with(b"PK\x03\x04") {
        return Err(format!("expected text, found a packed spreadsheet: {CURE}"));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.strip_prefix('\u{feff}').unwrap_or(text)),
        Err(error) => {
            let good = &bytes[..error.valid_up_to()];
            let line = 1 + good.iter().filter(|byte| **byte == b'\n').count();
            let byte = bytes.get(error.valid_up_to()).copied().unwrap_or(0);
            Err(format!("expected text in UTF-8, found byte {byte:#04x} on line {line}: {CURE}"))
        }
    }
}

/// Reads a table; `None` tells the delimiter from the text.
///
/// # Errors
/// One sentence with the line: quotes that never end, text after closing quotes, a zero byte, too much.
pub fn read_table(text: &str, delimiter: Option<Delimiter>) -> Result<RawTable, String> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if let Some(at) = text.find('\0') {
        let line = 1 + text[..at].matches('\n').count();
        return Err(format!("expected text, found a zero byte on line {line}"));
    }
    let delimiter = delimiter.unwrap_or_else(|| likely(text));
    let rows = rows(text, delimiter.char(), TABLE_ROWS_MOST)?;
    if rows.is_empty() {
        return Err("expected a table with a row for each wire, found no text".into());
    }
    Ok(RawTable { delimiter, rows })
}

/// The delimiter that cuts the first rows into most columns, all of them alike.
fn likely(text: &str) -> Delimiter {
    let score = |delimiter: Delimiter| {
        let rows = rows(head(text), delimiter.char(), TABLE_ROWS_MOST).unwrap_or_default();
        let counts: Vec<usize> = rows.iter().map(|row| row.cells.len()).collect();
        let most = counts.iter().copied().max().unwrap_or(0);
        let least = counts.iter().copied().min().unwrap_or(0);
        let alike = counts.iter().filter(|n| **n == most).count() * 100 / counts.len().max(1);
        // A row that is not cut at all speaks against a delimiter; then evenness, then columns.
        (least.min(2), alike / 34, most)
    };
    let mut best = Delimiter::Comma;
    for delimiter in Delimiter::ALL {
        if score(delimiter) > score(best) {
            best = delimiter;
        }
    }
    best
}

/// The first lines of a text.
fn head(text: &str) -> &str {
    let end = text.match_indices('\n').nth(LOOKED_AT).map_or(text.len(), |(at, _)| at);
    &text[..end]
}

/// Walks the text once. Quotes count only where a cell begins with them; inside, `""` is a quote.
fn rows(text: &str, delimiter: char, most: usize) -> Result<Vec<RawRow>, String> {
    let mut walk =
        Walk { rows: Vec::new(), cells: Vec::new(), cell: String::new(), line: 1, from: 1 };
    let mut chars = text.chars().peekable();
    // The line on which open quotes began.
    let mut quoted: Option<usize> = None;
    let mut was_quoted = false;
    while let Some(c) = chars.next() {
        if let Some(since) = quoted {
            match c {
                '"' if chars.peek() == Some(&'"') => {
                    walk.cell.push('"');
                    chars.next();
                }
                '"' => {
                    quoted = None;
                    was_quoted = true;
                }
                _ => {
                    walk.line += usize::from(c == '\n');
                    walk.cell.push(c);
                    if walk.cell.len() > 4 * CELL_CHARS {
                        return Err(format!(
                            "expected closing quotes, found none for the ones on line {since}"
                        ));
                    }
                }
            }
            continue;
        }
        match c {
            '"' if walk.cell.trim().is_empty() && !was_quoted => {
                walk.cell.clear();
                quoted = Some(walk.line);
            }
            _ if c == delimiter => {
                walk.end_cell()?;
                was_quoted = false;
            }
            '\n' | '\r' => {
                if c == '\r' && chars.peek() == Some(&'\n') {
                    chars.next();
                }
                walk.end_row(most)?;
                was_quoted = false;
            }
            _ if was_quoted && !c.is_whitespace() => {
                return Err(format!(
                    "expected a delimiter after the closing quotes on line {}, found \"{c}\"",
                    walk.line
                ));
            }
            _ if was_quoted => {}
            _ => walk.cell.push(c),
        }
    }
    if let Some(since) = quoted {
        return Err(format!("expected closing quotes, found none for the ones on line {since}"));
    }
    if !walk.cell.is_empty() || !walk.cells.is_empty() {
        walk.end_row(most)?;
    }
    Ok(walk.rows)
}

struct Walk {
    rows: Vec<RawRow>,
    cells: Vec<String>,
    cell: String,
    line: usize,
    from: usize,
}

impl Walk {
    fn end_cell(&mut self) -> Result<(), String> {
        let text = self.cell.trim();
        if text.chars().count() > CELL_CHARS {
            return Err(format!(
                "expected at most {CELL_CHARS} characters in a cell, found more on line {}",
                self.line
            ));
        }
        self.cells.push(text.to_owned());
        self.cell.clear();
        if self.cells.len() > COLUMNS_MOST {
            return Err(format!(
                "expected at most {COLUMNS_MOST} columns, found more on line {}",
                self.line
            ));
        }
        Ok(())
    }

    fn end_row(&mut self, most: usize) -> Result<(), String> {
        self.end_cell()?;
        let cells = std::mem::take(&mut self.cells);
        if cells.iter().any(|cell| !cell.is_empty()) {
            if self.rows.len() == most {
                return Err(format!("expected at most {most} rows, found more"));
            }
            self.rows.push(RawRow { line: self.from, cells });
        }
        self.line += 1;
        self.from = self.line;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> Vec<Vec<String>> {
        read_table(text, None).unwrap().rows.into_iter().map(|row| row.cells).collect()
    }

    #[test]
    fn the_delimiter_is_told_from_the_text() {
        for (text, delimiter) in [
            ("from,to,size\nX1-1,X2-1,0.5", Delimiter::Comma),
            ("from;to;size\nX1-1;X2-1;0,5\nX1-2;X2-2;0,75", Delimiter::Semicolon),
            ("X1-1;X2-1;0,5;1,2\nX1-2;X2-2;0,75;1,3", Delimiter::Semicolon),
            ("from\tto\tsize\r\nX1-1\tX2-1\t0,5", Delimiter::Tab),
            ("from | to | size\nX1-1 | X2-1 | 0.5", Delimiter::Bar),
            ("\"a;b\",\"c;d\"\n\"e;f\",g", Delimiter::Comma),
            ("one column only", Delimiter::Comma),
        ] {
            assert_eq!(read_table(text, None).unwrap().delimiter, delimiter, "{text}");
        }
    }

    #[test]
    fn quotes_follow_rfc_4180_section_2() {
        assert_eq!(
            cells("\"aaa\",\"b \r\nbb\",\"ccc\"\r\nzzz,yyy,xxx"),
            [["aaa", "b \r\nbb", "ccc"], ["zzz", "yyy", "xxx"]]
        );
        assert_eq!(cells("\"aaa\",\"b\"\"bb\",\"ccc\""), [["aaa", "b\"bb", "ccc"]]);
        // A mark for inches inside a cell is no quote.
        assert_eq!(cells("a,12\" lead\n"), [["a", "12\" lead"]]);
    }

    /// A general reader (the csv crate) takes every good table apart in the same way.
    #[test]
    fn another_reader_agrees() {
        let mut r = crate::random::Random::new(7);
        let bits = ["X1-1", "a,b", "say \"so\"", "", "line\nbreak", "é", "0,5", "-"];
        for _ in 0..300 {
            let mut writer = csv::Writer::from_writer(Vec::new());
            for _ in 0..1 + r.below(5) {
                let row: Vec<&str> =
                    ["k"].into_iter().chain((0..3).map(|_| r.pick(&bits))).collect();
                writer.write_record(&row).unwrap();
            }
            let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
            let mut reader =
                csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
            let other: Vec<Vec<String>> = reader
                .records()
                .map(|row| row.unwrap().iter().map(str::to_owned).collect())
                .collect();
            let ours = read_table(&text, Some(Delimiter::Comma)).unwrap();
            let ours: Vec<Vec<String>> = ours.rows.into_iter().map(|row| row.cells).collect();
            assert_eq!(ours, other, "{text}");
        }
    }

    #[test]
    fn lines_are_counted_through_breaks_and_empty_rows() {
        let table = read_table("a,b\n\n\"c\nc\",d\n,\ne,f\n", None).unwrap();
        let lines: Vec<usize> = table.rows.iter().map(|row| row.line).collect();
        assert_eq!(lines, [1, 3, 6]);
    }

    #[test]
    fn damage_is_named_with_its_line() {
        let error = |text: &str| read_table(text, Some(Delimiter::Comma)).unwrap_err();
        assert!(error("").contains("no text") && error("\n , \n").contains("no text"));
        assert!(error("a,b\n\"c,d\ne,f").contains("line 2"));
        assert!(error("a,\"b\"c").contains("line 1, found \"c\""));
        assert!(error("a\nb\0c").contains("zero byte on line 2"));
        assert!(error(&"a,".repeat(70)).contains("64 columns"));
        assert!(error(&"x".repeat(2_001)).contains("2000 characters"));
        assert!(decoded(b"from;to\nmm\xb2;1").unwrap_err().contains("0xb2 on line 2"));
        assert!(decoded(&[0xff, 0xfe, 0x41, 0]).unwrap_err().contains("UTF-16"));
        assert!(decoded(b"PK\x03\x04rest").unwrap_err().contains("spreadsheet"));
        assert_eq!(decoded(b"\xef\xbb\xbfa,b"), Ok("a,b"));
    }

    #[test]
    fn no_text_makes_the_reader_stumble() {
        let mut r = crate::random::Random::new(3);
        let bits = [
            "\"", "\"\"", ",", ";", "\t", "|", "\n", "\r\n", "\r", "X1-1", "é", " ", "\u{feff}",
            "\0",
        ];
        for _ in 0..4_000 {
            let text: String = (0..r.below(30)).map(|_| r.pick(&bits)).collect();
            for delimiter in Delimiter::ALL.map(Some).into_iter().chain([None]) {
                match read_table(&text, delimiter) {
                    Ok(table) => {
                        assert!(!table.rows.is_empty() && table.n_columns() > 0);
                        assert!(
                            table.rows.iter().all(|row| row.cells.iter().any(|c| !c.is_empty()))
                        );
                        assert!(table.rows.is_sorted_by_key(|row| row.line));
                    }
                    Err(sentence) => assert!(sentence.starts_with("expected "), "{sentence}"),
                }
            }
        }
    }
}
