//! Paints the drawing itself: wires, parts, joints, and what is written on them.

use std::collections::{BTreeMap, BTreeSet};

use egui::Mesh;

use crate::app::canvas::base::{Base, SPECK_SCALE, add_speck, dot_radius, paint_round_dots};
use crate::app::canvas::hand::item_of;
use crate::app::canvas::paint::{Brush, Texts, paint_fault, paint_halo};
use crate::app::canvas::rows::WireRow;
use crate::app::canvas::scene::{Scene, resistor_sign};
use crate::app::canvas::symbols::{SymbolTones, paint_marks};
use crate::app::canvas::wires::{self, WireLook, WireMesh};
use crate::app::view::View;
use crate::drawing::{self, Hit, SymbolLook};
use crate::edit::Item;
use crate::geometry::{Point, Rect};
use crate::model::{Part, PartId, PartKind, TerminalRef, WireId, cavity_of_terminal};

/// What of the drawing stands out, and how.
struct Emphasis<'a> {
    view: View<'a>,
    live_parts: &'a BTreeSet<PartId>,
    live_wires: &'a BTreeSet<WireId>,
    hovered: Option<Item>,
}

impl Emphasis<'_> {
    fn look(&self, id: WireId) -> WireLook {
        WireLook {
            is_live: self.live_wires.contains(&id),
            is_selected: self.is_selected(Item::Wire(id)),
            is_hovered: self.hovered == Some(Item::Wire(id)),
        }
    }

    fn is_selected(&self, item: Item) -> bool {
        self.view.selection.contains(&item)
    }

    /// Wires that do not look as usual, by identity.
    fn wires(&self) -> BTreeSet<WireId> {
        let wire = |item: &Item| match item {
            Item::Wire(id) => Some(*id),
            Item::Part(_) | Item::Frame(_) => None,
        };
        self.with_chosen(self.live_wires, wire)
    }

    /// Parts that do not look as usual, by identity.
    fn parts(&self) -> BTreeSet<PartId> {
        let part = |item: &Item| match item {
            Item::Part(id) => Some(*id),
            Item::Wire(_) | Item::Frame(_) => None,
        };
        self.with_chosen(self.live_parts, part)
    }

    /// What is live, selected or under the pointer.
    fn with_chosen<T: Copy + Ord>(
        &self,
        live: &BTreeSet<T>,
        of: impl Fn(&Item) -> Option<T>,
    ) -> BTreeSet<T> {
        let chosen = self.view.selection.iter().chain(&self.hovered).filter_map(of);
        live.iter().copied().chain(chosen).collect()
    }
}

/// Wires, parts, joints and what is written on them.
pub fn paint_drawing(
    brush: &Brush<'_>,
    texts: &mut Texts,
    view: View<'_>,
    (scene, base): (&mut Scene, &mut Base),
    hover: Option<Hit>,
) {
    let nothing = (BTreeSet::new(), BTreeSet::new());
    let live = view.pin.and_then(|pin| view.derived.live(pin));
    let live = live.map(|live| (&live.parts, &live.wires));
    let faulty = view.studies.as_if.shown();
    let live = faulty.map(|shown| (&shown.parts, &shown.wires)).or(live);
    let (live_parts, live_wires) = live.unwrap_or((&nothing.0, &nothing.1));
    let emphasis = Emphasis { view, live_parts, live_wires, hovered: hover.map(item_of) };
    paint_wires(brush, scene, base, &emphasis);
    paint_parts(brush, texts, scene, &emphasis, hover);
    if brush.lens.scale() >= wires::LABEL_SCALE {
        let seen = brush.lens.sheet_rect();
        for row in scene.rows.in_view(seen) {
            wires::keep_off(brush, texts, &row.run);
        }
        for row in scene.rows.in_view(seen) {
            if let Some(wire) = view.project.wires.get(row.id) {
                wires::add_label(brush, texts, wire, &row.run, emphasis.look(row.id));
            }
        }
    }
    for item in faulty.iter().flat_map(|shown| &shown.items) {
        let Some(rect) = scene.item_rect(view.project, *item) else { continue };
        paint_fault(brush, rect);
        texts.keep_off(brush.lens.screen_rect(rect));
    }
}

