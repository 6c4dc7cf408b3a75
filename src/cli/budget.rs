//! `ohmloom budget FILE`: how much dirt each place stands before a state is lost.

use serde::Serialize;

use crate::check::state_words;
use crate::cli::args::{BudgetArgs, Format};
use crate::cli::controls::{parse_state, positions};
use crate::cli::json::{self, InOrder};
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::{nine_figures, subject_words};
use crate::csv_text::csv_records;
use crate::model::{ControlId, Project, State};
use crate::study::budget::{Budget, BudgetRow, Dirt, budget};
use crate::units::{format_ohm, format_volt};

/// Reckons the budget of every pin and writes it as asked.
///
/// # Errors
/// A state that names no control or position of the project.
pub fn answer(project: &Project, args: &BudgetArgs) -> Result<Answer, String> {
    let state = args.state.as_deref().map(|text| parse_state(project, text)).transpose()?;
    let (mut budgets, mut refused) = (Vec::new(), Vec::new());
    for (id, pin) in project.sense_pins.iter() {
        match budget(project, id) {
            Ok(budget) => budgets.push(budget),
            Err(why) => {
                let terminal = project.terminal_name(pin.terminal);
                refused.push(format!("{terminal} {}: {why}.", pin.name));
            }
        }
    }
    let shown = Shown { project, state };
    let text = match args.file.format {
        Format::Table => shown.text(&budgets, &refused),
        Format::Csv => shown.csv(&budgets),
        Format::Json => shown.document(&budgets),
    };
    Ok(Answer { text, health: Health::Fine })
}

/// A figure with its unit.
pub fn figure(dirt: Dirt, value: f64) -> String {
    match dirt {
        Dirt::Contact | Dirt::Joint | Dirt::Wire | Dirt::Leak => format_ohm(value),
        Dirt::Offset => format_volt(value),
    }
}

struct Shown<'a> {
    project: &'a Project,
    state: Option<State>,
}

impl Shown<'_> {
    /// All rows of the state asked for, or the weakest state of each place.
    fn rows<'b>(&self, budget: &'b Budget) -> Vec<&'b BudgetRow> {
        let mut rows: Vec<&BudgetRow> = Vec::new();
        for row in &budget.rows {
            let is_shown = match &self.state {
                Some(wanted) => self.project.stands(&budget.states[row.state], wanted),
                None => rows
                    .last()
                    .is_none_or(|last| (last.dirt, &last.place) != (row.dirt, &row.place)),
            };
            if is_shown {
                rows.push(row);
            }
        }
        rows
    }

    /// The tables, and of the other pins why they have none.
    fn text(&self, budgets: &[Budget], refused: &[String]) -> String {
        if budgets.is_empty() && refused.is_empty() {
            return wrapped("", &format!("{}: there is no sense pin", self.project.title), 0);
        }
        let mut text = String::new();
        for budget in budgets {
            let Some(pin) = self.project.sense_pins.get(budget.pin) else { continue };
            let which =
                if self.state.is_some() { "in this state" } else { "weakest state of each place" };
            let head = format!(
                "Dirt budget of {}, {} {}: {which}, all else at its usual value",
                self.project.title,
                self.project.terminal_name(pin.terminal),
                pin.name
            );
            text += &(wrapped("", &head, 0) + "\n");
            let columns = [
                ("place", Align::Left),
                ("state", Align::Left),
                ("asked for", Align::Left),
                ("leaves at", Align::Right),
                ("reads as", Align::Left),
                ("from", Align::Right),
            ];
            let rows: Vec<Vec<String>> = self
                .rows(budget)
                .into_iter()
                .map(|row| {
                    let (name, from) = match &row.becomes {
                        Some((value, name)) => (name.clone(), figure(row.dirt, *value)),
                        None => (String::new(), String::new()),
                    };
                    vec![
                        row.place.clone(),
                        state_words(self.project, &budget.states[row.state]),
                        row.action.clone(),
                        figure(row.dirt, row.leaves),
                        name,
                        from,
                    ]
                })
                .collect();
            text += &table(&columns, &rows);
            if let Some(weakest) = self.weakest(budget) {
                text += &wrapped("\n", &format!("Weakest contact: {}.", weakest.words(figure)), 0);
            }
        }
        for sentence in refused {
            text += &wrapped("", sentence, 0);
        }
        text
    }

    fn weakest<'b>(&self, budget: &'b Budget) -> Option<&'b BudgetRow> {
        let rows = self.rows(budget).into_iter().filter(|row| row.dirt == Dirt::Contact);
        rows.min_by(|a, b| a.leaves.total_cmp(&b.leaves))
    }

    fn csv(&self, budgets: &[Budget]) -> String {
        let head = [
            "pin",
            "dirt",
            "place",
            "where",
            "controls",
            "action",
            "leaves",
            "becomes",
            "becomes_from",
            "unit",
        ];
        let mut records = vec![head.map(str::to_owned).to_vec()];
        for budget in budgets {
            let Some(pin) = self.project.sense_pins.get(budget.pin) else { continue };
            for row in self.rows(budget) {
                let (name, from) = match &row.becomes {
                    Some((value, name)) => (name.clone(), nine_figures(*value).to_string()),
                    None => (String::new(), String::new()),
                };
                records.push(vec![
                    self.project.terminal_name(pin.terminal),
                    dirt_word(row.dirt).into(),
                    row.place.clone(),
                    subject_words(self.project, row.subject),
                    state_words(self.project, &budget.states[row.state]),
                    row.action.clone(),
                    nine_figures(row.leaves).to_string(),
                    name,
                    from,
                    row.dirt.unit().into(),
                ]);
            }
        }
        csv_records(&records)
    }

    fn document(&self, budgets: &[Budget]) -> String {
        #[derive(Serialize)]
        struct Row<'a> {
            pin: String,
            dirt: &'static str,
            place: &'a str,
            controls: InOrder,
            action: &'a str,
            leaves: Option<f64>,
            becomes: Option<&'a str>,
            becomes_from: Option<f64>,
            unit: &'static str,
            words: String,
        }
        let mut rows = Vec::new();
        for budget in budgets {
            let Some(pin) = self.project.sense_pins.get(budget.pin) else { continue };
            for row in self.rows(budget) {
                let state = &budget.states[row.state];
                let ids: Vec<ControlId> = state.0.keys().copied().collect();
                rows.push(Row {
                    pin: self.project.terminal_name(pin.terminal),
                    dirt: dirt_word(row.dirt),
                    place: &row.place,
                    controls: InOrder(positions(self.project, &ids, state)),
                    action: &row.action,
                    leaves: json::number(row.leaves),
                    becomes: row.becomes.as_ref().map(|(_, name)| name.as_str()),
                    becomes_from: row.becomes.as_ref().and_then(|(value, _)| json::number(*value)),
                    unit: row.dirt.unit(),
                    words: row.words(figure),
                });
            }
        }
        json::document(&rows)
    }
}

fn dirt_word(dirt: Dirt) -> &'static str {
    match dirt {
        Dirt::Contact => "contact",
        Dirt::Joint => "joint",
        Dirt::Wire => "wire",
        Dirt::Leak => "leak",
        Dirt::Offset => "offset",
    }
}
