//! The packet on paper: measured back from PDF and SVG, nothing lost, nothing cut off, nothing twice.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::collections::{BTreeMap, BTreeSet};

use ohmloom::cutting::cut_list;
use ohmloom::geometry::Rect;
use ohmloom::model::{PartKind, Project};
use ohmloom::samples;
use ohmloom::sense::Reader;
use ohmloom::sheets::{
    Cell, Fonts, Item, LEAST_PT, Orientation, Packet, Page, Paper, Setup, SheetKind, Table, Tint,
    packet, pdf, svg,
};

mod paper;

fn made(project: &Project, setup: &Setup) -> Packet {
    packet(project, setup, &|| true).unwrap()
}

fn bytes(packet: &Packet) -> Vec<u8> {
    pdf(packet, &|| true).unwrap()
}

fn only(sheets: &[SheetKind]) -> Setup {
    Setup { sheets: sheets.to_vec(), date: "2026-05-01".into(), ..Setup::all_on_a4() }
}

fn all_samples() -> impl Iterator<Item = (&'static str, Project)> {
    samples::LIST.iter().map(|sample| (sample.name, samples::open(sample.name).unwrap()))
}

/// Pages of one sheet.
fn pages(packet: &Packet, kind: SheetKind) -> &[Page] {
    let mark = packet.bookmarks.iter().find(|mark| mark.kind == kind).unwrap();
    &packet.pages[mark.page..mark.page + mark.n_pages]
}

/// Sides of A4 and A3 are those of ISO 216, of Letter those of ANSI Y14.1, turned into millimetres.
#[test]
fn pages_have_the_size_of_their_paper() {
    let project = samples::open("sprayer").unwrap();
    for (paper, wide, tall) in [
        (Paper::A4, 210.0, 297.0),
        (Paper::Letter, 8.5 * 25.4, 11.0 * 25.4),
        (Paper::A3, 297.0, 420.0),
    ] {
        for orientation in [Orientation::Portrait, Orientation::Landscape] {
            let setup = Setup { paper, orientation, ..only(&[SheetKind::States, SheetKind::Cut]) };
            let (wide, tall): (f64, f64) = match orientation {
                Orientation::Portrait => (wide, tall),
                Orientation::Landscape => (tall, wide),
            };
            let packet = made(&project, &setup);
            for page in paper::read_pdf(&bytes(&packet)) {
                assert!((page.width_mm - wide).abs() < 0.1, "{paper:?} {}", page.width_mm);
                assert!((page.height_mm - tall).abs() < 0.1, "{paper:?} {}", page.height_mm);
            }
            let root = &paper::read_svg(&svg(&packet.pages[0], "title"))[0];
            let side = |name: &str| -> f64 {
                root.attributes[name].trim_end_matches("mm").parse().unwrap()
            };
            assert!((wide - side("width")).abs() < 0.01 && (tall - side("height")).abs() < 0.01);
        }
    }
}

fn is_ruler(points: &[(f64, f64)]) -> bool {
    points.len() == 2
        && (points[0].1 - points[1].1).abs() < 0.01
        && ((points[1].0 - points[0].0).abs() - 100.0).abs() < 0.1
}

/// Every tile of the board carries a line of 100 mm, measured back from both kinds of file.
#[test]
fn the_check_ruler_is_100_mm_long() {
    let project = samples::open("forwarder").unwrap();
    let packet = made(&project, &only(&[SheetKind::Board]));
    assert!(packet.pages.len() > 5);
    for page in paper::read_pdf(&bytes(&packet)) {
        // The ruler is the one line that ends 3 mm before its words; a run may be as long by chance.
        let words: Vec<_> = page.texts.iter().filter(|t| t.3.starts_with("check ruler")).collect();
        assert_eq!(words.len(), 1);
        let is_beside = |path: &&Vec<(f64, f64)>| {
            is_ruler(path)
                && (path[1].0 + 3.0 - words[0].0).abs() < 0.1
                && (path[1].1 - words[0].1).abs() < 0.1
        };
        assert_eq!(page.paths.iter().filter(is_beside).count(), 1);
    }
    for page in &packet.pages {
        let elements = paper::read_svg(&svg(page, "board"));
        let lines = elements.iter().filter(|element| element.name == "polyline");
        assert!(lines.filter(|line| is_ruler(&line.points())).count() >= 1);
    }
}

