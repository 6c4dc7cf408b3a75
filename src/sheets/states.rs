//! State table, band ruler, the formula, and one state worked by hand.

use crate::check::state_words;
use crate::model::{FullScale, PartKind, Project, SensePin, SensePinId, Side, Subject};
use crate::sense::{Measure, PinTable, StateRow, Verdict};
use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;
use crate::sheets::ruler;
use crate::sheets::state_letters;
use crate::sheets::table::{Cell, Table};
use crate::sheets::words::ohms;
use crate::units::{counted, trim_zeros};

/// More states than this are not printed one by one.
pub const MAX_PRINTED: usize = 600;
/// So many of the worst are, then.
const N_WORST: usize = 60;

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    if job.project.sense_pins.is_empty() {
        flow.paragraph("No sense pin is drawn yet, so there is no state to list.");
        flow.blank("the sense pin: mark a cavity of the controller as one");
        return;
    }
    for (n, (id, pin)) in job.project.sense_pins.iter().enumerate() {
        if n > 0 {
            flow.fresh_page();
        }
        let at = job.project.terminal_name(pin.terminal);
        flow.heading(&format!("{at} {}", pin.name));
        let Some(table) = job.table(id).filter(|table| !table.rows.is_empty()) else {
            flow.paragraph(
                "The states of this pin cannot be listed: it reads nothing, or has too many states.",
            );
            continue;
        };
        one_pin(job, flow, (id, pin), table);
    }
}

fn one_pin(
    job: &Job<'_>,
    flow: &mut Flow<'_>,
    (id, pin): (SensePinId, &SensePin),
    table: &PinTable,
) {
    let printed = printed_rows(table);
    if printed.len() < table.rows.len() {
        flow.paragraph(&format!(
            "{} in all; the {} with the least margin stand here.",
            counted(table.rows.len(), "state"),
            printed.len()
        ));
    }
    ruler::draw(flow, pin, &printed);
    let name = format!("states-{}", job.project.terminal_name(pin.terminal));
    let all = state_table(job.project, pin, &printed);
    match state_letters::lettered(job.project, &printed, &all) {
        Some((legend, lettered)) => {
            flow.note(&legend);
            flow.table_drawn_as(&name, all, &lettered);
        }
        None => flow.table(&name, all),
    }
    worked(job, flow, (id, pin), table);
}

/// The rows that are printed, in the order of their numbers.
fn printed_rows(table: &PinTable) -> Vec<&StateRow> {
    let mut rows: Vec<&StateRow> = table.rows.iter().collect();
    if rows.len() > MAX_PRINTED {
        rows.sort_by(|a, b| {
            let (a, b) = (a.badness(), b.badness());
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
        });
        rows.truncate(N_WORST);
    }
    rows
}

fn state_table(project: &Project, pin: &SensePin, rows: &[&StateRow]) -> Table {
    let has_volts = rows.iter().any(|row| row.volt.is_some());
    let has_counts = rows.iter().any(|row| row.count.is_some());
    let mut heads = vec![">no.", "controls", ">ohms", ">least", ">greatest"];
    if has_volts {
        heads.push(">volts");
    }
    if has_counts {
        heads.push(">counts");
    }
    heads.extend(["reads as", "asked for", ">margin", "verdict"]);
    let mut table = Table::new(&heads);
    for (n, row) in rows.iter().enumerate() {
        let mut cells: Vec<Cell> = vec![
            (n + 1).to_string().into(),
            state_words(project, &row.state).into(),
            Cell::Strong(ohms(row.ohm.nominal)),
            ohms(row.ohm.low).into(),
            ohms(row.ohm.high).into(),
        ];
        if has_volts {
            cells.push(Cell::or_blank(row.volt.map(|volt| format!("{:.3} V", volt.nominal))));
        }
        if has_counts {
            cells.push(Cell::or_blank(row.count.map(|(_, count, _)| count.to_string())));
        }
        let margin = row.margin.and_then(|margin| Some(margin.scale.text(margin.value()?)));
        let band = row.band.and_then(|band| pin.bands.get(band));
        cells.extend([
            band.map_or("no band", |band| band.name.as_str()).into(),
            if row.asked.is_empty() { "nothing".into() } else { row.asked.join(" or ").into() },
            margin.unwrap_or_else(|| "no edge".into()).into(),
            Cell::Strong(row.verdict.map_or("not known", Verdict::word).to_owned()),
        ]);
        table.row(cells);
    }
    table
}

