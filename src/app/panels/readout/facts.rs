//! What the readout shows for a pin, built before it is drawn.

use crate::app::reading::{
    BandSpan, Figure, band_spans, capital, decoded_text, figure, in_scale, margin_text, missing,
    number_text, short_text, verdict_words,
};
use crate::model::{BandRole, Project, Scale, SensePin};
use crate::sense::{StateRow, Verdict};
use crate::units::Range;

/// Everything the readout says about one reading.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadoutFacts {
    /// The large figure; `None` where it cannot be told in the unit shown.
    pub figure: Option<Figure>,
    /// The decoded action, or `guard`.
    pub decoded: String,
    /// How it fares.
    pub verdict: Option<Verdict>,
    /// The verdict in words.
    pub words: String,
    /// The reading and its bands on a small bar.
    pub bar: Option<BarFacts>,
    /// Sentences below, the most important first.
    pub sentences: Vec<String>,
}

/// The small bar: a window of the scale with bands, worst case and needle. Places run from 0 to 1.
#[derive(Clone, Debug, PartialEq)]
pub struct BarFacts {
    /// Bands within the window: index of the band, role, place from and to.
    pub bands: Vec<(usize, BandRole, f32, f32)>,
    /// Band the reading lies in, index into `bands`.
    pub own: Option<usize>,
    /// Worst low and worst high.
    pub spread: (f32, f32),
    /// Nominal.
    pub needle: f32,
    /// Edges to name, with their places.
    pub edges: Vec<(f32, String)>,
}

impl ReadoutFacts {
    /// Gathers what to say about a reading in a unit.
    pub fn gather(project: &Project, pin: &SensePin, row: &StateRow, scale: Scale) -> Self {
        let reading = in_scale(row, pin, scale);
        let bar = reading.and_then(|range| {
            let spans = band_spans(project, pin, scale)?;
            BarFacts::gather(&spans, &range, row.band, scale)
        });
        Self {
            figure: reading.map(|range| figure(range.nominal, scale)),
            decoded: if row.verdict.is_some() {
                decoded_text(pin, row).to_owned()
            } else {
                String::new()
            },
            verdict: row.verdict,
            words: verdict_words(pin, row),
            bar,
            sentences: sentences(project, pin, row, reading, scale),
        }
    }
}

fn sentences(
    project: &Project,
    pin: &SensePin,
    row: &StateRow,
    reading: Option<Range>,
    scale: Scale,
) -> Vec<String> {
    let mut lines = Vec::new();
    match (reading, missing(project, pin, scale)) {
        (Some(range), _) => lines.push(worst_text(&range, scale)),
        (None, Some(missing)) => {
            lines.push(format!(
                "Not known: {missing}. The network is {}.",
                number_text(row.ohm.nominal, Scale::Ohm)
            ));
        }
        (None, None) => {
            lines.push(format!("The network is {}.", number_text(row.ohm.nominal, Scale::Ohm)))
        }
    }
    let margin = margin_text(pin, row);
    match row.verdict {
        Some(Verdict::Ok) => lines.extend(margin.map(|text| capital(&text))),
        Some(Verdict::Thin | Verdict::Clash | Verdict::Gap) | None => {
            let why = if row.why.is_empty() { margin.unwrap_or_default() } else { row.why.clone() };
            if !why.is_empty() {
                lines.push(capital(&why));
            }
        }
    }
    lines
}

/// `Worst 1.011 kΩ … 1.05 kΩ`.
fn worst_text(range: &Range, scale: Scale) -> String {
    if range.low.is_infinite() {
        return "Open, whatever the tolerances".into();
    }
    if range.low == range.high {
        return format!("Always {}", short_text(range.low, scale));
    }
    format!("Worst {} … {}", short_text(range.low, scale), short_text(range.high, scale))
}

