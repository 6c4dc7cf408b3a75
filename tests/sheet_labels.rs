//! Markers on the user's own sheets, and connectors at full size: measured back from PDF and SVG.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::collections::BTreeMap;

use ohmloom::cutting::cut_list;
use ohmloom::model::{PartKind, Project};
use ohmloom::samples;
use ohmloom::sheets::{Item, LEAST_PT, LabelSheet, Packet, Setup, SheetKind, packet, pdf, svg};

mod paper;

/// A sheet nobody sells: odd sizes, so that a right place is no accident.
const SHEET: LabelSheet = LabelSheet {
    width_mm: 57.3,
    height_mm: 11.7,
    columns: 3,
    rows: 7,
    left_mm: 9.4,
    top_mm: 13.2,
    gap_x_mm: 3.1,
    gap_y_mm: 2.6,
    used: 4,
};

fn made(project: &Project, setup: &Setup) -> Packet {
    packet(project, setup, &|| true).unwrap()
}

fn labels(sheet: LabelSheet) -> Setup {
    Setup { sheets: vec![SheetKind::Labels], labels: Some(sheet), ..Setup::all_on_a4() }
}

/// Upper left corners and sizes of all closed rectangles of a size, row by row.
fn boxes(paths: &[Vec<(f64, f64)>], (width, height): (f64, f64)) -> Vec<(f64, f64)> {
    let mut found: Vec<(f64, f64)> = paths
        .iter()
        .filter(|path| path.len() >= 4)
        .filter_map(|path| {
            let least = |of: fn(&(f64, f64)) -> f64| path.iter().map(of).fold(f64::MAX, f64::min);
            let most = |of: fn(&(f64, f64)) -> f64| path.iter().map(of).fold(f64::MIN, f64::max);
            let (x, y) = (least(|p| p.0), least(|p| p.1));
            let is_label =
                (most(|p| p.0) - x - width).abs() < 0.1 && (most(|p| p.1) - y - height).abs() < 0.1;
            is_label.then_some((x, y))
        })
        .collect();
    found.sort_by(|a, b| (a.1.round(), a.0).partial_cmp(&(b.1.round(), b.0)).unwrap());
    found
}

#[test]
fn labels_lie_where_the_sheet_has_them_and_nothing_else_is_on_it() {
    for sample in samples::LIST {
        let project = samples::open(sample.name).unwrap();
        let packet = made(&project, &labels(SHEET));
        let n_markers: usize = cut_list(&project).rows.len() * 2
            + project
                .parts
                .iter()
                .filter(|(_, part)| matches!(part.kind, PartKind::Splice { .. }))
                .count();
        let pages = paper::read_pdf(&pdf(&packet, &|| true).unwrap());
        let mut seen = 0;
        for (page, shown) in packet.pages.iter().zip(&pages).skip(1) {
            assert!(page.is_bare);
            let start = if seen == 0 { 4 } else { 0 };
            let found = boxes(&shown.paths, (SHEET.width_mm, SHEET.height_mm));
            for (n, (x, y)) in found.iter().enumerate() {
                // Reckoned by hand from the sizes: row by row, three in a row.
                let (row, column) = ((start + n) / 3, (start + n) % 3);
                let want_x = 9.4 + column as f64 * (57.3 + 3.1);
                let want_y = 13.2 + row as f64 * (11.7 + 2.6);
                assert!((x - want_x).abs() < 0.1 && (y - want_y).abs() < 0.1, "{n}: {x} {y}");
            }
            // The same in the SVG.
            let elements = paper::read_svg(&svg(page, "labels"));
            let in_svg = elements.iter().filter(|e| {
                e.name == "rect"
                    && (e.number("width") - 57.3).abs() < 0.01
                    && (e.number("height") - 11.7).abs() < 0.01
            });
            assert_eq!(in_svg.count(), found.len());
            // Every text lies within a label and nothing is outside of all.
            for text in page.items.iter().filter_map(Item::text) {
                let rect = text.rect();
                let is_inside = found.iter().any(|(x, y)| {
                    rect.min.x_mm >= *x
                        && rect.max.x_mm <= x + 57.3
                        && rect.min.y_mm >= *y
                        && rect.max.y_mm <= y + 11.7
                });
                assert!(is_inside && text.size_pt >= LEAST_PT, "{}: {text:?}", sample.name);
            }
            assert!(!shown.texts.iter().any(|text| text.3.starts_with("page ")));
            seen += found.len();
        }
        assert_eq!(seen, n_markers, "{}", sample.name);
        // Every wire twice, whatever the sheet.
        let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
        for text in packet.pages[1..].iter().flat_map(|page| &page.items).filter_map(Item::text) {
            *counts.entry(&text.text).or_default() += 1;
        }
        for row in cut_list(&project).rows {
            assert_eq!(counts.get(row.name.as_str()), Some(&2), "{} {}", sample.name, row.name);
        }
    }
}

