//! `ohmloom bench FILE`: the bench test, step by step, with its limits.

use serde::Serialize;

use crate::cli::args::{BenchArgs, Format};
use crate::cli::controls::positions;
use crate::cli::json::{self, InOrder};
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::wear;
use crate::cli::words::nine_figures;
use crate::csv_text::csv_records;
use crate::model::{ControlId, Project};
use crate::proving::Quantity;
use crate::proving::plan::{
    CAUTIONS, Limits, Plan, Step, StepKind, accept_words, plan, usual_words,
};
use crate::units::counted;

/// Makes the bench test and writes it as asked.
///
/// # Errors
/// A kind of step that is none.
pub fn answer(project: &Project, args: &BenchArgs) -> Result<Answer, String> {
    if args.wear {
        return wear::answer(project, args);
    }
    let kinds = kinds(&args.only)?;
    let mut plan = plan(project, &|| true).unwrap_or_default();
    plan.steps.retain(|step| kinds.contains(&step.kind));
    let text = match args.file.format {
        Format::Table => text(project, &plan),
        Format::Csv => csv(project, &plan),
        Format::Json => document(project, &plan),
    };
    let is_blocked = plan.steps.iter().any(|step| step.blocked.is_some());
    Ok(Answer { text, health: if is_blocked { Health::Problems } else { Health::Fine } })
}

fn kinds(only: &[String]) -> Result<Vec<StepKind>, String> {
    if only.is_empty() {
        return Ok(StepKind::ALL.to_vec());
    }
    let of = |word: &String| {
        let wanted = word.trim();
        let is_it = |kind: &&StepKind| {
            kind.word() == wanted || kind.word().split(' ').next() == Some(wanted)
        };
        StepKind::ALL.iter().find(is_it).copied().ok_or_else(|| {
            let known: Vec<&str> = StepKind::ALL.iter().map(|kind| kind.word()).collect();
            format!("expected one of {}, found \"{wanted}\"", known.join(", "))
        })
    };
    only.iter().map(of).collect()
}

fn text(project: &Project, plan: &Plan) -> String {
    let n_blocked = plan.steps.iter().filter(|step| step.blocked.is_some()).count();
    let head = format!(
        "{}: bench test of {}, {n_blocked} of them cannot be done yet",
        project.title,
        counted(plan.steps.len(), "step")
    );
    let mut text = wrapped("", &head, 0);
    for kind in StepKind::ALL {
        let steps: Vec<&Step> = plan.steps.iter().filter(|step| step.kind == kind).collect();
        if steps.is_empty() {
            continue;
        }
        text += &format!("\n{}\n", heading(kind));
        text += &kind_text(&steps);
    }
    if !plan.left_out.is_empty() {
        text += "\nNot in it\n";
        for line in &plan.left_out {
            text += &wrapped("- ", line, 2);
        }
    }
    text += "\nBefore you begin\n";
    for line in CAUTIONS {
        text += &wrapped("- ", line, 2);
    }
    text
}

fn heading(kind: StepKind) -> String {
    let mut letters = kind.word().chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Steps of one kind; what all of them share is said once above the table.
fn kind_text(steps: &[&Step]) -> String {
    let mut text = String::new();
    let shared = |line: &String| steps.iter().all(|step| step.connect.contains(line));
    for line in steps[0].connect.iter().filter(|line| steps.len() > 1 && shared(line)) {
        text += &wrapped("  ", line, 2);
    }
    let rows: Vec<Vec<String>> = steps
        .iter()
        .map(|step| {
            let own = step.connect.iter().filter(|line| steps.len() == 1 || !shared(line));
            let connect: Vec<&str> = own.map(String::as_str).collect();
            let accept = step.limits.as_ref().map_or_else(
                || format!("not yet: {}", step.blocked.as_deref().unwrap_or_default()),
                |limits| accept_words(step.quantity, limits),
            );
            vec![step.title.clone(), connect.join("; "), usual_words(step), accept]
        })
        .collect();
    let columns = [
        ("step", Align::Left),
        ("connect", Align::Left),
        ("usual", Align::Right),
        ("accept", Align::Left),
    ];
    text += &table(&columns, &rows);
    for (titles, note) in notes(steps) {
        text += &wrapped(&format!("  note{titles}: "), note, 8);
    }
    text
}

/// Each note once, in the order of the steps, with the steps it belongs to unless it is all of them.
fn notes<'a>(steps: &[&'a Step]) -> Vec<(String, &'a str)> {
    let mut found: Vec<(Vec<&str>, &str)> = Vec::new();
    for step in steps {
        for note in &step.notes {
            match found.iter_mut().find(|(_, known)| known == note) {
                Some((titles, _)) => titles.push(&step.title),
                None => found.push((vec![&step.title], note)),
            }
        }
    }
    let of = |titles: Vec<&str>| match titles.len() {
        n if n == steps.len() => String::new(),
        1..=3 => format!(" on {}", titles.join(", ")),
        n => format!(" on {n} of these steps, from {} to {}", titles[0], titles[n - 1]),
    };
    found.into_iter().map(|(titles, note)| (of(titles), note)).collect()
}

