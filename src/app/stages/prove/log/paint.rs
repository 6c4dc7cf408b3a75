//! Paints a stretch of a log: bands, what the drawing gives, the reading, named stretches, events.
//!
//! Whatever the length of the log, at most some two thousand points and one stretch a pixel are drawn.

use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2};
use egui_plot::PlotTransform;

use crate::app::reading::BandSpan;
use crate::app::ruler::{Axis, band_colour};
use crate::app::stages::prove::log::events::look;
use crate::app::stages::prove::log::window::Shown;
use crate::app::theme;
use crate::app::view::View;
use crate::model::{BandRole, SensePin};
use crate::proving::replay::{GUARD, Log, Points, Replay, Run, band_name};

/// Points asked of the log for one picture.
const MOST_POINTS: usize = 2_000;
/// Between the plot and the names of the bands, in points.
const NAME_GAP: f32 = 6.0;

/// Where on the screen a moment lies.
pub struct Canvas {
    /// From plot to screen.
    pub transform: PlotTransform,
    /// The plot on the screen.
    pub area: Rect,
    /// What is in sight.
    pub shown: Shown,
}

impl Canvas {
    fn x(&self, at_s: f64) -> f32 {
        self.transform.position_from_point_x(at_s)
    }

    fn y(&self, at: f64) -> f32 {
        self.transform.position_from_point_y(at)
    }
}

/// What is to be painted.
pub struct Picture<'a> {
    /// The frame's view.
    pub view: View<'a>,
    /// The pin.
    pub pin: &'a SensePin,
    /// The log.
    pub log: &'a Log,
    /// What the drawing makes of it.
    pub replay: &'a Replay,
    /// Where readings stand.
    pub axis: Axis,
    /// The bands.
    pub bands: Vec<BandSpan>,
}

