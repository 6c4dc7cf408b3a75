//! Connectors: one block a half, both views, and every cavity with its wire and what to expect there.

use crate::drawing::{FaceSide, FaceView};
use crate::model::{
    CavityFill, EndKind, Half, HalfSide, Part, PartId, PartKind, Project, State, TerminalRef, Wire,
    WireUse,
};
use crate::sense::MeterReading;
use crate::sheets::face::{FaceOf, Filling, draw_both, draw_full_size};
use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;
use crate::sheets::table::{Cell, Table};
use crate::sheets::words::{end_words, latch_words, ohms};

/// With more wire ends than this the expected ohms are left blank: each is a sum over the circuit.
const MAX_EXPECTED: usize = 400;

/// One half with what is needed to draw it.
struct Block<'a> {
    id: PartId,
    part: &'a Part,
    half: &'a Half,
    view: FaceView,
    /// Terminal of cavity n is `first + step (n - 1)`.
    first: u16,
    step: u16,
    rotating: bool,
    is_plug_of_controller: bool,
}

impl<'a> Block<'a> {
    /// A half of a connector, or the plug of a controller; `None` where there is no such half.
    fn of(id: PartId, part: &'a Part, side: HalfSide) -> Option<Self> {
        let view = FaceView::of(&part.kind, side, FaceSide::Face)?;
        let first = match side {
            HalfSide::First => 0,
            HalfSide::Second => 1,
        };
        if let Some(controller) = part.kind.controller() {
            return (side == HalfSide::First).then_some(Self {
                id,
                part,
                half: &controller.plug,
                view,
                first,
                step: 1,
                rotating: false,
                is_plug_of_controller: true,
            });
        }
        let PartKind::Connector(connector) = &part.kind else { return None };
        let half = match side {
            HalfSide::First => &connector.first,
            HalfSide::Second => connector.second.as_ref()?,
        };
        let rotating = connector.rotating;
        Some(Self { id, part, half, view, first, step: 2, rotating, is_plug_of_controller: false })
    }

    fn count(&self) -> u16 {
        self.view.layout.count()
    }

    fn terminal(&self, cavity: u16) -> TerminalRef {
        TerminalRef { part: self.id, terminal: self.first + self.step * (cavity - 1) }
    }

    fn fill_of(&self, cavity: u16) -> CavityFill {
        let notes = self.part.kind.cavities();
        notes.and_then(|notes| notes.get(&cavity)).map_or(CavityFill::Free, |note| note.fill)
    }

    fn circuit_of(&self, cavity: u16) -> &str {
        let notes = self.part.kind.cavities();
        notes.and_then(|notes| notes.get(&cavity)).map_or("", |note| note.circuit.as_str())
    }
}

/// All halves of a project, in the order of its parts.
fn blocks(project: &Project) -> Vec<Block<'_>> {
    let sides = [HalfSide::First, HalfSide::Second];
    let parts = project.parts.iter();
    parts
        .flat_map(|(id, part)| sides.into_iter().filter_map(move |s| Block::of(id, part, s)))
        .collect()
}

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    let blocks = blocks(job.project);
    if blocks.is_empty() {
        flow.paragraph("No connector is drawn yet.");
        return;
    }
    flow.note(
        "The face view looks at the mating face, the wire view at the side the wires go in: each is \
         the mirror image of the other. Hold the connector beside the page and find the latch and \
         cavity 1 before the first terminal goes in. Bold edge: a wire of this harness; dashed: a \
         wire that was there before or is inside the box; grey with corners cut: sealing plug; thin: empty. Not to scale; \
         where the maker's pitch is typed, dots show the cavities at full size to lay the part on.",
    );
    for block in &blocks {
        one_block(job, flow, block);
    }
    flow.blank("terminal types of the connectors: not kept in the project, write them in");
}

fn one_block(job: &Job<'_>, flow: &mut Flow<'_>, block: &Block<'_>) {
    let name = if block.half.name.is_empty() { &block.part.name } else { &block.half.name };
    let what = if block.is_plug_of_controller {
        format!("{name}, plug of {}", block.part.name)
    } else {
        name.clone()
    };
    let label = if block.part.label.is_empty() {
        String::new()
    } else {
        format!(" – {}", block.part.label)
    };
    flow.need(70.0);
    flow.heading(&format!("{what}{label}"));
    let place = block.part.place.and_then(|place| job.project.places.get(place));
    let mut facts = vec![
        block.half.gender.noun().to_owned(),
        end_words(block.half.end_kind).to_owned(),
        latch_words(block.view.plan().latch).to_owned(),
    ];
    if let Some(place) = place {
        facts.push(format!("at {}", place.name));
    }
    if block.rotating {
        facts.push("rotating contact".into());
    }
    flow.note(&facts.join(" · "));
    let fillings = (1..=block.count()).map(|cavity| filling(job, block, cavity));
    let face = FaceOf { view: block.view, fillings: fillings.collect() };
    draw_both(flow, &face);
    draw_full_size(flow, &face);
    let reference = reference(job);
    let expected = match reference {
        Some(reference) => {
            format!("ohms to {} at rest", job.project.terminal_name(reference))
        }
        None => "ohms".to_owned(),
    };
    let mut table = Table::new(&[
        ">cavity", "wire", "colour", ">size", "circuit", "to", "terminal", &expected, "measured",
        "in",
    ]);
    for cavity in 1..=block.count() {
        rows_of(job, block, cavity, reference, &mut table);
    }
    flow.table(&format!("connector-{name}"), table);
}

