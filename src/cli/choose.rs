//! `ohmloom choose FILE`: the best values for some resistors.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::cli::args::{ChooseArgs, Format};
use crate::cli::controls::sense_pin;
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::{listed, nine_figures};
use crate::csv_text::csv_records;
use crate::model::{PartId, PartKind, Project, Resistor, Scale};
use crate::series::Series;
use crate::study::values::{
    self, Answer as Found, Bands, Candidate, MarginUnit, Question, Room, drawer, from_series, pairs,
};
use crate::units::{format_ohm, format_volt, parse_ohm, trim_zeros};

/// Chooses and writes the outcome as asked.
///
/// # Errors
/// A sentence: a resistor, pin, series or list that is not understood.
pub fn answer(
    project: &Project,
    args: &ChooseArgs,
    drawer_text: Option<&str>,
) -> Result<Answer, String> {
    let pin = sense_pin(project, args.pin.as_deref())?;
    let parts = parts(project, &args.change)?;
    let first = resistor(project, parts[0])?;
    let mut candidates = match drawer_text {
        Some(text) => drawer(text, first.tolerance)?,
        None => {
            let (low, high) = decades(&args.decades)?;
            from_series(series(&args.series)?, low, high, first.tolerance)
        }
    };
    if args.pairs {
        candidates = pairs(&candidates);
    }
    let drift = first.tempco_ppm_per_k * 1e-6 * project.settings.temperature_span_k;
    let bands = if args.teach { Bands::Free } else { Bands::Fixed };
    let unit = args.unit.as_deref().and_then(unit);
    let question = Question { pin, parts, candidates, drift, bands, unit };
    let found = values::choose(project, &question, &mut |_| true)?;
    let shown = Shown { project, question: &question, found: &found };
    let text = match args.file.format {
        Format::Table => shown.text(),
        Format::Csv => shown.csv(),
        Format::Json => shown.document(),
    };
    let fits = found.best.first().is_some_and(|choice| choice.margin > 0.0);
    Ok(Answer { text, health: if fits { Health::Fine } else { Health::Problems } })
}

fn parts(project: &Project, names: &[String]) -> Result<Vec<PartId>, String> {
    let resistors: Vec<(PartId, &str)> = project
        .parts
        .iter()
        .filter(|(_, part)| matches!(part.kind, PartKind::Resistor(_)))
        .map(|(id, part)| (id, part.name.as_str()))
        .collect();
    let find = |name: &String| {
        resistors
            .iter()
            .find(|(_, known)| known.eq_ignore_ascii_case(name))
            .map(|(id, _)| *id)
            .ok_or_else(|| {
                let known = listed(resistors.iter().map(|(_, name)| *name));
                format!("expected one of the resistors {known}, found \"{name}\"")
            })
    };
    let parts: Vec<PartId> = names.iter().map(find).collect::<Result<_, _>>()?;
    let distinct: BTreeSet<PartId> = parts.iter().copied().collect();
    match parts.len() {
        0 => Err("say with --change which resistors may change, such as --change R1,R2".into()),
        n if n > distinct.len() => Err("a resistor is named twice after --change".into()),
        _ => Ok(parts),
    }
}

fn resistor(project: &Project, part: PartId) -> Result<&Resistor, String> {
    match project.parts.get(part).map(|part| &part.kind) {
        Some(PartKind::Resistor(resistor)) => Ok(resistor),
        Some(_) | None => Err("the part is no resistor".into()),
    }
}

/// The usage message names the words, so there is no other.
fn unit(word: &str) -> Option<MarginUnit> {
    [("volts", MarginUnit::Volt), ("counts", MarginUnit::Count), ("percent", MarginUnit::Ratio)]
        .into_iter()
        .find(|(known, _)| *known == word)
        .map(|(_, unit)| unit)
}

fn series(text: &str) -> Result<Series, String> {
    Series::ALL
        .into_iter()
        .find(|series| series.to_string().eq_ignore_ascii_case(text))
        .ok_or_else(|| format!("expected a series such as E24 or E96, found \"{text}\""))
}

fn decades(text: &str) -> Result<(f64, f64), String> {
    let bad = || format!("expected two values such as 100..100k, found \"{text}\"");
    let (low, high) = text.split_once("..").ok_or_else(bad)?;
    let value = |text: &str| parse_ohm(text).ok().filter(|ohm| *ohm > 0.0);
    match (value(low), value(high)) {
        (Some(low), Some(high)) if low < high => Ok((low, high)),
        _ => Err(bad()),
    }
}

struct Shown<'a> {
    project: &'a Project,
    question: &'a Question,
    found: &'a Found,
}

