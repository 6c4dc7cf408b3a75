//! Time to load and decode a log of a million rows, beside the `csv` crate with `str::parse`.
//!
//! Run with `cargo bench --bench replay`. The goal: a million rows loaded in under a second. The peer
//! cuts the same text with the `csv` crate and parses time and reading with the standard library; it
//! keeps no lines, no text and no reasons, so it does less.

use std::fmt::Write;
use std::hint::black_box;
use std::time::Instant;

use ohmloom::proving::replay::{Log, Points, load, outline, propose, replay};
use ohmloom::random::Random;
use ohmloom::samples;

const ROWS: usize = 1_000_000;

fn main() {
    // `cargo test --benches` runs this too, without the argument that `cargo bench` gives.
    if !std::env::args().any(|arg| arg == "--bench") {
        return;
    }
    let project = samples::open("sprayer").expect("the sample is there");
    let (id, pin) = project.sense_pins.iter().next().expect("it has a pin");
    println!("{ROWS} rows; median of several runs");
    for (name, text) in [("time and volts", text(false)), ("with supply and state", text(true))] {
        let bytes = text.as_bytes();
        let load_log = || -> Log {
            let seen = outline(bytes, None).expect("it is a log");
            let matching = propose(&seen, &project, pin);
            let log = load(bytes, &seen, &matching, &|_| true).expect("it can be read");
            log.expect("nobody stops it")
        };
        let log = load_log();
        assert_eq!(log.n_rows(), ROWS);
        let load_ms = median_ms(|| black_box(load_log()).n_rows() == ROWS);
        let decode_ms = median_ms(|| {
            let done = replay(&project, id, &log, &|| true).expect("it can be decoded");
            black_box(done).is_some()
        });
        let peer_ms = median_ms(|| black_box(peer(bytes)).0.len() == ROWS);
        let (times, values) = peer(bytes);
        let start = times[0];
        let same = |row: usize| {
            log.value[row] == values[row] && (log.time_s[row] - (times[row] - start)).abs() < 1e-9
        };
        assert!((0..ROWS).all(same), "both must read the same");
        println!(
            "{name:<22} {:>5.1} MB   load {load_ms:>7.1} ms   csv crate {peer_ms:>7.1} ms ({:.1} times)   decode and events {decode_ms:>7.1} ms",
            bytes.len() as f64 / 1e6,
            peer_ms / load_ms,
        );
        let done = replay(&project, id, &log, &|| true).expect("decoded").expect("not stopped");
        let mut random = Random::new(1);
        let start = Instant::now();
        let mut n_points = 0;
        for _ in 0..1000 {
            let from = random.below(ROWS);
            n_points += match done.pyramid.points(from..from + random.below(ROWS - from), 2000) {
                Points::Rows(rows) => rows.len(),
                Points::Blocks(blocks) => 2 * blocks.len(),
            };
        }
        println!(
            "{:<22} points of a random stretch: {:.1} µs, {} on average; {} events",
            "",
            start.elapsed().as_secs_f64() * 1e3,
            n_points / 1000,
            done.events.len()
        );
    }
}

/// A log of ten milliseconds a row that goes through all bands.
fn text(beside: bool) -> String {
    let mut random = Random::new(3);
    let levels = [4.783, 2.921, 2.261, 1.989, 3.236, 3.708];
    let states = [
        "all at rest",
        "LEFT on",
        "LEFT on, CENTRE on",
        "LEFT on, CENTRE on, RIGHT on",
        "CENTRE on",
        "RIGHT on",
    ];
    let head =
        if beside { "time (s),signal (V),battery (V),state\n" } else { "time (s),signal (V)\n" };
    let mut text = head.to_owned();
    for row in 0..ROWS {
        let level = row / 700 % levels.len();
        let volt = levels[level] + random.between(-0.002, 0.002);
        let _ = write!(text, "{:.2},{volt:.4}", row as f64 / 100.0);
        if beside {
            let _ = write!(text, ",{:.2},\"{}\"", random.between(13.7, 13.9), states[level]);
        }
        text.push('\n');
    }
    text
}

/// Time and reading by general-purpose means.
fn peer(bytes: &[u8]) -> (Vec<f64>, Vec<f64>) {
    let mut reader = csv::ReaderBuilder::new().from_reader(bytes);
    let mut record = csv::StringRecord::new();
    let (mut times, mut values) = (Vec::new(), Vec::new());
    while reader.read_record(&mut record).expect("it is a table") {
        let number = |idx: usize| -> f64 { record[idx].parse().expect("it is a number") };
        times.push(number(0));
        values.push(number(1));
    }
    (times, values)
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
