//! Currents, drop out and back, and fuses on a feed drawn by hand.

use super::*;
use crate::geometry::{Flip, Turn, point};
use crate::harness::{
    FuseAdvice, Told, asked_currents, drawn_fuses, fuse_advice, wire_currents, wire_lengths,
    wire_reports,
};
use crate::model::{
    AmpacityRule, BaseColour, Colour, Draw, End, EndKind, Fuse, Load, LoadForm, Make, Part, Supply,
    Wire, WireSize, WireUse,
};
use crate::units::Range;

/// Supply, fuse, load and ground; wires of typed lengths between them.
struct Bench(Project);

impl Bench {
    fn new() -> Self {
        let mut project = Project::empty("feed");
        project.settings.length_factor = 1.0;
        project.settings.rounding_mm = 0.001;
        project.settings.wiring.drop_limit = Some(0.03);
        project.settings.wiring.ampacity = Some(AmpacityRule::Boats);
        let allowances = &mut project.settings.allowances;
        allowances.tag_mm = 0.0;
        Self(project)
    }

    fn part(&mut self, name: &str, kind: PartKind) -> PartId {
        let id = self.0.fresh_id();
        let part = Part {
            name: name.into(),
            label: String::new(),
            kind,
            pos: point(0.0, 0.0),
            turn: Turn::default(),
            flip: Flip::default(),
            place: None,
        };
        self.0.parts.put(id, part);
        id
    }

    fn wire(&mut self, ends: [(PartId, u16); 2], mm2: f64, length_mm: f64) -> WireId {
        let id = self.0.fresh_id();
        let end = |(part, terminal)| End {
            terminal: TerminalRef { part, terminal },
            kind: Some(EndKind::Tag),
        };
        let wire = Wire {
            name: format!("W{id}"),
            circuit: String::new(),
            from: end(ends[0]),
            to: end(ends[1]),
            bends: Vec::new(),
            size: WireSize::Mm2(mm2),
            colour: Colour::plain(BaseColour::Red),
            usage: WireUse::Harness,
            via: Vec::new(),
            typed_length_mm: Some(length_mm),
            make: Box::new(Make { rating_c: Some(105.0), ..Make::default() }),
        };
        self.0.wires.put(id, wire);
        id
    }

    fn reports(&self) -> BTreeMap<WireId, WireReport> {
        let currents = wire_currents(&self.0, &BTreeMap::new());
        wire_reports(&self.0, &wire_lengths(&self.0), &currents)
    }

    fn feeds(&self) -> (Vec<Feed>, Vec<FuseAdvice>) {
        let lengths = wire_lengths(&self.0);
        let currents = wire_currents(&self.0, &BTreeMap::new());
        let reports = wire_reports(&self.0, &lengths, &currents);
        let feeds = feeds(&self.0, &reports);
        let advice = feeds.iter().map(|feed| fuse_advice(&self.0, feed, &reports)).collect();
        (feeds, advice)
    }
}

fn supply(volt: f64) -> PartKind {
    PartKind::Supply(Supply { volt: Range::exact(volt) })
}

fn load(amp: f64) -> PartKind {
    let draw = Draw::Amp(Range::exact(amp));
    PartKind::Element(Element::Load(Load { form: LoadForm::Other, draw }))
}

#[test]
fn a_load_s_current_is_followed_to_the_supply_and_back() {
    let mut bench = Bench::new();
    let (g1, f1) = (
        bench.part("G1", supply(12.0)),
        bench.part("F1", PartKind::Fuse(Fuse { rating_amp: 5.0, cold_ohm: 0.0 })),
    );
    let (e1, gnd) = (bench.part("E1", load(3.7)), bench.part("GND1", PartKind::Ground));
    let lead = bench.wire([(g1, 0), (f1, 0)], 2.5, 100.0);
    let out = bench.wire([(f1, 1), (e1, 0)], 2.5, 6400.0);
    let back = bench.wire([(e1, 1), (gnd, 0)], 2.5, 6400.0);
    let (feeds, advice) = bench.feeds();
    let [feed] = feeds.as_slice() else { panic!("{feeds:?}") };
    assert_eq!((feed.consumer, feed.supply, &feed.fuses), (e1, g1, &vec![f1]));
    assert_eq!((&feed.out, &feed.back), (&vec![lead, out], &vec![back]));
    // 12.9 m of 7.6 mΩ/m at 3.7 A.
    assert!((feed.drop_volt - 12.9 * 0.0076 * 3.7).abs() < 1e-9, "{feed:?}");
    assert_eq!(feed.is_over(), Some(true));
    // 3.7 A are 74 % of 5 A.
    assert_eq!(advice[0].rating_amp, Ok(5.0));
    assert_eq!(advice[0].drawn_amp, Some(5.0));
    assert!(advice[0].not_protected.iter().any(|line| line.contains("122 A")), "{advice:?}");
    let currents = wire_currents(&bench.0, &BTreeMap::from([(lead, 99.0)]));
    assert_eq!(currents[&lead].amp, 3.7, "what follows from the load goes before the circuit");
    assert_eq!((currents[&out].told, currents[&lead].told), (Told::Load, Told::Load));
}

