//! Feeds: fuses, current against what a wire may carry, drop, and load current in a sensor return.

use std::collections::BTreeMap;

use crate::check::findings::Found;
use crate::check::reach::{Joins, Reach, Through};
use crate::harness::{
    AIRCRAFT_LOADED_TO, Current, Feed, FuseAdvice, LengthResult, Told, WARM_C, WireReport,
    asked_currents, drawn_fuses, feeds, run_loading, wire_currents, wire_reports,
};
use crate::model::{
    AmpacityRule, Duty, Element, PartId, PartKind, Project, RunId, Side, Subject, TerminalRef,
    WireId, WireUse,
};

/// Load current in a sensor return from which it is worth a word, in amperes. Common practice, no
/// source: 0.1 A through 0.1 Ω is already 10 mV.
const SHARED_AMP: f64 = 0.1;

/// Looks at every supply, every wire whose current is known, and every sensor return.
///
/// Works on what is typed and on loads: currents of sense networks are some milliamperes.
pub fn check(project: &Project, lengths: &BTreeMap<WireId, LengthResult>, found: &mut Found) {
    let currents = wire_currents(project, &BTreeMap::new());
    let wires = wire_reports(project, lengths, &currents);
    unfused(project, found);
    overloaded(project, &wires, found);
    if project.settings.wiring.ampacity == Some(AmpacityRule::AircraftBundle) {
        crowded(project, &run_loading(lengths, &wires), found);
    }
    for feed in feeds(project, &wires) {
        drop_over(project, &feed, found);
    }
    for (id, advice) in drawn_fuses(project, &wires) {
        fuse(project, id, &advice, found);
    }
    typed_too_low(project, found);
    shared_returns(project, &currents, found);
}

fn wire_name(project: &Project, wire: WireId) -> &str {
    project.wires.get(wire).map_or("?", |wire| wire.name.as_str())
}

fn part_name(project: &Project, part: PartId) -> &str {
    project.parts.get(part).map_or("?", |part| part.name.as_str())
}

/// Harness wires that a supply reaches before any fuse.
fn unfused(project: &Project, found: &mut Found) {
    let joins = Joins::new(project, Through::Joints);
    for (id, part) in project.parts.iter() {
        if !matches!(part.kind, PartKind::Supply(_)) {
            continue;
        }
        let reach = Reach::from(&joins, TerminalRef { part: id, terminal: 0 });
        let bare: Vec<&str> = project
            .wires
            .iter()
            .filter(|(_, wire)| wire.usage == WireUse::Harness)
            .filter(|(_, wire)| {
                reach.contains(wire.from.terminal) || reach.contains(wire.to.terminal)
            })
            .map(|(_, wire)| wire.name.as_str())
            .collect();
        if !bare.is_empty() {
            let (noun, verb) = if bare.len() == 1 { ("wire", "has") } else { ("wires", "have") };
            found.warning(
                Subject::Part(id),
                format!(
                    "{noun} {} from supply {} {verb} no fuse in front",
                    bare.join(", "),
                    part.name
                ),
                "put a fuse close to the supply (within 175 mm, from memory), chosen for the \
                 thinnest wire behind it",
            );
        }
    }
}

fn overloaded(project: &Project, wires: &BTreeMap<WireId, WireReport>, found: &mut Found) {
    for (id, report) in wires {
        let (Some(current), Ok(may)) = (report.current, &report.ampacity) else { continue };
        if current.amp > may.amp {
            found.error(
                Subject::Wire(*id),
                format!(
                    "wire {} carries {:.1} A but may carry {:.1} A by {}",
                    wire_name(project, *id),
                    current.amp,
                    may.amp,
                    may.rule.name()
                ),
                "take thicker wire, or insulation for more heat, or feed less through it",
            );
        }
    }
}

/// Runs that carry more than the table of the rule holds for.
fn crowded(project: &Project, loading: &BTreeMap<RunId, f64>, found: &mut Found) {
    for (id, share) in loading.iter().filter(|(_, share)| **share > AIRCRAFT_LOADED_TO) {
        let name = project.runs.get(*id).map_or("?", |run| run.name.as_str());
        found.warning(
            Subject::Run(*id),
            format!(
                "run {name} carries {:.0} % of what all its wires may, and the table of {} holds up \
                 to 20 %",
                share * 100.0,
                AmpacityRule::AircraftBundle.name()
            ),
            "lead part of the current another way, take thicker wire, or use the circular's curves",
        );
    }
}

