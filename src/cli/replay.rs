//! `ohmloom replay FILE LOG.csv`: what the machine did, held to the drawing.

use serde::Serialize;

use crate::cli::args::{Format, ReplayArgs};
use crate::cli::controls::sense_pin;
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::csv_text::csv_records;
use crate::files;
use crate::model::{Project, SensePin};
use crate::proving::replay::{
    BandUse, Event, Log, Matching, Outline, Replay, Role, apply_columns, band_name, event_words,
    expected_words, length_words, load, outline, propose, read_words, replay, said_at,
};
use crate::units::{Range, counted};

/// Refused rows that are listed one by one in the table; CSV and JSON have all of them.
const LISTED: usize = 20;

/// Loads the log, decodes it and writes what was found as asked.
///
/// # Errors
/// A pin, a column or a file that is not understood.
pub fn answer(project: &Project, args: &ReplayArgs) -> Result<Answer, String> {
    if args.file.out.as_ref().is_some_and(|out| files::is_same_file(&args.log, out)) {
        return Err(
            "could not write the answer over the log itself: choose another name after --out"
                .into(),
        );
    }
    let id = sense_pin(project, args.pin.as_deref())?;
    let pin = project.sense_pins.get(id).ok_or("the project has no such sense pin")?;
    let bytes = files::read_log(&args.log).map_err(|error| error.to_string())?;
    let name = args.log.display();
    let of_file = |sentence: String| format!("{name}: {sentence}");
    let seen = outline(&bytes, None).map_err(of_file)?;
    let mut matching = propose(&seen, project, pin);
    if let Some(columns) = &args.columns {
        apply_columns(&mut matching, &seen, project, columns)?;
    }
    let log = load(&bytes, &seen, &matching, &|_| true)
        .map_err(of_file)?
        .expect("it is only given up when told to");
    let replay = replay(project, id, &log, &|| true)?.expect("it is only given up when told to");
    let shown =
        Shown { project, pin, outline: &seen, matching: &matching, log: &log, replay: &replay };
    let text = match args.file.format {
        Format::Table => shown.text(),
        Format::Csv => shown.csv(),
        Format::Json => shown.document(),
    };
    let is_fine = replay.events.is_empty() && log.refused.is_empty();
    Ok(Answer { text, health: if is_fine { Health::Fine } else { Health::Problems } })
}

struct Shown<'a> {
    project: &'a Project,
    pin: &'a SensePin,
    outline: &'a Outline,
    matching: &'a Matching,
    log: &'a Log,
    replay: &'a Replay,
}

