//! What an edit may not do to an element: numbers that mean nothing.

use crate::edit::guard::{
    check_bound, check_count, check_maybe_range, check_range, check_tolerant,
};
use crate::model::limits;
use crate::model::{Draw, Element};

/// An element whose numbers mean something.
pub(super) fn check_element(name: &str, element: &Element) -> Result<(), String> {
    match element {
        Element::Diode(diode) => {
            check_range(&format!("{name}: drop"), diode.drop_volt, &limits::DROP_VOLT)?;
            let (on, leak) =
                (format!("{name}: resistance while it conducts"), format!("{name}: leak"));
            check_bound(&on, diode.on_ohm, &limits::DIODE_OHM)?;
            check_maybe_range(&leak, diode.leak_ohm, &limits::RESISTOR_OHM)
        }
        Element::Relay(relay) => {
            check_range(&format!("{name}: coil"), relay.coil_ohm, &limits::RESISTOR_OHM)?;
            check_bound(&format!("{name}: pull-in"), relay.pull_in_volt, &limits::VOLT)?;
            check_bound(&format!("{name}: drop-out"), relay.drop_out_volt, &limits::VOLT)?;
            if relay.drop_out_volt >= relay.pull_in_volt {
                return Err(format!(
                    "{name} must drop out below the {} V at which it pulls, found {} V",
                    relay.pull_in_volt, relay.drop_out_volt
                ));
            }
            check_count(
                "contact sets",
                usize::from(relay.sets),
                usize::from(limits::RELAY_SETS_MOST),
            )?;
            let closed = format!("{name}: contact resistance");
            check_maybe_range(&closed, relay.closed_ohm, &limits::OHM)
        }
        Element::Load(load) => match load.draw {
            Draw::Ohm(ohm) => {
                check_range(&format!("{name}: resistance"), ohm, &limits::RESISTOR_OHM)
            }
            Draw::Amp(amp) => check_range(&format!("{name}: current"), amp, &limits::RATING_AMP),
        },
        Element::Input(input) => {
            if let Some(pull) = input.pull_ohm {
                check_tolerant(&format!("{name}: pull"), pull, &limits::RESISTOR_OHM)?;
            }
            if let Some(volt) = input.pull_volt {
                check_tolerant(&format!("{name}: pull voltage"), volt, &limits::SCALE_VOLT)?;
            }
            Ok(())
        }
    }
}