/// Every place and every run of the harness is named on some tile, beside any edge of one too: the
/// page map comes first and is not counted. A label that lies where tiles overlap stands on both.
#[test]
fn every_place_and_run_is_named_on_the_board() {
    let upright = only(&[SheetKind::Board]);
    let on_its_side =
        Setup { paper: Paper::A3, orientation: Orientation::Landscape, ..upright.clone() };
    for ((name, project), setup) in
        all_samples().flat_map(|sample| [(sample.clone(), &upright), (sample, &on_its_side)])
    {
        let packet = made(&project, setup);
        let tiles = paper::read_pdf(&bytes(&packet));
        let all: Vec<&str> =
            tiles.iter().skip(1).flat_map(|page| &page.texts).map(|text| text.3.as_str()).collect();
        let all = all.join(" ");
        for (_, place) in project.places.iter() {
            assert!(all.contains(&place.name), "{name}: place {} in {all}", place.name);
        }
        for (_, run) in project.runs.iter() {
            assert!(all.contains(&run.name), "{name}: run {} in {all}", run.name);
        }
    }
}

/// Pitch of the drawn cavities: numbers 1 and 2 of one row, in both kinds of file.
#[test]
fn the_connector_pitch_is_the_same_in_pdf_and_svg() {
    let project = samples::open("forwarder").unwrap();
    let packet = made(&project, &only(&[SheetKind::Connectors]));
    let pages = paper::read_pdf(&bytes(&packet));
    let mut seen = 0;
    for (page, shown) in packet.pages.iter().zip(&pages) {
        let squares = |paths: Vec<Vec<(f64, f64)>>| -> Vec<(f64, f64)> {
            let is_square = |path: &Vec<(f64, f64)>| {
                path.len() == 5
                    && ((path[2].0 - path[0].0) - (path[2].1 - path[0].1)).abs() < 0.01
                    && (path[2].0 - path[0].0) > 6.0
            };
            paths.into_iter().filter(is_square).map(|path| path[0]).collect()
        };
        let from_pdf = squares(shown.paths.clone());
        let from_svg: Vec<Vec<(f64, f64)>> = paper::read_svg(&svg(page, "x"))
            .iter()
            .filter(|element| element.name == "rect" && element.attributes.contains_key("x"))
            .map(|e| {
                let (x, y) = (e.number("x"), e.number("y"));
                let (w, h) = (e.number("width"), e.number("height"));
                vec![(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]
            })
            .collect();
        let from_svg = squares(from_svg);
        assert_eq!(from_pdf.len(), from_svg.len());
        for (a, b) in from_pdf.iter().zip(&from_svg) {
            assert!((a.0 - b.0).abs() < 0.1 && (a.1 - b.1).abs() < 0.1);
        }
        for pair in from_pdf.windows(2).filter(|pair| (pair[0].1 - pair[1].1).abs() < 0.01) {
            let pitch = (pair[1].0 - pair[0].0).abs();
            if pitch < 11.0 {
                assert!((6.5..=10.5).contains(&pitch), "{pitch}");
                seen += 1;
            }
        }
    }
    assert!(seen > 20, "{seen}");
}

/// Both writers show what the display list holds: every text at its place, everything painted.
#[test]
fn pdf_and_svg_carry_the_items_of_the_page() {
    for (name, project) in all_samples() {
        let mut setup = only(&SheetKind::ALL);
        setup.sheets.retain(|kind| *kind != SheetKind::Board);
        let packet = made(&project, &setup);
        let file = bytes(&packet);
        let shown = paper::read_pdf(&file);
        assert_eq!(shown.len(), packet.pages.len());
        for (page, shown) in packet.pages.iter().zip(&shown) {
            let texts: Vec<&ohmloom::sheets::Text> =
                page.items.iter().filter_map(Item::text).collect();
            let svg_page = paper::read_svg(&svg(page, "t"));
            let written: Vec<_> = svg_page.iter().filter(|e| e.name == "text").collect();
            assert_eq!((texts.len(), texts.len()), (shown.texts.len(), written.len()), "{name}");
            for ((text, (x, y, size, words)), element) in
                texts.iter().zip(&shown.texts).zip(written)
            {
                assert_eq!((&text.text, &text.text), (words, &element.words), "{name}");
                assert!((text.left_mm() - x).abs() < 0.1 && (text.at.y_mm - y).abs() < 0.1);
                assert!((text.size_pt - size).abs() < 0.01 && *size >= LEAST_PT);
                assert!((element.number("x") - text.at.x_mm).abs() < 0.01);
            }
            let n_strokes = |item: &Item| match item {
                Item::Text(_) => 0,
                Item::Wire { colour, .. } => 2 + usize::from(colour.tracer.is_some()),
                Item::Line { .. } | Item::Shape { .. } | Item::Rect { .. } => 1,
                Item::Circle { .. } | Item::Tick { .. } => 1,
            };
            let n_items: usize = page.items.iter().map(n_strokes).sum();
            assert_eq!(n_items, shown.n_painted, "{name}");
            let shapes = ["polyline", "polygon", "rect", "circle"];
            let n_svg = svg_page.iter().filter(|e| shapes.contains(&e.name.as_str())).count();
            assert_eq!(n_items, n_svg - 1, "{name}: the paper itself is one more");
        }
    }
}

#[test]
fn the_document_has_a_title_and_a_bookmark_for_each_sheet() {
    let project = samples::open("sprayer").unwrap();
    let packet = made(&project, &only(&[SheetKind::Test, SheetKind::Cut, SheetKind::Owner]));
    let file = bytes(&packet);
    assert_eq!(paper::title(&file), project.title);
    assert_eq!(paper::bookmarks(&file), ["Test sheet", "Cut list", "Owner page"]);
    let n = packet.pages.len();
    for (idx, page) in paper::read_pdf(&file).iter().enumerate() {
        let has = |words: &str| page.texts.iter().filter(|text| text.3 == words).count() == 1;
        assert!(has(&format!("page {} of {n}", idx + 1)) && has("2026-05-01") && has("Ohmloom"));
    }
}

#[test]
fn equal_projects_give_equal_bytes() {
    for (name, project) in all_samples().take(2) {
        let setup = only(&SheetKind::ALL);
        let (one, other) = (made(&project, &setup), made(&project.clone(), &setup));
        assert!(bytes(&one) == bytes(&other), "{name}");
        assert_eq!(svg(&one.pages[3], "t"), svg(&other.pages[3], "t"));
    }
}

/// Cells of one column.
fn column(table: &Table, head: &str) -> Vec<String> {
    let idx = table.columns.iter().position(|column| column.head == head).unwrap();
    table.rows.iter().map(|row| row[idx].plain()).collect()
}

fn tables<'a>(packet: &'a Packet, start: &str) -> Vec<&'a Table> {
    let is_own = |t: &&ohmloom::sheets::NamedTable| t.name.starts_with(start);
    packet.tables.iter().filter(is_own).map(|named| &named.table).collect()
}

