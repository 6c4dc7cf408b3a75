//! Where the sheet is looked at: pan and zoom between sheet millimetres and screen points.

use egui::{Pos2, Vec2, pos2, vec2};

use crate::geometry::{Point, Rect, point};

/// Screen points per millimetre at 100 %.
pub const PX_PER_MM: f64 = 4.0;
/// Least and greatest zoom.
const ZOOM_LIMITS: (f64, f64) = (0.08, 8.0);
/// Fitting never magnifies beyond this.
const FIT_MOST: f64 = 1.6;

/// Pan and zoom, whatever the size of the window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transform {
    /// Place of the sheet in the middle of the view.
    pub centre: Point,
    /// 1.0 is 100 %.
    pub zoom: f64,
}

impl Transform {
    /// Shows all of `bounds` in a view of this size, with `margin` points free on every side.
    pub fn fitting(bounds: Rect, view: Vec2, margin: f32) -> Self {
        let free = |side: f32| f64::from((side - 2.0 * margin).max(40.0)) / PX_PER_MM;
        let zoom =
            (free(view.x) / bounds.width().max(1.0)).min(free(view.y) / bounds.height().max(1.0));
        Self { centre: bounds.centre(), zoom: zoom.clamp(ZOOM_LIMITS.0, FIT_MOST) }
    }

    /// `120 %`.
    pub fn text(&self) -> String {
        format!("{:.0} %", self.zoom * 100.0)
    }
}

/// A transform together with the part of the screen it is seen through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lens {
    /// The view on the screen.
    pub view: egui::Rect,
    /// Pan and zoom.
    pub transform: Transform,
}

impl Lens {
    /// Screen points per millimetre.
    pub fn scale(&self) -> f32 {
        (PX_PER_MM * self.transform.zoom) as f32
    }

    /// Place on the screen of a point of the sheet.
    pub fn screen_from_sheet(&self, p: Point) -> Pos2 {
        let k = PX_PER_MM * self.transform.zoom;
        let middle = self.view.center();
        let by = p - self.transform.centre;
        pos2(middle.x + (by.x_mm * k) as f32, middle.y + (by.y_mm * k) as f32)
    }

    /// Place on the sheet of a point of the screen.
    pub fn sheet_from_screen(&self, pos: Pos2) -> Point {
        let k = PX_PER_MM * self.transform.zoom;
        let by = pos - self.view.center();
        self.transform.centre + point(f64::from(by.x) / k, f64::from(by.y) / k)
    }

    /// A rectangle of the sheet on the screen.
    pub fn screen_rect(&self, rect: Rect) -> egui::Rect {
        egui::Rect::from_min_max(self.screen_from_sheet(rect.min), self.screen_from_sheet(rect.max))
    }

    /// The part of the sheet in view.
    pub fn sheet_rect(&self) -> Rect {
        Rect::spanning(self.sheet_from_screen(self.view.min), self.sheet_from_screen(self.view.max))
    }

    /// Millimetres of a length on the screen.
    pub fn mm(&self, px: f32) -> f64 {
        f64::from(px) / (PX_PER_MM * self.transform.zoom)
    }

    /// Zooms by a factor; what lies under `about` stays there.
    pub fn zoom_about(&mut self, about: Pos2, factor: f64) {
        if !factor.is_finite() || factor <= 0.0 {
            return;
        }
        let held = self.sheet_from_screen(about);
        self.transform.zoom = (self.transform.zoom * factor).clamp(ZOOM_LIMITS.0, ZOOM_LIMITS.1);
        let now = self.sheet_from_screen(about);
        self.transform.centre = self.transform.centre + (held - now);
    }

    /// Moves the sheet under the view by a way on the screen.
    pub fn pan(&mut self, by: Vec2) {
        let way = point(self.mm(by.x), self.mm(by.y));
        self.transform.centre = self.transform.centre - way;
    }

