//! The starter against the reader, brute force and hand sums.

use std::collections::BTreeSet;

use super::*;
use crate::check::findings;
use crate::edit::apply;
use crate::model::{Project, Severity};
use crate::sense::{PinTable, Reader, Verdict};

/// Actions with the devices of their stations as letters: `b` button, `l` lever, `t` toggle, `-` none.
fn wanted(actions: &[(&str, &str)], side: Side, join: Join) -> Wanted {
    let device = |letter: char| match letter {
        'b' => Some(Device::Button),
        'l' => Some(Device::Lever),
        't' => Some(Device::Toggle),
        _ => None,
    };
    let n_stations = actions[0].1.len();
    Wanted {
        actions: actions
            .iter()
            .map(|(name, devices)| WantedAction {
                name: (*name).into(),
                devices: devices.chars().map(device).collect(),
            })
            .collect(),
        idle: "idle".into(),
        stations: ["", "column", "rim", "rear"][..n_stations].iter().map(|s| (*s).into()).collect(),
        join,
        known: Known {
            side,
            pull_ohm: Some(Tolerant { nominal: 1000.0, tolerance: 0.01 }),
            reference_volt: Some(Tolerant { nominal: 5.0, tolerance: 0.01 }),
            scale: Scale::Volt,
            max_count: Some(1023),
            bands: Vec::new(),
        },
        has_end: true,
        series: Series::E24,
        tolerance: 0.01,
    }
}

fn drawn(wanted: &Wanted) -> (Plan, Project, PinTable) {
    let mut project = Project::empty("New project");
    let plan = plan(wanted, &project.settings).unwrap();
    let drawn = draw(&project, wanted, &plan).unwrap();
    apply(&mut project, drawn.edit).unwrap();
    let table = Reader::new(&project).table(drawn.pin).unwrap();
    (plan, project, table)
}

/// Every combination of what can be asked for in these tests.
fn many() -> Vec<Wanted> {
    let mut list = Vec::new();
    for side in [Side::Ground, Side::Supply] {
        for scale in [Scale::Ohm, Scale::Volt, Scale::Count, Scale::Percent] {
            for has_end in [true, false] {
                for actions in [
                    &[("UP", "b")][..],
                    &[("UP", "ll"), ("DOWN", "ll"), ("HOLD", "t-")],
                    &[("HOME", "bb-"), ("LEFT", "-b-"), ("RIGHT", "b-b"), ("FLOOD", "b-l")],
                ] {
                    let mut one = wanted(actions, side, Join::Chain);
                    one.has_end = has_end;
                    one.known.scale = scale;
                    list.push(one);
                }
            }
        }
    }
    list
}

#[test]
fn a_drawn_chain_is_right_in_every_state_and_has_no_problem() {
    for wanted in many() {
        let what = format!("{:?} {:?} {}", wanted.known.side, wanted.known.scale, wanted.has_end);
        let (plan, project, table) = drawn(&wanted);
        let problems: Vec<_> = findings(&project)
            .into_iter()
            .filter(|finding| finding.severity != Severity::Note)
            .collect();
        assert!(problems.is_empty(), "{what}: {problems:#?}");
        assert!(!table.rows.is_empty());
        for row in &table.rows {
            assert_eq!(row.verdict, Some(Verdict::Ok), "{what}: {row:#?}");
        }
        assert!(plan.margin.is_some_and(|margin| margin > 0.0), "{what}: {:?}", plan.margin);
        assert!(plan.clashes.is_empty());
    }
}

