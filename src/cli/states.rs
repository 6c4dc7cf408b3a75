//! `ohmloom states FILE`: every sense pin, every state.

use serde::Serialize;

use crate::check::state_words;
use crate::cli::args::{FileArgs, Format};
use crate::cli::controls::{control_names, positions};
use crate::cli::json::{self, InOrder, Three};
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::nine_figures;
use crate::csv_text::csv_records;
use crate::model::{ControlId, Project, SensePin};
use crate::sense::{PinTable, Reader, StateRow, Verdict};
use crate::units::{counted, format_ohm, trim_zeros};

/// From this many states on a pin is summed up.
const SUMMARY_FROM: usize = 5_000;

/// How many states are the worst ones.
const N_WORST: usize = 40;

/// Reads all states and writes them as asked.
pub fn answer(project: &Project, args: &FileArgs) -> Answer {
    let tables = tables(project);
    let text = match args.format {
        Format::Table => text(project, &tables),
        Format::Csv => csv(project, &tables),
        Format::Json => document(project, &tables),
    };
    let health = if tables.iter().any(|table| table.rows.iter().any(is_problem)) {
        Health::Problems
    } else {
        Health::Fine
    };
    Answer { text, health }
}

/// The tables of all sense pins.
pub fn tables(project: &Project) -> Vec<PinTable> {
    let reader = Reader::new(project);
    project.sense_pins.ids().filter_map(|pin| reader.table(pin)).collect()
}

/// All tables as aligned text, problems spelled out below each.
pub fn text(project: &Project, tables: &[PinTable]) -> String {
    let mut text = String::new();
    if tables.is_empty() {
        return wrapped("", &format!("{}: no sense pin", project.title), 0);
    }
    for table in tables {
        let Some(pin) = project.sense_pins.get(table.pin) else { continue };
        if !text.is_empty() {
            text += "\n";
        }
        text += &pin_text(project, pin, table);
    }
    text
}

fn pin_text(project: &Project, pin: &SensePin, states: &PinTable) -> String {
    let problems: Vec<&StateRow> = states.rows.iter().filter(|row| is_problem(row)).collect();
    let name = project.terminal_name(pin.terminal);
    let mut text = wrapped(
        "",
        &format!(
            "{}, {name} {}: {}, {} with a problem",
            project.title,
            pin.name,
            counted(states.rows.len(), "state"),
            problems.len()
        ),
        0,
    );
    text += "\n";
    let has_volts = states.rows.iter().any(|row| row.volt.is_some());
    let has_counts = states.rows.iter().any(|row| row.count.is_some());
    let mut columns = vec![
        ("state", Align::Left),
        ("ohms", Align::Right),
        ("least", Align::Right),
        ("greatest", Align::Right),
    ];
    if has_volts {
        columns.push(("volts", Align::Right));
    }
    if has_counts {
        columns.push(("counts", Align::Right));
    }
    columns.extend([
        ("reads as", Align::Left),
        ("asked for", Align::Left),
        ("margin", Align::Right),
        ("verdict", Align::Left),
    ]);
    let is_large = states.rows.len() > SUMMARY_FROM;
    let listed = if is_large {
        text += &summary(pin, states);
        worst(&states.rows)
    } else {
        states.rows.iter().collect()
    };
    let rows: Vec<Vec<String>> = listed
        .into_iter()
        .map(|row| {
            let mut cells = vec![
                state_words(project, &row.state),
                format_ohm(row.ohm.nominal),
                format_ohm(row.ohm.low),
                format_ohm(row.ohm.high),
            ];
            if has_volts {
                cells.push(row.volt.map_or_else(String::new, |v| format!("{:.3} V", v.nominal)));
            }
            if has_counts {
                cells.push(row.count.map_or_else(String::new, |(_, count, _)| count.to_string()));
            }
            let margin = row.margin.and_then(|m| Some(m.scale.text(m.value()?)));
            cells.extend([
                band(pin, row).unwrap_or("-").to_owned(),
                asked(row).unwrap_or_else(|| "-".into()),
                margin.unwrap_or_default(),
                row.verdict.map_or("unknown", Verdict::word).to_owned(),
            ]);
            cells
        })
        .collect();
    text += &table(&columns, &rows);
    if is_large {
        text += &wrapped("", "Every state is listed by --format csv and --format json.", 0);
    } else if !problems.is_empty() {
        text += "\nProblems\n";
        for row in problems {
            let state = state_words(project, &row.state);
            let word = row.verdict.map_or("unknown", Verdict::word);
            text += &wrapped("- ", &format!("{state}: {word}, {}", row.why), 2);
        }
    }
    text
}

