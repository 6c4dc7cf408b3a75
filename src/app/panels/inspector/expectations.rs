//! What should be read when: "when Gate is HOLD and Lever is fore, asks for UP".

use std::collections::BTreeSet;

use egui::{Id, Ui};

use crate::app::panels::inspector::Unfolded;
use crate::app::panels::inspector::pins::changed_pin;
use crate::app::theme;
use crate::app::widgets::{Pen, add_word, choice_wide, heading, quiet, remove_sign};
use crate::edit::Edit;
use crate::model::{ControlId, Expectation, Project, SensePin, SensePinId};

/// All expectations of a pin.
pub fn expectations_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, pin): (SensePinId, &SensePin),
    unfolded: &mut Unfolded,
) {
    let project = pen.view.project;
    heading(ui, "What is asked for");
    if pin.bands.is_empty() || project.controls.is_empty() {
        quiet(ui, "Needs bands and controls first.", pen.view.palette);
        return;
    }
    for (idx, rule) in pin.expectations.iter().enumerate() {
        let open = unfolded.rule == Some((id, idx));
        if sentence_ui(ui, pen, (id, idx), &rule_words(project, rule), open) {
            unfolded.rule = (!open).then_some((id, idx));
        }
        if open {
            expectation_ui(ui, pen, (id, pin), (idx, rule));
            ui.add_space(6.0);
        }
    }
    if add_word(ui, "Add a rule", pen.view.palette).clicked()
        && let Some(rule) = next_rule(project, pin)
    {
        unfolded.rule = Some((id, pin.expectations.len()));
        pen.edit(changed_pin((id, pin), |pin| pin.expectations.push(rule)));
    }
}

/// `Gate HOLD, Lever fore → UP`.
fn rule_words(project: &Project, rule: &Expectation) -> String {
    let conditions: Vec<String> = rule
        .when
        .iter()
        .filter_map(|(id, at)| {
            let control = project.controls.get(*id)?;
            Some(format!("{} {}", control.name, control.positions.get(usize::from(*at))?.name))
        })
        .collect();
    let when = if conditions.is_empty() { "always".into() } else { conditions.join(", ") };
    format!("{when} → {}", rule.action)
}

/// A rule as a sentence; a click folds its fields out. Returns whether it was clicked.
fn sentence_ui(
    ui: &mut Ui,
    pen: &Pen<'_, '_>,
    at: (SensePinId, usize),
    words: &str,
    open: bool,
) -> bool {
    let palette = pen.view.palette;
    let sign = if open { "▾" } else { "▸" };
    let mut text = egui::text::LayoutJob::default();
    let format = |colour| egui::TextFormat::simple(theme::plain(theme::TEXT_SMALL), colour);
    text.append(&format!("{sign}  "), 0.0, format(palette.quiet));
    text.append(words, 0.0, format(palette.ink));
    let label = egui::Label::new(text).wrap().selectable(false).sense(egui::Sense::click());
    let response = ui.push_id(("rule sentence", at), |ui| ui.add(label)).inner;
    response.widget_info(|| {
        egui::WidgetInfo::selected(egui::accesskit::Role::Button, true, open, words)
    });
    if response.hovered() {
        let line = response.rect.expand2(egui::vec2(4.0, 1.0));
        ui.painter().rect_stroke(
            line,
            4.0,
            egui::Stroke::new(1.0, palette.edge),
            egui::StrokeKind::Inside,
        );
    }
    response.on_hover_text("Click to change this rule").clicked()
}

/// A rule to begin with: the first control and position off rest that no rule names yet.
fn next_rule(project: &Project, pin: &SensePin) -> Option<Expectation> {
    let named: BTreeSet<(ControlId, u8)> = pin
        .expectations
        .iter()
        .flat_map(|rule| rule.when.iter().map(|(control, at)| (*control, *at)))
        .collect();
    let places = || {
        project.controls.iter().flat_map(|(id, control)| {
            (0u8..)
                .zip(&control.positions)
                .filter(|(at, _)| *at != control.rest)
                .map(move |(at, _)| (id, at))
        })
    };
    let (control, at) =
        places().find(|place| !named.contains(place)).or_else(|| places().next())?;
    let action = pin
        .bands
        .iter()
        .find(|band| !pin.expectations.iter().any(|rule| rule.action == band.name))
        .or(pin.bands.first())?;
    Some(Expectation { when: [(control, at)].into(), action: action.name.clone() })
}

