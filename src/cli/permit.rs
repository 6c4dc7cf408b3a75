//! `ohmloom permit FILE [--from A --to B]`: the truth table of a permit loop, and its single mistakes.

use serde::Serialize;

use crate::check::cautions;
use crate::cli::args::{Format, PermitArgs};
use crate::cli::controls::{control_names, positions, terminal};
use crate::cli::json::{self, InOrder};
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::subject_words;
use crate::csv_text::csv_records;
use crate::model::{Project, State};
use crate::study::permit::{CAUTIONS, Permit, likely_ends, permit};
use crate::units::{counted, format_ohm};

/// More states than this are not listed in one cell or table.
const MAX_LISTED: usize = 64;
/// More states than this are counted in a cell, not named.
const MAX_NAMED: usize = 3;

/// Reckons the loop and writes it as asked.
///
/// # Errors
/// A terminal that no part has, or a loop that cannot be one.
pub fn answer(project: &Project, args: &PermitArgs) -> Result<Answer, String> {
    let (from, to) = match (&args.from, &args.to) {
        (Some(from), Some(to)) => (terminal(project, from)?, terminal(project, to)?),
        (None, _) | (_, None) => project.permit.or_else(|| likely_ends(project)).ok_or(
            "expected --from and --to: no permit loop is picked in the project, and no cavity of a controller speaks of one",
        )?,
    };
    let found = permit(project, from, to)?;
    let shown = Shown { project, permit: &found };
    let text = match args.file.format {
        Format::Table => shown.text(),
        Format::Csv => shown.csv(),
        Format::Json => shown.document(),
    };
    let health = if found.findings.is_empty() { Health::Fine } else { Health::Problems };
    Ok(Answer { text, health })
}

struct Shown<'a> {
    project: &'a Project,
    permit: &'a Permit,
}