#[test]
fn a_trunk_carries_the_sum_and_what_is_typed_goes_first() {
    let mut bench = Bench::new();
    let (g1, sp1) = (
        bench.part("G1", supply(12.0)),
        bench.part("SP1", PartKind::Splice { on: None, at: None }),
    );
    let (e1, e2) = (bench.part("E1", load(1.0)), bench.part("E2", load(2.0)));
    let gnd = bench.part("GND1", PartKind::Ground);
    let trunk = bench.wire([(g1, 0), (sp1, 0)], 1.0, 1000.0);
    let one = bench.wire([(sp1, 0), (e1, 0)], 1.0, 1000.0);
    let two = bench.wire([(sp1, 0), (e2, 0)], 1.0, 1000.0);
    bench.wire([(e1, 1), (gnd, 0)], 1.0, 1000.0);
    bench.wire([(e2, 1), (gnd, 0)], 1.0, 1000.0);
    let currents = wire_currents(&bench.0, &BTreeMap::new());
    assert_eq!((currents[&trunk].amp, currents[&trunk].told), (3.0, Told::Sum), "1 A and 2 A");
    assert_eq!((currents[&one].amp, currents[&two].amp), (1.0, 2.0));
    let (feeds, _) = bench.feeds();
    assert!(feeds.iter().all(|feed| feed.unknown.is_empty()), "{feeds:?}");
    bench.0.wires.get_mut(trunk).unwrap().make.current_amp = Some(3.0);
    let (feeds, advice) = bench.feeds();
    let want = 0.0185 * (3.0 + 2.0 * 2.0);
    let worst = feeds.iter().find(|feed| feed.consumer == e2).unwrap();
    assert!((worst.drop_volt - want).abs() < 1e-9 && worst.unknown.is_empty(), "{worst:?}");
    assert_eq!(advice[1].rating_amp, Ok(4.0), "3 A loaded to 75 %");
    bench.0.wires.get_mut(trunk).unwrap().make.current_amp = Some(1.5);
    assert_eq!(wire_currents(&bench.0, &BTreeMap::new())[&trunk].amp, 1.5);
    assert_eq!(asked_currents(&bench.0)[&trunk].amp, 3.0, "what the loads ask for");
}

#[test]
fn no_fuse_is_proposed_that_the_wire_cannot_stand() {
    let mut bench = Bench::new();
    let (g1, e1) = (bench.part("G1", supply(12.0)), bench.part("E1", load(18.0)));
    let gnd = bench.part("GND1", PartKind::Ground);
    let thin = bench.wire([(g1, 0), (e1, 0)], 1.0, 2000.0);
    bench.wire([(e1, 1), (gnd, 0)], 2.5, 2000.0);
    let (_, advice) = bench.feeds();
    assert_eq!(advice[0].weakest, Some((thin, 20.0)), "1 mm² counts as 18 AWG: 20 A at 105 °C");
    let refusal = advice[0].rating_amp.clone().unwrap_err();
    assert!(refusal.contains("25 A") && refusal.contains("20.0 A"), "{refusal}");
    bench.0.wires.get_mut(thin).unwrap().make.current_amp = Some(35.0);
    let refusal = bench.feeds().1[0].rating_amp.clone().unwrap_err();
    assert!(refusal.contains("split the feed"), "{refusal}");
}

fn fuse(rating_amp: f64) -> PartKind {
    PartKind::Fuse(Fuse { rating_amp, cold_ohm: 0.0 })
}

fn splice() -> PartKind {
    PartKind::Splice { on: None, at: None }
}

