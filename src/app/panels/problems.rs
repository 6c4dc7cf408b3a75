//! Every finding, with cause and cure; a click leads to the place.

use egui::{Color32, CornerRadius, CursorIcon, Id, Label, RichText, Sense, Stroke, StrokeKind, Ui};

use crate::app::action::{Action, Actions};
use crate::app::reading::capital;
use crate::app::theme::Palette;
use crate::app::view::View;
use crate::model::{Diagnostic, Severity};

/// More than this many are counted instead of shown.
const MOST_SHOWN: usize = 150;

/// The list, worst first.
pub fn problems_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    if let Some(sentence) = view.derived.failure() {
        let text = format!("✖ {}.", capital(sentence));
        ui.add(Label::new(RichText::new(text).color(view.palette.wrong)).wrap());
    }
    let findings = view.derived.findings();
    if findings.is_empty() && view.derived.failure().is_none() {
        ui.label(RichText::new("✔ Nothing is wrong").color(view.palette.right));
        let text = "Every state decodes as it should over the whole range, and nothing is loose.";
        ui.add(Label::new(RichText::new(text).color(view.palette.quiet)).wrap());
    }
    for (at, finding) in findings.iter().take(MOST_SHOWN).enumerate() {
        // Two findings may be alike in everything but their words, so these make the identity.
        let id = ui.scope_id().with((format!("{:?}", finding.subject), finding.what.as_str()));
        // And should even the words be alike, their order among themselves does.
        let alike = findings[..at].iter().filter(|other| *other == finding).count();
        if finding_ui(ui, view.palette, finding, id.with(alike)) {
            actions.push(Action::ShowSubject(finding.subject));
        }
    }
    if findings.len() > MOST_SHOWN {
        let text = format!("And {} more.", findings.len() - MOST_SHOWN);
        ui.label(RichText::new(text).color(view.palette.quiet));
    }
}

/// Sign, word and colour of a severity.
fn severity_look(palette: &Palette, severity: Severity) -> (&'static str, &'static str, Color32) {
    match severity {
        Severity::Error => ("✖", "error", palette.wrong),
        Severity::Warning => ("▲", "warning", palette.warning),
        Severity::Note => ("●", "note", palette.quiet),
    }
}

/// One finding; returns whether it was clicked.
fn finding_ui(ui: &mut Ui, palette: &Palette, finding: &Diagnostic, id: Id) -> bool {
    let (sign, word, colour) = severity_look(palette, finding.severity);
    let inner = egui::Frame::new()
        .inner_margin(egui::Margin::symmetric(10, 8))
        .show(ui, |ui| {
            ui.style_mut().interaction.selectable_labels = false;
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.set_width(ui.available_width());
            ui.label(RichText::new(format!("{sign} {word}")).small().color(colour));
            ui.add(Label::new(format!("{}.", capital(&finding.what))).wrap());
            if !finding.cure.is_empty() {
                let cure = RichText::new(format!("{}.", capital(&finding.cure)));
                ui.add(Label::new(cure.color(palette.quiet)).wrap());
            }
        })
        .response;
    let response =
        ui.interact(inner.rect, id, Sense::click()).on_hover_cursor(CursorIcon::PointingHand);
    response.widget_info(|| {
        let label = format!("{word}: {}. {}.", capital(&finding.what), capital(&finding.cure));
        egui::WidgetInfo::labeled(egui::Role::Button, true, label)
    });
    let round = CornerRadius::same(7);
    let edge = match (response.has_focus(), response.hovered()) {
        (true, _) => Stroke::new(1.5, palette.chosen),
        (false, true) => Stroke::new(1.0, palette.quiet),
        (false, false) => Stroke::new(1.0, palette.edge),
    };
    ui.painter().rect_stroke(inner.rect, round, edge, StrokeKind::Inside);
    let bar = inner.rect.with_max_x(inner.rect.left() + 4.0).shrink2(egui::vec2(0.0, 6.0));
    ui.painter().rect_filled(bar, CornerRadius::same(2), colour);
    response.clicked()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn severity_is_told_by_sign_and_word_and_not_by_colour_alone() {
        let palette = Palette::of(crate::app::prefs::ThemeChoice::Paper);
        let looks = [Severity::Error, Severity::Warning, Severity::Note]
            .map(|severity| severity_look(palette, severity));
        for (at, look) in looks.iter().enumerate() {
            for other in &looks[at + 1..] {
                assert_ne!(look.0, other.0);
                assert_ne!(look.1, other.1);
            }
        }
    }
}
