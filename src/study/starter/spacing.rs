//! The values: even spacing on the scale the controller reads, rounded, then moved by single steps.

use crate::model::{Band, Settings, Side};
use crate::sense::Measure;
use crate::study::starter::{Join, TEMPCO_PPM_PER_K, Wanted, rung_name_of};
use crate::study::values::from_series;
use crate::units::Range;

/// Least and greatest value that is bought for a ladder (common practice, no source).
const LEAST_OHM: f64 = 10.0;
const MOST_OHM: f64 = 1e6;

/// The ladder as sums: what it reads for given values.
pub struct Network {
    join: Join,
    has_end: bool,
    spread: f64,
    contact: Range,
    /// How many contacts stand side by side for each action, in the order of the rungs.
    contacts: Vec<f64>,
}

impl Network {
    /// The ladder with its actions in this order.
    pub fn new(wanted: &Wanted, settings: &Settings, order: &[usize]) -> Self {
        let n_devices = |action: &usize| wanted.actions[*action].devices.iter().flatten().count();
        let drift = TEMPCO_PPM_PER_K * 1e-6 * settings.temperature_span_k;
        Self {
            join: wanted.join,
            has_end: wanted.has_end,
            spread: (wanted.tolerance + drift).min(0.99),
            contact: settings.contact_ohm,
            contacts: order.iter().map(|action| n_devices(action).max(1) as f64).collect(),
        }
    }

    /// Worst low, nominal and worst high of every rung, nothing pressed last.
    pub fn readings(&self, ohms: &[f64]) -> Vec<Range> {
        let exact = |share: f64, contact_ohm: f64, is_low: bool| {
            let ohms: Vec<f64> = ohms.iter().map(|ohm| ohm * share).collect();
            self.corner(&ohms, contact_ohm, is_low)
        };
        let low = exact(1.0 - self.spread, self.contact.low, true);
        let nominal = exact(1.0, self.contact.nominal, false);
        let high = exact(1.0 + self.spread, self.contact.high, false);
        (0..nominal.len())
            .map(|idx| Range { low: low[idx], nominal: nominal[idx], high: high[idx] })
            .collect()
    }

    /// All rungs at one corner. At the low one every contact of an action may be closed at once.
    fn corner(&self, ohms: &[f64], contact_ohm: f64, is_low: bool) -> Vec<f64> {
        let n_actions = self.contacts.len();
        let end = if self.has_end { ohms[n_actions] } else { f64::INFINITY };
        let contact =
            |idx: usize| if is_low { contact_ohm / self.contacts[idx] } else { contact_ohm };
        let mut rungs = Vec::with_capacity(n_actions + 1);
        match self.join {
            Join::Chain => {
                let mut before = 0.0;
                for (idx, ohm) in ohms.iter().enumerate().take(n_actions) {
                    before += ohm;
                    let behind: f64 = ohms[idx + 1..n_actions].iter().sum::<f64>() + end;
                    rungs.push(before + beside(contact(idx), behind));
                }
                rungs.push(before + end);
            }
            Join::SideBySide => {
                for (idx, ohm) in ohms.iter().enumerate().take(n_actions) {
                    rungs.push(beside(ohm + contact(idx), end));
                }
                rungs.push(end);
            }
        }
        rungs
    }
}

/// Two resistances side by side.
fn beside(a: f64, b: f64) -> f64 {
    match (a, b) {
        (0.0, _) | (_, 0.0) => 0.0,
        (a, b) if b.is_infinite() => a,
        (a, b) if a.is_infinite() => b,
        (a, b) => a * (b / (a + b)),
    }
}

/// Distance of a range from the nearest edge of its band that a reading can pass; negative outside.
pub fn margin_in(band: &Band, ends: (Option<f64>, Option<f64>), reading: &Range) -> f64 {
    let below = if ends.0.is_some_and(|end| band.low <= end) || !reading.low.is_finite() {
        f64::INFINITY
    } else {
        reading.low - band.low
    };
    let above = match band.high {
        Some(high) if ends.1.is_none_or(|end| high < end) => high - reading.high,
        Some(_) | None => f64::INFINITY,
    };
    below.min(above)
}

