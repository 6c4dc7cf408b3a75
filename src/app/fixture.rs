//! A small ladder on the supply side for the tests of panels: a gate, a lever, two buttons, a selector.

use std::collections::{BTreeMap, BTreeSet};

use crate::app::action::{Actions, Stage};
use crate::app::derived::Derived;
use crate::app::harness_study::HarnessStudy;
use crate::app::meter::MeterState;
use crate::app::packet::PacketStudy;
use crate::app::pictures::Pictures;
use crate::app::prefs::Preferences;
use crate::app::record_pictures::RecordPictures;
use crate::app::studies::Studies;
use crate::app::theme::Palette;
use crate::app::view::View;
use crate::edit::{Edit, History, Selection};
use crate::geometry::{Flip, Turn, point};
use crate::model::{
    Band, BandRole, Contact, ContactForm, Control, ControlId, ControlKind, End, Expectation, Harm,
    Need, Part, PartId, PartKind, Position, Project, Scale, SensePin, SensePinId, Side, State,
    TerminalRef, Wire, WireSize, WireUse,
};
use crate::sense::StateRow;
use crate::units::Range;

/// The ladder and its sense pin: HOLD 6.81 kΩ, UP 1.21 kΩ and DOWN 3.48 kΩ side by side.
pub fn ladder() -> (Project, SensePinId) {
    let mut project = Project::empty("Ladder");
    let mut add = |name: &str, kind: PartKind| {
        let id: PartId = project.fresh_id();
        let part = Part {
            name: name.into(),
            label: String::new(),
            kind,
            pos: point(0.0, 20.0 * f64::from(id.0)),
            turn: Turn::default(),
            flip: Flip::default(),
            place: None,
        };
        project.parts.put(id, part);
        id
    };
    let resistor = |ohm: f64| {
        PartKind::Resistor(crate::model::Resistor {
            ohm,
            tolerance: 0.01,
            tempco_ppm_per_k: 100.0,
            power_watt: 0.25,
        })
    };
    let contact =
        || PartKind::Contact(Contact { form: ContactForm::NormallyOpen, closed_ohm: None });
    let feed =
        add("G1", PartKind::Supply(crate::model::Supply { volt: Range::plus_minus(12.0, 0.1) }));
    let switches: Vec<PartId> =
        ["S1", "S2", "S3", "S4", "S5"].map(|name| add(name, contact())).to_vec();
    let resistors: Vec<PartId> = [("R1", 6810.0), ("R2", 3480.0), ("R3", 1210.0)]
        .map(|(name, ohm)| add(name, resistor(ohm)))
        .to_vec();
    let pin = add("SP1", PartKind::Splice { on: None, at: None });
    let at = |part: PartId, terminal: u16| TerminalRef { part, terminal };
    let mut joins: Vec<(TerminalRef, TerminalRef)> =
        switches.iter().map(|s| (at(feed, 0), at(*s, 0))).collect();
    for (switch, resistor) in [(0, 0), (1, 2), (2, 1), (3, 2), (4, 1)] {
        joins.push((at(switches[switch], 1), at(resistors[resistor], 0)));
    }
    joins.extend(resistors.iter().map(|r| (at(*r, 1), at(pin, 0))));
    for (idx, (from, to)) in joins.into_iter().enumerate() {
        let wire = Wire {
            name: format!("D{}", idx + 1),
            circuit: String::new(),
            from: End { terminal: from, kind: None },
            to: End { terminal: to, kind: None },
            bends: Vec::new(),
            size: WireSize::Mm2(0.5),
            colour: crate::model::Colour::plain(crate::model::BaseColour::Red),
            usage: WireUse::Internal,
            via: Vec::new(),
            typed_length_mm: None,
            make: Default::default(),
        };
        let id = project.fresh_id();
        project.wires.put(id, wire);
    }
    let controls = add_controls(&mut project, &switches);
    let sense = sense_pin(at(pin, 0), at(feed, 0), &controls);
    let id = project.fresh_id();
    project.sense_pins.put(id, sense);
    (project, id)
}

fn add_controls(project: &mut Project, switches: &[PartId]) -> Vec<ControlId> {
    let position = |name: &str, moved: &[usize]| Position {
        name: name.into(),
        throws: moved.iter().map(|idx| (switches[*idx], 1)).collect(),
    };
    let plain = |name: &str, kind, rest, positions| Control {
        name: name.into(),
        kind,
        positions,
        rest,
        needs: None,
    };
    let mut put = |control| {
        let id = project.fresh_id();
        project.controls.put(id, control);
        id
    };
    let gate = put(plain(
        "Gate",
        ControlKind::Maintained,
        0,
        vec![position("AUTO", &[]), position("HOLD", &[0])],
    ));
    let lever = vec![position("aft", &[2]), position("centre", &[]), position("fore", &[1])];
    let needs = Some(Need { control: gate, position: 1 });
    let lever = put(Control { needs, ..plain("Lever", ControlKind::SpringReturn, 1, lever) });
    let up = put(plain(
        "Rim UP",
        ControlKind::Momentary,
        0,
        vec![position("off", &[]), position("on", &[3])],
    ));
    let down = put(plain(
        "Rim DOWN",
        ControlKind::Momentary,
        0,
        vec![position("off", &[]), position("on", &[4])],
    ));
    let words = ["A", "B", "C", "D"].map(|word| position(word, &[])).to_vec();
    let mode = put(plain("Mode", ControlKind::Selector, 0, words));
    vec![gate, lever, up, down, mode]
}