/// How often each text stands on some pages.
fn counts(pages: &[Page]) -> BTreeMap<&str, usize> {
    let mut counts = BTreeMap::new();
    for text in pages.iter().flat_map(|page| &page.items).filter_map(Item::text) {
        *counts.entry(text.text.as_str()).or_default() += 1;
    }
    counts
}

#[test]
fn every_wire_cavity_and_state_stands_once_where_it_should() {
    for (name, project) in all_samples() {
        let packet = made(&project, &only(&SheetKind::ALL));
        // Wires: once in the cut list, twice on markers.
        let mut wires: Vec<String> = cut_list(&project).rows.into_iter().map(|r| r.name).collect();
        let mut listed = column(tables(&packet, "cut-wires")[0], "wire");
        wires.sort();
        listed.sort();
        assert_eq!(wires, listed, "{name}");
        let markers = counts(pages(&packet, SheetKind::Labels));
        assert!(wires.iter().all(|wire| markers[wire.as_str()] == 2), "{name} {markers:?}");
        let drawn = counts(pages(&packet, SheetKind::Drawing));
        for wire in &wires {
            let is_label =
                |text: &&str| *text == wire.as_str() || text.starts_with(&format!("{wire} "));
            let n: usize = drawn.iter().filter(|(text, _)| is_label(text)).map(|(_, n)| n).sum();
            assert!(n >= 1, "{name} {wire} {drawn:?}");
        }
        // Cavities: 1 to n once in the table of each half, plugged ones included.
        let halves: Vec<u16> = project
            .parts
            .iter()
            .flat_map(|(_, part)| match &part.kind {
                PartKind::Connector(c) => {
                    vec![c.layout.count(); 1 + usize::from(c.second.is_some())]
                }
                PartKind::Controller(c) => vec![c.layout.count()],
                _ => Vec::new(),
            })
            .collect();
        let blocks = tables(&packet, "connector-");
        assert_eq!(blocks.len(), halves.len(), "{name}");
        for (table, n) in blocks.iter().zip(halves) {
            let found: BTreeSet<String> = column(table, "cavity").into_iter().collect();
            assert_eq!(found, (1..=n).map(|c| c.to_string()).collect(), "{name}");
        }
        // States: once in the state table. Steps of the bench test: all on the test sheet, blocked
        // ones too, numbered through, on paper as well (`done-by` has no column of steps).
        let reader = Reader::new(&project);
        let n_states: usize = project
            .sense_pins
            .ids()
            .filter_map(|pin| reader.table(pin))
            .map(|table| table.rows.len())
            .sum();
        let listed: usize = tables(&packet, "states-").iter().map(|table| table.rows.len()).sum();
        let tested: Vec<String> = tables(&packet, "test-")
            .iter()
            .filter(|table| table.columns[0].head == "step")
            .flat_map(|table| column(table, "step"))
            .collect();
        assert_eq!(n_states, listed, "{name}");
        for table in tables(&packet, "states-") {
            let words: BTreeSet<String> = column(table, "controls").into_iter().collect();
            assert_eq!(words.len(), table.rows.len(), "{name}: two states have one name");
        }
        let plan = ohmloom::proving::plan::plan(&project, &|| true).unwrap();
        let numbers: Vec<String> = (1..=plan.steps.len()).map(|n| n.to_string()).collect();
        assert_eq!(tested, numbers, "{name}");
        let on_paper = counts(pages(&packet, SheetKind::Test));
        assert!(tested.iter().all(|step| on_paper[step.as_str()] >= 1), "{name}");
    }
}

