//! The packet of projects nobody draws on purpose: nothing outside the page, nothing over another.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use ohmloom::geometry::{Flip, Rect, Turn, point};
use ohmloom::model::{
    BaseColour, Colour, Connector, Contact, ContactForm, Control, ControlKind, End, EndKind,
    Gender, Half, Latch, Mating, Numbering, Part, PartId, PartKind, Place, Position, Project,
    Resistor, Run, SensePin, TerminalRef, Wire, WireSize, WireUse,
};
use ohmloom::model::{CavityFit, CavityLayout, Controller, Laid};
use ohmloom::samples;
use ohmloom::sheets::{Item, LEAST_PT, Orientation, Packet, Paper, Setup, SheetKind, packet, pdf};

mod paper;

fn made(project: &Project, setup: &Setup) -> Packet {
    packet(project, setup, &|| true).unwrap()
}

/// All sheets on every paper; the drawing may hold texts over each other where a hand put them so.
fn check(name: &str, project: &Project) {
    for (paper, orientation) in [
        (Paper::A4, Orientation::Portrait),
        (Paper::Letter, Orientation::Landscape),
        (Paper::A3, Orientation::Portrait),
    ] {
        let setup = Setup { paper, orientation, ..Setup::all_on_a4() };
        let packet = made(project, &setup);
        for (n, page) in packet.pages.iter().enumerate() {
            let kind = packet.bookmarks.iter().rev().find(|mark| mark.page <= n).unwrap().kind;
            for item in &page.items {
                let rect = item.rect();
                let is_inside = rect.min.x_mm >= 10.0
                    && rect.min.y_mm >= 10.0
                    && rect.max.x_mm <= page.width_mm - 10.0
                    && rect.max.y_mm <= page.height_mm - 10.0;
                assert!(is_inside, "{name}, {kind:?}, page {}: {item:?}", n + 1);
                if let Item::Text(text) = item {
                    assert!(text.size_pt >= LEAST_PT);
                }
            }
            if kind != SheetKind::Drawing {
                apart(&format!("{name}, {kind:?}, page {}", n + 1), page);
            }
        }
    }
}

fn apart(name: &str, page: &ohmloom::sheets::Page) {
    let texts = page.items.iter().filter_map(Item::text);
    let mut boxes: Vec<(Rect, &str)> =
        texts.map(|text| (text.rect().grown(-0.25), text.text.as_str())).collect();
    boxes.sort_by(|a, b| a.0.min.y_mm.total_cmp(&b.0.min.y_mm));
    for (i, (a, words)) in boxes.iter().enumerate() {
        for (b, other) in boxes[i + 1..].iter().take_while(|(b, _)| b.min.y_mm < a.max.y_mm) {
            assert!(!a.touches(*b), "{name}: {words:?} over {other:?}");
        }
    }
}

fn part(project: &mut Project, name: &str, kind: PartKind, at: (f64, f64)) -> PartId {
    let id = project.fresh_id();
    let part = Part {
        name: name.into(),
        label: String::new(),
        kind,
        pos: point(at.0, at.1),
        turn: Turn::default(),
        flip: Flip::default(),
        place: None,
    };
    project.parts.put(id, part);
    id
}

fn wire(project: &mut Project, name: &str, ends: [(PartId, u16); 2], usage: WireUse) {
    let id = project.fresh_id();
    let [from, to] =
        ends.map(|(part, terminal)| End { terminal: TerminalRef { part, terminal }, kind: None });
    let wire = Wire {
        name: name.into(),
        circuit: "tap".into(),
        from,
        to,
        bends: Vec::new(),
        size: WireSize::Mm2(0.5),
        colour: Colour { base: BaseColour::Violet, tracer: Some(BaseColour::Black) },
        usage,
        via: Vec::new(),
        typed_length_mm: Some(1234.0),
        make: Box::default(),
    };
    project.wires.put(id, wire);
}

fn half(name: &str, gender: Gender) -> Half {
    Half { name: name.into(), gender, end_kind: EndKind::Sealed }
}

/// Two connectors of many cavities with a wire between each pair.
fn many_wires(n: u16) -> Project {
    let mut project = Project::empty("Many wires");
    let mut ends = Vec::new();
    for (name, x) in [("X1", 0.0), ("X2", 200.0)] {
        let connector = Connector {
            layout: CavityLayout::Grid { rows: 15, columns: n.div_ceil(15) },
            numbering: Numbering::BACKWARD,
            latch: Latch::Left,
            fit: CavityFit::default(),
            first: half(name, Gender::Pins),
            second: None,
            mating: Mating::Mated,
            joint_ohm: None,
            rotating: false,
            cavities: std::collections::BTreeMap::new(),
        };
        ends.push(part(&mut project, name, PartKind::Connector(connector), (x, 0.0)));
    }
    for cavity in 0..n {
        let name = format!("W{}", cavity + 1);
        wire(&mut project, &name, [(ends[0], 2 * cavity), (ends[1], 2 * cavity)], WireUse::Harness);
    }
    project
}

