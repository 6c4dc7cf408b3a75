//! The controller sheet: every setting and where it came from, bands, timing, arming.

use crate::model::{BandRole, FullScale, Project, SensePin, Side};
use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;
use crate::sheets::record;
use crate::sheets::table::{Cell, Table};
use crate::sheets::words::ohms;
use crate::units::{Range, Tolerant, format_percent, trim_zeros};

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    flow.note(
        "Tick where each value came from: the maker's sheet, a measurement, reckoned from other \
         values, or hearsay. A value without a tick is a value nobody vouches for.",
    );
    if job.project.sense_pins.is_empty() {
        flow.paragraph("No sense pin is drawn yet.");
    }
    for (_, pin) in job.project.sense_pins.iter() {
        let at = job.project.terminal_name(pin.terminal);
        flow.heading(&format!("{at} {}", pin.name));
        settings(job.project, flow, pin, &at);
        bands(flow, pin, &at);
        expectations(job.project, flow, pin, &at);
    }
    record::settings(job.project, flow);
    record::story(job, flow);
}

fn settings(project: &Project, flow: &mut Flow<'_>, pin: &SensePin, at: &str) {
    let mut table = Table::new(&["setting", "value", "sheet", "measured", "inferred", "hearsay"]);
    for (name, value, is_needed) in values(project, pin) {
        if value.is_none() && is_needed {
            flow.blank(format!("{name} of {at}"));
        }
        table.row(vec![
            name.into(),
            value.map_or(Cell::Blank, Cell::Strong),
            Cell::Tick,
            Cell::Tick,
            Cell::Tick,
            Cell::Tick,
        ]);
    }
    flow.table(&format!("controller-{at}"), table);
}

/// Settings with their values; the last field says whether a missing one is worth asking for.
fn values(project: &Project, pin: &SensePin) -> Vec<(&'static str, Option<String>, bool)> {
    let side = match pin.side {
        Side::Ground => "ground: switches join the pin to the return",
        Side::Supply => "supply: switches join the pin to the supply or reference",
    };
    let filled = |words: &str| Some(words.to_owned()).filter(|words| !words.trim().is_empty());
    vec![
        ("circuit side", Some(side.into()), true),
        ("other end of the network", Some(project.terminal_name(pin.reference)), true),
        ("pull resistor", pin.pull_ohm.map(|v| tolerant(v, ohms)), true),
        ("reference", pin.reference_volt.map(|v| tolerant(v, volts)), pin.side == Side::Ground),
        (
            "full scale",
            pin.full_scale.map(|full| match full {
                FullScale::Ratiometric { volt } => {
                    format!("{}, follows the reference", volts(volt))
                }
                FullScale::Fixed(value) => tolerant(value, volts),
            }),
            true,
        ),
        (
            "converter",
            pin.converter.map(|c| {
                let error = trim_zeros(&format!("{:.2}", c.error_count));
                format!("0 to {} counts, off by {error} at most", c.max_count)
            }),
            true,
        ),
        ("greatest voltage at the pin", pin.limit_volt.map(volts), true),
        (
            "debounce",
            pin.debounce_ms.map(|ms| format!("{} ms", trim_zeros(&format!("{ms:.1}")))),
            true,
        ),
        ("arming", filled(&pin.arming), true),
        ("wire loop", pin.wire_loop_ohm.map(|range| ohm_range(&range)), false),
        ("least leak at the pin", pin.leak_low_ohm.map(ohms), true),
        ("offset of the return", Some(format!("up to {}", volts(pin.ground_offset_volt))), true),
    ]
}

fn tolerant(value: Tolerant, words: fn(f64) -> String) -> String {
    format!("{} ± {}", words(value.nominal), format_percent(value.tolerance))
}

fn volts(volt: f64) -> String {
    format!("{} V", trim_zeros(&format!("{volt:.3}")))
}

fn ohm_range(range: &Range) -> String {
    format!("{} to {}, usually {}", ohms(range.low), ohms(range.high), ohms(range.nominal))
}

fn bands(flow: &mut Flow<'_>, pin: &SensePin, at: &str) {
    if pin.bands.is_empty() {
        flow.paragraph("No band is known.");
        flow.blank(format!("the bands of {at}"));
        return;
    }
    flow.subheading("Bands");
    let mut bands: Vec<_> = pin.bands.iter().collect();
    bands.sort_by(|a, b| a.low.total_cmp(&b.low));
    let mut table = Table::new(&[
        "band",
        "means",
        ">from",
        ">to",
        "unasked it is",
        "as set in the controller",
        "by, date",
    ]);
    for band in bands {
        let role = match band.role {
            BandRole::Action => "an action",
            BandRole::Idle => "nothing asked for",
            BandRole::Open => "a broken wire",
            BandRole::Short => "a short",
        };
        table.row(vec![
            Cell::Strong(band.name.clone()),
            role.into(),
            pin.scale.text(band.low).into(),
            band.high.map_or_else(|| "without end".into(), |high| pin.scale.text(high)).into(),
            match band.role {
                BandRole::Action => band.harm.word().into(),
                BandRole::Idle | BandRole::Open | BandRole::Short => "".into(),
            },
            Cell::Blank,
            Cell::Blank,
        ]);
    }
    flow.table(&format!("bands-{at}"), table);
}

fn expectations(project: &Project, flow: &mut Flow<'_>, pin: &SensePin, at: &str) {
    if pin.expectations.is_empty() {
        flow.blank(format!("what is asked for in which state of {at}"));
        return;
    }
    flow.subheading("What is asked for");
    let mut table = Table::new(&["when the controls stand so", "the controller should read"]);
    for expectation in &pin.expectations {
        let when: Vec<String> = expectation
            .when
            .iter()
            .filter_map(|(id, position)| {
                let control = project.controls.get(*id)?;
                let name = control.positions.get(usize::from(*position))?.name.as_str();
                Some(format!("{} {name}", control.name))
            })
            .collect();
        let when = if when.is_empty() { "always".to_owned() } else { when.join(" and ") };
        table.row(vec![when.into(), Cell::Strong(expectation.action.clone())]);
    }
    flow.table(&format!("asked-{at}"), table);
}
