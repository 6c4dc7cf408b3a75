//! Filling pages from top to bottom: headings, paragraphs, fields, room for pictures.
//!
//! Every sheet writes through a `Flow`. It opens a new page where the next thing does not fit, and
//! gathers what is still blank.

use std::collections::BTreeSet;

use crate::geometry::{Point, Rect, point};
use crate::model::Subject;
use crate::sheets::measure::Fonts;
use crate::sheets::page::{Anchor, Ink, Item, MM_PER_POINT, Page, Stroke, Text};
use crate::sheets::setup::{Setup, SheetKind};
use crate::sheets::table::Table;

/// White edge of every page, in millimetres: no common printer needs more.
pub const MARGIN_MM: f64 = 13.0;
/// Head line with the sheet's and the project's title.
pub const HEAD_MM: f64 = 11.0;
/// Foot line with date and page number.
pub const FOOT_MM: f64 = 7.0;
/// Ordinary text, in points.
pub const BODY_PT: f64 = 9.5;
/// From one line of ordinary text to the next, as a multiple of its size.
pub const LEADING: f64 = 1.28;

/// A table under the name of its file.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedTable {
    /// Name of the file, without ending.
    pub name: String,
    /// The sheet it stands on.
    pub sheet: SheetKind,
    /// Index of the page it begins on, within its sheet while that is filled, then in the packet.
    pub page: usize,
    /// The table.
    pub table: Table,
}

/// Something that is not known yet and printed as a blank.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Blank {
    /// The sheet it stands on.
    pub sheet: SheetKind,
    /// What is missing, and where to enter it.
    pub what: String,
    /// What of the project it is about, where that is one thing.
    pub about: Option<Subject>,
}

/// Pages of one sheet while they are filled.
pub struct Flow<'a> {
    /// Widths of text.
    pub fonts: &'a Fonts,
    /// What the user chose.
    pub setup: &'a Setup,
    /// Which sheet it is.
    pub kind: SheetKind,
    /// Whether pages lie the other way than the user chose, for one wide or tall picture.
    is_turned: bool,
    /// Pages so far; the last one is being filled.
    pub pages: Vec<Page>,
    /// Where the next thing goes, from the top of the page.
    pub y_mm: f64,
    /// Tables so far.
    pub tables: Vec<NamedTable>,
    /// What is still blank.
    pub blanks: Vec<Blank>,
    /// The same, to say nothing twice however long the list.
    blanks_seen: BTreeSet<Blank>,
    /// Whether somebody still waits; long tables ask it for every row.
    pub keep_going: &'a dyn Fn() -> bool,
}

/// How a text looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Size in points.
    pub size_pt: f64,
    /// Whether it is bold.
    pub bold: bool,
    /// Ink.
    pub ink: Ink,
}

impl Style {
    /// Ordinary text.
    pub const BODY: Self = Self { size_pt: BODY_PT, bold: false, ink: Ink::Black };
    /// Ordinary text in bold.
    pub const STRONG: Self = Self { size_pt: BODY_PT, bold: true, ink: Ink::Black };
    /// Text that explains.
    pub const QUIET: Self = Self { size_pt: 9.0, bold: false, ink: Ink::Quiet };

    /// Height of a line in millimetres.
    pub fn line_mm(self) -> f64 {
        self.size_pt * MM_PER_POINT * LEADING
    }

    /// From the top of a line to its base line, in millimetres.
    pub fn rise_mm(self) -> f64 {
        self.size_pt * MM_PER_POINT
    }
}

impl<'a> Flow<'a> {
    /// A sheet with its first page open.
    pub fn new(fonts: &'a Fonts, setup: &'a Setup, kind: SheetKind) -> Self {
        let mut flow = Self {
            fonts,
            setup,
            kind,
            is_turned: false,
            pages: Vec::new(),
            y_mm: 0.0,
            tables: Vec::new(),
            blanks: Vec::new(),
            blanks_seen: BTreeSet::new(),
            keep_going: &|| true,
        };
        flow.new_page();
        flow
    }