impl Picture<'_> {
    /// Room the names of the bands take to the right of the plot.
    pub fn names_width(&self, ui: &Ui) -> f32 {
        let width = |band: &BandSpan| {
            let font = theme::plain(theme::TEXT_SMALL);
            ui.painter().layout_no_wrap(band.name.clone(), font, Color32::PLACEHOLDER).size().x
        };
        self.bands.iter().map(width).fold(0.0, f32::max) + NAME_GAP * 2.0
    }

    /// Paints everything; `above` and `below` are kept free of readings.
    pub fn paint(
        &self,
        ui: &Ui,
        canvas: &Canvas,
        (above, below): (f32, f32),
        picked: Option<usize>,
    ) {
        let painter = ui.painter_at(canvas.area);
        let readings = Rect::from_min_max(
            pos2(canvas.area.left(), canvas.area.top() + above),
            pos2(canvas.area.right(), canvas.area.bottom() - below),
        );
        self.paint_bands(ui, canvas, readings);
        let rows = self.log.row_at(canvas.shown.from_s)
            ..(self.log.row_at(canvas.shown.to_s) + 2).min(self.log.n_rows());
        self.paint_picked(&painter, canvas, picked);
        self.paint_expected(&painter, canvas, &rows);
        self.paint_reading(&painter, canvas, rows);
        let strip = Rect::from_min_max(
            pos2(readings.left(), readings.bottom() + 3.0),
            pos2(readings.right(), canvas.area.bottom() - 1.0),
        );
        self.paint_stretches(&painter, canvas, strip);
        self.paint_events(&painter, canvas, (above, picked));
    }

    /// Washes of the bands with their names at the right of the plot.
    fn paint_bands(&self, ui: &Ui, canvas: &Canvas, area: Rect) {
        let painter = ui.painter();
        let mut free = f32::INFINITY;
        for band in &self.bands {
            let lower = canvas.y(self.axis.at(band.low)).min(area.bottom());
            let upper = match band.high.is_infinite() {
                true => area.top(),
                false => canvas.y(self.axis.at(band.high)).max(area.top()),
            };
            if lower - upper < 1.0 {
                continue;
            }
            let colour = band_colour(self.view.palette, band.role, band.band);
            let share = if band.role == BandRole::Action { 0.16 } else { 0.07 };
            let rect = Rect::from_min_max(pos2(area.left(), upper), pos2(area.right(), lower));
            painter.rect_filled(rect, 0.0, colour.gamma_multiply(share));
            let font = theme::plain(theme::TEXT_SMALL);
            let name = painter.layout_no_wrap(band.name.clone(), font, colour);
            let y = (f32::midpoint(upper, lower) - name.size().y / 2.0).max(area.top());
            // A name that would touch the one below is left out; the strip and the table tell it.
            if y + name.size().y <= free + 2.0 {
                free = y;
                painter.galley(pos2(area.right() + NAME_GAP, y), name, colour);
            }
        }
        let unit = self.axis.scale.unit();
        let words = match self.axis.open_from {
            Some(_) => format!("{unit}, open at the top"),
            None => unit.to_owned(),
        };
        let quiet = self.view.palette.quiet;
        let words = painter.layout_no_wrap(words, theme::plain(theme::TEXT_SMALL), quiet);
        painter.galley(pos2(area.left() + 4.0, area.top() + 1.0), words, quiet);
    }

    /// Least to greatest of what the drawing gives, and its usual value as a dashed line.
    fn paint_expected(&self, painter: &Painter, canvas: &Canvas, rows: &std::ops::Range<usize>) {
        let all = &self.replay.expected;
        let mut idx = all.partition_point(|(of, _)| of.end <= rows.start);
        let wash = self.view.palette.right.gamma_multiply(0.16);
        let line = Stroke::new(1.2, self.view.palette.right);
        while let Some((of, range)) = all.get(idx).filter(|(of, _)| of.start < rows.end) {
            let from = canvas.x(self.log.time_s[of.start]).max(canvas.area.left());
            let to = canvas.x(self.log.end_s(of.end - 1)).min(canvas.area.right());
            let y = |value: f64| canvas.y(self.axis.at(value));
            let rect = Rect::from_min_max(
                pos2(from, y(range.high)),
                pos2(to, y(range.low).max(y(range.high) + 1.0)),
            );
            painter.rect_filled(rect, 0.0, wash);
            let middle = y(range.nominal);
            if to - from > 8.0 {
                let ends = [pos2(from, middle), pos2(to, middle)];
                painter.extend(Shape::dashed_line(&ends, line, 5.0, 4.0));
            } else {
                painter.line_segment([pos2(from, middle), pos2(to, middle)], line);
            }
            // What is narrower than a pixel hides what shares that pixel.
            idx = self.behind(
                canvas,
                to,
                |s| all.partition_point(|(of, _)| self.log.time_s[of.start] < s),
                idx,
            );
        }
    }

    /// The next index, jumping over all that would fall on the pixel just painted.
    fn behind(&self, canvas: &Canvas, x: f32, at: impl Fn(f64) -> usize, idx: usize) -> usize {
        let s = canvas.transform.value_from_position(pos2(x + 0.7, 0.0)).x;
        at(s).saturating_sub(1).max(idx + 1)
    }

    /// The reading: every row, or least and greatest of blocks.
    fn paint_reading(&self, painter: &Painter, canvas: &Canvas, rows: std::ops::Range<usize>) {
        let ink = Stroke::new(1.6, self.view.palette.live);
        let y = |value: f64| canvas.y(self.axis.at(value));
        let mut line: Vec<Pos2> = Vec::new();
        match self.replay.pyramid.points(rows, MOST_POINTS) {
            Points::Rows(rows) => {
                for row in rows {
                    if self.log.is_gap(row) {
                        let x = canvas.x(self.log.end_s(row - 1));
                        line.extend(line.last().map(|last| pos2(x, last.y)));
                        painter.add(Shape::line(std::mem::take(&mut line), ink));
                    }
                    let at = pos2(canvas.x(self.log.time_s[row]), y(self.replay.scaled[row]));
                    // A value holds until the next row.
                    line.extend(line.last().map(|last| pos2(at.x, last.y)));
                    line.push(at);
                }
                let end = canvas.x(self.log.span_s());
                line.extend(
                    line.last()
                        .filter(|last| last.x < end)
                        .map(|last| pos2(end.min(canvas.area.right()), last.y)),
                );
            }
            Points::Blocks(blocks) => {
                for block in blocks {
                    let x = |row: usize| canvas.x(self.log.time_s[row]);
                    let value = |row: usize| y(self.replay.scaled[row]);
                    let (first, last) = (block.first, block.end - 1);
                    let middle = f32::midpoint(x(first), x(last));
                    line.extend(line.last().map(|last| pos2(x(first), last.y)));
                    line.push(pos2(x(first), value(first)));
                    line.push(pos2(middle, y(block.low)));
                    line.push(pos2(middle, y(block.high)));
                    line.push(pos2(x(last), value(last)));
                }
            }
        }
        painter.add(Shape::line(line, ink));
    }

    /// A strip below: one stretch after the other, by the name of its band.
    fn paint_stretches(&self, painter: &Painter, canvas: &Canvas, strip: Rect) {
        let runs = &self.replay.runs;
        let mut idx = runs.partition_point(|run| run.to_s <= canvas.shown.from_s);
        while let Some(run) = runs.get(idx).filter(|run| run.from_s < canvas.shown.to_s) {
            // A stretch goes on where only what is right has changed.
            let joined = runs[idx..].iter().take(64).take_while(|next| {
                next.band == run.band && !(next.is_after_gap && next.first != run.first)
            });
            let last = idx + joined.count() - 1;
            let from = canvas.x(run.from_s).max(strip.left());
            let to = canvas.x(runs[last].to_s).min(strip.right());
            let rect = Rect::from_min_max(
                pos2(from, strip.top()),
                pos2(to.max(from + 1.0), strip.bottom()),
            );
            self.paint_stretch(painter, rect, run);
            idx = self.behind(canvas, to, |s| runs.partition_point(|run| run.from_s < s), last);
        }
    }

    fn paint_stretch(&self, painter: &Painter, rect: Rect, run: &Run) {
        let palette = self.view.palette;
        let (name, colour) = match self.pin.bands.get(usize::from(run.band)) {
            Some(band) => (
                band_name(self.pin, run.band),
                band_colour(palette, band.role, usize::from(run.band)),
            ),
            None => ("guard", palette.wrong),
        };
        let share = if run.band == GUARD { 0.5 } else { 0.3 };
        painter.rect_filled(rect, 0.0, colour.gamma_multiply(share));
        let font = theme::plain(theme::TEXT_SMALL);
        let text = painter.layout_no_wrap(name.to_owned(), font, palette.ink);
        if text.size().x + 8.0 <= rect.width() {
            let at = rect.center() - text.size() / 2.0;
            painter.galley(at, text, palette.ink);
        }
        let edge = Stroke::new(1.0, palette.card);
        painter.line_segment([rect.left_top(), rect.left_bottom()], edge);
    }

    fn paint_picked(&self, painter: &Painter, canvas: &Canvas, picked: Option<usize>) {
        let Some(event) = picked.and_then(|idx| self.replay.events.get(idx)) else { return };
        let (from, to) = (canvas.x(event.from_s), canvas.x(event.to_s));
        let rect = Rect::from_min_max(
            pos2(from, canvas.area.top()),
            pos2(to.max(from + 2.0), canvas.area.bottom()),
        );
        let colour = self.view.palette.chosen;
        painter.rect_filled(rect, 0.0, colour.gamma_multiply(0.12));
        for x in [rect.left(), rect.right()] {
            painter.vline(x, rect.y_range(), Stroke::new(1.0, colour.gamma_multiply(0.7)));
        }
    }

    /// Signs of events along the top, those that would touch left out, and the picked one last.
    fn paint_events(
        &self,
        painter: &Painter,
        canvas: &Canvas,
        (above, picked): (f32, Option<usize>),
    ) {
        let events = &self.replay.events;
        let y = canvas.area.top() + above / 2.0;
        let sign = |idx: usize, x: f32| {
            let (sign, colour) = look(self.view.palette, events[idx].kind);
            let font = theme::plain(theme::TEXT_SMALL);
            painter.text(pos2(x, y), egui::Align2::CENTER_CENTER, sign, font, colour);
        };
        let mut free = f32::NEG_INFINITY;
        for (idx, event) in events.iter().enumerate() {
            if event.to_s < canvas.shown.from_s || event.from_s > canvas.shown.to_s {
                continue;
            }
            let middle = f64::midpoint(
                event.from_s.max(canvas.shown.from_s),
                event.to_s.min(canvas.shown.to_s),
            );
            let x = canvas.x(middle).clamp(canvas.area.left() + 8.0, canvas.area.right() - 8.0);
            if x >= free || picked == Some(idx) {
                sign(idx, x);
                free = x + 14.0;
            }
        }
    }
}