/// The worst states, the worst first.
fn worst(rows: &[StateRow]) -> Vec<&StateRow> {
    let mut worst: Vec<&StateRow> = rows.iter().collect();
    worst.sort_by(|a, b| {
        let (a, b) = (a.badness(), b.badness());
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    worst.truncate(N_WORST);
    worst
}

/// How many states fare how, and how many read as which band.
fn summary(pin: &SensePin, states: &PinTable) -> String {
    let count =
        |verdict: Option<Verdict>| states.rows.iter().filter(|row| row.verdict == verdict).count();
    let verdicts = [Verdict::Ok, Verdict::Thin, Verdict::Gap, Verdict::Clash].map(Some);
    let fares: Vec<String> = verdicts
        .into_iter()
        .chain([None])
        .map(|verdict| (count(verdict), verdict.map_or("unknown", Verdict::word)))
        .filter(|(n, _)| *n > 0)
        .map(|(n, word)| format!("{n} {word}"))
        .collect();
    let mut text = wrapped("", &fares.join(", "), 0);
    let reads = |band: Option<usize>| states.rows.iter().filter(|row| row.band == band).count();
    let bands = pin.bands.iter().enumerate().map(|(idx, band)| (band.name.clone(), Some(idx)));
    let rows: Vec<Vec<String>> = bands
        .chain([("no band".to_owned(), None)])
        .map(|(name, band)| vec![name, reads(band).to_string()])
        .collect();
    text += &table(&[("reads as", Align::Left), ("states", Align::Right)], &rows);
    text += "\n";
    text += &wrapped("", &format!("The worst {N_WORST}:"), 0);
    text
}

fn is_problem(row: &StateRow) -> bool {
    match row.verdict {
        Some(Verdict::Clash | Verdict::Gap | Verdict::Thin) => true,
        Some(Verdict::Ok) | None => false,
    }
}

fn band<'a>(pin: &'a SensePin, row: &StateRow) -> Option<&'a str> {
    Some(pin.bands.get(row.band?)?.name.as_str())
}

/// The action asked for; several are joined by `or`, since any of them is right.
fn asked(row: &StateRow) -> Option<String> {
    (!row.asked.is_empty()).then(|| row.asked.join(" or "))
}

fn csv(project: &Project, tables: &[PinTable]) -> String {
    let all: Vec<ControlId> = project
        .controls
        .ids()
        .filter(|id| tables.iter().any(|table| table.controls.contains(id)))
        .collect();
    let names = control_names(project, &all);
    let mut head = vec!["pin".to_owned()];
    head.extend(names.iter().map(|(name, _)| format!("control {name}")));
    let rest = [
        "low_ohm",
        "nominal_ohm",
        "high_ohm",
        "bench_low_ohm",
        "bench_high_ohm",
        "low_volt",
        "nominal_volt",
        "high_volt",
        "low_count",
        "nominal_count",
        "high_count",
        "band",
        "expect",
        "margin",
        "margin_unit",
        "verdict",
        "why",
    ];
    head.extend(rest.map(str::to_owned));
    let mut records = vec![head];
    for table in tables {
        let Some(pin) = project.sense_pins.get(table.pin) else { continue };
        for row in &table.rows {
            let mut record = vec![project.terminal_name(pin.terminal)];
            record.extend(names.iter().map(|(_, id)| {
                let control = project.controls.get(*id).filter(|_| table.controls.contains(id));
                control.map_or_else(String::new, |control| {
                    let position = usize::from(row.state.position(*id, control));
                    control.positions.get(position).map_or("?", |p| p.name.as_str()).to_owned()
                })
            }));
            record.extend(cells(pin, row));
            records.push(record);
        }
    }
    csv_records(&records)
}

