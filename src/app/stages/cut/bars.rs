//! The allotment: a bar for every piece with the wires cut from it in their colours, and what is left.

use egui::accesskit::Role;
use egui::{
    Align2, Button, Color32, Rect, RichText, ScrollArea, Sense, Stroke, StrokeKind, Ui, WidgetInfo,
    pos2, vec2,
};

use crate::app::cut_studies::CutPlan;
use crate::app::stages::cut::settings::{figure_row, substitutes_ui};
use crate::app::theme::{self, Palette};
use crate::app::widgets::{Pen, heading, quiet, swatch, word_button};
use crate::cutting::{Allotment, PiecePlan, cut_done};
use crate::model::{BaseColour, Colour, Piece};

/// Height of a bar.
const BAR: f32 = 26.0;
/// Room beside the longest bar for the words of what is left.
const BESIDE: f32 = 120.0;

/// The plan, its proof, and the button that says it is done.
pub fn bars_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, plan: &CutPlan) {
    let allotment = &plan.allotment;
    let palette = pen.view.palette;
    ui.horizontal_wrapped(|ui| {
        let is_proven = allotment.proof_words() == "optimal";
        let colour = if is_proven { palette.right } else { palette.warning };
        let word = RichText::new(allotment.proof_words()).color(colour);
        ui.label(word.font(theme::bold(theme::TEXT_BODY)));
        let metres = allotment.new_mm() / 1e3;
        let words = format!(
            "{metres:.2} m new, {} opened; fewest metres new first, then fewest pieces, then the most useful left",
            pieces_words(allotment.score.opened)
        );
        quiet(ui, words, palette);
    });
    ui.horizontal_wrapped(|ui| {
        figure_row(ui, pen, "Width of a cut", "mm", |s| &mut s.kerf_mm);
        figure_row(ui, pen, "Trim of a piece", "mm", |s| &mut s.trim_mm);
        figure_row(ui, pen, "Scrap is shorter than", "mm", |s| &mut s.scrap_mm);
    });
    let n_cut: usize = allotment.pieces.iter().map(|plan| plan.cuts.len()).sum();
    ui.horizontal(|ui| {
        let word = if n_cut == 1 {
            "The wire is cut".into()
        } else {
            format!("All {n_cut} wires are cut")
        };
        let button = ui.add_enabled(n_cut > 0, Button::new(word));
        let tip = "Ticks the wires, shortens the pieces to what is left, throws scrap away";
        if button.on_hover_text(tip).clicked()
            && let Some(edit) = cut_done(pen.view.project, allotment, &|_| true)
        {
            pen.edit(edit);
        }
        if allotment.n_done > 0 {
            quiet(ui, format!("{} ticked as cut already", allotment.n_done), palette);
        }
    });
    ui.add_space(4.0);
    ScrollArea::vertical().id_salt("bars").auto_shrink(false).show(ui, |ui| {
        ui.set_max_width(ui.available_width() - 10.0);
        let longest = longest_mm(pen, allotment);
        for plan in allotment.pieces.iter().filter(|plan| !plan.cuts.is_empty()) {
            piece_ui(ui, pen, (allotment, plan), longest);
        }
        new_ui(ui, pen, allotment, longest);
        rest_ui(ui, pen, allotment, longest);
        substitutes_ui(ui, pen);
    });
}

fn pieces_words(n: usize) -> String {
    if n == 1 { "1 piece".into() } else { format!("{n} pieces") }
}

fn longest_mm(pen: &Pen<'_, '_>, allotment: &Allotment) -> f64 {
    let pieces = pen.view.project.pieces.iter().map(|(_, piece)| piece.length_mm);
    let wires = allotment.new_wires.iter().map(|wire| wire.cut_mm);
    pieces.chain(wires).fold(1.0, f64::max)
}

