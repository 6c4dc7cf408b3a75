//! The test sheet: the steps of the bench test, what to accept, room for the reading and initials.

use crate::proving::plan::{CAUTIONS, Step, StepKind, accept_words, plan};
use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;
use crate::sheets::table::{Cell, Table};
use crate::sheets::words::ohms;
use crate::units::{counted, format_percent};

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    let project = job.project;
    flow.heading("Before the first step");
    for caution in CAUTIONS {
        flow.paragraph(caution);
    }
    flow.tick("The supply is off and secured; measured that it is.");
    flow.tick(
        "The leads touched together read close to 0 Ω; what they read is written down here: ________",
    );
    let meter = &project.settings.meter;
    let error = if meter.ohm_ranges.is_empty() {
        format!(
            "{} of the reading and {} either way",
            format_percent(meter.fraction),
            ohms(meter.offset_ohm)
        )
    } else {
        "what the settings say of each of its ranges".to_owned()
    };
    flow.note(&format!(
        "What to accept counts in part tolerances, contacts, wires and a meter that is off by {error}. \
         Another meter: change it in the settings and print again.",
    ));
    if project.sense_pins.is_empty() {
        flow.paragraph("No sense pin is drawn yet, so none can be tested.");
        flow.blank("the sense pin: mark a cavity of the controller as one");
    }
    let Some(plan) = plan(project, job.keep_going) else { return };
    let n_blocked = plan.steps.iter().filter(|step| step.blocked.is_some()).count();
    if n_blocked > 0 {
        flow.blank(format!("{} of the test cannot be done yet", counted(n_blocked, "step")));
    }
    let mut n = 0;
    for kind in StepKind::ALL {
        let steps: Vec<&Step> = plan.steps.iter().filter(|step| step.kind == kind).collect();
        if steps.is_empty() {
            continue;
        }
        flow.heading(&heading(kind));
        of_kind(flow, kind, &steps, n);
        n += steps.len();
    }
    if !plan.left_out.is_empty() {
        flow.heading("Not in it");
        for line in &plan.left_out {
            flow.paragraph(line);
        }
    }
    signature(flow);
}

fn heading(kind: StepKind) -> String {
    let mut letters = kind.word().chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Steps of one kind; what all of them share is said once above the table.
fn of_kind(flow: &mut Flow<'_>, kind: StepKind, steps: &[&Step], first: usize) {
    let is_shared = |line: &String, of: &dyn Fn(&Step) -> &Vec<String>| {
        steps.len() > 1 && steps.iter().all(|step| of(step).contains(line))
    };
    let connect = |step: &Step| -> Vec<String> { step.connect.clone() };
    let shared: Vec<String> = connect(steps[0])
        .into_iter()
        .filter(|line| is_shared(line, &|step| &step.connect))
        .collect();
    if !shared.is_empty() {
        flow.paragraph(&format!("All of them: {}.", shared.join("; ")));
    }
    // What keeps every one of them from being done is said once as well.
    let blocked = steps[0].blocked.as_deref().filter(|why| {
        steps.len() > 1 && steps.iter().all(|step| step.blocked.as_deref() == Some(*why))
    });
    if let Some(why) = blocked {
        flow.paragraph(&format!("None of them can be done yet: {why}."));
    }
    let own = |step: &Step| -> Vec<String> {
        connect(step).into_iter().filter(|line| !shared.contains(line)).collect()
    };
    let has_own = steps.iter().any(|step| !own(step).is_empty());
    let mut heads = vec![">step", "what", "connect", "=accept", "reading", "initials"];
    if !has_own {
        heads.remove(2);
    }
    let mut table = Table::new(&heads);
    for (n, step) in steps.iter().enumerate() {
        let accept = match (&step.limits, blocked) {
            (Some(limits), _) => Cell::Strong(accept_words(step.quantity, limits)),
            (None, Some(_)) => "not yet".into(),
            (None, None) => {
                format!("not yet: {}", step.blocked.as_deref().unwrap_or_default()).into()
            }
        };
        let notes = step.notes.iter().filter(|line| !is_shared(line, &|step| &step.notes));
        let what: Vec<&str> =
            std::iter::once(step.title.as_str()).chain(notes.map(String::as_str)).collect();
        let mut cells = vec![(first + n + 1).to_string().into(), what.join("; ").into()];
        if has_own {
            cells.push(own(step).join("; ").into());
        }
        cells.extend([accept, Cell::Blank, Cell::Blank]);
        table.row(cells);
    }
    flow.table(&format!("test-{}", kind.word().replace(' ', "-")), table);
    for note in steps[0].notes.iter().filter(|line| is_shared(line, &|step| &step.notes)) {
        flow.note(note);
    }
}

fn signature(flow: &mut Flow<'_>) {
    flow.heading("Done by");
    let mut table = Table::new(&["name", "date", "meter, its number", "signature"]);
    for _ in 0..2 {
        table.row(vec![Cell::Blank; 4]);
    }
    flow.table("test-done-by", table);
}
