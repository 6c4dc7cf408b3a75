//! Tables: columns as wide as they need, lines that wrap, heads that come again on every page.

use crate::geometry::{Rect, point};
use crate::marking::Ring;
use crate::model::Colour;
use crate::sheets::flow::{Flow, Style};
use crate::sheets::measure::Fonts;
use crate::sheets::page::{Anchor, Ink, Item, Stroke};
use crate::sheets::words::ring_words;

/// Text of a table.
const CELL: Style = Style { size_pt: 9.0, bold: false, ink: Ink::Black };
/// Its head.
const HEAD: Style = Style { size_pt: 9.0, bold: true, ink: Ink::Black };
/// Air left and right of a cell's text.
const PAD_MM: f64 = 1.2;
/// Air above and below.
const PAD_Y_MM: f64 = 0.7;
/// Swatch of a wire before its letters.
const SWATCH_MM: f64 = 8.0;
/// Drawn resistor before the names of its rings.
const BODY_MM: f64 = 13.0;
/// Least width of something to write on.
const BLANK_MM: f64 = 16.0;
/// Least height of a row with something to write on.
const WRITING_MM: f64 = 6.4;
/// Width of a box to tick.
const TICK_MM: f64 = 4.0;
/// A line that should not be broken is not broken up to this width.
const WHOLE_MM: f64 = 46.0;
/// A number with its unit is not broken up to this width.
const NUMBER_MM: f64 = 26.0;

/// Which side the text of a column stands at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// One column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// What stands above it.
    pub head: String,
    /// Where its text stands.
    pub side: Side,
    /// Whether its lines are broken only where they are very long.
    pub is_whole: bool,
}

/// One cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Words or a number.
    Text(String),
    /// The same in bold.
    Strong(String),
    /// A box to tick.
    Tick,
    /// Room to write in.
    Blank,
    /// A wire's colour: a swatch and its letters.
    Wire(Colour),
    /// A resistor's rings: drawn, and their names.
    Rings(Vec<Ring>),
}

impl Cell {
    /// Words; room to write in where there are none.
    pub fn or_blank(words: Option<String>) -> Self {
        words.map_or(Self::Blank, Self::Text)
    }

    /// The cell as text of a file.
    pub fn plain(&self) -> String {
        match self {
            Self::Text(words) | Self::Strong(words) => words.clone(),
            Self::Tick | Self::Blank => String::new(),
            Self::Wire(colour) => colour.text(),
            Self::Rings(rings) => ring_words(rings),
        }
    }

    fn words(&self) -> String {
        match self {
            Self::Text(words) | Self::Strong(words) => words.clone(),
            Self::Tick | Self::Blank => String::new(),
            Self::Wire(colour) => colour.code(),
            Self::Rings(rings) => ring_words(rings),
        }
    }

    fn style(&self) -> Style {
        match self {
            Self::Strong(_) => HEAD,
            Self::Text(_) | Self::Tick | Self::Blank | Self::Wire(_) | Self::Rings(_) => CELL,
        }
    }

    /// What stands before the words.
    fn lead_mm(&self) -> f64 {
        match self {
            Self::Wire(_) => SWATCH_MM + 1.2,
            Self::Rings(rings) if !rings.is_empty() => BODY_MM + 1.2,
            Self::Text(_) | Self::Strong(_) | Self::Tick | Self::Blank | Self::Rings(_) => 0.0,
        }
    }

    fn is_written_on(&self) -> bool {
        matches!(self, Self::Tick | Self::Blank)
    }
}

impl From<&str> for Cell {
    fn from(words: &str) -> Self {
        Self::Text(words.to_owned())
    }
}

impl From<String> for Cell {
    fn from(words: String) -> Self {
        Self::Text(words)
    }
}

