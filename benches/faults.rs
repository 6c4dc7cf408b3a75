//! Time for every fault of a sample in every state, beside a fresh reader for each fault.
//!
//! Run with `cargo bench --bench faults`. The peer prepares the whole circuit anew for as many
//! faults and reads its table, which is what a person does who draws each fault by hand.

use std::hint::black_box;
use std::time::Instant;

use ohmloom::samples;
use ohmloom::sense::Reader;
use ohmloom::study::faults::survey;

fn main() {
    // `cargo test --benches` runs this too, without the argument that `cargo bench` gives.
    if !std::env::args().any(|arg| arg == "--bench") {
        return;
    }
    println!("all faults of one pin in all its states, median of several runs");
    println!(
        "{:<22} {:>7} {:>7} {:>10} {:>12} {:>7}",
        "sample", "faults", "states", "ms", "readers ms", "ratio"
    );
    for sample in samples::LIST {
        let Some(project) = samples::open(sample.name) else { continue };
        for pin in project.sense_pins.ids() {
            let Some(found) = survey(&project, pin, &|| true) else { continue };
            let ours = median_ms(|| black_box(survey(&project, pin, &|| true)).is_some());
            let one = median_ms(|| black_box(Reader::new(&project).table(pin)).is_some());
            let theirs = one * found.rows.len() as f64;
            println!(
                "{:<22} {:>7} {:>7} {ours:>10.2} {theirs:>12.2} {:>7.1}",
                sample.name,
                found.rows.len(),
                found.states.len(),
                theirs / ours
            );
        }
    }
}

/// Milliseconds of one run, the middle one of at least seven and about half a second.
fn median_ms(mut run: impl FnMut() -> bool) -> f64 {
    let mut times = Vec::new();
    let start = Instant::now();
    while times.len() < 7 || (start.elapsed().as_millis() < 500 && times.len() < 1000) {
        let before = Instant::now();
        assert!(run(), "the run found nothing");
        times.push(before.elapsed().as_secs_f64() * 1e3);
    }
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}