impl BarFacts {
    fn gather(spans: &[BandSpan], range: &Range, own: Option<usize>, scale: Scale) -> Option<Self> {
        if spans.is_empty() {
            return None;
        }
        let on = |value: f64| if scale == Scale::Ohm { value.max(1e-3).log10() } else { value };
        let own_span =
            spans.iter().find(|span| Some(span.band) == own && span.holds(range.nominal));
        let below = spans
            .iter()
            .filter(|span| span.high < range.nominal)
            .max_by(|a, b| a.high.total_cmp(&b.high));
        let above = spans
            .iter()
            .filter(|span| span.low > range.nominal)
            .min_by(|a, b| a.low.total_cmp(&b.low));
        // What must be in the window: the band around the reading, or the edges around the guard.
        let mut shown: Vec<f64> = vec![range.low, range.nominal, range.high];
        let mut edges: Vec<f64> = Vec::new();
        match own_span {
            Some(span) => edges.extend([span.low, span.high]),
            None => edges
                .extend(below.map(|span| span.high).into_iter().chain(above.map(|span| span.low))),
        }
        shown.extend(&edges);
        let finite = || {
            shown
                .iter()
                .copied()
                .filter(|value| value.is_finite() && (scale != Scale::Ohm || *value > 0.0))
        };
        let low = finite().map(on).fold(f64::INFINITY, f64::min);
        let high = finite().map(on).fold(f64::NEG_INFINITY, f64::max);
        if low > high {
            return None;
        }
        let pad = ((high - low) * 0.22).max(if scale == Scale::Ohm {
            0.06
        } else {
            high.abs() * 0.02 + 1e-3
        });
        let is_open = shown.iter().any(|value| value.is_infinite());
        let (low, high) = (low - pad, high + pad * if is_open { 2.5 } else { 1.0 });
        let place = |value: f64| {
            let at = if value.is_infinite() { 0.97 } else { (on(value) - low) / (high - low) };
            at.clamp(0.0, 1.0) as f32
        };
        let bands: Vec<_> = spans
            .iter()
            .filter(|span| on(span.low) < high && (span.high.is_infinite() || on(span.high) > low))
            .map(|span| {
                let to = if span.high.is_infinite() { 1.0 } else { place(span.high) };
                (span.band, span.role, place(span.low), to)
            })
            .collect();
        Some(Self {
            own: own_span.and_then(|span| bands.iter().position(|(band, ..)| *band == span.band)),
            bands,
            spread: (place(range.low), place(range.high)),
            needle: place(range.nominal),
            edges: edges
                .into_iter()
                .filter(|edge| edge.is_finite())
                .map(|edge| (place(edge), short_text(edge, scale)))
                .collect(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::{ladder, row_at};
    use crate::sense::Margin;

    #[test]
    fn a_right_reading_tells_its_worst_case_and_what_is_left() {
        let (project, id) = ladder();
        let pin = project.sense_pins.get(id).unwrap();
        let mut row = row_at(pin, 1027.4, 1011.0, 1050.0);
        row.verdict = Some(Verdict::Ok);
        row.asked = vec!["UP".into()];
        row.margin = Some(Margin { below: Some(81.0), above: Some(70.0), scale: Scale::Ohm });
        let facts = ReadoutFacts::gather(&project, pin, &row, Scale::Ohm);
        assert_eq!(facts.figure, Some(Figure { digits: "1.027".into(), unit: "kΩ".into() }));
        assert_eq!((facts.decoded.as_str(), facts.words.as_str()), ("UP", "right, whole range"));
        assert_eq!(
            facts.sentences,
            ["Worst 1.011 kΩ … 1.05 kΩ", "70 Ω left before the guard above"]
        );
        let bar = facts.bar.unwrap();
        let own = bar.bands[bar.own.unwrap()];
        assert!(
            own.2 < bar.spread.0
                && bar.spread.0 < bar.needle
                && bar.needle < bar.spread.1
                && bar.spread.1 < own.3
        );
        assert_eq!(
            bar.edges.iter().map(|edge| edge.1.as_str()).collect::<Vec<_>>(),
            ["930 Ω", "1.12 kΩ"]
        );
    }

    #[test]
    fn open_and_guards_have_a_bar_too() {
        let (project, id) = ladder();
        let pin = project.sense_pins.get(id).unwrap();
        let inf = f64::INFINITY;
        let open = ReadoutFacts::gather(&project, pin, &row_at(pin, inf, inf, inf), Scale::Ohm);
        assert_eq!(open.figure.unwrap().digits, "open");
        assert_eq!(open.sentences[0], "Open, whatever the tolerances");
        let bar = open.bar.unwrap();
        assert!(bar.own.is_some() && bar.needle > 0.9);
        let guard =
            ReadoutFacts::gather(&project, pin, &row_at(pin, 1500.0, 1480.0, 1520.0), Scale::Ohm)
                .bar
                .unwrap();
        assert_eq!(guard.own, None);
        assert_eq!(
            guard.edges.iter().map(|edge| edge.1.as_str()).collect::<Vec<_>>(),
            ["1.12 kΩ", "2.1 kΩ"]
        );
        assert!(guard.edges[0].0 < guard.needle && guard.needle < guard.edges[1].0);
    }

    #[test]
    fn what_is_missing_is_named() {
        let (project, id) = ladder();
        let pin = project.sense_pins.get(id).unwrap();
        let facts =
            ReadoutFacts::gather(&project, pin, &row_at(pin, 1027.4, 1011.0, 1050.0), Scale::Volt);
        assert_eq!(facts.figure, None);
        assert_eq!(facts.sentences[0], "Not known: the pull resistor. The network is 1.027 kΩ.");
        assert_eq!(facts.words, "not known");
    }
}