/// One opened piece.
fn piece_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (allotment, plan): (&Allotment, &PiecePlan),
    longest_mm: f64,
) {
    let Some(piece) = pen.view.project.pieces.get(plan.verdict.piece) else { return };
    let palette = pen.view.palette;
    ui.horizontal(|ui| {
        swatch(ui, piece.colour, pen.view);
        ui.label(RichText::new(&piece.name).font(theme::bold(theme::TEXT_BODY)));
        let length = pen.view.preferences.length_text(piece.length_mm);
        quiet(ui, format!("{}, {}, {length}", piece.size.text(), piece.colour.text()), palette);
        if word_button(ui, "Cut", palette.chosen)
            .on_hover_text("The wires of this piece are cut")
            .accessible_name(format!("Piece {} is cut", piece.name))
            .clicked()
            && let Some(edit) =
                cut_done(pen.view.project, allotment, &|id| id == plan.verdict.piece)
        {
            pen.edit(edit);
        }
    });
    let wide = f64::from(ui.available_width() - BESIDE);
    let (rect, response) = ui.allocate_exact_size(
        vec2((piece.length_mm / longest_mm * wide) as f32, BAR),
        Sense::hover(),
    );
    let scale = f64::from(rect.width()) / piece.length_mm;
    for cut in &plan.cuts {
        let left = rect.left() + (cut.from_mm * scale) as f32;
        let right = left + (cut.cut_mm * scale) as f32;
        let part = Rect::from_min_max(
            pos2(left, rect.top()),
            pos2(right.min(rect.right()), rect.bottom()),
        );
        let mark = if cut.substitute.is_some() { " ⚠" } else { "" };
        let text = format!("{}{mark}  {}", cut.name, pen.view.preferences.length_text(cut.cut_mm));
        wire_bar(ui, part, piece.colour, &text, palette);
    }
    let used_mm = plan.cuts.last().map_or(0.0, |cut| cut.from_mm + cut.cut_mm);
    let rest =
        Rect::from_min_max(pos2(rect.left() + (used_mm * scale) as f32, rect.top()), rect.max);
    rest_bar(ui, rest, palette);
    let left = pen.view.preferences.length_text(plan.left_mm);
    let words = if plan.is_scrap { format!("{left}, scrap") } else { format!("{left} left") };
    // Beside the bar where what is left is too narrow for its words.
    let is_roomy = rest.width() > 70.0;
    let (at, anchor) = if is_roomy {
        (rest.center(), Align2::CENTER_CENTER)
    } else {
        (pos2(rect.right() + 6.0, rect.center().y), Align2::LEFT_CENTER)
    };
    ui.painter().text(at, anchor, &words, theme::plain(13.0), palette.quiet);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, bar_words(piece, plan, &words)));
    for cut in &plan.cuts {
        if let Some(marker) = &cut.substitute {
            let words = format!("⚠ {} is a substitute: mark both ends \"{marker}\"", cut.name);
            ui.label(RichText::new(words).small().color(palette.warning));
        }
    }
    ui.add_space(8.0);
}

/// The bar as a screen reader says it.
fn bar_words(piece: &Piece, plan: &PiecePlan, left: &str) -> String {
    let cuts: Vec<String> =
        plan.cuts.iter().map(|cut| format!("{} {:.0} mm", cut.name, cut.cut_mm)).collect();
    format!("piece {}: {}, {left}", piece.name, cuts.join(", "))
}

/// A stretch of wire with words that can be read on its colour.
fn wire_bar(ui: &Ui, rect: Rect, colour: Colour, text: &str, palette: &Palette) {
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    let inner = rect.shrink2(vec2(1.0, 0.0));
    painter.rect_filled(inner, 3.0, theme::insulation(colour.base));
    if let Some(tracer) = colour.tracer {
        let stripe = Rect::from_min_max(pos2(inner.left(), inner.bottom() - 5.0), inner.max);
        painter.rect_filled(stripe, 0.0, theme::insulation(tracer));
    }
    painter.rect_stroke(inner, 3.0, Stroke::new(1.0, palette.ink), StrokeKind::Inside);
    let at = pos2(
        inner.left() + 7.0,
        inner.center().y - if colour.tracer.is_some() { 2.0 } else { 0.0 },
    );
    painter.text(at, Align2::LEFT_CENTER, text, theme::bold(13.0), readable_on(colour.base));
}

