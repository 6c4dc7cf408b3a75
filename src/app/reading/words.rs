//! Words for pins, states, decodes, margins and verdicts.

use egui::Color32;

use crate::app::reading::scale::short_text;
use crate::app::theme::Palette;
use crate::model::{ControlId, ControlKind, Project, SensePin, State};
use crate::sense::{StateRow, Verdict};
use crate::study::faults::Symptom;
use crate::units::format_ohm;

/// Which controls a text names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StateNames {
    /// Only those that are not at rest.
    OffRest,
    /// All of them.
    All,
}

/// `X1-11 RANGE signal`.
pub fn pin_title(project: &Project, pin: &SensePin) -> String {
    format!("{} {}", project.terminal_name(pin.terminal), pin.name).trim_end().to_owned()
}

/// `Gate HOLD, Lever fore`; `all at rest` where nothing is moved.
pub fn state_text(
    project: &Project,
    controls: &[ControlId],
    state: &State,
    names: StateNames,
) -> String {
    let words: Vec<String> = controls
        .iter()
        .filter_map(|id| {
            let control = project.controls.get(*id)?;
            let at = state.position(*id, control);
            let shown = names == StateNames::All || at != control.rest;
            let position = control.positions.get(usize::from(at))?;
            // A button that is off rest is pressed; saying so again would only fill the table.
            let is_pressed = control.kind == ControlKind::Momentary
                && control.positions.len() == 2
                && at != control.rest;
            let text = if is_pressed {
                control.name.clone()
            } else {
                format!("{} {}", control.name, position.name)
            };
            shown.then_some(text)
        })
        .collect();
    if words.is_empty() { "all at rest".into() } else { words.join(", ") }
}

/// Name of the band the reading lies in, or `guard`.
pub fn decoded_text<'a>(pin: &'a SensePin, row: &StateRow) -> &'a str {
    row.band.and_then(|idx| pin.bands.get(idx)).map_or("guard", |band| band.name.as_str())
}

/// What was asked for: `UP`, `UP or DOWN`, `nothing`.
pub fn asked_text(row: &StateRow) -> String {
    if row.asked.is_empty() { "nothing".into() } else { row.asked.join(" or ") }
}

/// The verdict in words a person can act on.
pub fn verdict_words(pin: &SensePin, row: &StateRow) -> String {
    let decoded = decoded_text(pin, row);
    match row.verdict {
        None => "not known".into(),
        Some(Verdict::Ok) if row.asked.is_empty() => "nothing was asked for".into(),
        Some(Verdict::Ok) if row.asked.len() > 1 && row.band.is_none() => {
            "several asked, a guard is right".into()
        }
        Some(Verdict::Ok) => "right, whole range".into(),
        Some(Verdict::Thin) if row.asked.is_empty() => "thin: may be taken for an action".into(),
        Some(Verdict::Thin) => "thin: right, not over the whole range".into(),
        Some(Verdict::Clash) if row.asked.is_empty() => {
            format!("clash: nobody asked for {decoded}")
        }
        Some(Verdict::Clash) => format!("clash: {} was asked for", asked_text(row)),
        Some(Verdict::Gap) => format!("gap: {} was asked for", asked_text(row)),
    }
}

/// The sign that goes with the verdict, so that colour is never alone.
pub fn verdict_sign(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        Some(Verdict::Ok) => "✔",
        Some(Verdict::Thin) => "⚠",
        Some(Verdict::Clash) => "✖",
        Some(Verdict::Gap) => "○",
        None => "?",
    }
}

/// Its colour.
pub fn verdict_colour(palette: &Palette, verdict: Option<Verdict>) -> Color32 {
    match verdict {
        Some(Verdict::Ok) => palette.right,
        Some(Verdict::Thin) => palette.warning,
        Some(Verdict::Clash | Verdict::Gap) => palette.wrong,
        None => palette.quiet,
    }
}

/// How far the worst case stays from the nearest edge: `70 Ω left before the guard above`.
pub fn margin_text(pin: &SensePin, row: &StateRow) -> Option<String> {
    let margin = row.margin?;
    let value = margin.value()?;
    let is_below = margin.below == Some(value);
    let beyond = beyond(pin, row, is_below).unwrap_or_else(|| "the guard".into());
    let side = if is_below { "below" } else { "above" };
    let distance = short_text(value.abs(), margin.scale);
    Some(if value < 0.0 {
        format!("{distance} into {beyond} {side}")
    } else {
        format!("{distance} left before {beyond} {side}")
    })
}

