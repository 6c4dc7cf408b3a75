//! The drawer: every piece on hand with what was measured, what it should measure, and the verdict.

use egui::{Id, RichText, ScrollArea, TextEdit, Ui};

use crate::app::stages::cut::settings::{figure_row, first_wire};
use crate::app::widgets::{
    Field, Pen, add_word, is_out_of_sight, number_text, parse_named, parse_positive, parse_size,
    parse_unit, quiet, remove_sign, swatch, word_button,
};
use crate::cutting::{NOT_MEASURED, PiecePlan};
use crate::edit::{Edit, free_name};
use crate::model::{BaseColour, Colour, Piece, PieceId, Project, WireSize};
use crate::tables::{PASTE_COLUMNS, paste_pieces};

/// Height of one piece.
const ROW_HEIGHT: f32 = 64.0;
/// From this width on condition and source stand in the same line.
const WIDE: f32 = 1020.0;
/// Widths of the fields, with what stands above them.
const COLUMNS: [(&str, f32); 6] = [
    ("Name", 70.0),
    ("Size", 86.0),
    ("Colour", 120.0),
    ("Length", 88.0),
    ("Outside", 80.0),
    ("Measured", 92.0),
];

/// Below this width the measured resistance stands in the second line.
const ROOMY: f32 = 680.0;
/// The first line then.
const SCARCE_COLUMNS: [(&str, f32); 5] =
    [("Name", 56.0), ("Size", 86.0), ("Colour", 94.0), ("Length", 90.0), ("Outside", 76.0)];

/// All pieces, and the ways to add some.
pub fn drawer_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, paste: &mut Option<String>) {
    let project = pen.view.project;
    let palette = pen.view.palette;
    ui.horizontal_wrapped(|ui| {
        if add_word(ui, "Add a piece", palette).clicked() {
            pen.edit(Edit::AddPiece(next_piece(project)));
        }
        let word = if paste.is_some() { "Close the table" } else { "Paste a table…" };
        if word_button(ui, word, palette.chosen).clicked() {
            *paste = if paste.is_some() { None } else { Some(String::new()) };
        }
        figure_row(ui, pen, "Measured at", "°C", |s| &mut s.measured_at_c);
    });
    paste_ui(ui, pen, paste);
    if project.pieces.is_empty() {
        let words = "No piece yet. Measure what lies in the drawer: length, size, colour, outside \
                     diameter, resistance end to end; then the allotment says what to cut from it.";
        quiet(ui, words, palette);
        return;
    }
    let plan = pen.view.studies.cutting.plan(pen.view.history.revision()).flatten();
    let plans = plan.map_or(&[][..], |plan| plan.allotment.pieces.as_slice());
    ui.horizontal(|ui| {
        let wide = ui.available_width();
        ui.add_space(42.0);
        let words = [("Condition", 170.0), ("Where from", 150.0)];
        let words = words.into_iter().filter(|_| wide >= WIDE);
        let columns = if wide < ROOMY { &SCARCE_COLUMNS[..] } else { &COLUMNS[..] };
        for (word, width) in columns.iter().copied().chain(words) {
            let cell = egui::vec2(width + 8.0, 16.0);
            let layout = egui::Layout::left_to_right(egui::Align::Center);
            ui.allocate_ui_with_layout(cell, layout, |ui| {
                ui.set_min_width(cell.x);
                ui.label(RichText::new(word).small().color(palette.quiet));
            });
            ui.add_space(-ui.spacing().item_spacing.x);
        }
    });
    ScrollArea::vertical().id_salt("drawer").auto_shrink(false).show(ui, |ui| {
        // The newest first: a piece that was just added is in sight.
        for (id, piece) in project.pieces.iter().rev() {
            if is_out_of_sight(ui, ROW_HEIGHT) {
                continue;
            }
            piece_ui(ui, pen, (id, piece));
            verdict_ui(ui, pen, plans.iter().find(|plan| plan.verdict.piece == id), piece);
            ui.add_space(6.0);
        }
    });
}

