//! The sample machines and ladders of the starter are drawn well: on the grid, nothing on top of
//! anything else, wires tidy.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::collections::BTreeMap;

use ohmloom::drawing::{
    GRID_MM, Mark, ResistorSign, SymbolLook, TextRole, frame_title, part_rect, symbol,
    terminal_pos, wire_label_rect, wire_paths,
};
use ohmloom::geometry::{Point, Rect, point};
use ohmloom::model::{
    Frame, FrameId, PartId, PartKind, Project, Scale, Side, TerminalRef, WireId, cavity_of_terminal,
};
use ohmloom::series::Series;
use ohmloom::study::starter::{self, Device, Join, Known, Wanted, WantedAction};
use ohmloom::units::Tolerant;

const SAMPLES: [(&str, &str); 6] = [
    ("forwarder", include_str!("../sample-projects/forwarder.ohmloom")),
    ("sprayer", include_str!("../sample-projects/sprayer.ohmloom")),
    ("rescue-boat", include_str!("../sample-projects/rescue-boat.ohmloom")),
    ("railcar", include_str!("../sample-projects/railcar.ohmloom")),
    ("railcar-first-attempt", include_str!("../sample-projects/railcar-first-attempt.ohmloom")),
    ("cable-ferry", include_str!("../sample-projects/cable-ferry.ohmloom")),
];

fn samples() -> impl Iterator<Item = (&'static str, Project)> {
    let files = SAMPLES.into_iter().map(|(name, text)| {
        (name, ohmloom::store::read(text.as_bytes()).unwrap_or_else(|e| panic!("{name}: {e}")))
    });
    files.chain(
        LADDERS
            .into_iter()
            .map(|(name, actions, stations)| (name, ladder(name, actions, stations))),
    )
}

/// Name, actions, stations.
type Ladder = (&'static str, &'static [(&'static str, &'static str)], &'static [&'static str]);

/// Ladders as the starter draws them: actions with the devices of their stations as letters
/// (`b` button, `l` lever, `t` toggle, `-` none), and the names of the stations.
const LADDERS: [Ladder; 5] = [
    ("one button, chain", &[("HORN", "b")], &[""]),
    ("two actions, side by side", &[("UP", "l"), ("DOWN", "l")], &["lever box"]),
    (
        "three actions at two stations, chain",
        &[("UP", "lb"), ("DOWN", "lb"), ("HOLD", "t-")],
        &["column", "steering wheel rim"],
    ),
    (
        "gaps at three stations, side by side",
        &[("HOME", "bbb"), ("LEFT", "-b-"), ("RIGHT", "b-b")],
        &["helm", "mast", "stern"],
    ),
    (
        "five actions, chain, no end",
        &[("A", "b"), ("B", "b"), ("C", "t"), ("D", "b"), ("E", "b")],
        &[""],
    ),
];

fn ladder(name: &str, actions: &[(&str, &str)], stations: &[&str]) -> Project {
    let device = |letter: char| match letter {
        'b' => Some(Device::Button),
        'l' => Some(Device::Lever),
        't' => Some(Device::Toggle),
        _ => None,
    };
    let tolerant = |nominal| Some(Tolerant { nominal, tolerance: 0.01 });
    let wanted = Wanted {
        actions: actions
            .iter()
            .map(|(name, devices)| WantedAction {
                name: (*name).into(),
                devices: devices.chars().map(device).collect(),
            })
            .collect(),
        idle: "idle".into(),
        stations: stations.iter().map(|name| (*name).into()).collect(),
        join: if name.contains("chain") { Join::Chain } else { Join::SideBySide },
        known: Known {
            side: Side::Ground,
            pull_ohm: tolerant(1000.0),
            reference_volt: tolerant(5.0),
            scale: Scale::Volt,
            max_count: None,
            bands: Vec::new(),
        },
        has_end: !name.contains("no end"),
        series: Series::E96,
        tolerance: 0.01,
    };
    let mut project = Project::empty(name);
    let plan = starter::plan(&wanted, &project.settings).unwrap();
    let drawn = starter::draw(&project, &wanted, &plan).unwrap();
    ohmloom::edit::apply(&mut project, drawn.edit).unwrap();
    project
}

/// Everything on a sheet that takes room, by name.
struct Sheet {
    project: Project,
    paths: BTreeMap<WireId, Vec<Point>>,
    /// Words with the part they belong to.
    words: Vec<(Option<PartId>, String, Rect)>,
    /// Sleeves with the wire they belong to.
    sleeves: Vec<(WireId, String, Rect)>,
}