/// All wires and their dots; live and selected ones lie above the others, their halos below all.
fn paint_wires(brush: &Brush<'_>, scene: &Scene, base: &mut Base, emphasis: &Emphasis<'_>) {
    let seen = brush.lens.sheet_rect().grown(2.0);
    let standing_out: Vec<&WireRow> = emphasis
        .wires()
        .into_iter()
        .filter_map(|id| scene.rows.get(id))
        .filter(|row| row.rect.touches(seen))
        .collect();
    for row in &standing_out {
        wires::paint_below(brush, row, emphasis.look(row.id));
    }
    base.paint(brush, scene);
    let mut above = WireMesh::new(brush, Mesh::default());
    for row in standing_out {
        above.add(row, emphasis.look(row.id));
    }
    brush.painter.add(above.done());
    paint_round_dots(brush, scene);
    paint_live_dots(brush, emphasis, scene);
}

/// All parts with their words, halos and terminals.
fn paint_parts(
    brush: &Brush<'_>,
    texts: &mut Texts,
    scene: &mut Scene,
    emphasis: &Emphasis<'_>,
    hover: Option<Hit>,
) {
    let (view, palette) = (emphasis.view, brush.palette);
    let halo = |id: PartId, rect: Rect| {
        let is_selected = emphasis.is_selected(Item::Part(id));
        if is_selected || emphasis.hovered == Some(Item::Part(id)) {
            paint_halo(brush, rect, is_selected);
        }
    };
    if brush.lens.scale() < SPECK_SCALE {
        let mut mesh = Mesh::default();
        for id in emphasis.parts() {
            let Some(rect) = scene.rects.get(&id) else { continue };
            halo(id, *rect);
            if emphasis.live_parts.contains(&id) {
                add_speck(&mut mesh, brush.lens.screen_rect(*rect), palette.live);
            }
        }
        brush.painter.add(mesh);
        return;
    }
    let lit = lit_cavities(view, emphasis.live_wires);
    let ids: Vec<PartId> = scene.parts_in(brush.lens.sheet_rect()).collect();
    for id in &ids {
        let Some(part) = view.project.parts.get(*id) else { continue };
        let rect = drawing::part_rect(part);
        halo(*id, rect);
        let is_live = emphasis.live_parts.contains(id);
        paint_part(brush, texts, view, scene, (*id, part), (is_live, lit.get(id)));
        texts.keep_off(brush.lens.screen_rect(rect).shrink(1.0));
    }
    paint_terminals(brush, view, scene, &ids, hover);
}

fn paint_part(
    brush: &Brush<'_>,
    texts: &mut Texts,
    view: View<'_>,
    scene: &mut Scene,
    (id, part): (PartId, &Part),
    (is_live, lit): (bool, Option<&BTreeSet<u16>>),
) {
    let palette = brush.palette;
    let is_contact = matches!(part.kind, PartKind::Contact(_));
    // A contact no control moves is dead for good, and looks it.
    let is_dead = is_contact && !scene.is_moved(id);
    let is_box =
        matches!(part.kind, PartKind::Supply(_) | PartKind::Controller(_) | PartKind::Connector(_));
    let tones = if is_live && !is_box {
        SymbolTones::one(brush, palette.live)
    } else if is_dead {
        SymbolTones::one(brush, palette.quiet)
    } else {
        SymbolTones::plain(brush)
    };
    let look = SymbolLook {
        throw: scene.throw(id),
        resistor_sign: resistor_sign(view.preferences.sign),
        lit_cavities: lit.into_iter().flatten().copied().collect(),
    };
    if is_live && !is_box {
        let joined = match &part.kind {
            PartKind::Contact(contact) => contact.form.joined(look.throw),
            _ => (part.kind.terminal_count() == 2).then_some((0, 1)),
        };
        if let Some((a, b)) = joined {
            wires::paint_glow(brush, [a, b].map(|terminal| drawing::terminal_pos(part, terminal)));
        }
    }
    let marks = scene.marks(id, part, look);
    paint_marks(brush, texts, marks, &tones);
}

