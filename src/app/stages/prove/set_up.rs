//! Page Set-up: every setting with where it comes from, and who changed what when.

use egui::{Id, RichText, ScrollArea, Ui};

use crate::app::record_pictures::Beside;
use crate::app::view::View;
use crate::app::widgets::{Field, Pen, add_word, choice_wide, heading, quiet, remove_sign};
use crate::edit::{Edit, RecordEdit};
use crate::model::{ChangeId, ChangeNote, Provenance, SetupId, SetupRow};

/// Height and most width of a photo on the page.
const SMALL: f32 = 56.0;
const SMALL_WIDE: f32 = 240.0;

/// Word for a value nobody vouches for.
const NOBODY: &str = "nobody said";

/// The settings and the change log.
pub fn set_up_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let palette = pen.view.palette;
    let project = pen.view.project;
    ScrollArea::vertical().id_salt("set-up").auto_shrink(false).show(ui, |ui| {
        heading(ui, "Set-up record");
        let words = "What is set in the controller, as it calls it. A photo or file stays beside \
                     the project; its name or path stands here, and a photo is shown.";
        quiet(ui, words, palette);
        for (id, row) in project.set_up.iter() {
            ui.push_id(("setting", id), |ui| setting_ui(ui, pen, id, row));
        }
        if add_word(ui, "Add a setting", palette).clicked() {
            pen.edit(Edit::SetRecord(RecordEdit::AddSetting(Box::default())));
        }
        ui.add_space(8.0);
        heading(ui, "Change log");
        quiet(ui, "Who changed what and when; it stands on the owner page of the packet.", palette);
        for (id, row) in project.changes.iter() {
            ui.push_id(("change", id), |ui| change_ui(ui, pen, id, row));
        }
        if add_word(ui, "Add a change", palette).clicked() {
            pen.edit(Edit::SetRecord(RecordEdit::AddChange(Box::default())));
        }
    });
}

/// One text of a row: what it is, how wide, where it stands.
type Text<T> = (&'static str, f32, &'static str, fn(&mut T) -> &mut String);

const SETTING: [Text<SetupRow>; 6] = [
    ("Name", 190.0, "name", |row| &mut row.name),
    ("Value", 110.0, "not known", |row| &mut row.value),
    ("Unit", 56.0, "unit", |row| &mut row.unit),
    ("Date", 112.0, "date", |row| &mut row.date),
    ("Who", 70.0, "who", |row| &mut row.who),
    ("File", 190.0, "photo or file", |row| &mut row.file),
];

/// Width of a row with all of these, where it comes from, and the sign that takes it away.
const SETTING_ROW: f32 = 940.0;
/// Width of a row of the change log.
const CHANGE_ROW: f32 = 920.0;

const CHANGE: [Text<ChangeNote>; 3] = [
    ("Date", 112.0, "date", |row| &mut row.date),
    ("Who", 70.0, "who", |row| &mut row.who),
    ("What", 660.0, "what was changed, and why", |row| &mut row.what),
];

fn named(name: &str, id: u32) -> String {
    if name.trim().is_empty() { format!("setting {id}") } else { name.to_owned() }
}

/// A text with less room where it has at least so much.
fn narrower<T>(text: Text<T>, from: f32, by: f32) -> Text<T> {
    let width = if text.1 >= from { (text.1 - by).max(110.0) } else { text.1 };
    (text.0, width, text.2, text.3)
}

/// Some of the texts of a setting; where it comes from stands behind the unit, the sign that takes
/// it away behind the last.
fn setting_line_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, name, row): (SetupId, &str, &SetupRow),
    texts: &[Text<SetupRow>],
) {
    let set = |row: SetupRow| Edit::SetRecord(RecordEdit::SetSetting(id, Box::new(row)));
    for text in texts {
        text_ui(ui, pen, (id.0, name), text, row, set);
        if text.0 == "Unit" {
            let now = row.provenance.map_or(NOBODY, |known| known.word());
            let all = Provenance::ALL.map(|known| (known.word().to_owned(), Some(known)));
            let options = all.into_iter().chain([(NOBODY.to_owned(), None)]);
            let label = format!("Where {name} comes from");
            let id = Id::unique(("known by", id));
            if let Some(known) = choice_wide(ui, id, (&label, 108.0), now, options) {
                pen.edit(set(SetupRow { provenance: known, ..row.clone() }));
            }
        }
        if text.0 == "File" && remove_sign(ui, name, pen.view.palette).clicked() {
            pen.edit(Edit::SetRecord(RecordEdit::RemoveSetting(id)));
        }
    }
}

