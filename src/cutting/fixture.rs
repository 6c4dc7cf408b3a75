//! A small machine for the tests of this module: two parts, two places, one run of a metre.

use crate::geometry::{Flip, Turn, point};
use crate::model::{
    Colour, End, Fuse, Part, PartId, PartKind, Place, PlaceId, Project, Run, RunId, TerminalRef,
    Wire, WireId, WireSize, WireUse,
};

/// The project, and its parts `A` and `B` at either end of the run.
pub fn parallel_pair() -> (Project, PartId, PartId) {
    let mut project = Project::empty("two fuses");
    let places: [PlaceId; 2] = [project.fresh_id(), project.fresh_id()];
    for (place, name) in places.into_iter().zip(["bow", "stern"]) {
        project.places.put(place, Place { name: name.into(), pos: point(0.0, 0.0) });
    }
    let run: RunId = project.fresh_id();
    let [from, to] = places;
    let name = "along the floor".to_owned();
    project.runs.put(
        run,
        Run { name, from, to, length_mm: 1000.0, loop_mm: None, laid: Default::default() },
    );
    let [a, b] = [0, 1].map(|i| {
        let id: PartId = project.fresh_id();
        let part = Part {
            name: ["A", "B"][i].into(),
            label: String::new(),
            kind: PartKind::Fuse(Fuse { rating_amp: 5.0, cold_ohm: 0.02 }),
            pos: point(0.0, 0.0),
            turn: Turn::default(),
            flip: Flip::default(),
            place: Some(places[i]),
        };
        project.parts.put(id, part);
        id
    });
    (project, a, b)
}

/// Adds a wire between the first terminals of two parts.
pub fn wire_between(
    project: &mut Project,
    name: &str,
    parts: [PartId; 2],
    size: WireSize,
    colour: &str,
) -> WireId {
    let id: WireId = project.fresh_id();
    let [from, to] =
        parts.map(|part| End { terminal: TerminalRef { part, terminal: 0 }, kind: None });
    let wire = Wire {
        name: name.into(),
        circuit: "feed, \"fused\"".into(),
        from,
        to,
        bends: Vec::new(),
        size,
        colour: Colour::from_text(colour).unwrap(),
        usage: WireUse::Harness,
        via: Vec::new(),
        typed_length_mm: None,
        make: Default::default(),
    };
    project.wires.put(id, wire);
    id
}