/// The order of the actions, least ohms first, and the values in that order, the end resistor last.
///
/// # Errors
/// A band without which an action cannot be placed is missing.
pub fn values(
    wanted: &Wanted,
    settings: &Settings,
    measure: &Measure,
) -> Result<(Vec<usize>, Vec<f64>), String> {
    let (order, targets) = targets(wanted, measure)?;
    let network = Network::new(wanted, settings, &order);
    let series: Vec<f64> = from_series(wanted.series, LEAST_OHM, MOST_OHM, wanted.tolerance)
        .iter()
        .map(|candidate| candidate.ohm)
        .collect();
    let mut picks = rounded(wanted, &series, &targets);
    let score = |picks: &[usize]| {
        let ohms: Vec<f64> = picks.iter().map(|pick| series[*pick]).collect();
        score(wanted, &order, measure, &network.readings(&ohms))
    };
    // By ratios of ohms alone the ends would move apart for ever.
    if !wanted.known.bands.is_empty() || measure.nominal_volt(1.0).is_some() {
        climb(&mut picks, series.len(), &score);
    }
    Ok((order, picks.iter().map(|pick| series[*pick]).collect()))
}

/// Where every reading should lie, least first; without an end resistor nothing pressed has none.
fn targets(wanted: &Wanted, measure: &Measure) -> Result<(Vec<usize>, Vec<f64>), String> {
    let n_actions = wanted.actions.len();
    let n_targets = n_actions + usize::from(wanted.has_end);
    let pull = wanted.known.pull_ohm.map(|pull| pull.nominal);
    if wanted.known.bands.is_empty() {
        let list = (1..=n_targets)
            .map(|n| match pull {
                // Equal steps of the divider's share, a short and an open line counted as readings.
                Some(pull) => {
                    let share = n as f64 / (n_targets + 1) as f64;
                    pull * share / (1.0 - share)
                }
                // Equal ratios, as an unknown pull leaves nothing better.
                None => {
                    let ratio = 300f64.powf(1.0 / n_targets as f64).min(2.5);
                    330.0 * ratio.powi(i32::try_from(n).unwrap_or(1) - 1)
                }
            })
            .collect();
        return Ok(((0..n_actions).collect(), list));
    }
    let mut aims: Vec<(usize, f64)> = Vec::new();
    for (idx, action) in wanted.actions.iter().enumerate() {
        aims.push((idx, middle(wanted, measure, &action.name)?));
    }
    aims.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let (order, mut list): (Vec<usize>, Vec<f64>) = aims.into_iter().unzip();
    if wanted.has_end {
        let idle = middle(wanted, measure, &wanted.idle)?;
        let most = list.iter().copied().fold(0.0, f64::max);
        if idle <= most {
            return Err(format!(
                "{} must read more ohms than every action, as nothing but the end resistor is left",
                wanted.idle
            ));
        }
        list.push(idle);
    }
    Ok((order, list))
}

/// The ohms in the middle of a band.
fn middle(wanted: &Wanted, measure: &Measure, name: &str) -> Result<f64, String> {
    let band = wanted
        .known
        .bands
        .iter()
        .find(|band| band.name == name)
        .ok_or_else(|| format!("the bands say nothing of {name}"))?;
    let ohm = |scaled: f64| measure.ohm_at(scaled).unwrap_or(f64::INFINITY);
    let edge = ohm(band.low);
    let other = band.high.map_or(
        match (wanted.known.side, measure.is_ohm()) {
            (Side::Supply, false) => 0.0,
            (Side::Ground | Side::Supply, _) => f64::INFINITY,
        },
        ohm,
    );
    let (low, high) = (edge.min(other), edge.max(other));
    // On the divider's own scale, where an open line has a place too.
    let pull = wanted.known.pull_ohm.map_or_else(
        || if low > 0.0 && high.is_finite() { (low * high).sqrt() } else { 1e3 },
        |pull| pull.nominal,
    );
    let share = |ohm: f64| if ohm.is_finite() { ohm / (ohm + pull) } else { 1.0 };
    let share = share(low).midpoint(share(high));
    let ohm = pull * share / (1.0 - share);
    if ohm.is_finite() && ohm > 0.0 {
        Ok(ohm)
    } else {
        Err(format!("no resistor reads in the band of {name}"))
    }
}