impl Shown<'_> {
    fn text(&self) -> String {
        let names: Vec<&str> = self.question.parts.iter().map(|part| self.name(*part)).collect();
        let mut text = wrapped(
            "",
            &format!(
                "Best values for {} of {}: {} values, {} states weighed, proven best",
                names.join(", "),
                self.project.title,
                self.question.candidates.len(),
                self.found.n_states
            ),
            0,
        );
        text += &self.limit();
        if self.found.best.is_empty() {
            text += &wrapped(
                "\n",
                "No choice keeps every state out of bands that were not asked for: free the bands with --teach, allow more values, or split the controls over two pins.",
                0,
            );
            return text;
        }
        let mut columns = vec![("margin", Align::Right)];
        columns.extend(names.iter().map(|name| (*name, Align::Right)));
        columns.push(("to buy", Align::Left));
        let rows: Vec<Vec<String>> = self
            .found
            .best
            .iter()
            .map(|choice| {
                let mut row = vec![self.margin(choice.margin)];
                row.extend(choice.picks.iter().map(|pick| format_ohm(self.candidate(*pick).ohm)));
                let buy: Vec<String> = choice.picks.iter().map(|pick| self.recipe(*pick)).collect();
                row.push(buy.join(", "));
                row
            })
            .collect();
        text += "\n";
        text += &table(&columns, &rows);
        let what = match self.question.bands {
            Bands::Fixed => {
                "Margin: how far the worst case of the weakest state stays inside its band."
            }
            Bands::Free => {
                "Margin: the least gap between the worst cases of neighbouring states; the bands are to be taught."
            }
        };
        text += &wrapped("\n", what, 0);
        text
    }

    /// How many readings the pin can tell apart at all.
    fn limit(&self) -> String {
        let question = self.question;
        let widest = question.candidates.iter().map(|c| c.tolerance).fold(0.0, f64::max);
        Room::with(self.project, question.pin, (widest, question.drift), &|| true)
            .map_or_else(String::new, |room| wrapped("", &room.words(self.project), 0))
    }

    fn csv(&self) -> String {
        let mut head = vec!["rank".to_owned(), "margin".into(), "unit".into()];
        head.extend(self.question.parts.iter().map(|part| format!("{}_ohm", self.name(*part))));
        head.extend(self.question.parts.iter().map(|part| format!("{}_made_of", self.name(*part))));
        let mut records = vec![head];
        for (rank, choice) in self.found.best.iter().enumerate() {
            let mut record = vec![
                (rank + 1).to_string(),
                nine_figures(choice.margin).to_string(),
                self.unit().into(),
            ];
            record.extend(
                choice.picks.iter().map(|pick| nine_figures(self.candidate(*pick).ohm).to_string()),
            );
            record.extend(choice.picks.iter().map(|pick| self.recipe(*pick)));
            records.push(record);
        }
        csv_records(&records)
    }

    fn document(&self) -> String {
        #[derive(Serialize)]
        struct Document<'a> {
            project: &'a str,
            unit: &'static str,
            proven: bool,
            bound: Option<f64>,
            states: usize,
            best: Vec<Row<'a>>,
        }
        #[derive(Serialize)]
        struct Row<'a> {
            margin: Option<f64>,
            values: Vec<Value<'a>>,
        }
        #[derive(Serialize)]
        struct Value<'a> {
            part: &'a str,
            ohm: Option<f64>,
            made_of: String,
        }
        let value = |(part, pick): (&PartId, &usize)| Value {
            part: self.name(*part),
            ohm: json::number(self.candidate(*pick).ohm),
            made_of: self.recipe(*pick),
        };
        json::document(&Document {
            project: &self.project.title,
            unit: self.unit(),
            proven: self.found.is_proven,
            bound: json::number(self.found.bound),
            states: self.found.n_states,
            best: self
                .found
                .best
                .iter()
                .map(|choice| Row {
                    margin: json::number(choice.margin),
                    values: self.question.parts.iter().zip(&choice.picks).map(value).collect(),
                })
                .collect(),
        })
    }

    fn name(&self, part: PartId) -> &str {
        self.project.parts.get(part).map_or("?", |part| part.name.as_str())
    }

    fn candidate(&self, pick: usize) -> &Candidate {
        &self.question.candidates[pick]
    }

    /// What a value is made of; tolerances are named where they are not those of the drawing.
    fn recipe(&self, pick: usize) -> String {
        let first = self.question.parts.first();
        let usual = first.and_then(|part| resistor(self.project, *part).ok());
        self.candidate(pick).recipe.words(usual.map_or(0.0, |resistor| resistor.tolerance))
    }

    fn scale(&self) -> Scale {
        self.project.sense_pins.get(self.question.pin).map_or(Scale::Ohm, |pin| pin.scale)
    }

    fn unit(&self) -> &'static str {
        match self.found.unit {
            MarginUnit::Scale => self.scale().unit(),
            MarginUnit::Volt => Scale::Volt.unit(),
            MarginUnit::Count => Scale::Count.unit(),
            MarginUnit::Ratio => "ratio",
        }
    }

    fn margin(&self, margin: f64) -> String {
        match self.found.unit {
            MarginUnit::Scale => self.scale().text(margin),
            MarginUnit::Volt => format_volt(margin),
            MarginUnit::Count => Scale::Count.text(margin),
            MarginUnit::Ratio => {
                format!("{} %", trim_zeros(&format!("{:.2}", margin.exp_m1() * 100.0)))
            }
        }
    }
}
