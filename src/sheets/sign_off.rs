//! The sign-off sheet: tests done, readings, open points, and who signs for it.

use crate::proving::sign_off::{SignOff, TestDone, sign_off};
use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;
use crate::sheets::table::{Cell, Table};
use crate::units::trim_zeros;

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    let Some(sign) = sign_off(job.project, job.keep_going) else { return };
    flow.paragraph(&sign.words());
    tests(flow, &sign);
    open(flow, &sign);
    readings(flow, &sign);
    signatures(flow);
}

fn tests(flow: &mut Flow<'_>, sign: &SignOff) {
    flow.heading("Tests done");
    if sign.tests.is_empty() {
        flow.paragraph("No round of the bench test is written down yet.");
        flow.blank("a round of the bench test");
        return;
    }
    let head = ["round", "date", "by", "meter", ">temperature", "what came of it"];
    let mut table = Table::new(&head);
    for test in &sign.tests {
        let words =
            |text: &str| Cell::or_blank(Some(text.trim().to_owned()).filter(|t| !t.is_empty()));
        table.row(vec![
            Cell::Strong(round_name(test)),
            words(&test.date),
            words(&test.initials),
            words(&test.meter),
            Cell::or_blank(
                test.temperature_c.map(|c| format!("{} °C", trim_zeros(&format!("{c:.1}")))),
            ),
            test.tally.words().into(),
        ]);
    }
    flow.table("sign-off-tests", table);
}

fn round_name(test: &TestDone) -> String {
    let name = if test.name.trim().is_empty() { "without a name" } else { test.name.trim() };
    if test.is_hand_over && name != "hand-over" {
        format!("{name} (hand-over)")
    } else {
        name.to_owned()
    }
}

fn open(flow: &mut Flow<'_>, sign: &SignOff) {
    flow.heading("Open points");
    if sign.open.is_empty() {
        flow.paragraph(
            "None that the program can see. What only eyes and hands find is not in it.",
        );
        return;
    }
    let head = ["about", "what is open", "what to do", "settled: initials, date"];
    let mut table = Table::new(&head);
    for point in &sign.open {
        table.row(vec![
            point.kind.word().into(),
            point.what.as_str().into(),
            point.cure.as_str().into(),
            Cell::Blank,
        ]);
    }
    flow.table("sign-off-open", table);
}

fn readings(flow: &mut Flow<'_>, sign: &SignOff) {
    let Some(test) = sign.round() else { return };
    flow.heading(&format!("Readings of round \"{}\"", round_name(test)));
    if sign.readings.is_empty() {
        flow.paragraph("It has no reading yet.");
        return;
    }
    let mut table = Table::new(&["what", "accept", "reading", "what came of it", "note"]);
    for reading in &sign.readings {
        table.row(vec![
            reading.title.as_str().into(),
            reading.accept.as_str().into(),
            Cell::Strong(reading.shown.clone()),
            reading.standing.into(),
            reading.note.as_str().into(),
        ]);
    }
    flow.table("sign-off-readings", table);
}

fn signatures(flow: &mut Flow<'_>) {
    flow.heading("Signed");
    flow.note(
        "Signing says that the tests above were done and the open points are known. It is no proof \
         of safety: local rules, the machine's own documents and licensed practice go first.",
    );
    let mut table = Table::new(&["role", "name", "date", "signature"]);
    for role in ["built by", "tested by", "taken over by"] {
        table.row(vec![role.into(), Cell::Blank, Cell::Blank, Cell::Blank]);
    }
    flow.table("sign-off-signed", table);
}