/// Supply, fuse of 10 A, splice, and two loads of 2 A and 1 A; the branch to the second is of a size.
fn branched(branch_mm2: f64, return_mm2: f64) -> (Bench, [WireId; 2]) {
    let mut bench = Bench::new();
    let (g1, f1) = (bench.part("G1", supply(12.0)), bench.part("F1", fuse(10.0)));
    let (sp1, gnd) = (bench.part("SP1", splice()), bench.part("GND1", PartKind::Ground));
    let (e1, e2) = (bench.part("E1", load(2.0)), bench.part("E2", load(1.0)));
    bench.wire([(g1, 0), (f1, 0)], 2.5, 100.0);
    bench.wire([(f1, 1), (sp1, 0)], 2.5, 1000.0);
    bench.wire([(sp1, 0), (e1, 0)], 2.5, 1000.0);
    let branch = bench.wire([(sp1, 0), (e2, 0)], branch_mm2, 1000.0);
    bench.wire([(e1, 1), (gnd, 0)], 2.5, 1000.0);
    let back = bench.wire([(e2, 1), (gnd, 0)], return_mm2, 1000.0);
    (bench, [branch, back])
}

#[test]
fn branches_and_returns_behind_a_fuse_count_and_unknown_ones_forbid_it() {
    let (bench, _) = branched(2.5, 2.5);
    let (feeds, advice) = bench.feeds();
    assert!(feeds.iter().zip(&advice).all(|(feed, advice)| {
        // 3 A loaded to 75 % are 4 A.
        feed.fuses.len() == 1 && advice.rating_amp == Ok(4.0) && advice.carried_amp == Ok(3.0)
    }));
    // Boats begin at 18 AWG: what 0.5 mm² may carry is not known, on a branch or on the way back.
    for (at, sizes) in [(0, (0.5, 2.5)), (1, (2.5, 0.5))] {
        let (bench, thin) = branched(sizes.0, sizes.1);
        let name = bench.0.wires.get(thin[at]).unwrap().name.clone();
        for advice in bench.feeds().1 {
            assert_eq!(advice.unknown, [thin[at]]);
            let why = advice.rating_amp.clone().unwrap_err();
            assert!(why.contains(&format!("what wire {name} may carry is not known")), "{why}");
            assert!(why.contains("the load asks for at least 4 A"), "{why}");
            assert!(advice.drawn_fits.clone().unwrap().is_err());
            let said = advice.sentences(&bench.0).join(" ");
            assert!(said.contains("so is whether it protects them"), "{said}");
        }
    }
    let (mut bench, _) = branched(2.5, 2.5);
    bench.0.settings.wiring.ampacity = None;
    assert!(bench.feeds().1[0].rating_amp.clone().unwrap_err().contains("no rule is chosen"));
}

/// Main fuse of 30 A before 4 mm² (12 AWG: 45 A), then a fuse of 5 A before 1 mm² (18 AWG: 20 A).
#[test]
fn each_fuse_is_judged_with_the_wires_up_to_the_next() {
    let mut bench = Bench::new();
    let (g1, f1) = (bench.part("G1", supply(12.0)), bench.part("F1", fuse(30.0)));
    let (sp1, f2) = (bench.part("SP1", splice()), bench.part("F2", fuse(5.0)));
    let (e1, e2) = (bench.part("E1", load(3.0)), bench.part("E2", load(15.0)));
    let gnd = bench.part("GND1", PartKind::Ground);
    bench.wire([(g1, 0), (f1, 1)], 4.0, 100.0);
    let main = bench.wire([(f1, 0), (sp1, 0)], 4.0, 1000.0);
    bench.wire([(sp1, 0), (f2, 0)], 4.0, 1000.0);
    let thin = bench.wire([(f2, 1), (e1, 0)], 1.0, 1000.0);
    bench.wire([(sp1, 0), (e2, 0)], 4.0, 1000.0);
    bench.wire([(e1, 1), (gnd, 0)], 4.0, 1000.0);
    bench.wire([(e2, 1), (gnd, 0)], 4.0, 1000.0);
    let reports = bench.reports();
    assert_eq!(reports[&main].current.unwrap().amp, 18.0);
    let fuses = drawn_fuses(&bench.0, &reports);
    assert_eq!((&fuses[&f1].carried_amp, &fuses[&f2].carried_amp), (&Ok(18.0), &Ok(3.0)));
    assert_eq!((fuses[&f2].weakest, fuses[&f1].weakest.unwrap().1), (Some((thin, 20.0)), 45.0));
    // 18 A over 0.75 are 24 A, so 25 A would do; 30 A is loaded to 60 %, 5 A to 60 %.
    assert_eq!((&fuses[&f1].rating_amp, &fuses[&f2].rating_amp), (&Ok(25.0), &Ok(4.0)));
    for fuse in [f1, f2] {
        let words = fuses[&fuse].drawn_fits.clone().unwrap().unwrap();
        assert!(words.contains("loaded to 60 %"), "{words}");
    }
    let own = bench.feeds();
    let at = own.0.iter().position(|feed| feed.consumer == e1).unwrap();
    assert_eq!((own.0[at].fuses.as_slice(), own.1[at].drawn), ([f2, f1].as_slice(), Some(f2)));
}

