//! The allotment of a project: its wires that are not cut yet, its pieces, its rules.

use std::cmp::Ordering;

use crate::cutting::allotment::{Demand, Fit, NODES, Packing, Proof, Score, Stock, best_of_groups};
use crate::cutting::cut_list::{CutList, CutRow};
use crate::cutting::drawer::{PieceVerdict, judge_pieces};
use crate::cutting::ends::end_plans;
use crate::model::{Colour, Piece, PieceId, Project, WireId, WireSize};

/// One wire cut from a piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// The wire.
    pub wire: WireId,
    /// Its name.
    pub name: String,
    /// Its length in millimetres.
    pub cut_mm: f64,
    /// Where it starts on the piece, from the trimmed end, in millimetres.
    pub from_mm: f64,
    /// Marker it gets because the piece is a substitute.
    pub substitute: Option<String>,
}

/// What becomes of one piece.
#[derive(Clone, Debug, PartialEq)]
pub struct PiecePlan {
    /// What is thought of it. Seals that hold it nowhere are among the reasons against it.
    pub verdict: PieceVerdict,
    /// Wires cut from it, in order from its end; empty where it stays whole.
    pub cuts: Vec<Cut>,
    /// What is left of it in millimetres, scrap included.
    pub left_mm: f64,
    /// Whether what is left is too short to keep.
    pub is_scrap: bool,
}

/// A wire that must be cut from new wire.
#[derive(Clone, Debug, PartialEq)]
pub struct NewWire {
    /// The wire.
    pub wire: WireId,
    /// Its name.
    pub name: String,
    /// Its length in millimetres.
    pub cut_mm: f64,
    /// Conductor size.
    pub size: WireSize,
    /// Colour.
    pub colour: Colour,
    /// Why no piece gives it.
    pub why: String,
}

/// Which wire is cut from which piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Allotment {
    /// Every piece of the project, in the order of its table.
    pub pieces: Vec<PiecePlan>,
    /// Wires from new wire, in the order of the cut list.
    pub new_wires: Vec<NewWire>,
    /// Names of wires whose length is not known; they are not allotted.
    pub unknown: Vec<String>,
    /// How many wires are ticked as cut, as they must be now, and need nothing.
    pub n_done: usize,
    /// How good it is.
    pub score: Score,
    /// How far that is proven.
    pub proof: Proof,
}

impl Allotment {
    /// How far it is proven, in words: `optimal`, or what is left open.
    pub fn proof_words(&self) -> String {
        match self.proof {
            Proof::Optimal => "optimal".into(),
            Proof::New(gap) => {
                format!("not proven: at most {:.2} m less could be bought new", gap as f64 / 1e6)
            }
            Proof::Opened(gap) => {
                format!("least new wire; not proven: at most {gap} fewer pieces could be opened")
            }
            Proof::Left(gap) => {
                let share = gap as f64 / (self.score.useful as f64).max(1.0) * 100.0;
                format!(
                    "least new wire and fewest pieces; not proven: what is left could be at most {share:.1} % more useful"
                )
            }
        }
    }

    /// New wire in millimetres, cuts included.
    pub fn new_mm(&self) -> f64 {
        self.score.new as f64 / 1e3
    }
}

/// What wires of one kind need, or what pieces of one kind are.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Kind {
    size: WireSize,
    colour: Colour,
    /// Seals of both ends, or the outside diameter twice.
    seals: [Option<(f64, f64)>; 2],
}

/// Allots the wires that are not ticked as cut. Cost: a search that `keep_going` can end; what it has
/// until then is returned, with what is open.
pub fn allot(project: &Project, list: &CutList, keep_going: &dyn Fn() -> bool) -> Allotment {
    allot_within(project, list, NODES, keep_going)
}