    /// Brings a rectangle of the sheet into view: by panning, and by zooming out where it is larger than the view.
    pub fn show(&mut self, rect: Rect) {
        let on_screen = self.screen_rect(rect);
        if self.view.shrink(24.0).contains_rect(on_screen) {
            return;
        }
        let room = self.view.size() - vec2(48.0, 48.0);
        let share = (on_screen.width() / room.x.max(1.0)).max(on_screen.height() / room.y.max(1.0));
        if share > 1.0 {
            self.transform.zoom = (self.transform.zoom / f64::from(share)).max(ZOOM_LIMITS.0);
        }
        self.transform.centre = rect.centre();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lens(zoom: f64) -> Lens {
        let view = egui::Rect::from_min_size(pos2(10.0, 50.0), vec2(800.0, 600.0));
        Lens { view, transform: Transform { centre: point(30.0, -12.5), zoom } }
    }

    #[test]
    fn there_and_back_is_the_same_place() {
        for zoom in [0.08, 0.5, 1.0, 1.2, 8.0] {
            for p in [point(0.0, 0.0), point(30.0, -12.5), point(-55.5, 71.25)] {
                let back = lens(zoom).sheet_from_screen(lens(zoom).screen_from_sheet(p));
                assert!(back.distance(p) < 1e-3, "{zoom}: {p:?} became {back:?}");
            }
        }
    }

    #[test]
    fn at_full_size_a_millimetre_is_four_points() {
        let (a, b) = (point(30.0, -12.5), point(31.0, -12.5));
        let lens = lens(1.0);
        assert_eq!(lens.screen_from_sheet(a), lens.view.center());
        assert_eq!(lens.screen_from_sheet(b).x - lens.screen_from_sheet(a).x, 4.0);
    }

    #[test]
    fn zooming_keeps_what_is_under_the_pointer() {
        let mut lens = lens(1.0);
        let pointer = pos2(200.0, 500.0);
        let before = lens.sheet_from_screen(pointer);
        for factor in [1.25, 0.3, 7.0, 100.0, f64::NAN, 0.0, 0.001] {
            lens.zoom_about(pointer, factor);
            assert!(lens.sheet_from_screen(pointer).distance(before) < 1e-3);
            assert!((ZOOM_LIMITS.0..=ZOOM_LIMITS.1).contains(&lens.transform.zoom));
        }
    }

    #[test]
    fn panning_moves_the_sheet_with_the_hand() {
        let mut lens = lens(2.0);
        let held = lens.sheet_from_screen(pos2(300.0, 300.0));
        lens.pan(vec2(40.0, -16.0));
        assert!(lens.sheet_from_screen(pos2(340.0, 284.0)).distance(held) < 1e-4);
    }

    #[test]
    fn fitting_shows_everything_and_never_magnifies_much() {
        let bounds = Rect::spanning(point(-20.0, 0.0), point(300.0, 140.0));
        let view = vec2(800.0, 600.0);
        let lens = Lens { transform: Transform::fitting(bounds, view, 20.0), ..lens(1.0) };
        assert!(lens.view.shrink(19.9).contains_rect(lens.screen_rect(bounds)));
        let small = Rect::spanning(point(0.0, 0.0), point(5.0, 5.0));
        assert_eq!(Transform::fitting(small, view, 20.0).zoom, FIT_MOST);
        assert!(Transform::fitting(bounds, vec2(0.0, 0.0), 20.0).zoom > 0.0);
    }

    #[test]
    fn what_is_out_of_sight_is_brought_into_view() {
        let mut lens = lens(1.0);
        let near = Rect::spanning(point(28.0, -14.0), point(32.0, -11.0));
        let before = lens;
        lens.show(near);
        assert_eq!(lens, before, "what is in sight stays where it is");
        for rect in [
            Rect::spanning(point(900.0, 900.0), point(910.0, 905.0)),
            Rect::spanning(point(-900.0, 0.0), point(900.0, 100.0)),
        ] {
            lens.show(rect);
            assert!(lens.view.contains_rect(lens.screen_rect(rect)));
        }
    }
}
