//! The harness of a large machine: opened, routed, listed and bundled, beside networkx and scipy.
//!
//! Run with `cargo bench --bench route`. The peers need their own Python environment, once:
//! `python3 -m venv benches/peer-env && benches/peer-env/bin/pip install networkx scipy`.

use std::collections::BTreeMap;
use std::hint::black_box;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

use ohmloom::cutting::cut_list;
use ohmloom::geometry::{Flip, Turn, point};
use ohmloom::harness::{run_reports, wire_lengths};
use ohmloom::model::{
    Colour, Covering, CoveringKind, End, Grommet, Hole, Insulation, Laid, Part, PartId, PartKind,
    Place, PlaceId, Project, Run, RunId, TerminalRef, Wire, WireId, WireSize, WireUse, Zone,
};
use ohmloom::random::Random;
use ohmloom::sense::HarnessReport;
use ohmloom::store;

/// A square of places, 45 by 45, with runs between neighbours.
const SIDE: u32 = 45;
const N_WIRES: usize = 20_000;
const SIZES_MM2: [f64; 4] = [0.5, 0.75, 1.0, 2.5];

fn main() {
    // `cargo test --benches` runs this too; it must not take long there.
    if std::env::args().any(|arg| arg == "--test") {
        return;
    }
    let (project, edges, pairs) = machine();
    let text = store::write(&project);
    println!(
        "{N_WIRES} wires, {} places, {} runs, {:.1} MB; median of 5",
        project.places.len(),
        project.runs.len(),
        text.len() as f64 / 1e6
    );
    let open = median_ms(|| {
        black_box(store::read(black_box(text.as_bytes())).expect("it was written just now"));
    });
    println!("  open              {open:>9.1} ms");
    let route = median_ms(|| {
        black_box(wire_lengths(black_box(&project)));
    });
    println!("  route             {route:>9.1} ms");
    let list = median_ms(|| {
        black_box(cut_list(black_box(&project)));
    });
    println!("  route and list    {list:>9.1} ms");
    let lengths = wire_lengths(&project);
    let bundle = median_ms(|| {
        black_box(run_reports(black_box(&project), &lengths));
    });
    println!("  bundle            {bundle:>9.1} ms");
    let all = median_ms(|| {
        black_box(HarnessReport::with_currents(black_box(&project), &BTreeMap::new()));
    });
    println!("  route, bundle, size, feed {all:>9.1} ms");
    println!("  open, list, bundle {:>8.1} ms (goal: below 1000 ms)", open + list + bundle);
    let sum_mm: f64 = lengths.values().flatten().map(|length| length.routed_mm).sum();
    let reports = run_reports(&project, &lengths);
    let widest = reports.values().filter_map(|run| run.outside_mm).fold(0.0, f64::max);
    println!("  widest run: {widest:.1} mm with its tube");
    match peer(&edges, &pairs) {
        Some(lines) => {
            for (name, ms, peer_sum_mm) in lines {
                assert!((peer_sum_mm / sum_mm - 1.0).abs() < 1e-9, "{peer_sum_mm} is not {sum_mm}");
                let times = ms / (route + bundle);
                println!(
                    "  {name:<9} routes and bundles {ms:>9.1} ms, {times:.1} times as long, same sum"
                );
            }
        }
        None => println!("the peers were not run; the head of this file says how to get them"),
    }
}

type Edge = (u32, u32, f64);

fn machine() -> (Project, Vec<Edge>, Vec<(u32, u32, f64)>) {
    let mut draw = Random::new(2_000);
    let mut project = Project::empty("large machine");
    project.settings.wiring.insulation = Some(Insulation::ThinWall);
    let n_places = SIDE * SIDE;
    for n in 0..n_places {
        project.places.put(PlaceId(n + 1), Place { name: format!("P{n}"), pos: point(0.0, 0.0) });
        let part = Part {
            name: format!("TP{n}"),
            label: String::new(),
            kind: PartKind::TestPoint,
            pos: point(0.0, 0.0),
            turn: Turn::default(),
            flip: Flip::default(),
            place: Some(PlaceId(n + 1)),
        };
        project.parts.put(PartId(10_000 + n), part);
    }
    let mut edges = Vec::new();
    for n in 0..n_places {
        let mut join = |other: u32| {
            edges.push((n, other, (draw.between(100.0, 900.0) * 10.0).round() / 10.0));
        };
        if n % SIDE + 1 < SIDE {
            join(n + 1);
        }
        if n + SIDE < n_places {
            join(n + SIDE);
        }
    }
    for (n, &(from, to, length_mm)) in edges.iter().enumerate() {
        let (from, to) = (PlaceId(from + 1), PlaceId(to + 1));
        let run = Run { name: format!("R{n}"), from, to, length_mm, loop_mm: None, laid: laid(n) };
        project.runs.put(RunId(20_000 + n as u32), run);
    }
    let mut pairs = Vec::new();
    while pairs.len() < N_WIRES {
        let (a, b) = (draw.below(n_places as usize) as u32, draw.below(n_places as usize) as u32);
        if a != b {
            pairs.push((a, b, draw.pick(&SIZES_MM2)));
        }
    }
    for (n, &(a, b, mm2)) in pairs.iter().enumerate() {
        let end = |n: u32| End {
            terminal: TerminalRef { part: PartId(10_000 + n), terminal: 0 },
            kind: None,
        };
        let wire = Wire {
            name: format!("W{n}"),
            circuit: String::new(),
            from: end(a),
            to: end(b),
            bends: Vec::new(),
            size: WireSize::Mm2(mm2),
            colour: Colour::from_text("red").expect("red is a colour"),
            usage: WireUse::Harness,
            via: Vec::new(),
            typed_length_mm: None,
            make: Default::default(),
        };
        project.wires.put(WireId(50_000 + n as u32), wire);
    }
    project.next_id = 100_000;
    (project, edges, pairs)
}

/// Every tenth run passes a hole, every third lies in a tube.
fn laid(n: usize) -> Laid {
    Laid {
        zones: if n.is_multiple_of(7) { [Zone::Wet].into() } else { Default::default() },
        hole: n.is_multiple_of(10).then_some(Hole { bore_mm: 60.0, grommet: Grommet::Fitted }),
        covering: n.is_multiple_of(3).then(|| Covering {
            kind: CoveringKind::Tube,
            thickness_mm: Some(1.0),
            words: String::new(),
        }),
        support_mm: None,
    }
}

fn median_ms(mut run: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..5)
        .map(|_| {
            let began = Instant::now();
            run();
            began.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[2]
}

/// Name, milliseconds and sum of lengths of each peer, where their environment is there.
fn peer(edges: &[Edge], pairs: &[(u32, u32, f64)]) -> Option<Vec<(String, f64, f64)>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches");
    let python = folder.join("peer-env/bin/python");
    if !python.exists() {
        return None;
    }
    let file = tempfile::NamedTempFile::new().ok()?;
    let text = serde_json::to_string(&(edges, pairs)).ok()?;
    std::fs::write(file.path(), text).ok()?;
    let output =
        Command::new(python).arg(folder.join("route_peer.py")).arg(file.path()).output().ok()?;
    let text = String::from_utf8(output.stdout).ok()?;
    text.lines()
        .map(|line| {
            let mut words = line.split_whitespace();
            let name = words.next()?.to_owned();
            Some((name, words.next()?.parse().ok()?, words.next()?.parse().ok()?))
        })
        .collect()
}
