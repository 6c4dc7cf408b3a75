//! Bending a wire's route by hand: through a place, past it again, and what is missing where there is none.

use crate::harness::layout::Layout;
use crate::harness::lengths::end_places;
use crate::model::{PlaceId, Project, Wire};

/// First end, places that must be passed, other end; `None` while an end has no place.
fn stops(project: &Project, wire: &Wire) -> Option<Vec<PlaceId>> {
    let [from, to] = end_places(project, wire);
    let mut stops = vec![from?];
    stops.extend(wire.via.iter().copied());
    stops.push(to?);
    Some(stops)
}

/// The places a wire must pass once it is sent through `place` as well.
///
/// The place goes between the two stops where it makes the route least longer; of equal ones the
/// first wins. Where no run leads there, or an end has no place, it goes last. A place the wire
/// must pass already, and the place of an end, change nothing. Cost: one tree of shortest routes for
/// each stop.
pub fn via_through(project: &Project, wire: &Wire, place: PlaceId) -> Vec<PlaceId> {
    let mut via = wire.via.clone();
    let layout = Layout::new(project);
    if via.contains(&place) || end_places(project, wire).contains(&Some(place)) {
        return via;
    }
    let added = |pair: &[PlaceId]| -> Option<f64> {
        let tree = layout.tree(place)?;
        let detour = layout.length_mm(&tree, pair[0])? + layout.length_mm(&tree, pair[1])?;
        let straight = layout.length_mm(&layout.tree(pair[0])?, pair[1])?;
        Some(detour - straight)
    };
    let legs = stops(project, wire).unwrap_or_default();
    let best = legs
        .windows(2)
        .enumerate()
        .filter_map(|(at, pair)| Some((at, added(pair)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    via.insert(best.map_or(via.len(), |(at, _)| at), place);
    via
}

/// The places a wire must pass once it need not pass `place` any more.
pub fn without_via(wire: &Wire, place: PlaceId) -> Vec<PlaceId> {
    wire.via.iter().copied().filter(|via| *via != place).collect()
}

/// The run that is missing for a wire without a route: the two places that lie nearest to each other
/// on the drawing, one on this side of the gap and one on the other. `None` where there is a route,
/// or an end has no place.
pub fn missing_run(project: &Project, wire: &Wire) -> Option<[PlaceId; 2]> {
    let layout = Layout::new(project);
    let stops = stops(project, wire)?;
    stops.windows(2).find_map(|pair| {
        let (here, there) = (layout.tree(pair[0])?, layout.tree(pair[1])?);
        if layout.route(&here, pair[1]).is_some() {
            return None;
        }
        let spots = |tree| -> Vec<(PlaceId, crate::geometry::Point)> {
            let places = layout.reached(tree);
            places.into_iter().filter_map(|id| Some((id, project.places.get(id)?.pos))).collect()
        };
        let (here, there) = (spots(&here), spots(&there));
        let pairs = here.iter().flat_map(|a| there.iter().map(move |b| (a, b)));
        pairs
            .min_by(|(a, b), (c, d)| a.1.distance(b.1).total_cmp(&c.1.distance(d.1)))
            .map(|(a, b)| [a.0, b.0])
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, apply, parse_placing};
    use crate::geometry::point;
    use crate::harness::wire_lengths;
    use crate::model::{
        BaseColour, Colour, End, PartId, Place, Run, TerminalRef, WireId, WireSize, WireUse,
    };

    /// Places on a line and above it, runs between them, a wire from the first place to the last.
    fn machine(
        spots: &[(f64, f64)],
        runs: &[(usize, usize, f64)],
    ) -> (Project, Vec<PlaceId>, WireId) {
        let mut project = Project::empty("test");
        let mut places = Vec::new();
        for (x_mm, y_mm) in spots {
            let id = project.fresh_id();
            let name = format!("P{}", places.len());
            project.places.put(id, Place { name, pos: point(*x_mm, *y_mm) });
            places.push(id);
        }
        for (a, b, length_mm) in runs {
            let (name, from, to) = (format!("{a} to {b}"), places[*a], places[*b]);
            let row = Run {
                name,
                from,
                to,
                length_mm: *length_mm,
                loop_mm: None,
                laid: Default::default(),
            };
            apply(&mut project, Edit::AddRun(row)).unwrap();
        }
        for place in [places[0], *places.last().unwrap()] {
            let placed = Edit::Place(parse_placing("4k7").unwrap());
            apply(&mut project, placed).unwrap();
            let id = project.parts.ids().last().unwrap();
            project.parts.get_mut(id).unwrap().place = Some(place);
        }
        let ends: Vec<PartId> = project.parts.ids().collect();
        let end = |part| End { terminal: TerminalRef { part, terminal: 0 }, kind: None };
        let wire = Wire {
            name: "W1".into(),
            circuit: String::new(),
            from: end(ends[0]),
            to: end(ends[1]),
            bends: Vec::new(),
            size: WireSize::Mm2(0.5),
            colour: Colour { base: BaseColour::Red, tracer: None },
            usage: WireUse::Harness,
            via: Vec::new(),
            typed_length_mm: None,
            make: Default::default(),
        };
        apply(&mut project, Edit::AddWire(wire)).unwrap();
        let id = project.wires.ids().next().unwrap();
        (project, places, id)
    }

    #[test]
    fn a_place_goes_where_it_makes_the_way_least_longer() {
        // 0 - 1 - 2 - 3 in a row, 4 above between 0 and 1, 5 above between 2 and 3.
        let spots = [(0.0, 0.0), (10.0, 0.0), (20.0, 0.0), (5.0, 5.0), (25.0, 5.0), (30.0, 0.0)];
        let runs = [
            (0, 1, 100.0),
            (1, 2, 100.0),
            (2, 5, 100.0),
            (0, 3, 80.0),
            (3, 1, 80.0),
            (2, 4, 80.0),
            (4, 5, 80.0),
        ];
        let (mut project, places, id) = machine(&spots, &runs);
        let routed = |project: &Project| wire_lengths(project)[&id].clone().unwrap().routed_mm;
        assert_eq!(routed(&project), 300.0);
        let wire = project.wires.get(id).unwrap().clone();
        let via = via_through(&project, &wire, places[4]);
        assert_eq!(via, [places[4]]);
        project.wires.get_mut(id).unwrap().via = via;
        let wire = project.wires.get(id).unwrap().clone();
        let both = via_through(&project, &wire, places[3]);
        assert_eq!(both, [places[3], places[4]], "before, not behind: 420 mm instead of 900");
        project.wires.get_mut(id).unwrap().via = both;
        assert_eq!(routed(&project), 420.0);
        let wire = project.wires.get(id).unwrap().clone();
        assert_eq!(via_through(&project, &wire, places[3]), wire.via, "once is enough");
        assert_eq!(via_through(&project, &wire, places[0]), wire.via, "it begins there anyway");
        assert_eq!(without_via(&wire, places[3]), [places[4]]);
    }

    #[test]
    fn the_missing_run_is_the_shortest_that_closes_the_gap() {
        let spots = [(0.0, 0.0), (10.0, 0.0), (14.0, 0.0), (40.0, 0.0)];
        let (mut project, places, id) = machine(&spots, &[(0, 1, 100.0), (2, 3, 100.0)]);
        let wire = project.wires.get(id).unwrap().clone();
        assert!(wire_lengths(&project)[&id].is_err());
        assert_eq!(missing_run(&project, &wire), Some([places[1], places[2]]));
        let (name, from, to) = ("gap".to_owned(), places[1], places[2]);
        let row = Run { name, from, to, length_mm: 40.0, loop_mm: None, laid: Default::default() };
        apply(&mut project, Edit::AddRun(row)).unwrap();
        assert_eq!(missing_run(&project, &wire), None);
        assert_eq!(wire_lengths(&project)[&id].clone().unwrap().routed_mm, 240.0);
        project.parts.get_mut(wire.from.terminal.part).unwrap().place = None;
        assert_eq!(missing_run(&project, &wire), None, "an end without a place is another matter");
    }
}
