//! The fault card: from a reading to the first suspects; faults that look alike, and what parts them.

use std::collections::BTreeMap;

use crate::check::state_words;
use crate::model::{HalfSide, Harm, PartKind, Project, SensePin, TerminalRef, cavity_of_terminal};
use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;
use crate::sheets::table::{Cell, Table};
use crate::sheets::words::reads;
use crate::study::faults::{Effect, FaultRow, Survey, Symptom, survey};
use crate::units::{counted, round_figures};

/// Of a group of twins so many are parted from the first.
const MAX_PARTED: usize = 3;
/// So many groups of twins are parted on paper.
const MAX_GROUPS: usize = 24;

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    flow.note(
        "Usual values; tolerances may make a fault look like its neighbour. A list of faults is no \
         proof of safety: what can hurt somebody when it moves unasked needs an independent stop, \
         and local rules and licensed practice go first.",
    );
    if job.project.sense_pins.is_empty() {
        flow.paragraph("No sense pin is drawn yet, so there is nothing to look for.");
    }
    for (id, pin) in job.project.sense_pins.iter() {
        let at = job.project.terminal_name(pin.terminal);
        flow.heading(&format!("{at} {}", pin.name));
        let Some(survey) = survey(job.project, id, job.keep_going) else {
            flow.paragraph("This pin has too many states to put every fault to, or reads nothing.");
            continue;
        };
        if survey.rows.is_empty() {
            flow.paragraph("Nothing in this circuit can break on its own yet.");
            continue;
        }
        sound(job, flow, &survey, pin);
        suspects(job, flow, &survey, pin, &at);
        twins(job, flow, &survey, &at);
        quiet(flow, &survey);
    }
}

/// What the sound circuit reads at rest.
fn sound(job: &Job<'_>, flow: &mut Flow<'_>, survey: &Survey, pin: &SensePin) {
    let is_rest = |(_, state): &(usize, &crate::model::State)| job.project.n_off_rest(state) == 0;
    let Some((idx, _)) = survey.states.iter().enumerate().find(is_rest) else { return };
    let symptom = &survey.sound[idx];
    flow.paragraph(&format!(
        "Sound, all at rest: {} between {} and {}, supply off, controller unplugged{}.",
        reads(symptom.ohm),
        job.project.terminal_name(pin.terminal),
        job.project.terminal_name(pin.reference),
        symptom.volt.map_or_else(String::new, |v| format!("; {v:.3} V plugged in")),
    ));
}

/// One line of the card: a state, a reading, and all faults that show it there.
struct Line<'a> {
    state: usize,
    symptom: &'a Symptom,
    rows: Vec<&'a FaultRow>,
}

/// State, ohms, hundredths of a volt where ohms tell nothing, band and effect.
type LineKey = (usize, u64, i64, Option<usize>, Option<Effect>);

/// Volts, sound and faulty, of a fault that no reading in ohms at the unplugged plug shows.
fn volts(sound: &Symptom, faulty: &Symptom) -> Option<(f64, f64)> {
    sound.volt.zip(faulty.volt).filter(|_| are_near(sound.ohm, faulty.ohm))
}

/// Faults by the state in which each is worst, and by what is read there.
fn lines(survey: &Survey) -> Vec<Line<'_>> {
    let mut lines: BTreeMap<LineKey, Line<'_>> = BTreeMap::new();
    for row in survey.rows.iter().filter(|row| shows(survey, row)) {
        let state = telling_state(survey, row);
        let symptom = &row.symptoms[state];
        let ohm =
            if symptom.ohm.is_finite() { round_figures(symptom.ohm, 3) } else { f64::INFINITY };
        let volt = volts(&survey.sound[state], symptom).map_or(0.0, |(_, volt)| volt);
        let volt = (volt * 100.0).round() as i64;
        let key = (state, ohm.to_bits(), volt, symptom.band, symptom.effect);
        let line = lines.entry(key).or_insert_with(|| Line { state, symptom, rows: Vec::new() });
        line.rows.push(row);
    }
    // Positive numbers have the order of their bits, so lines rise by state and ohms.
    lines.into_values().collect()
}

/// The worst state, or where nothing comes of it the first in which it reads otherwise.
fn telling_state(survey: &Survey, row: &FaultRow) -> usize {
    if row.worst != Effect::Silent {
        return row.worst_state;
    }
    let differs = |idx: &usize| differs(&survey.sound[*idx], &row.symptoms[*idx]);
    (0..survey.states.len()).find(differs).unwrap_or(row.worst_state)
}

fn differs(sound: &Symptom, faulty: &Symptom) -> bool {
    !are_near(sound.ohm, faulty.ohm) || sound.band != faulty.band
}

/// Open against a finite value is apart too: their difference is infinite.
fn are_near(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= 0.02 * a.abs().min(b.abs()) + 1.0
}