/// 14.4 V over 3 Ω are 4.8 A; the typed 16 V goes first where it is more: 5.33 A.
#[test]
fn a_load_of_ohms_takes_its_current_at_the_greatest_voltage() {
    let mut bench = Bench::new();
    let volt = Range { low: 11.0, nominal: 12.0, high: 14.4 };
    let g1 = bench.part("G1", PartKind::Supply(Supply { volt }));
    let draw = Draw::Ohm(Range { low: 3.0, nominal: 4.0, high: 5.0 });
    let kind = PartKind::Element(Element::Load(Load { form: LoadForm::Other, draw }));
    let (e1, gnd) = (bench.part("E1", kind), bench.part("GND1", PartKind::Ground));
    let out = bench.wire([(g1, 0), (e1, 0)], 2.5, 1000.0);
    bench.wire([(e1, 1), (gnd, 0)], 2.5, 1000.0);
    let amp = |bench: &Bench| wire_currents(&bench.0, &BTreeMap::new())[&out].amp;
    assert!((amp(&bench) - 4.8).abs() < 1e-9);
    bench.0.settings.wiring.supply_volt = Some(16.0);
    assert!((amp(&bench) - 16.0 / 3.0).abs() < 1e-9);
}

#[test]
fn a_chain_reached_twice_and_a_tapped_wire_take_the_greater() {
    let mut bench = Bench::new();
    let (e1, e2) = (bench.part("E1", load(3.0)), bench.part("E2", load(5.0)));
    let sp1 = bench.part("SP1", splice());
    let (a, b) =
        (bench.wire([(e1, 0), (sp1, 0)], 1.0, 100.0), bench.wire([(sp1, 0), (e2, 0)], 1.0, 100.0));
    let currents = wire_currents(&bench.0, &BTreeMap::new());
    assert_eq!((currents[&a].amp, currents[&b].amp), (5.0, 5.0));

    // A wire to a load of 2 A with a branch of 4 A tapped onto it carries up to 6 A.
    let mut bench = Bench::new();
    let (g1, e1, e2) =
        (bench.part("G1", supply(12.0)), bench.part("E1", load(2.0)), bench.part("E2", load(4.0)));
    let gnd = bench.part("GND1", PartKind::Ground);
    let f1 = bench.part("F1", fuse(10.0));
    let lead = bench.wire([(g1, 0), (f1, 0)], 2.5, 100.0);
    let trunk = bench.wire([(f1, 1), (e1, 0)], 2.5, 100.0);
    let tap = bench.part("SP1", PartKind::Splice { on: Some(trunk), at: None });
    let branch = bench.wire([(tap, 0), (e2, 0)], 1.0, 100.0);
    bench.wire([(e1, 1), (gnd, 0)], 2.5, 100.0);
    bench.wire([(e2, 1), (gnd, 0)], 2.5, 100.0);
    let currents = wire_currents(&bench.0, &BTreeMap::new());
    let amps = [lead, trunk, branch].map(|wire| currents[&wire].amp);
    assert_eq!(amps, [6.0, 6.0, 4.0]);
    let fuses = drawn_fuses(&bench.0, &bench.reports());
    assert_eq!((&fuses[&f1].carried_amp, fuses[&f1].weakest), (&Ok(6.0), Some((branch, 20.0))));
}