fn setting_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, id: SetupId, row: &SetupRow) {
    let name = named(&row.name, id.0);
    let missing = (SETTING_ROW - ui.available_width()).max(0.0);
    if missing <= 160.0 {
        // A little less room for the two widest, so that a row stays one line.
        let texts = SETTING.map(|text| narrower(text, 190.0, missing / 2.0));
        ui.horizontal(|ui| setting_line_ui(ui, pen, (id, &name, row), &texts));
    } else {
        let (first, second) = SETTING.split_at(3);
        ui.horizontal(|ui| setting_line_ui(ui, pen, (id, &name, row), first));
        ui.horizontal(|ui| {
            ui.add_space(16.0);
            setting_line_ui(ui, pen, (id, &name, row), second);
        });
    }
    file_ui(ui, pen.view, &row.file);
    for text in &SETTING {
        pen.refusal_ui(ui, field_id(id.0, text.0), &shown(text, row));
    }
}

/// The picture that is named, small, and larger under the pointer; or that it is not there.
fn file_ui(ui: &mut Ui, view: View<'_>, name: &str) {
    let (name, palette) = (name.trim(), view.palette);
    if name.is_empty() {
        return;
    }
    match view.record.of(name) {
        None => {
            if view.file.is_none() {
                let words = format!("{name}: looked for beside the project once that is saved");
                quiet(ui, words, palette);
            }
        }
        Some(Beside::Coming) => {
            quiet(ui, format!("{name}: looking for it …"), palette);
        }
        Some(Beside::Picture(texture)) => {
            let whole = texture.size_vec2();
            let small = whole * (SMALL / whole.y.max(1.0)).min(SMALL_WIDE / whole.x.max(1.0));
            let image = egui::Image::new((texture.id(), small)).alt_text(format!("Photo {name}"));
            ui.add(image).on_hover_ui(|ui| {
                ui.add(egui::Image::new((texture.id(), whole)));
                ui.label(name);
            });
        }
        Some(Beside::File(why)) => {
            quiet(ui, format!("{name} is there, but not shown: {why}"), palette)
                .on_hover_text("Only pictures, PNG or JPEG, are shown here");
        }
        Some(Beside::Elsewhere) => {
            let words = format!(
                "{name} is not looked for: only what lies in the project's folder or below is shown; \
                 put a copy there"
            );
            quiet(ui, words, palette);
        }
        Some(Beside::Gone(path)) => {
            let words = format!("▲ {name} is gone: there is no {}", path.display());
            ui.label(RichText::new(words).small().color(palette.warning));
        }
    }
}

fn change_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, id: ChangeId, row: &ChangeNote) {
    let name = format!("change {}", id.0);
    let set = |row: ChangeNote| Edit::SetRecord(RecordEdit::SetChange(id, Box::new(row)));
    let missing = (CHANGE_ROW - ui.available_width()).max(0.0);
    ui.horizontal(|ui| {
        for text in CHANGE {
            let text = narrower(text, 600.0, missing);
            text_ui(ui, pen, (id.0, &name), &text, row, set);
        }
        if remove_sign(ui, &name, pen.view.palette).clicked() {
            pen.edit(Edit::SetRecord(RecordEdit::RemoveChange(id)));
        }
    });
    for text in &CHANGE {
        pen.refusal_ui(ui, field_id(id.0, text.0), &shown(text, row));
    }
}

fn field_id(row: u32, what: &str) -> Id {
    Id::unique(("record", row, what.to_owned()))
}

fn shown<T: Clone>((_, _, _, get): &Text<T>, row: &T) -> String {
    get(&mut row.clone()).clone()
}

fn text_ui<T: Clone>(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, name): (u32, &str),
    text: &Text<T>,
    row: &T,
    set: impl Fn(T) -> Edit,
) {
    let (what, width, hint, get) = text;
    let label = format!("{what} of {name}");
    let field = Field::words(field_id(id, what), label, shown(text, row)).width(*width).hint(hint);
    pen.field(ui, &field, |typed| {
        let mut row = row.clone();
        typed.clone_into(get(&mut row));
        Ok(set(row))
    });
}