/// The columns after the controls; `open` for infinite ohms, empty for what is not known.
fn cells(pin: &SensePin, row: &StateRow) -> Vec<String> {
    let number = |value: f64| {
        if value.is_finite() { nine_figures(value).to_string() } else { "open".to_owned() }
    };
    let (bench_low, bench_high) = row.bench_ohm;
    let mut cells: Vec<String> =
        [row.ohm.low, row.ohm.nominal, row.ohm.high, bench_low, bench_high].map(number).to_vec();
    match row.volt {
        Some(volt) => cells.extend([volt.low, volt.nominal, volt.high].map(number)),
        None => cells.extend([const { String::new() }; 3]),
    }
    match row.count {
        Some((low, nominal, high)) => cells.extend([low, nominal, high].map(|n| n.to_string())),
        None => cells.extend([const { String::new() }; 3]),
    }
    let margin = row.margin.and_then(|margin| Some((margin.value()?, margin.scale.unit())));
    cells.extend([
        band(pin, row).unwrap_or_default().to_owned(),
        asked(row).unwrap_or_default(),
        margin.map_or_else(String::new, |(value, _)| trim_zeros(&number(value))),
        margin.map_or_else(String::new, |(_, unit)| unit.to_owned()),
        row.verdict.map_or("", Verdict::word).to_owned(),
        row.why.clone(),
    ]);
    cells
}

#[derive(Serialize)]
struct Document<'a> {
    project: &'a str,
    pins: Vec<Pin<'a>>,
}

#[derive(Serialize)]
struct Pin<'a> {
    pin: String,
    name: &'a str,
    scale: &'static str,
    states: Vec<Row<'a>>,
}

#[derive(Serialize)]
struct Row<'a> {
    controls: InOrder,
    ohm: Three,
    bench_ohm: Bench,
    volt: Option<Three>,
    count: Option<Counts>,
    band: Option<&'a str>,
    expect: Option<String>,
    asked: &'a [String],
    margin: Option<Margin>,
    verdict: Option<&'static str>,
    why: &'a str,
}

#[derive(Serialize)]
struct Bench {
    low: Option<f64>,
    high: Option<f64>,
}

#[derive(Serialize)]
struct Counts {
    low: u32,
    nominal: u32,
    high: u32,
}

#[derive(Serialize)]
struct Margin {
    value: Option<f64>,
    unit: &'static str,
}

fn document(project: &Project, tables: &[PinTable]) -> String {
    let pins = tables
        .iter()
        .filter_map(|table| {
            let pin = project.sense_pins.get(table.pin)?;
            Some(Pin {
                pin: project.terminal_name(pin.terminal),
                name: &pin.name,
                scale: pin.scale.unit(),
                states: table.rows.iter().map(|row| json_row(project, pin, table, row)).collect(),
            })
        })
        .collect();
    json::document(&Document { project: &project.title, pins })
}

fn json_row<'a>(
    project: &Project,
    pin: &'a SensePin,
    table: &PinTable,
    row: &'a StateRow,
) -> Row<'a> {
    let (low, high) = row.bench_ohm;
    Row {
        controls: InOrder(positions(project, &table.controls, &row.state)),
        ohm: row.ohm.into(),
        bench_ohm: Bench { low: json::number(low), high: json::number(high) },
        volt: row.volt.map(Three::from),
        count: row.count.map(|(low, nominal, high)| Counts { low, nominal, high }),
        band: band(pin, row),
        expect: asked(row),
        asked: &row.asked,
        margin: row.margin.map(|margin| Margin {
            value: margin.value().and_then(json::number),
            unit: margin.scale.unit(),
        }),
        verdict: row.verdict.map(Verdict::word),
        why: &row.why,
    }
}
