//! The ruler on the screen: the plot's axis below, bands, bars and needle above it.

use egui::{Color32, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use egui_plot::{AxisHints, GridMark};

use crate::app::action::{Action, Actions};
use crate::app::reading::in_scale;
use crate::app::reading::{
    StateNames, asked_text, capital, decoded_text, number_text, short_text, state_text,
    verdict_colour, verdict_sign, verdict_words,
};
use crate::app::ruler::facts::RulerFacts;
use crate::app::ruler::paint::{
    BarLook, band_colour, label_font, paint_band, paint_needle, place_labels,
};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{quiet_axis, still_plot};
use crate::model::{Scale, SensePin};
use crate::sense::{PinTable, Verdict};

/// Small below the sheet, large in stage Read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RulerSize {
    /// In the strip.
    Small,
    /// In stage Read.
    Large,
}

/// Least room for a number of the axis, in points.
const MARK_GAP: f32 = 46.0;
/// Height of one row of band names.
const LABEL_HEIGHT: f32 = 18.0;

/// Paints the ruler into the space that is left; a click on a bar moves the controls there.
pub fn ruler_plot_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, table): (&SensePin, &PinTable),
    facts: &RulerFacts,
    size: RulerSize,
    actions: &mut Actions,
) {
    // Both rulers may be in sight at once; a screen reader must tell their bars apart.
    let (salt, what) = match size {
        RulerSize::Small => ("Band ruler below", "State"),
        RulerSize::Large => ("Band ruler", "Bar"),
    };
    let unit_width = if facts.axis.scale == Scale::Count { 48.0 } else { 30.0 };
    let width = (ui.available_width() - unit_width).max(60.0);
    let axis = facts.axis;
    let gap = (axis.high - axis.low) * f64::from(MARK_GAP / width);
    let marks = axis.marks(gap);
    let grid: Vec<GridMark> =
        marks.iter().map(|mark| GridMark { value: mark.at, step_size: mark.step }).collect();
    let texts: Vec<(f64, String)> = marks.into_iter().map(|mark| (mark.at, mark.text)).collect();
    let hints = quiet_axis(AxisHints::new_x(), view.palette).formatter(move |mark, _| {
        texts
            .iter()
            .find(|(at, _)| *at == mark.value)
            .map_or_else(String::new, |(_, text)| text.clone())
    });
    let plot = still_plot(salt, vec2(width, (ui.available_height() - 3.0).max(60.0)), view.palette)
        .show_axes([true, false])
        .show_grid([true, false])
        .x_grid_spacer(move |_| grid.clone())
        .custom_x_axes(vec![hints])
        .show(ui, |plot| {
            plot.set_plot_bounds_x(axis.low..=axis.high);
            plot.set_plot_bounds_y(0.0..=1.0);
        });
    let place = |at: f64| plot.transform.position_from_point_x(at);
    let area = plot.response.rect;
    let inner = paint_bands(ui, view, facts, area, &place);
    paint_ends(ui, view, facts, area, &place);
    let lanes = facts.lanes.max(1) as f32;
    let pitch = (inner.height() / lanes).min(if size == RulerSize::Large { 18.0 } else { 13.0 });
    columns_ui(ui, view, (pin, table), (facts, inner), &place, actions);
    for (idx, bar) in facts.bars.iter().enumerate() {
        let y = inner.bottom() - pitch * (bar.lane as f32 + 0.5);
        let is_current = facts.current == Some(idx);
        let look = BarLook {
            from: pos2(place(bar.low), y),
            to: pos2(place(bar.high), y),
            nominal: pos2(place(bar.nominal), y),
            height: pitch,
            verdict: bar.verdict,
            colour: if is_current { view.palette.live } else { bar_colour(view, bar.verdict) },
            is_open: bar.is_open,
        };
        bar_ui(ui, view, (pin, table), (bar.row, &look, is_current, what), actions);
    }
    if let Some(now) = facts.now {
        let below_names = Rect::from_min_max(pos2(area.left(), inner.top() - 9.0), area.max);
        paint_needle(&ui.painter_at(area.expand(1.0)), below_names, place(now), view.palette);
    }
    plot.response.widget_info(|| WidgetInfo::labeled(Role::Image, true, salt));
}