fn sheet(project: Project) -> Sheet {
    let paths = wire_paths(&project);
    let mut words = Vec::new();
    for (_, frame) in project.frames.iter() {
        words.push((None, frame.name.clone(), frame_title(frame).rect()));
    }
    for (id, part) in project.parts.iter() {
        for mark in symbol(part, &SymbolLook::at_rest(ResistorSign::Iec)) {
            if let Mark::Text { text, role, .. } = &mark
                && *role != TextRole::Cavity
            {
                words.push((Some(id), text.clone(), mark.rect()));
            }
        }
    }
    let sleeves = project
        .wires
        .iter()
        .filter(|(_, wire)| !wire.name.is_empty())
        .map(|(id, wire)| (id, wire.name.clone(), wire_label_rect(&paths[&id], &wire.name)))
        .collect();
    Sheet { project, paths, words, sleeves }
}

/// Whether two rectangles share more than an edge.
fn overlap(a: Rect, b: Rect) -> bool {
    a.grown(-0.05).touches(b.grown(-0.05))
}

fn stretches(path: &[Point]) -> impl Iterator<Item = Rect> {
    path.windows(2).map(|pair| Rect::spanning(pair[0], pair[1]))
}

#[test]
fn parts_corners_and_frames_stand_on_the_grid() {
    for (name, project) in samples() {
        let on_grid = |p: Point, what: &str| assert_eq!(p, p.snapped(GRID_MM), "{name}: {what}");
        for (_, part) in project.parts.iter() {
            on_grid(part.pos, &part.name);
            for terminal in (0..part.kind.terminal_count()).filter(|t| part.kind.has_terminal(*t)) {
                on_grid(terminal_pos(part, terminal), &part.terminal_name(terminal));
            }
        }
        for (_, wire) in project.wires.iter() {
            for bend in &wire.bends {
                on_grid(*bend, &wire.name);
            }
        }
        for (_, frame) in project.frames.iter() {
            on_grid(frame.rect.min, &frame.name);
            on_grid(frame.rect.max, &frame.name);
        }
    }
}

#[test]
fn no_part_covers_another_and_every_part_is_inside_or_outside_of_a_frame() {
    for (name, project) in samples() {
        let parts: Vec<_> = project.parts.iter().collect();
        for (n, (_, a)) in parts.iter().enumerate() {
            for (_, b) in &parts[..n] {
                let both = (&a.name, &b.name);
                assert!(!overlap(part_rect(a), part_rect(b)), "{name}: {both:?}");
            }
            for (_, frame) in project.frames.iter() {
                let rect = part_rect(a);
                let inside = frame.rect.union(rect) == frame.rect;
                assert!(inside || !overlap(frame.rect, rect), "{name}: {} {}", a.name, frame.name);
            }
        }
        let frames: Vec<(FrameId, &Frame)> = project.frames.iter().collect();
        for (n, (_, a)) in frames.iter().enumerate() {
            for (_, b) in &frames[..n] {
                assert!(!overlap(a.rect, b.rect), "{name}: {} {}", a.name, b.name);
            }
        }
    }
}

#[test]
fn words_stand_clear_of_each_other_of_parts_and_of_wires() {
    for (name, project) in samples() {
        let sheet = sheet(project);
        for (n, (owner, text, rect)) in sheet.words.iter().enumerate() {
            for (_, other, other_rect) in &sheet.words[..n] {
                assert!(!overlap(*rect, *other_rect), "{name}: {text} on {other}");
            }
            for (id, part) in sheet.project.parts.iter() {
                if Some(id) != *owner {
                    assert!(!overlap(*rect, part_rect(part)), "{name}: {text} on {}", part.name);
                }
            }
            for (id, path) in &sheet.paths {
                let wire = &sheet.project.wires.get(*id).unwrap().circuit;
                for stretch in stretches(path) {
                    assert!(!stretch.touches(rect.grown(-0.05)), "{name}: {text} on {wire}");
                }
            }
            for (_, frame) in sheet.project.frames.iter() {
                let (inside, outside) =
                    (frame.rect.union(*rect) == frame.rect, !overlap(frame.rect, *rect));
                assert!(inside || outside, "{name}: {text} on the edge of {}", frame.name);
            }
        }
    }
}

#[test]
fn sleeves_with_wire_names_cover_nothing_but_their_own_wire() {
    for (name, project) in samples() {
        let sheet = sheet(project);
        for (n, (wire, text, rect)) in sheet.sleeves.iter().enumerate() {
            for (_, other, other_rect) in &sheet.sleeves[..n] {
                assert!(!overlap(*rect, *other_rect), "{name}: sleeves {text} and {other}");
            }
            for (_, words, words_rect) in &sheet.words {
                assert!(!overlap(*rect, *words_rect), "{name}: sleeve {text} on {words}");
            }
            for (_, part) in sheet.project.parts.iter() {
                assert!(!overlap(*rect, part_rect(part)), "{name}: sleeve {text} on {}", part.name);
            }
            for (id, path) in sheet.paths.iter().filter(|(id, _)| *id != wire) {
                let other = &sheet.project.wires.get(*id).unwrap().name;
                for stretch in stretches(path) {
                    assert!(!stretch.touches(*rect), "{name}: sleeve {text} on wire {other}");
                }
            }
        }
    }
}

