//! Time for the whole packet of each sample, and of a machine with many wires, down to PDF bytes.
//!
//! Run with `cargo bench --bench packet`. The goal: the largest sample under a second. Beside it
//! stands the share of the pages alone, so that one sees what the PDF costs.

use std::hint::black_box;
use std::time::Instant;

use ohmloom::samples;
use ohmloom::sheets::{Setup, SheetKind, packet, pdf};

fn main() {
    // `cargo test --benches` runs this too, without the argument that `cargo bench` gives.
    if !std::env::args().any(|arg| arg == "--bench") {
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