/// Washes and names of all bands; returns the space that is left for the bars.
fn paint_bands(
    ui: &Ui,
    view: View<'_>,
    facts: &RulerFacts,
    area: Rect,
    place: &dyn Fn(f64) -> f32,
) -> Rect {
    let painter = ui.painter_at(area.expand2(vec2(1.0, 0.0)));
    let spans: Vec<(f32, f32)> = facts
        .bands
        .iter()
        .map(|band| {
            let right = if band.high.is_infinite() {
                area.right()
            } else {
                place(facts.axis.at(band.high))
            };
            (place(facts.axis.at(band.low)), right)
        })
        .collect();
    let colours: Vec<_> =
        facts.bands.iter().map(|band| band_colour(view.palette, band.role, band.band)).collect();
    let galleys: Vec<_> = facts
        .bands
        .iter()
        .zip(&colours)
        .map(|(band, colour)| painter.layout_no_wrap(band.name.clone(), label_font(), *colour))
        .collect();
    let labels: Vec<(f32, f32)> = spans
        .iter()
        .zip(&galleys)
        .map(|((from, to), galley)| (f32::midpoint(*from, *to), galley.size().x))
        .collect();
    let places = place_labels(&labels, area.left() + 2.0, area.right() - 2.0);
    let rows = places.iter().flatten().map(|(_, row)| row + 1).max().unwrap_or(0);
    let top = area.top() + (LABEL_HEIGHT * rows as f32 + 12.0).min(area.height() * 0.6);
    for ((span, band), colour) in spans.iter().zip(&facts.bands).zip(&colours) {
        let rect = Rect::from_min_max(
            pos2(span.0, area.top()),
            pos2(span.1.max(span.0 + 1.5), area.bottom()),
        );
        paint_band(&painter, rect, top, (*colour, band.role), view.palette);
    }
    for ((place, galley), colour) in places.into_iter().zip(galleys).zip(&colours) {
        if let Some((x, row)) = place {
            let y = area.top() + LABEL_HEIGHT * row as f32 + 2.0;
            painter.galley(pos2(x, y), galley, *colour);
        }
    }
    Rect::from_min_max(pos2(area.left(), top), pos2(area.right(), area.bottom() - 4.0))
}

/// The base line, the unit at its end, and the word for the open zone.
fn paint_ends(ui: &Ui, view: View<'_>, facts: &RulerFacts, area: Rect, place: &dyn Fn(f64) -> f32) {
    let palette = view.palette;
    let stroke = egui::Stroke::new(1.0, palette.quiet);
    ui.painter().line_segment([area.left_bottom(), area.right_bottom()], stroke);
    // On one line with the numbers of the axis, which the plot puts right under the base line.
    let below = area.bottom();
    let small = theme::plain(theme::TEXT_SMALL);
    if let Some(from) = facts.axis.open_from {
        let text = ui.painter().layout_no_wrap("open".into(), small.clone(), palette.quiet);
        let x = f32::midpoint(place(from), area.right()) - text.size().x / 2.0;
        ui.painter().galley(
            pos2(x.min(area.right() - text.size().x + 6.0), below),
            text,
            palette.quiet,
        );
    }
    let unit = if facts.axis.scale == Scale::Count { "count" } else { facts.axis.scale.unit() };
    let text = ui.painter().layout_no_wrap(unit.into(), small, palette.quiet);
    ui.painter().galley(pos2(area.right() + 10.0, below), text, palette.quiet);
}

/// States that are right stay in ink; problems carry their colour, and a mark of their own.
fn bar_colour(view: View<'_>, verdict: Option<Verdict>) -> Color32 {
    match verdict {
        Some(Verdict::Ok) | None => view.palette.ink,
        Some(Verdict::Thin | Verdict::Gap | Verdict::Clash) => {
            verdict_colour(view.palette, verdict)
        }
    }
}