#[test]
fn wires_run_in_right_angles_from_terminal_to_terminal_and_through_no_symbol() {
    for (name, project) in samples() {
        let paths = wire_paths(&project);
        for (id, wire) in project.wires.iter() {
            let what = format!("{name}: wire {} {}", wire.name, wire.circuit);
            let path = &paths[&id];
            let at =
                |end: TerminalRef| terminal_pos(project.parts.get(end.part).unwrap(), end.terminal);
            assert_eq!(path.first(), Some(&at(wire.from.terminal)), "{what}");
            assert_eq!(path.last(), Some(&at(wire.to.terminal)), "{what}");
            for stretch in stretches(path) {
                assert!((stretch.width() == 0.0) != (stretch.height() == 0.0), "{what}");
            }
            for (_, part) in project.parts.iter() {
                if matches!(part.kind, PartKind::Splice { .. }) {
                    continue;
                }
                for stretch in stretches(path) {
                    let inner = part_rect(part).grown(-0.3);
                    assert!(!stretch.touches(inner), "{what} runs through {}", part.name);
                }
            }
        }
    }
}

/// Joins what is joined whatever the contacts do: wires, splices, plugged connectors, ground.
fn nets(project: &Project) -> BTreeMap<TerminalRef, usize> {
    let mut net: BTreeMap<TerminalRef, usize> = BTreeMap::new();
    for (part, row) in project.parts.iter() {
        for terminal in 0..row.kind.terminal_count() {
            let number = net.len();
            net.insert(TerminalRef { part, terminal }, number);
        }
    }
    let mut joins: Vec<(TerminalRef, TerminalRef)> =
        project.wires.iter().map(|(_, wire)| (wire.from.terminal, wire.to.terminal)).collect();
    for (part, row) in project.parts.iter() {
        match &row.kind {
            PartKind::Splice { on: Some(wire), .. } => {
                let wire = project.wires.get(*wire).unwrap();
                joins.push((TerminalRef { part, terminal: 0 }, wire.from.terminal));
            }
            PartKind::Connector(connector) => {
                for cavity in 0..connector.layout.count() {
                    let (first, second) = (2 * cavity, 2 * cavity + 1);
                    assert_eq!(cavity_of_terminal(second).0, cavity + 1);
                    let at = |terminal| TerminalRef { part, terminal };
                    joins.push((at(first), at(second)));
                }
            }
            _ => {}
        }
    }
    for (a, b) in joins {
        let (from, to) = (net[&a], net[&b]);
        net.values_mut().filter(|n| **n == from).for_each(|n| *n = to);
    }
    net
}

#[test]
fn wires_of_different_nets_cross_at_right_angles_only() {
    for (name, project) in samples() {
        let (paths, nets) = (wire_paths(&project), nets(&project));
        let rows: Vec<_> = project.wires.iter().collect();
        for (n, (a_id, a)) in rows.iter().enumerate() {
            for (b_id, b) in &rows[..n] {
                if nets[&a.from.terminal] == nets[&b.from.terminal] {
                    continue;
                }
                for s in stretches(&paths[a_id]) {
                    for t in stretches(&paths[b_id]) {
                        let crossing = (s.width() == 0.0) != (t.width() == 0.0);
                        let both = (&a.circuit, &b.circuit);
                        assert!(crossing || !s.touches(t), "{name}: {both:?} run on each other");
                    }
                }
                for corner in &paths[a_id] {
                    let on = stretches(&paths[b_id]).any(|stretch| stretch.contains(*corner));
                    assert!(!on, "{name}: {} turns on {}", a.circuit, b.circuit);
                }
            }
        }
    }
}

#[test]
fn the_sheet_reads_from_left_to_right_and_fits_a_screen() {
    for (name, project) in samples() {
        let rects: Vec<(bool, Rect)> = project
            .parts
            .iter()
            .map(|(_, part)| (matches!(part.kind, PartKind::Controller(_)), part_rect(part)))
            .collect();
        let all = rects.iter().map(|(_, rect)| *rect).reduce(Rect::union).unwrap();
        assert!(all.width() <= 300.0 && all.height() <= 180.0, "{name}: {all:?}");
        let controller = rects.iter().find(|(is, _)| *is).unwrap().1;
        for (_, rect) in rects.iter().filter(|(is, _)| !is) {
            assert!(rect.max.x_mm < controller.min.x_mm, "{name}");
        }
        assert!(all.grown(1.0).contains(point(all.min.x_mm, all.min.y_mm)));
    }
}
