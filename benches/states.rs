//! Time per state of a chain with many free switches, beside numpy's batched LAPACK solve of the same chain.
//!
//! Run with `cargo bench --bench states`. The peer needs its own Python environment, once:
//! `python3 -m venv benches/peer-env && benches/peer-env/bin/pip install numpy`.

use std::hint::black_box;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

use ohmloom::model::{ContactForm, SensePinId};
use ohmloom::samples;
use ohmloom::sense::Reader;
use ohmloom::testing::{Sketch, at};

/// Numbers of free switches.
const SWITCHES: [usize; 5] = [5, 8, 12, 16, 20];

fn main() {
    // `cargo test --benches` runs this too, without the argument that `cargo bench` gives.
    if !std::env::args().any(|arg| arg == "--bench") {
        return;
    }
    println!(
        "nominal ohms of every state of a chain, median of several runs; prepared from the drawing,"
    );
    println!("at all five corners, once an edit; the ratio counts both");
    println!(
        "{:>8} {:>8} {:>12} {:>12} {:>10} {:>14} {:>10}",
        "switches", "states", "prepare ms", "states ms", "ns/state", "numpy ns/state", "ratio"
    );
    let peer = peer_ns(&SWITCHES);
    for (n, switches) in SWITCHES.into_iter().enumerate() {
        let (sketch, pin) = chain(switches);
        let reader = Reader::new(&sketch.project);
        let states = 1usize << switches;
        let ns = median_ns(|| {
            let mut n_states = 0;
            let found = reader.nominal_ohms_in_blocks(pin, &mut |block| {
                n_states += black_box(block).len();
                true
            });
            found.is_some() && n_states == states
        });
        let prepare_ns = median_ns(|| {
            black_box(Reader::new(&sketch.project));
            true
        });
        let each = (ns + prepare_ns) / states as f64;
        let theirs = peer.as_ref().and_then(|peer| peer.get(n));
        let (peer_text, ratio) = theirs.map_or(("-".into(), "-".into()), |theirs| {
            (format!("{theirs:.0}"), format!("{:.0}", theirs / each))
        });
        println!(
            "{switches:>8} {states:>8} {:>12.3} {:>12.3} {each:>10.1} {peer_text:>14} {ratio:>10}",
            prepare_ns / 1e6,
            ns / 1e6
        );
    }
    if peer.is_none() {
        println!("numpy was not run; make its environment with");
        println!("  python3 -m venv benches/peer-env && benches/peer-env/bin/pip install numpy");
    }
    println!(
        "\nsample projects: circuit prepared, whole table with bounds and decode, one live row"
    );
    for sample in samples::LIST {
        let Some(project) = samples::open(sample.name) else { continue };
        let prepare = median_ns(|| {
            black_box(Reader::new(&project));
            true
        });
        let reader = Reader::new(&project);
        for (id, _) in project.sense_pins.iter() {
            let rows = reader.table(id).map_or(0, |table| table.rows.len());
            let table = median_ns(|| black_box(reader.table(id)).is_some());
            let rest = ohmloom::model::State::rest();
            let row = median_ns(|| black_box(reader.row(id, &rest)).is_some());
            println!(
                "{:<22} {rows:>4} states: prepare {:>7.3} ms, table {:>7.3} ms, row {:>6.1} µs",
                sample.name,
                prepare / 1e6,
                table / 1e6,
                row / 1e3
            );
        }
    }
}

/// Nodes in a row with a resistor between neighbours; from each a resistor and a contact to the reference.
/// `benches/states_peer.py` has the same values.
fn chain(switches: usize) -> (Sketch, SensePinId) {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let reference = at(controller, 1);
    let mut node = at(controller, 0);
    for n in 0..switches {
        let resistor = sketch.resistor(&format!("R{n}"), 1000.0 + 137.0 * n as f64, 0.01);
        let contact = sketch.contact(&format!("S{n}"), ContactForm::NormallyOpen);
        sketch.wire(node, at(resistor, 0));
        sketch.wire(at(resistor, 1), at(contact, 0));
        sketch.wire(at(contact, 1), reference);
        sketch.control(&format!("B{n}"), contact, 2);
        let next = at(sketch.splice(&format!("SP{n}")), 0);
        sketch.resistor_between(&format!("C{n}"), 100.0 + 11.0 * n as f64, node, next);
        node = next;
    }
    sketch.resistor_between("RE", 22_000.0, node, reference);
    let pin = sketch.pin(at(controller, 0), reference);
    (sketch, pin)
}

/// Nanoseconds of one run, the middle one of at least seven and about half a second.
fn median_ns(mut run: impl FnMut() -> bool) -> f64 {
    let mut times = Vec::new();
    let start = Instant::now();
    while times.len() < 7 || (start.elapsed().as_millis() < 500 && times.len() < 2000) {
        let before = Instant::now();
        assert!(run(), "the run gave a wrong number of states");
        times.push(before.elapsed().as_nanos() as f64);
    }
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// The peer's nanoseconds per state, if its environment is there.
fn peer_ns(switches: &[usize]) -> Option<Vec<f64>> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches");
    let python = here.join("peer-env/bin/python");
    if !python.exists() {
        return None;
    }
    let output = Command::new(python)
        .arg(here.join("states_peer.py"))
        .args(switches.iter().map(usize::to_string))
        .env("OMP_NUM_THREADS", "1")
        .env("OPENBLAS_NUM_THREADS", "1")
        .output()
        .ok()?;
    let figures: Vec<f64> = String::from_utf8_lossy(&output.stdout)
        .split_whitespace()
        .filter_map(|word| word.parse().ok())
        .collect();
    (figures.len() == switches.len()).then_some(figures)
}
