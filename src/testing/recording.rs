//! Recorded logs of a pin, made from what the drawing gives, with events planted where asked.

use std::fmt::Write;

use crate::check::state_words;
use crate::model::{Band, BandRole, Project, Scale, SensePin, SensePinId, Side, State};
use crate::proving::replay::EventKind;
use crate::random::Random;
use crate::sense::{Reader, StateRow, Verdict};
use crate::tables::Delimiter;
use crate::units::Range;

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    /// Seconds.
    pub s: f64,
    /// Reading in the pin's scale; infinite where open.
    pub value: f64,
    /// Volts of the supply.
    pub supply_volt: f64,
    /// Index of the state the hand holds.
    pub state: usize,
}

/// An event that was planted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Planted {
    /// What it is.
    pub kind: EventKind,
    /// When it begins.
    pub from_s: f64,
    /// When it ends.
    pub to_s: f64,
}

/// A log in the making.
#[derive(Clone, Debug)]
pub struct Recording {
    /// Its rows.
    pub rows: Vec<Sample>,
    /// The states they name.
    pub states: Vec<State>,
    /// What was planted, in order of time.
    pub planted: Vec<Planted>,
}

/// What to record.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Stays of the controls.
    pub stays: usize,
    /// Events to plant, each where it can be.
    pub events: Vec<EventKind>,
    /// Whether rows will name the state the hand holds, without which no action is a wrong one.
    pub names_states: bool,
}

/// How a log is written.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    /// What stands between cells.
    pub delimiter: Delimiter,
    /// `,` or `.`
    pub decimal: char,
    /// Milliseconds instead of seconds.
    pub in_ms: bool,
    /// Thousands of ohms, thousandths of volts.
    pub other_multiple: bool,
    /// The unit behind every reading instead of in the head.
    pub unit_in_cells: bool,
    /// Time of day instead of seconds.
    pub clock: bool,
    /// Columns for the supply and the state.
    pub beside: bool,
}

/// Records a pin; `None` where no state of it is read as it should be.
pub fn recording(project: &Project, id: SensePinId, seed: u64, plan: &Plan) -> Option<Recording> {
    let pin = project.sense_pins.get(id)?;
    let table = Reader::new(project).table(id)?;
    let all = table.rows.iter().filter_map(|row| Some((row.band, row.scaled?))).collect();
    let rows: Vec<StateRow> = table
        .rows
        .into_iter()
        .filter(|row| row.verdict == Some(Verdict::Ok) && row.scaled.is_some())
        .collect();
    if rows.is_empty() {
        return None;
    }
    let counts_s = pin.debounce_ms.unwrap_or(50.0) / 1e3;
    let mut random = Random::new(seed);
    let off = rows.iter().map(|_| random.between(-0.3, 0.3)).collect();
    let states = rows.iter().map(|row| row.state.clone()).collect();
    let mut maker = Maker {
        project,
        pin,
        rows,
        all,
        off,
        random,
        counts_s,
        step_s: (counts_s / 8.0).clamp(0.001, 0.02),
        names_states: plan.names_states,
        drifting: None,
        out: Recording { rows: Vec::new(), states, planted: Vec::new() },
    };
    if plan.events.contains(&EventKind::Drift) {
        maker.choose_drift();
    }
    let mut events = plan.events.iter().copied().filter(|kind| *kind != EventKind::Drift);
    for _ in 0..plan.stays {
        let state = maker.random.below(maker.rows.len());
        let length = maker.random.between(0.5, 2.0).max(6.0 * counts_s);
        maker.hold(state, length);
    }
    for kind in events.by_ref() {
        maker.plant(kind);
        let state = maker.random.below(maker.rows.len());
        maker.hold(state, 3.0);
    }
    maker.add_drift();
    Some(maker.out)
}

struct Maker<'a> {
    project: &'a Project,
    pin: &'a SensePin,
    rows: Vec<StateRow>,
    /// Band and reading of every state, also of those that are not recorded.
    all: Vec<(Option<usize>, Range)>,
    /// Where in its range each state really lies.
    off: Vec<f64>,
    random: Random,
    counts_s: f64,
    step_s: f64,
    names_states: bool,
    drifting: Option<usize>,
    out: Recording,
}