impl Shown<'_> {
    fn text(&self) -> String {
        let pin = self.project.terminal_name(self.pin.terminal);
        let head = format!("{}, {pin} {}", self.project.title, self.pin.name);
        let mut text = wrapped("", &head, 0);
        text += &wrapped("", &format!("Columns: {}", self.columns_words()), 0);
        text += &wrapped("", &self.size_words(), 0);
        for note in self.log.notes.iter().chain(&self.replay.notes) {
            text += &wrapped("- ", note, 2);
        }
        text += "\n";
        text += &self.bands_text();
        text += "\n";
        text += &match self.replay.events.len() {
            0 => "No events.\n".to_owned(),
            n => format!("{}\n\n{}", counted(n, "event"), self.events_text()),
        };
        if !self.log.refused.is_empty() {
            text += &format!(
                "\n{} could not be read and {} left out:\n",
                counted(self.log.refused.len(), "row"),
                if self.log.refused.len() == 1 { "was" } else { "were" }
            );
            for refused in self.log.refused.iter().take(LISTED) {
                text += &wrapped("- ", &refused.words(), 2);
            }
            if let Some(more) = self.log.refused.len().checked_sub(LISTED).filter(|n| *n > 0) {
                text += &format!("- and {more} more; --format csv lists all\n");
            }
        }
        text
    }

    fn columns_words(&self) -> String {
        let of = |(slot, role): (usize, &Option<Role>)| {
            let role = (*role)?;
            let word = match role {
                Role::Control(id) => format!(
                    "control {}",
                    self.project.controls.get(id).map_or("?", |control| control.name.as_str())
                ),
                Role::Time
                | Role::Date
                | Role::Reading
                | Role::Supply
                | Role::State
                | Role::Text => role.word().to_owned(),
            };
            let unit = self
                .matching
                .unit(role)
                .map(|unit| format!(" in {}", unit.word()))
                .unwrap_or_default();
            Some(format!("{} is {word}{unit}", self.outline.column_name(slot)))
        };
        let all: Vec<String> = self.matching.roles.iter().enumerate().filter_map(of).collect();
        format!("{}; between them a {}", all.join(", "), self.matching.delimiter.noun())
    }

    fn size_words(&self) -> String {
        let figures = &self.replay.summary;
        let mut words =
            format!("{} over {}", counted(figures.n_rows, "row"), length_words(figures.span_s));
        if self.log.is_regular {
            words += &format!(", one every {}", length_words(self.log.step_s));
        }
        if figures.gaps > 0 {
            words += &format!(
                ", {} without rows ({} in all)",
                counted(figures.gaps, "time"),
                length_words(figures.silent_s)
            );
        }
        if figures.passings > 0 {
            words += &format!(
                ", {} passed another band or a guard on the way, too shortly to mean anything",
                counted(figures.passings, "change")
            );
        }
        if figures.dips > 0 {
            words += &format!(", {} of the supply", counted(figures.dips, "dip"));
        }
        words + "."
    }

    fn bands_text(&self) -> String {
        let columns = [
            ("band", Align::Left),
            ("share", Align::Right),
            ("time", Align::Right),
            ("stays", Align::Right),
            ("mean", Align::Right),
            ("read", Align::Left),
            ("drawing", Align::Left),
        ];
        let rows: Vec<Vec<String>> =
            self.replay.summary.bands.iter().map(|band| self.band_row(band)).collect();
        table(&columns, &rows)
    }

    fn band_row(&self, band: &BandUse) -> Vec<String> {
        let text = |value: f64| self.pin.scale.text(value);
        vec![
            band_name(self.pin, band.band).to_owned(),
            format!("{:.1} %", 100.0 * self.share(band)),
            length_words(band.time_s),
            band.stays.to_string(),
            text(band.read.nominal),
            read_words(self.pin, (band.read.low, band.read.high)),
            band.expected.map_or_else(String::new, |range| {
                format!(
                    "{} ({})",
                    text(range.nominal),
                    read_words(self.pin, (range.low, range.high))
                )
            }),
        ]
    }

    fn share(&self, band: &BandUse) -> f64 {
        let recorded = self.replay.summary.span_s - self.replay.summary.silent_s;
        if recorded > 0.0 { band.time_s / recorded } else { 0.0 }
    }

    fn events_text(&self) -> String {
        let columns = [
            ("time", Align::Right),
            ("line", Align::Right),
            ("length", Align::Right),
            ("kind", Align::Left),
            ("read", Align::Left),
            ("drawing", Align::Left),
            ("what", Align::Left),
        ];
        let rows: Vec<Vec<String>> = self
            .replay
            .events
            .iter()
            .map(|event| {
                vec![
                    self.log.time_words(event.from_s),
                    self.log.line[event.first].to_string(),
                    length_words(event.length_s()),
                    event.kind.word().to_owned(),
                    read_words(self.pin, event.read),
                    expected_words(self.pin, event),
                    self.words(event),
                ]
            })
            .collect();
        table(&columns, &rows)
    }

    fn words(&self, event: &Event) -> String {
        event_words(self.pin, self.replay, self.log, event)
    }

    fn csv(&self) -> String {
        let head = [
            "kind",
            "line",
            "from_s",
            "length_s",
            "band",
            "read_low",
            "read_high",
            "expected_low",
            "expected",
            "expected_high",
            "controls",
            "what",
        ];
        let mut records = vec![head.map(str::to_owned).to_vec()];
        let number = |value: f64| match value.is_finite() {
            true => crate::cli::words::nine_figures(value).to_string(),
            false => "open".to_owned(),
        };
        for event in &self.replay.events {
            let (low, usual, high) = event.expected.map_or_else(Default::default, |range| {
                (number(range.low), number(range.nominal), number(range.high))
            });
            records.push(vec![
                event.kind.word().to_owned(),
                self.log.line[event.first].to_string(),
                format!("{:.6}", event.from_s),
                format!("{:.6}", event.length_s()),
                band_name(self.pin, event.band).to_owned(),
                number(event.read.0),
                number(event.read.1),
                low,
                usual,
                high,
                said_at(self.replay, event.first).to_owned(),
                self.words(event),
            ]);
        }
        for refused in &self.log.refused {
            let mut record = vec!["row not read".to_owned(), refused.line.to_string()];
            record.resize(head.len() - 1, String::new());
            record.push(refused.words());
            records.push(record);
        }
        csv_records(&records)
    }

    fn document(&self) -> String {
        let figures = &self.replay.summary;
        json::document(&Document {
            pin: self.project.terminal_name(self.pin.terminal),
            unit: self.pin.scale.unit(),
            rows: figures.n_rows,
            span_s: six(figures.span_s),
            step_s: self.log.is_regular.then(|| six(self.log.step_s)),
            gaps: figures.gaps,
            passings: figures.passings,
            dips: figures.dips,
            notes: self.log.notes.iter().chain(&self.replay.notes).cloned().collect(),
            bands: figures.bands.iter().map(|band| self.band_document(band)).collect(),
            events: self.replay.events.iter().map(|event| self.event_document(event)).collect(),
            not_read: self
                .log
                .refused
                .iter()
                .map(|refused| NotRead {
                    line: refused.line,
                    column: (refused.column > 0).then_some(refused.column),
                    what: refused.words(),
                })
                .collect(),
        })
    }

    fn band_document(&self, band: &BandUse) -> BandDocument {
        BandDocument {
            band: band_name(self.pin, band.band).to_owned(),
            share: six(self.share(band)),
            time_s: six(band.time_s),
            stays: band.stays,
            read: band.read.into(),
            expected: band.expected.map(Range::into),
        }
    }

    fn event_document(&self, event: &Event) -> EventDocument {
        EventDocument {
            kind: event.kind.word(),
            line: self.log.line[event.first],
            from_s: six(event.from_s),
            length_s: six(event.length_s()),
            band: band_name(self.pin, event.band).to_owned(),
            times: event.times,
            read_low: json::number(event.read.0),
            read_high: json::number(event.read.1),
            expected: event.expected.map(Range::into),
            controls: said_at(self.replay, event.first).to_owned(),
            harm: event.harm(self.pin).word(),
            what: self.words(event),
        }
    }
}

fn six(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

#[derive(Serialize)]
struct Document {
    pin: String,
    unit: &'static str,
    rows: usize,
    span_s: f64,
    step_s: Option<f64>,
    gaps: usize,
    passings: usize,
    dips: usize,
    notes: Vec<String>,
    bands: Vec<BandDocument>,
    events: Vec<EventDocument>,
    not_read: Vec<NotRead>,
}

#[derive(Serialize)]
struct BandDocument {
    band: String,
    share: f64,
    time_s: f64,
    stays: usize,
    read: json::Three,
    expected: Option<json::Three>,
}

#[derive(Serialize)]
struct EventDocument {
    kind: &'static str,
    line: u32,
    from_s: f64,
    length_s: f64,
    band: String,
    times: usize,
    read_low: Option<f64>,
    read_high: Option<f64>,
    expected: Option<json::Three>,
    controls: String,
    harm: &'static str,
    what: String,
}

#[derive(Serialize)]
struct NotRead {
    line: u32,
    column: Option<u16>,
    what: String,
}
