//! The timeline of one move: the reading over milliseconds, the bands it passes, and what stays.

use egui::{Color32, Rect, Role, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};
use egui_plot::{AxisHints, GridMark, PlotTransform};

use crate::app::reading::{BandSpan, band_spans, short_text};
use crate::app::ruler::{Axis, band_colour};
use crate::app::stages::breaking::moves::passing_colour;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{quiet_axis, still_plot};
use crate::model::{BandRole, SensePin};
use crate::study::transitions::{Move, Moves, Passing, Seen, Stretch};
use crate::units::{format_ohm, trim_zeros};

/// Height of the plot, in points.
const HEIGHT: f32 = 230.0;
/// Least room for a number of the upright axis, in points.
const MARK_GAP: f32 = 24.0;
/// Least room for a number of the time axis, in points.
const TIME_GAP: f32 = 64.0;
/// Between the plot and the names of the bands, in points.
const NAME_GAP: f32 = 6.0;
/// Height of the strip of one stay below the reading, in points.
const STAY_HEIGHT: f32 = 20.0;

/// Milliseconds to a tenth.
pub fn ms(value: f64) -> String {
    format!("{} ms", trim_zeros(&format!("{value:.1}")))
}

/// `2.23 V = LEFT+CENTRE`.
pub fn seen_words(pin: &SensePin, seen: &Seen) -> String {
    let value =
        seen.scaled.map_or_else(|| format_ohm(seen.ohm), |value| short_text(value, pin.scale));
    match seen.band.and_then(|idx| pin.bands.get(idx)) {
        Some(band) => format!("{value} = {}", band.name),
        None => format!("{value}, a guard"),
    }
}

/// Paints the move: before it the start's reading, after it the end's, grey boxes while a contact
/// bounces, and below the line a bar for each stay beside the debounce.
pub fn timeline_ui(ui: &mut Ui, view: View<'_>, (pin, moves, row): (&SensePin, &Moves, &Move)) {
    let facts = Facts::new(view, (pin, moves, row));
    let Some(facts) = facts else {
        let words = "The reading is not known in the unit of the bands.";
        crate::app::widgets::quiet(ui, words, view.palette);
        return;
    };
    let axis = facts.axis;
    let strip = STAY_HEIGHT * row.stays.len() as f32 + 6.0;
    // The strip of the stays is kept free below the axis of the readings.
    let low = axis.low - (axis.high - axis.low) * f64::from(strip / (HEIGHT - 26.0 - strip));
    let gap = (axis.high - axis.low) * f64::from(MARK_GAP / (HEIGHT - 26.0 - strip));
    let marks = axis.marks(gap);
    let grid: Vec<GridMark> =
        marks.iter().map(|mark| GridMark { value: mark.at, step_size: mark.step }).collect();
    let texts: Vec<(f64, String)> = marks.into_iter().map(|mark| (mark.at, mark.text)).collect();
    let upright = quiet_axis(AxisHints::new_y(), view.palette).formatter(move |mark, _| {
        let text = texts.iter().find(|(at, _)| (*at - mark.value).abs() < 1e-9);
        text.map_or_else(String::new, |(_, text)| text.clone())
    });
    let width = (ui.available_width() - facts.names_width(ui)).max(120.0);
    let step_ms = facts.step_ms(f64::from(TIME_GAP / width));
    let times: Vec<GridMark> = (0..)
        .map(|n| f64::from(n) * step_ms)
        .take_while(|at| *at <= facts.to_ms)
        .map(|value| GridMark { value, step_size: step_ms })
        .collect();
    let along = quiet_axis(AxisHints::new_x(), view.palette).formatter(|mark, _| ms(mark.value));
    let plot = still_plot("Timeline", vec2(width, HEIGHT), view.palette)
        .show_grid([true, true])
        .x_grid_spacer(move |_| times.clone())
        .y_grid_spacer(move |_| grid.clone())
        .custom_x_axes(vec![along])
        .custom_y_axes(vec![upright])
        .show(ui, |plot| {
            plot.set_plot_bounds_x(facts.from_ms..=facts.to_ms);
            plot.set_plot_bounds_y(low..=axis.high);
        });
    let canvas = Canvas { transform: plot.transform, area: plot.response.rect };
    facts.paint(ui, view, &canvas, (pin, moves, row));
    plot.response.widget_info(|| {
        let seen = |stretch: &Stretch| {
            let seen: Vec<String> = stretch.seen.iter().map(|seen| seen_words(pin, seen)).collect();
            format!("{} to {} {}", ms(stretch.from_ms), ms(stretch.to_ms), seen.join(" or "))
        };
        let all: Vec<String> = row.stretches.iter().map(seen).collect();
        let words = format!("Timeline of {}: {}", row.words(view.project), all.join("; "));
        WidgetInfo::labeled(Role::Image, true, words)
    });
}

