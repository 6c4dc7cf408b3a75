//! The columns of a log, matched by hand over what was proposed.

use egui::{Id, RichText, ScrollArea, Ui};

use crate::app::action::Action;
use crate::app::log_study::LogAsk;
use crate::app::prove_studies::ProveAsk;
use crate::app::theme;
use crate::app::widgets::{Pen, choice_wide, quiet};
use crate::model::Project;
use crate::proving::replay::{Matching, Outline, Role, Unit};
use crate::tables::{Decimal, Delimiter};

/// Width of the choice of a column, in points.
const WIDTH: f32 = 150.0;
/// Rows of the file shown below a column.
const EXAMPLES: usize = 3;

/// `time (s) as time in s, signal as reading in V`.
pub fn summary(project: &Project, outline: &Outline, matching: &Matching) -> String {
    let of = |(slot, role): (usize, &Option<Role>)| {
        let role = (*role)?;
        let unit = matching.unit(role).map_or_else(String::new, |u| format!(" in {}", u.word()));
        Some(format!("{} is {}{unit}", outline.column_name(slot), role_words(project, role)))
    };
    matching.roles.iter().enumerate().filter_map(of).collect::<Vec<_>>().join(", ")
}

fn role_words(project: &Project, role: Role) -> String {
    match role {
        Role::Control(id) => project
            .controls
            .get(id)
            .map_or_else(|| "control".to_owned(), |control| format!("control {}", control.name)),
        Role::Time | Role::Date | Role::Reading | Role::Supply | Role::State | Role::Text => {
            role.word().to_owned()
        }
    }
}

/// A choice for every column, with the first cells below it.
pub fn columns_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, outline: &Outline, matching: &Matching) {
    marks_ui(ui, pen, matching);
    ScrollArea::horizontal().id_salt("log columns").auto_shrink([false, true]).show(ui, |ui| {
        ui.horizontal_top(|ui| {
            for slot in 0..outline.n_columns() {
                ui.vertical(|ui| {
                    ui.set_width(WIDTH);
                    column_ui(ui, pen, outline, (matching, slot));
                });
            }
        });
    });
}

fn push(pen: &mut Pen<'_, '_>, ask: LogAsk) {
    pen.actions.push(Action::AskProve(ProveAsk::Log(ask)));
}

/// What stands between cells, and the decimal mark.
fn marks_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, matching: &Matching) {
    ui.horizontal_wrapped(|ui| {
        quiet(ui, "Between cells", pen.view.palette);
        let options = Delimiter::ALL.map(|one| (one.noun().to_owned(), one));
        let name = ("Between cells", 120.0);
        let now = matching.delimiter.noun();
        if let Some(picked) = choice_wide(ui, Id::unique("log delimiter"), name, now, options) {
            push(pen, LogAsk::Delimiter(picked));
        }
        quiet(ui, "Decimal mark", pen.view.palette);
        let word = |decimal: Decimal| match decimal {
            Decimal::Point => "point",
            Decimal::Comma => "comma",
        };
        let options = [Decimal::Point, Decimal::Comma].map(|one| (word(one).to_owned(), one));
        let name = ("Decimal mark", 100.0);
        let now = word(matching.decimal);
        if let Some(picked) = choice_wide(ui, Id::unique("log decimal"), name, now, options) {
            push(pen, LogAsk::Decimal(picked));
        }
    });
}

fn column_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    outline: &Outline,
    (matching, slot): (&Matching, usize),
) {
    let project = pen.view.project;
    let name = outline.column_name(slot);
    let title = RichText::new(name.as_str()).font(theme::bold(theme::TEXT_SMALL));
    ui.add(egui::Label::new(title).truncate());
    let role = matching.roles[slot];
    let controls = project.controls.ids().map(Role::Control);
    let plain = [Role::Time, Role::Date, Role::Reading, Role::Supply, Role::State];
    let roles = plain.into_iter().chain(controls).chain([Role::Text]);
    let options = std::iter::once(("left out".to_owned(), None))
        .chain(roles.map(|role| (role_words(project, role), Some(role))));
    let now = role.map_or_else(|| "left out".to_owned(), |role| role_words(project, role));
    let label = format!("Meaning of column {name}");
    let id = Id::unique(("log meaning", slot));
    if let Some(picked) = choice_wide(ui, id, (&label, WIDTH - 8.0), &now, options) {
        push(pen, LogAsk::Match(slot, picked));
    }
    let units: &[Unit] = match role {
        Some(Role::Time) => &Unit::TIMES,
        Some(Role::Reading) => &Unit::READINGS,
        Some(Role::Supply) => &Unit::VOLTS,
        Some(Role::Date | Role::State | Role::Control(_) | Role::Text) | None => &[],
    };
    if let Some((role, unit)) = role.and_then(|role| Some((role, matching.unit(role)?))) {
        let options = units.iter().map(|unit| (unit.word().to_owned(), *unit));
        let label = format!("Unit of column {name}");
        let id = Id::unique(("log unit", slot));
        if let Some(picked) = choice_wide(ui, id, (&label, WIDTH - 8.0), unit.word(), options) {
            push(pen, LogAsk::Unit(role, picked));
        }
    }
    for row in outline.examples.iter().take(EXAMPLES) {
        let cell = row.get(slot).map_or("", String::as_str);
        let text = RichText::new(cell).small().color(pen.view.palette.quiet);
        ui.add(egui::Label::new(text).truncate());
    }
}