/// Name of the band that begins right at the edge the margin is measured to; `None` where a guard does.
fn beyond(pin: &SensePin, row: &StateRow, is_below: bool) -> Option<String> {
    let (reading, margin) = (row.scaled?, row.margin?);
    let edge = if is_below { reading.low - margin.below? } else { reading.high + margin.above? };
    let own = row.band.and_then(|idx| pin.bands.get(idx)).map(|band| band.name.as_str());
    // The edge was reckoned, so it meets the band's figure only up to rounding.
    let meets = |value: f64| (value - edge).abs() <= 1e-9 * (1.0 + edge.abs());
    pin.bands
        .iter()
        .filter(|band| Some(band.name.as_str()) != own)
        .find(|band| if is_below { band.high.is_some_and(meets) } else { meets(band.low) })
        .map(|band| band.name.clone())
}

/// What a pin shows in a what-if, in its own scale as far as that is known, and the band.
pub fn symptom_text(pin: &SensePin, symptom: &Symptom) -> String {
    let value = symptom
        .scaled
        .map_or_else(|| format_ohm(symptom.ohm), |value| short_text(value, pin.scale));
    match symptom.band {
        Some(band) => format!("{value} = {}", pin.bands[band].name),
        None => format!("{value}, no band"),
    }
}

/// A sentence with its first letter large.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::{ladder, row_at};
    use crate::model::Scale;
    use crate::sense::Margin;

    #[test]
    fn the_margin_says_which_side_and_what_lies_beyond() {
        let (project, id) = ladder();
        let pin = project.sense_pins.get(id).unwrap();
        let mut row = row_at(pin, 1027.0, 1011.0, 1050.0);
        row.margin = Some(Margin { below: Some(81.0), above: Some(70.0), scale: Scale::Ohm });
        assert_eq!(margin_text(pin, &row).as_deref(), Some("70 Ω left before the guard above"));
        row.margin = Some(Margin { below: Some(-4.0), above: Some(70.0), scale: Scale::Ohm });
        assert_eq!(margin_text(pin, &row).as_deref(), Some("4 Ω into the guard below"));
        // Both UP and DOWN are right in this guard, so what is left is told up to HOLD.
        let mut row = row_at(pin, 793.2, 780.6, 811.4);
        row.margin = Some(Margin { below: None, above: Some(6200.0 - 811.4), scale: Scale::Ohm });
        assert_eq!(margin_text(pin, &row).as_deref(), Some("5.389 kΩ left before HOLD above"));
        let mut row = row_at(pin, 1500.0, 1480.0, 1520.0);
        row.margin = Some(Margin { below: Some(360.0), above: Some(580.0), scale: Scale::Ohm });
        assert_eq!(margin_text(pin, &row).as_deref(), Some("360 Ω left before UP below"));
        row.margin = None;
        assert_eq!(margin_text(pin, &row), None);
    }

    #[test]
    fn states_are_named_by_what_was_moved() {
        let (project, _) = ladder();
        let controls: Vec<_> = project.controls.ids().collect();
        let mut state = State::rest();
        assert_eq!(state_text(&project, &controls, &state, StateNames::OffRest), "all at rest");
        state.0.insert(controls[0], 1);
        state.0.insert(controls[1], 2);
        assert_eq!(
            state_text(&project, &controls, &state, StateNames::OffRest),
            "Gate HOLD, Lever fore"
        );
        state.0.insert(controls[2], 1);
        assert_eq!(
            state_text(&project, &controls, &state, StateNames::OffRest),
            "Gate HOLD, Lever fore, Rim UP"
        );
        state.0.remove(&controls[2]);
        let all = state_text(&project, &controls, &state, StateNames::All);
        assert_eq!(all, "Gate HOLD, Lever fore, Rim UP off, Rim DOWN off, Mode A");
    }

    #[test]
    fn verdicts_are_said_in_words() {
        let (project, id) = ladder();
        let pin = project.sense_pins.get(id).unwrap();
        let mut row = row_at(pin, 1027.0, 1011.0, 1050.0);
        row.verdict = Some(Verdict::Clash);
        assert_eq!(verdict_words(pin, &row), "clash: nobody asked for UP");
        row.asked = vec!["HOLD".into()];
        assert_eq!(verdict_words(pin, &row), "clash: HOLD was asked for");
        row.verdict = Some(Verdict::Ok);
        assert_eq!(verdict_words(pin, &row), "right, whole range");
        assert_eq!(capital("reads 5 Ω"), "Reads 5 Ω");
    }
}