/// The same, with so many nodes of the search for each goal.
pub fn allot_within(
    project: &Project,
    list: &CutList,
    nodes: u64,
    keep_going: &dyn Fn() -> bool,
) -> Allotment {
    let is_open = |row: &&CutRow| !row.ticks.is_cut_as(row.size, row.colour);
    let open: Vec<&CutRow> = list.rows.iter().filter(is_open).collect();
    let rows: Vec<&CutRow> = open.iter().copied().filter(|row| row.cut_mm.is_some()).collect();
    let mut verdicts = judge_pieces(project);
    let asked = Asked::new(project, &rows, &mut verdicts);
    let found = best_of_groups(&asked.packing, nodes, keep_going);
    let mut cuts: Vec<Vec<(usize, f64)>> = vec![Vec::new(); asked.pieces.len()];
    let mut new_wires = Vec::new();
    for (at, (row, place)) in rows.iter().zip(&found.places).enumerate() {
        let cut_mm = row.cut_mm.unwrap_or_default();
        match place {
            Some(piece) => cuts[*piece].push((at, cut_mm)),
            None => new_wires.push(NewWire {
                wire: row.wire,
                name: row.name.clone(),
                cut_mm,
                size: row.size,
                colour: row.colour,
                why: asked.why_new(project, at, &verdicts),
            }),
        }
    }
    let mut plans: Vec<PiecePlan> = Vec::with_capacity(verdicts.len());
    for verdict in verdicts {
        let at = asked.pieces.iter().position(|piece| *piece == verdict.piece);
        let cuts = at.map_or_else(Vec::new, |at| std::mem::take(&mut cuts[at]));
        plans.push(plan(project, &asked, &rows, verdict, cuts));
    }
    Allotment {
        pieces: plans,
        new_wires,
        unknown: open.iter().filter(|r| r.cut_mm.is_none()).map(|r| r.name.clone()).collect(),
        n_done: list.rows.len() - open.len(),
        score: found.score,
        proof: found.proof,
    }
}

/// The question in whole numbers, and what its rows are.
struct Asked {
    packing: Packing,
    /// Pieces of the packing.
    pieces: Vec<PieceId>,
    wire_kinds: Vec<Kind>,
}

impl Asked {
    fn new(project: &Project, rows: &[&CutRow], verdicts: &mut [PieceVerdict]) -> Self {
        let settings = &project.cutting.settings;
        let kerf = micrometres(settings.kerf_mm);
        let mut wire_kinds: Vec<Kind> = Vec::new();
        let mut wires = Vec::with_capacity(rows.len());
        for row in rows {
            let class = class_of(&mut wire_kinds, wire_kind(project, row));
            wires
                .push(Demand { weight: micrometres(row.cut_mm.unwrap_or_default()) + kerf, class });
        }
        reject_by_seals(project, rows, &wire_kinds, &wires, verdicts);
        let mut piece_kinds: Vec<Kind> = Vec::new();
        let (mut pieces, mut stock) = (Vec::new(), Vec::new());
        for verdict in verdicts.iter().filter(|verdict| verdict.is_usable()) {
            let Some(piece) = project.pieces.get(verdict.piece) else { continue };
            let class = class_of(&mut piece_kinds, piece_kind(piece));
            let whole = micrometres(piece.length_mm);
            let room = (whole + kerf).saturating_sub(micrometres(settings.trim_mm));
            stock.push(Stock { whole, room, class });
            pieces.push(verdict.piece);
        }
        let fit = |wire: &Kind| piece_kinds.iter().map(|piece| fit(project, wire, piece)).collect();
        let packing = Packing {
            fits: wire_kinds.iter().map(fit).collect(),
            wires,
            pieces: stock,
            kerf,
            scrap: micrometres(settings.scrap_mm),
        };
        Self { packing, pieces, wire_kinds }
    }

    /// Why a wire is cut from new wire.
    fn why_new(&self, project: &Project, wire: usize, verdicts: &[PieceVerdict]) -> String {
        let demand = self.packing.wires[wire];
        let kind = &self.wire_kinds[demand.class];
        let alike = |piece: &Piece| piece.size == kind.size && piece.colour == kind.colour;
        let name = |id: PieceId| project.pieces.get(id).map_or("?", |piece| piece.name.as_str());
        let may: Vec<usize> = (0..self.pieces.len())
            .filter(|piece| {
                self.packing.fits[demand.class][self.packing.pieces[*piece].class] != Fit::No
            })
            .collect();
        let rejected: Vec<&str> = verdicts
            .iter()
            .filter(|v| !v.is_usable() && project.pieces.get(v.piece).is_some_and(alike))
            .map(|v| name(v.piece))
            .collect();
        if may.iter().any(|piece| self.packing.pieces[*piece].room >= demand.weight) {
            return "the pieces that are long enough give other wires".into();
        }
        let longest = may.iter().max_by_key(|piece| self.packing.pieces[**piece].room);
        match (longest, rejected.as_slice()) {
            (None, []) => "there is no piece of its size and colour".into(),
            (None, rejected) => format!("no piece may be used: {} rejected", rejected.join(", ")),
            (Some(longest), rejected) => {
                let longest = name(self.pieces[*longest]);
                let also = if rejected.is_empty() { "" } else { "; rejected: " };
                format!("{longest} is too short, no piece is longer{also}{}", rejected.join(", "))
            }
        }
    }
}

