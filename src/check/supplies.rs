//! Supplies: a fuse in every path, and no pin above what it stands.

use std::collections::BTreeSet;

use crate::check::findings::Found;
use crate::check::reach::{Joins, Reach, Through};
use crate::model::{PartId, PartKind, Project, Side, Subject, TerminalRef};
use crate::units::{format_volt, trim_zeros};

/// Looks at every supply and every pin with a limit.
pub fn check(project: &Project, found: &mut Found) {
    let joins = Joins::new(project, Through::Joints);
    for (id, part) in project.parts.iter() {
        let PartKind::Supply(_) = part.kind else { continue };
        let fed = unfused(project, &joins, id);
        if !fed.is_empty() {
            let names: Vec<&str> = fed
                .iter()
                .filter_map(|part| Some(project.parts.get(*part)?.name.as_str()))
                .collect();
            let shown = names.iter().take(4).copied().collect::<Vec<_>>().join(", ");
            let more = if names.len() > 4 { ", …" } else { "" };
            found.warning(
                Subject::Part(id),
                format!("{} feeds {shown}{more} without a fuse on the way", part.name),
                "put a fuse close to the supply before it is connected: a chafed wire can start a fire",
            );
        }
    }
    pin_limits(project, found);
}

/// Parts a supply reaches before any fuse, other than those that only pass current on.
fn unfused(project: &Project, joins: &Joins, supply: PartId) -> BTreeSet<PartId> {
    let reach = Reach::from(joins, TerminalRef { part: supply, terminal: 0 });
    reach
        .iter()
        .filter(|terminal| terminal.part != supply)
        .filter(|terminal| match project.parts.get(terminal.part).map(|part| &part.kind) {
            Some(PartKind::Resistor(_) | PartKind::Contact(_) | PartKind::Controller(_)) => true,
            Some(
                PartKind::Supply(_)
                | PartKind::Ground
                | PartKind::Fuse(_)
                | PartKind::Splice { .. }
                | PartKind::Connector(_)
                | PartKind::TestPoint
                | PartKind::Element(_),
            )
            | None => false,
        })
        .map(|terminal| terminal.part)
        .collect()
}

/// A pin that some setting of the controls may lift above what it stands.
///
/// The pull of the controller is left out: through a resistor alone the pin sees the full supply.
fn pin_limits(project: &Project, found: &mut Found) {
    let joins = Joins::new(project, Through::Everything);
    for (id, pin) in project.sense_pins.iter() {
        let Some(limit_volt) = pin.limit_volt else { continue };
        let reach = Reach::from(&joins, pin.terminal);
        let mut sources: Vec<(String, f64)> = reach
            .iter()
            .filter_map(|terminal| {
                let part = project.parts.get(terminal.part)?;
                let PartKind::Supply(supply) = part.kind else { return None };
                Some((part.name.clone(), supply.volt.high))
            })
            .collect();
        let is_fed_by_reference = match pin.side {
            Side::Ground => true,
            Side::Supply => reach.contains(pin.reference),
        };
        if let (Some(volt), true) = (pin.reference_volt, is_fed_by_reference) {
            sources.push(("its reference".into(), volt.range().high));
        }
        let highest = sources.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((name, volt)) = highest.filter(|(_, volt)| *volt > limit_volt) {
            let at = project.terminal_name(pin.terminal);
            found.warning(
                Subject::SensePin(id),
                format!(
                    "{name} can put up to {} on {at}, which stands {} V",
                    format_volt(volt),
                    trim_zeros(&format!("{limit_volt:.3}"))
                ),
                "feed the network from the controller's own reference, or limit the voltage at the pin",
            );
        }
    }
}