/// A table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, each as long as there are columns.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// A table without rows; a head that starts with `>` stands at the right, and the lines below one
    /// that starts with `=` are not broken.
    pub fn new(heads: &[&str]) -> Self {
        let column = |head: &&str| match head.strip_prefix('>') {
            Some(head) => Column { head: head.to_owned(), side: Side::Right, is_whole: false },
            None => {
                let is_whole = head.starts_with('=');
                let head = head.trim_start_matches('=').to_owned();
                Column { head, side: Side::Left, is_whole }
            }
        };
        Self { columns: heads.iter().map(column).collect(), rows: Vec::new() }
    }

    /// Adds a row.
    pub fn row(&mut self, cells: Vec<Cell>) {
        debug_assert_eq!(cells.len(), self.columns.len());
        self.rows.push(cells);
    }

    /// Draws the table at the flow's place, over as many pages as it takes. Returns the index of the
    /// page its head stands on. Where the flow says that nobody waits any more, rows are missing.
    pub fn draw(&self, flow: &mut Flow<'_>) -> usize {
        if self.columns.is_empty() {
            return flow.pages.len() - 1;
        }
        let keep_going = flow.keep_going;
        let widths = self.widths(flow.fonts, flow.body().width(), keep_going);
        let waited_for = self.rows.iter().take_while(|_| keep_going());
        let rows: Vec<Laid<'_>> =
            waited_for.map(|row| Laid::new(flow.fonts, row, &widths)).collect();
        let head_mm = self.head_height(flow.fonts, &widths);
        // A head never stands alone: its first row is with it, whole where a page holds it.
        let whole_mm = flow.body().height() - head_mm;
        let first_mm = rows.first().map_or(0.0, |row| {
            let all_mm = row.height_mm(0, row.n_lines);
            if all_mm <= whole_mm { all_mm } else { row.height_mm(0, row.n_lines.min(3)) }
        });
        flow.need(head_mm + first_mm);
        let page = flow.pages.len() - 1;
        self.draw_head(flow, &widths, head_mm);
        for row in rows.iter().take_while(|_| keep_going()) {
            let mut from = 0;
            while from < row.n_lines {
                let height_mm = row.height_mm(from, row.n_lines);
                if height_mm > flow.left_mm() {
                    let whole_mm = flow.body().height() - head_mm;
                    let n_fit = row.n_fit(flow.left_mm());
                    if height_mm <= whole_mm || n_fit == 0 {
                        flow.new_page();
                        self.draw_head(flow, &widths, head_mm);
                    }
                }
                let n_fit = row.n_fit(flow.left_mm()).max(1);
                let to = (from + n_fit).min(row.n_lines);
                row.draw(flow, self, &widths, (from, to));
                from = to;
            }
        }
        page
    }

    /// Widths of the columns: natural where that fits, else squeezed towards the longest words.
    fn widths(&self, fonts: &Fonts, available_mm: f64, keep_going: &dyn Fn() -> bool) -> Vec<f64> {
        let mut natural = Vec::new();
        let mut least = Vec::new();
        let mut is_blank = Vec::new();
        for (idx, column) in self.columns.iter().enumerate() {
            let cells = self.rows.iter().filter_map(|row| row.get(idx));
            let head = fonts.longest_piece_mm(&column.head, HEAD.size_pt, true);
            // A head of several words takes two lines before it makes its column wider.
            let two_lines = fonts.width_mm(&column.head, HEAD.size_pt, true) * 0.55;
            let (mut most, mut word) = (head.max(two_lines), head);
            let mut blank = false;
            for cell in cells.take_while(|_| keep_going()) {
                let (whole, longest) = widths_of(fonts, cell, column.side);
                let is_whole = column.is_whole && whole < WHOLE_MM;
                let longest = if is_whole { whole } else { longest };
                most = most.max(whole);
                word = word.max(longest);
                blank |= *cell == Cell::Blank;
            }
            natural.push(most + 2.0 * PAD_MM + 0.2);
            least.push((word + 2.0 * PAD_MM + 0.2).min(0.4 * available_mm));
            is_blank.push(blank);
        }
        squeezed(&natural, &least, &is_blank, available_mm)
    }

    fn head_height(&self, fonts: &Fonts, widths: &[f64]) -> f64 {
        let n_lines = self.columns.iter().zip(widths).fold(1, |most, (column, width)| {
            most.max(fonts.wrapped(&column.head, width - 2.0 * PAD_MM, HEAD.size_pt, true).len())
        });
        n_lines as f64 * HEAD.line_mm() + 2.0 * PAD_Y_MM
    }

    fn draw_head(&self, flow: &mut Flow<'_>, widths: &[f64], height_mm: f64) {
        let room = flow.room(height_mm);
        let right = room.min.x_mm + widths.iter().sum::<f64>();
        let band = Rect::spanning(room.min, point(right, room.max.y_mm));
        flow.push(Item::Rect { rect: band, stroke: None, fill: Some(Ink::Pale) });
        let mut x = room.min.x_mm;
        for (column, width) in self.columns.iter().zip(widths) {
            let lines = flow.fonts.wrapped(&column.head, width - 2.0 * PAD_MM, HEAD.size_pt, true);
            for (n, line) in lines.iter().enumerate() {
                let y = room.min.y_mm + PAD_Y_MM + HEAD.rise_mm() + n as f64 * HEAD.line_mm();
                put(flow, (x, *width, y), column.side, HEAD, line);
            }
            x += width;
        }
        let heavy = Stroke::solid(0.35, Ink::Black);
        flow.line(point(room.min.x_mm, room.max.y_mm), point(right, room.max.y_mm), heavy);
    }
}