#[test]
fn labels_of_every_size_hold_their_text_or_say_that_it_is_shortened() {
    let project = samples::open("rescue-boat").unwrap();
    for (width_mm, height_mm) in
        [(10.0, 5.0), (25.0, 6.0), (38.0, 20.0), (60.0, 12.0), (90.0, 40.0), (190.0, 5.0)]
    {
        let sheet =
            LabelSheet::fitting((width_mm, height_mm), (210.0, 297.0), (8.0, 8.0), (1.0, 1.0));
        let packet = made(&project, &labels(sheet));
        let has_short = packet.pages[1..]
            .iter()
            .flat_map(|p| &p.items)
            .filter_map(Item::text)
            .any(|t| t.text.ends_with('…'));
        let says = packet.pages[0]
            .items
            .iter()
            .filter_map(Item::text)
            .any(|t| t.text.contains("too long"));
        assert_eq!(has_short, says, "{width_mm} x {height_mm}");
        for page in &packet.pages[1..] {
            let texts: Vec<_> = page.items.iter().filter_map(Item::text).collect();
            for (n, text) in texts.iter().enumerate() {
                let own = text.rect().grown(-0.2);
                assert!(texts[n + 1..].iter().all(|other| !own.touches(other.rect().grown(-0.2))));
            }
        }
    }
}

/// Where a label has no second line the end stands beside the name; where it has no room either, the
/// page before says that the ends cannot be told apart.
#[test]
fn both_markers_of_a_wire_differ_on_low_labels_or_it_is_said_that_they_do_not() {
    let project = samples::open("sprayer").unwrap();
    for (width_mm, is_told) in [(90.0, true), (14.0, false)] {
        let sheet = LabelSheet::fitting((width_mm, 5.0), (210.0, 297.0), (8.0, 8.0), (1.0, 1.0));
        let packet = made(&project, &labels(sheet));
        let texts = |page: usize| packet.pages[page].items.iter().filter_map(Item::text);
        let cover: String = texts(0).map(|text| format!("{} ", text.text)).collect();
        assert!(cover.contains("beside its name"), "{cover}");
        assert_eq!(cover.contains("do not tell the ends apart"), !is_told, "{cover}");
        for row in cut_list(&project).rows {
            for end in [&row.from, &row.to] {
                let stands = (1..packet.pages.len()).flat_map(texts).any(|beside| {
                    let is_end = beside.text.starts_with(&format!("{end} "));
                    let is_level = |name: &ohmloom::sheets::Text| {
                        name.text == row.name
                            && name.at.y_mm == beside.at.y_mm
                            && (0.0..width_mm).contains(&(beside.rect().min.x_mm - name.at.x_mm))
                    };
                    is_end && (1..packet.pages.len()).flat_map(texts).any(is_level)
                });
                assert_eq!(stands, is_told, "{} at {end}", row.name);
            }
        }
    }
}

#[test]
fn a_sheet_that_does_not_fit_is_said_and_plain_paper_is_printed() {
    let project = samples::open("sprayer").unwrap();
    let packet = made(&project, &labels(LabelSheet { columns: 9, ..SHEET }));
    let words: String = packet.pages[0]
        .items
        .iter()
        .filter_map(Item::text)
        .map(|text| format!("{} ", text.text))
        .collect();
    assert!(words.contains("cannot be used") && words.contains("plain paper"), "{words}");
    assert!(packet.pages.iter().all(|page| !page.is_bare));
}

/// Where a maker's pitch is typed the dots stand at it, in both kinds of file.
#[test]
fn connectors_at_full_size_have_the_pitch_of_the_part() {
    let mut project = samples::open("sprayer").unwrap();
    let ids: Vec<_> = project.parts.ids().collect();
    let mut n_cavities = 0;
    for id in ids {
        let part = project.parts.get_mut(id).unwrap();
        if let PartKind::Controller(controller) = &mut part.kind {
            controller.fit.pitch_mm = Some(4.3);
            controller.fit.row_pitch_mm = Some(6.1);
            n_cavities += usize::from(controller.layout.count());
        }
    }
    let setup = Setup { sheets: vec![SheetKind::Connectors], ..Setup::all_on_a4() };
    let packet = made(&project, &setup);
    let shown = paper::read_pdf(&pdf(&packet, &|| true).unwrap());
    let mut n_dots = 0;
    for (page, shown) in packet.pages.iter().zip(&shown) {
        let is_full_size = |text: &str| text.contains("full size: pitch 4.3 mm");
        if !shown.texts.iter().any(|text| is_full_size(&text.3)) {
            continue;
        }
        // Circles come back as their quarter points: all within 2 mm of each other.
        let mut centres: Vec<(f64, f64)> = shown
            .paths
            .iter()
            .filter(|path| path.len() >= 5)
            .filter_map(|path| {
                let n = 4.0;
                let sum = path[1..5].iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
                let centre = (sum.0 / n, sum.1 / n);
                let is_round = path[1..5].iter().all(|p| {
                    let off: f64 = (p.0 - centre.0).hypot(p.1 - centre.1);
                    (off - 4.3 * 0.88 * 0.3).abs() < 0.02
                });
                is_round.then_some(centre)
            })
            .collect();
        let from_svg = paper::read_svg(&svg(page, "x"));
        let in_svg = from_svg
            .iter()
            .filter(|e| e.name == "circle" && (e.number("r") - 4.3 * 0.88 * 0.3).abs() < 0.01);
        assert_eq!(in_svg.count(), centres.len());
        centres.sort_by(|a, b| (a.1.round(), a.0).partial_cmp(&(b.1.round(), b.0)).unwrap());
        for pair in centres.windows(2) {
            let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
            // The next one in its row, the first of the other view, or the first of the next row.
            if dy.abs() < 0.01 && dx < 20.0 {
                assert!((dx - 4.3).abs() < 0.1, "{dx}");
            } else if dy.abs() > 0.01 {
                assert!((dy - 6.1).abs() < 0.1, "{dy}");
            }
        }
        n_dots += centres.len();
    }
    assert_eq!(n_dots, 2 * n_cavities);
}
