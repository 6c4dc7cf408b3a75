//! `ohmloom setup FILE --sign-off`: tests done, readings, open points.

use serde::Serialize;

use crate::cli::args::Format;
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::csv_text::csv_records;
use crate::model::Project;
use crate::proving::sign_off::SignOff;

/// Writes the sign-off.
pub fn signed(project: &Project, sign: &SignOff, format: Format) -> Answer {
    let health = if sign.open.is_empty() { Health::Fine } else { Health::Problems };
    let text = match format {
        Format::Table => signed_text(project, sign),
        Format::Csv => {
            let head = ["about", "what is open", "what to do"];
            let mut records = vec![head.map(str::to_owned).to_vec()];
            records.extend(sign.open.iter().map(|point| {
                vec![point.kind.word().into(), point.what.clone(), point.cure.clone()]
            }));
            csv_records(&records)
        }
        Format::Json => signed_document(project, sign),
    };
    Answer { text, health }
}

fn signed_text(project: &Project, sign: &SignOff) -> String {
    let mut text = wrapped("", &format!("{}: sign-off. {}", project.title, sign.words()), 0);
    let columns = |heads: &[&'static str]| -> Vec<(&'static str, Align)> {
        heads.iter().map(|head| (*head, Align::Left)).collect()
    };
    if !sign.tests.is_empty() {
        text += "\nTests done\n";
        let rows: Vec<_> = sign
            .tests
            .iter()
            .map(|test| {
                let hand_over = if test.is_hand_over { "yes" } else { "no" };
                vec![
                    test.name.clone(),
                    test.date.clone(),
                    test.initials.clone(),
                    test.meter.clone(),
                    hand_over.into(),
                    test.tally.words(),
                ]
            })
            .collect();
        let heads = ["round", "date", "by", "meter", "hand-over", "what came of it"];
        text += &table(&columns(&heads), &rows);
    }
    if !sign.readings.is_empty() {
        text += "\nReadings\n";
        let rows: Vec<_> = sign
            .readings
            .iter()
            .map(|row| {
                let (title, accept) = (row.title.clone(), row.accept.clone());
                vec![title, accept, row.shown.clone(), row.standing.into(), row.note.clone()]
            })
            .collect();
        let heads = ["what", "accept", "reading", "what came of it", "note"];
        text += &table(&columns(&heads), &rows);
    }
    if !sign.open.is_empty() {
        text += "\nOpen points\n";
        let rows: Vec<_> = sign
            .open
            .iter()
            .map(|point| vec![point.kind.word().into(), point.what.clone(), point.cure.clone()])
            .collect();
        text += &table(&columns(&["about", "what is open", "what to do"]), &rows);
    }
    text
}

fn signed_document(project: &Project, sign: &SignOff) -> String {
    #[derive(Serialize)]
    struct Document<'a> {
        title: &'a str,
        tests: Vec<Test<'a>>,
        readings: Vec<Reading<'a>>,
        open: Vec<Point<'a>>,
    }
    #[derive(Serialize)]
    struct Test<'a> {
        round: &'a str,
        date: &'a str,
        by: &'a str,
        meter: &'a str,
        temperature_c: Option<f64>,
        is_hand_over: bool,
        is_signed: bool,
        good: usize,
        bad: usize,
        skipped: usize,
        stale: usize,
        blocked: usize,
        open: usize,
    }
    #[derive(Serialize)]
    struct Reading<'a> {
        what: &'a str,
        accept: &'a str,
        reading: &'a str,
        outcome: &'static str,
        note: &'a str,
    }
    #[derive(Serialize)]
    struct Point<'a> {
        about: &'static str,
        what: &'a str,
        cure: &'a str,
    }
    let tests = sign.tests.iter().map(|test| Test {
        round: &test.name,
        date: &test.date,
        by: &test.initials,
        meter: &test.meter,
        temperature_c: test.temperature_c.and_then(json::number),
        is_hand_over: test.is_hand_over,
        is_signed: sign.of == Some(test.id),
        good: test.tally.good,
        bad: test.tally.bad,
        skipped: test.tally.skipped,
        stale: test.tally.stale,
        blocked: test.tally.blocked,
        open: test.tally.open,
    });
    let readings = sign.readings.iter().map(|row| Reading {
        what: &row.title,
        accept: &row.accept,
        reading: &row.shown,
        outcome: row.standing,
        note: &row.note,
    });
    let open = sign.open.iter().map(|point| Point {
        about: point.kind.word(),
        what: &point.what,
        cure: &point.cure,
    });
    json::document(&Document {
        title: &project.title,
        tests: tests.collect(),
        readings: readings.collect(),
        open: open.collect(),
    })
}