/// The nearest values of the series, each corrected for how the ones before it were rounded.
fn rounded(wanted: &Wanted, series: &[f64], targets: &[f64]) -> Vec<usize> {
    let nearest = |ohm: f64| {
        let ratio = |value: f64| (value / ohm).max(ohm / value);
        (0..series.len())
            .min_by(|a, b| ratio(series[*a]).total_cmp(&ratio(series[*b])))
            .unwrap_or(0)
    };
    let n_actions = targets.len() - usize::from(wanted.has_end);
    match wanted.join {
        Join::Chain => {
            let mut before = 0.0;
            let mut picks = Vec::new();
            for target in targets {
                let pick = nearest((target - before).max(LEAST_OHM));
                before += series[pick];
                picks.push(pick);
            }
            picks
        }
        Join::SideBySide => {
            let end = wanted.has_end.then(|| nearest(targets[n_actions]));
            let end_ohm = end.map_or(f64::INFINITY, |pick| series[pick]);
            let own = |target: &f64| 1.0 / (1.0 / target - 1.0 / end_ohm).max(1.0 / MOST_OHM);
            let mut picks: Vec<usize> =
                targets[..n_actions].iter().map(|target| nearest(own(target))).collect();
            picks.extend(end);
            picks
        }
    }
}

/// How good readings are: the least margin in given bands, else the least gap between neighbours.
fn score(wanted: &Wanted, order: &[usize], measure: &Measure, readings: &[Range]) -> f64 {
    if !wanted.known.bands.is_empty() {
        let ends = measure.scale_ends();
        let margins = readings.iter().enumerate().map(|(idx, ohm)| {
            let name = rung_name_of(wanted, order.get(idx).copied());
            let band = wanted.known.bands.iter().find(|band| band.name == name);
            band.zip(measure.scaled_range(ohm)).map_or(f64::INFINITY, |(band, scaled)| {
                // Ohms of large and small bands are compared by their share.
                let size = if measure.is_ohm() { scaled.nominal.clamp(1.0, 1e9) } else { 1.0 };
                margin_in(band, ends, &scaled) / size
            })
        });
        return margins.fold(f64::INFINITY, f64::min);
    }
    let mut spans: Vec<(f64, f64)> =
        readings.iter().filter_map(|ohm| span(wanted.known.side, measure, ohm)).collect();
    // A shorted and a broken line are neighbours too.
    let ends = [Range::exact(0.0), Range::exact(f64::INFINITY)];
    let known = if wanted.has_end { &ends[..] } else { &ends[..1] };
    spans.extend(known.iter().filter_map(|ohm| span(wanted.known.side, measure, ohm)));
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    spans.windows(2).map(|pair| pair[1].0 - pair[0].1).fold(f64::INFINITY, f64::min)
}

/// Least and greatest volts of a reading, on an axis that rises with ohms.
fn span(side: Side, measure: &Measure, ohm: &Range) -> Option<(f64, f64)> {
    let (low, high) = measure.volt_ends(ohm.low, ohm.high)?;
    Some(match side {
        Side::Ground => (low, high),
        Side::Supply => (-high, -low),
    })
}

/// Moves one value, or one up and another down, while that makes the weakest place better.
fn climb(picks: &mut Vec<usize>, n_values: usize, score: &dyn Fn(&[usize]) -> f64) {
    const REACH: i64 = 3;
    const MOST_MOVES: usize = 200;
    let moved = |picks: &[usize], steps: &[(usize, i64)]| -> Option<Vec<usize>> {
        let mut next = picks.to_vec();
        for (part, step) in steps {
            let value = usize::try_from(next[*part] as i64 + step).ok()?;
            next[*part] = value;
        }
        next.iter().all(|value| *value < n_values).then_some(next)
    };
    let mut best = score(picks);
    for _ in 0..MOST_MOVES {
        let mut steps: Vec<Vec<(usize, i64)>> = Vec::new();
        for one in 0..picks.len() {
            for step in (-REACH..=REACH).filter(|step| *step != 0) {
                steps.push(vec![(one, step)]);
                // What one reading gains its neighbour has to make room for; few are tried with all.
                let reach = if picks.len() > 5 { 1 } else { picks.len() };
                for other in (0..picks.len()).filter(|other| *other != one) {
                    if other.abs_diff(one) <= reach {
                        steps.extend([-1, 1].map(|small| vec![(one, step), (other, small)]));
                    }
                }
            }
        }
        let found = steps
            .iter()
            .filter_map(|steps| moved(picks, steps))
            .map(|next| (score(&next), next))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        match found {
            Some((better, next)) if better > best + 1e-12 => (best, *picks) = (better, next),
            Some(_) | None => return,
        }
    }
}
