//! Which column of a table means what: guessed from its head, matched by hand.

use crate::model::SizeUnit;
use crate::tables::cell::{Decimal, LengthUnit};
use crate::tables::raw::RawTable;

/// What a column can mean.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Column {
    /// Name on the wire's marker.
    Wire,
    /// Circuit it carries.
    Circuit,
    /// First end: a terminal such as X1-11, or a connector where the cavity has its own column.
    From,
    /// Cavity of the first end.
    FromCavity,
    /// Other end.
    To,
    /// Cavity of the other end.
    ToCavity,
    /// Conductor size.
    Size,
    /// Colour, with or without tracer.
    Colour,
    /// Tracer alone.
    Tracer,
    /// Length typed by hand.
    Length,
}

impl Column {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Wire,
        Self::Circuit,
        Self::From,
        Self::FromCavity,
        Self::To,
        Self::ToCavity,
        Self::Size,
        Self::Colour,
        Self::Tracer,
        Self::Length,
    ];

    /// The word for it, on screen and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Wire => "wire",
            Self::Circuit => "circuit",
            Self::From => "from",
            Self::FromCavity => "from cavity",
            Self::To => "to",
            Self::ToCavity => "to cavity",
            Self::Size => "size",
            Self::Colour => "colour",
            Self::Tracer => "tracer",
            Self::Length => "length",
        }
    }

    /// Words a head may use for it (common practice, no source).
    fn heads(self) -> &'static [&'static str] {
        match self {
            Self::Wire => &[
                "wire",
                "wire no",
                "wire number",
                "wire name",
                "name",
                "no",
                "number",
                "id",
                "marker",
            ],
            Self::Circuit => &["circuit", "signal", "function", "net"],
            Self::From => &[
                "from",
                "from end",
                "end 1",
                "end a",
                "source",
                "start",
                "from connector",
                "from terminal",
            ],
            Self::FromCavity => &[
                "from cavity",
                "from pin",
                "from position",
                "cavity 1",
                "cavity a",
                "pin a",
                "pin 1",
            ],
            Self::To => &[
                "to",
                "to end",
                "end 2",
                "end b",
                "destination",
                "target",
                "to connector",
                "to terminal",
            ],
            Self::ToCavity => {
                &["to cavity", "to pin", "to position", "cavity 2", "cavity b", "pin b", "pin 2"]
            }
            Self::Size => &[
                "size",
                "gauge",
                "awg",
                "mm2",
                "cross section",
                "section",
                "csa",
                "area",
                "wire size",
            ],
            Self::Colour => {
                &["colour", "color", "wire colour", "wire color", "base colour", "base color"]
            }
            Self::Tracer => &["tracer", "stripe", "second colour", "second color"],
            Self::Length => &["length", "len", "wire length", "typed length"],
        }
    }
}

/// Whether the first row names the columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Header {
    /// It does.
    FirstRow,
    /// The first row is a wire.
    None,
}

/// How a table is to be understood; guessed first, then changed by hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Matching {
    /// Whether the first row names the columns.
    pub header: Header,
    /// What each column means; `None` is left out.
    pub columns: Vec<Option<Column>>,
    /// Decimal mark.
    pub decimal: Decimal,
    /// What sizes without a unit are.
    pub size_unit: SizeUnit,
    /// What lengths without a unit are.
    pub length_unit: LengthUnit,
}

impl Matching {
    /// The likeliest way to understand a table.
    pub fn guess(table: &RawTable) -> Self {
        let first: &[String] = table.rows.first().map_or(&[], |row| &row.cells);
        let heads: Vec<Head> = first.iter().map(|cell| head(cell)).collect();
        let is_head = heads.iter().filter(|head| head.column.is_some()).count() >= 2;
        let n = table.n_columns();
        let mut columns: Vec<Option<Column>> = vec![None; n];
        let mut size_unit = SizeUnit::Mm2;
        let mut length_unit = LengthUnit::Mm;
        if is_head {
            for (slot, head) in heads.iter().enumerate() {
                let is_free = !columns.contains(&head.column);
                if let Some(column) = head.column.filter(|_| is_free) {
                    columns[slot] = Some(column);
                    size_unit = head.size.filter(|_| column == Column::Size).unwrap_or(size_unit);
                    length_unit =
                        head.length.filter(|_| column == Column::Length).unwrap_or(length_unit);
                }
            }
        } else {
            let usual = [Column::From, Column::To, Column::Size, Column::Colour, Column::Length];
            for (slot, column) in columns.iter_mut().zip(usual) {
                *slot = Some(column);
            }
        }
        let header = if is_head { Header::FirstRow } else { Header::None };
        let mut out = Self { header, columns, decimal: Decimal::Point, size_unit, length_unit };
        out.decimal = likely_decimal(table, &out);
        out
    }

    /// The column of the table that means this.
    pub fn slot(&self, column: Column) -> Option<usize> {
        self.columns.iter().position(|c| *c == Some(column))
    }