impl Maker<'_> {
    fn put(&mut self, state: usize, value: f64, supply_volt: f64) {
        let s = self.out.rows.len() as f64 * self.step_s;
        self.out.rows.push(Sample { s, value, supply_volt, state });
    }

    /// What a state reads now: off its usual value as the machine is, and a little noise.
    fn reading(&mut self, state: usize) -> f64 {
        let range = self.rows[state].scaled.expect("only states with a reading were kept");
        let off = self.off[state] + self.random.between(-0.05, 0.05);
        let side = if off < 0.0 { range.nominal - range.low } else { range.high - range.nominal };
        if side.is_finite() && range.nominal.is_finite() {
            range.nominal + off * side
        } else {
            range.nominal
        }
    }

    fn hold(&mut self, state: usize, length_s: f64) {
        for _ in 0..(length_s / self.step_s).ceil() as usize {
            let (value, volt) = (self.reading(state), self.random.between(13.7, 13.9));
            self.put(state, value, volt);
        }
    }

    fn now_s(&self) -> f64 {
        self.out.rows.len() as f64 * self.step_s
    }

    /// Reads something else for a while.
    fn other(&mut self, state: usize, value: f64, length_s: f64) -> (f64, f64) {
        let from_s = self.now_s();
        for _ in 0..((length_s / self.step_s).round() as usize).max(1) {
            self.put(state, value, 13.8);
        }
        (from_s, self.now_s())
    }

    /// Plants an event in the middle of a long stay, where this pin can have one.
    fn plant(&mut self, kind: EventKind) {
        let fitting: Vec<(usize, f64)> = (0..self.rows.len())
            .filter_map(|state| Some((state, self.odd_value(kind, state)?)))
            .collect();
        if fitting.is_empty() {
            return;
        }
        let (state, value) = fitting[self.random.below(fitting.len())];
        self.hold(state, 3.0);
        let long = self.random.between(0.4, 0.9).max(3.0 * self.counts_s);
        let (from_s, to_s) = match kind {
            EventKind::WrongAction | EventKind::Detected | EventKind::InGuard => {
                self.other(state, value, long)
            }
            EventKind::Brief => {
                let length = self.counts_s * self.random.between(0.2, 0.7);
                self.other(state, value, length)
            }
            EventKind::Intermittent => {
                let from_s = self.now_s();
                let mut to_s = from_s;
                for _ in 0..3 + self.random.below(5) {
                    let length = self.counts_s * self.random.between(0.15, 0.6);
                    (_, to_s) = self.other(state, value, length);
                    let pause = self.random.between(0.02, 0.4);
                    self.hold(state, pause);
                }
                (from_s, to_s)
            }
            EventKind::Dip => {
                let from_s = self.now_s();
                let depth = self.random.between(0.3, 0.5);
                for _ in 0..(long / self.step_s) as usize {
                    let value = self.reading(state) * (1.0 - 0.8 * depth);
                    self.put(state, value, 13.8 * (1.0 - depth));
                }
                (from_s, self.now_s())
            }
            EventKind::Drift => return,
        };
        self.out.planted.push(Planted { kind, from_s, to_s });
        self.hold(state, 3.0);
    }

    /// A reading that makes an event of this kind in this state.
    fn odd_value(&self, kind: EventKind, state: usize) -> Option<f64> {
        let row = &self.rows[state];
        let band = &self.pin.bands[row.band?];
        let nominal = row.scaled?.nominal;
        let others = || {
            self.rows.iter().filter(|other| {
                other.band != row.band
                    && other.scaled.is_some_and(|range| range.nominal.is_finite())
            })
        };
        match kind {
            EventKind::WrongAction => {
                let is_wrong = |other: &&StateRow| {
                    other.band.is_some_and(|idx| {
                        self.pin.bands[idx].role == BandRole::Action
                            && !row.asked.contains(&self.pin.bands[idx].name)
                    })
                };
                let value = others().find(is_wrong)?.scaled?.nominal;
                self.names_states.then_some(value)
            }
            EventKind::Detected => {
                let is_given = |idx: usize| self.rows.iter().any(|row| row.band == Some(idx));
                let mut all = self.pin.bands.iter().enumerate();
                let (_, odd) = all.find(|(idx, band)| {
                    matches!(band.role, BandRole::Open | BandRole::Short) && !is_given(*idx)
                })?;
                Some(odd.high.map_or(odd.low * 2.0, |high| (odd.low + high) / 2.0))
            }
            EventKind::InGuard => self.guard_value(),
            EventKind::Brief => {
                // Where several actions are asked for at once, each of them is right.
                let is_odd = |other: &&StateRow| {
                    other.band.is_some_and(|idx| !row.asked.contains(&self.pin.bands[idx].name))
                };
                Some(others().find(is_odd)?.scaled?.nominal)
            }
            EventKind::Intermittent => {
                let open = self.open_value()?;
                let is_beyond = match self.opens_upwards() {
                    true => band.high.is_some_and(|high| open > high * 1.2),
                    false => open < band.low,
                };
                is_beyond.then_some(open)
            }
            EventKind::Dip => {
                let finite =
                    nominal.is_finite() && nominal.abs() > 0.0 && band.role != BandRole::Open;
                finite.then_some(nominal)
            }
            EventKind::Drift => None,
        }
    }

    fn opens_upwards(&self) -> bool {
        self.pin.scale == Scale::Ohm || self.pin.side == Side::Ground
    }

    /// What the pin reads with nothing on it.
    fn open_value(&self) -> Option<f64> {
        let measure = crate::sense::Measure::new(self.project, self.pin);
        measure.scaled(f64::INFINITY, measure.nominal_volt(f64::INFINITY))
    }

    /// The middle of the widest guard that no state reads.
    fn guard_value(&self) -> Option<f64> {
        let mut bands: Vec<&Band> = self.pin.bands.iter().collect();
        bands.sort_by(|a, b| a.low.total_cmp(&b.low));
        let middles = bands.windows(2).filter_map(|pair| {
            let (below, above) = (pair[0].high?, pair[1].low);
            (above > below).then(|| (above - below, (above + below) / 2.0))
        });
        let is_read = |value: f64| {
            self.all.iter().any(|(_, range)| range.low <= value && value <= range.high)
        };
        let widest =
            middles.filter(|(_, middle)| !is_read(*middle)).max_by(|a, b| a.0.total_cmp(&b.0));
        widest.map(|(_, middle)| middle)
    }

    fn choose_drift(&mut self) {
        let fits = |idx: &usize| {
            let row = &self.rows[*idx];
            row.scaled.is_some_and(|range| range.nominal.is_finite())
                && row.band.is_some_and(|band| self.pin.bands[band].high.is_some())
                // Where several states share a band the nearest one is taken, which blurs the centre.
                && self.all.iter().filter(|(band, _)| *band == row.band).count() == 1
        };
        let fitting: Vec<usize> = (0..self.rows.len()).filter(fits).collect();
        if !fitting.is_empty() {
            let idx = fitting[self.random.below(fitting.len())];
            self.off[idx] = 0.0;
            self.drifting = Some(idx);
        }
    }

    /// Half of the way to the upper edge from the beginning to the end.
    fn add_drift(&mut self) {
        let Some(idx) = self.drifting else { return };
        let row = &self.rows[idx];
        let (Some(range), Some(band)) = (row.scaled, row.band) else { return };
        let high = self.pin.bands[band].high.unwrap_or(range.high);
        let whole = self.now_s();
        // Only what stands where the state should: not the events planted in it.
        let stands = |sample: &&mut Sample| {
            sample.state == idx
                && (sample.value - range.nominal).abs() <= 0.06 * (range.high - range.low)
        };
        let times = self.out.rows.iter_mut().filter(stands).map(|sample| sample.s);
        let (from_s, to_s) =
            times.fold((f64::INFINITY, 0.0_f64), |(from, to), s| (from.min(s), to.max(s)));
        // A state that was held for a short part of the log cannot show anything slow.
        if to_s - from_s < 0.6 * whole {
            return;
        }
        for sample in self.out.rows.iter_mut().filter(stands) {
            sample.value += 0.5 * (high - range.nominal) * sample.s / whole;
        }
        self.out.planted.push(Planted { kind: EventKind::Drift, from_s, to_s });
        self.out.planted.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
    }
}

