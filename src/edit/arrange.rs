//! Moving, turning, mirroring, lining up and copying what stands on the sheet.

use std::collections::{BTreeMap, BTreeSet};

use crate::edit::edit_kind::{Edge, Item, Selection};
use crate::edit::names::{free_name, name_stem};
use crate::geometry::{Point, Rect, point};
use crate::model::{
    Control, ControlId, FrameId, HalfSide, Part, PartId, PartKind, Project, WireFit, WireId, limits,
};

/// Grid that turned and lined-up parts come back to, in millimetres.
const GRID_MM: f64 = 2.5;

/// Moves parts and frames, and the corners of wires whose both ends move along or that are selected alone.
pub fn move_by(project: &mut Project, items: &Selection, by: Point) {
    for item in items {
        match item {
            Item::Part(id) => {
                if let Some(part) = project.parts.get_mut(*id) {
                    part.pos = on_sheet(part.pos + by);
                }
            }
            Item::Frame(id) => {
                if let Some(frame) = project.frames.get_mut(*id) {
                    frame.rect = rect_on_sheet(frame.rect.moved(by));
                }
            }
            Item::Wire(_) => {}
        }
    }
    let moved: BTreeSet<PartId> = moved_parts(items);
    let wires: Vec<WireId> = project
        .wires
        .iter()
        .filter(|(_, w)| {
            !w.bends.is_empty()
                && moved.contains(&w.from.terminal.part)
                && moved.contains(&w.to.terminal.part)
        })
        .map(|(id, _)| id)
        .collect();
    for id in wires {
        if let Some(wire) = project.wires.get_mut(id) {
            for bend in &mut wire.bends {
                *bend = on_sheet(*bend + by);
            }
        }
    }
}

fn moved_parts(items: &Selection) -> BTreeSet<PartId> {
    items
        .iter()
        .filter_map(|item| match item {
            Item::Part(id) => Some(*id),
            Item::Wire(_) | Item::Frame(_) => None,
        })
        .collect()
}

/// Carries the origins of the parts about the middle of them all and changes each part.
pub fn about_middle(
    project: &mut Project,
    items: &Selection,
    carry: impl Fn(Point) -> Point,
    change: impl Fn(&mut Part),
) {
    let parts = moved_parts(items);
    let origins = parts.iter().filter_map(|id| project.parts.get(*id)).map(|part| part.pos);
    let Some(span) = origins.map(|p| Rect::spanning(p, p)).reduce(Rect::union) else { return };
    let middle = span.centre().snapped(GRID_MM);
    for id in parts {
        if let Some(part) = project.parts.get_mut(id) {
            part.pos = on_sheet(middle + carry(part.pos - middle));
            change(part);
        }
    }
}

/// Lines parts up.
pub fn align(project: &mut Project, items: &Selection, edge: Edge) {
    let parts = moved_parts(items);
    let origins: Vec<Point> =
        parts.iter().filter_map(|id| project.parts.get(*id)).map(|part| part.pos).collect();
    let Some(span) = origins.iter().map(|p| Rect::spanning(*p, *p)).reduce(Rect::union) else {
        return;
    };
    let n = origins.len() as f64;
    let mean = origins.iter().fold(point(0.0, 0.0), |sum, p| sum + *p);
    let mean = point(mean.x_mm / n, mean.y_mm / n).snapped(GRID_MM);
    for id in parts {
        if let Some(part) = project.parts.get_mut(id) {
            match edge {
                Edge::Left => part.pos.x_mm = span.min.x_mm,
                Edge::Top => part.pos.y_mm = span.min.y_mm,
                Edge::Row => part.pos.y_mm = mean.y_mm,
                Edge::Column => part.pos.x_mm = mean.x_mm,
            }
        }
    }
}