/// Wires of one use that end at a terminal, with their far ends.
fn wires_at<'a>(
    job: &Job<'a>,
    terminal: TerminalRef,
    usage: WireUse,
) -> Vec<(&'a Wire, TerminalRef)> {
    let ids = job.ends.get(&terminal).into_iter().flatten();
    ids.filter_map(|id| job.project.wires.get(*id))
        .filter(|wire| wire.usage == usage)
        .map(|wire| {
            let is_from = wire.from.terminal == terminal;
            (wire, if is_from { wire.to.terminal } else { wire.from.terminal })
        })
        .collect()
}

fn filling(job: &Job<'_>, block: &Block<'_>, cavity: u16) -> Filling {
    let terminal = block.terminal(cavity);
    if let Some((wire, _)) = wires_at(job, terminal, WireUse::Harness).first() {
        return Filling::Wire(wire.colour);
    }
    if !wires_at(job, terminal, WireUse::Internal).is_empty() {
        return Filling::Existing;
    }
    match block.fill_of(cavity) {
        CavityFill::Existing => Filling::Existing,
        CavityFill::Plug => Filling::Plug,
        CavityFill::Free => Filling::Empty,
    }
}

/// The far end of the first pin's network: where the black lead stays.
fn reference(job: &Job<'_>) -> Option<TerminalRef> {
    let (_, pin) = job.project.sense_pins.iter().next()?;
    (job.ends.len() <= MAX_EXPECTED).then_some(pin.reference)
}

fn rows_of(
    job: &Job<'_>,
    block: &Block<'_>,
    cavity: u16,
    reference: Option<TerminalRef>,
    table: &mut Table,
) {
    let terminal = block.terminal(cavity);
    let wires = wires_at(job, terminal, WireUse::Harness);
    let inner = wires_at(job, terminal, WireUse::Internal);
    let circuit = block.circuit_of(cavity);
    let expected = reference.map(|reference| expected(job, terminal, reference));
    if wires.is_empty() && !inner.is_empty() {
        let far: Vec<String> =
            inner.iter().map(|(_, far)| job.project.terminal_name(*far)).collect();
        table.row(vec![
            Cell::Strong(cavity.to_string()),
            "inside the box".into(),
            "".into(),
            "".into(),
            circuit.into(),
            far.join(", ").into(),
            "".into(),
            expected.unwrap_or_default().into(),
            Cell::Blank,
            "".into(),
        ]);
        return;
    }
    if wires.is_empty() {
        let what = match (block.fill_of(cavity), block.half.end_kind) {
            (CavityFill::Existing, _) => "wire that was there before",
            (CavityFill::Plug, _) => "empty: sealing plug",
            (CavityFill::Free, EndKind::Sealed) => "empty: needs a sealing plug",
            (
                CavityFill::Free,
                EndKind::Inline | EndKind::Tag | EndKind::Splice | EndKind::Ring,
            ) => "empty",
        };
        table.row(vec![
            Cell::Strong(cavity.to_string()),
            what.into(),
            "".into(),
            "".into(),
            circuit.into(),
            "".into(),
            "".into(),
            "".into(),
            "".into(),
            Cell::Tick,
        ]);
        return;
    }
    for (wire, far) in wires {
        let carries = if wire.circuit.is_empty() { circuit } else { wire.circuit.as_str() };
        table.row(vec![
            Cell::Strong(cavity.to_string()),
            Cell::Strong(wire.name.clone()),
            Cell::Wire(wire.colour),
            wire.size.text().into(),
            carries.into(),
            job.project.terminal_name(far).into(),
            Cell::Blank,
            Cell::or_blank(expected.clone()),
            Cell::Blank,
            Cell::Tick,
        ]);
    }
}

fn expected(job: &Job<'_>, terminal: TerminalRef, reference: TerminalRef) -> String {
    if terminal == reference {
        return "black lead here".into();
    }
    match job.reader.meter_ohm(&State::rest(), terminal, reference) {
        MeterReading::Value(ohm) => ohms(ohm),
        MeterReading::Open => "open".into(),
        MeterReading::Floating(_) | MeterReading::Impossible(_) => "not known".into(),
    }
}

/// Picture of the plug a sense pin sits in, for the owner page.
pub fn draw_plug(job: &Job<'_>, flow: &mut Flow<'_>, part: PartId) {
    for block in blocks(job.project).iter().filter(|block| block.id == part) {
        let fillings = (1..=block.count()).map(|cavity| filling(job, block, cavity));
        let face = FaceOf { view: block.view, fillings: fillings.collect() };
        draw_both(flow, &face);
    }
}
