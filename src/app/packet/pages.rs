//! All pages, small: only those in sight are painted.

use egui::{Align2, Rect, ScrollArea, Sense, Stroke, StrokeKind, Ui, Vec2, pos2, vec2};

use crate::app::packet::state::PacketState;
use crate::app::packet::walker::{Lies, paint_page};
use crate::app::theme;
use crate::app::view::View;
use crate::sheets::{Packet, Page};

/// Wanted width of a small page.
const WIDTH: f32 = 138.0;
/// Room for the number below it.
const NUMBER: f32 = 20.0;
/// Air between two pages.
const GAP: f32 = 10.0;

/// Where every page stands in the list.
struct Grid {
    places: Vec<Rect>,
    height: f32,
}

impl Grid {
    fn of(pages: &[Page], width: f32) -> Self {
        let n_columns = (((width + GAP) / (WIDTH + GAP)).floor() as usize).max(1);
        let cell = (width - GAP * (n_columns as f32 - 1.0)) / n_columns as f32;
        let cell = cell.clamp(20.0, WIDTH * 1.2);
        let mut places = Vec::with_capacity(pages.len());
        let mut y = 2.0;
        for row in pages.chunks(n_columns) {
            let size = |page: &Page| {
                let ratio = (page.height_mm / page.width_mm.max(1.0)) as f32;
                // A page on its side is as wide, one upright as high as the cell lets it.
                vec2(cell, cell * ratio)
            };
            let tallest = row.iter().fold(0.0, |most: f32, page| most.max(size(page).y));
            for (column, page) in row.iter().enumerate() {
                let x = column as f32 * (cell + GAP);
                places.push(Rect::from_min_size(pos2(x, y), size(page)));
            }
            y += tallest + NUMBER + GAP;
        }
        Self { places, height: y }
    }
}

/// The list; a click shows the page.
pub fn pages_ui(ui: &mut Ui, view: View<'_>, packet: &Packet, own: &mut PacketState) {
    let area = ScrollArea::vertical().id_salt("pages").auto_shrink(false);
    let width = ui.available_width() - 12.0;
    let grid = Grid::of(&packet.pages, width);
    area.show_viewport(ui, |ui, viewport| {
        ui.set_height(grid.height);
        ui.set_width(width);
        let origin = ui.max_rect().min.to_vec2();
        if std::mem::take(&mut own.reveal)
            && let Some(place) = grid.places.get(own.page)
        {
            let seen = place.expand2(Vec2::new(0.0, NUMBER)).translate(origin);
            ui.scroll_to_rect(seen, None);
        }
        let in_sight = viewport.expand(NUMBER + GAP);
        let first = grid.places.partition_point(|place| place.max.y < in_sight.min.y);
        for (idx, place) in grid.places.iter().enumerate().skip(first.saturating_sub(8)) {
            if place.min.y > in_sight.max.y {
                break;
            }
            page_ui(ui, view, (packet, idx), (own, place.translate(origin)));
        }
    });
}

fn page_ui(
    ui: &mut Ui,
    view: View<'_>,
    (packet, idx): (&Packet, usize),
    (own, place): (&mut PacketState, Rect),
) {
    let page = &packet.pages[idx];
    let title = title_of(packet, idx);
    let id = ui.scope_id().with(("page", idx));
    let whole = Rect::from_min_max(place.min, place.max + vec2(0.0, NUMBER));
    let response = ui.interact(whole, id, Sense::click());
    let is_shown = own.page == idx;
    let name = format!("Page {}, {title}", idx + 1);
    response.widget_info(|| egui::WidgetInfo::selected(egui::Role::Button, true, is_shown, &name));
    let scale = place.width() / page.width_mm as f32;
    paint_page(ui.painter(), &own.fonts, page, Lies { corner: place.min, scale });
    let edge = if is_shown {
        Stroke::new(3.0, view.palette.live)
    } else if response.has_focus() || response.hovered() {
        Stroke::new(2.0, view.palette.chosen)
    } else {
        Stroke::NONE
    };
    ui.painter().rect_stroke(place, 1.0, edge, StrokeKind::Outside);
    let colour = if is_shown { view.palette.ink } else { view.palette.quiet };
    let font =
        if is_shown { theme::bold(theme::TEXT_SMALL) } else { theme::plain(theme::TEXT_SMALL) };
    let at = pos2(place.center().x, place.bottom() + 3.0);
    ui.painter().text(at, Align2::CENTER_TOP, (idx + 1).to_string(), font, colour);
    if response.on_hover_text(title).clicked() {
        own.show_page(packet, idx);
        own.reveal = false;
    }
}

/// Title of the sheet a page belongs to.
pub fn title_of(packet: &Packet, idx: usize) -> &str {
    let marks = packet.bookmarks.iter();
    marks.rev().find(|mark| mark.page <= idx).map_or("", |mark| mark.title.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::Tint;

    #[test]
    fn no_small_page_lies_over_another_and_all_are_in_the_list() {
        let page = |width_mm: f64, height_mm: f64| Page {
            width_mm,
            height_mm,
            tint: Tint::Colour,
            is_bare: false,
            items: Vec::new(),
        };
        let pages: Vec<Page> = (0..50)
            .map(|n| if n % 3 == 0 { page(297.0, 210.0) } else { page(210.0, 297.0) })
            .collect();
        for width in [100.0, 156.0, 320.0, 700.0] {
            let grid = Grid::of(&pages, width);
            assert_eq!(grid.places.len(), pages.len());
            for (n, place) in grid.places.iter().enumerate() {
                assert!(place.min.x >= 0.0 && place.max.x <= width + 0.5, "{width} {place:?}");
                assert!(place.max.y + NUMBER <= grid.height);
                let with_number = Rect::from_min_max(place.min, place.max + vec2(0.0, NUMBER));
                let mut others = grid.places[n + 1..].iter();
                assert!(others.all(|other| !with_number.shrink(0.1).intersects(*other)));
            }
        }
    }
}
