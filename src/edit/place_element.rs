//! Placing elements by typing: diodes, relays, loads, second inputs.

use crate::edit::placing::{Placement, positive, single, with_unit};
use crate::model::{Diode, Draw, Element, Input, Load, LoadForm, PartKind, Relay};
use crate::units::{Range, Tolerant, parse_number, parse_ohm};

/// Share a resistance or current read off a load's label may be off by. Common practice, no source.
const LOAD_TOLERANCE: f64 = 0.1;

/// An element by its word and what follows it.
pub(super) fn element(word: &str, rest: &[&str]) -> Result<Placement, String> {
    let element = match word {
        "diode" => Element::Diode(nothing_more(word, rest, Diode::silicon())?),
        "schottky" => Element::Diode(nothing_more(word, rest, Diode::schottky())?),
        "relay" => Element::Relay(relay(rest)?),
        "lamp" => Element::Load(Load { form: LoadForm::Lamp, draw: draw(rest)? }),
        "load" => Element::Load(Load { form: LoadForm::Other, draw: draw(rest)? }),
        _ => Element::Input(input(rest)?),
    };
    Ok(single(element.noun(), PartKind::Element(element)))
}

fn nothing_more<T>(word: &str, rest: &[&str], value: T) -> Result<T, String> {
    match rest {
        [] => Ok(value),
        more => Err(format!("expected nothing after {word}, found \"{}\"", more.join(" "))),
    }
}

fn relay(rest: &[&str]) -> Result<Relay, String> {
    let volt = match rest {
        [] => 12.0,
        more => parse_number(&more.concat(), "v", "volts such as 12").map_err(|e| e.to_string())?,
    };
    positive(volt, "a relay is made for volts above zero").map(Relay::for_supply)
}

/// Ohms, or amperes where the unit says so; a 12 V lamp of 2 W where nothing is said.
fn draw(rest: &[&str]) -> Result<Draw, String> {
    let text = rest.concat();
    if text.is_empty() {
        return Ok(Draw::Ohm(Range::plus_minus(72.0, LOAD_TOLERANCE)));
    }
    if let Some(amp) = with_unit(&text, 'a') {
        let amp = positive(amp, "a load takes more than no current")?;
        return Ok(Draw::Amp(Range::plus_minus(amp, LOAD_TOLERANCE)));
    }
    let ohm = parse_ohm(&text).map_err(|_| {
        format!("expected ohms such as 72 or amperes such as 0.2 A, found \"{text}\"")
    })?;
    let ohm = positive(ohm, "a load has a resistance above zero")?;
    Ok(Draw::Ohm(Range::plus_minus(ohm, LOAD_TOLERANCE)))
}

/// What its input does is unknown until it is typed.
fn input(rest: &[&str]) -> Result<Input, String> {
    let pull_ohm = match rest {
        [] => None,
        more => {
            let ohm = parse_ohm(&more.concat()).map_err(|e| e.to_string())?;
            let ohm = positive(ohm, "an input has a resistance above zero")?;
            Some(Tolerant { nominal: ohm, tolerance: 0.05 })
        }
    };
    Ok(Input { pull_ohm, pull_volt: None })
}
