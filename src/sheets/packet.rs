//! All sheets of a project together: pages numbered through, bookmarks, tables, what is still blank.

use std::collections::BTreeMap;

use crate::cutting::{CutList, cut_list};
use crate::geometry::point;
use crate::model::{PlaceId, Project, SensePinId, TerminalRef, WireId};
use crate::sense::{PinTable, Reader};
use crate::sheets::flow::{Blank, FOOT_MM, Flow, HEAD_MM, MARGIN_MM, NamedTable, Style, text_item};
use crate::sheets::measure::Fonts;
use crate::sheets::page::{Anchor, Ink, Item, Page, Stroke};
use crate::sheets::setup::{Setup, SheetKind};
use crate::sheets::{
    board, cautions, connectors, controller, cut, drawing, faults, labels, owner, rope, routing,
    sign_off, states, test,
};

/// Where a sheet begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bookmark {
    /// The sheet.
    pub kind: SheetKind,
    /// Its title.
    pub title: String,
    /// Index of its first page.
    pub page: usize,
    /// How many pages it has.
    pub n_pages: usize,
}

/// A finished packet.
#[derive(Clone, Debug, PartialEq)]
pub struct Packet {
    /// Title of the project.
    pub title: String,
    /// Pages in their order.
    pub pages: Vec<Page>,
    /// Where each sheet begins.
    pub bookmarks: Vec<Bookmark>,
    /// Tables of the sheets.
    pub tables: Vec<NamedTable>,
    /// What is not known and printed as a blank.
    pub blanks: Vec<Blank>,
}

/// What every sheet draws from; reckoned once.
pub(super) struct Job<'a> {
    pub project: &'a Project,
    pub fonts: &'a Fonts,
    pub setup: &'a Setup,
    pub reader: Reader,
    pub tables: Vec<PinTable>,
    pub cut: CutList,
    /// Wires that end at each terminal.
    pub ends: BTreeMap<TerminalRef, Vec<WireId>>,
    /// Names of the parts at each place.
    pub parts_at: BTreeMap<PlaceId, Vec<&'a str>>,
    pub keep_going: &'a dyn Fn() -> bool,
}

impl Job<'_> {
    /// All states of a pin.
    pub fn table(&self, pin: SensePinId) -> Option<&PinTable> {
        self.tables.iter().find(|table| table.pin == pin)
    }
}

/// Makes a packet; `None` where `keep_going` said no.
///
/// Same project and setup, same packet. What is not known is printed as a blank to fill in and
/// listed in [`Packet::blanks`]. Cost: one table of states a pin, one survey of faults a pin where
/// the fault card is asked for, and a pass over parts and wires for each sheet.
///
/// ```
/// use ohmloom::samples;
/// use ohmloom::sheets::{Setup, packet, pdf};
///
/// let project = samples::open("sprayer").expect("it is a sample");
/// let packet = packet(&project, &Setup::all_on_a4(), &|| true).expect("nobody stops it");
/// assert!(pdf(&packet, &|| true).expect("it has pages").starts_with(b"%PDF"));
/// ```
pub fn packet(project: &Project, setup: &Setup, keep_going: &dyn Fn() -> bool) -> Option<Packet> {
    packet_told(project, setup, keep_going, &|_| ())
}

/// How far a packet is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Making {
    /// Sheets that are done.
    pub n_done: usize,
    /// Sheets that were asked for.
    pub n_all: usize,
    /// The sheet being made; `None` while the states are reckoned.
    pub kind: Option<SheetKind>,
}

/// Makes a packet as [`packet`] does and tells before each sheet how far it is.
pub fn packet_told(
    project: &Project,
    setup: &Setup,
    keep_going: &dyn Fn() -> bool,
    tell: &dyn Fn(Making),
) -> Option<Packet> {
    let n_all = setup.sheets.len();
    tell(Making { n_done: 0, n_all, kind: None });
    let fonts = Fonts::new();
    let reader = Reader::new(project);
    let mut tables = Vec::new();
    for pin in project.sense_pins.ids() {
        if !keep_going() {
            return None;
        }
        tables.extend(reader.table(pin));
    }
    let job = Job {
        project,
        fonts: &fonts,
        setup,
        reader,
        tables,
        cut: cut_list(project),
        ends: ends(project),
        parts_at: parts_at(project),
        keep_going,
    };
    let mut packet = Packet {
        title: if project.title.is_empty() { "Untitled".into() } else { project.title.clone() },
        pages: Vec::new(),
        bookmarks: Vec::new(),
        tables: Vec::new(),
        blanks: Vec::new(),
    };
    for (n_done, kind) in setup.sheets.iter().enumerate() {
        if !keep_going() {
            return None;
        }
        tell(Making { n_done, n_all, kind: Some(*kind) });
        let mut flow = Flow::new(&fonts, setup, *kind);
        flow.keep_going = keep_going;
        fill(&job, &mut flow, *kind);
        packet.bookmarks.push(Bookmark {
            kind: *kind,
            title: kind.title().to_owned(),
            page: packet.pages.len(),
            n_pages: flow.pages.len(),
        });
        for table in &mut flow.tables {
            table.page += packet.pages.len();
        }
        packet.pages.append(&mut flow.pages);
        packet.tables.append(&mut flow.tables);
        packet.blanks.append(&mut flow.blanks);
    }
    head_and_foot(&mut packet, &job);
    keep_going().then_some(packet)
}

