//! What to redo when another version of the project is what was built.

use egui::{Button, Color32, RichText, ScrollArea, Ui};

use crate::app::action::{Action, Actions};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::cutting::{Compared, ComparedResistor, Comparison, Fate, UNCLEAR};

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
                     ends, resistors by name; this page then says which stay, change, are new or \
                     go, and which labels to redo.";
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
        for row in &comparison.resistors {
            resistor_ui(ui, view, row);
        }
        for name in &comparison.unclear {
            head_ui(ui, ("?", view.palette.warning), name, UNCLEAR);
            ui.add_space(4.0);
        }
        for row in comparison.rows.iter().filter(|row| row.fate != Fate::Stays) {
            row_ui(ui, view, row);
        }
    });
}

fn fate_look(view: View<'_>, fate: Fate) -> (&'static str, Color32) {
    let palette = view.palette;
    match fate {
        Fate::Stays => ("=", palette.quiet),
        Fate::Changes => ("≠", palette.warning),
        Fate::New => ("+", palette.right),
        Fate::Goes => ("✕", palette.wrong),
    }
}

fn resistor_ui(ui: &mut Ui, view: View<'_>, row: &ComparedResistor) {
    let (sign, colour) = fate_look(view, row.fate());
    let name = format!("resistor {}", row.name);
    head_ui(ui, (sign, colour), &name, &format!("{}: {}", row.fate().word(), row.work()));
    quiet(ui, format!("    {}", row.words()), view.palette);
    ui.add_space(4.0);
}

/// Sign, name, what becomes of it and what to do.
fn head_ui(ui: &mut Ui, (sign, colour): (&str, Color32), name: &str, work: &str) {
    let response = ui
        .horizontal_wrapped(|ui| {
            ui.label(RichText::new(sign).font(theme::bold(theme::TEXT_BODY)).color(colour));
            ui.label(RichText::new(name).font(theme::bold(theme::TEXT_BODY)));
            ui.label(RichText::new(work).color(colour));
        })
        .response;
    let label = format!("{name} {work}");
    response
        .widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Row, true, label.clone()));
}

fn row_ui(ui: &mut Ui, view: View<'_>, row: &Compared) {
    let palette = view.palette;
    let name = format!("wire {}", row.name);
    let work = format!("{}: {}", row.fate.word(), row.work);
    head_ui(ui, fate_look(view, row.fate), &name, &work);
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
