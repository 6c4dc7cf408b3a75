//! A plot that stands still: axes and grid to paint on, nothing to drag or zoom.

use egui::{Sense, Vec2};
use egui_plot::{AxisHints, Plot};

use crate::app::theme;
use crate::app::theme::Palette;

/// A plot that does not move under the hand.
pub fn still_plot(name: &'static str, size: Vec2, palette: &Palette) -> Plot<'static> {
    Plot::new(name)
        .width(size.x)
        .height(size.y)
        .sense(Sense::hover())
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_drag(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .allow_axis_zoom_drag(false)
        .show_x(false)
        .show_y(false)
        .label_formatter(|_| None)
        .grid_color(palette.edge)
        .grid_fade(0.0)
        .show_background(false)
        .set_margin_fraction(Vec2::ZERO)
}

/// How its axes look: every mark it has is shown, in small quiet figures.
pub fn quiet_axis<'a>(axis: AxisHints<'a>, palette: &Palette) -> AxisHints<'a> {
    axis.label_spacing(10.0..=11.0)
        .tick_label_color(palette.quiet)
        .tick_label_font(theme::plain(theme::TEXT_SMALL))
}