/// The formula and one state in steps.
fn worked(
    job: &Job<'_>,
    flow: &mut Flow<'_>,
    (id, pin): (SensePinId, &SensePin),
    table: &PinTable,
) {
    let finite = |row: &&StateRow| row.ohm.nominal.is_finite() && row.ohm.nominal > 0.0;
    let steps = |row: &StateRow| job.reader.working(id, &row.state);
    // The state whose steps are longest says most; of equals the first.
    let letters = |lines: &[String]| lines.iter().map(String::len).sum::<usize>();
    let chosen = table.rows.iter().filter(finite).take(64).map(|row| (steps(row), row)).fold(
        None,
        |best: Option<(Vec<String>, &StateRow)>, next| match best {
            Some(best) if letters(&best.0) >= letters(&next.0) => Some(best),
            Some(_) | None => Some(next),
        },
    );
    let Some((lines, row)) = chosen else { return };
    flow.heading("One state worked by hand");
    flow.subheading(&state_words(job.project, &row.state));
    for line in &lines {
        flow.bullet(line);
    }
    if job.reader.is_live(id) {
        return;
    }
    flow.subheading("From ohms to what the controller reads");
    for line in formula(job.project, pin, row) {
        flow.bullet(&line);
    }
    if pin.pull_ohm.is_none() {
        let what = format!("the pull resistor of {}", job.project.terminal_name(pin.terminal));
        flow.blank_of(Subject::SensePin(id), what);
    }
}

/// The pin's reference in volts: as typed, or the supply its network hangs on.
fn reference_volt(project: &Project, pin: &SensePin) -> Option<f64> {
    if let Some(reference) = pin.reference_volt {
        return Some(reference.nominal);
    }
    let at = &project.parts.get(pin.reference.part)?.kind;
    let PartKind::Supply(supply) = at else { return None };
    (pin.side == Side::Supply).then_some(supply.volt.nominal)
}

fn formula(project: &Project, pin: &SensePin, row: &StateRow) -> Vec<String> {
    let mut lines = vec![
        match pin.side {
            Side::Ground => "switches join the pin to the return: V = Vref × R / (R + Rpull)",
            Side::Supply => "switches join the pin to the supply: V = Vref × Rpull / (Rpull + R)",
        }
        .to_owned(),
    ];
    let Some((pull, volt)) = pin.pull_ohm.zip(row.volt) else {
        lines.push("the pull resistor or its reference is not known, so this stops at ohms".into());
        return lines;
    };
    let ohm = row.ohm.nominal;
    let by_formula = Measure::new(project, pin).nominal_volt(ohm);
    if by_formula.is_none_or(|v| (v - volt.nominal).abs() > 1e-6 * volt.nominal.abs().max(1.0)) {
        lines.push(format!(
            "more than one voltage reaches this pin, so the plain divider does not hold: the node \
             equations give {:.3} V",
            volt.nominal
        ));
        return lines;
    }
    let reference_words = reference_volt(project, pin)
        .map_or_else(|| "Vref".to_owned(), |v| format!("{} V", trim_zeros(&format!("{v:.3}"))));
    let (r, p) = (ohms(ohm), ohms(pull.nominal));
    let sum = match pin.side {
        Side::Ground => format!("V = {reference_words} × {r} / ({r} + {p})"),
        Side::Supply => format!("V = {reference_words} × {p} / ({p} + {r})"),
    };
    lines.push(format!("{sum} = {:.3} V", volt.nominal));
    if let (Some(converter), Some(full), Some((_, count, _))) =
        (pin.converter, pin.full_scale, row.count)
    {
        let follows = match full {
            FullScale::Ratiometric { .. } => "follows the reference",
            FullScale::Fixed(_) => "stands by itself",
        };
        lines.push(format!(
            "count = V / {} V × {} = {count}; the full scale {follows}",
            trim_zeros(&format!("{:.3}", full.volt())),
            converter.max_count
        ));
    }
    lines
}
