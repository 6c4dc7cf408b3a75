//! Findings of runs, splices, feeds, plugs and cavities: one change to a sample each.

use super::*;
use crate::model::{Grommet, Run, RunId, RunPoint, Span, Zone};

fn with_run(project: &mut Project, name: &str, change: impl FnOnce(&mut Run)) {
    let id = run(project, name);
    change(project.runs.get_mut(id).unwrap());
}

/// The run whose name begins so.
fn run(project: &Project, name: &str) -> RunId {
    project.runs.iter().find(|(_, run)| run.name.starts_with(name)).unwrap().0
}

fn with_hole(bore_mm: f64, grommet: Grommet) -> impl FnOnce(&mut Project) {
    move |project| {
        with_run(project, "S2", |run| {
            let hole = run.laid.hole.as_mut().unwrap();
            (hole.bore_mm, hole.grommet) = (bore_mm, grommet);
        });
    }
}

#[test]
fn a_run_is_held_against_its_hole_and_its_zones() {
    check("sprayer", Severity::Error, "does not pass its bore", with_hole(6.5, Grommet::Fitted));
    check("sprayer", Severity::Warning, "no grommet", with_hole(12.0, Grommet::Missing));
    // 6.8 mm thick: 9.1 mm all around in a bore of 25 mm, 9.6 mm in one of 26 mm.
    check(
        "sprayer",
        Severity::Warning,
        "9.1 mm of clearance all",
        with_hole(25.0, Grommet::Missing),
    );
    let wide = brought("sprayer", with_hole(26.0, Grommet::Missing));
    assert!(wide.is_empty(), "3/8 in of clearance needs no grommet: {wide:#?}");
    check("sprayer", Severity::Note, "passes its bore of 14 mm is not known", |project| {
        project.settings.wiring.insulation = None;
    });
    check("sprayer", Severity::Warning, "moves but has no loop", |project| {
        with_run(project, "S3", |run| run.loop_mm = None);
    });
    check("sprayer", Severity::Warning, "wet and as dry", |project| {
        with_run(project, "S2", |run| {
            run.laid.zones.insert(Zone::Wet);
        });
    });
    check("sprayer", Severity::Note, "held every 900 mm", |project| {
        with_run(project, "S4", |run| run.laid.support_mm = Some(900.0));
    });
}

/// Puts a splice on a run, so far from the run's first end.
fn splice(project: &mut Project, name: &str, on: &str, distance_mm: f64) {
    let (run, row) = {
        let run = run(project, on);
        (run, project.runs.get(run).unwrap().clone())
    };
    let mut part = project.parts.get(part(project, "R1")).unwrap().clone();
    part.name = name.into();
    let tapped = wire(project, "A3");
    let at = Some(RunPoint { run, from: row.from, distance_mm });
    part.kind = PartKind::Splice { on: Some(tapped), at };
    let id: PartId = project.fresh_id();
    project.parts.put(id, part);
}

#[test]
fn splices_keep_away_from_what_moves_gets_wet_plugs_and_each_other() {
    let one =
        |on: &'static str, mm: f64| move |project: &mut Project| splice(project, "SP1", on, mm);
    check(
        "sprayer",
        Severity::Warning,
        "SP1 sits on run S3 hitch to drawbar clip (moves), which moves",
        one("S3", 300.0),
    );
    check("sprayer", Severity::Warning, "which gets wet", one("S4", 300.0));
    check("sprayer", Severity::Warning, "50 mm from plug", one("S3", 50.0));
    check("sprayer", Severity::Error, "should sit 900 mm along", one("S3", 900.0));
    let two = |apart: f64| {
        move |project: &mut Project| {
            splice(project, "SP1", "S4", 400.0);
            splice(project, "SP2", "S4", 400.0 + apart);
        }
    };
    check("sprayer", Severity::Warning, "SP1 and SP2 lie 25 mm apart", two(25.0));
    let far = brought("sprayer", two(60.0));
    assert!(!far.iter().any(|finding| finding.what.contains("apart")), "{far:#?}");
}

