//! The bands of a sense pin: name, meaning, both edges. A band upside down or over another is not taken.

use egui::{Id, Ui};

use crate::app::panels::inspector::pins::changed_pin;
use crate::app::widgets::{
    Field, Pen, add_word, choice_wide, heading, number_text, ohm_text, parse_named, parse_ohms,
    parse_unit, quiet, remove_sign,
};
use crate::edit::{Edit, check_band};
use crate::model::{Band, BandRole, Harm, Scale, SensePin, SensePinId};

fn role_word(role: BandRole) -> &'static str {
    match role {
        BandRole::Action => "action",
        BandRole::Idle => "idle",
        BandRole::Open => "broken wire",
        BandRole::Short => "short",
    }
}

/// An edge in the pin's scale, as text.
pub fn edge_text(value: f64, scale: Scale) -> String {
    match scale {
        Scale::Ohm => ohm_text(value),
        Scale::Volt | Scale::Count | Scale::Percent => number_text(value, scale.unit()),
    }
}

/// Reads an edge in the pin's scale.
fn parse_edge(text: &str, scale: Scale) -> Result<f64, String> {
    match scale {
        Scale::Ohm => parse_ohms(text),
        Scale::Volt => parse_unit(text, "V", "volts such as 1.2 V"),
        Scale::Count => parse_unit(text, "counts", "counts such as 512"),
        Scale::Percent => parse_unit(text, "%", "percent of full scale such as 40 %"),
    }
}

/// A band that stands for itself and over no other; else one sentence.
fn judge_band(bands: &[Band], idx: usize, scale: Scale) -> Result<(), String> {
    let Some(band) = bands.get(idx) else { return Ok(()) };
    check_band(band)?;
    let top = |band: &Band| band.high.unwrap_or(f64::INFINITY);
    let over = bands
        .iter()
        .enumerate()
        .find(|(other, row)| *other != idx && band.low < top(row) && row.low < top(band))
        .map(|(_, row)| row);
    match over {
        None => Ok(()),
        Some(other) => {
            let high = other.high.map_or_else(|| "open".into(), |high| edge_text(high, scale));
            Err(format!(
                "{} would overlap band {} ({} … {high})",
                band.name,
                other.name,
                edge_text(other.low, scale)
            ))
        }
    }
}

/// Edges for a new band that overlaps none: above all, or in the widest guard below an open one.
fn room_for_band(bands: &[Band], scale: Scale) -> (f64, f64) {
    let start = match scale {
        Scale::Ohm => 1000.0,
        Scale::Volt => 1.0,
        Scale::Count => 100.0,
        Scale::Percent => 10.0,
    };
    let highest = bands.iter().filter_map(|band| band.high).fold(0.0, f64::max);
    let open_from = bands
        .iter()
        .filter(|band| band.high.is_none())
        .map(|band| band.low)
        .fold(f64::INFINITY, f64::min);
    let low = if highest > 0.0 { highest * 1.1 } else { start };
    let high = low * 1.2;
    if round_two(high) <= open_from {
        return (round_two(low), round_two(high));
    }
    // No room above: the middle of the widest guard below the open band.
    let mut edges: Vec<(f64, f64)> =
        bands.iter().map(|band| (band.low, band.high.unwrap_or(f64::INFINITY))).collect();
    edges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut floor, mut widest) = (0.0, (0.0, 0.0));
    for (from, to) in edges {
        if from - floor > widest.1 - widest.0 {
            widest = (floor, from);
        }
        floor = to.max(floor);
    }
    let gap = widest.1 - widest.0;
    (widest.0 + gap * 0.25, widest.0 + gap * 0.75)
}

/// Two figures are enough for a first guess.
fn round_two(value: f64) -> f64 {
    format!("{value:.1e}").parse().unwrap_or(value)
}

/// Puts a band into a copy of the pin, and judges it there.
fn set_band(
    (id, pin): (SensePinId, &SensePin),
    idx: usize,
    change: impl FnOnce(&mut Band),
) -> Result<Edit, String> {
    let mut pin = pin.clone();
    if let Some(band) = pin.bands.get_mut(idx) {
        change(band);
    }
    judge_band(&pin.bands, idx, pin.scale)?;
    Ok(Edit::SetSensePin(id, Box::new(pin)))
}

/// All bands of a pin.
pub fn bands_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, pin): (SensePinId, &SensePin)) {
    heading(ui, "Bands");
    if pin.bands.is_empty() {
        quiet(ui, "A band is a range of readings that means one action.", pen.view.palette);
    }
    for idx in 0..pin.bands.len() {
        band_ui(ui, pen, (id, pin), idx);
        ui.add_space(3.0);
    }
    if add_word(ui, "Add a band", pen.view.palette).clicked() {
        let (low, high) = room_for_band(&pin.bands, pin.scale);
        let name = crate::edit::free_name("Band ", pin.bands.iter().map(|band| band.name.as_str()));
        let band =
            Band { name, role: BandRole::Action, low, high: Some(high), harm: Harm::Nuisance };
        pen.edit(changed_pin((id, pin), |pin| pin.bands.push(band)));
    }
}

