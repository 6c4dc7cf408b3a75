//! What a pointer does on the layout, as one pure function from hand and input to hand and deeds.
//!
//! It knows nothing of the screen: places are in millimetres of the layout, and what lies under
//! them comes with the input.

use crate::app::action::{Action, LayoutItem};
use crate::app::stages::route::hit::Hit;
use crate::edit::{Edit, Gesture, Item, free_name};
use crate::geometry::{Point, point};
use crate::harness::via_through;
use crate::model::{PartId, Place, PlaceId, Project, RunId, Underlay, WireId};

/// Grid that places snap to, in millimetres of the layout.
pub const GRID_MM: f64 = 2.5;
/// The picture is never made narrower than this.
const LEAST_PICTURE_MM: f64 = 10.0;

/// What the hand holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Hand {
    /// Nothing.
    #[default]
    Idle,
    /// A place; the way from its dot to where it was grabbed, and the undo step.
    Moving(PlaceId, Point, Gesture),
    /// The end of a new run; where it begins and where the pointer is.
    Drawing(PlaceId, Point),
    /// Parts on their way to a place; what they are called, and where the pointer is.
    Carrying(Vec<PartId>, String, Option<Point>),
    /// The route of a wire, grabbed at one of its runs; where the pointer is.
    Pinning(WireId, RunId, Point),
    /// The picture, as it lay when it was grabbed.
    Picture(Box<PictureGrip>),
    /// A stretch that is being measured: its first end, once it is set.
    Measuring(Option<Point>, Option<Point>),
    /// The ground: the layout moves under the view.
    Panning,
}

/// The picture in the hand.
#[derive(Clone, Debug, PartialEq)]
pub struct PictureGrip {
    /// As it lay.
    pub start: Underlay,
    /// Where it was grabbed.
    pub grabbed: Point,
    /// Whether its lower right corner was grabbed: then it grows.
    pub by_corner: bool,
    /// The undo step.
    pub gesture: Gesture,
}

/// One thing the pointer or a key did.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Input {
    /// A short press.
    Click(Point, Option<Hit>),
    /// Two short presses.
    DoubleClick(Point, Option<Hit>),
    /// A press that became a drag, with whether Alt is down.
    Grab(Point, Option<Hit>, bool),
    /// The pointer goes on, with or without a button.
    Go(Point),
    /// The button was let go over this place, or none.
    Drop(Point, Option<PlaceId>),
    /// A stretch is to be measured.
    Measure,
    /// The escape key.
    Cancel,
}

/// What came of an input.
#[derive(Clone, Debug, PartialEq)]
pub enum Deed {
    /// An action of the window.
    Act(Action),
    /// A new place wants a name.
    NewPlace(Point),
    /// A place wants another name.
    Rename(PlaceId),
    /// The length of a run is to be typed.
    TypeLength(RunId),
    /// A run was drawn between two places; its length is to be typed.
    AskRun([PlaceId; 2]),
    /// A stretch was marked; its length on the machine is to be typed.
    AskScale([Point; 2]),
    /// Parts were let go on free ground: a new place for them.
    PlaceFor(Vec<PartId>, Point),
}

/// What a gesture may look at.
#[derive(Clone, Copy)]
pub struct Ground<'a> {
    /// The project.
    pub project: &'a Project,
    /// What is selected on the layout.
    pub layout: Option<LayoutItem>,
    /// The one wire that is selected, and the runs it takes.
    pub wire: Option<(WireId, &'a [RunId])>,
    /// How near counts as on the corner of the picture, in millimetres.
    pub reach_mm: f64,
    /// The lower right corner of the picture.
    pub picture_corner: Option<Point>,
    /// The undo step of a gesture that begins now.
    pub gesture: Gesture,
}

/// One step: what the hand holds afterwards, and what it did.
pub fn step(hand: Hand, input: Input, ground: &Ground<'_>) -> (Hand, Vec<Deed>) {
    match input {
        Input::Measure => (Hand::Measuring(None, None), Vec::new()),
        Input::Cancel if hand == Hand::Idle => (hand, vec![select(None)]),
        Input::Cancel => (Hand::Idle, Vec::new()),
        Input::Click(at, hit) => click(hand, at, hit),
        Input::DoubleClick(at, hit) => (hand, double_click(at, hit)),
        Input::Grab(at, hit, is_moving) => grab(hand, at, (hit, is_moving), ground),
        Input::Go(at) => go(hand, at, ground),
        Input::Drop(at, over) => drop_at(hand, at, over, ground),
    }
}

fn select(item: Option<LayoutItem>) -> Deed {
    Deed::Act(Action::SelectLayout(item))
}

