//! Small circuits in a few lines, for tests and benches.

use std::collections::BTreeMap;

use crate::geometry::{Flip, Point, Turn};
use crate::model::{
    BaseColour, CavityFit, CavityLayout, Colour, Contact, ContactForm, Control, ControlId,
    ControlKind, Controller, End, EndKind, Expectation, Fuse, Gender, Half, Latch, Numbering, Part,
    PartId, PartKind, Position, Project, Resistor, SensePin, SensePinId, Supply, TerminalRef, Wire,
    WireId, WireModel, WireSize, WireUse,
};
use crate::units::Range;

/// Shorthand for a terminal.
pub fn at(part: PartId, terminal: u16) -> TerminalRef {
    TerminalRef { part, terminal }
}

/// A project being put together, one call a part.
#[derive(Clone, Debug)]
pub struct Sketch {
    /// What has been built so far.
    pub project: Project,
}

impl Default for Sketch {
    fn default() -> Self {
        Self::new()
    }
}

impl Sketch {
    /// An empty project with ideal contacts, joints and wires, and no temperature span.
    pub fn new() -> Self {
        let mut project = Project::empty("sketch");
        project.settings.contact_ohm = Range::exact(0.0);
        project.settings.joint_ohm = Range::exact(0.0);
        project.settings.temperature_span_k = 0.0;
        project.settings.wire_model = WireModel::Ideal;
        Self { project }
    }

    /// Any part.
    pub fn part(&mut self, name: &str, kind: PartKind) -> PartId {
        let id = self.project.fresh_id();
        let part = Part {
            name: name.into(),
            label: String::new(),
            kind,
            pos: Point::default(),
            turn: Turn::default(),
            flip: Flip::default(),
            place: None,
        };
        self.project.parts.put(id, part);
        id
    }

    /// A resistor.
    pub fn resistor(&mut self, name: &str, ohm: f64, tolerance: f64) -> PartId {
        let resistor = Resistor { ohm, tolerance, tempco_ppm_per_k: 0.0, power_watt: 0.25 };
        self.part(name, PartKind::Resistor(resistor))
    }

    /// A resistor with a wire at each end.
    pub fn resistor_between(
        &mut self,
        name: &str,
        ohm: f64,
        a: TerminalRef,
        b: TerminalRef,
    ) -> PartId {
        let part = self.resistor(name, ohm, 0.0);
        self.wire(a, at(part, 0));
        self.wire(at(part, 1), b);
        part
    }

    /// A contact.
    pub fn contact(&mut self, name: &str, form: ContactForm) -> PartId {
        self.part(name, PartKind::Contact(Contact { form, closed_ohm: None }))
    }

    /// A contact with its own resistance when closed.
    pub fn contact_with(&mut self, name: &str, form: ContactForm, ohm: Range) -> PartId {
        self.part(name, PartKind::Contact(Contact { form, closed_ohm: Some(ohm) }))
    }

    /// A supply.
    pub fn supply(&mut self, name: &str, volt: f64) -> PartId {
        self.part(name, PartKind::Supply(Supply { volt: Range::exact(volt) }))
    }

    /// A fuse.
    pub fn fuse(&mut self, name: &str, cold_ohm: f64) -> PartId {
        self.part(name, PartKind::Fuse(Fuse { rating_amp: 2.0, cold_ohm }))
    }

    /// A splice that is not tapped onto a wire.
    pub fn splice(&mut self, name: &str) -> PartId {
        self.part(name, PartKind::Splice { on: None, at: None })
    }

    /// A controller with one row of cavities; its plug is called `X1`.
    pub fn controller(&mut self, columns: u16) -> PartId {
        let plug = Half { name: "X1".into(), gender: Gender::Sockets, end_kind: EndKind::Sealed };
        let controller = Controller {
            plug,
            layout: CavityLayout::Grid { rows: 1, columns },
            numbering: Numbering::default(),
            latch: Latch::default(),
            fit: CavityFit::default(),
            cavities: BTreeMap::new(),
        };
        self.part("A1", PartKind::Controller(controller))
    }

    /// A wire inside a box, without resistance.
    pub fn wire(&mut self, from: TerminalRef, to: TerminalRef) -> WireId {
        let id = self.project.fresh_id::<WireId>();
        let end = |terminal| End { terminal, kind: None };
        let wire = Wire {
            name: format!("W{id}"),
            circuit: String::new(),
            from: end(from),
            to: end(to),
            bends: Vec::new(),
            size: WireSize::Mm2(0.5),
            colour: Colour::plain(BaseColour::Black),
            usage: WireUse::Internal,
            via: Vec::new(),
            typed_length_mm: None,
            make: Default::default(),
        };
        self.project.wires.put(id, wire);
        id
    }

    /// A control whose positions put one contact in throw 0, 1, 2 and so on.
    pub fn control(&mut self, name: &str, contact: PartId, throws: u8) -> ControlId {
        let positions = (0..throws)
            .map(|throw| Position {
                name: format!("p{throw}"),
                throws: BTreeMap::from([(contact, throw)]),
            })
            .collect();
        self.control_of(name, positions)
    }

    /// A control with two positions that throws all of these contacts at once.
    pub fn control_all(&mut self, name: &str, contacts: &[PartId]) -> ControlId {
        let position = |throw| Position {
            name: format!("p{throw}"),
            throws: contacts.iter().map(|contact| (*contact, throw)).collect(),
        };
        self.control_of(name, vec![position(0), position(1)])
    }

    /// A control with the positions given.
    pub fn control_of(&mut self, name: &str, positions: Vec<Position>) -> ControlId {
        let id = self.project.fresh_id();
        let control = Control {
            name: name.into(),
            kind: ControlKind::Maintained,
            positions,
            rest: 0,
            needs: None,
        };
        self.project.controls.put(id, control);
        id
    }

    /// A pin that reads ohms between two terminals and knows nothing else.
    pub fn pin(&mut self, terminal: TerminalRef, reference: TerminalRef) -> SensePinId {
        let id = self.project.fresh_id();
        self.project.sense_pins.put(id, bare_pin(terminal, reference));
        id
    }
}

/// A pin that reads ohms between two terminals and knows nothing else.
pub fn bare_pin(terminal: TerminalRef, reference: TerminalRef) -> SensePin {
    SensePin::bare("sense", terminal, reference)
}

/// What is asked for while the controls named stand so.
pub fn expectation(when: &[(ControlId, u8)], action: &str) -> Expectation {
    Expectation { when: when.iter().copied().collect(), action: action.into() }
}

/// A pin with any number of branches, each a switch and a resistor, side by side to its reference,
/// and one resistor that is always there. The switches are controls in order.
pub fn parallel_ladder(ohms: &[f64], always_ohm: f64) -> (Sketch, SensePinId) {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    sketch.resistor_between("R0", always_ohm, pin, reference);
    for (n, ohm) in ohms.iter().enumerate() {
        let resistor = sketch.resistor(&format!("R{}", n + 1), *ohm, 0.01);
        let contact = sketch.contact(&format!("S{}", n + 1), ContactForm::NormallyOpen);
        sketch.wire(pin, at(resistor, 0));
        sketch.wire(at(resistor, 1), at(contact, 0));
        sketch.wire(at(contact, 1), reference);
        sketch.control(&format!("B{}", n + 1), contact, 2);
    }
    let pin = sketch.pin(pin, reference);
    (sketch, pin)
}