/// A piece to begin with: like the first wire of the harness.
fn next_piece(project: &Project) -> Piece {
    let (size, colour) =
        first_wire(project).unwrap_or((WireSize::Mm2(0.75), Colour::plain(BaseColour::Red)));
    Piece {
        name: free_name("P", project.pieces.iter().map(|(_, piece)| piece.name.as_str())),
        colour,
        size,
        // Stands for nothing: the condition keeps the piece from being cut until a length is typed.
        length_mm: 1000.0,
        outside_mm: None,
        measured_ohm: None,
        condition: NOT_MEASURED.into(),
        source: String::new(),
    }
}

/// Whether the length of a piece is still to be typed.
fn is_unmeasured(piece: &Piece) -> bool {
    piece.condition.trim() == NOT_MEASURED
}

fn changed((id, piece): (PieceId, &Piece), change: impl FnOnce(&mut Piece)) -> Edit {
    let mut piece = piece.clone();
    change(&mut piece);
    Edit::SetPiece(id, piece)
}

fn piece_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, row: (PieceId, &Piece)) {
    let (id, piece) = row;
    let preferences = pen.view.preferences;
    let is_scarce = ui.available_width() < ROOMY;
    let column = |at: usize| match SCARCE_COLUMNS.get(at).filter(|_| is_scarce) {
        Some((_, width)) => *width,
        None => COLUMNS[at].1,
    };
    let field = |what: &str, shown: String, width: f32| {
        let name = format!("{what} of piece {}", piece.name);
        Field::figure(Id::unique(("piece", what.to_owned(), id)), name, shown).width(width)
    };
    let maybe = |value: Option<f64>, unit: &str| {
        value.map_or_else(String::new, |value| number_text(value, unit))
    };
    let milli = piece.measured_ohm.map(|ohm| ohm * 1e3);
    let length =
        if is_unmeasured(piece) { String::new() } else { preferences.length_text(piece.length_mm) };
    let fields = [
        field("Name", piece.name.clone(), column(0)),
        field("Size", piece.size.text(), column(1)),
        field("Colour", piece.colour.text(), column(2)),
        field("Length", length, column(3)).hint("type it"),
        field("Outside diameter", maybe(piece.outside_mm, "mm"), column(4)).hint("?"),
        field("Measured resistance", maybe(milli, "mΩ"), column(5)).hint(if is_scarce {
            "measured ?"
        } else {
            "?"
        }),
    ];
    let words = [
        field("Condition", piece.condition.clone(), if is_scarce { 160.0 } else { 170.0 })
            .hint("ok"),
        field("Source", piece.source.clone(), if is_scarce { 142.0 } else { 150.0 })
            .hint("where from"),
    ];
    let is_wide = ui.available_width() >= WIDE;
    ui.horizontal(|ui| {
        swatch(ui, piece.colour, pen.view);
        let n_here = if is_scarce { SCARCE_COLUMNS.len() } else { fields.len() };
        for (at, field) in fields.iter().enumerate().take(n_here) {
            let field = if at == 2 { field.clone().when_left() } else { field.clone() };
            pen.field(ui, &field, |text| typed(row, at, text, |t| preferences.parse_length_mm(t)));
        }
        if is_wide {
            words_ui(ui, pen, row, &words);
        }
        if remove_sign(ui, &format!("piece {}", piece.name), pen.view.palette).clicked() {
            pen.edit(Edit::RemovePiece(id));
        }
    });
    if !is_wide {
        ui.horizontal(|ui| {
            ui.add_space(42.0);
            if is_scarce {
                let measured = &fields[5];
                pen.field(ui, measured, |text| {
                    typed(row, 5, text, |t| preferences.parse_length_mm(t))
                });
            }
            words_ui(ui, pen, row, &words);
        });
    }
    for field in fields.iter().chain(&words) {
        pen.refusal_ui(ui, field.id, &field.shown);
    }
}

/// Condition and source, in words.
fn words_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, row: (PieceId, &Piece), words: &[Field; 2]) {
    for (at, field) in words.iter().enumerate() {
        pen.field(ui, field, |text| {
            Ok(changed(row, |piece| match at {
                0 => piece.condition = text.to_owned(),
                _ => piece.source = text.to_owned(),
            }))
        });
    }
}

