//! What is typed and picked on the page, and the question it makes.

use std::collections::BTreeMap;

use crate::app::widgets::{parse_ohms, parse_unit};
use crate::model::{Scale, Settings, Side, limits};
use crate::series::Series;
use crate::study::starter::{
    Device, Join, Known, Plan, Wanted, WantedAction, bands_from_text, names_from_text, plan,
};
use crate::units::{Tolerant, parse_percent};

/// Texts and choices of the page.
#[derive(Clone, Debug, PartialEq)]
pub struct Form {
    pub actions: String,
    pub idle: String,
    pub stations: String,
    /// What asks for an action at a station, where it is no button.
    devices: BTreeMap<(usize, usize), Option<Device>>,
    pub join: Join,
    pub has_end: bool,
    pub side: Side,
    pub pull: String,
    pub pull_tolerance: String,
    pub reference: String,
    pub reference_tolerance: String,
    pub scale: Scale,
    pub max_count: String,
    pub has_bands: bool,
    pub bands: String,
    pub series: Series,
    pub tolerance: String,
}

impl Default for Form {
    fn default() -> Self {
        let text = |text: &str| text.to_owned();
        Self {
            actions: String::new(),
            idle: text("idle"),
            stations: String::new(),
            devices: BTreeMap::new(),
            join: Join::Chain,
            has_end: true,
            side: Side::Ground,
            pull: String::new(),
            pull_tolerance: text("1 %"),
            reference: String::new(),
            reference_tolerance: text("1 %"),
            scale: Scale::Ohm,
            max_count: text("1023"),
            has_bands: false,
            bands: String::new(),
            series: Series::E24,
            tolerance: text("1 %"),
        }
    }
}

impl Form {
    /// Names of the stations; a single one needs none.
    pub fn station_names(&self) -> Vec<String> {
        let names = names_from_text(&self.stations);
        if names.is_empty() { vec![String::new()] } else { names }
    }

    /// What asks for an action at a station: a button until something else is picked.
    pub fn device(&self, action: usize, station: usize) -> Option<Device> {
        self.devices.get(&(action, station)).copied().unwrap_or(Some(Device::Button))
    }

    /// Picks what asks for an action at a station.
    pub fn set_device(&mut self, action: usize, station: usize, device: Option<Device>) {
        self.devices.insert((action, station), device);
    }

    /// Whether any of these actions has a lever.
    pub fn has_lever(&self, n_actions: usize, n_stations: usize) -> bool {
        let is_lever = |(action, station)| self.device(action, station) == Some(Device::Lever);
        (0..n_actions).any(|action| (0..n_stations).any(|station| is_lever((action, station))))
    }

    /// The question and its answer.
    pub fn plan(&self, settings: &Settings) -> Result<(Wanted, Plan), String> {
        let wanted = self.wanted()?;
        let plan = plan(&wanted, settings)?;
        Ok((wanted, plan))
    }

    fn wanted(&self) -> Result<Wanted, String> {
        let names = names_from_text(&self.actions);
        let stations = self.station_names();
        let idle = self.idle.trim().to_owned();
        let actions = names
            .iter()
            .enumerate()
            .map(|(n, name)| WantedAction {
                name: name.clone(),
                devices: (0..stations.len()).map(|station| self.device(n, station)).collect(),
            })
            .collect();
        let bands = match self.has_bands {
            true if self.bands.trim().is_empty() => {
                return Err("paste the bands, or say that they can be taught".into());
            }
            true => bands_from_text(&self.bands, self.scale, &names, &idle)?,
            false => Vec::new(),
        };
        let ohm = |text: &str| parse_ohms(text);
        let volt = |text: &str| parse_unit(text, "V", "volts such as 5 V");
        let known = Known {
            side: self.side,
            pull_ohm: tolerant(&self.pull, &self.pull_tolerance, &ohm)?,
            reference_volt: tolerant(&self.reference, &self.reference_tolerance, &volt)?,
            scale: self.scale,
            max_count: match self.scale {
                Scale::Count => Some(count(&self.max_count)?),
                Scale::Ohm | Scale::Volt | Scale::Percent => None,
            },
            bands,
        };
        let tolerance = parse_percent(&self.tolerance).map_err(|error| error.to_string())?;
        let (join, has_end, series) = (self.join, self.has_end, self.series);
        Ok(Wanted { actions, idle, stations, join, known, has_end, series, tolerance })
    }
}

/// A value with its tolerance; nothing typed is nothing known.
fn tolerant(
    text: &str,
    tolerance: &str,
    parse: &dyn Fn(&str) -> Result<f64, String>,
) -> Result<Option<Tolerant>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let nominal = parse(text)?;
    let tolerance = parse_percent(tolerance).map_err(|error| error.to_string())?;
    Ok(Some(Tolerant { nominal, tolerance }))
}

fn count(text: &str) -> Result<u32, String> {
    text.trim()
        .parse()
        .ok()
        .filter(|count: &u32| limits::MAX_COUNT.holds(f64::from(*count)))
        .ok_or_else(|| format!("expected the greatest count such as 1023, found \"{text}\""))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_becomes_a_plan() {
        let mut form = Form {
            actions: "UP, DOWN".into(),
            pull: "1k".into(),
            reference: "5 V".into(),
            scale: Scale::Volt,
            ..Form::default()
        };
        let settings = Settings::for_new_project();
        let (wanted, plan) = form.plan(&settings).unwrap();
        assert_eq!(wanted.known.pull_ohm.unwrap().nominal, 1000.0);
        assert_eq!(plan.rungs.len(), 3);
        form.set_device(0, 0, None);
        assert!(form.plan(&settings).unwrap_err().contains("UP"));
        form.set_device(0, 0, Some(Device::Lever));
        assert!(form.has_lever(2, 1) && form.plan(&settings).is_ok());
        form.has_bands = true;
        assert!(form.plan(&settings).unwrap_err().contains("paste the bands"));
        form.bands = "UP 0.5 1.5\nDOWN 2 3\nidle 3.4 4.6".into();
        assert_eq!(form.plan(&settings).unwrap().1.pin.bands.len(), 3);
        form.pull = "banana".into();
        assert!(form.plan(&settings).unwrap_err().contains("banana"));
    }
}
