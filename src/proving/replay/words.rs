//! Events and figures in words.

use crate::model::{Harm, SensePin};
use crate::proving::replay::claims::{BandIdx, GUARD};
use crate::proving::replay::event::{Event, EventKind};
use crate::proving::replay::log::Log;
use crate::proving::replay::replayed::Replay;
use crate::units::counted;

/// The name of a band; `guard` for none.
pub fn band_name(pin: &SensePin, band: BandIdx) -> &str {
    match pin.bands.get(usize::from(band)) {
        Some(band) => &band.name,
        None => "guard",
    }
}

/// A length of time: `35 ms`, `1.25 s`, `3 min 20 s`.
pub fn length_words(s: f64) -> String {
    match s {
        s if s < 0.9995 => format!("{} ms", crate::units::trim_zeros(&format!("{:.1}", s * 1e3))),
        s if s < 120.0 => format!("{s:.2} s"),
        s if s < 7200.0 => format!("{} min {} s", (s / 60.0) as u64, (s % 60.0) as u64),
        s => format!("{} h {} min", (s / 3600.0) as u64, (s % 3600.0 / 60.0) as u64),
    }
}

/// What was read, from the least to the greatest.
pub fn read_words(pin: &SensePin, (low, high): (f64, f64)) -> String {
    let (low_text, high_text) = (pin.scale.text(low), pin.scale.text(high));
    if low_text == high_text { low_text } else { format!("{low_text} to {high_text}") }
}

/// What the drawing gives: `2.926 V (2.884 to 2.967 V)`.
pub fn expected_words(pin: &SensePin, event: &Event) -> String {
    event.expected.map_or_else(String::new, |range| {
        format!("{} ({})", pin.scale.text(range.nominal), read_words(pin, (range.low, range.high)))
    })
}

/// One sentence about an event.
pub fn event_words(pin: &SensePin, replay: &Replay, log: &Log, event: &Event) -> String {
    let band = band_name(pin, event.band);
    let length = length_words(event.length_s());
    let said = said_at(replay, event.first);
    let with = if said.is_empty() { String::new() } else { format!(" with {said}") };
    match event.kind {
        EventKind::WrongAction => {
            let given = match said.is_empty() {
                true => "which no state of the controls gives".to_owned(),
                false => format!("which {said} does not give"),
            };
            let harm = match event.harm(pin) {
                Harm::Dangerous => "; the action is marked dangerous",
                Harm::Harmless | Harm::Nuisance => "",
            };
            format!("read as {band} for {length}, {given}{harm}")
        }
        EventKind::Detected => {
            format!("read as {band} for {length}{with}: broken wire or short")
        }
        EventKind::InGuard if event.band == GUARD => {
            format!(
                "in no band for {length}{with}: the controller does nothing, or what it did last"
            )
        }
        EventKind::InGuard => format!(
            "in and out of {band} at its edge {} within {length}",
            counted(event.times, "time")
        ),
        EventKind::Intermittent => format!(
            "left {band} and came back {} within {length}: a contact or joint that comes and goes",
            counted(event.times, "time")
        ),
        EventKind::Brief => {
            let notice = brief_words(replay, log, event);
            format!("away from {band} for {length}, {notice}")
        }
        EventKind::Dip => {
            let (least, usual) = event.course.unwrap_or_default();
            format!(
                "supply at {least:.2} V of {usual:.2} V for {length}; the reading of {band} moved with it"
            )
        }
        EventKind::Drift => drift_words(pin, log, event),
    }
}

/// Whether the controller takes notice of something short, and how sure that is.
fn brief_words(replay: &Replay, log: &Log, event: &Event) -> String {
    let rules = &replay.rules;
    let debounce = length_words(rules.counts_s);
    if event.may_count && rules.is_debounce_known {
        let rows = match event.end - event.first {
            1 => "a single row".to_owned(),
            _ => format!("with a row every {}", length_words(log.step_s)),
        };
        return format!(
            "{rows}: it may have stood the {debounce} that count; record faster to be sure"
        );
    }
    let name = if rules.is_debounce_known {
        format!("the debounce of {debounce}")
    } else {
        debounce.clone()
    };
    let cause = match event.length_s() + 1e-9 < rules.counts_s {
        true => format!("shorter than {name}"),
        false => format!("and nothing stood as long as {name}"),
    };
    match rules.is_debounce_known {
        true => format!("{cause}: the controller takes no notice"),
        false => format!("{cause}: no notice is taken if that is the debounce, which is not known"),
    }
}

fn drift_words(pin: &SensePin, log: &Log, event: &Event) -> String {
    let (from, to) = event.course.unwrap_or_default();
    let band = &pin.bands[usize::from(event.band)];
    let nominal = event.expected.map_or(f64::NAN, |range| range.nominal);
    let edge = if to > nominal { band.high.unwrap_or(f64::INFINITY) } else { band.low };
    let share = ((to - nominal) / (edge - nominal) * 100.0).round();
    let text = |value: f64| pin.scale.text(value);
    let stands = from == to;
    let moved = if stands {
        format!(
            "the centre of {} stands at {}; the drawing gives {}",
            band.name,
            text(to),
            text(nominal)
        )
    } else {
        format!(
            "the centre of {} went from {} to {} in {}; the drawing gives {}",
            band.name,
            text(from),
            text(to),
            length_words(event.length_s()),
            text(nominal)
        )
    };
    let rate = (to - from) / event.length_s().max(f64::MIN_POSITIVE);
    let left_s = (edge - to) / rate;
    let is_on_its_way = left_s.is_finite() && left_s > 0.0 && left_s < 1000.0 * log.span_s();
    let rest = if is_on_its_way {
        format!("; at that rate it leaves the band in {}", length_words(left_s))
    } else {
        String::new()
    };
    format!("{moved}, {share} % of the way to the edge{rest}")
}

/// What the controls were said to do at a row; empty where nothing says it.
pub fn said_at(replay: &Replay, row: usize) -> &str {
    let idx = replay.said.partition_point(|(from, _)| *from <= row);
    idx.checked_sub(1).map_or("", |idx| &replay.said[idx].1)
}