/// A ladder with so many buttons and a selector: more than 200 states.
fn many_states() -> Project {
    let mut project = Project::empty("Many states");
    let controller = Controller {
        plug: half("X1", Gender::Sockets),
        layout: CavityLayout::Ring { around: 7, centre: true },
        numbering: Numbering::FORWARD,
        latch: Latch::Down,
        fit: CavityFit::default(),
        cavities: std::collections::BTreeMap::new(),
    };
    let a1 = part(&mut project, "A1", PartKind::Controller(controller), (200.0, 0.0));
    let ground = part(&mut project, "GND1", PartKind::Ground, (0.0, 0.0));
    for n in 0..8 {
        let y = 20.0 * f64::from(n);
        let contact = Contact { form: ContactForm::NormallyOpen, closed_ohm: None };
        let s = part(&mut project, &format!("S{n}"), PartKind::Contact(contact), (40.0, y));
        let resistor = Resistor {
            ohm: 100.0 * 1.7_f64.powi(n),
            tolerance: 0.01,
            tempco_ppm_per_k: 100.0,
            power_watt: 0.25,
        };
        let r = part(&mut project, &format!("R{n}"), PartKind::Resistor(resistor), (80.0, y));
        wire(&mut project, "", [(ground, 0), (s, 0)], WireUse::Internal);
        wire(&mut project, "", [(s, 1), (r, 0)], WireUse::Internal);
        wire(&mut project, "", [(r, 1), (a1, 2)], WireUse::Internal);
        let id = project.fresh_id();
        let position = |name: &str, throws: &[(PartId, u8)]| Position {
            name: name.into(),
            throws: throws.iter().copied().collect(),
        };
        let control = Control {
            name: format!("Button number {n}"),
            kind: ControlKind::Maintained,
            positions: vec![position("off", &[]), position("on", &[(s, 1)])],
            rest: 0,
            needs: None,
        };
        project.controls.put(id, control);
    }
    let id = project.fresh_id();
    let at = |part, terminal| TerminalRef { part, terminal };
    project.sense_pins.put(id, SensePin::bare("ladder", at(a1, 2), at(ground, 0)));
    project
}

fn renamed(mut project: Project, name: &str) -> Project {
    project.title = name.to_owned();
    let parts: Vec<PartId> = project.parts.ids().collect();
    for id in parts {
        let part = project.parts.get_mut(id).unwrap();
        part.name = name.to_owned();
        part.label = name.to_owned();
        if let PartKind::Connector(connector) = &mut part.kind {
            connector.first.name = name.to_owned();
        }
    }
    let wires: Vec<_> = project.wires.ids().collect();
    for id in wires {
        let wire = project.wires.get_mut(id).unwrap();
        wire.name = name.to_owned();
        wire.circuit = name.to_owned();
    }
    let controls: Vec<_> = project.controls.ids().collect();
    for id in controls {
        let control = project.controls.get_mut(id).unwrap();
        control.name = name.to_owned();
        for position in &mut control.positions {
            position.name = name.to_owned();
        }
    }
    let pins: Vec<_> = project.sense_pins.ids().collect();
    for id in pins {
        let pin = project.sense_pins.get_mut(id).unwrap();
        pin.name = name.to_owned();
        for band in &mut pin.bands {
            band.name = name.to_owned();
        }
    }
    let places: Vec<_> = project.places.ids().collect();
    for id in places {
        project.places.get_mut(id).unwrap().name = name.to_owned();
    }
    let runs: Vec<_> = project.runs.ids().collect();
    for id in runs {
        project.runs.get_mut(id).unwrap().name = name.to_owned();
    }
    project
}

#[test]
fn an_empty_project_prints_and_says_what_is_missing() {
    let project = Project::empty("");
    check("empty", &project);
    let packet = made(&project, &Setup::all_on_a4());
    assert!(packet.blanks.iter().any(|blank| blank.what.contains("sense pin")));
    assert!(packet.blanks.iter().any(|blank| blank.what.contains("date")));
    assert!(pdf(&packet, &|| true).unwrap().starts_with(b"%PDF"));
}