/// Width of a cell's longest line, and of what of it should not be broken: all of a number.
fn widths_of(fonts: &Fonts, cell: &Cell, side: Side) -> (f64, f64) {
    let (words, style) = (cell.words(), cell.style());
    let lead = cell.lead_mm();
    let line = words.lines().fold(0.0, |longest: f64, line| {
        longest.max(fonts.width_mm(line, style.size_pt, style.bold))
    });
    let piece = match side {
        Side::Right if line < NUMBER_MM => line,
        Side::Left | Side::Right => fonts.longest_piece_mm(&words, style.size_pt, style.bold),
    };
    let least = match cell {
        Cell::Blank => BLANK_MM,
        Cell::Tick => TICK_MM,
        Cell::Text(_) | Cell::Strong(_) | Cell::Wire(_) | Cell::Rings(_) => 0.0,
    };
    ((lead + line).max(least), (lead + piece).max(least))
}

/// Brings widths to what there is.
fn squeezed(natural: &[f64], least: &[f64], is_blank: &[bool], available_mm: f64) -> Vec<f64> {
    let sum = |list: &[f64]| list.iter().fold(0.0, |sum, width| sum + width);
    let (most, few) = (sum(natural), sum(least));
    if most <= available_mm {
        // What is left goes to where somebody writes, but not without end.
        let n_blank = is_blank.iter().filter(|blank| **blank).count().max(1);
        let share = ((available_mm - most) / n_blank as f64).min(24.0);
        let grown = |(width, blank): (&f64, &bool)| if *blank { width + share } else { *width };
        return natural.iter().zip(is_blank).map(grown).collect();
    }
    if few < available_mm {
        let share = (available_mm - few) / (most - few).max(1e-9);
        let between = |(natural, least): (&f64, &f64)| least + (natural - least).max(0.0) * share;
        let widths: Vec<f64> = natural.iter().zip(least).map(between).collect();
        let over = available_mm / sum(&widths);
        return widths.into_iter().map(|width| width * over.min(1.0)).collect();
    }
    // Narrow columns keep their width, the wide ones are cut down to one width that fits.
    let mut sorted = least.to_vec();
    sorted.sort_by(f64::total_cmp);
    let (mut left_mm, mut n_left) = (available_mm, sorted.len() as f64);
    for width in &sorted {
        if *width > left_mm / n_left {
            break;
        }
        left_mm -= width;
        n_left -= 1.0;
    }
    let most_mm = left_mm / n_left.max(1.0);
    least.iter().map(|width| width.min(most_mm)).collect()
}

/// Text within a column.
fn put(flow: &mut Flow<'_>, (x, width, y): (f64, f64, f64), side: Side, style: Style, words: &str) {
    match side {
        Side::Left => flow.text_at(point(x + PAD_MM, y), Anchor::Start, style, words),
        Side::Right => flow.text_at(point(x + width - PAD_MM, y), Anchor::End, style, words),
    }
}

