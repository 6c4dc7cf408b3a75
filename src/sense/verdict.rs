//! What the controller makes of a reading, and whether that is what was asked for.

use std::collections::BTreeSet;

use crate::model::{Band, BandRole, Project, Scale, SensePin, State};
use crate::sense::row::{Margin, Verdict};
use crate::units::{Range, engineering, format_ohm, trim_zeros};

/// The outcome for one state.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Band the nominal reading lies in.
    pub band: Option<usize>,
    /// Distance to the edges that matter.
    pub margin: Option<Margin>,
    /// How the state fares.
    pub verdict: Option<Verdict>,
    /// Cause and figure in one sentence.
    pub why: String,
}

/// Actions of all expectations that hold in a state, each once, in the order they were written.
pub fn asked(project: &Project, pin: &SensePin, state: &State) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for expectation in &pin.expectations {
        let holds = expectation.when.iter().all(|(id, position)| {
            project
                .controls
                .get(*id)
                .is_some_and(|control| state.position(*id, control) == *position)
        });
        if holds && !names.contains(&expectation.action) {
            names.push(expectation.action.clone());
        }
    }
    names
}

/// Index of the band a number in the pin's scale lies in; where bands overlap, one that was asked for.
pub fn decode(pin: &SensePin, value: f64, asked: &[String]) -> Option<usize> {
    let holds = |band: &Band| band.low <= value && value <= top(band);
    let mut inside = (0..pin.bands.len()).filter(|idx| holds(&pin.bands[*idx]));
    let first = inside.next()?;
    std::iter::once(first)
        .chain(inside)
        .find(|idx| asked.contains(&pin.bands[*idx].name))
        .or(Some(first))
}

/// Judges one reading. `ends` are the least and greatest number the scale can show.
pub fn judge(
    pin: &SensePin,
    ends: (Option<f64>, Option<f64>),
    reading: &Range,
    asked: &[String],
) -> Outcome {
    let case = Case { pin, ends, reading, asked };
    let band = decode(pin, reading.nominal, asked);
    match (asked, band.map(|idx| &pin.bands[idx])) {
        ([], Some(band)) if band.role == BandRole::Action => {
            case.clash(band, "nothing was asked for")
        }
        ([], _) => case.free(band),
        ([wanted], Some(band)) if band.name == *wanted => case.in_own_band(band),
        ([wanted], Some(band)) => case.clash(band, &format!("{wanted} was asked for")),
        ([wanted], None) => case.gap(wanted),
        (_, Some(band)) if !asked.contains(&band.name) => {
            case.clash(band, &format!("{} were asked for", listed(asked)))
        }
        (_, _) => case.free(band),
    }
    .with_band(band)
}

impl Outcome {
    fn with_band(self, band: Option<usize>) -> Self {
        Self { band, ..self }
    }
}

struct Case<'a> {
    pin: &'a SensePin,
    ends: (Option<f64>, Option<f64>),
    reading: &'a Range,
    asked: &'a [String],
}

/// Bands of one name that touch, as one: lower and upper edge.
type Span = (f64, f64);