    /// Gives a column a meaning; no two columns have the same one.
    pub fn set(&mut self, slot: usize, column: Option<Column>) {
        for other in &mut self.columns {
            if column.is_some() && *other == column {
                *other = None;
            }
        }
        if let Some(here) = self.columns.get_mut(slot) {
            *here = column;
        }
    }
}

/// Reads `from,to,size,-,length`: what the columns mean in their order; `-` is left out.
///
/// # Errors
/// One sentence with the word that is not understood or stands there twice.
pub fn parse_columns(text: &str) -> Result<Vec<Option<Column>>, String> {
    let mut columns = Vec::new();
    for word in text.split(',').map(str::trim) {
        let column = Column::ALL.into_iter().find(|c| c.word().eq_ignore_ascii_case(word));
        match column {
            Some(column) if columns.contains(&Some(column)) => {
                return Err(format!("expected each column once, found {word} again"));
            }
            Some(column) => columns.push(Some(column)),
            None if word == "-" => columns.push(None),
            None => {
                let words = Column::ALL.map(Column::word).join(", ");
                return Err(format!("expected columns among {words}, or -, found \"{word}\""));
            }
        }
    }
    Ok(columns)
}

/// What a cell of the head says.
struct Head {
    column: Option<Column>,
    size: Option<SizeUnit>,
    length: Option<LengthUnit>,
}

fn head(cell: &str) -> Head {
    let lower = cell.to_lowercase().replace('²', "2");
    let words: Vec<&str> =
        lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let size = if words.contains(&"awg") {
        Some(SizeUnit::Awg)
    } else {
        words.contains(&"mm2").then_some(SizeUnit::Mm2)
    };
    let length = LengthUnit::ALL.into_iter().find(|unit| words.contains(&unit.sign()));
    let known = |text: &str| Column::ALL.into_iter().find(|column| column.heads().contains(&text));
    let whole = words.join(" ");
    // With the unit taken away, as in "length (m)" or "size_mm2".
    let bare: Vec<&str> = words
        .iter()
        .copied()
        .filter(|word| !["awg", "mm2", "mm", "cm", "m", "in"].contains(word))
        .collect();
    Head { column: known(&whole).or_else(|| known(&bare.join(" "))), size, length }
}

/// The comma where sizes or lengths have one and none has a point.
fn likely_decimal(table: &RawTable, matching: &Matching) -> Decimal {
    let slots = [matching.slot(Column::Size), matching.slot(Column::Length)];
    let mut commas = 0;
    for row in &table.rows {
        for cell in slots.into_iter().flatten().filter_map(|slot| row.cells.get(slot)) {
            let is_number = cell.starts_with(|c: char| c.is_ascii_digit());
            if is_number && cell.contains('.') {
                return Decimal::Point;
            }
            commas += usize::from(is_number && cell.contains(','));
        }
    }
    if commas > 0 { Decimal::Comma } else { Decimal::Point }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::raw::read_table;

    fn guess(text: &str) -> Matching {
        Matching::guess(&read_table(text, None).unwrap())
    }

    #[test]
    fn heads_are_understood_in_the_words_people_use() {
        let m = guess("Wire No.;From;To;Size (AWG);Color;Length [m]\nW1;X1-1;X2-1;18;red;1,2");
        let want =
            [Column::Wire, Column::From, Column::To, Column::Size, Column::Colour, Column::Length];
        assert_eq!(m.columns, want.map(Some));
        assert_eq!((m.size_unit, m.length_unit), (SizeUnit::Awg, LengthUnit::Metre));
        assert_eq!((m.decimal, m.header), (Decimal::Comma, Header::FirstRow));
        let m =
            guess("from connector,from pin,to connector,to pin,mm²,colour,stripe,remark\n,,,,,,,x");
        assert_eq!(m.columns[1], Some(Column::FromCavity));
        assert_eq!(m.columns[4], Some(Column::Size));
        assert_eq!(m.columns[7], None);
    }

    #[test]
    fn without_a_head_the_usual_order_is_taken() {
        let m = guess("X1-1,X2-1,0.5,red,800\nX1-2,X2-2,0.5,BK,800");
        assert_eq!(m.header, Header::None);
        assert_eq!(m.slot(Column::Length), Some(4));
        assert_eq!(m.decimal, Decimal::Point);
    }

    #[test]
    fn a_meaning_belongs_to_one_column() {
        let mut m = guess("from,to,from\na,b,c");
        assert_eq!(m.columns, [Some(Column::From), Some(Column::To), None]);
        m.set(2, Some(Column::From));
        assert_eq!(m.columns, [None, Some(Column::To), Some(Column::From)]);
        assert_eq!(parse_columns("from, to,-,Size").unwrap()[3], Some(Column::Size));
        assert!(parse_columns("from,from").unwrap_err().contains("again"));
        assert!(parse_columns("from,weight").unwrap_err().contains("\"weight\""));
    }
}