/// The plan's sums and the reader's reduced network share no code.
#[test]
fn the_plan_reads_what_the_drawn_circuit_reads() {
    let mut all = many();
    let mut beside = wanted(&[("A", "b"), ("B", "b"), ("C", "b")], Side::Ground, Join::SideBySide);
    all.push(beside.clone());
    beside.known.side = Side::Supply;
    beside.has_end = false;
    all.push(beside);
    for wanted in all {
        let (plan, _, table) = drawn(&wanted);
        let near = |a: f64, b: f64| a == b || (a / b - 1.0).abs() < 1e-9;
        for rung in &plan.rungs {
            let name = rung_name(&wanted, rung);
            let rows: Vec<_> = table.rows.iter().filter(|row| row.asked == [name]).collect();
            assert!(!rows.is_empty(), "nothing asks for {name}");
            // One hand closes one contact; two at two stations close two side by side.
            let low = rows.iter().map(|row| row.ohm.low).fold(f64::INFINITY, f64::min);
            let high = rows.iter().map(|row| row.ohm.high).fold(0.0, f64::max);
            assert!(near(low, rung.ohm.low) && near(high, rung.ohm.high), "{low} {high} {rung:#?}");
            for row in rows {
                assert!(near(row.ohm.nominal, rung.ohm.nominal), "{row:#?} {rung:#?}");
            }
        }
    }
}

/// 5 V over 1 kΩ, two actions and an end: a quarter, a half and three quarters of 5 V are 1/3 kΩ,
/// 1 kΩ and 3 kΩ, so that the resistors lie near 333 Ω, 667 Ω and 2 kΩ.
#[test]
fn even_spacing_is_that_of_a_sum_by_hand() {
    let wanted = wanted(&[("UP", "b"), ("DOWN", "b")], Side::Ground, Join::Chain);
    let plan = plan(&wanted, &crate::model::Settings::for_new_project()).unwrap();
    let ohms: Vec<f64> = plan.rungs.iter().filter_map(|rung| rung.resistor_ohm).collect();
    assert_eq!(ohms.len(), 3);
    for (ohm, near) in ohms.iter().zip([333.0, 667.0, 2000.0]) {
        assert!((ohm / near - 1.0).abs() < 0.25, "{ohms:?}");
    }
    let volts: Vec<f64> = plan.rungs.iter().map(|rung| rung.scaled.unwrap().nominal).collect();
    assert!(volts.windows(2).all(|pair| pair[1] - pair[0] > 1.0), "{volts:?}");
}

/// Every choice of three values out of two decades of E12, by the divider's own formula: the least
/// gap between worst cases, a shorted and an open line counted.
#[test]
fn the_values_are_nearly_as_good_as_the_best_of_all() {
    let mut wanted = wanted(&[("UP", "b"), ("DOWN", "b")], Side::Ground, Join::Chain);
    wanted.series = Series::E12;
    wanted.tolerance = 0.05;
    wanted.known.max_count = None;
    let exact = |nominal| Some(Tolerant { nominal, tolerance: 0.0 });
    (wanted.known.pull_ohm, wanted.known.reference_volt) = (exact(1000.0), exact(5.0));
    let mut settings = crate::model::Settings::for_new_project();
    settings.temperature_span_k = 0.0;
    settings.contact_ohm = Range::exact(0.0);
    let gap = |ohms: [f64; 3]| {
        let volt = |ohm: f64| 5.0 * ohm / (ohm + 1000.0);
        let sums = [ohms[0], ohms[0] + ohms[1], ohms[0] + ohms[1] + ohms[2]];
        let (low, high) = (sums.map(|sum| volt(sum * 0.95)), sums.map(|sum| volt(sum * 1.05)));
        (low[0] - 0.0).min(low[1] - high[0]).min(low[2] - high[1]).min(5.0 - high[2])
    };
    let list: Vec<f64> = [100.0, 1000.0]
        .iter()
        .flat_map(|decade| {
            Series::E12.significands().into_iter().map(move |d| f64::from(d) * decade / 10.0)
        })
        .collect();
    let mut best = f64::NEG_INFINITY;
    for a in &list {
        for b in &list {
            for c in &list {
                best = best.max(gap([*a, *b, *c]));
            }
        }
    }
    let plan = plan(&wanted, &settings).unwrap();
    let ohms: Vec<f64> = plan.rungs.iter().filter_map(|rung| rung.resistor_ohm).collect();
    let found = gap([ohms[0], ohms[1], ohms[2]]);
    assert!(found > 0.9 * best && best > 0.9, "{ohms:?}: {found} of {best}");
}