fn band_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, pin): (SensePinId, &SensePin), idx: usize) {
    let Some(band) = pin.bands.get(idx) else { return };
    let name = Field::words(
        Id::unique(("band name", id, idx)),
        format!("Name of band {}", idx + 1),
        band.name.as_str(),
    );
    let low_text = edge_text(band.low, pin.scale);
    let low =
        Field::figure(Id::unique(("band low", id, idx)), format!("{} from", band.name), low_text);
    let high_text = band.high.map_or_else(String::new, |high| edge_text(high, pin.scale));
    let high =
        Field::figure(Id::unique(("band high", id, idx)), format!("{} to", band.name), high_text)
            .hint("open");
    let mut edit = None;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let wide = ui.available_width() - 136.0;
        pen.field(ui, &name.clone().width(wide), |text| {
            let new_name = parse_named(text)?;
            Ok(renamed((id, pin), idx, &new_name))
        });
        let roles = [BandRole::Action, BandRole::Idle, BandRole::Open, BandRole::Short];
        let options = roles.map(|role| (role_word(role).to_owned(), role));
        let label = format!("Meaning of {}", band.name);
        let role = Id::unique(("band role", id, idx));
        if let Some(role) = choice_wide(ui, role, (&label, 104.0), role_word(band.role), options) {
            edit = set_band((id, pin), idx, |band| band.role = role).ok();
        }
        if remove_sign(ui, &format!("band {}", band.name), pen.view.palette).clicked() {
            edit = Some(changed_pin((id, pin), |pin| {
                pin.bands.remove(idx);
            }));
        }
    });
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.add_space(8.0);
        let half = (ui.available_width() - 52.0) / 2.0;
        pen.field(ui, &low.clone().width(half), |text| {
            let edge = parse_edge(text, pin.scale)?;
            set_band((id, pin), idx, |band| band.low = edge)
        });
        ui.label("to");
        pen.field(ui, &high.clone().width(half), |text| {
            let text = text.trim();
            let open = text.is_empty() || text.eq_ignore_ascii_case("open");
            let edge = if open { None } else { Some(parse_edge(text, pin.scale)?) };
            set_band((id, pin), idx, |band| band.high = edge)
        });
    });
    if band.role == BandRole::Action {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            ui.add_space(8.0);
            ui.label("Unasked for");
            let options = Harm::ALL.map(|harm| (harm.word().to_owned(), harm));
            let label = format!("Harm of {} unasked for", band.name);
            let harm = Id::unique(("band harm", id, idx));
            if let Some(harm) = choice_wide(ui, harm, (&label, 104.0), band.harm.word(), options) {
                edit = set_band((id, pin), idx, |band| band.harm = harm).ok();
            }
        });
    }
    for field in [&name, &low, &high] {
        pen.refusal_ui(ui, field.id, &field.shown);
    }
    if let Some(edit) = edit {
        pen.edit(edit);
    }
}

/// A new name for a band; expectations of its old name follow unless another band still has it.
fn renamed((id, pin): (SensePinId, &SensePin), idx: usize, new_name: &str) -> Edit {
    changed_pin((id, pin), |pin| {
        let Some(old) = pin.bands.get(idx).map(|band| band.name.clone()) else { return };
        if let Some(band) = pin.bands.get_mut(idx) {
            new_name.clone_into(&mut band.name);
        }
        if !pin.bands.iter().any(|band| band.name == old) {
            for expectation in &mut pin.expectations {
                if expectation.action == old {
                    new_name.clone_into(&mut expectation.action);
                }
            }
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band(name: &str, low: f64, high: Option<f64>) -> Band {
        Band { name: name.into(), role: BandRole::Action, low, high, harm: Harm::Nuisance }
    }

    #[test]
    fn a_band_over_another_is_named_with_its_edges() {
        let bands = [band("UP", 930.0, Some(1120.0)), band("DOWN", 1000.0, Some(2500.0))];
        let sentence = judge_band(&bands, 1, Scale::Ohm).unwrap_err();
        assert!(sentence.contains("UP") && sentence.contains("930 Ω … 1.12 kΩ"), "{sentence}");
        // Touching edges are no overlap: the lower edge belongs to the band.
        let bands = [band("UP", 930.0, Some(1120.0)), band("DOWN", 1120.0, None)];
        assert_eq!(judge_band(&bands, 1, Scale::Ohm), Ok(()));
    }

    #[test]
    fn a_new_band_always_finds_room() {
        for scale in [Scale::Ohm, Scale::Volt, Scale::Count, Scale::Percent] {
            let mut bands = vec![band("AUTO", 50.0, None)];
            for _ in 0..12 {
                let (low, high) = room_for_band(&bands, scale);
                bands.push(band("new", low, Some(high)));
                judge_band(&bands, bands.len() - 1, scale)
                    .unwrap_or_else(|error| panic!("{scale:?}: {error}"));
            }
        }
    }
}
