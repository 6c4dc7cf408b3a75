//! The plot of a log: readings over time under the bands, moved by hand, wheel or the buttons above.

use egui::{Id, Response, Role, Sense, Ui, WidgetInfo, vec2};
use egui_plot::{AxisHints, GridMark};

use crate::app::reading::band_spans;
use crate::app::ruler::Axis;
use crate::app::stages::prove::log::paint::{Canvas, Picture};
use crate::app::stages::prove::log::window::Shown;
use crate::app::view::View;
use crate::app::widgets::{quiet, quiet_axis, still_plot};
use crate::model::SensePin;
use crate::proving::replay::{Log, Replay, Role as Meaning, band_name, length_words, said_at};
use crate::units::trim_zeros;

/// Room above the readings for the marks of events, and below them for the named stretches.
const ABOVE: f32 = 18.0;
const BELOW: f32 = 26.0;
/// Height of the numbers below the plot.
const NUMBERS: f32 = 26.0;
/// Least room for a number of either axis.
const MARK_GAP: f32 = 24.0;
const TIME_GAP: f32 = 86.0;

/// The plot, and below it what lies under the pointer in words. Returns what the hand does there.
pub fn plot_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, log, replay): (&SensePin, &Log, &Replay),
    (shown, picked): (&mut Shown, Option<usize>),
    height: f32,
) -> Response {
    let bands = band_spans(view.project, pin, pin.scale).unwrap_or_default();
    let reads: Vec<f64> =
        replay.summary.bands.iter().flat_map(|band| [band.read.low, band.read.high]).collect();
    let touched = bands
        .iter()
        .filter(|band| reads.iter().any(|value| band.holds(*value)))
        .flat_map(|band| [band.low, band.high])
        .filter(|edge| edge.is_finite());
    let axis = Axis::around(pin.scale, reads.iter().copied().chain(touched));
    let readings = height - NUMBERS - ABOVE - BELOW;
    let per_point = (axis.high - axis.low) / f64::from(readings);
    let (low, high) =
        (axis.low - per_point * f64::from(BELOW), axis.high + per_point * f64::from(ABOVE));
    let marks = axis.marks(per_point * f64::from(MARK_GAP));
    let grid: Vec<GridMark> =
        marks.iter().map(|mark| GridMark { value: mark.at, step_size: mark.step }).collect();
    let texts: Vec<(f64, String)> = marks.into_iter().map(|mark| (mark.at, mark.text)).collect();
    let upright = quiet_axis(AxisHints::new_y(), view.palette).formatter(move |mark, _| {
        let text = texts.iter().find(|(at, _)| (*at - mark.value).abs() < 1e-9);
        text.map_or_else(String::new, |(_, text)| text.clone())
    });
    let picture = Picture { view, pin, log, replay, axis, bands };
    let width = (ui.available_width() - picture.names_width(ui)).max(160.0);
    let step_s = time_step(shown.length_s() * f64::from(TIME_GAP / width));
    let first = (shown.from_s / step_s).ceil() as i64;
    let last = (shown.to_s / step_s).floor() as i64;
    let times: Vec<GridMark> = (first..=last.min(first + 60))
        .map(|n| GridMark { value: n as f64 * step_s, step_size: step_s })
        .collect();
    let labels: Vec<(f64, String)> =
        times.iter().map(|mark| (mark.value, time_text(log, mark.value, step_s))).collect();
    let along = quiet_axis(AxisHints::new_x(), view.palette).formatter(move |mark, _| {
        let text = labels.iter().find(|(at, _)| (*at - mark.value).abs() < 1e-9);
        text.map_or_else(String::new, |(_, text)| text.clone())
    });
    let plot = still_plot("Log", vec2(width, height), view.palette)
        .show_grid([true, true])
        .x_grid_spacer(move |_| times.clone())
        .y_grid_spacer(move |_| grid.clone())
        .custom_x_axes(vec![along])
        .custom_y_axes(vec![upright])
        .show(ui, |plot| {
            plot.set_plot_bounds_x(shown.from_s..=shown.to_s);
            plot.set_plot_bounds_y(low..=high);
        });
    let canvas = Canvas { transform: plot.transform, area: plot.response.rect, shown: *shown };
    picture.paint(ui, &canvas, (ABOVE, BELOW), picked);
    let hand = ui.interact(canvas.area, Id::unique("log hand"), Sense::click_and_drag());
    if hand.dragged() {
        shown.pan(log, -f64::from(hand.drag_delta().x / canvas.area.width()));
    }
    let at_s = hand.hover_pos().map(|pos| canvas.transform.value_from_position(pos).x);
    if let Some(at_s) = at_s {
        wheel(ui, log, shown, at_s);
    }
    let words = match at_s {
        Some(at_s) => under_pointer(log, replay, pin, at_s),
        None => format!(
            "{} from {} in sight. Drag to move, Ctrl and wheel to go closer; the buttons do the same.",
            length_words(shown.length_s()),
            log.time_words(shown.from_s)
        ),
    };
    quiet(ui, words, view.palette);
    let length = replay.runs.len();
    hand.widget_info(|| {
        let from = log.time_words(shown.from_s);
        let to = log.time_words(shown.to_s);
        let words = format!("Plot of the log from {from} to {to}, {length} stretches in all");
        WidgetInfo::labeled(Role::Image, true, words)
    });
    hand
}

