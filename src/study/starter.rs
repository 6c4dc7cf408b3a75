//! From what a person knows before there is a drawing to a ladder with its values, bands and controls.
//!
//! Values are spaced evenly on the scale the controller reads, rounded to a series and then moved
//! step by step while the weakest place gets better ([`spacing`]). It does not search them all: that
//! is what `study::values` is for, once the ladder is drawn.

mod asking;
mod bands;
mod combinations;
mod grid;
mod layout;
mod spacing;
mod typed;

#[cfg(test)]
mod tests;

pub use layout::{Drawn, draw};
pub use typed::{bands_from_text, names_from_text};

use crate::model::{
    Band, BandRole, Converter, FullScale, PartId, Scale, SensePin, Settings, Side, TerminalRef,
};
use crate::sense::Measure;
use crate::series::Series;
use crate::units::{Range, Tolerant, format_ohm};

/// Not more actions than this on one pin.
pub const MAX_ACTIONS: usize = 10;

/// Not more stations than this.
pub const MAX_STATIONS: usize = 4;

/// Not more states than this, so that every one of them can be looked at.
pub const MAX_STATES: usize = 4096;

/// Drift of a plain film resistor, the same as one placed by typing (common practice, no source).
pub const TEMPCO_PPM_PER_K: f64 = 100.0;

/// How the switches join.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Join {
    /// One resistor between neighbouring switches: the one nearer the pin wins.
    #[default]
    Chain,
    /// Each with a resistor of its own, side by side: those pressed together read as something else.
    SideBySide,
}

/// What the hand finds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Device {
    /// Asks while it is pressed.
    #[default]
    Button,
    /// Springs back to its centre; two actions in a row of one station share one lever.
    Lever,
    /// Stays.
    Toggle,
}

impl Device {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Button, Self::Lever, Self::Toggle];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Button => "button",
            Self::Lever => "lever",
            Self::Toggle => "toggle",
        }
    }
}

/// One thing the machine shall do.
#[derive(Clone, Debug, PartialEq)]
pub struct WantedAction {
    /// Its name, which becomes that of its band.
    pub name: String,
    /// What asks for it at each station.
    pub devices: Vec<Option<Device>>,
}

/// What the controller's own papers say.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    /// Ground side or supply side.
    pub side: Side,
    /// The pull, where it is known.
    pub pull_ohm: Option<Tolerant>,
    /// The reference, where it is known.
    pub reference_volt: Option<Tolerant>,
    /// What the bands are in.
    pub scale: Scale,
    /// Greatest count of the converter, where it is known.
    pub max_count: Option<u32>,
    /// The bands; none where they are free to be taught.
    pub bands: Vec<Band>,
}

/// Everything that is asked before there is a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// Actions, the most important first: in a chain it stands nearest the pin.
    pub actions: Vec<WantedAction>,
    /// Name of the band that is read while nothing is asked for.
    pub idle: String,
    /// Names of the stations.
    pub stations: Vec<String>,
    /// How the switches join.
    pub join: Join,
    /// What the controller's papers say.
    pub known: Known,
    /// Whether a resistor at the far end tells a broken wire from nothing pressed.
    pub has_end: bool,
    /// Series the values come from.
    pub series: Series,
    /// Tolerance of the resistors as a fraction.
    pub tolerance: f64,
}

/// One reading of the ladder.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    /// Index of the action; `None` for nothing pressed.
    pub action: Option<usize>,
    /// Its resistor; `None` for nothing pressed without an end resistor.
    pub resistor_ohm: Option<f64>,
    /// Ohms at the pin: worst low, nominal, worst high; infinite where open.
    pub ohm: Range,
    /// The same in the scale of the bands, where it is known.
    pub scaled: Option<Range>,
}

/// A valued ladder that is not drawn yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Readings, least ohms first; nothing pressed is the last.
    pub rungs: Vec<Rung>,
    /// The pin, with its bands; its terminals are set when it is drawn.
    pub pin: SensePin,
    /// The least distance of a worst case from an edge of its band, in the scale of the bands;
    /// negative where one lies outside, `None` where the scale is not known.
    pub margin: Option<f64>,
    /// What is pressed together and read as something nobody asked for, one sentence each.
    pub clashes: Vec<String>,
}

impl Plan {
    /// The resistor of nothing pressed.
    pub fn end_ohm(&self) -> Option<f64> {
        self.rungs.iter().find(|rung| rung.action.is_none())?.resistor_ohm
    }
}

/// Chooses the values and, where they are free, the bands.
///
/// Cost: some thousand sums for every action; about a millisecond for five of them, a few for ten.
///
/// # Errors
/// One sentence: something is missing or named twice, too many states, bands that cannot be met.
pub fn plan(wanted: &Wanted, settings: &Settings) -> Result<Plan, String> {
    check(wanted)?;
    let mut pin = bare_pin(wanted);
    let project =
        crate::model::Project { settings: settings.clone(), ..crate::model::Project::empty("") };
    let measure = Measure::new(&project, &pin);
    if let Some(missing) = measure.missing() {
        return Err(format!("bands in {} need {missing}", pin.scale.unit()));
    }
    let (order, ohms) = spacing::values(wanted, settings, &measure)?;
    let network = spacing::Network::new(wanted, settings, &order);
    let mut rungs: Vec<Rung> = Vec::new();
    for (idx, ohm) in network.readings(&ohms).into_iter().enumerate() {
        let action = order.get(idx).copied();
        let resistor_ohm = ohms.get(idx).copied();
        rungs.push(Rung { action, resistor_ohm, ohm, scaled: measure.scaled_range(&ohm) });
    }
    if wanted.known.bands.is_empty() {
        pin.bands = bands::taught(wanted, settings, &measure, &rungs)?;
    } else {
        pin.bands = wanted.known.bands.clone();
    }
    let margin = margin(wanted, &pin, &measure, &rungs);
    let clashes = combinations::clashes(wanted, &pin, &measure, &rungs);
    Ok(Plan { rungs, pin, margin, clashes })
}

