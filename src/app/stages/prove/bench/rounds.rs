//! The rounds of the bench test: begin one, go on with one, what is known of it, the meter; and what
//! to mind before anything is measured.

use egui::{Button, Id, Key, Modifiers, RichText, Ui};

use crate::app::panels::meter_profile_ui;
use crate::app::stages::prove::bench::{BenchState, run_words};
use crate::app::theme;
use crate::app::widgets::{
    Field, Half, Pen, halves_from_ui, heading, number_text, optional_row, quiet, remove_sign,
};
use crate::edit::{Edit, free_name};
use crate::model::{BenchRun, BenchRunId, Project};
use crate::proving::Tally;
use crate::proving::plan::{CAUTIONS, Plan, StepKind};
use crate::units::{counted, parse_number};

/// Name of the date field, which is entered when a round is begun.
fn date_id(id: BenchRunId) -> Id {
    Id::unique(("bench date", id))
}

/// The page.
pub fn rounds_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (plan, shown): (Option<&Plan>, Option<(BenchRunId, &BenchRun)>),
    own: &mut BenchState,
) {
    let is_free = ui.ctx().memory(|memory| memory.focused().is_none());
    if is_free && ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Enter)) {
        go_on(pen, shown, own);
    }
    halves_from_ui(ui, 560.0, 0.5, &mut |ui, half| {
        ui.set_max_width(ui.available_width() - 8.0);
        match half {
            Half::First => left_ui(ui, pen, (plan, shown), own),
            Half::Second => right_ui(ui, pen, plan),
        }
    });
}

/// Begins the first round, or shows the steps of the one that is picked.
fn go_on(pen: &mut Pen<'_, '_>, shown: Option<(BenchRunId, &BenchRun)>, own: &mut BenchState) {
    match shown {
        Some((id, _)) => {
            own.run = Some(id);
            own.is_running = true;
            own.guide = Default::default();
        }
        None => begin(pen, own),
    }
}

/// A name that no round has: texts and commands tell rounds apart by it.
fn free_round(project: &Project) -> String {
    free_name("round ", project.bench_runs.iter().map(|(_, run)| run.name.trim()))
}

fn begin(pen: &mut Pen<'_, '_>, own: &mut BenchState) {
    let run = BenchRun { name: free_round(pen.view.project), ..BenchRun::default() };
    pen.edit(Edit::AddBenchRun(Box::new(run)));
    // The newest is shown where none is picked, at its first step: the reading is what is typed
    // next. Date, initials and meter can be written down at any time.
    own.run = None;
    own.is_running = true;
    own.guide = Default::default();
}

fn left_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (plan, shown): (Option<&Plan>, Option<(BenchRunId, &BenchRun)>),
    own: &mut BenchState,
) {
    let palette = pen.view.palette;
    ui.label(RichText::new("Rounds").font(theme::bold(theme::TEXT_HEADING)));
    if shown.is_none() {
        let words = "A round goes through the bench test step by step: what to connect, how to hold the controls, what the meter must come to. What you read is kept in the project.";
        quiet(ui, words, palette);
    }
    ui.horizontal_wrapped(|ui| {
        if shown.is_some() {
            let go = RichText::new("▶ Go on").font(theme::bold(theme::TEXT_HEADING));
            let fill = palette.wash(palette.live, 0.16);
            let tip = "Shows the first step that is not done yet";
            if ui.add(Button::new(go).fill(fill)).on_hover_text(tip).clicked() {
                go_on(pen, shown, own);
            }
            quiet(ui, "Enter", palette);
        }
        if ui.button("Begin a round").clicked() {
            begin(pen, own);
        }
        if shown.is_none() {
            quiet(ui, "Enter", palette);
        }
    });
    let rounds: Vec<(BenchRunId, &BenchRun)> = pen.view.project.bench_runs.iter().collect();
    for (id, run) in rounds.into_iter().rev() {
        round_ui(ui, pen, (plan, shown), (id, run), own);
    }
    if let Some((id, run)) = shown {
        fields_ui(ui, pen, (id, run));
        if std::mem::take(&mut own.focus_date) {
            ui.memory_mut(|memory| memory.request_focus(date_id(id)));
        }
    }
    meter_profile_ui(ui, pen, "rounds");
}

/// One round in the list.
fn round_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (plan, shown): (Option<&Plan>, Option<(BenchRunId, &BenchRun)>),
    (id, run): (BenchRunId, &BenchRun),
    own: &mut BenchState,
) {
    let palette = pen.view.palette;
    let is_shown = shown.is_some_and(|(shown, _)| shown == id);
    ui.horizontal(|ui| {
        let words = run_words(run);
        let is_said = !run.is_hand_over || run.name.contains("hand-over");
        let words = if !is_said { format!("{words} · hand-over") } else { words };
        let text = if is_shown {
            RichText::new(words).font(theme::bold(theme::TEXT_BODY))
        } else {
            RichText::new(words)
        };
        if ui.selectable_label(is_shown, text).clicked() {
            own.run = Some(id);
        }
        if remove_sign(ui, &format!("round {}", run.name), palette).clicked() {
            pen.edit(Edit::RemoveBenchRun(id));
        }
    });
    if let Some(plan) = plan {
        quiet(ui, format!("     {}", Tally::of(plan, run).words()), palette);
    }
}

