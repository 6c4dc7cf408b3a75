//! `ohmloom cut FILE --pieces`: what is cut from which piece on hand, and what to buy.

use crate::cli::args::{FileArgs, Format};
use crate::cli::cut_pieces_json::document;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::millimetres;
use crate::csv_text::csv_records;
use crate::cutting::{
    Allotment, PiecePlan, ShoppingList, Unit, allot, cut_list, judge_pieces, shopping_list,
};
use crate::model::{Piece, Project};
use crate::units::trim_zeros;

/// Allots the pieces and writes that as asked.
pub fn answer(project: &Project, args: &FileArgs) -> Answer {
    let list = cut_list(project);
    let allotment = allot(project, &list, &|| true);
    let shopping = shopping_list(project, &list, &allotment, &|| true);
    let text = match args.format {
        Format::Table => text(project, &allotment, &shopping),
        Format::Csv => records(project, &allotment, &shopping),
        Format::Json => document(project, &allotment, &shopping),
    };
    let health = if allotment.unknown.is_empty() { Health::Fine } else { Health::Problems };
    Answer { text, health }
}

fn text(project: &Project, allotment: &Allotment, shopping: &ShoppingList) -> String {
    let mut text = wrapped("", &format!("Pieces on hand for {}", project.title), 0);
    if allotment.pieces.is_empty() {
        text += "\nNo piece is written down.\n";
    } else {
        text += "\n";
        text += &drawer_table(project, allotment);
        let at_c = project.cutting.settings.measured_at_c;
        let at = trim_zeros(&format!("{at_c:.1}"));
        text += &format!("\nExpected resistance at {at} °C\n");
        let mut seen = Vec::new();
        for verdict in judge_pieces(project) {
            let Some(piece) = project.pieces.get(verdict.piece) else { continue };
            if !seen.contains(&piece.size) {
                seen.push(piece.size);
                text += &wrapped("- ", &format!("{}: {}", piece.size.text(), verdict.per_metre), 2);
            }
        }
        text += &notes(project, allotment);
    }
    text += &format!("\nCut from pieces: {}\n\n", allotment.proof_words());
    text += &cut_table(project, allotment);
    text += &buy_text(project, shopping);
    text
}

fn drawer_table(project: &Project, allotment: &Allotment) -> String {
    let columns = [
        ("piece", Align::Left),
        ("size", Align::Right),
        ("colour", Align::Left),
        ("length mm", Align::Right),
        ("outside mm", Align::Right),
        ("expected mΩ", Align::Right),
        ("measured mΩ", Align::Right),
        ("times", Align::Right),
        ("verdict", Align::Left),
    ];
    let rows: Vec<Vec<String>> = rows_of(project, allotment)
        .map(|(piece, plan)| {
            let verdict = &plan.verdict;
            let milli =
                |ohm: Option<f64>| ohm.map_or("?".into(), |ohm| format!("{:.1}", ohm * 1e3));
            let words = match (verdict.is_usable(), plan.cuts.is_empty()) {
                (false, _) => format!("rejected: {}", verdict.rejections.join("; ")),
                (true, true) => "stays whole".into(),
                (true, false) => "cut".into(),
            };
            vec![
                piece.name.clone(),
                piece.size.text(),
                piece.colour.text(),
                millimetres(Some(piece.length_mm)),
                piece.outside_mm.map_or("?".into(), |mm| trim_zeros(&format!("{mm:.3}"))),
                milli(Some(verdict.expected_ohm)),
                milli(piece.measured_ohm),
                verdict.ratio.map_or("?".into(), |ratio| format!("{ratio:.2}")),
                words,
            ]
        })
        .collect();
    table(&columns, &rows)
}

fn notes(project: &Project, allotment: &Allotment) -> String {
    let mut text = String::new();
    for (piece, plan) in rows_of(project, allotment) {
        if plan.verdict.is_usable() && !plan.verdict.unknown.is_empty() {
            let words = format!("{}: {}", piece.name, plan.verdict.unknown.join("; "));
            text += &wrapped("- ", &words, 2);
        }
    }
    if text.is_empty() { text } else { format!("\nNot measured\n{text}") }
}

/// Pieces with what becomes of them, in the order of the drawer.
pub fn rows_of<'a>(
    project: &'a Project,
    allotment: &'a Allotment,
) -> impl Iterator<Item = (&'a Piece, &'a PiecePlan)> {
    let with_piece = |plan: &'a PiecePlan| Some((project.pieces.get(plan.verdict.piece)?, plan));
    allotment.pieces.iter().filter_map(with_piece)
}