/// What a text in one of the six columns makes of the piece.
fn typed(
    row: (PieceId, &Piece),
    column: usize,
    text: &str,
    parse_length: impl Fn(&str) -> Result<f64, String>,
) -> Result<Edit, String> {
    let maybe = |parse: &dyn Fn(&str) -> Result<f64, String>| match text.trim() {
        "" | "?" => Ok(None),
        text => parse(text).map(Some),
    };
    Ok(match column {
        0 => {
            let name = parse_named(text)?;
            changed(row, |piece| piece.name = name)
        }
        1 => {
            let size = parse_size(text)?;
            changed(row, |piece| piece.size = size)
        }
        2 => {
            let colour = Colour::from_text(text).ok_or_else(|| {
                format!("expected a colour such as violet/black or VT/BK, found \"{text}\"")
            })?;
            changed(row, |piece| piece.colour = colour)
        }
        3 => {
            let length_mm = parse_length(text)?;
            changed(row, |piece| {
                piece.length_mm = length_mm;
                if is_unmeasured(piece) {
                    piece.condition.clear();
                }
            })
        }
        4 => {
            let outside_mm =
                maybe(&|text| parse_positive(text, "mm", "a diameter such as 1.95 mm"))?;
            changed(row, |piece| piece.outside_mm = outside_mm)
        }
        _ => {
            let milli = maybe(&|text| parse_unit(text, "mΩ", "milliohms such as 98 mΩ"))?;
            changed(row, |piece| piece.measured_ohm = milli.map(|milli| milli / 1e3))
        }
    })
}

/// Expected beside measured, and what follows from it.
fn verdict_ui(ui: &mut Ui, pen: &Pen<'_, '_>, plan: Option<&PiecePlan>, piece: &Piece) {
    let palette = pen.view.palette;
    let Some(plan) = plan else { return };
    let verdict = &plan.verdict;
    ui.horizontal_wrapped(|ui| {
        ui.add_space(42.0);
        if is_unmeasured(piece) {
            let words = "⚠ not used: type the length it has";
            ui.label(RichText::new(words).small().color(palette.warning));
            return;
        }
        let expected = format!("should measure {:.1} mΩ", verdict.expected_ohm * 1e3);
        let ratio =
            verdict.ratio.map_or_else(String::new, |ratio| format!(", is {ratio:.2} times that"));
        let text = RichText::new(format!("{expected}{ratio}")).small().color(palette.quiet);
        ui.label(text).on_hover_text(verdict.per_metre.to_string());
        let (words, colour) = if !verdict.is_usable() {
            (format!("✕ rejected: {}", verdict.rejections.join("; ")), palette.wrong)
        } else if !verdict.unknown.is_empty() {
            (format!("⚠ {}", verdict.unknown.join("; ")), palette.warning)
        } else {
            ("✓ may be used".to_owned(), palette.right)
        };
        let response = ui.label(RichText::new(&words).small().color(colour));
        let label = format!("piece {}: {words}", piece.name);
        response.widget_info(|| {
            egui::WidgetInfo::labeled(egui::accesskit::Role::Label, true, label.clone())
        });
    });
}

/// A field for a table, with what could not be read.
fn paste_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, paste: &mut Option<String>) {
    let palette = pen.view.palette;
    let Some(text) = paste else { return };
    quiet(ui, format!("One piece a line: {PASTE_COLUMNS}."), palette);
    let edit = TextEdit::multiline(text)
        .id_salt("pasted pieces")
        .desired_rows(5)
        .desired_width(f32::INFINITY)
        .hint_text("SA1\t0.75\tviolet\t3.9\t1.95\t98\tok\told loom");
    let response = ui.add(edit);
    response
        .widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, "Table of pieces"));
    let pasted = paste_pieces(text);
    for error in pasted.errors.iter().take(5) {
        ui.label(RichText::new(format!("⚠ {error}")).small().color(palette.wrong));
    }
    if pasted.errors.len() > 5 {
        quiet(ui, format!("and {} more", pasted.errors.len() - 5), palette);
    }
    let n = pasted.pieces.len();
    let is_ready = n > 0 && pasted.errors.is_empty();
    let word = if n == 1 { "Take 1 piece".to_owned() } else { format!("Take {n} pieces") };
    if ui.add_enabled(is_ready, egui::Button::new(word)).clicked() {
        let edits = pasted.pieces.into_iter().map(Edit::AddPiece).collect();
        pen.edit(Edit::Together { title: format!("paste {n} pieces"), edits });
        *paste = None;
    }
    ui.add_space(6.0);
}