    /// Width and height of the paper as it lies.
    pub fn size_mm(&self) -> (f64, f64) {
        let (width_mm, height_mm) = self.setup.size_mm();
        if self.is_turned { (height_mm, width_mm) } else { (width_mm, height_mm) }
    }

    /// Turns the pages of the whole sheet; nothing may have been written yet.
    pub fn turn(&mut self) {
        self.is_turned = !self.is_turned;
        self.pages.clear();
        self.new_page();
    }

    /// Where sheets may write.
    pub fn body(&self) -> Rect {
        let (width_mm, height_mm) = self.size_mm();
        Rect::spanning(
            point(MARGIN_MM, MARGIN_MM + HEAD_MM),
            point(width_mm - MARGIN_MM, height_mm - MARGIN_MM - FOOT_MM),
        )
    }

    /// Opens the next page.
    pub fn new_page(&mut self) {
        let (width_mm, height_mm) = self.size_mm();
        let tint = self.setup.tint;
        self.pages.push(Page { width_mm, height_mm, tint, is_bare: false, items: Vec::new() });
        self.y_mm = self.body().min.y_mm;
    }

    /// Opens the next page unless this one is still empty.
    pub fn fresh_page(&mut self) {
        if self.y_mm > self.body().min.y_mm {
            self.new_page();
        }
    }

    /// Millimetres left on this page.
    pub fn left_mm(&self) -> f64 {
        self.body().max.y_mm - self.y_mm
    }

    /// Opens the next page where so much does not fit on this one.
    pub fn need(&mut self, height_mm: f64) {
        if height_mm > self.left_mm() + 1e-6 {
            self.fresh_page();
        }
    }

    /// Puts an item onto the page.
    pub fn push(&mut self, item: Item) {
        self.pages.last_mut().expect("a flow has a page open").items.push(item);
    }

    /// Leaves room.
    pub fn space(&mut self, height_mm: f64) {
        self.y_mm += height_mm;
    }

    /// Takes so much height off the page and returns where it is.
    pub fn room(&mut self, height_mm: f64) -> Rect {
        self.need(height_mm);
        let body = self.body();
        let top = self.y_mm;
        self.y_mm += height_mm;
        Rect::spanning(point(body.min.x_mm, top), point(body.max.x_mm, top + height_mm))
    }

    /// One line of text at a place on the base line.
    pub fn text_at(&mut self, at: Point, anchor: Anchor, style: Style, words: &str) {
        let item = text_item(self.fonts, at, anchor, style, words);
        if let Some(item) = item {
            self.push(item);
        }
    }

    /// A quiet line of text on a page that is filled already.
    pub fn text_on(&mut self, page: usize, at: Point, style: Style, words: &str) {
        let item = text_item(self.fonts, at, Anchor::Start, style, words);
        if let (Some(item), Some(page)) = (item, self.pages.get_mut(page)) {
            page.items.push(item);
        }
    }

    /// A line of the page.
    pub fn line(&mut self, from: Point, to: Point, stroke: Stroke) {
        self.push(Item::Line { points: vec![from, to], stroke });
    }

    /// A heading within the sheet, kept together with what follows.
    pub fn heading(&mut self, words: &str) {
        let style = Style { size_pt: 12.0, bold: true, ink: Ink::Black };
        if self.y_mm > self.body().min.y_mm {
            self.space(3.0);
        }
        let lines = self.fonts.wrapped(words, self.body().width(), style.size_pt, true);
        self.need(lines.len() as f64 * style.line_mm() + 36.0);
        for line in lines {
            self.one_line(0.0, style, &line);
        }
        self.space(1.2);
    }