fn drop_over(project: &Project, feed: &Feed, found: &mut Found) {
    let Some(limit) = feed.limit else { return };
    let subject = Subject::Part(feed.consumer);
    let limit = crate::units::trim_zeros(&format!("{:.2}", limit * 100.0));
    let lost = format!(
        "the wires to {} and back lose {:.2} V, {:.1} % of {} V",
        part_name(project, feed.consumer),
        feed.drop_volt,
        feed.fraction() * 100.0,
        feed.supply_volt
    );
    if let Some(warm) = feed.over_when_warm() {
        found.note(
            subject,
            format!(
                "{lost} at 20 °C, but {warm:.1} % where it is {WARM_C} °C, more than the limit of \
                 {limit} %"
            ),
            "type the temperatures around the harness and in its hot zones, or take thicker wire",
        );
        return;
    }
    if feed.is_over() != Some(true) {
        return;
    }
    let what = match (feed.within_when_cold(), feed.hottest_c) {
        (Some(cold), Some(hottest)) => format!(
            "{lost}, more than the limit of {limit} %, because it is warm there, up to {hottest} °C: \
             at 20 °C they would lose {cold:.1} %"
        ),
        (_, _) => format!("{lost}, more than the limit of {limit} %"),
    };
    found.warning(
        subject,
        what,
        "take thicker wire or a shorter way, or allow more where it does no harm",
    );
}

/// Every fuse by itself, with the wires between it and the next ones.
fn fuse(project: &Project, fuse: PartId, advice: &FuseAdvice, found: &mut Found) {
    let Some(drawn) = advice.drawn_amp else { return };
    let name = part_name(project, fuse);
    if let Some((wire, amp)) = advice.weakest.filter(|(_, amp)| drawn > *amp) {
        found.error(
            Subject::Part(fuse),
            format!(
                "fuse {name} of {drawn} A lets more through than the {amp:.1} A wire {} may carry",
                wire_name(project, wire)
            ),
            "fit a smaller fuse, or thicker wire behind it",
        );
    }
    if let Some(amp) = advice.carried_amp.as_ref().ok().filter(|amp| drawn < **amp) {
        found.warning(
            Subject::Part(fuse),
            format!("fuse {name} of {drawn} A carries {amp:.1} A and will open"),
            "check the load; a larger fuse only where every wire behind it may carry it",
        );
    }
}

/// Wires whose typed current is less than the loads behind them take.
fn typed_too_low(project: &Project, found: &mut Found) {
    let asked = asked_currents(project);
    for (id, wire) in project.wires.iter().filter(|(_, wire)| wire.make.duty != Duty::Spare) {
        let (Some(typed), Some(asked)) = (wire.make.current_amp, asked.get(&id)) else { continue };
        if asked.amp > typed * (1.0 + 1e-6) {
            found.warning(
                Subject::Wire(id),
                format!(
                    "{typed} A is typed at wire {}, but the loads behind it ask for {:.2} A",
                    wire.name, asked.amp
                ),
                "type what all loads behind it take together, or correct the loads",
            );
        }
    }
}

/// Sensor returns through whose wires load current comes home.
fn shared_returns(project: &Project, currents: &BTreeMap<WireId, Current>, found: &mut Found) {
    let joins = Joins::new(project, Through::Joints);
    for (id, pin) in project.sense_pins.iter().filter(|(_, pin)| pin.side == Side::Ground) {
        let is_ground = |part: PartId| {
            project.parts.get(part).is_some_and(|part| matches!(part.kind, PartKind::Ground))
        };
        if is_ground(pin.reference.part) {
            continue;
        }
        let reach = Reach::from(&joins, pin.reference);
        // Where the return is grounded by a wire of its own, all of ground is within reach.
        let own: Vec<TerminalRef> =
            reach.iter().filter(|terminal| !is_ground(terminal.part)).collect();
        let load = own.iter().find(|terminal| {
            project.parts.get(terminal.part).is_some_and(|part| match &part.kind {
                PartKind::Element(Element::Load(_)) => true,
                PartKind::Element(Element::Relay(_)) => terminal.terminal < 2,
                _ => false,
            })
        });
        let wire = project.wires.iter().find(|(wire, row)| {
            let amp = currents.get(wire).filter(|current| current.told != Told::Circuit);
            row.usage == WireUse::Harness
                && amp.is_some_and(|current| current.amp >= SHARED_AMP)
                && (reach.contains(row.from.terminal) || reach.contains(row.to.terminal))
        });
        let culprit = match (load, wire) {
            (Some(load), _) => format!("the current of {}", part_name(project, load.part)),
            (None, Some((wire, row))) => {
                let amp = currents.get(&wire).map_or(0.0, |current| current.amp);
                format!("{amp:.1} A of wire {}", row.name)
            }
            (None, None) => continue,
        };
        found.warning(
            Subject::SensePin(id),
            format!("the return of sense pin {} carries {culprit} as well", pin.name),
            "lead the load's current home by a wire of its own: what it drops offsets every reading",
        );
    }
}