fn ends(project: &Project) -> BTreeMap<TerminalRef, Vec<WireId>> {
    let mut ends: BTreeMap<TerminalRef, Vec<WireId>> = BTreeMap::new();
    for (id, wire) in project.wires.iter() {
        ends.entry(wire.from.terminal).or_default().push(id);
        if wire.to.terminal != wire.from.terminal {
            ends.entry(wire.to.terminal).or_default().push(id);
        }
    }
    ends
}

fn parts_at(project: &Project) -> BTreeMap<PlaceId, Vec<&str>> {
    let mut names: BTreeMap<PlaceId, Vec<&str>> = BTreeMap::new();
    for (_, part) in project.parts.iter() {
        if let Some(place) = part.place {
            names.entry(place).or_default().push(&part.name);
        }
    }
    names
}

fn fill(job: &Job<'_>, flow: &mut Flow<'_>, kind: SheetKind) {
    match kind {
        SheetKind::Owner => owner::fill(job, flow),
        SheetKind::Cautions => cautions::fill(job, flow),
        SheetKind::Drawing => drawing::fill(job, flow),
        SheetKind::States => states::fill(job, flow),
        SheetKind::Cut => cut::fill(job, flow),
        SheetKind::Connectors => connectors::fill(job, flow),
        SheetKind::Routing => routing::fill(job, flow),
        SheetKind::Rope => rope::fill(job, flow),
        SheetKind::Board => board::fill(job, flow),
        SheetKind::Labels => labels::fill(job, flow),
        SheetKind::Test => test::fill(job, flow),
        SheetKind::Faults => faults::fill(job, flow),
        SheetKind::Controller => controller::fill(job, flow),
        SheetKind::SignOff => sign_off::fill(job, flow),
    }
}

/// Title, project, date and page number on every page.
fn head_and_foot(packet: &mut Packet, job: &Job<'_>) {
    let n_pages = packet.pages.len();
    if job.setup.date.trim().is_empty()
        && n_pages > 0
        && let Some(kind) = job.setup.sheets.first()
    {
        let what =
            "the date at the foot of every page: write it in, or give it when the packet is made";
        packet.blanks.insert(0, Blank { sheet: *kind, what: what.into(), about: None });
    }
    for mark in &packet.bookmarks {
        for idx in mark.page..mark.page + mark.n_pages {
            let page = &mut packet.pages[idx];
            if page.is_bare {
                continue;
            }
            let size_mm = (page.width_mm, page.height_mm);
            let mut items = Vec::new();
            let titles = (packet.title.as_str(), mark.title.as_str());
            edge_items(job, titles, (idx + 1, n_pages), size_mm, &mut items);
            items.append(&mut page.items);
            page.items = items;
        }
    }
}

fn edge_items(
    job: &Job<'_>,
    (project, sheet): (&str, &str),
    (n, n_pages): (usize, usize),
    (width_mm, height_mm): (f64, f64),
    items: &mut Vec<Item>,
) {
    let (left, right) = (MARGIN_MM, width_mm - MARGIN_MM);
    let title = Style { size_pt: 14.0, bold: true, ink: Ink::Black };
    let base = MARGIN_MM + 5.6;
    let mut put = |at, anchor, style: Style, words: &str| {
        items.extend(text_item(job.fonts, at, anchor, style, words));
    };
    put(point(left, base), Anchor::Start, title, sheet);
    let taken = job.fonts.width_mm(sheet, title.size_pt, true) + 6.0;
    let (name, size_pt) = job.fonts.shrunk(project, right - left - taken, 10.0, false);
    let style = Style { size_pt, bold: false, ink: Ink::Black };
    put(point(right, base), Anchor::End, style, &name);
    let foot = height_mm - MARGIN_MM;
    let quiet = Style::QUIET;
    let date = job.setup.date.trim();
    let room = (right - left) / 3.0;
    if date.is_empty() {
        put(point(left, foot), Anchor::Start, quiet, "Date");
    } else {
        let (date, _) = job.fonts.shrunk(date, room, 9.0, false);
        put(point(left, foot), Anchor::Start, quiet, &date);
    }
    put(point(width_mm / 2.0, foot), Anchor::Middle, quiet, "Ohmloom");
    let number = format!("page {n} of {n_pages}");
    put(point(right, foot), Anchor::End, quiet, &number);
    let rule = Stroke::solid(0.4, Ink::Black);
    let under = MARGIN_MM + HEAD_MM - 3.4;
    items.push(Item::Line { points: vec![point(left, under), point(right, under)], stroke: rule });
    let hair = Stroke::solid(0.15, Ink::Rule);
    let over = height_mm - MARGIN_MM - FOOT_MM + 2.6;
    items.push(Item::Line { points: vec![point(left, over), point(right, over)], stroke: hair });
    if date.is_empty() {
        let line = vec![point(left + 9.0, foot + 0.6), point(left + 45.0, foot + 0.6)];
        items.push(Item::Line { points: line, stroke: Stroke::solid(0.2, Ink::Quiet) });
    }
}