/// Name of the band a rung should read as.
fn rung_name<'a>(wanted: &'a Wanted, rung: &Rung) -> &'a str {
    rung_name_of(wanted, rung.action)
}

/// Name of the band of an action, or of nothing pressed.
fn rung_name_of(wanted: &Wanted, action: Option<usize>) -> &str {
    action.map_or(wanted.idle.as_str(), |action| wanted.actions[action].name.as_str())
}

/// The least distance of any rung's worst case from the edges of its own band.
fn margin(wanted: &Wanted, pin: &SensePin, measure: &Measure, rungs: &[Rung]) -> Option<f64> {
    let ends = measure.scale_ends();
    let mut least: Option<f64> = None;
    for rung in rungs {
        let Some(scaled) = rung.scaled else { continue };
        let name = rung_name(wanted, rung);
        let Some(band) = pin.bands.iter().find(|band| band.name == name) else { continue };
        let mine = spacing::margin_in(band, ends, &scaled);
        if mine.is_finite() {
            least = Some(least.map_or(mine, |least| least.min(mine)));
        }
    }
    least
}

/// The pin as the papers describe it, without bands and not at any terminal yet.
fn bare_pin(wanted: &Wanted) -> SensePin {
    let known = &wanted.known;
    let nowhere = TerminalRef { part: PartId(0), terminal: 0 };
    SensePin {
        side: known.side,
        pull_ohm: known.pull_ohm,
        reference_volt: known.reference_volt,
        // A plain divider is read against its own reference unless the papers say otherwise.
        full_scale: known.reference_volt.map(|volt| FullScale::Ratiometric { volt: volt.nominal }),
        converter: known.max_count.map(|max_count| Converter { max_count, error_count: 1.0 }),
        scale: known.scale,
        ..SensePin::bare("signal", nowhere, nowhere)
    }
}

fn check(wanted: &Wanted) -> Result<(), String> {
    let n_actions = wanted.actions.len();
    if n_actions == 0 {
        return Err("type the actions, separated by commas".into());
    }
    if n_actions > MAX_ACTIONS {
        return Err(format!("at most {MAX_ACTIONS} actions on one pin, found {n_actions}"));
    }
    if wanted.stations.is_empty() || wanted.stations.len() > MAX_STATIONS {
        let n_stations = wanted.stations.len();
        return Err(format!("expected 1 to {MAX_STATIONS} stations, found {n_stations}"));
    }
    let names: Vec<&str> = wanted
        .actions
        .iter()
        .map(|action| action.name.as_str())
        .chain([wanted.idle.as_str()])
        .collect();
    for (n, name) in names.iter().enumerate() {
        if name.trim().is_empty() {
            return Err("every action and nothing pressed need a name".into());
        }
        if names[..n].contains(name) {
            return Err(format!("{name} is named twice"));
        }
    }
    for action in &wanted.actions {
        if action.devices.len() != wanted.stations.len()
            || action.devices.iter().all(Option::is_none)
        {
            return Err(format!(
                "nothing asks for {}: give it a button, lever or toggle",
                action.name
            ));
        }
    }
    if !(0.0..0.5).contains(&wanted.tolerance) {
        return Err("the tolerance must be from 0 % to below 50 %".into());
    }
    for (what, value) in
        [("pull", wanted.known.pull_ohm), ("reference", wanted.known.reference_volt)]
    {
        if let Some(value) = value
            && !(value.nominal.is_finite()
                && value.nominal > 0.0
                && (0.0..1.0).contains(&value.tolerance))
        {
            return Err(format!("the {what} must be above zero, found {}", value.nominal));
        }
    }
    let n_states = combinations::controls(wanted)
        .iter()
        .fold(1usize, |count, control| count.saturating_mul(control.n_positions()));
    if n_states > MAX_STATES {
        return Err(format!(
            "{n_states} states are too many, at most {MAX_STATES}: take fewer stations or levers instead of buttons"
        ));
    }
    Ok(())
}

/// A band's edges in words: `0.58 V to 0.86 V`, `from 3.1 V`.
pub fn band_words(band: &Band, scale: Scale) -> String {
    let number = |value: f64| match scale {
        Scale::Ohm => format_ohm(value),
        Scale::Volt | Scale::Count | Scale::Percent => {
            format!("{} {}", crate::units::trim_zeros(&format!("{value:.3}")), scale.unit())
        }
    };
    match band.high {
        Some(high) if band.low <= 0.0 => format!("up to {}", number(high)),
        Some(high) => format!("{} to {}", number(band.low), number(high)),
        None => format!("from {}", number(band.low)),
    }
}

/// Role of a band by its name: the idle word, `open…` and `short…` are no actions.
fn role_of(name: &str, idle: &str) -> BandRole {
    let lower = name.to_lowercase();
    match () {
        () if lower == idle.to_lowercase() => BandRole::Idle,
        () if lower.starts_with("open") => BandRole::Open,
        () if lower.starts_with("short") => BandRole::Short,
        () => BandRole::Action,
    }
}
