//! The sum in words, as it would be done on paper.

use egui::{Label, RichText, Ui};

use crate::app::action::Actions;
use crate::app::theme;
use crate::app::view::View;
use crate::model::{ContactForm, Part, PartId, PartKind, Project, State};

/// More contacts than this are counted, not all named.
const MOST_NAMED: usize = 8;

/// The series and parallel steps of the reading in the readout, and which contacts are closed.
pub fn working_ui(ui: &mut Ui, view: View<'_>, _actions: &mut Actions) {
    let faulty = view.studies.as_if.shown();
    let title = if faulty.is_some() { "Working, as if faulty" } else { "Working" };
    ui.label(RichText::new(title).font(theme::bold(theme::TEXT_HEADING)));
    let quiet = |text: String| RichText::new(text).color(view.palette.quiet);
    let Some(id) = view.pin else {
        ui.label(quiet("The sum shows here once there is a sense pin.".into()));
        return;
    };
    let sound = view.derived.live(id).map_or(&[][..], |live| live.working.as_slice());
    let lines = faulty.map_or(sound, |shown| shown.working.as_slice());
    ui.spacing_mut().item_spacing.y = 3.0;
    if let Some((last, steps)) = lines.split_last() {
        for step in steps {
            ui.add(Label::new(RichText::new(step).color(view.palette.ink)).wrap());
        }
        ui.add(
            Label::new(
                RichText::new(last).font(theme::bold(theme::TEXT_BODY)).color(view.palette.ink),
            )
            .wrap(),
        );
    } else {
        ui.label(quiet("Nothing to reckon.".into()));
    }
    let contacts = view.derived.table(id).map(|table| {
        let moved = |part: &PartId| {
            table.controls.iter().filter_map(|control| view.project.controls.get(*control)).any(
                |control| {
                    control.positions.iter().any(|position| position.throws.contains_key(part))
                },
            )
        };
        contacts_text(view.project, view.bench, moved)
    });
    if let Some(text) = contacts.filter(|text| !text.is_empty()) {
        ui.add(Label::new(quiet(text)).wrap());
    }
}

/// `S1 and S2 closed; S3, S4, S5 open; S6 at work`.
fn contacts_text(project: &Project, state: &State, is_wanted: impl Fn(&PartId) -> bool) -> String {
    let (mut closed, mut open, mut other) = (Vec::new(), Vec::new(), Vec::new());
    for (id, part) in project.parts.iter().filter(|(id, _)| is_wanted(id)) {
        let PartKind::Contact(contact) = &part.kind else { continue };
        let throw = project.throw(id, state);
        match contact.form {
            ContactForm::NormallyOpen | ContactForm::NormallyClosed => {
                let is_closed = contact.form.joined(throw).is_some();
                if is_closed {
                    closed.push(part.name.as_str())
                } else {
                    open.push(part.name.as_str())
                }
            }
            ContactForm::Changeover => {
                other.push(format!("{} at {}", part.name, if throw == 0 { "rest" } else { "work" }))
            }
            ContactForm::Ways(_) => other.push(way_text(part, throw)),
        }
    }
    let mut words = Vec::new();
    if closed.len() + open.len() > MOST_NAMED {
        let all = closed.len() + open.len();
        words.push(match closed.len() {
            0 => format!("all {all} contacts open"),
            n if n <= MOST_NAMED => {
                format!("{} closed, the other {} contacts open", list(&closed), all - n)
            }
            n => format!("{n} of {all} contacts closed"),
        });
    } else {
        if !closed.is_empty() {
            words.push(format!("{} closed", list(&closed)));
        }
        if !open.is_empty() {
            words.push(format!("{} open", list(&open)));
        }
    }
    words.extend(other);
    words.join("; ")
}

fn way_text(part: &Part, throw: u8) -> String {
    format!("{} on way {}", part.name, throw + 1)
}

/// `S1`, `S1 and S2`, `S1, S2 and S3`.
fn list(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [before @ .., last] => format!("{} and {last}", before.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::{Bench, ladder};
    use egui_kittest::Harness;
    use egui_kittest::kittest::Queryable;

    #[test]
    fn contacts_are_told_by_name_or_counted() {
        let (project, _) = ladder();
        let controls: Vec<_> = project.controls.ids().collect();
        let mut state = State::rest();
        assert_eq!(contacts_text(&project, &state, |_| true), "S1, S2, S3, S4 and S5 open");
        state.0.extend([(controls[0], 1), (controls[1], 2)]);
        assert_eq!(
            contacts_text(&project, &state, |_| true),
            "S1 and S2 closed; S3, S4 and S5 open"
        );
        assert_eq!(contacts_text(&project, &state, |_| false), "");
    }

    #[test]
    fn the_card_shows_the_sum_of_what_is_closed() {
        let mut bench = Bench::new(ladder().0);
        let controls: Vec<_> = bench.history.project().controls.ids().collect();
        bench.state.0.extend([(controls[0], 1), (controls[1], 2)]);
        let harness = Harness::builder().with_context_setup(theme::install_fonts).build_ui_state(
            |ui, bench: &mut Bench| {
                let (view, actions) = bench.split();
                working_ui(ui, view, actions);
            },
            bench,
        );
        harness.get_by_label("S1 and S2 closed; S3, S4 and S5 open");
        // Common practice, no source: 6.81k beside 1.21k is 6.81 x 1.21 / 8.02 = 1.027k.
        harness.get_by_label_contains("1.027k");
    }
}