/// Bands of our own rescue boat: five readings on 4.7 kΩ at 3.3 V.
#[test]
fn bands_that_stand_are_met() {
    let mut wanted = wanted(
        &[("LEFT", "b"), ("HOME", "b"), ("FLOOD", "b"), ("RIGHT", "b")],
        Side::Ground,
        Join::Chain,
    );
    wanted.idle = "IDLE".into();
    wanted.known.pull_ohm = Some(Tolerant { nominal: 4700.0, tolerance: 0.01 });
    wanted.known.reference_volt = Some(Tolerant { nominal: 3.3, tolerance: 0.01 });
    wanted.known.max_count = Some(4095);
    let text = "SHORT/GROUND 0 0.15\nhome\t0.22 0.42\nLEFT 0.58 V to 0.86 V\nRIGHT 1.05; 1.42\n\
                FLOOD 1,62 2,05\nIDLE 2.3 2.75\nOPEN WIRE 3.1 open";
    let names: Vec<String> = wanted.actions.iter().map(|action| action.name.clone()).collect();
    wanted.known.bands = bands_from_text(text, Scale::Volt, &names, "IDLE").unwrap();
    assert_eq!(wanted.known.bands[1].name, "HOME", "the letters' case does not matter");
    assert_eq!(wanted.known.bands[6].role, BandRole::Open);
    for join in [Join::Chain, Join::SideBySide] {
        wanted.join = join;
        let (plan, _, table) = drawn(&wanted);
        let order: Vec<Option<usize>> = plan.rungs.iter().map(|rung| rung.action).collect();
        assert_eq!(order, [Some(1), Some(0), Some(3), Some(2), None], "least ohms first");
        assert!(plan.margin.is_some_and(|margin| margin > 0.05), "{join:?} {:?}", plan.margin);
        for row in table.rows.iter().filter(|row| row.asked.len() == 1) {
            assert_eq!(row.verdict, Some(Verdict::Ok), "{row:#?}");
        }
        let least = table
            .rows
            .iter()
            .filter(|row| row.asked.len() == 1)
            .filter_map(|row| row.margin?.value())
            .fold(f64::INFINITY, f64::min);
        assert!((least - plan.margin.unwrap()).abs() < 1e-9, "{least} {:?}", plan.margin);
    }
}

/// Side by side, what is pressed together reads as something else; the plan counts what the reader
/// counts.
#[test]
fn clashes_of_two_presses_are_those_of_the_state_table() {
    let mut n_clashes = 0;
    for actions in [
        &[("A", "b"), ("B", "b"), ("C", "b")][..],
        &[("A", "l"), ("B", "l"), ("C", "b"), ("D", "b")],
        &[("A", "b"), ("B", "b"), ("C", "b"), ("D", "b"), ("E", "b"), ("F", "b")],
    ] {
        let wanted = wanted(actions, Side::Ground, Join::SideBySide);
        let (plan, _, table) = drawn(&wanted);
        let by_table = table
            .rows
            .iter()
            .filter(|row| row.verdict == Some(Verdict::Clash))
            .map(|row| row.asked.clone())
            .collect::<BTreeSet<_>>();
        let more: usize = plan
            .clashes
            .iter()
            .filter_map(|words| words.split_once(" more")?.0.parse::<usize>().ok())
            .sum();
        let by_plan = plan.clashes.iter().filter(|words| words.contains("together")).count() + more;
        assert_eq!(by_plan, by_table.len(), "{:?}", plan.clashes);
        n_clashes += by_plan;
    }
    assert!(n_clashes > 0, "none of them clashes, which proves nothing");
}

/// The same question gives the same edit, and what it makes can be saved and opened again.
#[test]
fn a_ladder_is_drawn_the_same_each_time_and_can_be_saved() {
    for wanted in many() {
        let project = Project::empty("New project");
        let plan = plan(&wanted, &project.settings).unwrap();
        let one = draw(&project, &wanted, &plan).unwrap();
        assert_eq!(one, draw(&project, &wanted, &plan).unwrap());
        let mut made = project;
        apply(&mut made, one.edit).unwrap();
        let text = crate::store::write(&made);
        assert_eq!(crate::store::read(text.as_bytes()).unwrap(), made);
    }
}