/// A resistor in the loom: hung between two places of the sprayer, first where nothing speaks against it.
#[test]
fn a_resistor_in_the_harness_is_kept_out_of_what_moves_gets_wet_and_gets_hot() {
    let inline = |zones: &'static [Zone]| {
        move |project: &mut Project| {
            // R1 leaves its box for the place between S1 and S2, and a wire of the harness ends at it.
            let id = part(project, "R1");
            let place = project.runs.get(run(project, "S1")).unwrap().to;
            project.parts.get_mut(id).unwrap().place = Some(place);
            with_wire(project, "A1", |wire| {
                wire.from.terminal = TerminalRef { part: id, terminal: 0 };
            });
            with_run(project, "S1", |run| run.laid.zones.extend(zones));
            project.settings.wiring.hot_c = Some(100.0);
        }
    };
    let about = |zones| {
        let found = brought("sprayer", inline(zones));
        let mine = found.into_iter().filter(|f| f.what.starts_with("resistor R1 lies"));
        mine.collect::<Vec<Diagnostic>>()
    };
    assert_eq!(about(&[]), []);
    let [moves] = &about(&[Zone::Moves])[..] else { panic!() };
    assert_eq!(moves.severity, Severity::Warning);
    assert!(moves.what.contains("which moves") && moves.cure.contains("such as S2"), "{moves:?}");
    assert!(about(&[Zone::Wet])[0].what.contains("damp bridges it"));
    // 100 ppm/K over 80 K are 0.8 %.
    let hot = &about(&[Zone::Hot])[0];
    let says = "at 100 °C its value drifts by up to 0.8 % beside its tolerance of 1 %";
    assert!(hot.severity == Severity::Note && hot.what.ends_with(says), "{hot:?}");
    // In its box no harness wire ends at it, whatever the run does.
    let boxed = brought("sprayer", |project| {
        with_run(project, "S1", |run| run.laid.zones.extend([Zone::Wet, Zone::Moves]));
    });
    assert!(boxed.iter().all(|f| !f.what.contains("resistor R1 lies")), "{boxed:#?}");
}

#[test]
fn feeds_are_fused_thick_enough_and_apart_from_the_sensor_return() {
    check("sprayer", Severity::Warning, "no fuse in front", |project| {
        let f1 = part(project, "F1");
        let lead = project
            .wires
            .iter()
            .find(|(_, wire)| wire.to.terminal == TerminalRef { part: f1, terminal: 0 })
            .unwrap()
            .0;
        project.wires.get_mut(lead).unwrap().to.terminal.terminal = 1;
    });
    let amp = |name: &'static str, amp: f64| {
        move |project: &mut Project| with_wire(project, name, |w| w.make.current_amp = Some(amp))
    };
    check(
        "sprayer",
        Severity::Error,
        "wire A5 carries 40.0 A but may carry 35.0 A",
        amp("A5", 40.0),
    );
    check("sprayer", Severity::Warning, "will open", amp("A5", 8.0));
    check("sprayer", Severity::Warning, "the return of sense pin", amp("A4", 1.0));
    check("sprayer", Severity::Warning, "more than the limit of 2 %", |project| {
        project.settings.wiring.drop_limit = Some(0.02);
    });
    check("sprayer", Severity::Error, "fuse F1 of 40 A lets more through", |project| {
        let id = part(project, "F1");
        let PartKind::Fuse(fuse) = &mut project.parts.get_mut(id).unwrap().kind else { panic!() };
        fuse.rating_amp = 40.0;
    });
    check("railcar", Severity::Warning, "carries 53 % of what all its wires may", |project| {
        with_wire(project, "C5", |wire| wire.make.current_amp = Some(7.0));
        with_wire(project, "C7", |wire| wire.make.current_amp = Some(5.0));
        with_wire(project, "C1", |wire| wire.make.current_amp = Some(2.6));
    });
}

/// 3.0 % at 20 °C against a limit of 3 %: copper gains 0.393 % a kelvin (IEC 60028, from memory), so
/// it is 3.4 % at 50 °C.
#[test]
fn a_drop_that_is_over_only_when_warm_is_a_finding() {
    // Nobody has typed a temperature: a note, because nobody knows.
    let notes: Vec<Diagnostic> = findings(&sample("sprayer"))
        .into_iter()
        .filter(|finding| finding.what.contains("but 3.4 % where it is 50 °C"))
        .collect();
    assert_eq!(notes.len(), 1, "{notes:#?}");
    assert_eq!(notes[0].severity, Severity::Note);
    // Where it is known to be warm, it is a warning that says so.
    let says = "3.4 % of 12 V, more than the limit of 3 %, because it is warm there, up to 50 °C: at \
                20 °C they would lose 3.0 %";
    check("sprayer", Severity::Warning, says, |project| {
        project.settings.wiring.ambient_c = Some(50.0);
    });
    // Known to be cool: nothing to say, and the note goes.
    let mut cool = sample("sprayer");
    cool.settings.wiring.ambient_c = Some(15.0);
    cool.settings.wiring.hot_c = Some(15.0);
    assert!(findings(&cool).iter().all(|finding| !finding.what.contains("the limit of 3 %")));
}

