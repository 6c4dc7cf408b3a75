//! The JSON of `ohmloom cut FILE --pieces`.

use serde::Serialize;

use crate::cli::cut_pieces::rows_of;
use crate::cli::json;
use crate::cutting::{Allotment, ShoppingList};
use crate::model::Project;

#[derive(Serialize)]
struct Document<'a> {
    project: &'a str,
    proof: String,
    new_mm: Option<f64>,
    pieces_opened: usize,
    pieces: Vec<PieceRow<'a>>,
    new_wires: Vec<NewRow<'a>>,
    length_not_known: &'a [String],
    cut_already: usize,
    to_buy: Vec<BuyRow<'a>>,
    sum: Option<f64>,
    currency: &'a str,
    not_known: &'a [String],
}

#[derive(Serialize)]
struct PieceRow<'a> {
    piece: &'a str,
    length_mm: Option<f64>,
    expected_ohm: Option<f64>,
    measured_ohm: Option<f64>,
    times_expected: Option<f64>,
    rejected: &'a [String],
    not_measured: &'a [String],
    cuts: Vec<CutRow<'a>>,
    left_mm: Option<f64>,
}

#[derive(Serialize)]
struct CutRow<'a> {
    wire: &'a str,
    cut_mm: Option<f64>,
    starts_mm: Option<f64>,
    substitute_marker: Option<&'a str>,
}

#[derive(Serialize)]
struct NewRow<'a> {
    wire: &'a str,
    cut_mm: Option<f64>,
    why: &'a str,
}

#[derive(Serialize)]
struct BuyRow<'a> {
    goods: &'static str,
    name: &'a str,
    amount: Option<f64>,
    unit: &'static str,
    price: Option<f64>,
    note: &'a str,
}

/// Allotment and shopping list as a document.
pub fn document(project: &Project, allotment: &Allotment, shopping: &ShoppingList) -> String {
    let number = json::number;
    json::document(&Document {
        project: &project.title,
        proof: allotment.proof_words(),
        new_mm: number(allotment.new_mm()),
        pieces_opened: allotment.score.opened,
        pieces: rows_of(project, allotment)
            .map(|(piece, plan)| PieceRow {
                piece: &piece.name,
                length_mm: number(piece.length_mm),
                expected_ohm: number(plan.verdict.expected_ohm),
                measured_ohm: piece.measured_ohm.and_then(number),
                times_expected: plan.verdict.ratio.and_then(number),
                rejected: &plan.verdict.rejections,
                not_measured: &plan.verdict.unknown,
                cuts: plan
                    .cuts
                    .iter()
                    .map(|cut| CutRow {
                        wire: &cut.name,
                        cut_mm: number(cut.cut_mm),
                        starts_mm: number(cut.from_mm),
                        substitute_marker: cut.substitute.as_deref(),
                    })
                    .collect(),
                left_mm: number(plan.left_mm),
            })
            .collect(),
        new_wires: allotment
            .new_wires
            .iter()
            .map(|wire| NewRow { wire: &wire.name, cut_mm: number(wire.cut_mm), why: &wire.why })
            .collect(),
        length_not_known: &allotment.unknown,
        cut_already: allotment.n_done,
        to_buy: shopping
            .items
            .iter()
            .map(|item| BuyRow {
                goods: item.goods.noun(),
                name: &item.name,
                amount: number(item.amount),
                unit: item.unit.word(),
                price: item.price.and_then(number),
                note: &item.note,
            })
            .collect(),
        sum: number(shopping.sum),
        currency: &project.cutting.settings.currency,
        not_known: &shopping.unknown,
    })
}
