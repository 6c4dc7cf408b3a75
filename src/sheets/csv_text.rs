//! A table of a sheet as comma-separated values (RFC 4180): a header row, CRLF line ends, UTF-8; and
//! the names of the files that tables and pages go into.

use std::collections::BTreeMap;

use crate::csv_text::csv_records;
use crate::sheets::flow::NamedTable;
use crate::sheets::packet::Packet;
use crate::sheets::table::{Cell, Table};

/// Writes one table; what is blank on paper is empty here.
pub fn csv_text(table: &Table) -> String {
    let head = table.columns.iter().map(|column| column.head.clone()).collect();
    let rows = table.rows.iter().map(|row| row.iter().map(Cell::plain).collect());
    csv_records(&std::iter::once(head).chain(rows).collect::<Vec<_>>())
}

/// A file name for each table, in their order: letters, digits, `-` and `_`, at most 60 of them, and
/// none twice.
pub fn file_names(tables: &[NamedTable]) -> Vec<String> {
    let mut used: BTreeMap<String, usize> = BTreeMap::new();
    let mut names = Vec::new();
    for table in tables {
        let plain = |c: char| if c.is_ascii_alphanumeric() || c == '-' { c } else { '_' };
        let name: String = table.name.chars().map(plain).take(60).collect();
        let n = used.entry(name.to_lowercase()).or_default();
        *n += 1;
        let twin = if *n > 1 { format!(".{n}") } else { String::new() };
        names.push(format!("{name}{twin}.csv"));
    }
    names
}

/// A file name and a title for each page, in their order: `page-001-owner.svg`.
pub fn page_names(packet: &Packet) -> Vec<(String, String)> {
    let mut names = Vec::new();
    for mark in &packet.bookmarks {
        for idx in mark.page..mark.page + mark.n_pages {
            let name = format!("page-{:03}-{}.svg", idx + 1, mark.kind.word());
            names.push((name, format!("{}: {}", packet.title, mark.title)));
        }
    }
    names
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::setup::SheetKind;

    #[test]
    fn tables_become_records_and_names_stay_apart() {
        let mut table = Table::new(&["wire", ">length"]);
        table.row(vec!["a,\"b\"".into(), Cell::Blank]);
        assert_eq!(csv_text(&table), "wire,length\r\n\"a,\"\"b\"\"\",\r\n");
        let named = |name: &str| NamedTable {
            name: name.into(),
            sheet: SheetKind::Cut,
            page: 0,
            table: table.clone(),
        };
        let names = file_names(&[named("x/1"), named("X_1"), named("../up")]);
        assert_eq!(names, ["x_1.csv", "X_1.2.csv", "___up.csv"]);
    }
}
