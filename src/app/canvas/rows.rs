//! Wires as plain rows in the order they are painted, so that thousands are passed in no time.

use std::collections::{BTreeMap, BTreeSet};

use crate::app::canvas::scene::run_rect;
use crate::geometry::{Point, Rect};
use crate::model::{BaseColour, Project, Wire, WireId, WireUse};

/// What a wire looks like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Skin {
    /// Inside a box: a plain line.
    Bare,
    /// In the harness: its insulation.
    Insulated {
        /// Colour of the insulation.
        base: BaseColour,
        /// Colour of the tracer.
        tracer: Option<BaseColour>,
        /// Width on the sheet in millimetres; grows with the conductor.
        width_mm: f32,
    },
}

impl Skin {
    /// What a wire looks like.
    pub fn of(wire: &Wire) -> Self {
        match wire.usage {
            WireUse::Internal => Self::Bare,
            WireUse::Harness => Self::Insulated {
                base: wire.colour.base,
                tracer: wire.colour.tracer,
                width_mm: 0.55 + 0.28 * (wire.size.area_mm2().clamp(0.05, 25.0) as f32).sqrt(),
            },
        }
    }

    /// Width on the screen in points, the ink edges of a harness wire not counted.
    pub fn width(self, scale: f32) -> f32 {
        match self {
            Self::Bare => (0.5 * scale).clamp(1.0, 6.0),
            Self::Insulated { width_mm, .. } => (width_mm * scale).clamp(1.6, 18.0),
        }
    }
}

/// One drawn wire.
#[derive(Clone, Debug, PartialEq)]
pub struct WireRow {
    /// The wire.
    pub id: WireId,
    /// The least rectangle around its run.
    pub rect: Rect,
    /// Its run; at least one point.
    pub run: Vec<Point>,
    /// What it looks like.
    pub skin: Skin,
}

impl WireRow {
    fn of(id: WireId, wire: &Wire, run: &[Point]) -> Option<Self> {
        Some(Self { id, rect: run_rect(run)?, run: run.to_vec(), skin: Skin::of(wire) })
    }
}

/// All drawn wires, by identity.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WireRows(Vec<WireRow>);

impl WireRows {
    /// Rows of all wires that have a run.
    pub fn of(project: &Project, paths: &BTreeMap<WireId, Vec<Point>>) -> Self {
        let row = |(id, wire)| WireRow::of(id, wire, paths.get(&id)?);
        Self(project.wires.iter().filter_map(row).collect())
    }

    /// Brings some rows up to date, where no wire came or went.
    pub fn renew(
        &mut self,
        project: &Project,
        paths: &BTreeMap<WireId, Vec<Point>>,
        stale: &BTreeSet<WireId>,
    ) {
        let fresh = |id: WireId| WireRow::of(id, project.wires.get(id)?, paths.get(&id)?);
        for id in stale {
            match (self.0.binary_search_by_key(id, |row| row.id), fresh(*id)) {
                (Ok(at), Some(row)) => self.0[at] = row,
                (Ok(at), None) => drop(self.0.remove(at)),
                (Err(at), Some(row)) => self.0.insert(at, row),
                (Err(_), None) => {}
            }
        }
    }

    /// The row of a wire.
    pub fn get(&self, id: WireId) -> Option<&WireRow> {
        self.0.binary_search_by_key(&id, |row| row.id).ok().map(|at| &self.0[at])
    }

    /// All rows.
    pub fn iter(&self) -> impl Iterator<Item = &WireRow> {
        self.0.iter()
    }

    /// Rows that show in a rectangle of the sheet.
    pub fn in_view(&self, seen: Rect) -> impl Iterator<Item = &WireRow> {
        let wide = seen.grown(2.0);
        self.0.iter().filter(move |row| row.rect.touches(wide))
    }
}