#[test]
fn a_lever_takes_two_actions_and_rests_in_its_centre() {
    let wanted = wanted(
        &[("UP", "l"), ("DOWN", "l"), ("HOLD", "t"), ("HORN", "b")],
        Side::Ground,
        Join::Chain,
    );
    let (_, project, table) = drawn(&wanted);
    let controls: Vec<_> = project.controls.iter().map(|(_, control)| control).collect();
    let names: Vec<&str> = controls.iter().map(|control| control.name.as_str()).collect();
    assert_eq!(names, ["UP / DOWN", "HOLD", "HORN"]);
    assert_eq!((controls[0].positions.len(), controls[0].rest), (3, 1));
    assert_eq!(table.rows.len(), 3 * 2 * 2);
}

#[test]
fn what_cannot_be_planned_is_said_in_one_sentence() {
    let settings = crate::model::Settings::for_new_project();
    let check = |change: &dyn Fn(&mut Wanted), says: &str| {
        let mut wanted = wanted(&[("UP", "bb"), ("DOWN", "bb")], Side::Ground, Join::Chain);
        change(&mut wanted);
        let sentence = plan(&wanted, &settings).unwrap_err();
        assert!(sentence.contains(says), "{sentence}");
    };
    check(&|w| w.actions.clear(), "type the actions");
    check(&|w| w.actions[1].name = "UP".into(), "UP is named twice");
    check(&|w| w.idle = " ".into(), "need a name");
    check(&|w| w.actions[0].devices = vec![None, None], "nothing asks for UP");
    check(&|w| w.stations.clear(), "1 to 4 stations");
    check(&|w| w.known.pull_ohm = None, "the pull resistor");
    check(
        &|w| w.known.pull_ohm.as_mut().unwrap().nominal = f64::NAN,
        "the pull must be above zero",
    );
    check(&|w| w.tolerance = f64::NAN, "tolerance");
    check(
        &|w| {
            let names = ["A", "B", "C", "D", "E", "F", "G"];
            let devices = vec![Some(Device::Button), None];
            w.actions = names
                .map(|name| WantedAction { name: name.into(), devices: devices.clone() })
                .to_vec();
            w.tolerance = 0.45;
        },
        "too much alike",
    );
    check(
        &|w| w.actions = vec![WantedAction { name: "A".into(), devices: vec![None; 2] }; 11],
        "at most 10 actions",
    );
    check(
        &|w| {
            let both = vec![Some(Device::Button); 2];
            let names = ["A", "B", "C", "D", "E", "F", "G"];
            w.actions = names
                .map(|name| WantedAction { name: name.into(), devices: both.clone() })
                .to_vec();
        },
        "states are too many",
    );
    let text = "UP 0.5 1.0";
    let bands = bands_from_text(text, Scale::Volt, &["UP".into()], "idle").unwrap();
    check(&|w| w.known.bands = bands.clone(), "the bands say nothing of DOWN");
    assert!(bands_from_text("UP 0.5", Scale::Volt, &[], "idle").unwrap_err().contains("line 1"));
    assert!(bands_from_text("UP 2 1", Scale::Volt, &[], "idle").unwrap_err().contains("below"));
}

#[test]
fn without_a_pull_ohms_are_spread_by_equal_ratios() {
    let mut wanted =
        wanted(&[("UP", "b"), ("DOWN", "b"), ("HOLD", "t")], Side::Supply, Join::SideBySide);
    (wanted.known.pull_ohm, wanted.known.reference_volt) = (None, None);
    wanted.known.scale = Scale::Ohm;
    let (plan, _, table) = drawn(&wanted);
    let ohms: Vec<f64> = plan.rungs.iter().map(|rung| rung.ohm.nominal).collect();
    assert!(ohms.windows(2).all(|pair| pair[1] / pair[0] > 1.8), "{ohms:?}");
    for row in table.rows.iter().filter(|row| row.asked.len() == 1) {
        assert_eq!(row.verdict, Some(Verdict::Ok), "{row:#?}");
    }
}
