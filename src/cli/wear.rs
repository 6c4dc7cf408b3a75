//! `ohmloom bench FILE --wear`: two rounds of the bench test compared.

use serde::Serialize;

use crate::cli::args::{BenchArgs, Format};
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::nine_figures;
use crate::csv_text::csv_records;
use crate::model::{BenchRun, BenchRunId, Project};
use crate::proving::plan::plan;
use crate::proving::wear::{Place, Wear, likely_rounds, wear};
use crate::units::{counted, format_ohm};

/// Compares two rounds and writes what has aged as asked.
///
/// # Errors
/// A round that is none, or no two rounds to compare.
pub fn answer(project: &Project, args: &BenchArgs) -> Result<Answer, String> {
    let (then, now) = rounds(project, &args.rounds)?;
    let of = |id| project.bench_runs.get(id).ok_or("a round is gone");
    let pair = (of(then)?, of(now)?);
    let plan = plan(project, &|| true).unwrap_or_default();
    let found = wear(project, &plan, pair, &|| true).unwrap_or_default();
    let text = match args.file.format {
        Format::Table => text(project, pair, &found),
        Format::Csv => csv(project, &found),
        Format::Json => document(project, pair, &found),
    };
    let is_aged = found.iter().any(Wear::is_aged);
    Ok(Answer { text, health: if is_aged { Health::Problems } else { Health::Fine } })
}

/// The rounds of these names; the likely ones where none are named.
fn rounds(project: &Project, names: &[String]) -> Result<(BenchRunId, BenchRunId), String> {
    let by_name = |name: &str| {
        let name = name.trim();
        let all = project.bench_runs.iter();
        let named: Vec<_> = all.filter(|(_, run)| run.name.trim() == name).collect();
        match named.as_slice() {
            [(id, _)] => Ok(*id),
            [] => {
                let known: Vec<&str> =
                    project.bench_runs.iter().map(|(_, run)| run.name.as_str()).collect();
                Err(match known.is_empty() {
                    true => format!("expected a round, found \"{name}\"; the project has none"),
                    false => format!("expected one of {}, found \"{name}\"", known.join(", ")),
                })
            }
            several => {
                let which: Vec<String> = several.iter().map(|(_, run)| run_words(run)).collect();
                Err(format!(
                    "{} rounds are named \"{name}\": {}; give them names of their own in the window, stage Prove",
                    several.len(),
                    which.join(", ")
                ))
            }
        }
    };
    match names {
        [] => likely_rounds(project).ok_or_else(|| {
            "two rounds are needed, and one of them marked as the hand-over: make them in the window, stage Prove, or name both with --rounds".into()
        }),
        [then, now] => Ok((by_name(then)?, by_name(now)?)),
        names => Err(format!("expected two rounds, THEN,NOW, found {}", names.len())),
    }
}

fn run_words(run: &BenchRun) -> String {
    let date = if run.date.is_empty() { "no date" } else { run.date.as_str() };
    format!("{} ({date})", run.name)
}

fn pin_words(project: &Project, wear: &Wear) -> String {
    project.sense_pins.get(wear.pin).map_or_else(
        || "?".into(),
        |pin| format!("{} {}", project.terminal_name(pin.terminal), pin.name),
    )
}

fn text(project: &Project, (then, now): (&BenchRun, &BenchRun), found: &[Wear]) -> String {
    let head = format!("{}: {} against {}", project.title, run_words(then), run_words(now));
    let mut text = wrapped("", &head, 0);
    if found.is_empty() {
        text += "\nNo sense pin can be compared: none is set, or it has too many states.\n";
    }
    for wear in found {
        text += &format!("\n{}\n", pin_words(project, wear));
        text += &wrapped("", &wear.words(), 0);
        if wear.n_stale > 0 {
            let stale = counted(wear.n_stale, "step");
            text += &wrapped("", &format!("{stale} left out: the drawing has changed since"), 0);
        }
        if wear.is_aged() && !wear.places.is_empty() {
            text += "\n";
            text += &places(wear);
        }
        if !wear.pairs.is_empty() {
            text += "\n";
            text += &pairs(wear);
        }
    }
    text
}

