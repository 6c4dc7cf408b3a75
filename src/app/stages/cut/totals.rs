//! How much wire of each size and colour is needed.

use egui::{Label, RichText, ScrollArea, Ui};

use crate::app::prefs::LengthUnit;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{quiet, swatch};
use crate::cutting::CutTotal;

/// Height all of it wants.
pub fn height(totals: usize) -> f32 {
    44.0 + 26.0 * totals.div_ceil(2).max(1) as f32
}

/// Totals in two columns.
pub fn totals_ui(ui: &mut Ui, view: View<'_>, totals: &[CutTotal]) {
    ui.label(RichText::new("Wire needed").font(theme::bold(theme::TEXT_BODY)));
    if totals.is_empty() {
        quiet(ui, "No length is known yet.", view.palette);
        return;
    }
    let columns = if ui.available_width() < 560.0 { 1 } else { 2 };
    ScrollArea::vertical().id_salt("totals").auto_shrink(false).show(ui, |ui| {
        ui.columns(columns, |columns| {
            let count = columns.len();
            for (idx, total) in totals.iter().enumerate() {
                total_ui(&mut columns[idx % count], view, total);
            }
        });
    });
}

fn total_ui(ui: &mut Ui, view: View<'_>, total: &CutTotal) {
    ui.horizontal(|ui| {
        ui.spacing_mut().interact_size.y = 20.0;
        swatch(ui, total.colour, view);
        ui.label(
            RichText::new(length_text(view, total.cut_mm)).font(theme::bold(theme::TEXT_BODY)),
        );
        let wires =
            if total.n_wires == 1 { "1 wire".into() } else { format!("{} wires", total.n_wires) };
        let words = format!("{} {}, {wires}", total.size.text(), total.colour.text());
        ui.add(Label::new(words).truncate());
    });
}

/// Metres or feet: what wire is bought by.
fn length_text(view: View<'_>, length_mm: f64) -> String {
    match view.preferences.length {
        LengthUnit::Millimetre => format!("{:.2} m", length_mm / 1000.0),
        LengthUnit::Inch => format!("{:.1} ft", length_mm / crate::units::MM_PER_INCH / 12.0),
    }
}
