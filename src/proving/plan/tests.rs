//! Limits against papers and the state table, identities of steps, stale readings, the wrong button.

use std::collections::BTreeSet;

use super::*;
use crate::model::{PartKind, Shown};
use crate::samples;
use crate::sense::Reader;

fn sample(name: &str) -> (Project, Plan) {
    let project = samples::open(name).unwrap();
    let plan = plan(&project, &|| true).unwrap();
    (project, plan)
}

/// Limits of the sprayer to the digits of its own papers (our invented machine, worked out
/// beforehand by another program; columns state, ohm_lo, ohm_hi).
#[test]
fn the_sprayers_limits_are_those_of_its_papers() {
    let (project, plan) = sample("sprayer");
    let papers = include_str!("../../../tests/data/sprayer_readings.csv");
    let mut n_checked = 0;
    for line in papers.lines().skip(1) {
        let field: Vec<&str> = line.split(',').collect();
        let on: BTreeSet<&str> = field[1].split(' ').filter(|word| !word.is_empty()).collect();
        let step = plan
            .steps
            .iter()
            .filter(|step| step.kind == StepKind::Ohms)
            .find(|step| {
                let state = step.state.as_ref().unwrap();
                project.controls.iter().all(|(id, control)| {
                    let is_on = state.position(id, control) != control.rest;
                    is_on == on.contains(&control.name[..1])
                })
            })
            .unwrap();
        let Some(Limits::Figure { low, high, usual }) = step.limits else { panic!("{step:?}") };
        for (got, want) in [(usual, field[2]), (low, field[3]), (high, field[4])] {
            let decimals = want.split_once('.').map_or(0, |(_, rest)| rest.len());
            assert_eq!(format!("{got:.decimals$}"), want, "{}", field[0]);
            n_checked += 1;
        }
    }
    assert_eq!(n_checked, 24);
}

/// The state table holds the same limits, worked out on its own way.
#[test]
fn limits_are_those_of_the_state_table() {
    for sample in samples::LIST {
        let (project, plan) = self::sample(sample.name);
        let reader = Reader::new(&project);
        for step in plan.steps.iter().filter(|step| step.kind == StepKind::Ohms) {
            let Some(Limits::Figure { low, high, .. }) = step.limits else { continue };
            let pin = project.sense_pins.iter().find(|(_, pin)| Some(pin.terminal) == step.red);
            let row = reader.row(pin.unwrap().0, step.state.as_ref().unwrap()).unwrap();
            assert_eq!(row.bench_ohm, (low, high), "{}", step.title);
        }
    }
}

#[test]
fn keys_stand_once_and_every_step_can_be_done_or_says_why() {
    for sample in samples::LIST {
        let (_, plan) = self::sample(sample.name);
        let keys: BTreeSet<&str> = plan.steps.iter().map(|step| step.key.as_str()).collect();
        assert_eq!(keys.len(), plan.steps.len(), "{}", sample.name);
        for step in &plan.steps {
            assert_eq!(step.limits.is_none(), step.blocked.is_some(), "{step:?}");
            assert!(!step.connect.is_empty() && !step.title.is_empty());
            if let Some(Limits::Figure { low, usual, high }) = step.limits {
                assert!(low <= usual && usual <= high && high.is_finite(), "{step:?}");
            }
        }
        assert!(plan.steps.windows(2).all(|pair| pair[0].kind <= pair[1].kind));
    }
}

#[test]
fn a_changed_resistor_makes_its_readings_stale_and_no_others() {
    let (project, before) = sample("forwarder");
    let mut changed = project.clone();
    let resistor = changed.parts.iter().find(|(_, part)| part.kind.resistor().is_some()).unwrap().0;
    let PartKind::Resistor(row) = &mut changed.parts.get_mut(resistor).unwrap().kind else {
        panic!()
    };
    row.ohm *= 1.1;
    let after = plan(&changed, &|| true).unwrap();
    assert_eq!(before.steps.len(), after.steps.len());
    let (mut n_stale, mut n_kept) = (0, 0);
    for (old, new) in before.steps.iter().zip(&after.steps) {
        assert_eq!(old.key, new.key);
        match old.drawing == new.drawing {
            true => n_kept += 1,
            false => n_stale += 1,
        }
        let is_wire = matches!(
            new.kind,
            StepKind::Tape | StepKind::Mirror | StepKind::Continuity | StepKind::Isolation
        );
        assert!(!is_wire || old.drawing == new.drawing, "{}", new.title);
    }
    assert!(n_stale > 0 && n_kept > 0, "{n_stale} {n_kept}");
    // Moving a part on the sheet changes no reading.
    let mut moved = project;
    moved.parts.get_mut(resistor).unwrap().pos.x_mm += 10.0;
    assert_eq!(plan(&moved, &|| true).unwrap(), before);
}