/// Where on the screen a time and a reading lie.
struct Canvas {
    transform: PlotTransform,
    area: Rect,
}

impl Canvas {
    fn x(&self, at_ms: f64) -> f32 {
        self.transform.position_from_point_x(at_ms)
    }

    fn y(&self, at: f64) -> f32 {
        self.transform.position_from_point_y(at)
    }
}

/// What is to be painted, known before it is.
struct Facts {
    axis: Axis,
    bands: Vec<BandSpan>,
    from_ms: f64,
    to_ms: f64,
    /// Readings before and after.
    ends: [f64; 2],
}

impl Facts {
    /// `None` where a reading is not known.
    fn new(view: View<'_>, (pin, moves, row): (&SensePin, &Moves, &Move)) -> Option<Self> {
        let ends = [moves.scaled[row.start]?, moves.scaled[row.end]?];
        let mut values = ends.to_vec();
        for seen in row.stretches.iter().flat_map(|stretch| &stretch.seen) {
            values.push(seen.scaled?);
        }
        let bands = band_spans(view.project, pin, pin.scale).unwrap_or_default();
        // The bands that are touched are shown whole.
        let touched = bands.iter().filter(|band| values.iter().any(|value| band.holds(*value)));
        let edges: Vec<f64> = touched
            .flat_map(|band| [band.low, band.high])
            .filter(|edge| edge.is_finite())
            .collect();
        let axis = Axis::around(pin.scale, values.into_iter().chain(edges));
        let debounced = row.main_stay().zip(moves.debounce_ms);
        let shown = debounced.map_or(0.0, |(stay, debounce)| stay.from_ms + debounce);
        // A debounce far longer than the move would leave nothing of it to be seen.
        let done = row.done_ms().max(1.0);
        let last = done.max(shown.min(done * 3.0));
        Some(Self { axis, bands, from_ms: -0.14 * last, to_ms: 1.14 * last, ends })
    }

    fn paint(
        &self,
        ui: &Ui,
        view: View<'_>,
        canvas: &Canvas,
        (pin, moves, row): (&SensePin, &Moves, &Move),
    ) {
        self.paint_bands(ui, view, canvas);
        let painter = ui.painter_at(canvas.area);
        let ink = Stroke::new(2.5, view.palette.live);
        let y = |value: f64| canvas.y(self.axis.at(value));
        let mut last = y(self.ends[0]);
        let flat = |from: f32, to: f32, y: f32| {
            painter.line_segment([pos2(from, y), pos2(to, y)], ink);
        };
        let start = row.stretches.first().map_or(0.0, |stretch| stretch.from_ms);
        flat(canvas.x(self.from_ms), canvas.x(start), last);
        for stretch in &row.stretches {
            let (from, to) = (canvas.x(stretch.from_ms), canvas.x(stretch.to_ms));
            let heights: Vec<f32> =
                stretch.seen.iter().filter_map(|seen| seen.scaled).map(y).collect();
            let Some(first) = heights.first().copied() else { continue };
            let top = heights.iter().copied().fold(first, f32::min);
            let bottom = heights.iter().copied().fold(first, f32::max);
            if heights.len() > 1 {
                let rect = Rect::from_min_max(pos2(from, top), pos2(to, bottom));
                painter.rect_filled(rect, 0.0, view.palette.live.gamma_multiply(0.18));
                let edge = Stroke::new(1.2, view.palette.live);
                for height in heights {
                    let line = [pos2(from, height), pos2(to, height)];
                    painter.extend(Shape::dashed_line(&line, edge, 4.0, 3.0));
                }
            } else {
                flat(from, to, first);
            }
            // Upwards or downwards to where this stretch begins.
            let near = if (last - top).abs() > (last - bottom).abs() { top } else { bottom };
            painter.line_segment([pos2(from, last), pos2(from, near)], ink);
            last = first;
        }
        let done = canvas.x(row.done_ms());
        let end = y(self.ends[1]);
        painter.line_segment([pos2(done, last), pos2(done, end)], ink);
        flat(done, canvas.x(self.to_ms), end);
        self.paint_stays(ui, view, canvas, (pin, moves, row));
    }

    /// Milliseconds between two marks: 1, 2 or 5 times a power of ten that take at least this share
    /// of the axis.
    fn step_ms(&self, share: f64) -> f64 {
        let least = (self.to_ms - self.from_ms) * share;
        let power = 10f64.powf(least.log10().floor());
        let steps = [1.0, 2.0, 5.0].map(|digit| digit * power);
        steps.into_iter().find(|step| *step >= least).unwrap_or(10.0 * power)
    }

    /// Room the names of the bands take to the right of the plot.
    fn names_width(&self, ui: &Ui) -> f32 {
        let shown = self.bands.iter().filter(|band| {
            self.axis.at(band.low) < self.axis.high && self.axis.at(band.high) > self.axis.low
        });
        let width = |band: &BandSpan| {
            let font = theme::plain(theme::TEXT_SMALL);
            let ink = Color32::PLACEHOLDER;
            ui.painter().layout_no_wrap(band.name.clone(), font, ink).size().x
        };
        shown.map(width).fold(0.0, f32::max) + NAME_GAP * 2.0
    }