/// Copies items, the wires between them and the controls that move only them.
pub fn duplicate(project: &mut Project, items: &Selection, by: Point) -> Selection {
    let mut copies = Selection::new();
    let mut copy_of: BTreeMap<PartId, PartId> = BTreeMap::new();
    for id in moved_parts(items) {
        let Some(mut part) = project.parts.get(id).cloned() else { continue };
        part.pos = on_sheet(part.pos + by);
        let (stem, numbered) = name_stem(&part.name);
        let stem = if numbered { stem.to_owned() } else { format!("{} ", part.name) };
        part.name = free_name(&stem, project.parts.iter().map(|(_, p)| p.name.as_str()));
        if let PartKind::Splice { on, .. } = &mut part.kind {
            *on = None;
        }
        let copy: PartId = project.fresh_id();
        project.parts.put(copy, part);
        copy_of.insert(id, copy);
        copies.insert(Item::Part(copy));
    }
    let mut wire_of: BTreeMap<WireId, WireId> = BTreeMap::new();
    let wires: Vec<_> = project.wires.iter().map(|(id, wire)| (id, wire.clone())).collect();
    for (old, mut wire) in wires {
        let (Some(from), Some(to)) =
            (copy_of.get(&wire.from.terminal.part), copy_of.get(&wire.to.terminal.part))
        else {
            continue;
        };
        wire.from.terminal.part = *from;
        wire.to.terminal.part = *to;
        for bend in &mut wire.bends {
            *bend = on_sheet(*bend + by);
        }
        let (stem, _) = name_stem(&wire.name);
        wire.name = free_name(stem, project.wires.iter().map(|(_, w)| w.name.as_str()));
        let id: WireId = project.fresh_id();
        project.wires.put(id, wire);
        wire_of.insert(old, id);
        copies.insert(Item::Wire(id));
    }
    for item in items {
        if let Item::Frame(id) = item
            && let Some(mut frame) = project.frames.get(*id).cloned()
        {
            frame.rect = rect_on_sheet(frame.rect.moved(by));
            let copy: FrameId = project.fresh_id();
            project.frames.put(copy, frame);
            copies.insert(Item::Frame(copy));
        }
    }
    duplicate_controls(project, &copy_of);
    duplicate_ends(project, &copy_of, &wire_of);
    copies
}

/// What is written down about wire ends goes with the copies: of halves, and of copied wires. A marker
/// names one wire and is not copied.
fn duplicate_ends(
    project: &mut Project,
    copy_of: &BTreeMap<PartId, PartId>,
    wire_of: &BTreeMap<WireId, WireId>,
) {
    for (part, copy) in copy_of {
        for side in [HalfSide::First, HalfSide::Second] {
            if let Some(fit) = project.cutting.half_fits.get((*part, side)).cloned() {
                project.cutting.half_fits.put((*copy, side), fit);
            }
        }
    }
    for (wire, copy) in wire_of {
        if let Some(fit) = project.cutting.wire_fits.get(*wire).cloned() {
            let fit = WireFit { marker: String::new(), ..fit };
            if fit != WireFit::default() {
                project.cutting.wire_fits.put(*copy, fit);
            }
        }
    }
}

/// A control whose contacts were all copied is copied with them.
fn duplicate_controls(project: &mut Project, copy_of: &BTreeMap<PartId, PartId>) {
    let controls: Vec<Control> =
        project.controls.iter().map(|(_, control)| control.clone()).collect();
    for mut control in controls {
        let mut moves = control.positions.iter().flat_map(|p| p.throws.keys()).peekable();
        if moves.peek().is_none() || !moves.all(|part| copy_of.contains_key(part)) {
            continue;
        }
        for position in &mut control.positions {
            position.throws = position
                .throws
                .iter()
                .filter_map(|(part, throw)| Some((*copy_of.get(part)?, *throw)))
                .collect();
        }
        let (stem, numbered) = name_stem(&control.name);
        let stem = if numbered { stem.to_owned() } else { format!("{} ", control.name) };
        control.name = free_name(&stem, project.controls.iter().map(|(_, c)| c.name.as_str()));
        let id: ControlId = project.fresh_id();
        project.controls.put(id, control);
    }
}

/// The nearest point that lies on the sheet at all; a kilometre from the origin, nobody looks.
fn on_sheet(p: Point) -> Point {
    let bound = limits::SHEET_MM;
    point(p.x_mm.clamp(bound.least, bound.most), p.y_mm.clamp(bound.least, bound.most))
}

fn rect_on_sheet(rect: Rect) -> Rect {
    Rect { min: on_sheet(rect.min), max: on_sheet(rect.max) }
}