#[test]
fn a_typed_current_below_what_the_loads_ask_for_is_named() {
    let project = sample("cable-ferry");
    let asked = crate::harness::asked_currents(&project);
    let (id, current) = asked.iter().find(|(_, current)| current.amp > 0.02).unwrap();
    let id = *id;
    assert_eq!(current.amp, 0.025, "the lamp takes at most 25 mA");
    let typed = |amp: f64| {
        move |project: &mut Project| {
            let wire = project.wires.get_mut(id).unwrap();
            wire.name = "L7".into();
            wire.make.current_amp = Some(amp);
        }
    };
    let says = "0.01 A is typed at wire L7, but the loads behind it ask for 0.03 A";
    check("cable-ferry", Severity::Warning, says, typed(0.01));
    let enough = brought("cable-ferry", typed(0.025));
    assert!(enough.iter().all(|finding| !finding.what.contains("is typed at wire")), "{enough:#?}");
    // A spare wire carries nothing, whatever is typed at it.
    let spare = brought("cable-ferry", |project| {
        typed(0.01)(project);
        project.wires.get_mut(id).unwrap().make.duty = crate::model::Duty::Spare;
    });
    assert!(spare.iter().all(|finding| !finding.what.contains("is typed at wire")), "{spare:#?}");
    // Whoever types a current is told what these sums are worth.
    let reckoned = |project: &Project| {
        cautions(project).iter().any(|caution| caution.contains("reckoned from tables"))
    };
    let mut forwarder = sample("forwarder");
    forwarder.settings.wiring = Default::default();
    let is_loaded = |part: &crate::model::Part| matches!(part.kind, PartKind::Fuse(_));
    let fuses: Vec<PartId> =
        forwarder.parts.iter().filter(|(_, part)| is_loaded(part)).map(|(id, _)| id).collect();
    for id in fuses {
        forwarder.parts.remove(id);
    }
    assert!(!reckoned(&forwarder));
    with_wire(&mut forwarder, "D2", |wire| wire.make.current_amp = Some(1.0));
    assert!(reckoned(&forwarder));
}

/// Where the placement that was only set down decides, no bundle is searched; searches are what would
/// keep the window waiting.
#[test]
fn bundles_are_searched_only_where_that_can_change_what_is_said() {
    for name in samples::LIST.map(|sample| sample.name) {
        assert_eq!(bundles_to_search(&sample(name)), 0, "{name}");
    }
    let with_bore = |bore_mm: f64| {
        let mut project = sample("sprayer");
        // Wires of many sizes, so that no table knows their circle.
        let ids: Vec<WireId> = project.wires.ids().collect();
        for (n, id) in ids.into_iter().enumerate() {
            project.wires.get_mut(id).unwrap().make.outside_mm = Some(1.4 + 0.37 * n as f64);
        }
        with_hole(bore_mm, Grommet::Fitted)(&mut project);
        project
    };
    let thick = |project: &Project, effort| {
        let lengths = crate::harness::wire_lengths(project);
        let reports = crate::harness::run_reports_of(project, &lengths, effort, &|_| true);
        let hole = |run: &&RunId| project.runs.get(**run).unwrap().laid.hole.is_some();
        let run = reports.keys().find(hole).unwrap();
        let size = reports[run].size.clone().unwrap();
        let covering_mm = reports[run].outside_mm.unwrap() - size.diameter_mm;
        (size.diameter_mm + covering_mm, size.lower_mm + covering_mm)
    };
    let wide = with_bore(40.0);
    let (quick, lower) = thick(&wide, crate::harness::Effort::Quick);
    assert!(quick > lower + 0.2, "{quick} {lower}");
    for (bore_mm, searches) in [(quick + 0.1, 0), ((quick + lower) / 2.0, 1), (lower - 0.1, 0)] {
        let project = with_bore(bore_mm);
        assert_eq!(bundles_to_search(&project), searches, "{lower} {bore_mm} {quick}");
        let says = findings(&project).iter().any(|f| f.what.contains("does not pass its bore"));
        let (found, _) = thick(&project, crate::harness::Effort::Search);
        assert_eq!(says, found > bore_mm, "{bore_mm}: {found}");
    }
}

fn with_connector(
    project: &mut Project,
    name: &str,
    change: impl FnOnce(&mut crate::model::Connector),
) {
    let id = part(project, name);
    let part = project.parts.get_mut(id).unwrap();
    let PartKind::Connector(connector) = &mut part.kind else { panic!("{name}") };
    change(connector);
}

#[test]
fn like_colours_in_one_plug_are_named() {
    check("forwarder", Severity::Note, "2 wires of X2 are violet: D2, D3", |project| {
        with_wire(project, "D3", |wire| {
            wire.colour = crate::model::Colour::from_text("VT").unwrap()
        });
    });
}

