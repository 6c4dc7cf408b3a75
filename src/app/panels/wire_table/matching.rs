//! How a table is to be understood: delimiter, first row, decimal mark, units.

use egui::{Id, Ui};

use crate::app::panels::wire_table::WireTableState;
use crate::app::view::View;
use crate::app::widgets::{choice, heading, label_cell};
use crate::model::SizeUnit;
use crate::tables::{Decimal, Delimiter, Header, LengthUnit};

/// The choices; returns whether a hand changed one.
pub(super) fn matching_ui(ui: &mut Ui, view: View<'_>, own: &mut WireTableState) -> bool {
    heading(ui, "How it is understood");
    let Some(Ok(read)) = &mut own.read else { return false };
    let before = read.matching.clone();
    let now = read.table.delimiter;
    let options = Delimiter::ALL.map(|d| (d.noun().to_owned(), d));
    let mut other = None;
    row(ui, view, "Delimiter", now.noun(), options, |delimiter| other = Some(delimiter));
    let matching = &mut read.matching;
    let heads = [(Header::FirstRow, "names the columns"), (Header::None, "is a wire")];
    pick(ui, view, "First row", &mut matching.header, heads);
    let marks = [(Decimal::Point, "point, 0.5"), (Decimal::Comma, "comma, 0,5")];
    pick(ui, view, "Decimal mark", &mut matching.decimal, marks);
    let sizes = [(SizeUnit::Mm2, "mm²"), (SizeUnit::Awg, "AWG")];
    pick(ui, view, "Bare sizes", &mut matching.size_unit, sizes);
    let lengths = LengthUnit::ALL.map(|unit| (unit, unit.sign()));
    pick(ui, view, "Bare lengths", &mut matching.length_unit, lengths);
    let changed = *matching != before;
    if let Some(delimiter) = other {
        own.delimiter = Some(delimiter);
        own.read_anew();
        return true;
    }
    changed
}

fn pick<T: Copy + PartialEq, const N: usize>(
    ui: &mut Ui,
    view: View<'_>,
    label: &'static str,
    value: &mut T,
    options: [(T, &'static str); N],
) {
    let shown = options.iter().find(|(option, _)| option == value).map_or("", |(_, word)| word);
    let options = options.map(|(option, word)| (word.to_owned(), option));
    row(ui, view, label, shown, options, |option| *value = option);
}

fn row<T>(
    ui: &mut Ui,
    view: View<'_>,
    label: &'static str,
    shown: &str,
    options: impl IntoIterator<Item = (String, T)>,
    take: impl FnOnce(T),
) {
    ui.horizontal(|ui| {
        label_cell(ui, label, view.palette);
        if let Some(option) = choice(ui, Id::unique(("wire table", label)), label, shown, options) {
            take(option);
        }
    });
}