fn unit(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Ohm => "ohm",
        Quantity::Volt => "V",
        Quantity::Length => "mm",
        Quantity::Sign => "",
    }
}

fn csv(project: &Project, plan: &Plan) -> String {
    let head = [
        "key", "kind", "step", "connect", "controls", "low", "usual", "high", "unit", "not yet",
        "notes", "drawing",
    ];
    let mut records = vec![head.map(str::to_owned).to_vec()];
    for step in &plan.steps {
        let (low, usual, high) = match step.limits {
            Some(Limits::Figure { low, usual, high }) => {
                let number = |value: f64| nine_figures(value).to_string();
                (number(low), number(usual), number(high))
            }
            Some(Limits::Open { least_ohm }) => {
                (nine_figures(least_ohm).to_string(), "open".into(), "open".into())
            }
            None => Default::default(),
        };
        let controls: Vec<String> =
            controls(project, step).iter().map(|(name, at)| format!("{name}={at}")).collect();
        records.push(vec![
            step.key.clone(),
            step.kind.word().into(),
            step.title.clone(),
            step.connect.join("; "),
            controls.join(","),
            low,
            usual,
            high,
            unit(step.quantity).into(),
            step.blocked.clone().unwrap_or_default(),
            step.notes.join("; "),
            format!("{:016x}", step.drawing),
        ]);
    }
    csv_records(&records)
}

fn controls(project: &Project, step: &Step) -> Vec<(String, String)> {
    let Some(state) = &step.state else { return Vec::new() };
    let ids: Vec<ControlId> = state.0.keys().copied().collect();
    positions(project, &ids, state)
}

fn document(project: &Project, plan: &Plan) -> String {
    #[derive(Serialize)]
    struct Document<'a> {
        title: &'a str,
        steps: Vec<Row<'a>>,
        left_out: &'a [String],
        cautions: [&'static str; 4],
    }
    #[derive(Serialize)]
    struct Row<'a> {
        key: &'a str,
        kind: &'static str,
        step: &'a str,
        connect: &'a [String],
        controls: InOrder,
        red: Option<String>,
        black: Option<String>,
        unit: &'static str,
        low: Option<f64>,
        usual: Option<f64>,
        high: Option<f64>,
        is_open: bool,
        not_yet: Option<&'a str>,
        notes: &'a [String],
        drawing: String,
    }
    let row = |step: &'_ Step| {
        let (low, usual, high) = match step.limits {
            Some(Limits::Figure { low, usual, high }) => (Some(low), Some(usual), Some(high)),
            Some(Limits::Open { least_ohm }) => (Some(least_ohm), None, None),
            None => (None, None, None),
        };
        let number = |value: Option<f64>| value.and_then(json::number);
        (number(low), number(usual), number(high))
    };
    let steps = plan
        .steps
        .iter()
        .map(|step| {
            let (low, usual, high) = row(step);
            Row {
                key: &step.key,
                kind: step.kind.word(),
                step: &step.title,
                connect: &step.connect,
                controls: InOrder(controls(project, step)),
                red: step.red.map(|at| project.terminal_name(at)),
                black: step.black.map(|at| project.terminal_name(at)),
                unit: unit(step.quantity),
                low,
                usual,
                high,
                is_open: matches!(step.limits, Some(Limits::Open { .. })),
                not_yet: step.blocked.as_deref(),
                notes: &step.notes,
                drawing: format!("{:016x}", step.drawing),
            }
        })
        .collect();
    let document =
        Document { title: &project.title, steps, left_out: &plan.left_out, cautions: CAUTIONS };
    json::document(&document)
}