fn places(wear: &Wear) -> String {
    let row = |place: &Place| {
        vec![
            format_ohm(place.more_ohm),
            format!("{:.1}", place.misfit),
            place.leaves_ohm.map_or_else(|| "not known".into(), format_ohm),
            place.years_left.map_or_else(|| "not known".into(), |years| format!("{years:.1}")),
            place.at.join(" or "),
        ]
    };
    let columns = [
        ("more", Align::Right),
        ("misfit", Align::Right),
        ("leaves its band at", Align::Right),
        ("years left", Align::Right),
        ("place", Align::Left),
    ];
    table(&columns, &wear.places.iter().map(row).collect::<Vec<_>>())
}

fn pairs(wear: &Wear) -> String {
    let rows: Vec<Vec<String>> = wear
        .pairs
        .iter()
        .map(|pair| {
            let change = pair.now_ohm - pair.then_ohm;
            let sign = if change < 0.0 { "-" } else { "+" };
            vec![
                pair.title.clone(),
                format_ohm(pair.then_ohm),
                format_ohm(pair.now_ohm),
                format!("{sign}{}", format_ohm(change.abs())),
            ]
        })
        .collect();
    let columns = [
        ("step", Align::Left),
        ("then", Align::Right),
        ("now", Align::Right),
        ("change", Align::Right),
    ];
    table(&columns, &rows)
}

fn csv(project: &Project, found: &[Wear]) -> String {
    let head = ["pin", "step", "then_ohm", "now_ohm", "change_ohm"];
    let mut records = vec![head.map(str::to_owned).to_vec()];
    for wear in found {
        for pair in &wear.pairs {
            records.push(vec![
                pin_words(project, wear),
                pair.title.clone(),
                nine_figures(pair.then_ohm).to_string(),
                nine_figures(pair.now_ohm).to_string(),
                nine_figures(pair.now_ohm - pair.then_ohm).to_string(),
            ]);
        }
    }
    csv_records(&records)
}

#[derive(Serialize)]
struct Document {
    then: Round,
    now: Round,
    pins: Vec<PinRow>,
}

#[derive(Serialize)]
struct Round {
    name: String,
    date: String,
}

#[derive(Serialize)]
struct PinRow {
    pin: String,
    words: String,
    aged: bool,
    years: Option<f64>,
    stale_steps: usize,
    places: Vec<PlaceRow>,
    readings: Vec<ReadRow>,
}

#[derive(Serialize)]
struct PlaceRow {
    at: Vec<String>,
    more_ohm: Option<f64>,
    misfit: Option<f64>,
    leaves_ohm: Option<f64>,
    years_left: Option<f64>,
}

#[derive(Serialize)]
struct ReadRow {
    step: String,
    then_ohm: Option<f64>,
    now_ohm: Option<f64>,
}

fn document(project: &Project, (then, now): (&BenchRun, &BenchRun), found: &[Wear]) -> String {
    let round = |run: &BenchRun| Round { name: run.name.clone(), date: run.date.clone() };
    let place = |place: &Place| PlaceRow {
        at: place.at.clone(),
        more_ohm: json::number(place.more_ohm),
        misfit: json::number(place.misfit),
        leaves_ohm: place.leaves_ohm.and_then(json::number),
        years_left: place.years_left.and_then(json::number),
    };
    let pin = |wear: &Wear| PinRow {
        pin: pin_words(project, wear),
        words: wear.words(),
        aged: wear.is_aged(),
        years: wear.years.and_then(json::number),
        stale_steps: wear.n_stale,
        places: if wear.is_aged() { wear.places.iter().map(place).collect() } else { Vec::new() },
        readings: wear
            .pairs
            .iter()
            .map(|pair| ReadRow {
                step: pair.title.clone(),
                then_ohm: json::number(pair.then_ohm),
                now_ohm: json::number(pair.now_ohm),
            })
            .collect(),
    };
    json::document(&Document {
        then: round(then),
        now: round(now),
        pins: found.iter().map(pin).collect(),
    })
}