fn cut_table(project: &Project, allotment: &Allotment) -> String {
    let columns = [
        ("wire", Align::Left),
        ("cut mm", Align::Right),
        ("from", Align::Left),
        ("starts at mm", Align::Right),
        ("left mm", Align::Right),
        ("note", Align::Left),
    ];
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (piece, plan) in rows_of(project, allotment) {
        for (n, cut) in plan.cuts.iter().enumerate() {
            let is_last = n + 1 == plan.cuts.len();
            let mut note = Vec::new();
            if let Some(marker) = &cut.substitute {
                let size = format!("{} {}", piece.size.text(), piece.colour.text());
                note.push(format!("substitute {size}, marked {marker}"));
            }
            if is_last && plan.is_scrap && plan.left_mm > 0.0 {
                note.push("what is left is scrap".into());
            }
            rows.push(vec![
                cut.name.clone(),
                millimetres(Some(cut.cut_mm)),
                piece.name.clone(),
                millimetres(Some(cut.from_mm)),
                if is_last { millimetres(Some(plan.left_mm)) } else { String::new() },
                note.join("; "),
            ]);
        }
    }
    for wire in &allotment.new_wires {
        rows.push(vec![
            wire.name.clone(),
            millimetres(Some(wire.cut_mm)),
            "new wire".into(),
            String::new(),
            String::new(),
            wire.why.clone(),
        ]);
    }
    let mut text = table(&columns, &rows);
    if allotment.n_done > 0 {
        text += &format!("\nTicked as cut already: {}\n", allotment.n_done);
    }
    text
}

fn buy_text(project: &Project, shopping: &ShoppingList) -> String {
    let mut text = "\nTo buy\n\n".to_owned();
    let currency = &project.cutting.settings.currency;
    let columns = [
        ("goods", Align::Left),
        ("amount", Align::Right),
        ("unit", Align::Left),
        ("price", Align::Right),
        ("sum", Align::Right),
        ("for", Align::Left),
    ];
    let money = |sum: Option<f64>| sum.map_or_else(String::new, |sum| format!("{sum:.2}"));
    let rows: Vec<Vec<String>> = shopping
        .items
        .iter()
        .map(|item| {
            vec![
                item.name.clone(),
                amount(item.amount, item.unit),
                item.unit.word().into(),
                money(item.price),
                money(item.sum()),
                item.note.clone(),
            ]
        })
        .collect();
    text += &table(&columns, &rows);
    if shopping.n_without_price < shopping.items.len() {
        text += format!("\nSum {:.2} {currency}", shopping.sum).trim_end();
        if shopping.n_without_price > 0 {
            text += &format!(", without {} lines that have no price", shopping.n_without_price);
        }
        text += "\n";
    }
    if !shopping.unknown.is_empty() {
        text += "\nNot known\n";
        for sentence in &shopping.unknown {
            text += &wrapped("- ", sentence, 2);
        }
    }
    text
}

/// Metres to the centimetre, counts whole.
fn amount(amount: f64, unit: Unit) -> String {
    match unit {
        Unit::Metre => format!("{amount:.2}"),
        Unit::Spool | Unit::Each => format!("{amount:.0}"),
    }
}

/// One table of four kinds of rows, told apart by the first column.
fn records(project: &Project, allotment: &Allotment, shopping: &ShoppingList) -> String {
    let own = |text: &str| text.to_owned();
    let mut records = vec![
        ["list", "name", "amount", "unit", "from", "starts_mm", "left_mm", "price", "note"]
            .map(own),
    ];
    let mm = |mm: f64| millimetres(Some(mm));
    let none = String::new;
    for (piece, plan) in rows_of(project, allotment) {
        let note = plan.verdict.rejections.join("; ");
        let list = if plan.verdict.is_usable() { "piece" } else { "rejected" };
        let (name, length) = (piece.name.clone(), mm(piece.length_mm));
        let left = mm(plan.left_mm);
        records.push([own(list), name, length, own("mm"), none(), none(), left, none(), note]);
    }
    for (piece, plan) in rows_of(project, allotment) {
        for cut in &plan.cuts {
            let note = cut.substitute.clone().unwrap_or_default();
            let (name, from) = (cut.name.clone(), piece.name.clone());
            let (length, starts) = (mm(cut.cut_mm), mm(cut.from_mm));
            records.push([own("cut"), name, length, own("mm"), from, starts, none(), none(), note]);
        }
    }
    for wire in &allotment.new_wires {
        let (name, length, note) = (wire.name.clone(), mm(wire.cut_mm), wire.why.clone());
        let from = own("new wire");
        records.push([own("cut"), name, length, own("mm"), from, none(), none(), none(), note]);
    }
    for item in &shopping.items {
        let (name, note) = (item.name.clone(), item.note.clone());
        let price = item.price.map_or_else(none, |price| trim_zeros(&format!("{price:.4}")));
        let (amount, unit) = (amount(item.amount, item.unit), own(item.unit.word()));
        records.push([own("buy"), name, amount, unit, none(), none(), none(), price, note]);
    }
    csv_records(&records.into_iter().map(Vec::from).collect::<Vec<_>>())
}