#[test]
fn blade_fuses_end_at_their_voltage_and_an_unknown_current_forbids_advice() {
    let feed = |volt| {
        let mut bench = Bench::new();
        let (g1, f1) = (bench.part("G1", supply(volt)), bench.part("F1", fuse(5.0)));
        let (e1, gnd) = (bench.part("E1", load(3.0)), bench.part("GND1", PartKind::Ground));
        bench.wire([(g1, 0), (f1, 0)], 2.5, 100.0);
        let out = bench.wire([(f1, 1), (e1, 0)], 2.5, 1000.0);
        bench.wire([(e1, 1), (gnd, 0)], 2.5, 1000.0);
        (bench, out, e1)
    };
    assert_eq!(feed(32.0).0.feeds().1[0].rating_amp, Ok(4.0));
    let advice = feed(36.0).0.feeds().1.remove(0);
    let why = advice.rating_amp.unwrap_err();
    assert!(why.contains("up to 32 V (from memory)") && why.contains("at least 4 A"), "{why}");
    assert!(advice.drawn_fits.unwrap().unwrap_err().contains("36 V"));
    // A load of unknown current beside the known one: the way out is not known.
    let (mut bench, out, e1) = feed(12.0);
    let PartKind::Element(Element::Load(load)) = &mut bench.0.parts.get_mut(e1).unwrap().kind
    else {
        panic!()
    };
    load.draw = Draw::Ohm(Range { low: 0.0, nominal: 1.0, high: 2.0 });
    let back = bench.0.wires.iter().find(|(_, w)| w.from.terminal.part == e1).unwrap().0;
    bench.0.wires.get_mut(back).unwrap().make.current_amp = Some(3.0);
    let (feeds, advice) = bench.feeds();
    assert!(feeds[0].unknown.contains(&out));
    let why = advice[0].rating_amp.clone().unwrap_err();
    let name = &bench.0.wires.get(out).unwrap().name;
    assert!(why.contains(name.as_str()) && why.contains("is not known"), "{why}");
}

/// Rows of `fuses.csv`: regular blade fuses at 135 % (from memory), the one of 10 A at 160 %.
#[test]
fn times_are_those_of_the_rating_or_left_out() {
    let text = include_str!("../../../tests/data/fuses.csv");
    let of = |amp: f64| {
        let mut bench = Bench::new();
        let (g1, f1) = (bench.part("G1", supply(12.0)), bench.part("F1", fuse(amp)));
        let (e1, gnd) = (bench.part("E1", load(3.0)), bench.part("GND1", PartKind::Ground));
        bench.wire([(g1, 0), (f1, 0)], 2.5, 100.0);
        bench.wire([(f1, 1), (e1, 0)], 2.5, 1000.0);
        bench.wire([(e1, 1), (gnd, 0)], 2.5, 1000.0);
        bench.feeds().1.remove(0).not_protected.join("\n")
    };
    assert!(text.contains("regular blade (type C),,135,,0.75,600,"));
    assert!(text.contains("\"regular blade (type C), 10 A\",10,160,,0.25,50,"));
    for amp in [5.0, 10.0, 30.0] {
        let words = of(amp);
        assert!(words.contains("from 0.75 s to 10 minutes at 135 %"), "{words}");
        assert_eq!(words.contains("0.25 to 50 s"), amp == 10.0, "{words}");
    }
    for amp in [35.0, 40.0] {
        let words = of(amp);
        assert!(!words.contains("10 minutes") && words.contains("not known here"), "{words}");
        // 12 V over 2.1 m of 7.6 mΩ/m are 752 A.
        assert!(words.contains("draws about 752 A"), "{words}");
    }
}

/// IEC 60028: at 50 °C copper has 1.1179 times the ohms it has at 20 °C.
#[test]
fn a_drop_within_at_20_degrees_only_is_not_called_within() {
    let mut bench = Bench::new();
    let (g1, e1) = (bench.part("G1", supply(12.0)), bench.part("E1", load(3.7)));
    let gnd = bench.part("GND1", PartKind::Ground);
    bench.wire([(g1, 0), (e1, 0)], 2.5, 6400.0);
    bench.wire([(e1, 1), (gnd, 0)], 2.5, 6400.0);
    let feed = bench.feeds().0.remove(0);
    let by_hand = 2.0 * 6.4 * 0.0076 * 3.7;
    assert!((feed.drop_volt - by_hand).abs() < 1e-9);
    assert!((feed.over_when_warm().unwrap() - by_hand * 1.1179 / 0.12).abs() < 1e-9);
    let words = feed.verdict();
    assert!(words.contains("at 20 °C, because no temperature is typed"), "{words}");
    assert!(words.contains("3.4 %") && !words.contains("within"), "{words}");
    bench.0.settings.wiring.drop_limit = Some(0.04);
    assert!(bench.feeds().0[0].verdict().ends_with("within the limit of 4.0 %"));
    bench.0.settings.wiring.drop_limit = Some(0.03);
    bench.0.settings.wiring.ambient_c = Some(20.0);
    assert_eq!(bench.feeds().0[0].verdict(), "within the limit of 3.0 %");
}
