//! Cut list with boxes to tick, parts, spares with their markings, pieces on hand, shopping list.

use crate::cutting::{Allotment, Cut, Unit, allot, shopping_list};
use crate::marking;
use crate::model::{EndKind, Part, PartKind, Project, Resistor};
use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;
use crate::sheets::table::{Cell, Table};
use crate::sheets::words::{millimetres, ohms};
use crate::units::{counted, format_percent, trim_zeros};

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    wires(job, flow);
    totals(job, flow);
    let allotment = allot(job.project, &job.cut, job.keep_going);
    pieces(job.project, flow, &allotment);
    resistors(job.project, flow);
    parts(job.project, flow);
    shopping(job, flow, &allotment);
}

fn wires(job: &Job<'_>, flow: &mut Flow<'_>) {
    flow.heading("Wires to cut");
    if job.cut.rows.is_empty() {
        flow.paragraph("No wire of the harness is drawn yet.");
        return;
    }
    let mut table = Table::new(&[
        "cut",
        "wire",
        "colour",
        ">size",
        ">cut length",
        "from",
        "to",
        "circuit",
        "way",
        "laid",
    ]);
    for row in &job.cut.rows {
        if let Some(finding) = &row.finding {
            flow.blank_of(finding.subject, format!("{}: {}", finding.what, finding.cure));
        }
        let way = if row.route.is_empty() && row.routed_mm.is_some() {
            "length typed".to_owned()
        } else {
            row.route.join(", ")
        };
        table.row(vec![
            Cell::Tick,
            Cell::Strong(row.name.clone()),
            Cell::Wire(row.colour),
            row.size.text().into(),
            row.cut_mm.map_or(Cell::Blank, |mm| Cell::Strong(millimetres(mm))),
            row.from.as_str().into(),
            row.to.as_str().into(),
            row.circuit.as_str().into(),
            way.into(),
            Cell::Tick,
        ]);
    }
    flow.table("cut-wires", table);
    let settings = &job.project.settings;
    let allowances = EndKind::ALL
        .map(|kind| format!("{} {}", kind.noun(), millimetres(settings.allowances.of(kind))));
    flow.note(&format!(
        "Cut length = way × {} + allowances of both ends + loops of runs that move, rounded up to \
         {}. Allowances: {}. Measure twice: a rope along the machine before the first cut.",
        trim_zeros(&format!("{:.3}", settings.length_factor)),
        millimetres(settings.rounding_mm),
        allowances.join(", ")
    ));
}

fn totals(job: &Job<'_>, flow: &mut Flow<'_>) {
    if job.cut.totals.is_empty() {
        return;
    }
    flow.heading("Wire by colour and size");
    let mut table = Table::new(&["colour", "name", ">size", ">wires", ">length in all"]);
    for total in &job.cut.totals {
        table.row(vec![
            Cell::Wire(total.colour),
            total.colour.text().into(),
            total.size.text().into(),
            total.n_wires.to_string().into(),
            Cell::Strong(format!("{:.2} m", total.cut_mm / 1000.0)),
        ]);
    }
    flow.table("cut-totals", table);
    let missing = job.cut.rows.iter().filter(|row| row.cut_mm.is_none()).count();
    if missing > 0 {
        flow.note(&format!("{} without a length not counted.", counted(missing, "wire")));
    }
}

/// Every piece with the verdict on it and what is cut from it.
fn pieces(project: &Project, flow: &mut Flow<'_>, allotment: &Allotment) {
    if allotment.pieces.is_empty() {
        return;
    }
    flow.heading("Wire on hand");
    let mut table = Table::new(&[
        "piece",
        "colour",
        ">size",
        ">length",
        ">outside",
        ">measured",
        "verdict",
        "used for",
        ">left",
        "cut",
    ]);
    for plan in &allotment.pieces {
        let Some(piece) = project.pieces.get(plan.verdict.piece) else { continue };
        let verdict = match (plan.verdict.is_usable(), plan.cuts.is_empty()) {
            (false, _) => format!("rejected: {}", plan.verdict.rejections.join("; ")),
            (true, true) => "stays whole".into(),
            (true, false) => "cut".into(),
        };
        let used: Vec<String> = plan.cuts.iter().map(cut_words).collect();
        let scrap = if plan.is_scrap && plan.left_mm > 0.0 { " scrap" } else { "" };
        table.row(vec![
            Cell::Strong(piece.name.clone()),
            Cell::Wire(piece.colour),
            piece.size.text().into(),
            millimetres(piece.length_mm).into(),
            Cell::or_blank(
                piece.outside_mm.map(|mm| format!("{} mm", trim_zeros(&format!("{mm:.2}")))),
            ),
            Cell::or_blank(piece.measured_ohm.map(ohms)),
            verdict.into(),
            used.join(", ").into(),
            format!("{}{scrap}", millimetres(plan.left_mm)).into(),
            if plan.cuts.is_empty() { "".into() } else { Cell::Tick },
        ]);
    }
    flow.table("cut-pieces", table);
    flow.note(&format!("Cut from pieces: {}.", allotment.proof_words()));
}

/// `D1 3490 mm`, with the marker a substitute gets.
fn cut_words(cut: &Cut) -> String {
    let marker = cut.substitute.as_ref().map(|m| format!(" (substitute, marked {m})"));
    format!("{} {}{}", cut.name, millimetres(cut.cut_mm), marker.unwrap_or_default())
}

/// Resistors of one value, tolerance and power.
struct Value<'a> {
    resistor: &'a Resistor,
    names: Vec<&'a str>,
}

