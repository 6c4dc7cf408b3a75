//! Time to choose the best values of resistors, proven best; and how many choices there were to try.
//!
//! Run with `cargo bench --bench values`. The peer is a fresh reader for every choice, timed on a
//! thousand of them: what trying all would take.

use std::hint::black_box;
use std::time::Instant;

use ohmloom::model::{Expectation, PartId, Project, SensePinId};
use ohmloom::samples;
use ohmloom::sense::Reader;
use ohmloom::series::Series;
use ohmloom::study::values::{Bands, Question, choose, from_series};
use ohmloom::testing::parallel_ladder;
use ohmloom::units::Tolerant;

fn main() {
    // `cargo test --benches` runs this too, without the argument that `cargo bench` gives.
    if !std::env::args().any(|arg| arg == "--bench") {
        return;
    }
    println!(
        "best values out of three decades, proven; the peer reads every choice anew (extrapolated)"
    );
    println!(
        "{:<34} {:>8} {:>10} {:>12} {:>9} {:>14}",
        "case", "states", "choices", "best", "s", "peer s"
    );
    let (sprayer, pin) = sample("sprayer");
    let changing = parts(&sprayer, &["R1", "R2", "R3"]);
    row("sprayer, 3 of E24", &sprayer, pin, &changing, (Series::E24, Bands::Free));
    row("sprayer, 3 of E96", &sprayer, pin, &changing, (Series::E96, Bands::Free));
    row("sprayer, 3 of E96, bands stand", &sprayer, pin, &changing, (Series::E96, Bands::Fixed));
    let four = parts(&sprayer, &["R1", "R2", "R3", "R4"]);
    row("sprayer, 4 of E96", &sprayer, pin, &four, (Series::E96, Bands::Free));
    let (boat, boat_pin) = sample("rescue-boat");
    let all = parts(&boat, &["R1", "R2", "R3", "R4", "R5"]);
    let (three, four_of_five) = (&all[..3], &all[..4]);
    row("boat, 3 of E96, bands stand", &boat, boat_pin, three, (Series::E96, Bands::Fixed));
    row("boat, 4 of E96, bands stand", &boat, boat_pin, four_of_five, (Series::E96, Bands::Fixed));
    row("boat, 5 of E96, bands stand", &boat, boat_pin, &all, (Series::E96, Bands::Fixed));
    row("boat, 3 of E96", &boat, boat_pin, three, (Series::E96, Bands::Free));
    let (ladder, pin) = ladder();
    let four = parts(&ladder, &["R1", "R2", "R3", "R4"]);
    row("4 switches side by side, 4 of E24", &ladder, pin, &four, (Series::E24, Bands::Free));
    row("4 switches side by side, 4 of E96", &ladder, pin, &four, (Series::E96, Bands::Free));
}

fn sample(name: &str) -> (Project, SensePinId) {
    let project = samples::open(name).expect("a sample of that name");
    let pin = project.sense_pins.ids().next().expect("the sample has a pin");
    (project, pin)
}

/// Four switches side by side, sixteen states, each asked for something of its own.
fn ladder() -> (Project, SensePinId) {
    let (mut sketch, pin) = parallel_ladder(&[1e3, 2e3, 4e3, 8e3], 22e3);
    let controls: Vec<_> = sketch.project.controls.ids().collect();
    let row = sketch.project.sense_pins.get_mut(pin).expect("the ladder has a pin");
    row.pull_ohm = Some(Tolerant { nominal: 1e3, tolerance: 0.01 });
    row.reference_volt = Some(Tolerant { nominal: 5.0, tolerance: 0.0 });
    row.expectations = (0..16u8)
        .map(|state| Expectation {
            when: controls.iter().enumerate().map(|(n, id)| (*id, state >> n & 1)).collect(),
            action: format!("{state}"),
        })
        .collect();
    (sketch.project, pin)
}

fn parts(project: &Project, names: &[&str]) -> Vec<PartId> {
    let find = |name: &&str| project.parts.iter().find(|(_, part)| part.name == **name);
    names.iter().filter_map(find).map(|(id, _)| id).collect()
}

fn row(
    name: &str,
    project: &Project,
    pin: SensePinId,
    changing: &[PartId],
    (series, bands): (Series, Bands),
) {
    let candidates = from_series(series, 100.0, 99_999.0, 0.01);
    let choices = (candidates.len() as f64).powi(i32::try_from(changing.len()).unwrap_or(0));
    let question =
        Question { pin, parts: changing.to_vec(), candidates, drift: 0.006, bands, unit: None };
    let start = Instant::now();
    let answer = choose(project, &question, &mut |_| true).expect("the question makes sense");
    let seconds = start.elapsed().as_secs_f64();
    assert!(answer.is_proven);
    let before = Instant::now();
    for _ in 0..1000 {
        black_box(Reader::new(project).table(pin));
    }
    let peer = before.elapsed().as_secs_f64() / 1e3 * choices;
    let best = answer.best.first().map_or(f64::NAN, |choice| choice.margin);
    println!(
        "{name:<34} {:>8} {choices:>10.0} {:>9.1} mV {seconds:>9.3} {peer:>14.0}",
        answer.n_states,
        best * 1e3
    );
}
