//! What to redo when another version of the project is what was built.

use egui::{Button, RichText, ScrollArea, Ui};

use crate::app::action::{Action, Actions};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::cutting::{Compared, Comparison, Fate};

/// The other file, and every wire that is not as it was.
pub fn compare_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let studies = &view.studies.cutting;
    ui.horizontal_wrapped(|ui| {
        let word = "Compare with a file…";
        let tip = "The version that was built; this project is what is wanted now";
        if ui.add(Button::new(word)).on_hover_text(tip).clicked() {
            actions.push(Action::CompareWith(None));
        }
        if let Some(path) = studies.other() {
            quiet(ui, format!("built: {}", path.display()), view.palette);
        }
    });
    if studies.other().is_none() {
        let words = "Pick the file of the version that was built. Wires are told apart by name and \
                     ends; this page then says which stay, change, are new or go, and which labels \
                     to redo.";
        quiet(ui, words, view.palette);
        return;
    }
    match studies.comparison(view.history.revision()) {
        None => {
            quiet(ui, "Comparing …", view.palette);
        }
        Some(None) => {
            quiet(ui, "The two could not be compared.", view.palette);
        }
        Some(Some(comparison)) => comparison_ui(ui, view, comparison),
    }
}

fn comparison_ui(ui: &mut Ui, view: View<'_>, comparison: &Comparison) {
    let count = |fate| comparison.count(fate);
    let words = format!(
        "{} stay, {} change, {} new, {} go",
        count(Fate::Stays),
        count(Fate::Changes),
        count(Fate::New),
        count(Fate::Goes)
    );
    ui.label(RichText::new(words).font(theme::bold(theme::TEXT_BODY)));
    ui.add_space(4.0);
    ScrollArea::vertical().id_salt("compared").auto_shrink(false).show(ui, |ui| {
        for row in comparison.rows.iter().filter(|row| row.fate != Fate::Stays) {
            row_ui(ui, view, row);
        }
    });
}

fn row_ui(ui: &mut Ui, view: View<'_>, row: &Compared) {
    let palette = view.palette;
    let (sign, colour) = match row.fate {
        Fate::Stays => ("=", palette.quiet),
        Fate::Changes => ("≠", palette.warning),
        Fate::New => ("+", palette.right),
        Fate::Goes => ("✕", palette.wrong),
    };
    let response = ui
        .horizontal_wrapped(|ui| {
            ui.label(RichText::new(sign).font(theme::bold(theme::TEXT_BODY)).color(colour));
            ui.label(RichText::new(&row.name).font(theme::bold(theme::TEXT_BODY)));
            ui.label(RichText::new(format!("{}: {}", row.fate.word(), row.work)).color(colour));
        })
        .response;
    let label = format!("wire {} {}: {}", row.name, row.fate.word(), row.work);
    response
        .widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Row, true, label.clone()));
    let words = |text: &str| if text.is_empty() { "none" } else { text }.to_owned();
    for difference in &row.differences {
        let text = format!(
            "    {}: {} → {}",
            difference.what,
            words(&difference.before),
            words(&difference.now)
        );
        quiet(ui, text, palette);
    }
    if !row.labels.is_empty() {
        quiet(ui, format!("    markers to redo: {}", row.labels.join("; ")), palette);
    }
    ui.add_space(4.0);
}