impl Case<'_> {
    /// All bands of a name, touching ones joined, lowest first.
    fn spans(&self, name: &str) -> Vec<Span> {
        let mut parts: Vec<Span> = self
            .pin
            .bands
            .iter()
            .filter(|band| band.name == name)
            .map(|band| (band.low, top(band)))
            .collect();
        parts.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut spans: Vec<Span> = Vec::new();
        for (low, high) in parts {
            match spans.last_mut() {
                Some(last) if low <= last.1 => last.1 = last.1.max(high),
                Some(_) | None => spans.push((low, high)),
            }
        }
        spans
    }

    fn span_around(&self, band: &Band) -> Span {
        let nominal = self.reading.nominal;
        self.spans(&band.name)
            .into_iter()
            .find(|(low, high)| *low <= nominal && nominal <= *high)
            .unwrap_or((band.low, top(band)))
    }

    /// Distances of the worst case to the edges of a span; an edge the scale cannot pass is none.
    fn margin_in(&self, (low, high): Span) -> Margin {
        let below = self.ends.0.is_none_or(|end| low > end) && self.reading.low.is_finite();
        let above = high.is_finite() && self.ends.1.is_none_or(|end| high < end);
        Margin {
            below: below.then_some(self.reading.low - low),
            above: above.then_some(high - self.reading.high),
            scale: self.pin.scale,
        }
    }

    /// The one action that was asked for, and the nominal reading is right.
    fn in_own_band(&self, band: &Band) -> Outcome {
        let span = self.span_around(band);
        let margin = self.margin_in(span);
        let is_inside = self.reading.low >= span.0 && self.reading.high <= span.1;
        let place = format!("{} ({})", band.name, self.span_text(span));
        let why = match (is_inside, self.nearest(&margin)) {
            (true, None) => format!("the whole range lies in {place}"),
            (true, Some((worst, by, _))) => {
                format!("reads {} at worst, {} inside {place}", self.text(worst), self.text(by))
            }
            (false, Some((worst, by, side))) => {
                format!(
                    "reads {} at worst, {} {} {place}",
                    self.text(worst),
                    self.text(by),
                    outer(side)
                )
            }
            (false, None) => format!("the range does not lie in {place}"),
        };
        let verdict = if is_inside { Verdict::Ok } else { Verdict::Thin };
        Outcome { band: None, margin: Some(margin), verdict: Some(verdict), why }
    }

    /// In another band than asked for.
    fn clash(&self, band: &Band, cause: &str) -> Outcome {
        let span = self.span_around(band);
        let why = format!(
            "reads {}, which is {} ({}), but {cause}",
            self.text(self.reading.nominal),
            band.name,
            self.span_text(span)
        );
        Outcome {
            band: None,
            margin: Some(self.margin_in(span)),
            verdict: Some(Verdict::Clash),
            why,
        }
    }

    /// In no band although one action was asked for.
    fn gap(&self, wanted: &str) -> Outcome {
        let nominal = self.reading.nominal;
        let distance =
            |(low, high): &Span| if nominal < *low { low - nominal } else { nominal - high };
        let nearest =
            self.spans(wanted).into_iter().min_by(|a, b| distance(a).total_cmp(&distance(b)));
        let Some(span) = nearest else {
            let why = format!("reads {}; no band is named {wanted}", self.text(nominal));
            return Outcome { band: None, margin: None, verdict: Some(Verdict::Gap), why };
        };
        let place = format!("{wanted} ({})", self.span_text(span));
        let side = if nominal < span.0 { Edge::Lower } else { Edge::Upper };
        let why = if nominal.is_infinite() {
            format!("reads open, in no band; {place} was asked for")
        } else {
            let by = self.text(distance(&span));
            format!("reads {}, in no band, {by} {} {place}", self.text(nominal), outer(side))
        };
        Outcome { band: None, margin: Some(self.margin_in(span)), verdict: Some(Verdict::Gap), why }
    }

    /// Where a guard is right too: nothing was asked for, or several things at once.
    fn free(&self, band: Option<usize>) -> Outcome {
        let band = band.map(|idx| &self.pin.bands[idx]);
        let is_forbidden = |other: &&Band| match self.asked {
            [] => other.role == BandRole::Action,
            _ => !self.asked.contains(&other.name),
        };
        let forbidden: BTreeSet<usize> =
            (0..self.pin.bands.len()).filter(|idx| is_forbidden(&&self.pin.bands[*idx])).collect();
        let nominal = self.reading.nominal;
        let edges = |idx: &usize| (self.pin.bands[*idx].low, top(&self.pin.bands[*idx]), *idx);
        let under = forbidden
            .iter()
            .map(edges)
            .filter(|(_, high, _)| *high < nominal)
            .max_by(|a, b| a.1.total_cmp(&b.1));
        let over = forbidden
            .iter()
            .map(edges)
            .filter(|(low, ..)| *low > nominal)
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let margin = Margin {
            below: under
                .filter(|_| self.reading.low.is_finite())
                .map(|(_, high, _)| self.reading.low - high),
            above: over.map(|(low, ..)| low - self.reading.high),
            scale: self.pin.scale,
        };
        let touched =
            [(under, margin.below, self.reading.low), (over, margin.above, self.reading.high)]
                .into_iter()
                .find_map(|(edge, by, worst)| {
                    edge.filter(|_| by.is_some_and(|by| by <= 0.0)).map(|(.., idx)| (idx, worst))
                });
        let here =
            band.map_or_else(|| "a guard, which does nothing".to_owned(), |band| band.name.clone());
        let cause = match self.asked {
            [] => "nothing was asked for".to_owned(),
            names => format!("{} were asked for", listed(names)),
        };
        let (verdict, why) = match touched {
            Some((idx, worst)) => (
                Verdict::Thin,
                format!(
                    "reads {} at worst, which is {}, but {cause}",
                    self.text(worst),
                    self.pin.bands[idx].name
                ),
            ),
            None => (Verdict::Ok, format!("reads {}: {here}; {cause}", self.text(nominal))),
        };
        Outcome { band: None, margin: Some(margin), verdict: Some(verdict), why }
    }

    /// The worst end of the reading, how far it is from its edge, and which edge that is.
    fn nearest(&self, margin: &Margin) -> Option<(f64, f64, Edge)> {
        let below = margin.below.map(|by| (self.reading.low, by, Edge::Lower));
        let above = margin.above.map(|by| (self.reading.high, by, Edge::Upper));
        below
            .into_iter()
            .chain(above)
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(worst, by, side)| (worst, by.abs(), side))
    }

    fn text(&self, value: f64) -> String {
        match self.pin.scale {
            Scale::Ohm if value > 0.0 && value < 100.0 => {
                format!("{} Ω", trim_zeros(&format!("{value:.1}")))
            }
            Scale::Ohm => format_ohm(value),
            Scale::Volt => format!("{value:.3} V"),
            Scale::Count => format!("{value:.0} counts"),
            Scale::Percent => format!("{value:.2} %"),
        }
    }

    fn span_text(&self, (low, high): Span) -> String {
        let number = |value: f64| match self.pin.scale {
            Scale::Ohm => {
                let (digits, prefix) = engineering(value, 4);
                format!("{} {prefix}Ω", trim_zeros(&digits))
            }
            Scale::Volt | Scale::Count | Scale::Percent => {
                format!("{} {}", trim_zeros(&format!("{value:.3}")), self.pin.scale.unit())
            }
        };
        if high.is_finite() {
            format!("{} … {}", number(low), number(high))
        } else {
            format!("{} and up", number(low))
        }
    }
}