/// What the test sheet accepts lies around the nominal reading of the other solver's table.
#[test]
fn limits_of_the_test_sheet_hold_the_nominal_reading() {
    let project = samples::open("sprayer").unwrap();
    let packet = made(&project, &only(&[SheetKind::Test]));
    let reader = Reader::new(&project);
    let pin = project.sense_pins.ids().next().unwrap();
    let rows = reader.table(pin).unwrap().rows;
    let table = tables(&packet, "test-ohms-by-state")[0];
    let read = |text: &str| ohmloom::units::parse_ohm(text.trim_end_matches('Ω').trim()).unwrap();
    let accept = column(table, "accept");
    assert_eq!(rows.len(), accept.len());
    for (row, accept) in rows.iter().zip(accept) {
        let (low, high) = accept.split_once(" to ").unwrap();
        assert!(read(low) < row.ohm.nominal && row.ohm.nominal < read(high), "{accept}");
    }
}

/// The cut sheet says of every piece what the allotment says, and lists what it says to buy.
#[test]
fn the_cut_sheet_agrees_with_the_allotment() {
    use ohmloom::cutting::{allot, shopping_list};
    let mut n_rejected = 0;
    for (name, project) in all_samples() {
        let packet = made(&project, &only(&[SheetKind::Cut]));
        let list = cut_list(&project);
        let allotment = allot(&project, &list, &|| true);
        let rejected: Vec<bool> =
            allotment.pieces.iter().map(|plan| !plan.verdict.is_usable()).collect();
        if let [table] = tables(&packet, "cut-pieces")[..] {
            let said: Vec<bool> =
                column(table, "verdict").iter().map(|v| v.starts_with("rejected: ")).collect();
            assert_eq!(said, rejected, "{name}");
        }
        n_rejected += rejected.iter().filter(|rejected| **rejected).count();
        let shopping = shopping_list(&project, &list, &allotment, &|| true);
        let goods: Vec<String> = shopping.items.into_iter().map(|item| item.name).collect();
        let printed: Vec<String> =
            tables(&packet, "cut-shopping").iter().flat_map(|t| column(t, "goods")).collect();
        assert_eq!(goods, printed, "{name}");
    }
    assert!(n_rejected > 0, "no sample has a piece that is rejected");
}

