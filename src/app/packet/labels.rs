//! What markers are printed on: plain paper, or the user's sheet of sleeves or stickers by its sizes.

use egui::{Id, RichText, Ui};

use crate::app::packet::choices::PrintChoices;
use crate::app::packet::state::PacketState;
use crate::app::view::View;
use crate::app::widgets::{Field, Fields, Typing, choice, label_cell, quiet};
use crate::sheets::LabelSheet;
use crate::units::{parse_number, trim_zeros};

/// What is chosen in the list.
#[derive(Clone, Copy)]
enum On {
    Plain,
    Own,
    Start(usize),
}

const PLAIN: &str = "plain paper, cut apart";

/// The choice, and the sizes of the sheet.
pub fn labels_ui(
    ui: &mut Ui,
    view: View<'_>,
    (own, wanted): (&mut PacketState, &mut PrintChoices),
) {
    let sheet = wanted.label_sheet;
    let now = match (wanted.has_label_sheet, LabelSheet::STARTS.iter().find(|s| s.1 == sheet)) {
        (false, _) => PLAIN.to_owned(),
        (true, Some((name, _))) => (*name).to_owned(),
        (true, None) => "my own sheet".to_owned(),
    };
    let starts = LabelSheet::STARTS
        .iter()
        .enumerate()
        .map(|(idx, (name, _))| ((*name).to_owned(), On::Start(idx)));
    let options = [(PLAIN.to_owned(), On::Plain), ("my own sheet".to_owned(), On::Own)];
    let picked = ui
        .horizontal(|ui| {
            label_cell(ui, "Print on", view.palette);
            let id = Id::unique("labels on");
            choice(ui, id, "Labels are printed on", &now, options.into_iter().chain(starts))
        })
        .inner;
    match picked {
        Some(On::Plain) => wanted.has_label_sheet = false,
        Some(On::Own) => wanted.has_label_sheet = true,
        Some(On::Start(idx)) => {
            wanted.has_label_sheet = true;
            wanted.label_sheet = LabelSheet::STARTS[idx].1;
        }
        None => {}
    }
    if !wanted.has_label_sheet {
        return;
    }
    quiet(ui, "Measure the sheet at hand; the sizes to start from are our own.", view.palette);
    let label = &mut wanted.label_sheet;
    let fields = &mut own.fields;
    two(
        ui,
        view,
        fields,
        "Label, mm",
        ["Width of a label", "Height of a label"],
        [&mut label.width_mm, &mut label.height_mm],
    );
    whole(ui, view, fields, "Side by side", "Labels side by side", &mut label.columns);
    whole(ui, view, fields, "Below", "Labels below each other", &mut label.rows);
    two(
        ui,
        view,
        fields,
        "Margins, mm",
        ["Left margin of the sheet", "Top margin of the sheet"],
        [&mut label.left_mm, &mut label.top_mm],
    );
    two(
        ui,
        view,
        fields,
        "Gaps, mm",
        ["Gap side by side", "Gap below each other"],
        [&mut label.gap_x_mm, &mut label.gap_y_mm],
    );
    whole(ui, view, fields, "Used up", "Labels used up already", &mut label.used);
    let size_mm = wanted.setup("").size_mm();
    if let Err(why) = wanted.label_sheet.check(size_mm) {
        let words = format!("▲ Printed on plain paper instead: {why}.");
        ui.add(egui::Label::new(RichText::new(words).small().color(view.palette.warning)).wrap());
    }
}

/// Two lengths in one row: to the right, and down.
fn two(
    ui: &mut Ui,
    view: View<'_>,
    fields: &mut Fields,
    label: &str,
    names: [&str; 2],
    values: [&mut f64; 2],
) {
    let width = ((ui.available_width() - crate::app::theme::LABEL_WIDTH - 34.0) / 2.0).max(40.0);
    let mut refusals = Vec::new();
    ui.horizontal(|ui| {
        label_cell(ui, label, view.palette);
        for (name, value) in names.into_iter().zip(values) {
            let shown = trim_zeros(&format!("{value:.2}"));
            let field =
                Field::figure(Id::unique(("labels", name)), name, shown).width(width).when_left();
            if let Some(typed) = taken(ui, fields, &field, length) {
                *value = typed;
            }
            refusals.push(field);
        }
    });
    for field in refusals {
        refusal_ui(ui, view, fields, &field);
    }
}

fn whole(
    ui: &mut Ui,
    view: View<'_>,
    fields: &mut Fields,
    label: &str,
    name: &str,
    value: &mut u16,
) {
    let field = Field::figure(Id::unique(("labels", name)), name, value.to_string()).width(60.0);
    let field = field.when_left();
    ui.horizontal(|ui| {
        label_cell(ui, label, view.palette);
        let count = |text: &str| {
            let expected =
                || format!("expected a whole number such as 3, found \"{}\"", text.trim());
            text.trim().parse::<u16>().map_err(|_| expected())
        };
        if let Some(typed) = taken(ui, fields, &field, count) {
            *value = typed;
        }
    });
    refusal_ui(ui, view, fields, &field);
}

/// A length in millimetres, `mm` behind it or not; zero is one.
fn length(text: &str) -> Result<f64, String> {
    let lower = text.trim().to_lowercase();
    let body = lower.strip_suffix("mm").unwrap_or(&lower).trim();
    let expected = "a length in mm such as 12.5";
    let value = parse_number(body, "", expected)
        .map_err(|_| format!("expected {expected}, found \"{}\"", text.trim()))?;
    if (0.0..=1000.0).contains(&value) {
        Ok(value)
    } else {
        Err(format!("expected 0 to 1000 mm, found {}", text.trim()))
    }
}

fn taken<T>(
    ui: &mut Ui,
    fields: &mut Fields,
    field: &Field,
    read: impl FnOnce(&str) -> Result<T, String>,
) -> Option<T> {
    let Typing::Wants(text, _) = fields.show(ui, field) else { return None };
    match read(&text) {
        Ok(value) => {
            fields.judge(field.id, false, Ok(()));
            Some(value)
        }
        Err(why) => {
            fields.judge(field.id, false, Err(why));
            None
        }
    }
}

fn refusal_ui(ui: &mut Ui, view: View<'_>, fields: &mut Fields, field: &Field) {
    let Some(why) = fields.refused(field.id) else { return };
    let words = format!("⚠ Not taken: {why}; {} is kept.", field.shown);
    ui.add(egui::Label::new(RichText::new(words).small().color(view.palette.wrong)).wrap());
}
