//! A table of which one row is looked at: headings, rows in sight, a click picks.

use egui::{Align, Layout, RichText, Role, Sense, Ui, WidgetInfo};
use egui_extras::{Column, TableBuilder, TableRow};

use crate::app::theme;
use crate::app::view::View;

/// What the table of faults and that of moves have in common.
pub struct Listing<'a> {
    /// Tells its columns from those of another table.
    pub salt: &'static str,
    /// Heading and width of each column; the second takes what room is left.
    pub columns: &'a [(&'static str, f32)],
    /// Height of a row, in points.
    pub row_height: f32,
    /// Rows shown, by index.
    pub shown: &'a [usize],
    /// The row that is looked at.
    pub chosen: Option<usize>,
}

/// What is said of a row: its name for a screen reader, and the tip of the pointer.
pub type RowWords = (String, String);

impl Listing<'_> {
    /// Widths of the columns: of the room that is left, those between the second and the last take a
    /// part, up to half as wide again; the second has the rest.
    fn widths(&self, room: f32) -> Vec<f32> {
        let least: f32 = self.columns.iter().map(|(_, width)| width + 8.0).sum();
        let spare = (room - least).max(0.0) * 0.3;
        let last = self.columns.len().saturating_sub(1);
        let widths = self.columns.iter().enumerate().map(|(n, (_, width))| {
            let is_between = n > 1 && n < last;
            if is_between { width + spare.min(width * 0.5) } else { *width }
        });
        widths.collect()
    }

    /// Paints it; returns the row that was clicked, by index.
    pub fn ui(
        &self,
        ui: &mut Ui,
        view: View<'_>,
        cells: impl Fn(&mut TableRow<'_, '_>, usize),
        words: impl Fn(usize) -> RowWords,
    ) -> Option<usize> {
        let mut clicked = None;
        ui.visuals_mut().selection.bg_fill = view.palette.wash(view.palette.live, 0.15);
        let widths = self.widths(ui.available_width());
        let mut builder = TableBuilder::new(ui)
            .id_salt(self.salt)
            .sense(Sense::click())
            .auto_shrink(false)
            .min_scrolled_height(40.0)
            .cell_layout(Layout::left_to_right(Align::Center));
        for (n, width) in widths.into_iter().enumerate() {
            builder = builder.column(match n {
                1 => Column::remainder().at_least(width).clip(true),
                _ => Column::exact(width).clip(true),
            });
        }
        let table = builder.header(24.0, |mut header| {
            for (word, _) in self.columns {
                header.col(|ui| {
                    let text = RichText::new(*word).font(theme::bold(theme::TEXT_SMALL));
                    ui.label(text.color(view.palette.quiet));
                });
            }
        });
        table.body(|body| {
            body.rows(self.row_height, self.shown.len(), |mut row| {
                let idx = self.shown[row.index()];
                let is_chosen = self.chosen == Some(idx);
                row.set_selected(is_chosen);
                cells(&mut row, idx);
                let (name, tip) = words(idx);
                let response = row.response();
                response.widget_info(|| WidgetInfo::selected(Role::Row, true, is_chosen, &name));
                if response.on_hover_text(tip).clicked() {
                    clicked = Some(idx);
                }
            });
        });
        clicked
    }
}