    /// A smaller heading.
    pub fn subheading(&mut self, words: &str) {
        if self.y_mm > self.body().min.y_mm {
            self.space(2.0);
        }
        let lines = self.fonts.wrapped(words, self.body().width(), BODY_PT, true);
        self.need(lines.len() as f64 * Style::STRONG.line_mm() + 28.0);
        for line in lines {
            self.one_line(0.0, Style::STRONG, &line);
        }
        self.space(0.8);
    }

    /// Ordinary text over the width of the page.
    pub fn paragraph(&mut self, words: &str) {
        self.styled(0.0, Style::BODY, words);
        self.space(1.2);
    }

    /// Text that explains.
    pub fn note(&mut self, words: &str) {
        self.styled(0.0, Style::QUIET, words);
        self.space(1.2);
    }

    /// A paragraph behind a dash.
    pub fn bullet(&mut self, words: &str) {
        self.need(Style::BODY.line_mm());
        let at = point(self.body().min.x_mm, self.y_mm + Style::BODY.rise_mm());
        self.text_at(at, Anchor::Start, Style::BODY, "–");
        self.styled(4.0, Style::BODY, words);
        self.space(0.8);
    }

    /// A paragraph behind a box to tick.
    pub fn tick(&mut self, words: &str) {
        self.need(Style::BODY.line_mm() + 1.0);
        let at = point(self.body().min.x_mm, self.y_mm + 0.6);
        self.push(Item::Tick { at, side_mm: 3.2 });
        self.styled(5.5, Style::BODY, words);
        self.space(1.4);
    }

    fn styled(&mut self, indent_mm: f64, style: Style, words: &str) {
        let width_mm = self.body().width() - indent_mm;
        for line in self.fonts.wrapped(words, width_mm, style.size_pt, style.bold) {
            self.one_line(indent_mm, style, &line);
        }
    }

    fn one_line(&mut self, indent_mm: f64, style: Style, line: &str) {
        self.need(style.line_mm());
        let at = point(self.body().min.x_mm + indent_mm, self.y_mm + style.rise_mm());
        self.text_at(at, Anchor::Start, style, line);
        self.space(style.line_mm());
    }

    /// Opens a page without head and foot.
    pub fn bare_page(&mut self) {
        self.new_page();
        if let Some(page) = self.pages.last_mut() {
            page.is_bare = true;
        }
    }

    /// Notes that something is printed as a blank.
    pub fn blank(&mut self, what: impl Into<String>) {
        self.note_blank(what.into(), None);
    }

    /// The same, of one thing of the project that a click can lead to.
    pub fn blank_of(&mut self, subject: Subject, what: impl Into<String>) {
        self.note_blank(what.into(), Some(subject));
    }

    fn note_blank(&mut self, what: String, about: Option<Subject>) {
        let blank = Blank { sheet: self.kind, what, about };
        if self.blanks_seen.insert(blank.clone()) {
            self.blanks.push(blank);
        }
    }

    /// A table over as many pages as it takes, kept for its own file as well.
    pub fn table(&mut self, name: &str, table: Table) {
        let page = table.draw(self);
        self.keep(name, table, page);
    }

    /// A table whose file says in words what stands shorter on paper.
    pub fn table_drawn_as(&mut self, name: &str, table: Table, drawn: &Table) {
        let page = drawn.draw(self);
        self.keep(name, table, page);
    }

    fn keep(&mut self, name: &str, table: Table, page: usize) {
        self.space(3.0);
        self.tables.push(NamedTable { name: name.to_owned(), sheet: self.kind, page, table });
    }
}

/// A measured text; `None` where there is nothing to print.
pub fn text_item(
    fonts: &Fonts,
    at: Point,
    anchor: Anchor,
    style: Style,
    words: &str,
) -> Option<Item> {
    let text = fonts.printable(words);
    if text.trim().is_empty() {
        return None;
    }
    let width_mm = fonts.width_mm(&text, style.size_pt, style.bold);
    let Style { size_pt, bold, ink } = style;
    Some(Item::Text(Text { at, anchor, size_pt, bold, ink, text, width_mm }))
}