fn sense_pin(terminal: TerminalRef, reference: TerminalRef, controls: &[ControlId]) -> SensePin {
    let band = |name: &str, role, low, high| Band {
        name: name.into(),
        role,
        low,
        high,
        harm: Harm::Nuisance,
    };
    let when = |pairs: &[(usize, u8)]| {
        pairs.iter().map(|(idx, at)| (controls[*idx], *at)).collect::<BTreeMap<_, _>>()
    };
    let rule = |pairs: &[(usize, u8)], action: &str| Expectation {
        when: when(pairs),
        action: action.into(),
    };
    SensePin {
        name: "RANGE signal".into(),
        terminal,
        reference,
        side: Side::Supply,
        pull_ohm: None,
        reference_volt: None,
        full_scale: None,
        converter: None,
        limit_volt: None,
        scale: Scale::Ohm,
        bands: vec![
            band("UP", BandRole::Action, 930.0, Some(1120.0)),
            band("DOWN", BandRole::Action, 2100.0, Some(2500.0)),
            band("HOLD", BandRole::Action, 6200.0, Some(7400.0)),
            band("AUTO (open)", BandRole::Idle, 50_000.0, None),
        ],
        expectations: vec![
            rule(&[(0, 0), (2, 0), (3, 0)], "AUTO (open)"),
            rule(&[(0, 1), (1, 1), (2, 0), (3, 0)], "HOLD"),
            rule(&[(0, 1), (1, 2)], "UP"),
            rule(&[(0, 1), (2, 1)], "UP"),
            rule(&[(0, 1), (1, 0)], "DOWN"),
            rule(&[(0, 1), (3, 1)], "DOWN"),
        ],
        debounce_ms: Some(60.0),
        arming: String::new(),
        wire_loop_ohm: None,
        leak_low_ohm: None,
        ground_offset_volt: 0.0,
    }
}

/// A row with this reading in ohms, nothing asked and nothing judged.
pub fn row_at(pin: &SensePin, nominal: f64, low: f64, high: f64) -> StateRow {
    let ohm = Range { low, nominal, high };
    StateRow {
        state: State::rest(),
        ohm,
        bench_ohm: (low, high),
        volt: None,
        count: None,
        scaled: (pin.scale == Scale::Ohm).then_some(ohm),
        band: pin
            .bands
            .iter()
            .position(|b| b.low <= nominal && nominal <= b.high.unwrap_or(f64::INFINITY)),
        asked: Vec::new(),
        margin: None,
        verdict: None,
        why: String::new(),
    }
}

/// Everything a panel looks at, with a place for its actions.
pub struct Bench {
    /// The history with the project.
    pub history: History,
    /// Results.
    studies: Studies,
    /// Results.
    pub derived: Derived,
    /// Where the controls stand.
    pub state: State,
    /// Latched controls.
    pub latched: BTreeSet<ControlId>,
    /// The meter.
    pub meter: MeterState,
    /// Selection.
    pub selection: Selection,
    packet: PacketStudy,
    pictures: Pictures,
    record: RecordPictures,
    harness: HarnessStudy,
    /// Preferences.
    pub preferences: Preferences,
    /// The stage.
    pub stage: Stage,
    /// What was done.
    pub actions: Actions,
}

impl Bench {
    /// A bench with this project, everything at rest.
    pub fn new(project: Project) -> Self {
        Self {
            history: History::new(project),
            derived: Derived::default(),
            studies: Studies::default(),
            state: State::rest(),
            latched: BTreeSet::new(),
            meter: MeterState::default(),
            selection: Selection::new(),
            packet: PacketStudy::default(),
            pictures: Pictures::default(),
            record: RecordPictures::default(),
            harness: HarnessStudy::default(),
            preferences: Preferences::default(),
            stage: Stage::default(),
            actions: Actions::default(),
        }
    }

    /// Changes the project.
    pub fn edit(&mut self, edit: Edit) {
        self.history.commit(edit, None).expect("the test's edit is allowed");
    }

    /// Brings results up to date and gives the view, with a place for actions.
    pub fn split(&mut self) -> (View<'_>, &mut Actions) {
        self.derived.refresh(
            self.history.project(),
            self.history.revision(),
            &self.state,
            &self.meter,
        );
        let project = self.history.project();
        let pin = project.sense_pins.ids().next();
        let scale =
            pin.and_then(|pin| project.sense_pins.get(pin)).map_or(Scale::Ohm, |pin| pin.scale);
        let view = View {
            project,
            history: &self.history,
            derived: &self.derived,
            studies: &self.studies,
            bench: &self.state,
            latched: &self.latched,
            meter: &self.meter,
            selection: &self.selection,
            layout: None,
            packet: &self.packet,
            pictures: &self.pictures,
            record: &self.record,
            harness: &self.harness,
            pin,
            scale,
            stage: self.stage,
            preferences: &self.preferences,
            palette: Palette::of(self.preferences.theme),
            file: None,
            unsaved: false,
        };
        (view, &mut self.actions)
    }
}