#[test]
fn every_letter_of_every_sample_can_be_printed() {
    let fonts = Fonts::new();
    for (name, project) in all_samples() {
        let packet = made(&project, &only(&SheetKind::ALL));
        for text in packet.pages.iter().flat_map(|page| &page.items).filter_map(Item::text) {
            let bad = text.text.chars().find(|c| !fonts.has(*c) || *c == '\u{fffd}');
            assert!(bad.is_none(), "{name}: {bad:?} in {:?}", text.text);
        }
    }
}

#[test]
fn black_and_white_has_no_colour_left_and_loses_no_word() {
    let project = samples::open("railcar").unwrap();
    let sheets = [SheetKind::Drawing, SheetKind::Cut, SheetKind::Connectors];
    let mono = made(&project, &Setup { tint: Tint::Mono, ..only(&sheets) });
    for page in paper::read_pdf(&bytes(&mono)) {
        assert!(page.colours.iter().all(|[r, g, b]| r == g && g == b));
    }
    let colour = made(&project, &only(&sheets));
    assert_eq!(counts(&mono.pages), counts(&colour.pages));
    assert!(
        paper::read_pdf(&bytes(&colour)).iter().any(|p| p.colours.iter().any(|c| c[0] != c[1]))
    );
    // Each wire's colour stands in letters beside its swatch.
    let cells = &tables(&mono, "cut-wires")[0].rows;
    let words = counts(pages(&mono, SheetKind::Cut));
    for row in cells {
        let Cell::Wire(colour) = &row[2] else { panic!("{row:?}") };
        let code = colour.base.code();
        assert!(words.keys().any(|text| text.starts_with(code)), "{code}");
    }
}

#[test]
fn cautions_stand_above_what_was_seen_at_the_machine() {
    let mut project = samples::open("forwarder").unwrap();
    let id = project.story.seen.ids().next().unwrap();
    project.story.seen.get_mut(id).unwrap().display = Some(String::new());
    let packet = made(&project, &only(&[SheetKind::Controller]));
    let lines: Vec<&str> = packet
        .pages
        .iter()
        .flat_map(|p| &p.items)
        .filter_map(Item::text)
        .map(|t| &*t.text)
        .collect();
    let at = |start: &str| {
        let found = lines.iter().position(|line| line.starts_with(start));
        found.unwrap_or_else(|| panic!("{start}: {lines:#?}"))
    };
    let seen = at("Seen at the machine");
    assert!(at("Before you try it") < seen && at("This plan replaces neither") < seen);
    assert!(lines[seen..].contains(&"dark"), "{lines:#?}");
}

#[test]
fn a_packet_can_be_stopped() {
    let project = samples::open("railcar").unwrap();
    let setup = only(&SheetKind::ALL);
    assert!(packet(&project, &setup, &|| false).is_none());
    let left = std::cell::Cell::new(12);
    let few = || {
        left.set(left.get() - 1);
        left.get() > 0
    };
    assert!(packet(&project, &setup, &few).is_none());
    assert!(pdf(&made(&project, &only(&[SheetKind::Cut])), &|| false).is_err());
}

