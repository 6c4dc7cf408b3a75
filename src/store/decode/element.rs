//! Checks of elements: diodes, relays, loads, second inputs.

use crate::model::limits;
use crate::model::{self, Draw};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::value;
use crate::store::file;

/// A diode.
pub fn diode(at: &At<'_>, row: &file::Diode) -> Checked<model::Diode> {
    let leak = at.field("leak_ohm");
    Ok(model::Diode {
        drop_volt: value::range(&at.field("drop_volt"), &row.drop_volt, &limits::DROP_VOLT)?,
        on_ohm: value::number(&at.field("on_ohm"), row.on_ohm, &limits::DIODE_OHM)?,
        leak_ohm: row
            .leak_ohm
            .as_ref()
            .map(|r| value::range(&leak, r, &limits::RESISTOR_OHM))
            .transpose()?,
    })
}

/// A relay.
pub fn relay(at: &At<'_>, row: &file::Relay) -> Checked<model::Relay> {
    let most = limits::RELAY_SETS_MOST;
    if row.sets > most {
        return Err(at
            .field("sets")
            .refuse(format!("expected at most {most} contact sets, found {}", row.sets)));
    }
    let (pull_in, drop_out) = (at.field("pull_in_volt"), at.field("drop_out_volt"));
    let pull_in_volt = value::number(&pull_in, row.pull_in_volt, &limits::VOLT)?;
    let drop_out_volt = value::number(&drop_out, row.drop_out_volt, &limits::VOLT)?;
    if drop_out_volt >= pull_in_volt {
        return Err(drop_out.refuse(format!(
            "expected less than the {pull_in_volt} V at which the relay pulls, found {drop_out_volt}"
        )));
    }
    let closed = at.field("closed_ohm");
    Ok(model::Relay {
        coil_ohm: value::range(&at.field("coil_ohm"), &row.coil_ohm, &limits::RESISTOR_OHM)?,
        pull_in_volt,
        drop_out_volt,
        sets: row.sets,
        closed_ohm: row
            .closed_ohm
            .as_ref()
            .map(|r| value::range(&closed, r, &limits::OHM))
            .transpose()?,
    })
}

/// A lamp or another load.
pub fn load(at: &At<'_>, row: &file::Load) -> Checked<model::Load> {
    let draw = at.field("draw");
    Ok(model::Load {
        form: row.form.into(),
        draw: match &row.draw {
            file::Draw::Ohm(r) => {
                Draw::Ohm(value::range(&draw.field("ohm"), r, &limits::RESISTOR_OHM)?)
            }
            file::Draw::Amp(r) => {
                Draw::Amp(value::range(&draw.field("amp"), r, &limits::RATING_AMP)?)
            }
        },
    })
}

/// An input of another module.
pub fn input(at: &At<'_>, row: &file::Input) -> Checked<model::Input> {
    let tolerant = |name, t: &Option<file::Tolerant>, bound| {
        t.as_ref().map(|t| value::tolerant(&at.field(name), t, bound)).transpose()
    };
    Ok(model::Input {
        pull_ohm: tolerant("pull_ohm", &row.pull_ohm, &limits::RESISTOR_OHM)?,
        pull_volt: tolerant("pull_volt", &row.pull_volt, &limits::SCALE_VOLT)?,
    })
}
