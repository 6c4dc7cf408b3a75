//! Dirt budgets against a worked figure and against the reader with so much dirt drawn in.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use ohmloom::model::{PartKind, Project, Subject};
use ohmloom::samples;
use ohmloom::sense::Reader;
use ohmloom::study::budget::{Budget, Dirt, budget};
use ohmloom::units::Range;

fn of(name: &str) -> (Project, Vec<Budget>) {
    let project = samples::open(name).unwrap();
    let all = project.sense_pins.ids().filter_map(|pin| budget(&project, pin).ok()).collect();
    (project, all)
}

/// Found elsewhere in steps: LEFT leaves its band at 155 Ω of contact resistance and reads CENTRE
/// from 280 Ω; the steps were 5 Ω and 20 Ω, so the exact values lie within one step below.
#[test]
fn the_sprayers_left_drops_out_below_155_ohm_and_reads_centre_below_280() {
    let (project, all) = of("sprayer");
    let row =
        all[0].rows.iter().find(|row| row.dirt == Dirt::Contact && row.action == "LEFT").unwrap();
    assert!(row.leaves > 150.0 && row.leaves <= 155.0, "{row:?}");
    let (value, name) = row.becomes.as_ref().unwrap();
    assert!(name == "CENTRE" && *value > 260.0 && *value <= 280.0, "{row:?}");
    let words = row.words(|_, value| format!("{value:.0} Ω"));
    assert!(
        words.starts_with("LEFT drops out at 15") && words.contains("reads CENTRE from 2"),
        "{words}"
    );
    assert!(project.parts.iter().any(|(id, _)| row.subject == Subject::Part(id)));
}

/// By bisection over fresh readers: just below the figure the state still has its band, just above not.
#[test]
fn just_below_the_figure_a_state_still_reads_right_and_just_above_no_more() {
    let mut seen = 0;
    for sample in ["forwarder", "sprayer", "rescue-boat"] {
        let (project, all) = of(sample);
        for budget in &all {
            let sense = project.sense_pins.get(budget.pin).unwrap();
            for row in budget.rows.iter().filter(|row| row.dirt == Dirt::Contact) {
                let Subject::Part(part) = row.subject else { panic!() };
                let decodes = |ohm: f64| {
                    let mut work = project.clone();
                    let PartKind::Contact(contact) = &mut work.parts.get_mut(part).unwrap().kind
                    else {
                        panic!()
                    };
                    contact.closed_ohm = Some(Range::exact(ohm));
                    let reading = Reader::new(&work).row(budget.pin, &budget.states[row.state]);
                    reading.unwrap().band.map(|idx| sense.bands[idx].name.clone())
                };
                assert_eq!(decodes(row.leaves * 0.999).as_ref(), Some(&row.action), "{row:?}");
                assert_ne!(decodes(row.leaves * 1.001).as_ref(), Some(&row.action), "{row:?}");
                if let Some((value, name)) = &row.becomes {
                    assert_ne!(decodes(value * 0.999).as_ref(), Some(name), "{row:?}");
                    assert_eq!(decodes(value * 1.001).as_ref(), Some(name), "{row:?}");
                }
                seen += 1;
            }
        }
    }
    assert!(seen > 15, "only {seen} rows");
}

#[test]
fn leaks_are_found_by_the_reader_too() {
    let (project, all) = of("sprayer");
    let sense = project.sense_pins.get(all[0].pin).unwrap();
    let leaks: Vec<_> = all[0].rows.iter().filter(|row| row.dirt == Dirt::Leak).collect();
    assert!(!leaks.is_empty());
    for row in leaks {
        let sound = Reader::new(&project).row(all[0].pin, &all[0].states[row.state]).unwrap();
        // The leak beside the sound network, and the divider by hand: 5 V over 1 kΩ.
        let band = |leak: f64| {
            let ohm = 1.0 / (1.0 / sound.ohm.nominal + 1.0 / leak);
            let volt = 5.0 * ohm / (ohm + 1000.0);
            sense.bands.iter().find(|b| b.low <= volt && volt <= b.high.unwrap()).map(|b| &b.name)
        };
        assert_eq!(band(row.leaves * 1.001), Some(&row.action));
        assert_ne!(band(row.leaves * 0.999), Some(&row.action));
    }
}
