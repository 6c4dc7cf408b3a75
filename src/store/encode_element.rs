//! Elements from model to file.

use crate::model::{Draw, Element};
use crate::store::encode::{range, tolerant};
use crate::store::file;

/// An element as the file has it.
pub(super) fn element(element: &Element) -> file::PartKind {
    match element {
        Element::Diode(diode) => file::PartKind::Diode(file::Diode {
            drop_volt: range(diode.drop_volt),
            on_ohm: diode.on_ohm,
            leak_ohm: diode.leak_ohm.map(range),
        }),
        Element::Relay(relay) => file::PartKind::Relay(file::Relay {
            coil_ohm: range(relay.coil_ohm),
            pull_in_volt: relay.pull_in_volt,
            drop_out_volt: relay.drop_out_volt,
            sets: relay.sets,
            closed_ohm: relay.closed_ohm.map(range),
        }),
        Element::Load(load) => file::PartKind::Load(file::Load {
            form: load.form.into(),
            draw: match load.draw {
                Draw::Ohm(ohm) => file::Draw::Ohm(range(ohm)),
                Draw::Amp(amp) => file::Draw::Amp(range(amp)),
            },
        }),
        Element::Input(input) => file::PartKind::Input(file::Input {
            pull_ohm: input.pull_ohm.map(tolerant),
            pull_volt: input.pull_volt.map(tolerant),
        }),
    }
}