/// How many states read where: a column each, its height by the logarithm of their number.
fn columns_ui(
    ui: &Ui,
    view: View<'_>,
    (pin, table): (&SensePin, &PinTable),
    (facts, inner): (&RulerFacts, Rect),
    place: &dyn Fn(f64) -> f32,
    actions: &mut Actions,
) {
    let most = facts.columns.iter().map(|column| column.count).max().unwrap_or(1);
    for (idx, column) in facts.columns.iter().enumerate() {
        let share = (1.0 + column.count as f32).ln() / (1.0 + most as f32).ln();
        let top = inner.bottom() - inner.height() * share;
        let (left, right) = (place(column.low), place(column.high));
        let rect = Rect::from_min_max(pos2(left + 0.5, top), pos2(right - 0.5, inner.bottom()));
        let id = ui.scope_id().with(("column", idx));
        let response = ui.interact(rect, id, Sense::click());
        let colour = bar_colour(view, column.verdict);
        let strength = if response.hovered() || response.has_focus() { 0.75 } else { 0.45 };
        ui.painter().rect_filled(rect, 1.0, view.palette.wash(colour, strength));
        let Some(worst) = table.rows.get(column.worst_row) else { continue };
        let words = || {
            let number = in_scale(worst, pin, view.scale)
                .map_or_else(String::new, |range| number_text(range.nominal, view.scale));
            let problems = match column.problems {
                0 => "all right".to_owned(),
                n => format!("{n} not right"),
            };
            let count = column.count;
            let noun = if count == 1 { "state" } else { "states" };
            format!("{count} {noun} around {number}, {problems}")
        };
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, words()));
        let response = response.on_hover_cursor(egui::CursorIcon::PointingHand).on_hover_ui(|ui| {
            ui.label(egui::RichText::new(words()).font(theme::bold(theme::TEXT_BODY)));
            let worst =
                state_text(view.project, &table.controls, &worst.state, StateNames::OffRest);
            ui.label(format!("worst of them: {worst}"));
            let quiet = view.palette.quiet;
            ui.label(egui::RichText::new("click to move the controls there").color(quiet));
        });
        if response.clicked() {
            actions.push(Action::GoToState(worst.state.clone()));
        }
    }
}

/// One state: painted, found by name, told on hover, gone to by a click.
fn bar_ui(
    ui: &Ui,
    view: View<'_>,
    (pin, table): (&SensePin, &PinTable),
    (idx, look, is_current, what): (usize, &BarLook, bool, &str),
    actions: &mut Actions,
) {
    let Some(row) = table.rows.get(idx) else { return };
    let response = ui.interact(look.rect(), ui.scope_id().with(("state", idx)), Sense::click());
    if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(look.rect(), 3.0, view.palette.wash(view.palette.chosen, 0.3));
    }
    look.paint(ui.painter());
    // Words are made only where someone asks for them: there may be hundreds of bars.
    let name = || state_text(view.project, &table.controls, &row.state, StateNames::OffRest);
    let reading = in_scale(row, pin, view.scale);
    let number = || {
        reading.map_or_else(|| "not known".into(), |range| number_text(range.nominal, view.scale))
    };
    response.widget_info(|| {
        let label = format!("{what} {}: {}, {}", name(), number(), decoded_text(pin, row));
        WidgetInfo::selected(Role::Button, true, is_current, label)
    });
    let response = response.on_hover_cursor(egui::CursorIcon::PointingHand).on_hover_ui(|ui| {
        ui.label(egui::RichText::new(capital(&name())).font(theme::bold(theme::TEXT_BODY)));
        let spread = reading.map_or_else(String::new, |range| {
            format!(
                ", {} to {}",
                short_text(range.low, view.scale),
                short_text(range.high, view.scale)
            )
        });
        ui.label(format!("{}{spread}", number()));
        ui.label(format!("decodes as {}, asked for {}", decoded_text(pin, row), asked_text(row)));
        let words = format!("{} {}", verdict_sign(row.verdict), verdict_words(pin, row));
        ui.colored_label(verdict_colour(view.palette, row.verdict), words);
        ui.label(egui::RichText::new("click to move the controls there").color(view.palette.quiet));
    });
    if response.clicked() {
        actions.push(Action::GoToState(row.state.clone()));
    }
}