fn values(project: &Project) -> Vec<Value<'_>> {
    let mut values: Vec<Value<'_>> = Vec::new();
    for (_, part) in project.parts.iter() {
        let Some(resistor) = part.kind.resistor() else { continue };
        let is_same = |value: &&mut Value<'_>| {
            value.resistor.ohm == resistor.ohm
                && value.resistor.tolerance == resistor.tolerance
                && value.resistor.power_watt == resistor.power_watt
        };
        match values.iter_mut().find(is_same) {
            Some(value) => value.names.push(&part.name),
            None => values.push(Value { resistor, names: vec![&part.name] }),
        }
    }
    values.sort_by(|a, b| a.resistor.ohm.total_cmp(&b.resistor.ohm));
    values
}

fn resistors(project: &Project, flow: &mut Flow<'_>) {
    let values = values(project);
    if values.is_empty() {
        return;
    }
    flow.heading("Resistors and spares");
    let mut table = Table::new(&[
        "value",
        "tolerance",
        "power",
        "digits",
        "rings",
        ">fitted",
        "at",
        "spares packed",
    ]);
    for value in &values {
        let Resistor { ohm, tolerance, power_watt, .. } = *value.resistor;
        let rings = marking::rings(ohm, tolerance, 3).or_else(|| marking::rings(ohm, tolerance, 2));
        let digits = marking::digits(ohm, 3).or_else(|| marking::digits(ohm, 2));
        table.row(vec![
            Cell::Strong(ohms(ohm)),
            format_percent(tolerance).into(),
            format!("{} W", trim_zeros(&format!("{power_watt:.3}"))).into(),
            digits.unwrap_or_else(|| "none says it".into()).into(),
            rings.map_or_else(|| "none say it".into(), Cell::Rings),
            value.names.len().to_string().into(),
            value.names.join(", ").into(),
            Cell::Blank,
        ]);
    }
    flow.table("cut-resistors", table);
    flow.note(
        "Digits: three figures and the number of zeros (IEC 60062). Rings are read from the end \
         away from the last one, which stands apart; a resistor read from the wrong end is another \
         value, so measure each before it is fitted. Multipliers and tolerance rings from memory.",
    );
}

fn parts(project: &Project, flow: &mut Flow<'_>) {
    let rows: Vec<&Part> = project
        .parts
        .iter()
        .map(|(_, part)| part)
        .filter(|part| part.kind.resistor().is_none())
        .collect();
    if rows.is_empty() {
        return;
    }
    flow.heading("Parts");
    let mut table =
        Table::new(&["there", "part", "kind", "value", "for", "place", "type or number"]);
    for part in rows {
        let place = part.place.and_then(|place| project.places.get(place));
        table.row(vec![
            Cell::Tick,
            Cell::Strong(part.name.clone()),
            part.kind.noun().into(),
            value_words(&part.kind).into(),
            part.label.as_str().into(),
            place.map_or("", |place| place.name.as_str()).into(),
            Cell::Blank,
        ]);
    }
    flow.table("cut-parts", table);
    flow.blank("type or order number of each part: not kept in the project, write it in");
}

/// What tells a part from others of its kind.
fn value_words(kind: &PartKind) -> String {
    match kind {
        PartKind::Supply(supply) => {
            format!("{} V", trim_zeros(&format!("{:.2}", supply.volt.nominal)))
        }
        PartKind::Fuse(fuse) => format!("{} A", trim_zeros(&format!("{:.2}", fuse.rating_amp))),
        PartKind::Resistor(resistor) => ohms(resistor.ohm),
        PartKind::Contact(contact) => match contact.form {
            crate::model::ContactForm::NormallyOpen => "normally open".into(),
            crate::model::ContactForm::NormallyClosed => "normally closed".into(),
            crate::model::ContactForm::Changeover => "changeover".into(),
            crate::model::ContactForm::Ways(ways) => format!("{ways} ways"),
        },
        PartKind::Connector(connector) => counted_cavities(connector.layout.count()),
        PartKind::Controller(controller) => counted_cavities(controller.layout.count()),
        PartKind::Ground | PartKind::Splice { .. } | PartKind::TestPoint | PartKind::Element(_) => {
            String::new()
        }
    }
}

fn counted_cavities(n: u16) -> String {
    if n == 1 { "1 cavity".into() } else { format!("{n} cavities") }
}

/// What is to be bought after what the pieces on hand give.
fn shopping(job: &Job<'_>, flow: &mut Flow<'_>, allotment: &Allotment) {
    let project = job.project;
    let list = shopping_list(project, &job.cut, allotment, job.keep_going);
    let currency = &project.cutting.settings.currency;
    if !list.items.is_empty() {
        let mut table =
            Table::new(&["bought", "goods", ">amount", ">price", ">sum", "for", "order number"]);
        let money = |sum: Option<f64>| Cell::or_blank(sum.map(|sum| format!("{sum:.2}")));
        for item in &list.items {
            let amount = match item.unit {
                Unit::Metre => format!("{:.2} {}", item.amount, item.unit.word()),
                Unit::Spool | Unit::Each => format!("{:.0} {}", item.amount, item.unit.word()),
            };
            table.row(vec![
                Cell::Tick,
                item.name.as_str().into(),
                amount.into(),
                money(item.price),
                money(item.sum()),
                item.note.as_str().into(),
                Cell::Blank,
            ]);
        }
        flow.heading("Shopping list");
        flow.table("cut-shopping", table);
        if list.n_without_price < list.items.len() {
            let without = match list.n_without_price {
                0 => String::new(),
                n => format!(", without {} that have no price", counted(n, "line")),
            };
            flow.note(&format!("Sum {:.2} {currency}{without}.", list.sum));
        }
    }
    for sentence in &list.unknown {
        flow.note(&format!("Not known: {sentence}."));
        flow.blank(sentence.clone());
    }
}