/// A row with its lines broken.
struct Laid<'t> {
    cells: &'t [Cell],
    lines: Vec<Vec<String>>,
    n_lines: usize,
    least_mm: f64,
}

impl<'t> Laid<'t> {
    fn new(fonts: &Fonts, cells: &'t [Cell], widths: &[f64]) -> Self {
        let broken = |(cell, width): (&Cell, &f64)| {
            let style = cell.style();
            let room_mm = (width - 2.0 * PAD_MM - cell.lead_mm()).max(3.0);
            fonts.wrapped(&cell.words(), room_mm, style.size_pt, style.bold)
        };
        let lines: Vec<Vec<String>> = cells.iter().zip(widths).map(broken).collect();
        let n_lines = lines.iter().map(Vec::len).max().unwrap_or(1).max(1);
        let least_mm = if cells.iter().any(Cell::is_written_on) { WRITING_MM } else { 0.0 };
        Self { cells, lines, n_lines, least_mm }
    }

    fn height_mm(&self, from: usize, to: usize) -> f64 {
        ((to - from) as f64 * CELL.line_mm() + 2.0 * PAD_Y_MM).max(self.least_mm)
    }

    /// How many lines fit into so much height.
    fn n_fit(&self, height_mm: f64) -> usize {
        if height_mm < self.least_mm {
            return 0;
        }
        ((height_mm - 2.0 * PAD_Y_MM + 1e-6) / CELL.line_mm()).max(0.0).floor() as usize
    }

    fn draw(&self, flow: &mut Flow<'_>, table: &Table, widths: &[f64], (from, to): (usize, usize)) {
        let height_mm = self.height_mm(from, to);
        let room = flow.room(height_mm);
        let hair = Stroke::solid(0.15, Ink::Rule);
        let mut x = room.min.x_mm;
        let columns = table.columns.iter().zip(widths);
        for ((cell, lines), (column, width)) in self.cells.iter().zip(&self.lines).zip(columns) {
            let style = cell.style();
            let lead = cell.lead_mm();
            for (n, line) in lines.iter().enumerate().take(to).skip(from) {
                let y = room.min.y_mm
                    + PAD_Y_MM
                    + style.rise_mm()
                    + (n - from) as f64 * style.line_mm();
                put(flow, (x + lead, width - lead, y), column.side, style, line);
            }
            if from == 0 {
                picture(flow, cell, (x, *width), room);
            }
            x += width;
            let (top, bottom) = (point(x, room.min.y_mm), point(x, room.max.y_mm));
            flow.line(top, bottom, hair);
        }
        let (left, bottom) = (room.min.x_mm, room.max.y_mm);
        flow.line(point(left, bottom), point(x, bottom), hair);
        flow.line(room.min, point(left, bottom), hair);
    }
}

/// What a cell shows beside words.
fn picture(flow: &mut Flow<'_>, cell: &Cell, (x, width): (f64, f64), room: Rect) {
    let top = room.min.y_mm + PAD_Y_MM;
    let middle = top + CELL.line_mm() / 2.0;
    match cell {
        Cell::Text(_) | Cell::Strong(_) | Cell::Blank => {}
        Cell::Tick => {
            let side_mm = 3.4;
            let at = point(x + (width - side_mm) / 2.0, room.centre().y_mm - side_mm / 2.0);
            flow.push(Item::Tick { at, side_mm });
        }
        Cell::Wire(colour) => {
            let points = vec![point(x + PAD_MM, middle), point(x + PAD_MM + SWATCH_MM, middle)];
            flow.push(Item::Wire { points, width_mm: 2.0, colour: *colour });
        }
        Cell::Rings(rings) => resistor(flow, rings, point(x + PAD_MM, middle)),
    }
}