fn click(hand: Hand, at: Point, hit: Option<Hit>) -> (Hand, Vec<Deed>) {
    match hand {
        Hand::Measuring(None, _) => return (Hand::Measuring(Some(at), Some(at)), Vec::new()),
        Hand::Measuring(Some(first), _) if first.distance(at) > 0.0 => {
            return (Hand::Idle, vec![Deed::AskScale([first, at])]);
        }
        Hand::Measuring(Some(_), _) => return (hand, Vec::new()),
        Hand::Idle
        | Hand::Moving(..)
        | Hand::Drawing(..)
        | Hand::Carrying(..)
        | Hand::Pinning(..)
        | Hand::Picture(_)
        | Hand::Panning => {}
    }
    let deeds = match hit {
        Some(Hit::Dot(place) | Hit::Tag(place)) => vec![select(Some(LayoutItem::Place(place)))],
        Some(Hit::Run(run)) => {
            vec![select(Some(LayoutItem::Run(run))), Deed::TypeLength(run)]
        }
        Some(Hit::Chip(part)) => vec![Deed::Act(Action::Select([Item::Part(part)].into()))],
        None => vec![Deed::Act(Action::Select(Default::default())), select(None)],
    };
    (Hand::Idle, deeds)
}

fn double_click(at: Point, hit: Option<Hit>) -> Vec<Deed> {
    match hit {
        Some(Hit::Dot(place) | Hit::Tag(place)) => vec![Deed::Rename(place)],
        Some(Hit::Run(run)) => vec![Deed::TypeLength(run)],
        Some(Hit::Chip(_)) => vec![Deed::Act(Action::Run(crate::app::command::Command::Rename))],
        None => vec![Deed::NewPlace(at.snapped(GRID_MM))],
    }
}

fn grab(
    hand: Hand,
    at: Point,
    (hit, is_moving): (Option<Hit>, bool),
    ground: &Ground<'_>,
) -> (Hand, Vec<Deed>) {
    if matches!(hand, Hand::Measuring(..) | Hand::Carrying(..)) {
        return (hand, Vec::new());
    }
    let moving = |place: PlaceId| match ground.project.places.get(place) {
        Some(row) => (
            Hand::Moving(place, at - row.pos, ground.gesture),
            vec![select(Some(LayoutItem::Place(place)))],
        ),
        None => (Hand::Idle, Vec::new()),
    };
    match hit {
        Some(Hit::Dot(place)) => {
            // A dot is where runs begin; once it is selected, dragging moves it, as with splices.
            let is_selected = ground.layout == Some(LayoutItem::Place(place));
            if is_moving || is_selected {
                moving(place)
            } else {
                (Hand::Drawing(place, at), Vec::new())
            }
        }
        Some(Hit::Tag(place)) => moving(place),
        Some(Hit::Chip(part)) => {
            let name = ground.project.parts.get(part).map_or("?", |part| part.name.as_str());
            (Hand::Carrying(vec![part], name.to_owned(), Some(at)), Vec::new())
        }
        Some(Hit::Run(run)) => match ground.wire {
            Some((wire, runs)) if runs.contains(&run) => (Hand::Pinning(wire, run, at), Vec::new()),
            Some(_) | None => (Hand::Panning, Vec::new()),
        },
        None => grab_picture(at, ground),
    }
}

/// The picture moves only while it is selected, so that it never slips away by chance.
fn grab_picture(at: Point, ground: &Ground<'_>) -> (Hand, Vec<Deed>) {
    let Some(start) = &ground.project.underlay else { return (Hand::Panning, Vec::new()) };
    if ground.layout != Some(LayoutItem::Underlay) {
        return (Hand::Panning, Vec::new());
    }
    let corner = ground.picture_corner;
    let by_corner = corner.is_some_and(|corner| corner.distance(at) <= ground.reach_mm);
    let (start, gesture) = (start.clone(), ground.gesture);
    (Hand::Picture(Box::new(PictureGrip { start, grabbed: at, by_corner, gesture })), Vec::new())
}

fn go(hand: Hand, at: Point, ground: &Ground<'_>) -> (Hand, Vec<Deed>) {
    match hand {
        Hand::Moving(place, by, gesture) => {
            let pos = (at - by).snapped(GRID_MM);
            let moved = ground.project.places.get(place).filter(|row| row.pos != pos);
            let deeds = moved.map(|row| {
                let edit = Edit::SetPlace(place, Place { pos, ..row.clone() });
                Deed::Act(Action::Edit(edit, Some(gesture)))
            });
            (Hand::Moving(place, by, gesture), deeds.into_iter().collect())
        }
        Hand::Drawing(from, _) => (Hand::Drawing(from, at), Vec::new()),
        Hand::Carrying(parts, noun, _) => (Hand::Carrying(parts, noun, Some(at)), Vec::new()),
        Hand::Pinning(wire, run, _) => (Hand::Pinning(wire, run, at), Vec::new()),
        Hand::Measuring(first, _) => (Hand::Measuring(first, Some(at)), Vec::new()),
        Hand::Picture(grip) => {
            let edit = Edit::SetUnderlay(Some(Box::new(moved_picture(&grip, at))));
            let gesture = grip.gesture;
            (Hand::Picture(grip), vec![Deed::Act(Action::Edit(edit, Some(gesture)))])
        }
        Hand::Idle | Hand::Panning => (hand, Vec::new()),
    }
}

