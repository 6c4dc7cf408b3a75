//! `ohmloom infer`: pull and reference from what was measured, and how two switches join.

use std::io::Read;

use serde::Serialize;

use crate::cli::args::{Format, InferCommand, InferSide};
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::nine_figures;
use crate::csv_text::csv_records;
use crate::files;
use crate::model::Side;
use crate::study::infer::{self, Joined, Pair};
use crate::units::{format_ohm, format_volt, parse_number, parse_ohm};

/// The meter's error where none is said: 1 % and 10 mV (common practice, no source).
const METER: (f64, f64) = (0.01, 0.01);

/// Works out what was asked.
///
/// # Errors
/// One sentence: a figure or a file that is not understood, figures that cannot be.
pub fn answer(command: &InferCommand) -> Result<Answer, String> {
    match command {
        InferCommand::Pull { ohm, volt, reference, side, format } => {
            let pair = Pair { ohm: ohms(ohm)?, volt: volts(volt)? };
            let pull = infer::pull(side_of(*side), pair, volts(reference)?)?;
            Ok(pull_answer(pull, *format))
        }
        InferCommand::Table { file, side, format } => {
            let text = if file.as_os_str() == "-" {
                let mut text = String::new();
                let read = std::io::stdin().take(1 << 20).read_to_string(&mut text);
                read.map_err(|error| format!("could not read what was piped in: {error}"))?;
                text
            } else {
                files::read_text(file).map_err(|error| error.to_string())?
            };
            let pairs = infer::parse_table(&text)?;
            let verdict = infer::table(side_of(*side), &pairs, METER)?;
            Ok(table_answer(&pairs, &verdict, *format))
        }
        InferCommand::Presses { one, other, both, none, format } => {
            let none = none.as_deref().map_or(Ok(f64::INFINITY), ohms)?;
            let joined = infer::two_presses(ohms(one)?, ohms(other)?, ohms(both)?, none, METER.0);
            Ok(presses_answer(joined, *format))
        }
    }
}

fn side_of(side: InferSide) -> Side {
    match side {
        InferSide::Ground => Side::Ground,
        InferSide::Supply => Side::Supply,
    }
}

fn ohms(text: &str) -> Result<f64, String> {
    if ["open", "ol"].contains(&text.to_lowercase().as_str()) {
        return Ok(f64::INFINITY);
    }
    parse_ohm(text).map_err(|error| error.to_string())
}

fn volts(text: &str) -> Result<f64, String> {
    let text = text.trim_end_matches(['V', 'v']);
    parse_number(text, "V", "volts such as 3.44").map_err(|error| error.to_string())
}

fn pull_answer(pull: f64, format: Format) -> Answer {
    #[derive(Serialize)]
    struct Document {
        pull_ohm: Option<f64>,
    }
    let text = match format {
        Format::Table => format!("The pull is {}.\n", format_ohm(pull)),
        Format::Csv => {
            csv_records(&[vec!["pull_ohm".into()], vec![nine_figures(pull).to_string()]])
        }
        Format::Json => json::document(&Document { pull_ohm: json::number(pull) }),
    };
    Answer { text, health: Health::Fine }
}

fn table_answer(pairs: &[Pair], verdict: &infer::TableVerdict, format: Format) -> Answer {
    #[derive(Serialize)]
    struct Document<'a> {
        pull_ohm: Option<f64>,
        reference_volt: Option<f64>,
        fits: bool,
        causes: &'a [String],
        rows: Vec<Row>,
    }
    #[derive(Serialize)]
    struct Row {
        ohm: Option<f64>,
        volt: Option<f64>,
        residual_volt: Option<f64>,
    }
    let fit = &verdict.fit;
    let rows = || pairs.iter().zip(&fit.residual_volt);
    let text = match format {
        Format::Table => {
            let word = if verdict.is_good {
                let agrees = match pairs.len() {
                    0..3 => "two rows cannot check each other: add a third",
                    _ => "every row agrees",
                };
                format!(
                    "Pull {}, reference {}: {agrees}.",
                    format_ohm(fit.pull_ohm),
                    format_volt(fit.reference_volt)
                )
            } else {
                format!(
                    "No single value fits. Nearest: pull {}, reference {}.",
                    format_ohm(fit.pull_ohm),
                    format_volt(fit.reference_volt)
                )
            };
            let mut text = wrapped("", &word, 0);
            for cause in &verdict.causes {
                text += &wrapped("- ", &format!("Likely: {cause}."), 2);
            }
            let columns =
                [("ohms", Align::Right), ("volts", Align::Right), ("off by", Align::Right)];
            let cells: Vec<Vec<String>> = rows()
                .map(|(pair, rest)| {
                    vec![format_ohm(pair.ohm), format_volt(pair.volt), format!("{rest:+.4} V")]
                })
                .collect();
            text + "\n" + &table(&columns, &cells)
        }
        Format::Csv => {
            let mut records = vec![vec!["ohm".to_owned(), "volt".into(), "residual_volt".into()]];
            records.extend(rows().map(|(pair, rest)| {
                let ohm = if pair.ohm.is_finite() { pair.ohm.to_string() } else { "open".into() };
                vec![ohm, pair.volt.to_string(), nine_figures(*rest).to_string()]
            }));
            csv_records(&records)
        }
        Format::Json => json::document(&Document {
            pull_ohm: json::number(fit.pull_ohm),
            reference_volt: json::number(fit.reference_volt),
            fits: verdict.is_good,
            causes: &verdict.causes,
            rows: rows()
                .map(|(pair, rest)| Row {
                    ohm: json::number(pair.ohm),
                    volt: json::number(pair.volt),
                    residual_volt: json::number(*rest),
                })
                .collect(),
        }),
    };
    Answer { text, health: if verdict.is_good { Health::Fine } else { Health::Problems } }
}

fn presses_answer(joined: Joined, format: Format) -> Answer {
    #[derive(Serialize)]
    struct Document {
        joined: &'static str,
        words: &'static str,
    }
    let word = match joined {
        Joined::Parallel => "parallel",
        Joined::NearestWins => "nearest wins",
        Joined::Series => "series",
        Joined::Unknown => "unknown",
    };
    let words = joined.words();
    let text = match format {
        Format::Table => format!("The two are {words}.\n"),
        Format::Csv => {
            csv_records(&[vec!["joined".into(), "words".into()], vec![word.into(), words.into()]])
        }
        Format::Json => json::document(&Document { joined: word, words }),
    };
    let health = if joined == Joined::Unknown { Health::Problems } else { Health::Fine };
    Answer { text, health }
}