fn with_rule(
    pin: (SensePinId, &SensePin),
    idx: usize,
    change: impl FnOnce(&mut Expectation),
) -> Edit {
    changed_pin(pin, |pin| {
        if let Some(rule) = pin.expectations.get_mut(idx) {
            change(rule);
        }
    })
}

fn expectation_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, pin): (SensePinId, &SensePin),
    (idx, rule): (usize, &Expectation),
) {
    let project = pen.view.project;
    let mut edit = None;
    let number = idx + 1;
    for (row, (control_id, at)) in rule.when.iter().enumerate() {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            word_cell(ui, if row == 0 { "when" } else { "and" }, pen);
            if let Some(condition) =
                condition_ui(ui, project, (id, idx, number), (*control_id, *at), rule)
            {
                edit = Some(with_rule((id, pin), idx, |rule| {
                    rule.when.remove(control_id);
                    rule.when.insert(condition.0, condition.1);
                }));
            }
            let name =
                project.controls.get(*control_id).map_or("?", |control| control.name.as_str());
            if remove_sign(ui, &format!("{name} from rule {number}"), pen.view.palette).clicked() {
                edit = Some(with_rule((id, pin), idx, |rule| {
                    rule.when.remove(control_id);
                }));
            }
        });
    }
    if rule.when.is_empty() {
        quiet(ui, "always", pen.view.palette);
    }
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        word_cell(ui, "asks for", pen);
        let names: BTreeSet<&str> = pin.bands.iter().map(|band| band.name.as_str()).collect();
        let options = names.into_iter().map(|name| (name.to_owned(), name.to_owned()));
        let name = format!("Rule {number} asks for");
        let wide = ui.available_width() - 84.0;
        if let Some(action) =
            choice_wide(ui, Id::unique(("rule", id, idx)), (&name, wide), &rule.action, options)
        {
            edit = Some(with_rule((id, pin), idx, |rule| rule.action = action));
        }
        let free = project.controls.iter().find(|(control, _)| !rule.when.contains_key(control));
        if let Some((control, row)) = free
            && add_word(ui, "and", pen.view.palette)
                .on_hover_text("Add a condition to this rule")
                .clicked()
        {
            edit = Some(with_rule((id, pin), idx, |rule| {
                rule.when.insert(control, row.rest);
            }));
        }
        if remove_sign(ui, &format!("rule {number}"), pen.view.palette).clicked() {
            edit = Some(changed_pin((id, pin), |pin| {
                pin.expectations.remove(idx);
            }));
        }
    });
    if let Some(edit) = edit {
        pen.edit(edit);
    }
}

/// A short quiet word before the choices, all equally wide.
fn word_cell(ui: &mut Ui, word: &str, pen: &Pen<'_, '_>) {
    let size = egui::vec2(60.0, ui.spacing().interact_size.y);
    ui.allocate_ui_with_layout(size, egui::Layout::left_to_right(egui::Align::Center), |ui| {
        ui.set_min_width(60.0);
        ui.label(egui::RichText::new(word).color(pen.view.palette.quiet));
    });
}

/// Control and position beside each other; returns a changed pair.
fn condition_ui(
    ui: &mut Ui,
    project: &Project,
    (pin, idx, number): (SensePinId, usize, usize),
    (control_id, at): (ControlId, u8),
    rule: &Expectation,
) -> Option<(ControlId, u8)> {
    let control = project.controls.get(control_id)?;
    let wide = (ui.available_width() - 32.0) / 2.0 - 2.0;
    let id = Id::unique(("condition", pin, idx, control_id));
    let free = project
        .controls
        .iter()
        .filter(|(other, _)| *other == control_id || !rule.when.contains_key(other))
        .map(|(other, row)| (row.name.clone(), (other, row.rest)));
    let name = format!("Rule {number}: control");
    let picked = choice_wide(ui, id.with("control"), (&name, wide), &control.name, free);
    let now = control.positions.get(usize::from(at)).map_or("?", |position| position.name.as_str());
    let positions =
        (0u8..).zip(&control.positions).map(|(at, position)| (position.name.clone(), at));
    let name = format!("Rule {number}: position of {}", control.name);
    let moved = choice_wide(ui, id.with("position"), (&name, wide), now, positions);
    picked.or(moved.map(|at| (control_id, at)))
}