/// Goes closer or wider around the pointer; the plain wheel is the page's.
fn wheel(ui: &Ui, log: &Log, shown: &mut Shown, at_s: f64) {
    let (scroll, pinch) = ui.input(|input| (input.smooth_scroll_delta(), input.zoom_delta()));
    if pinch != 1.0 {
        shown.zoom(log, 1.0 / f64::from(pinch), at_s);
    }
    if scroll.x != 0.0 {
        shown.pan(log, -f64::from(scroll.x) / 800.0);
    }
}

/// Time, line, reading, band, and what the text columns say.
fn under_pointer(log: &Log, replay: &Replay, pin: &SensePin, at_s: f64) -> String {
    let row = log.row_at(at_s.max(0.0));
    let (Some(value), Some(line)) = (replay.scaled.get(row), log.line.get(row)) else {
        return String::new();
    };
    let run = replay.runs.partition_point(|run| (run.end as usize) <= row);
    let band = replay.runs.get(run).map_or("guard", |run| band_name(pin, run.band));
    let mut words = format!(
        "{}, line {line}: {} = {band}",
        log.time_words(log.time_s[row]),
        pin.scale.text(*value)
    );
    let expected = replay.expected.partition_point(|(rows, _)| rows.end <= row);
    if let Some((_, range)) = replay.expected.get(expected).filter(|(rows, _)| rows.contains(&row))
    {
        words += &format!("; the drawing gives {}", pin.scale.text(range.nominal));
    }
    let said = said_at(replay, row);
    if !said.is_empty() {
        words += &format!("; {said}");
    }
    for column in log.texts.iter().filter(|column| column.role == Meaning::Text) {
        let text = &column.words[column.ids[row] as usize];
        if !text.is_empty() {
            words += &format!("; {}: {text}", column.name);
        }
    }
    words
}

/// 1, 2 or 5 times a power of ten seconds, or whole minutes and hours.
fn time_step(least_s: f64) -> f64 {
    let long = [60.0, 120.0, 300.0, 600.0, 1800.0, 3600.0, 7200.0, 21_600.0, 86_400.0];
    if least_s > 50.0 {
        let days = (least_s / 86_400.0).ceil() * 86_400.0;
        return long.into_iter().find(|step| *step >= least_s).unwrap_or(days);
    }
    let power = 10f64.powf(least_s.max(1e-6).log10().floor());
    let steps = [1.0, 2.0, 5.0].map(|digit| digit * power);
    let step = steps.into_iter().find(|step| *step >= least_s).unwrap_or(10.0 * power);
    if step == 50.0 { 60.0 } else { step }
}

/// A moment beside a mark, no finer than the marks are apart.
fn time_text(log: &Log, s: f64, step_s: f64) -> String {
    if log.clock_s.is_some() {
        let words = log.time_words(s);
        return match step_s {
            step if step >= 60.0 => words[..5].to_owned(),
            step if step >= 1.0 => words[..8].to_owned(),
            _ => words,
        };
    }
    match step_s {
        step if step >= 3600.0 => format!("{} h", trim_zeros(&format!("{:.2}", s / 3600.0))),
        step if step >= 60.0 => format!("{} min", trim_zeros(&format!("{:.2}", s / 60.0))),
        _ => format!("{} s", trim_zeros(&format!("{s:.4}"))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_of_the_time_axis_are_round() {
        for (least, want) in [(0.0012, 0.002), (0.3, 0.5), (1.0, 1.0), (7.0, 10.0), (23.0, 60.0)] {
            assert_eq!(time_step(least), want, "{least}");
        }
        assert_eq!(time_step(51.0), 60.0);
        assert_eq!(time_step(700.0), 1800.0);
        assert_eq!(time_step(200_000.0), 259_200.0);
        let log = Log::default();
        assert_eq!(time_text(&log, 0.5, 0.5), "0.5 s");
        assert_eq!(time_text(&log, 90.0, 60.0), "1.5 min");
        let log = Log { clock_s: Some(3600.0), ..Log::default() };
        assert_eq!(time_text(&log, 61.0, 1.0), "01:01:01");
    }
}
