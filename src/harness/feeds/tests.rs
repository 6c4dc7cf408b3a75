//! Currents, drop out and back, and fuses on a feed drawn by hand.

use super::*;
use crate::geometry::{Flip, Turn, point};
use crate::harness::{FuseAdvice, Told, fuse_advice, wire_currents, wire_lengths, wire_reports};
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
            make: Make { rating_c: Some(105.0), ..Make::default() },
        };
        self.0.wires.put(id, wire);
        id
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
fn a_typed_current_goes_first_and_stops_where_wires_branch() {
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
    assert!(!currents.contains_key(&trunk), "the trunk of two loads is not guessed");
    assert_eq!((currents[&one].amp, currents[&two].amp), (1.0, 2.0));
    let (feeds, _) = bench.feeds();
    assert!(feeds.iter().all(|feed| feed.unknown == [trunk]), "{feeds:?}");
    bench.0.wires.get_mut(trunk).unwrap().make.current_amp = Some(3.0);
    let (feeds, advice) = bench.feeds();
    let want = 0.0185 * (3.0 + 2.0 * 2.0);
    let worst = feeds.iter().find(|feed| feed.consumer == e2).unwrap();
    assert!((worst.drop_volt - want).abs() < 1e-9 && worst.unknown.is_empty(), "{worst:?}");
    assert_eq!(advice[1].rating_amp, Ok(4.0), "3 A loaded to 75 %");
}

#[test]
fn no_fuse_is_proposed_that_the_wire_cannot_stand() {
    let mut bench = Bench::new();
    bench.0.settings.wiring.ampacity = Some(AmpacityRule::Boats);
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
