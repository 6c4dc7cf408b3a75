//! The shopping list, with prices that can be typed.

use egui::{Id, Label, RichText, ScrollArea, Ui};

use crate::app::cut_studies::CutPlan;
use crate::app::stages::cut::settings::{buying_ui, changed};
use crate::app::theme;
use crate::app::widgets::{Field, Pen, number_text, parse_unit, quiet};
use crate::cutting::{Item, Unit};
use crate::model::Price;

/// Below this width what a thing is for stands beneath its name.
const ROOMY: f32 = 640.0;
/// Width of that line.
const NOTE_WIDTH: f32 = 220.0;
/// Greatest width of the column otherwise.
const FOR_WIDTH: f32 = 420.0;

/// Everything to buy.
pub fn shopping_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, plan: &CutPlan) {
    let list = &plan.shopping;
    let palette = pen.view.palette;
    buying_ui(ui, pen);
    ui.add_space(4.0);
    let is_scarce = ui.available_width() < ROOMY;
    ScrollArea::vertical().id_salt("shopping").auto_shrink(false).show(ui, |ui| {
        if list.items.is_empty() {
            quiet(ui, "Nothing to buy.", palette);
        }
        egui::Grid::new("shopping list").num_columns(5).striped(true).spacing([14.0, 6.0]).show(
            ui,
            |ui| {
                let heads = ["Goods", "Amount", "Price of one", "Sum", "For"];
                for head in &heads[..if is_scarce { 4 } else { 5 }] {
                    ui.label(RichText::new(*head).small().color(palette.quiet));
                }
                ui.end_row();
                for item in &list.items {
                    item_ui(ui, pen, item, is_scarce);
                    ui.end_row();
                }
            },
        );
        if list.n_without_price < list.items.len() {
            let currency = &pen.view.project.cutting.settings.currency;
            let sum = format!("{:.2} {currency}", list.sum);
            ui.add_space(4.0);
            ui.label(
                RichText::new(format!("Sum {}", sum.trim())).font(theme::bold(theme::TEXT_BODY)),
            );
            if list.n_without_price > 0 {
                quiet(
                    ui,
                    format!("without {} lines that have no price", list.n_without_price),
                    palette,
                );
            }
        }
        for sentence in &list.unknown {
            ui.label(RichText::new(format!("⚠ {sentence}")).small().color(palette.warning));
        }
    });
}

fn item_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, item: &Item, is_scarce: bool) {
    let palette = pen.view.palette;
    let now = &pen.view.project.cutting.settings;
    let note = RichText::new(&item.note).small().color(palette.quiet);
    if is_scarce {
        ui.vertical(|ui| {
            ui.set_max_width(NOTE_WIDTH);
            ui.label(&item.name);
            if !item.note.is_empty() {
                ui.add(Label::new(note.clone()).truncate());
            }
        });
    } else {
        ui.label(&item.name);
    }
    let amount = match item.unit {
        Unit::Metre => format!("{:.2}", item.amount),
        Unit::Spool | Unit::Each => format!("{:.0}", item.amount),
    };
    ui.label(format!("{amount} {}", item.unit.word()));
    let shown = item.price.map_or_else(String::new, |price| number_text(price, ""));
    let id = Id::unique(("price", item.name.clone()));
    let field =
        Field::figure(id, format!("Price of {}", item.name), shown).hint("none").width(72.0);
    ui.vertical(|ui| {
        pen.field(ui, &field, |text| {
            let text = text.trim();
            let price = if text.is_empty() {
                None
            } else {
                Some(parse_unit(text, &now.currency, "a price such as 1.20")?)
            };
            Ok(changed(now, |settings| {
                settings.prices.retain(|known| known.item != item.name);
                settings.prices.extend(price.map(|price| Price { item: item.name.clone(), price }));
            }))
        });
        pen.refusal_ui(ui, field.id, &field.shown);
    });
    ui.label(item.sum().map_or_else(|| "–".to_owned(), |sum| format!("{sum:.2}")));
    if !is_scarce {
        // What a thing is for may be a long list: pointing at it shows all of it.
        ui.vertical(|ui| {
            ui.set_max_width(
                (ui.ctx().content_rect().right() - ui.min_rect().left()).min(FOR_WIDTH),
            );
            ui.add(Label::new(note).truncate());
        });
    }
}