/// A resistor with its rings, the tolerance apart from the others.
fn resistor(flow: &mut Flow<'_>, rings: &[Ring], at: crate::geometry::Point) {
    if rings.is_empty() {
        return;
    }
    let lead = Stroke::solid(0.3, Ink::Black);
    flow.line(at, at + point(BODY_MM, 0.0), lead);
    let body = Rect::spanning(at + point(1.2, -1.3), at + point(BODY_MM - 1.2, 1.3));
    let edge = Some(Stroke::solid(0.2, Ink::Black));
    flow.push(Item::Rect { rect: body, stroke: edge, fill: Some(Ink::White) });
    for (n, ring) in rings.iter().enumerate() {
        let is_last = n + 1 == rings.len();
        let x = 2.2 + 1.55 * n as f64 + if is_last { 0.9 } else { 0.0 };
        let rect = Rect::spanning(at + point(x, -1.3), at + point(x + 0.9, 1.3));
        let edge = Some(Stroke::solid(0.1, Ink::Black));
        flow.push(Item::Rect { rect, stroke: edge, fill: Some(Ink::Ring(*ring)) });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::setup::{Setup, SheetKind};

    fn pages(table: &Table) -> Vec<crate::sheets::page::Page> {
        let (fonts, setup) = (Fonts::new(), Setup::all_on_a4());
        let mut flow = Flow::new(&fonts, &setup, SheetKind::Cut);
        table.draw(&mut flow);
        flow.pages
    }

    fn texts(page: &crate::sheets::page::Page) -> Vec<&str> {
        page.items.iter().filter_map(Item::text).map(|text| text.text.as_str()).collect()
    }

    #[test]
    fn a_long_table_repeats_its_head_and_loses_no_row() {
        let mut table = Table::new(&["wire", ">length"]);
        for n in 0..300 {
            table.row(vec![format!("D{n}").into(), format!("{n} mm").into()]);
        }
        let pages = pages(&table);
        assert!(pages.len() > 3);
        let mut rows = 0;
        for page in &pages {
            let texts = texts(page);
            assert_eq!(texts[..2], ["wire", "length"]);
            rows += (texts.len() - 2) / 2;
            let body = page.height_mm - 13.0 - 7.0;
            assert!(page.items.iter().all(|item| item.rect().max.y_mm <= body + 0.2));
        }
        assert_eq!(rows, 300);
    }

    #[test]
    fn who_stops_it_waits_for_no_more_than_a_row() {
        let mut table = Table::new(&["wire", ">length"]);
        for n in 0..300 {
            table.row(vec![format!("D{n}").into(), format!("{n} mm").into()]);
        }
        let (fonts, setup) = (Fonts::new(), Setup::all_on_a4());
        let n_asked = std::cell::Cell::new(0);
        for n_let in [10, 400, 700, 1_000] {
            n_asked.set(0);
            let keep_going = || {
                n_asked.set(n_asked.get() + 1);
                n_asked.get() <= n_let
            };
            let mut flow = Flow::new(&fonts, &setup, SheetKind::Cut);
            flow.keep_going = &keep_going;
            table.draw(&mut flow);
            // Once more for each column, the rows laid and the rows drawn.
            assert!((n_let + 1..n_let + 5).contains(&n_asked.get()), "{n_let}: {}", n_asked.get());
        }
    }

    #[test]
    fn one_row_longer_than_a_page_goes_on_over_the_next() {
        let mut table = Table::new(&["notes", "tick"]);
        table.row(vec!["word ".repeat(6_000).into(), Cell::Tick]);
        let pages = pages(&table);
        let n: usize = pages
            .iter()
            .map(|page| texts(page).iter().map(|t| t.matches("word").count()).sum::<usize>())
            .sum();
        assert_eq!(n, 6_000);
        assert!(pages.len() > 1);
    }

    #[test]
    fn wide_columns_are_squeezed_to_the_page() {
        let mut table = Table::new(&["a", "b", "c", "d", "e", "f", "g", "h"]);
        table.row(vec![Cell::from("some longer words that can wrap"); 8]);
        table.row(vec![Cell::from("unbreakable".repeat(8)); 8]);
        for page in pages(&table) {
            assert!(page.items.iter().all(|item| item.rect().max.x_mm <= 197.2));
        }
    }
}