    /// Washes of the bands with their names at the right of the plot.
    fn paint_bands(&self, ui: &Ui, view: View<'_>, canvas: &Canvas) {
        let painter = ui.painter();
        let (bottom, top) = (canvas.y(self.axis.low), canvas.area.top());
        let mut free = f32::INFINITY;
        let mut bands: Vec<&BandSpan> = self.bands.iter().collect();
        bands.sort_by(|a, b| a.low.total_cmp(&b.low));
        for band in bands {
            let lower = canvas.y(self.axis.at(band.low)).min(bottom);
            let upper =
                if band.high.is_infinite() { top } else { canvas.y(self.axis.at(band.high)) };
            let (upper, lower) = (upper.max(top), lower.min(bottom));
            if lower - upper < 1.0 {
                continue;
            }
            let colour = band_colour(view.palette, band.role, band.band);
            let share = if band.role == BandRole::Action { 0.16 } else { 0.07 };
            let rect = Rect::from_min_max(
                pos2(canvas.area.left(), upper),
                pos2(canvas.area.right(), lower),
            );
            painter.rect_filled(rect, 0.0, colour.gamma_multiply(share));
            let name =
                painter.layout_no_wrap(band.name.clone(), theme::plain(theme::TEXT_SMALL), colour);
            let y = f32::midpoint(upper, lower) - name.size().y / 2.0;
            // A name that would touch the one below is left out; the hover and the list tell it.
            let y = y.max(top);
            if y + name.size().y <= free + 2.0 {
                free = y;
                painter.galley(pos2(canvas.area.right() + NAME_GAP, y), name, colour);
            }
        }
        let unit = self.axis.scale.unit();
        let words = match self.axis.open_from {
            Some(_) => format!("{unit}, open at the top"),
            None => unit.to_owned(),
        };
        let quiet = view.palette.quiet;
        let words = painter.layout_no_wrap(words, theme::plain(theme::TEXT_SMALL), quiet);
        painter.galley(pos2(canvas.area.left() + 4.0, top + 1.0), words, quiet);
    }

    /// A bar for each stay, with the debounce as a frame around the time it would have to last.
    fn paint_stays(
        &self,
        ui: &Ui,
        view: View<'_>,
        canvas: &Canvas,
        (pin, moves, row): (&SensePin, &Moves, &Move),
    ) {
        let painter = ui.painter_at(canvas.area);
        let mut top = canvas.area.bottom() - STAY_HEIGHT * row.stays.len() as f32 - 2.0;
        for stay in &row.stays {
            let colour = passing_colour(view.palette, stay.passing);
            let at = |from: f64, to: f64| {
                Rect::from_min_max(
                    pos2(canvas.x(from), top + 2.0),
                    pos2(canvas.x(to).max(canvas.x(from) + 2.0), top + STAY_HEIGHT - 2.0),
                )
            };
            let bar = at(stay.from_ms, stay.from_ms + stay.most_ms);
            painter.rect_filled(bar, 3.0, colour.gamma_multiply(0.35));
            let mut taken = bar;
            if let Some(debounce) = moves.debounce_ms {
                let frame = at(stay.from_ms, stay.from_ms + debounce);
                let edge = Stroke::new(1.2, view.palette.quiet);
                painter.rect_stroke(frame, 3.0, edge, egui::StrokeKind::Inside);
                taken = taken.union(frame);
            }
            let name = stay.band.map_or("a guard", |band| pin.bands[band].name.as_str());
            let words = format!("{name} ≤ {}", ms(stay.most_ms));
            put_words(&painter, (taken, canvas.area), words, text_colour(view, stay.passing));
            top += STAY_HEIGHT;
        }
    }
}

/// Words in a bar or its frame, or behind it where they do not fit.
fn put_words(painter: &egui::Painter, (bar, area): (Rect, Rect), words: String, colour: Color32) {
    let text = painter.layout_no_wrap(words, theme::plain(theme::TEXT_SMALL), colour);
    let fits = bar.width() >= text.size().x + 8.0;
    let x = if fits { bar.left() + 4.0 } else { bar.right() + 4.0 };
    let x = x.min(area.right() - text.size().x - 4.0).max(area.left() + 2.0);
    let y = bar.center().y - text.size().y / 2.0;
    painter.galley(pos2(x, y), text, colour);
}

fn text_colour(view: View<'_>, passing: Passing) -> Color32 {
    match passing {
        Passing::Silent => view.palette.quiet,
        Passing::WrongAction | Passing::OnTheWay | Passing::DropsOut | Passing::Detected => {
            view.palette.ink
        }
    }
}