/// Cavities to light: the sense pin that is shown, and those the live path goes through.
fn lit_cavities(view: View<'_>, live_wires: &BTreeSet<WireId>) -> BTreeMap<PartId, BTreeSet<u16>> {
    let mut lit: BTreeMap<PartId, BTreeSet<u16>> = BTreeMap::new();
    let mut light = |terminal: TerminalRef| {
        let cavity = match view.project.parts.get(terminal.part).map(|part| &part.kind) {
            Some(PartKind::Controller(_)) => terminal.terminal + 1,
            Some(PartKind::Connector(_)) => cavity_of_terminal(terminal.terminal).0,
            _ => return,
        };
        lit.entry(terminal.part).or_default().insert(cavity);
    };
    if let Some(pin) = view.pin.and_then(|pin| view.project.sense_pins.get(pin)) {
        light(pin.terminal);
    }
    for wire in live_wires.iter().filter_map(|id| view.project.wires.get(*id)) {
        light(wire.from.terminal);
        light(wire.to.terminal);
    }
    lit
}

/// Lights the dots the live path goes through.
fn paint_live_dots(brush: &Brush<'_>, emphasis: &Emphasis<'_>, scene: &Scene) {
    let seen = brush.lens.sheet_rect();
    let live: Vec<&WireRow> =
        emphasis.live_wires.iter().filter_map(|id| scene.rows.get(*id)).collect();
    let is_on = |run: &[Point], at: Point| {
        run.windows(2).any(|pair| Rect::spanning(pair[0], pair[1]).contains(at))
    };
    let wires = emphasis.live_wires.iter().filter_map(|id| emphasis.view.project.wires.get(*id));
    let ends: BTreeSet<TerminalRef> =
        wires.flat_map(|wire| [wire.from.terminal, wire.to.terminal]).collect();
    let dots = ends.iter().filter_map(|at| scene.meets.get(at)).flat_map(|meet| &meet.dots);
    for at in dots.filter(|at| seen.contains(**at)) {
        if live.iter().any(|row| is_on(&row.run, *at)) {
            brush.painter.circle_filled(brush.pos(*at), dot_radius(brush), brush.palette.live);
        }
    }
}

/// Small rings where a wire may still begin, and the terminal under the pointer.
fn paint_terminals(
    brush: &Brush<'_>,
    view: View<'_>,
    scene: &Scene,
    ids: &[PartId],
    hover: Option<Hit>,
) {
    let scale = brush.lens.scale();
    for id in ids {
        let Some(part) = view.project.parts.get(*id) else { continue };
        let is_many = matches!(part.kind, PartKind::Connector(_) | PartKind::Controller(_));
        for terminal in (0..part.kind.terminal_count()).filter(|t| part.kind.has_terminal(*t)) {
            let at = TerminalRef { part: *id, terminal };
            let n_ends = scene.n_ends(at);
            let is_dot = matches!(
                part.kind,
                PartKind::Splice { .. } | PartKind::TestPoint | PartKind::Element(_)
            );
            let pos = brush.pos(drawing::terminal_pos(part, terminal));
            if n_ends == 0 && !is_many && !is_dot {
                let pen = egui::Stroke::new(1.2, brush.palette.quiet);
                brush.painter.circle(pos, (0.55 * scale).clamp(1.6, 4.0), brush.palette.sheet, pen);
            }
            if hover == Some(Hit::Terminal(at)) {
                let pen = egui::Stroke::new(2.0, brush.palette.chosen);
                brush.painter.circle_stroke(pos, (1.3 * scale).clamp(5.0, 9.0), pen);
            }
        }
    }
}
