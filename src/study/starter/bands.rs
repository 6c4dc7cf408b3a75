//! Bands for a controller that can be taught: each reaches a third into the gaps beside its reading.

use crate::model::{Band, BandRole, Harm, Scale, Settings, Side};
use crate::sense::Measure;
use crate::study::starter::{Rung, Wanted, rung_name};
use crate::units::{Range, round_figures};

/// One reading that gets a band.
struct Spot {
    name: String,
    role: BandRole,
    range: Range,
}

/// A band for every rung, and for a shorted and a broken line.
///
/// # Errors
/// Two readings that overlap, by name.
pub fn taught(
    wanted: &Wanted,
    settings: &Settings,
    measure: &Measure,
    rungs: &[Rung],
) -> Result<Vec<Band>, String> {
    let mut spots: Vec<Spot> = Vec::new();
    for rung in rungs {
        let range = rung.scaled.ok_or("the scale of the bands is not known")?;
        let role = if rung.action.is_some() { BandRole::Action } else { BandRole::Idle };
        spots.push(Spot { name: rung_name(wanted, rung).to_owned(), role, range });
    }
    let mut edge = |name: &str, role, ohm: Range| {
        let name = free_word(wanted, name);
        if let Some(range) = measure.scaled_range(&ohm) {
            spots.push(Spot { name, role, range });
        }
    };
    edge("short", BandRole::Short, Range { high: settings.contact_ohm.high, ..Range::exact(0.0) });
    if wanted.has_end {
        edge("open", BandRole::Open, Range::exact(f64::INFINITY));
    }
    spots.sort_by(|a, b| a.range.nominal.total_cmp(&b.range.nominal));
    let axis = Axis { scale: wanted.known.scale };
    let mut bands: Vec<Band> = spots
        .iter()
        .map(|spot| Band {
            name: spot.name.clone(),
            role: spot.role,
            low: 0.0,
            high: None,
            harm: Harm::Nuisance,
        })
        .collect();
    for (n, pair) in spots.windows(2).enumerate() {
        let (high, low) = axis.edges(pair[0].range.high, pair[1].range.low).ok_or_else(|| {
            format!(
                "{} and {} read too much alike: take closer tolerances, fewer actions or a second pin",
                pair[0].name, pair[1].name
            )
        })?;
        bands[n].high = Some(high);
        bands[n + 1].low = low;
    }
    if wanted.known.side == Side::Supply && wanted.known.scale != Scale::Ohm {
        // Volts fall as ohms rise; the list is read as the ladder is built.
        bands.reverse();
    }
    Ok(bands)
}

/// A word for a short or open line that no action has.
fn free_word(wanted: &Wanted, word: &str) -> String {
    let is_taken =
        |word: &str| wanted.idle == word || wanted.actions.iter().any(|action| action.name == word);
    if is_taken(word) { format!("{word} line") } else { word.to_owned() }
}

/// The scale edges are set on.
struct Axis {
    scale: Scale,
}

impl Axis {
    /// Upper edge of the band below and lower edge of the band above a gap; `None` where there is none.
    fn edges(&self, below: f64, above: f64) -> Option<(f64, f64)> {
        let (low, high) = match self.scale {
            Scale::Ohm => {
                // By ratio; a short and an open line are taken as a decade away.
                let from = if below > 0.0 { below } else { above / 10.0 };
                let to = if above.is_finite() { above } else { below * 10.0 };
                let third = (to / from).powf(1.0 / 3.0);
                (from * third, to / third)
            }
            Scale::Volt | Scale::Count | Scale::Percent => {
                let third = (above - below) / 3.0;
                (below + third, above - third)
            }
        };
        let (low, high) = (self.rounded(low), self.rounded(high));
        (below < low && low < high && high < above).then_some((low, high))
    }

    /// To a figure one can type.
    fn rounded(&self, value: f64) -> f64 {
        match self.scale {
            Scale::Ohm => round_figures(value, 3),
            Scale::Volt => (value * 1000.0).round() / 1000.0,
            Scale::Count => value.round(),
            Scale::Percent => (value * 10.0).round() / 10.0,
        }
    }
}