/// Whether the pin ever shows the fault.
fn shows(survey: &Survey, row: &FaultRow) -> bool {
    row.worst != Effect::Silent
        || survey.sound.iter().zip(&row.symptoms).any(|(sound, faulty)| differs(sound, faulty))
}

fn suspects(job: &Job<'_>, flow: &mut Flow<'_>, survey: &Survey, pin: &SensePin, at: &str) {
    flow.subheading("Set the controls, read, and look here first");
    let mut table =
        Table::new(&["set the controls", ">sound", ">reads", "as", "machine", "first suspects"]);
    let mut has_volts = false;
    for line in lines(survey) {
        let band = line.symptom.band.and_then(|band| pin.bands.get(band));
        let harm = line.rows.iter().map(|row| row.harm).max().unwrap_or(Harm::Harmless);
        let effect = line.symptom.effect.map_or("not known", Effect::word);
        let machine = match harm {
            Harm::Dangerous => format!("{effect}, DANGEROUS"),
            Harm::Harmless | Harm::Nuisance => effect.to_owned(),
        };
        let sound = &survey.sound[line.state];
        let in_volts = volts(sound, line.symptom);
        has_volts |= in_volts.is_some();
        let (good, bad) = match in_volts {
            Some((good, bad)) => (format!("{good:.3} V"), format!("{bad:.3} V")),
            None => (reads(sound.ohm), reads(line.symptom.ohm)),
        };
        let names: Vec<&str> = line.rows.iter().map(|row| row.fault.title.as_str()).collect();
        table.row(vec![
            state_words(job.project, &survey.states[line.state]).into(),
            good.into(),
            Cell::Strong(bad),
            band.map_or("no band", |band| band.name.as_str()).into(),
            machine.into(),
            names.join("; ").into(),
        ]);
    }
    flow.table(&format!("faults-{at}"), table);
    if has_volts {
        flow.note(
            "Lines in volts are seen only plugged in and switched on: at the unplugged plug these \
             faults read as the sound circuit does.",
        );
    }
}

fn twins(job: &Job<'_>, flow: &mut Flow<'_>, survey: &Survey, at: &str) {
    if survey.twins.is_empty() {
        return;
    }
    flow.subheading("Twins: what looks alike at the pin, and the measurement that parts it");
    let mut table =
        Table::new(&["one", "other", "red", "black", "set the controls", ">if one", ">if other"]);
    let mut alike = Vec::new();
    for group in survey.twins.iter().take(MAX_GROUPS) {
        let Some((first, rest)) = group.split_first() else { continue };
        let title = |row: usize| survey.rows[row].fault.title.as_str();
        for other in rest.iter().take(MAX_PARTED) {
            if !(job.keep_going)() {
                return;
            }
            match survey.parting(job.project, *first, *other) {
                Some(parting) => table.row(vec![
                    title(*first).into(),
                    title(*other).into(),
                    probe_words(job.project, parting.red).into(),
                    probe_words(job.project, parting.black).into(),
                    state_words(job.project, &parting.state).into(),
                    Cell::Strong(reads(parting.ohm.0)),
                    Cell::Strong(reads(parting.ohm.1)),
                ]),
                None => alike.push(format!("{} and {}", title(*first), title(*other))),
            }
        }
    }
    if !table.rows.is_empty() {
        flow.table(&format!("twins-{at}"), table);
    }
    if !alike.is_empty() {
        flow.subheading("No reading in ohms tells these apart: look, or take them apart");
        flow.paragraph(&alike.join("; "));
    }
    let n_groups = survey.twins.len();
    let n_left =
        survey.twins.iter().map(|group| group.len().saturating_sub(1 + MAX_PARTED)).sum::<usize>();
    if n_groups > MAX_GROUPS || n_left > 0 {
        flow.note(&format!(
            "{} in all; of each the first {} stand here. The program parts any other two.",
            counted(n_groups, "group"),
            MAX_PARTED + 1
        ));
    }
}

/// A terminal to probe; where both halves of a connector share a name, the half is named too.
fn probe_words(project: &Project, at: TerminalRef) -> String {
    let name = project.terminal_name(at);
    let Some(PartKind::Connector(connector)) = project.parts.get(at.part).map(|part| &part.kind)
    else {
        return name;
    };
    let half = match cavity_of_terminal(at.terminal).1 {
        HalfSide::First => Some(&connector.first),
        HalfSide::Second => connector.second.as_ref(),
    };
    let share_name = connector.second.as_ref().is_some_and(|s| s.name == connector.first.name);
    match half {
        Some(half) if share_name => format!("{name} ({})", half.gender.noun()),
        Some(_) | None => name,
    }
}

/// What this pin never shows.
fn quiet(flow: &mut Flow<'_>, survey: &Survey) {
    let names: Vec<&str> = survey
        .rows
        .iter()
        .filter(|row| !shows(survey, row))
        .map(|row| row.fault.title.as_str())
        .collect();
    if !names.is_empty() {
        flow.subheading("Never seen at this pin");
        flow.paragraph(&names.join("; "));
    }
}
