//! Which stretch of a log is in sight, and the buttons that move it.

use egui::Ui;

use crate::proving::replay::{Event, Log, Replay};

/// A stretch of time in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// Its beginning.
    pub from_s: f64,
    /// Its end.
    pub to_s: f64,
}

impl Shown {
    /// All of a log.
    pub fn whole(log: &Log) -> Self {
        Self { from_s: 0.0, to_s: log.span_s().max(1e-3) }
    }

    /// Seconds in sight.
    pub fn length_s(&self) -> f64 {
        self.to_s - self.from_s
    }

    /// Moves by a share of what is in sight, never past the ends.
    pub fn pan(&mut self, log: &Log, share: f64) {
        let by = share * self.length_s();
        self.set(log, self.from_s + by, self.to_s + by);
    }

    /// Shows more (above 1) or less around a moment.
    pub fn zoom(&mut self, log: &Log, factor: f64, around_s: f64) {
        let (from, to) = (around_s - self.from_s, self.to_s - around_s);
        self.set(log, around_s - from * factor, around_s + to * factor);
    }

    /// Leads to an event: in the middle, with some of what was before and behind.
    pub fn show_event(&mut self, log: &Log, event: &Event) {
        let beside = event.length_s().max(20.0 * log.step_s).max(0.05) * 1.5;
        self.set(log, event.from_s - beside, event.to_s + beside);
    }

    fn set(&mut self, log: &Log, from_s: f64, to_s: f64) {
        let whole = Self::whole(log);
        let least = (4.0 * log.step_s).max(1e-4).min(whole.to_s);
        let length = (to_s - from_s).clamp(least, whole.to_s);
        let middle = f64::midpoint(from_s, to_s);
        self.from_s = (middle - length / 2.0).clamp(0.0, whole.to_s - length);
        self.to_s = self.from_s + length;
    }
}

/// Buttons for the hand and the keyboard.
pub fn buttons_ui(
    ui: &mut Ui,
    log: &Log,
    replay: &Replay,
    shown: &mut Shown,
    picked: &mut Option<usize>,
) {
    ui.horizontal_wrapped(|ui| {
        let middle = f64::midpoint(shown.from_s, shown.to_s);
        if ui.button("Earlier").clicked() {
            shown.pan(log, -0.5);
        }
        if ui.button("Later").clicked() {
            shown.pan(log, 0.5);
        }
        if ui.button("Closer").clicked() {
            shown.zoom(log, 0.5, middle);
        }
        if ui.button("Wider").clicked() {
            shown.zoom(log, 2.0, middle);
        }
        if ui.button("Whole log").clicked() {
            *shown = Shown::whole(log);
        }
        let n = replay.events.len();
        let next = picked.map_or(0, |idx| idx + 1);
        let before = picked.unwrap_or(0).checked_sub(1);
        let mut wanted = None;
        if ui.add_enabled(before.is_some(), egui::Button::new("Event before")).clicked() {
            wanted = before;
        }
        if ui.add_enabled(next < n, egui::Button::new("Next event")).clicked() {
            wanted = Some(next);
        }
        if let Some((idx, event)) = wanted.and_then(|idx| Some((idx, replay.events.get(idx)?))) {
            *picked = Some(idx);
            shown.show_event(log, event);
        }
    });
}
