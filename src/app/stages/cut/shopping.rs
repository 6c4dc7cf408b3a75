//! The shopping list, with prices that can be typed.

use egui::{Id, RichText, ScrollArea, Ui};

use crate::app::cut_studies::CutPlan;
use crate::app::stages::cut::settings::{buying_ui, changed};
use crate::app::theme;
use crate::app::widgets::{Field, Pen, number_text, parse_unit, quiet};
use crate::cutting::{Item, Unit};
use crate::model::Price;

/// Everything to buy.
pub fn shopping_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, plan: &CutPlan) {
    let list = &plan.shopping;
    let palette = pen.view.palette;
    buying_ui(ui, pen);
    ui.add_space(4.0);
    ScrollArea::vertical().id_salt("shopping").auto_shrink(false).show(ui, |ui| {
        if list.items.is_empty() {
            quiet(ui, "Nothing to buy.", palette);
        }
        egui::Grid::new("shopping list").num_columns(5).striped(true).spacing([14.0, 6.0]).show(
            ui,
            |ui| {
                for head in ["Goods", "Amount", "Price of one", "Sum", "For"] {
                    ui.label(RichText::new(head).small().color(palette.quiet));
                }
                ui.end_row();
                for item in &list.items {
                    item_ui(ui, pen, item);
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

fn item_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, item: &Item) {
    let palette = pen.view.palette;
    let now = &pen.view.project.cutting.settings;
    ui.label(&item.name);
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
    ui.label(RichText::new(&item.note).small().color(palette.quiet));
}