#[test]
fn a_wire_that_does_not_fit_its_cavity_is_named_with_both_figures() {
    let fit = |low, high| {
        move |project: &mut Project| {
            with_connector(project, "X2", |c| c.fit.conductor_mm2 = Some(Span { low, high }));
        }
    };
    let says =
        "wire D2 (0.5 mm²) is too thick for the terminals of X2-2, which take 0.22 to 0.35 mm²";
    check("forwarder", Severity::Warning, says, fit(0.22, 0.35));
    let says = "too thin for the terminals of X2-2, which take 0.75 to 1.5 mm²";
    check("forwarder", Severity::Warning, says, fit(0.75, 1.5));
    assert_eq!(brought("forwarder", fit(0.35, 0.5)), [], "its ends belong to a span");
}

#[test]
fn open_cavities_of_a_sealed_half_want_a_plug() {
    check(
        "forwarder",
        Severity::Warning,
        "cavities 7, 8 of the sealed half X2 are open",
        |project| {
            with_connector(project, "X2", |c| {
                c.layout = crate::model::CavityLayout::Grid { rows: 2, columns: 4 };
            });
        },
    );
    let plugged = brought("forwarder", |project| {
        with_connector(project, "X2", |c| {
            c.layout = crate::model::CavityLayout::Grid { rows: 2, columns: 4 };
            for cavity in [7, 8] {
                let fill = crate::model::CavityFill::Plug;
                c.cavities.insert(cavity, crate::model::Cavity { circuit: String::new(), fill });
            }
        });
    });
    assert!(plugged.iter().all(|f| !f.what.contains("open")), "{plugged:#?}");
}

#[test]
fn alike_plugs_within_reach_of_each_other_are_named() {
    let alike = |near: bool| {
        move |project: &mut Project| {
            let (x2, x3) = (part(project, "X2"), part(project, "X3"));
            let place = project.parts.get(x2).unwrap().place;
            if near {
                project.parts.get_mut(x3).unwrap().place = place;
            }
            with_connector(project, "X3", |c| {
                c.layout = crate::model::CavityLayout::Grid { rows: 2, columns: 3 };
                c.rotating = false;
                c.first.gender = Gender::Sockets;
                c.second.as_mut().unwrap().gender = Gender::Pins;
            });
        }
    };
    let says = "plugs X2 and X3 are alike and sit at one place";
    check("forwarder", Severity::Warning, says, alike(true));
    let apart = brought("forwarder", alike(false));
    assert!(apart.iter().all(|f| !f.what.contains("alike")), "{apart:#?}");
    // Their wires are loose by the allowance of their ends, twice 80 mm: 150 mm is within reach, 170 not.
    let at_distance = |mm: f64| {
        move |project: &mut Project| {
            alike(false)(project);
            let [a, b] = ["X2", "X3"]
                .map(|name| project.parts.get(part(project, name)).unwrap().place.unwrap());
            let run = Run {
                name: "short".into(),
                from: a,
                to: b,
                length_mm: mm,
                loop_mm: None,
                laid: Default::default(),
            };
            let id: RunId = project.fresh_id();
            project.runs.put(id, run);
        }
    };
    let says = "are alike and stand 150 mm apart, less than their wires are loose";
    check("forwarder", Severity::Warning, says, at_distance(150.0));
    let far = brought("forwarder", at_distance(170.0));
    assert!(far.iter().all(|f| !f.what.contains("alike")), "{far:#?}");
}

#[test]
fn a_fed_half_follows_from_the_supply() {
    let project = sample("forwarder");
    assert_eq!(fed_halves(&project, part(&project, "X2")).len(), 1, "the feed comes from one side");
    assert_eq!(fed_halves(&project, part(&project, "G1")), [], "no connector, no halves");
    check("forwarder", Severity::Note, "plug X1 stays live when it is pulled", |project| {
        let id = part(project, "A1");
        let row = project.parts.get_mut(id).unwrap();
        let PartKind::Controller(controller) = &mut row.kind else { panic!("A1") };
        controller.plug.gender = Gender::Pins;
        // The feed led to the controller as well.
        let mut wire = project.wires.iter().find(|(_, w)| w.name == "D2").unwrap().1.clone();
        wire.name = "D9".into();
        wire.from.terminal = TerminalRef { part: part(project, "SP1"), terminal: 0 };
        wire.to.terminal = TerminalRef { part: id, terminal: 11 };
        let fresh: WireId = project.fresh_id();
        project.wires.put(fresh, wire);
    });
}
