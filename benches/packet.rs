//! Time for the whole packet of each sample, and of a machine with many wires, down to PDF bytes.
//!
//! Run with `cargo bench --bench packet`. The goal: the largest sample under a second. Beside it
//! stands the share of the pages alone, so that one sees what the PDF costs. `-- machine` runs the
//! large machine alone; what it tells of a sheet is the longest a worker takes to hear that it should stop.

use std::cell::{Cell, RefCell};
use std::hint::black_box;
use std::time::Instant;

use ohmloom::geometry::{Flip, Turn, point};
use ohmloom::model::{
    Colour, End, Part, PartId, PartKind, Place, PlaceId, Project, Run, RunId, TerminalRef, Wire,
    WireId, WireSize, WireUse,
};
use ohmloom::random::Random;
use ohmloom::samples;
use ohmloom::sheets::{Making, Setup, SheetKind, packet, packet_told, pdf};

fn main() {
    // `cargo test --benches` runs this too, without the argument that `cargo bench` gives.
    if !std::env::args().any(|arg| arg == "--bench") {
        return;
    }
    machine();
    if std::env::args().any(|arg| arg == "machine") {
        return;
    }
    println!("all sheets of a sample, and all but the build board; median of several runs");
    println!(
        "{:<22} {:>6} {:>10} {:>10} {:>10} {:>8}",
        "sample", "pages", "pages ms", "PDF ms", "no board", "kB"
    );
    for sample in samples::LIST {
        let Some(project) = samples::open(sample.name) else { continue };
        let setup = Setup { date: "2026-05-01".into(), ..Setup::all_on_a4() };
        let Some(made) = packet(&project, &setup, &|| true) else { continue };
        let Ok(bytes) = pdf(&made, &|| true) else { continue };
        let pages = median_ms(|| black_box(packet(&project, &setup, &|| true)).is_some());
        let file = median_ms(|| black_box(pdf(&made, &|| true)).is_ok());
        let mut few = setup.clone();
        few.sheets.retain(|kind| *kind != SheetKind::Board);
        let small = median_ms(|| {
            packet(&project, &few, &|| true).is_some_and(|made| pdf(&made, &|| true).is_ok())
        });
        println!(
            "{:<22} {:>6} {pages:>10.1} {file:>10.1} {small:>10.1} {:>8}",
            sample.name,
            made.pages.len(),
            bytes.len() / 1000
        );
    }
}

/// Milliseconds of one run, the middle one of at least five and about half a second.
fn median_ms(mut run: impl FnMut() -> bool) -> f64 {
    let mut times = Vec::new();
    let start = Instant::now();
    while times.len() < 5 || (start.elapsed().as_millis() < 500 && times.len() < 1000) {
        let before = Instant::now();
        assert!(run(), "the run made nothing");
        times.push(before.elapsed().as_secs_f64() * 1e3);
    }
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

const N_WIRES: u32 = 20_000;
const SIDE: u32 = 40;

/// Every sheet of a machine of 20,000 wires: milliseconds of each, and the longest stretch in which
/// nobody asks whether it should go on.
fn machine() {
    let project = large();
    println!("{N_WIRES} wires; the longest stretch is what stopping takes");
    println!("{:<22} {:>10} {:>10} {:>8}", "sheet", "ms", "longest ms", "pages");
    for kind in SheetKind::ALL {
        let setup = Setup { sheets: vec![kind], ..Setup::all_on_a4() };
        let (asked, longest) = (Cell::new(Instant::now()), Cell::new(0.0_f64));
        let keep_going = || {
            longest.set(longest.get().max(asked.get().elapsed().as_secs_f64() * 1e3));
            asked.set(Instant::now());
            true
        };
        let steps: RefCell<Vec<Making>> = RefCell::default();
        let before = Instant::now();
        let tell = |making| steps.borrow_mut().push(making);
        let Some(made) = packet_told(&project, &setup, &keep_going, &tell) else { continue };
        let ms = before.elapsed().as_secs_f64() * 1e3;
        let n_pages = made.pages.len();
        println!("{:<22} {ms:>10.1} {:>10.1} {n_pages:>8}", kind.word(), longest.get());
        if kind == SheetKind::Cut {
            let before = Instant::now();
            assert!(pdf(&made, &|| true).is_ok());
            println!("{:<22} {:>10.1}", "cut as PDF", before.elapsed().as_secs_f64() * 1e3);
        }
    }
}

/// Wires between test points on a square of places.
fn large() -> Project {
    let mut draw = Random::new(20_000);
    let mut project = Project::empty("large harness");
    let n_places = SIDE * SIDE;
    for n in 0..n_places {
        project.places.put(PlaceId(n), Place { name: format!("P{n}"), pos: point(0.0, 0.0) });
        let pos = point(f64::from(n % SIDE) * 40.0, f64::from(n / SIDE) * 40.0);
        let part = Part {
            name: format!("TP{n}"),
            label: String::new(),
            kind: PartKind::TestPoint,
            pos,
            turn: Turn::default(),
            flip: Flip::default(),
            place: Some(PlaceId(n)),
        };
        project.parts.put(PartId(10_000 + n), part);
    }
    let mut n_runs = 0;
    let mut join = |project: &mut Project, from: u32, to: u32| {
        let run = Run {
            name: format!("R{n_runs}"),
            from: PlaceId(from),
            to: PlaceId(to),
            length_mm: draw.between(100.0, 900.0).round(),
            loop_mm: None,
            laid: Default::default(),
        };
        project.runs.put(RunId(20_000 + n_runs), run);
        n_runs += 1;
    };
    for n in 0..n_places {
        if n % SIDE + 1 < SIDE {
            join(&mut project, n, n + 1);
        }
        if n + SIDE < n_places {
            join(&mut project, n, n + SIDE);
        }
    }
    for n in 0..N_WIRES {
        let end = |n: u32| End {
            terminal: TerminalRef { part: PartId(10_000 + n), terminal: 0 },
            kind: None,
        };
        let from = draw.below(n_places as usize) as u32;
        let to = (from + 1 + draw.below(n_places as usize - 1) as u32) % n_places;
        let wire = Wire {
            name: format!("W{n}"),
            circuit: String::new(),
            from: end(from),
            to: end(to),
            bends: Vec::new(),
            size: WireSize::Mm2(0.5),
            colour: Colour::from_text("red").expect("red is a colour"),
            usage: WireUse::Harness,
            via: Vec::new(),
            typed_length_mm: None,
            make: Default::default(),
        };
        project.wires.put(WireId(50_000 + n), wire);
    }
    project.next_id = 100_000;
    project
}