#[test]
fn three_hundred_wires_go_over_pages_and_none_is_lost() {
    let project = many_wires(300);
    check("300 wires", &project);
    let setup = Setup { sheets: vec![SheetKind::Cut], ..Setup::all_on_a4() };
    let packet = made(&project, &setup);
    let shown = paper::read_pdf(&pdf(&packet, &|| true).unwrap());
    for n in 1..=300 {
        let name = format!("W{n}");
        let count = shown.iter().flat_map(|page| &page.texts).filter(|text| text.3 == name).count();
        assert_eq!(count, 1, "{name}");
    }
    let is_wire = |text: &str| text.strip_prefix('W').is_some_and(|n| n.parse::<u16>().is_ok());
    let heads = |page: &&paper::Shown| page.texts.iter().any(|text| text.3 == "wire");
    let n_pages = shown.iter().filter(|page| page.texts.iter().any(|t| is_wire(&t.3))).count();
    assert!(n_pages > 5 && shown.iter().filter(heads).count() >= n_pages);
}

#[test]
fn two_hundred_and_more_states_are_all_printed() {
    let project = many_states();
    check("256 states", &project);
    let setup = Setup { sheets: vec![SheetKind::States], ..Setup::all_on_a4() };
    let packet = made(&project, &setup);
    let table = packet.tables.iter().find(|t| t.name.starts_with("states-")).unwrap();
    assert_eq!(table.table.rows.len(), 256);
}

#[test]
fn long_names_stay_on_the_page() {
    let name = "a very long name that somebody typed without thinking of the paper ".repeat(6);
    for sample in ["forwarder", "cable-ferry"] {
        check(sample, &renamed(samples::open(sample).unwrap(), &name));
        let word = "unbreakable".repeat(20);
        check(sample, &renamed(samples::open(sample).unwrap(), &word));
    }
}

#[test]
fn names_from_right_to_left_are_printed_in_their_letters() {
    let name = "מתג 12 ראשי";
    let project = renamed(samples::open("sprayer").unwrap(), name);
    check("right to left", &project);
    let setup = Setup { sheets: vec![SheetKind::Cut], ..Setup::all_on_a4() };
    let packet = made(&project, &setup);
    let shown = paper::read_pdf(&pdf(&packet, &|| true).unwrap());
    let all: String =
        shown.iter().flat_map(|page| &page.texts).map(|text| text.3.as_str()).collect();
    for letter in name.chars().filter(|c| c.is_alphabetic()) {
        assert!(all.contains(letter), "{letter} is not in the PDF");
    }
    // Read from the right: first word, number, last word; the number keeps its own direction.
    let texts = &shown[0].texts;
    let (x, y, ..) = texts.iter().find(|text| text.3.trim() == "12").unwrap();
    let beside = |words: &str, is_left: bool| {
        texts.iter().any(|text| {
            (text.1 - y).abs() < 0.01
                && (text.0 < *x) == is_left
                && words.chars().all(|letter| text.3.contains(letter))
        })
    };
    assert!(beside("ראשי", true) && beside("מתג", false));
}

#[test]
fn a_harness_of_three_metres_lies_flat_at_full_size() {
    let mut project = Project::empty("Three metres");
    let mut before = None;
    for n in 0..5 {
        let id = project.fresh_id();
        project.places.put(id, Place { name: format!("place {n}"), pos: point(0.0, 0.0) });
        if let Some(from) = before {
            let run = project.fresh_id();
            let name = format!("run {n}");
            project.runs.put(
                run,
                Run { name, from, to: id, length_mm: 750.0, loop_mm: None, laid: Laid::default() },
            );
        }
        before = Some(id);
    }
    check("3 m", &project);
    let setup = Setup { sheets: vec![SheetKind::Board], ..Setup::all_on_a4() };
    let packet = made(&project, &setup);
    // 3000 mm on tiles that each show 174 mm anew: at least 17.
    assert!((18..=24).contains(&packet.pages.len()), "{}", packet.pages.len());
    let shown = paper::read_pdf(&pdf(&packet, &|| true).unwrap());
    let n_ties: usize = shown
        .iter()
        .flat_map(|page| &page.paths)
        .filter(|p| {
            p.len() == 2
                && (p[0].0 - p[1].0).abs() < 0.01
                && ((p[0].1 - p[1].1).abs() - 4.8).abs() < 0.05
        })
        .count();
    // A tie every 100 mm inside each run of 750 mm; some stand in the overlap of two tiles.
    assert!((28..=31).contains(&n_ties), "{n_ties}");
}