impl Shown<'_> {
    fn title(&self) -> String {
        let name = |end| self.project.terminal_name(end);
        format!("{} to {}", name(self.permit.from), name(self.permit.to))
    }

    fn text(&self) -> String {
        let head = format!(
            "{}, permit loop {}: {}",
            self.project.title,
            self.title(),
            self.permit.rule_words(self.project)
        );
        let mut text = wrapped("", &head, 0);
        for finding in &self.permit.findings {
            text += &wrapped("! ", &finding.words(self.project), 2);
        }
        text += "\n";
        text += &self.truth_table();
        text += "\n";
        let rows: Vec<Vec<String>> = self
            .permit
            .mistakes
            .iter()
            .map(|mistake| {
                vec![
                    mistake.title.clone(),
                    mistake.kind.word().into(),
                    mistake.effect().word().into(),
                    self.states_words(&mistake.permits),
                    self.states_words(&mistake.blocks),
                ]
            })
            .collect();
        let columns = [
            ("mistake", Align::Left),
            ("kind", Align::Left),
            ("does", Align::Left),
            ("closed though it should be open", Align::Left),
            ("open though it should be closed", Align::Left),
        ];
        text += &table(&columns, &rows);
        text += "\nBefore you work on it\n";
        for words in self.cautions() {
            text += &wrapped("- ", &words, 2);
        }
        text
    }

    /// One row a state.
    fn truth_table(&self) -> String {
        let names = control_names(self.project, &self.permit.controls);
        let mut columns: Vec<(&str, Align)> =
            names.iter().map(|(name, _)| (name.as_str(), Align::Left)).collect();
        columns.extend([("loop", Align::Left), ("ohms", Align::Right)]);
        let rows: Vec<Vec<String>> = self
            .permit
            .states
            .iter()
            .enumerate()
            .take(MAX_LISTED)
            .map(|(idx, state)| {
                let mut cells: Vec<String> =
                    self.positions(state).into_iter().map(|(_, position)| position).collect();
                cells.push(loop_word(self.permit, idx).into());
                cells.push(format_ohm(self.permit.ohms[idx]));
                cells
            })
            .collect();
        let mut text = table(&columns, &rows);
        let n_more = self.permit.states.len().saturating_sub(MAX_LISTED);
        if n_more > 0 {
            text += &wrapped("… ", &format!("and {}", counted(n_more, "more state")), 2);
        }
        text
    }

    fn positions(&self, state: &State) -> Vec<(String, String)> {
        positions(self.project, &self.permit.controls, state)
    }

    fn states_words(&self, states: &[usize]) -> String {
        if states.len() > MAX_NAMED {
            return format!("{} of {} states", states.len(), self.permit.states.len());
        }
        let words: Vec<String> = states.iter().map(|idx| self.state_words(*idx)).collect();
        words.join("; ")
    }

    /// Every control of the loop, also those at rest: in a truth table rest is no matter of course.
    fn state_words(&self, idx: usize) -> String {
        let stands = self.positions(&self.permit.states[idx]).into_iter();
        stands.map(|(name, at)| format!("{name} {at}")).collect::<Vec<_>>().join(", ")
    }

    fn cautions(&self) -> Vec<String> {
        CAUTIONS.iter().map(|words| (*words).to_owned()).chain(cautions(self.project)).collect()
    }

    fn csv(&self) -> String {
        let head = ["mistake", "kind", "where", "controls", "loop", "should_be"];
        let mut records = vec![head.map(str::to_owned).to_vec()];
        let state = |idx: usize| self.state_words(idx);
        for idx in 0..self.permit.states.len() {
            let word = loop_word(self.permit, idx).to_owned();
            let none = ["as drawn", "", ""].map(str::to_owned);
            records.push(none.into_iter().chain([state(idx), word.clone(), word]).collect());
        }
        for mistake in &self.permit.mistakes {
            let place = subject_words(self.project, mistake.subject);
            for idx in mistake.permits.iter().chain(&mistake.blocks) {
                let is_closed = self.permit.is_closed(*idx);
                let (now, wanted) = if is_closed { ("open", "closed") } else { ("closed", "open") };
                records.push(vec![
                    mistake.title.clone(),
                    mistake.kind.word().into(),
                    place.clone(),
                    state(*idx),
                    now.into(),
                    wanted.into(),
                ]);
            }
        }
        csv_records(&records)
    }

    fn document(&self) -> String {
        #[derive(Serialize)]
        struct Document<'a> {
            from: String,
            to: String,
            rule: String,
            findings: Vec<String>,
            states: Vec<InState>,
            mistakes: Vec<Row<'a>>,
            cautions: Vec<String>,
        }
        #[derive(Serialize)]
        struct InState {
            controls: InOrder,
            closed: bool,
            ohm: Option<f64>,
        }
        #[derive(Serialize)]
        struct Row<'a> {
            mistake: &'a str,
            kind: &'static str,
            r#where: String,
            does: &'static str,
            permits: Vec<InOrder>,
            blocks: Vec<InOrder>,
        }
        let controls = |idx: usize| InOrder(self.positions(&self.permit.states[idx]));
        let all = |states: &[usize]| states.iter().map(|idx| controls(*idx)).collect();
        json::document(&Document {
            from: self.project.terminal_name(self.permit.from),
            to: self.project.terminal_name(self.permit.to),
            rule: self.permit.rule_words(self.project),
            findings: self.permit.findings.iter().map(|f| f.words(self.project)).collect(),
            states: (0..self.permit.states.len())
                .map(|idx| InState {
                    controls: controls(idx),
                    closed: self.permit.is_closed(idx),
                    ohm: json::number(self.permit.ohms[idx]),
                })
                .collect(),
            mistakes: self
                .permit
                .mistakes
                .iter()
                .map(|mistake| Row {
                    mistake: &mistake.title,
                    kind: mistake.kind.word(),
                    r#where: subject_words(self.project, mistake.subject),
                    does: mistake.effect().word(),
                    permits: all(&mistake.permits),
                    blocks: all(&mistake.blocks),
                })
                .collect(),
            cautions: self.cautions(),
        })
    }
}

fn loop_word(permit: &Permit, idx: usize) -> &'static str {
    if permit.is_closed(idx) { "closed" } else { "open" }
}