impl Recording {
    /// The log as a file.
    pub fn csv(&self, project: &Project, pin: &SensePin, style: &Style) -> String {
        let cell = match style.delimiter {
            Delimiter::Tab => '\t',
            Delimiter::Semicolon => ';',
            Delimiter::Comma => ',',
            Delimiter::Bar => '|',
        };
        let number = |value: f64, places: usize| {
            format!("{value:.places$}").replace('.', &style.decimal.to_string())
        };
        let (unit, factor) = match (pin.scale, style.other_multiple) {
            (Scale::Ohm, false) => ("ohm", 1.0),
            (Scale::Ohm, true) => ("kohm", 1e-3),
            (Scale::Volt, false) => ("V", 1.0),
            (Scale::Volt, true) => ("mV", 1e3),
            (Scale::Count, _) => ("counts", 1.0),
            (Scale::Percent, _) => ("%", 1.0),
        };
        let time_head = match (style.clock, style.in_ms) {
            (true, _) => "time",
            (false, true) => "time_ms",
            (false, false) => "time (s)",
        };
        let reading_head =
            if style.unit_in_cells { "signal".to_owned() } else { format!("signal [{unit}]") };
        let mut text = format!("{time_head}{cell}{reading_head}");
        if style.beside {
            let _ = write!(text, "{cell}battery (V){cell}state");
        }
        text.push('\n');
        for row in &self.rows {
            let time = match (style.clock, style.in_ms) {
                (true, _) => clock(row.s + 86_390.0, style.decimal),
                (false, true) => number(row.s * 1e3, 3),
                (false, false) => number(row.s, 6),
            };
            let suffix = if style.unit_in_cells { format!(" {unit}") } else { String::new() };
            let value = match row.value.is_finite() {
                true => format!("{}{suffix}", number(row.value * factor, 9)),
                false => "OL".to_owned(),
            };
            let _ = write!(text, "{time}{cell}{value}");
            if style.beside {
                let words = state_words(project, &self.states[row.state]);
                let _ = write!(text, "{cell}{}{cell}\"{words}\"", number(row.supply_volt, 3));
            }
            text.push('\n');
        }
        text
    }
}

fn clock(s: f64, decimal: char) -> String {
    let us = (s * 1e6).round() as u64 % 86_400_000_000;
    let (h, m) = (us / 3_600_000_000, us / 60_000_000 % 60);
    format!("{h:02}:{m:02}:{:02}{decimal}{:06}", us / 1_000_000 % 60, us % 1_000_000)
}