#[test]
fn readings_are_judged_and_the_wrong_button_is_noticed() {
    let (_, plan) = sample("sprayer");
    let step = |words: &str| {
        let is_it = |step: &&Step| step.kind == StepKind::Ohms && step.title.ends_with(words);
        plan.steps.iter().find(is_it).unwrap()
    };
    let left = plan
        .steps
        .iter()
        .find(|step| {
            matches!(step.limits, Some(Limits::Figure { low, .. }) if (low - 1375.8106).abs() < 1e-3)
        })
        .unwrap();
    assert_eq!(judge(left, Shown::Ohm(1405.0), 1.0), Outcome::Good);
    assert_eq!(judge(left, Shown::Ohm(1375.3), 0.0), Outcome::Low);
    assert_eq!(judge(left, Shown::Ohm(1375.0), 10.0), Outcome::Good, "the last digit is rounded");
    assert_eq!(judge(left, Shown::Ohm(1438.0), 0.0), Outcome::High);
    assert_eq!(judge(left, Shown::OverRange, 0.0), Outcome::Open);
    assert_eq!(judge(left, Shown::Volt(1405.0), 0.0), Outcome::Misplaced);
    let like = reads_like(&plan, left, Shown::Ohm(1834.0), 1.0);
    assert_eq!(like.len(), 1);
    assert!(like[0].title.contains("CENTRE"), "{}", like[0].title);
    let rest = step("all at rest");
    assert_eq!(judge(rest, Shown::Ohm(22.0e3), 100.0), Outcome::Good);
}

/// Limits 1375.8 to about 1430 Ω: half of the last digit of "1k" is 500 Ω, of "1.4k" 50 Ω, more than a
/// quarter of the span; that of "1.44k" is 5 Ω and counts.
#[test]
fn a_coarsely_typed_reading_passes_only_as_it_stands() {
    assert_eq!(judge_figure(1375.8, 1430.0, 1000.0, 1000.0), Outcome::Coarse);
    assert_eq!(judge_figure(1375.8, 1430.0, 1450.0, 100.0), Outcome::Coarse);
    assert_eq!(judge_figure(1375.8, 1430.0, 1400.0, 100.0), Outcome::Good);
    assert_eq!(judge_figure(1375.8, 1430.0, 1434.0, 10.0), Outcome::Good);
    assert_eq!(judge_figure(1375.8, 1430.0, 2000.0, 1000.0), Outcome::High);
    assert_eq!(judge_figure(1e6, f64::INFINITY, f64::INFINITY, 0.0), Outcome::Good);
    assert_eq!(judge_figure(1e6, f64::INFINITY, 9e5, 2e6), Outcome::Coarse);
    assert_eq!(judge_figure(0.0, 10.0, f64::INFINITY, 0.0), Outcome::Open);
    assert!(Outcome::Coarse.words().contains("type more digits"));
}

/// Over range on 600 Ω would say next to nothing; on 2 MΩ it says enough.
#[test]
fn a_meter_of_small_ranges_proves_no_isolation() {
    let mut project = samples::open("sprayer").unwrap();
    for (most, can) in [(600.0, false), (2e6, true)] {
        let range = crate::model::MeterRange { most, fraction: 0.01, counts: 2.0, step: 1.0 };
        project.settings.meter.ohm_ranges = vec![range];
        let plan = plan(&project, &|| true).unwrap();
        let steps = plan.steps.iter().filter(|step| step.kind == StepKind::Isolation);
        let (mut n, mut n_can) = (0, 0);
        for step in steps {
            n += 1;
            n_can += usize::from(step.limits.is_some());
            assert!(can || step.blocked.as_ref().unwrap().contains("1 MΩ"));
        }
        assert!(n > 0 && n_can == if can { n } else { 0 });
    }
}

/// By hand for the sprayer's violet wire: 3490 + 4250 mm of 0.75 mm² in series are 0.0862 + 0.105 Ω
/// by its papers; its harness halves are proved apart, so each stands for itself.
#[test]
fn pin_to_pin_goes_through_the_wires_alone() {
    let (_, plan) = sample("sprayer");
    let wires: Vec<&Step> = plan
        .steps
        .iter()
        .filter(|step| matches!(step.kind, StepKind::Continuity | StepKind::Mirror))
        .collect();
    let usual = |step: &Step| match step.limits {
        Some(Limits::Figure { usual, .. }) => usual,
        _ => panic!("{step:?}"),
    };
    let mut all: Vec<String> = wires.iter().map(|step| format!("{:.4}", usual(step))).collect();
    all.sort();
    // 0.0862 twice (A1, A2), 0.1050 twice (A3, A4), 0.0323 twice (A5, A6), 0.0163 twice (A7, A8).
    assert_eq!(
        all,
        ["0.0163", "0.0163", "0.0323", "0.0323", "0.0862", "0.0862", "0.1050", "0.1050"]
    );
    assert!(wires.iter().all(|step| step.connect[2].contains("face view")));
}
