//! The rules against their published tables, row for row.

use super::*;
use crate::model::{BaseColour, Colour, End, Make, OwnWire, PartId, TerminalRef, WireUse, Wiring};

/// Published tables: source per row.
const AMPACITY: &str = include_str!("../../../tests/data/ampacity.csv");
const BUNDLES: &str = include_str!("../../../tests/data/bundle_derating.csv");

fn rows(text: &'static str) -> Vec<csv::StringRecord> {
    csv::Reader::from_reader(text.as_bytes()).into_records().map(Result::unwrap).collect()
}

fn wire(size: WireSize, rating_c: Option<f64>) -> Wire {
    let end = End { terminal: TerminalRef { part: PartId(1), terminal: 0 }, kind: None };
    Wire {
        name: "W1".into(),
        circuit: String::new(),
        from: end,
        to: end,
        bends: Vec::new(),
        size,
        colour: Colour::plain(BaseColour::Red),
        usage: WireUse::Harness,
        via: Vec::new(),
        typed_length_mm: None,
        make: Box::new(Make { rating_c, ..Make::default() }),
    }
}

fn by(rule: AmpacityRule) -> Project {
    let mut project = Project::empty("rule");
    project.settings.wiring = Wiring { ampacity: Some(rule), ..Wiring::default() };
    project
}

fn gauge(text: &str) -> i32 {
    match text {
        "00" => -1,
        "000" => -2,
        "0000" => -3,
        number => number.parse().unwrap(),
    }
}

const ALONE: Surroundings = Surroundings { celsius: None, is_hot: false, n_wires: 1 };

#[test]
fn both_published_tables_come_out_row_for_row() {
    let mut seen = [0, 0];
    for row in rows(AMPACITY) {
        let (rule, at) = match &row[0] {
            "33CFR183.425-T5" => (AmpacityRule::Boats, 0),
            "AC43.13-1B-T11-9" => (AmpacityRule::AircraftBundle, 1),
            other => panic!("{other}"),
        };
        let size = WireSize::Awg(gauge(&row[1]));
        let wire = wire(size, Some(row[2].parse().unwrap()));
        let got = ampacity(&by(rule), &wire, ALONE).unwrap();
        let want: f64 = row[3].parse().unwrap();
        assert_eq!((got.amp, got.table_amp, got.rule), (want, want, rule), "{row:?}");
        seen[at] += 1;
    }
    assert_eq!(seen, [105, 51]);
}

/// 33 CFR 183.425 as a lookup in a handbook: 35 A for 14 AWG and 60 A for 10 AWG at 105 °C; reprinted
/// engine space columns give 30 A and 51 A.
#[test]
fn boats_are_corrected_by_the_rule_s_own_notes_only() {
    let project = by(AmpacityRule::Boats);
    let hot = Surroundings { is_hot: true, ..ALONE };
    for (awg, cool, engine) in [(14, 35.0, 29.75), (10, 60.0, 51.0), (16, 25.0, 21.25)] {
        let wire = wire(WireSize::Awg(awg), Some(105.0));
        assert_eq!(ampacity(&project, &wire, ALONE).unwrap().amp, cool);
        let inside = ampacity(&project, &wire, hot).unwrap();
        assert!((inside.amp - engine).abs() < 1e-9, "{inside:?}");
        assert_eq!(inside.standing, Standing::Read);
    }
    let cool60 = wire(WireSize::Awg(14), Some(60.0));
    let recalled = ampacity(&project, &cool60, hot).unwrap();
    assert_eq!(recalled.standing, Standing::FromMemory);
    let notes = recalled.notes.join("; ");
    assert!(notes.contains("for 60 °C insulation is from memory: look it up"), "{notes}");
    let oven = Surroundings { celsius: Some(60.0), ..hot };
    assert!(ampacity(&project, &cool60, oven).unwrap_err().contains("50 °C"));
    // Below 50 V a bundle lowers nothing; from 50 V on note 2 does.
    let crowd = Surroundings { n_wires: 5, ..ALONE };
    assert_eq!(ampacity(&project, &cool60, crowd).unwrap().amp, 20.0);
    let mut high = project.clone();
    high.settings.wiring.supply_volt = Some(60.0);
    for row in rows(BUNDLES).iter().filter(|row| row[0].starts_with("33CFR183")) {
        let factor: f64 = row[3].parse().unwrap();
        for n in [&row[1], &row[2]] {
            let crowd = Surroundings { n_wires: n.parse().unwrap(), ..ALONE };
            let got = ampacity(&high, &cool60, crowd).unwrap();
            assert!((got.amp - 20.0 * factor).abs() < 1e-9, "{row:?}");
        }
    }
}

/// What is known of the circular's curves are four single points, so none is applied, and that is said.
#[test]
fn the_circular_s_curves_are_not_applied_and_that_is_said() {
    let points = rows(BUNDLES).into_iter().filter(|row| row[0].starts_with("AC43.13-1B"));
    assert_eq!(points.count(), 4, "with more points the curves could be applied");
    let project = by(AmpacityRule::AircraftBundle);
    let wire = wire(WireSize::Awg(20), Some(200.0));
    for n_wires in [1, 8, 35] {
        let got = ampacity(&project, &wire, Surroundings { n_wires, ..ALONE }).unwrap();
        assert_eq!((got.amp, got.factors.len()), (9.0, 0), "{got:?}");
        assert!(
            got.notes.iter().any(|note| note.contains("curves") && note.contains("not applied"))
        );
    }
}