/// Nothing outside the page's white edge, no text over another.
fn assert_tidy(name: &str, packet: &Packet, with_overlaps: bool) {
    for (n, page) in packet.pages.iter().enumerate() {
        let edge = 13.0 - 3.0;
        for item in &page.items {
            let rect = item.rect();
            let is_inside = rect.min.x_mm >= edge
                && rect.min.y_mm >= edge
                && rect.max.x_mm <= page.width_mm - edge
                && rect.max.y_mm <= page.height_mm - edge;
            assert!(is_inside, "{name} page {}: {item:?} of {} mm", n + 1, page.width_mm);
        }
        let mut boxes: Vec<(Rect, &str)> = page
            .items
            .iter()
            .filter_map(Item::text)
            .map(|text| (text.rect().grown(-0.25), text.text.as_str()))
            .collect();
        boxes.sort_by(|a, b| a.0.min.y_mm.total_cmp(&b.0.min.y_mm));
        for (i, (a, words)) in boxes.iter().enumerate().filter(|_| with_overlaps) {
            for (b, other) in boxes[i + 1..].iter().take_while(|(b, _)| b.min.y_mm < a.max.y_mm) {
                assert!(!a.touches(*b), "{name} page {}: {words:?} over {other:?}", n + 1);
            }
        }
    }
}

#[test]
fn nothing_of_the_samples_is_cut_off_or_lies_over_something_else() {
    for (name, project) in all_samples() {
        for orientation in [Orientation::Portrait, Orientation::Landscape] {
            for paper in [Paper::A4, Paper::Letter, Paper::A3] {
                let setup = Setup { paper, orientation, ..only(&SheetKind::ALL) };
                assert_tidy(name, &made(&project, &setup), true);
            }
        }
    }
}

/// At the far end of its wire a splice sits at all of the wire but what the far end is given and what
/// rounding adds; at the near end at what that end is given.
#[test]
fn a_splice_is_measured_on_the_cut_wire() {
    use ohmloom::harness::{end_kinds, end_places, wire_lengths};
    let mut n_checked = 0;
    for (name, mut project) in all_samples() {
        project.settings.length_factor = 1.1;
        let taps: Vec<_> = project
            .parts
            .iter()
            .filter_map(|(id, part)| match part.kind {
                PartKind::Splice { on: Some(wire), .. } => Some((id, wire)),
                _ => None,
            })
            .collect();
        let lengths = wire_lengths(&project);
        for (id, wire_id) in taps {
            let Some(Ok(length)) = lengths.get(&wire_id) else { continue };
            let wire = project.wires.get(wire_id).unwrap().clone();
            let allowances = project.settings.allowances;
            let ends = end_kinds(&project, &wire).map(|kind| allowances.of(kind));
            let places = end_places(&project, &wire);
            if length.runs.is_empty() || places[0] == places[1] {
                continue;
            }
            let whole = length.routed_mm * 1.1 * length.take_up + length.allowance_mm;
            for (place, want) in places.into_iter().zip([ends[0], whole - ends[1]]) {
                let mut moved = project.clone();
                let part = moved.parts.get_mut(id).unwrap();
                part.place = place;
                part.kind = PartKind::Splice { on: Some(wire_id), at: None };
                let packet = made(&moved, &only(&[SheetKind::Routing]));
                let table = tables(&packet, "routing-splices")[0];
                let row = column(table, "splice").iter().position(|s| *s == part_name(&moved, id));
                let said = &column(table, "on the cut wire, from its first end")[row.unwrap()];
                assert_eq!(*said, format!("{:.0} mm", want), "{name}");
                n_checked += 1;
            }
        }
    }
    assert!(n_checked >= 2, "{n_checked}");
}

fn part_name(project: &Project, id: ohmloom::model::PartId) -> String {
    project.parts.get(id).unwrap().name.clone()
}