/// The two edges of a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Edge {
    Lower,
    Upper,
}

fn outer(edge: Edge) -> &'static str {
    match edge {
        Edge::Lower => "below",
        Edge::Upper => "above",
    }
}

/// `A`, `A and B`, `A, B and C`.
fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

fn top(band: &Band) -> f64 {
    band.high.unwrap_or(f64::INFINITY)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Harm;
    use crate::testing::{Sketch, at, bare_pin};

    /// UP 900–1100, IDLE 2000–2500, DOWN 2900–3100 touching DOWN 3100–3300, OPEN from 50 k.
    fn pin() -> SensePin {
        let mut sketch = Sketch::new();
        let controller = sketch.controller(2);
        let mut pin = bare_pin(at(controller, 0), at(controller, 1));
        let band = |name: &str, role, low, high| Band {
            name: name.into(),
            role,
            low,
            high,
            harm: Harm::Nuisance,
        };
        pin.bands = vec![
            band("UP", BandRole::Action, 900.0, Some(1100.0)),
            band("IDLE", BandRole::Idle, 2000.0, Some(2500.0)),
            band("DOWN", BandRole::Action, 2900.0, Some(3100.0)),
            band("DOWN", BandRole::Action, 3100.0, Some(3300.0)),
            band("OPEN", BandRole::Open, 50_000.0, None),
        ];
        pin
    }

    fn check(
        reading: (f64, f64, f64),
        asked: &[&str],
        want: Verdict,
        margin: (Option<f64>, Option<f64>),
    ) {
        let asked: Vec<String> = asked.iter().map(|name| (*name).to_owned()).collect();
        let range = Range { low: reading.0, nominal: reading.1, high: reading.2 };
        let outcome = judge(&pin(), (Some(0.0), None), &range, &asked);
        assert_eq!(outcome.verdict, Some(want), "{reading:?} {asked:?}: {}", outcome.why);
        let got = outcome.margin.map(|margin| (margin.below, margin.above));
        assert_eq!(got, Some(margin), "{reading:?} {asked:?}: {}", outcome.why);
        assert!(!outcome.why.is_empty() && !outcome.why.ends_with('.'));
    }

    #[test]
    fn one_action_asked_for() {
        check((950.0, 1000.0, 1050.0), &["UP"], Verdict::Ok, (Some(50.0), Some(50.0)));
        check((900.0, 1000.0, 1100.0), &["UP"], Verdict::Ok, (Some(0.0), Some(0.0)));
        check((890.0, 1000.0, 1050.0), &["UP"], Verdict::Thin, (Some(-10.0), Some(50.0)));
        check((990.0, 1090.0, 1120.0), &["UP"], Verdict::Thin, (Some(90.0), Some(-20.0)));
        // Touching bands of one name are one.
        check((2950.0, 3100.0, 3250.0), &["DOWN"], Verdict::Ok, (Some(50.0), Some(50.0)));
        check((1150.0, 1200.0, 1250.0), &["UP"], Verdict::Gap, (Some(250.0), Some(-150.0)));
        check((2950.0, 3000.0, 3050.0), &["UP"], Verdict::Clash, (Some(50.0), Some(250.0)));
        check((2100.0, 2200.0, 2300.0), &["UP"], Verdict::Clash, (Some(100.0), Some(200.0)));
        // A band without end has no edge above, and an open reading none it could pass.
        check((60e3, 70e3, 80e3), &["OPEN"], Verdict::Ok, (Some(10e3), None));
        let open = f64::INFINITY;
        check((open, open, open), &["OPEN"], Verdict::Ok, (None, None));
        check((49e3, open, open), &["OPEN"], Verdict::Thin, (Some(-1e3), None));
    }

    #[test]
    fn several_actions_asked_for() {
        let both = ["UP", "DOWN"];
        check((950.0, 1000.0, 1050.0), &both, Verdict::Ok, (None, Some(950.0)));
        check((700.0, 750.0, 800.0), &both, Verdict::Ok, (None, Some(1200.0)));
        check((1500.0, 1700.0, 1900.0), &both, Verdict::Ok, (None, Some(100.0)));
        check((1500.0, 1900.0, 2010.0), &both, Verdict::Thin, (None, Some(-10.0)));
        check((2100.0, 2200.0, 2300.0), &both, Verdict::Clash, (Some(100.0), Some(200.0)));
        // Reaching from one asked band into the other is no harm.
        check((2950.0, 3000.0, 3250.0), &both, Verdict::Ok, (Some(450.0), Some(46_750.0)));
    }

    #[test]
    fn nothing_asked_for() {
        check((1500.0, 1600.0, 1700.0), &[], Verdict::Ok, (Some(400.0), Some(1200.0)));
        check((2100.0, 2200.0, 2300.0), &[], Verdict::Ok, (Some(1000.0), Some(600.0)));
        check((1090.0, 1200.0, 1300.0), &[], Verdict::Thin, (Some(-10.0), Some(1600.0)));
        check((2100.0, 2200.0, 2950.0), &[], Verdict::Thin, (Some(1000.0), Some(-50.0)));
        check((950.0, 1000.0, 1050.0), &[], Verdict::Clash, (Some(50.0), Some(50.0)));
        check((60e3, 70e3, 80e3), &[], Verdict::Ok, (Some(56_700.0), None));
    }

    #[test]
    fn sentences_name_cause_and_figure() {
        let say = |low, nominal, high, asked: &[&str]| {
            let asked: Vec<String> = asked.iter().map(|name| (*name).to_owned()).collect();
            judge(&pin(), (Some(0.0), None), &Range { low, nominal, high }, &asked).why
        };
        let lines = [
            say(950.0, 1000.0, 1050.0, &["UP"]),
            say(895.0, 1000.0, 1050.0, &["UP"]),
            say(1150.0, 1200.0, 1250.0, &["UP"]),
            say(2950.0, 3000.0, 3050.0, &["UP"]),
            say(1500.0, 1700.0, 1900.0, &["UP", "DOWN", "OPEN"]),
            say(1090.0, 1200.0, 1300.0, &[]),
            say(1000.0, 1000.0, 1000.0, &[]),
            say(1000.0, 1000.0, 1000.0, &["NOWHERE"]),
        ];
        expect_test::expect![[r#"
            reads 950.0 Ω at worst, 50 Ω inside UP (900 Ω … 1.1 kΩ)
            reads 895.0 Ω at worst, 5 Ω below UP (900 Ω … 1.1 kΩ)
            reads 1.200 kΩ, in no band, 100.0 Ω above UP (900 Ω … 1.1 kΩ)
            reads 3.000 kΩ, which is DOWN (2.9 kΩ … 3.3 kΩ), but UP was asked for
            reads 1.700 kΩ: a guard, which does nothing; UP, DOWN and OPEN were asked for
            reads 1.090 kΩ at worst, which is UP, but nothing was asked for
            reads 1.000 kΩ, which is UP (900 Ω … 1.1 kΩ), but nothing was asked for
            reads 1.000 kΩ, which is UP (900 Ω … 1.1 kΩ), but NOWHERE was asked for"#]]
        .assert_eq(&lines.join("\n"));
    }

    #[test]
    fn overlapping_bands_decode_as_what_was_asked_for() {
        let mut pin = pin();
        pin.bands[1].high = Some(3000.0);
        let range = Range::exact(2950.0);
        let band = |asked: &[String]| judge(&pin, (None, None), &range, asked).band;
        assert_eq!(band(&["DOWN".into()]), Some(2));
        assert_eq!(band(&["IDLE".into()]), Some(1));
    }
}
