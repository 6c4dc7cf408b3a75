//! Pieces on hand: what they should measure, and which of them are not to be used.

use crate::harness::{COPPER_PER_K, OhmPerMetre, Standing, ohm_per_metre};
use crate::model::{Piece, PieceId, Project, Wiring};

/// A piece whose resistance is more than so many times what it should be has broken strands or
/// corrosion. Common practice, no source.
pub const MOST_TIMES_EXPECTED: f64 = 1.15;

/// A piece that measures less than so many times what it should is shorter than noted, or of thicker
/// wire. Common practice, no source.
pub const LEAST_TIMES_EXPECTED: f64 = 0.8;
/// Condition of a piece whose length nobody has measured; it is not cut from.
pub const NOT_MEASURED: &str = "not measured yet";

/// What is to be thought of one piece, whatever it is cut into.
#[derive(Clone, Debug, PartialEq)]
pub struct PieceVerdict {
    /// The piece.
    pub piece: PieceId,
    /// Resistance it should have at the temperature it was measured at, in ohms.
    pub expected_ohm: f64,
    /// What that comes from.
    pub per_metre: OhmPerMetre,
    /// Measured over expected resistance; `None` where it was not measured.
    pub ratio: Option<f64>,
    /// Why it must not be used; empty where it may.
    pub rejections: Vec<String>,
    /// What was not measured, or must be measured again.
    pub unknown: Vec<String>,
}

impl PieceVerdict {
    /// Whether it may be used.
    pub fn is_usable(&self) -> bool {
        self.rejections.is_empty()
    }
}

/// Judges every piece by its resistance and condition; seals depend on the wire.
pub fn judge_pieces(project: &Project) -> Vec<PieceVerdict> {
    let at_c = project.cutting.settings.measured_at_c;
    let wiring = &project.settings.wiring;
    let judged = |(id, piece)| judge((id, piece), per_metre(wiring, piece), at_c);
    project.pieces.iter().map(judged).collect()
}

/// The project's own table goes first: rows of its insulation type, then rows that name none.
fn per_metre(wiring: &Wiring, piece: &Piece) -> OhmPerMetre {
    let rows = || wiring.own_wires.iter().filter(|row| row.size == piece.size);
    let usual =
        rows().filter(|row| row.insulation.is_some() && row.insulation == wiring.insulation);
    let any = rows().filter(|row| row.insulation.is_none());
    match usual.chain(any).find_map(|row| row.ohm_per_m) {
        Some(ohm_per_m) => OhmPerMetre {
            ohm_per_m,
            source: "own table of this project",
            standing: Standing::Typed,
        },
        None => ohm_per_metre(piece.size),
    }
}

fn judge((id, piece): (PieceId, &Piece), per_metre: OhmPerMetre, at_c: f64) -> PieceVerdict {
    let warm = (1.0 + COPPER_PER_K * (at_c - 20.0)).max(0.0);
    let expected_ohm = per_metre.ohm_per_m * piece.length_mm / 1e3 * warm;
    let ratio = piece.measured_ohm.map(|ohm| ohm / expected_ohm).filter(|ratio| ratio.is_finite());
    let mut rejections = Vec::new();
    let mut unknown = Vec::new();
    match ratio {
        Some(ratio) if ratio > MOST_TIMES_EXPECTED => rejections.push(format!(
            "measures {ratio:.2} times what it should, more than {MOST_TIMES_EXPECTED}: broken strands or corrosion"
        )),
        Some(ratio) if ratio < LEAST_TIMES_EXPECTED => unknown.push(format!(
            "measures {ratio:.2} times what it should, less than {LEAST_TIMES_EXPECTED}: shorter than noted, or thicker wire: measure again"
        )),
        Some(_) => {}
        None => unknown.push("its resistance was not measured".to_owned()),
    }
    if !is_good(&piece.condition) {
        rejections.push(format!("condition: {}", piece.condition.trim()));
    }
    if piece.outside_mm.is_none() {
        unknown.push("its outside diameter was not measured, so no seal can be checked".to_owned());
    }
    PieceVerdict { piece: id, expected_ohm, per_metre, ratio, rejections, unknown }
}

/// Whether a condition in words is a good one: nothing written, or `ok`.
pub fn is_good(condition: &str) -> bool {
    let condition = condition.trim();
    condition.is_empty() || condition.eq_ignore_ascii_case("ok")
}
