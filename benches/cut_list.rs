//! Routes and the cut list of a large harness, beside networkx on the same graph.
//!
//! Run with `cargo bench --bench cut_list`. The peer needs its own Python environment, once:
//! `python3 -m venv benches/peer-env && benches/peer-env/bin/pip install networkx`.

use std::hint::black_box;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

use ohmloom::check;
use ohmloom::cutting::cut_list;
use ohmloom::geometry::{Flip, Turn, point};
use ohmloom::model::{
    Colour, End, Part, PartId, PartKind, Place, PlaceId, Project, Run, RunId, TerminalRef, Wire,
    WireId, WireSize, WireUse,
};
use ohmloom::random::Random;

/// A square of places, 45 by 45, with runs between neighbours.
const SIDE: u32 = 45;
const N_WIRES: usize = 20_000;

fn main() {
    // `cargo test --benches` runs this too; it must not take long there.
    if std::env::args().any(|arg| arg == "--test") {
        return;
    }
    let (project, edges, pairs) = harness();
    let n_places = project.places.len();
    println!("{N_WIRES} wires, {n_places} places, {} runs; median of 5", project.runs.len());
    let ours = median_ms(|| {
        let list = cut_list(black_box(&project));
        assert!(list.findings.is_empty() && list.rows.len() == N_WIRES);
    });
    println!("  cut list          {ours:>9.1} ms");
    let findings = median_ms(|| {
        black_box(check::findings(black_box(&project)));
    });
    println!("  all findings      {findings:>9.1} ms");
    let sum_mm: f64 = cut_list(&project).rows.iter().filter_map(|row| row.routed_mm).sum();
    match peer(&edges, &pairs) {
        Some((ms, peer_sum_mm)) => {
            assert!((peer_sum_mm / sum_mm - 1.0).abs() < 1e-9, "{peer_sum_mm} is not {sum_mm}");
            println!("  networkx routes   {ms:>9.1} ms, {:.0} times as long, same sum", ms / ours);
        }
        None => {
            println!("networkx was not run; make its environment with");
            println!(
                "  python3 -m venv benches/peer-env && benches/peer-env/bin/pip install networkx"
            );
        }
    }
}

type Edge = (u32, u32, f64);

fn harness() -> (Project, Vec<Edge>, Vec<(u32, u32)>) {
    let mut draw = Random::new(20_000);
    let mut project = Project::empty("large harness");
    let n_places = SIDE * SIDE;
    for n in 0..n_places {
        project.places.put(PlaceId(n), Place { name: format!("P{n}"), pos: point(0.0, 0.0) });
        let part = Part {
            name: format!("TP{n}"),
            label: String::new(),
            kind: PartKind::TestPoint,
            pos: point(0.0, 0.0),
            turn: Turn::default(),
            flip: Flip::default(),
            place: Some(PlaceId(n)),
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
        let (from, to) = (PlaceId(from), PlaceId(to));
        let run = Run {
            name: format!("R{n}"),
            from,
            to,
            length_mm,
            loop_mm: None,
            laid: Default::default(),
        };
        project.runs.put(RunId(20_000 + n as u32), run);
    }
    let mut pairs = Vec::new();
    while pairs.len() < N_WIRES {
        let (a, b) = (draw.below(n_places as usize) as u32, draw.below(n_places as usize) as u32);
        if a != b {
            pairs.push((a, b));
        }
    }
    for (n, &(a, b)) in pairs.iter().enumerate() {
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
            size: WireSize::Mm2(0.5),
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

/// Milliseconds and sum of lengths of networkx, where its environment is there.
fn peer(edges: &[Edge], pairs: &[(u32, u32)]) -> Option<(f64, f64)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches");
    let python = folder.join("peer-env/bin/python");
    if !python.exists() {
        return None;
    }
    let file = tempfile::NamedTempFile::new().ok()?;
    let text = serde_json::to_string(&(edges, pairs)).ok()?;
    std::fs::write(file.path(), text).ok()?;
    let output =
        Command::new(python).arg(folder.join("cut_list_peer.py")).arg(file.path()).output().ok()?;
    let text = String::from_utf8(output.stdout).ok()?;
    let (ms, sum_mm) = text.trim().split_once(' ')?;
    Some((ms.parse().ok()?, sum_mm.parse().ok()?))
}