/// Rows CFR-14 and CFR-10 of the worked examples: lookups as a person makes them.
#[test]
fn printed_lookups_come_out() {
    let examples = include_str!("../../../tests/data/worked_examples.csv");
    let mut seen = 0;
    for row in rows(examples).into_iter().filter(|row| row[0].starts_with("CFR-")) {
        let figures: Vec<f64> = row[2].split(' ').filter_map(|word| word.parse().ok()).collect();
        let [awg, rating_c] = figures[..] else { panic!("{row:?}") };
        let want: f64 = row[3].trim_end_matches(" A").parse().unwrap();
        let wire = wire(WireSize::Awg(awg as i32), Some(rating_c));
        assert_eq!(ampacity(&by(AmpacityRule::Boats), &wire, ALONE).unwrap().amp, want, "{row:?}");
        seen += 1;
    }
    assert_eq!(seen, 2);
}

#[test]
fn sizes_in_square_millimetres_are_looked_up_as_the_next_thinner_gauge() {
    let boats = by(AmpacityRule::Boats);
    let of = |mm2| ampacity(&boats, &wire(WireSize::Mm2(mm2), Some(105.0)), ALONE);
    let got = of(2.5).unwrap();
    assert_eq!(got.amp, 35.0, "2.5 mm² lies between 14 (2.08) and 12 AWG (3.31)");
    assert!(got.notes.iter().any(|note| note.contains("14 AWG")), "{got:?}");
    assert!(of(0.75).unwrap_err().contains("18 AWG"));
    let aircraft = by(AmpacityRule::AircraftBundle);
    let thin = ampacity(&aircraft, &wire(WireSize::Mm2(0.75), Some(105.0)), ALONE).unwrap();
    assert_eq!(thin.amp, 4.0, "20 AWG is 0.52 mm², 18 AWG 0.82 mm²");
}

#[test]
fn what_is_missing_or_outside_is_said() {
    let rating = wire(WireSize::Awg(14), None);
    assert!(ampacity(&by(AmpacityRule::Boats), &rating, ALONE).unwrap_err().contains("not typed"));
    let plain = wire(WireSize::Awg(14), Some(105.0));
    assert!(ampacity(&Project::empty(""), &plain, ALONE).unwrap_err().contains("no rule"));
    let cold = wire(WireSize::Awg(14), Some(50.0));
    assert!(ampacity(&by(AmpacityRule::Boats), &cold, ALONE).unwrap_err().contains("60 °C"));
    let warm = Surroundings { celsius: Some(85.0), ..ALONE };
    let aircraft = by(AmpacityRule::AircraftBundle);
    assert!(ampacity(&aircraft, &plain, warm).unwrap_err().contains("70 °C"));
}

#[test]
fn an_own_figure_takes_the_space_bundle_factor() {
    let mut project = by(AmpacityRule::OwnTable);
    let size = WireSize::Mm2(0.75);
    assert!(ampacity(&project, &wire(size, None), ALONE).unwrap_err().contains("own wire table"));
    project.settings.wiring.own_wires = vec![OwnWire {
        size,
        insulation: None,
        ohm_per_m: None,
        outside_mm: None,
        single_amp: Some(10.0),
        source: "sheet of the reel".into(),
    }];
    let mut seen = 0;
    for row in rows(BUNDLES).iter().filter(|row| row[0].starts_with("MIL-STD-975M")) {
        let around = Surroundings { n_wires: row[1].parse().unwrap(), ..ALONE };
        let want: f64 = row[3].parse().unwrap();
        let got = ampacity(&project, &wire(size, None), around).unwrap();
        assert!((got.amp - 10.0 * want).abs() < 1e-5, "{row:?}");
        seen += 1;
    }
    assert_eq!(seen, 40);
}

#[test]
fn a_hot_zone_takes_no_temperature_from_elsewhere() {
    let hot = Surroundings { is_hot: true, ..ALONE };
    let plain = wire(WireSize::Awg(14), Some(105.0));
    let why = ampacity(&by(AmpacityRule::AircraftBundle), &plain, hot).unwrap_err();
    assert!(why.contains("the temperature of the hot zone is not typed"), "{why}");
    let mut own = by(AmpacityRule::OwnTable);
    own.settings.wiring.own_wires = vec![OwnWire {
        size: WireSize::Awg(14),
        insulation: None,
        ohm_per_m: None,
        outside_mm: None,
        single_amp: Some(10.0),
        source: "sheet of the reel".into(),
    }];
    let warm = Surroundings { celsius: Some(60.0), ..ALONE };
    let notes = ampacity(&own, &plain, warm).unwrap().notes.join(" ");
    assert!(notes.contains("holds at 60 °C"), "{notes}");
}

/// The drawn supply counts as well: 5 wires from 50 V on take factor 0.6.
#[test]
fn bundles_are_lowered_by_a_drawn_supply_too() {
    use crate::model::{Part, PartId, PartKind, Supply};
    let mut project = by(AmpacityRule::Boats);
    let volt = crate::units::Range { low: 40.0, nominal: 48.0, high: 56.0 };
    let part = Part {
        name: "G1".into(),
        label: String::new(),
        kind: PartKind::Supply(Supply { volt }),
        pos: crate::geometry::point(0.0, 0.0),
        turn: Default::default(),
        flip: Default::default(),
        place: None,
    };
    project.parts.put(PartId(1), part);
    project.settings.wiring.supply_volt = Some(48.0);
    let crowd = Surroundings { n_wires: 5, ..ALONE };
    let got = ampacity(&project, &wire(WireSize::Awg(14), Some(60.0)), crowd).unwrap();
    assert!((got.amp - 12.0).abs() < 1e-9, "{got:?}");
}