/// A piece that fits the seal of no wire it could become is rejected for that, in words.
fn reject_by_seals(
    project: &Project,
    rows: &[&CutRow],
    kinds: &[Kind],
    wires: &[Demand],
    verdicts: &mut [PieceVerdict],
) {
    for verdict in verdicts {
        let Some(piece) = project.pieces.get(verdict.piece) else { continue };
        let Some(outside_mm) = piece.outside_mm else { continue };
        let own = piece_kind(piece);
        let mut tight: Option<String> = None;
        let mut fits_one = false;
        for (row, demand) in rows.iter().zip(wires) {
            let kind = &kinds[demand.class];
            if same_or_substitute(project, kind, &own) == Fit::No {
                continue;
            }
            match kind.seals.iter().position(|seal| seal.is_some_and(|s| !holds(s, outside_mm))) {
                None => fits_one = true,
                Some(end) => {
                    let (low, high) = kind.seals[end].unwrap_or_default();
                    let at = if end == 0 { &row.from } else { &row.to };
                    tight.get_or_insert_with(|| {
                        format!("{outside_mm} mm thick; the seal at {at} holds {low} to {high} mm")
                    });
                }
            }
        }
        if let Some(reason) = tight.filter(|_| !fits_one) {
            verdict.rejections.push(reason);
        }
    }
}

fn wire_kind(project: &Project, row: &CutRow) -> Kind {
    let seals = project
        .wires
        .get(row.wire)
        .map_or([None, None], |wire| end_plans(project, row.wire, wire).map(|end| end.seal_mm));
    Kind { size: row.size, colour: row.colour, seals }
}

fn piece_kind(piece: &Piece) -> Kind {
    let outside = piece.outside_mm.map(|mm| (mm, mm));
    Kind { size: piece.size, colour: piece.colour, seals: [outside, outside] }
}

fn class_of(kinds: &mut Vec<Kind>, kind: Kind) -> usize {
    kinds.iter().position(|known| *known == kind).unwrap_or_else(|| {
        kinds.push(kind);
        kinds.len() - 1
    })
}

fn fit(project: &Project, wire: &Kind, piece: &Kind) -> Fit {
    let is_tight = piece.seals[0]
        .is_some_and(|(mm, _)| wire.seals.iter().flatten().any(|seal| !holds(*seal, mm)));
    if is_tight { Fit::No } else { same_or_substitute(project, wire, piece) }
}

fn holds((low, high): (f64, f64), mm: f64) -> bool {
    (low..=high).contains(&mm)
}

fn same_or_substitute(project: &Project, wire: &Kind, piece: &Kind) -> Fit {
    if wire.size == piece.size && wire.colour == piece.colour {
        return Fit::Same;
    }
    if marker(project, wire, piece).is_some() { Fit::Substitute } else { Fit::No }
}

/// The marker of the substitute that lets the piece stand in for the wire.
fn marker<'a>(project: &'a Project, wire: &Kind, piece: &Kind) -> Option<&'a str> {
    let substitutes = &project.cutting.settings.substitutes;
    let found = substitutes.iter().find(|s| {
        (s.size, s.colour) == (wire.size, wire.colour)
            && (s.by_size, s.by_colour) == (piece.size, piece.colour)
    })?;
    Some(&found.marker)
}

fn plan(
    project: &Project,
    asked: &Asked,
    rows: &[&CutRow],
    verdict: PieceVerdict,
    mut wires: Vec<(usize, f64)>,
) -> PiecePlan {
    let settings = &project.cutting.settings;
    let piece = project.pieces.get(verdict.piece);
    let length_mm = piece.map_or(0.0, |piece| piece.length_mm);
    wires.sort_by(|a, b| b.1.total_cmp(&a.1).then(Ordering::Equal));
    let mut from_mm = 0.0;
    let mut cuts = Vec::with_capacity(wires.len());
    for (at, cut_mm) in wires {
        let kind = &asked.wire_kinds[asked.packing.wires[at].class];
        let own = piece.map(piece_kind);
        let substitute = own
            .filter(|own| (own.size, own.colour) != (kind.size, kind.colour))
            .and_then(|own| marker(project, kind, &own).map(str::to_owned));
        let row = rows[at];
        cuts.push(Cut { wire: row.wire, name: row.name.clone(), cut_mm, from_mm, substitute });
        from_mm += cut_mm + settings.kerf_mm;
    }
    let left_mm = if cuts.is_empty() {
        length_mm
    } else {
        // Whole micrometres, as the search has them: noise in the last digits is no offcut.
        ((length_mm - settings.trim_mm - from_mm) * 1e3).round().max(0.0) / 1e3
    };
    let is_scrap = !cuts.is_empty() && left_mm < settings.scrap_mm;
    PiecePlan { verdict, cuts, left_mm, is_scrap }
}

fn micrometres(mm: f64) -> u64 {
    // Lengths are 0 to 1e7 mm by the limits of the model, so this fits many times over.
    (mm * 1e3).round().max(0.0) as u64
}