/// What is written down about a round.
fn fields_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, run): (BenchRunId, &BenchRun)) {
    heading(ui, "This round");
    let put = |change: &dyn Fn(&mut BenchRun)| {
        let mut run = run.clone();
        change(&mut run);
        Edit::SetBenchRun(id, Box::new(run))
    };
    let words = |what: &str, name: &str, shown: &str| {
        Field::words(Id::unique(("bench", what, id)), name, shown)
    };
    let name = words("name", "Name of the round", &run.name).hint("such as hand-over");
    pen.row(ui, "Name", &name, |text| Ok(put(&|run| text.clone_into(&mut run.name))));
    let date = Field::words(date_id(id), "Date of the round", run.date.as_str()).hint("2027-03-14");
    pen.row(ui, "Date", &date, |text| Ok(put(&|run| text.trim().clone_into(&mut run.date))));
    let who = words("initials", "Initials", &run.initials).hint("who measures");
    pen.row(ui, "Initials", &who, |text| Ok(put(&|run| text.clone_into(&mut run.initials))));
    let shown = run.temperature_c.map_or_else(String::new, |celsius| number_text(celsius, "°C"));
    let celsius =
        Field::figure(Id::unique(("bench temperature", id)), "Temperature of the bench", shown)
            .hint("not looked at");
    optional_row(ui, pen, ("Temperature", celsius), parse_celsius, |celsius| {
        put(&|run| run.temperature_c = celsius)
    });
    let meter = words("meter", "Which meter", &run.meter).hint("its name or number in the shop");
    pen.row(ui, "Meter", &meter, |text| Ok(put(&|run| text.clone_into(&mut run.meter))));
    let notes = words("notes", "Notes on the round", &run.notes).hint("what else was seen");
    pen.row(ui, "Notes", &notes, |text| Ok(put(&|run| text.clone_into(&mut run.notes))));
    let mut is_hand_over = run.is_hand_over;
    let tip = "Later rounds are compared with it: see page Wear";
    let box_ = ui.checkbox(&mut is_hand_over, "The machine is handed over with this round");
    if box_.on_hover_text(tip).changed() {
        pen.edit(put(&|run| run.is_hand_over = is_hand_over));
    }
}

/// Degrees Celsius with or without the unit; they may lie below zero.
fn parse_celsius(text: &str) -> Result<f64, String> {
    let body = text.trim().trim_end_matches(['C', 'c']).trim_end_matches('°');
    parse_number(body, "", "degrees Celsius such as 21 °C").map_err(|error| error.to_string())
}

/// What to mind, and what is in the bench test.
fn right_ui(ui: &mut Ui, pen: &Pen<'_, '_>, plan: Option<&Plan>) {
    let palette = pen.view.palette;
    ui.label(RichText::new("Before you begin").font(theme::bold(theme::TEXT_HEADING)));
    for caution in CAUTIONS {
        ui.label(RichText::new(format!("▲ {caution}")).color(palette.warning));
    }
    let Some(plan) = plan else {
        ui.horizontal(|ui| {
            ui.spinner();
            quiet(ui, "Working the bench test out …", palette);
        });
        return;
    };
    ui.add_space(6.0);
    let head = format!("The bench test: {}", counted(plan.steps.len(), "step"));
    ui.label(RichText::new(head).font(theme::bold(theme::TEXT_HEADING)));
    for kind in StepKind::ALL {
        let steps: Vec<_> = plan.steps.iter().filter(|step| step.kind == kind).collect();
        if steps.is_empty() {
            continue;
        }
        let n_blocked = steps.iter().filter(|step| step.blocked.is_some()).count();
        let blocked = match n_blocked {
            0 => String::new(),
            n => format!(", {n} cannot be done yet"),
        };
        ui.label(format!("{}: {}{blocked}", kind.word(), counted(steps.len(), "step")));
    }
    if !plan.left_out.is_empty() {
        heading(ui, "Not in it");
        for line in &plan.left_out {
            quiet(ui, format!("• {line}"), palette);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_round_takes_no_name_that_another_has() {
        let mut project = Project::empty("rounds");
        for n in 1..=3 {
            assert_eq!(free_round(&project), format!("round {n}"));
            let run = BenchRun { name: free_round(&project), ..BenchRun::default() };
            project.bench_runs.put(BenchRunId(n), run);
        }
        project.bench_runs.remove(BenchRunId(1));
        assert_eq!(free_round(&project), "round 1", "2 and 3 are there still");
    }

    #[test]
    fn degrees_may_lie_below_zero() {
        for (text, want) in [("21 °C", 21.0), ("-5", -5.0), ("4,5 C", 4.5)] {
            assert_eq!(parse_celsius(text), Ok(want), "{text}");
        }
        assert!(parse_celsius("warm").unwrap_err().contains("21 °C"));
    }
}