fn moved_picture(grip: &PictureGrip, at: Point) -> Underlay {
    let by = at - grip.grabbed;
    let start = &grip.start;
    if grip.by_corner {
        let width_mm = (start.width_mm + by.x_mm).max(LEAST_PICTURE_MM);
        return Underlay { width_mm, ..start.clone() };
    }
    Underlay { pos: start.pos + by, ..start.clone() }
}

fn drop_at(hand: Hand, at: Point, over: Option<PlaceId>, ground: &Ground<'_>) -> (Hand, Vec<Deed>) {
    match hand {
        Hand::Drawing(from, _) => match over {
            Some(to) if to != from => (Hand::Idle, vec![Deed::AskRun([from, to])]),
            Some(_) | None => (Hand::Idle, Vec::new()),
        },
        Hand::Carrying(parts, _, _) => match over {
            Some(place) => (Hand::Idle, seat(ground.project, &parts, place).into_iter().collect()),
            None => (Hand::Idle, vec![Deed::PlaceFor(parts, at.snapped(GRID_MM))]),
        },
        Hand::Pinning(wire, _, _) => {
            let pinned = over.and_then(|place| pin(ground.project, wire, place));
            (Hand::Idle, pinned.into_iter().map(Deed::Act).collect())
        }
        // Clicks measure; letting go of a press that slipped does nothing.
        Hand::Measuring(..) => (hand, Vec::new()),
        Hand::Idle | Hand::Moving(..) | Hand::Picture(_) | Hand::Panning => {
            (Hand::Idle, Vec::new())
        }
    }
}

/// Puts parts at a place; `None` where all of them sit there already.
pub fn seat(project: &Project, parts: &[PartId], place: PlaceId) -> Option<Deed> {
    let edits: Vec<Edit> = seated(project, parts, place);
    let name = project.places.get(place).map_or("?", |place| place.name.as_str());
    let edit = match (edits.len(), parts) {
        (0, _) => return None,
        (1, [part]) => {
            let part = project.parts.get(*part).map_or("?", |part| part.name.as_str());
            Edit::Together { title: format!("put {part} at {name}"), edits }
        }
        (n, _) => Edit::Together { title: format!("put {n} parts at {name}"), edits },
    };
    Some(Deed::Act(Action::Edit(edit, None)))
}

/// The edits that put parts at a place.
pub fn seated(project: &Project, parts: &[PartId], place: PlaceId) -> Vec<Edit> {
    let moved = parts.iter().filter_map(|id| {
        let mut part = project.parts.get(*id)?.clone();
        let is_moved = part.place.replace(place) != Some(place);
        is_moved.then(|| Edit::SetPart(*id, Box::new(part)))
    });
    moved.collect()
}

/// Sends a wire through a place.
pub fn pin(project: &Project, wire: WireId, place: PlaceId) -> Option<Action> {
    let row = project.wires.get(wire)?;
    let via = via_through(project, row, place);
    let is_changed = via != row.via;
    let edit = Edit::SetWire(wire, Box::new(crate::model::Wire { via, ..row.clone() }));
    is_changed.then_some(Action::Edit(edit, None))
}

/// A name no place has.
pub fn fresh_place_name(project: &Project) -> String {
    free_name("Place ", project.places.iter().map(|(_, place)| place.name.as_str()))
}

/// A free spot for a place that is typed: as near the middle of the view as there is room.
pub fn free_spot(project: &Project, middle: Point) -> Point {
    const STEP_MM: (f64, f64) = (30.0, 22.5);
    let middle = middle.snapped(GRID_MM);
    let is_free = |at: &Point| project.places.iter().all(|(_, p)| p.pos.distance(*at) >= 20.0);
    let ring = |ring: i32| {
        let across = (-ring..=ring).flat_map(move |x| (-ring..=ring).map(move |y| (x, y)));
        across.filter(move |(x, y)| x.abs().max(y.abs()) == ring)
    };
    let spots = (0..80)
        .flat_map(ring)
        .map(|(x, y)| middle + point(f64::from(x) * STEP_MM.0, f64::from(y) * STEP_MM.1));
    let mut spots = spots.filter(is_free);
    spots.next().unwrap_or(middle)
}

#[cfg(test)]
mod tests;