/// Black or white, whichever stands out more.
fn readable_on(base: BaseColour) -> Color32 {
    let [r, g, b, _] = theme::insulation(base).to_array();
    let light = 0.299 * f32::from(r) + 0.587 * f32::from(g) + 0.114 * f32::from(b);
    if light > 140.0 { Color32::BLACK } else { Color32::WHITE }
}

/// What stays: an outline.
fn rest_bar(ui: &Ui, rect: Rect, palette: &Palette) {
    if rect.width() > 1.0 {
        let inner = rect.shrink2(vec2(0.5, 0.5));
        ui.painter().rect_filled(inner, 3.0, palette.wash(palette.edge, 0.5));
        ui.painter().rect_stroke(inner, 3.0, Stroke::new(1.0, palette.quiet), StrokeKind::Inside);
    }
}

/// Wires from new wire, with the reason.
fn new_ui(ui: &mut Ui, pen: &Pen<'_, '_>, allotment: &Allotment, longest_mm: f64) {
    if allotment.new_wires.is_empty() && allotment.unknown.is_empty() {
        return;
    }
    let palette = pen.view.palette;
    heading(ui, "From new wire");
    for wire in &allotment.new_wires {
        let wide = f64::from(ui.available_width() - BESIDE);
        let size = vec2((wire.cut_mm / longest_mm * wide) as f32, BAR);
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        let text = format!("{}  {}", wire.name, pen.view.preferences.length_text(wire.cut_mm));
        wire_bar(ui, rect, wire.colour, &text, palette);
        let label = format!("new wire {}: {:.0} mm, {}", wire.name, wire.cut_mm, wire.why);
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, label.clone()));
        let words = format!("{} {}: {}", wire.size.text(), wire.colour.text(), wire.why);
        quiet(ui, words, palette);
        ui.add_space(4.0);
    }
    if !allotment.unknown.is_empty() {
        let words = format!("⚠ no length is known for {}", allotment.unknown.join(", "));
        ui.label(RichText::new(words).small().color(palette.warning));
    }
}

/// Pieces that stay whole and pieces that are rejected.
fn rest_ui(ui: &mut Ui, pen: &Pen<'_, '_>, allotment: &Allotment, longest_mm: f64) {
    let palette = pen.view.palette;
    let rest: Vec<&PiecePlan> =
        allotment.pieces.iter().filter(|plan| plan.cuts.is_empty()).collect();
    if rest.is_empty() {
        return;
    }
    heading(ui, "Pieces that are not cut");
    for plan in rest {
        let Some(piece) = pen.view.project.pieces.get(plan.verdict.piece) else { continue };
        ui.horizontal_wrapped(|ui| {
            swatch(ui, piece.colour, pen.view);
            ui.label(RichText::new(&piece.name).font(theme::bold(theme::TEXT_BODY)));
            let length = pen.view.preferences.length_text(piece.length_mm);
            quiet(ui, format!("{}, {}, {length}", piece.size.text(), piece.colour.text()), palette);
            let (words, colour) = if plan.verdict.is_usable() {
                ("stays whole".to_owned(), palette.quiet)
            } else {
                (format!("✕ rejected: {}", plan.verdict.rejections.join("; ")), palette.wrong)
            };
            ui.label(RichText::new(words).small().color(colour));
        });
        let wide = f64::from(ui.available_width() - BESIDE);
        let size = vec2((piece.length_mm / longest_mm * wide) as f32, 8.0);
        let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
        rest_bar(ui, rect, palette);
        ui.add_space(4.0);
    }
}
