//! What to buy: new wire by the metre or by the spool, terminals, seals, boots, plugs, resistors.

use std::collections::BTreeMap;

use crate::cutting::allot::{Allotment, NewWire};
use crate::cutting::allotment::{Demand, Fit, Packing, Proof, Stock, best_of_groups};
use crate::cutting::cut_list::{CutList, by_size};
use crate::harness::{HalfFill, half_fills};
use crate::model::{Colour, CoveringKind, EndKind, PartKind, Project, WireSize};
use crate::units::{format_ohm, trim_zeros};

/// Kinds of goods, in the order they are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Goods {
    /// Wire.
    Wire,
    /// Terminals.
    Terminal,
    /// Seals.
    Seal,
    /// Boots and sleeves.
    Boot,
    /// Plugs for empty cavities.
    Plug,
    /// Covering of runs.
    Covering,
    /// Resistors.
    Resistor,
}

impl Goods {
    /// What a person calls it.
    pub fn noun(self) -> &'static str {
        match self {
            Self::Wire => "wire",
            Self::Terminal => "terminal",
            Self::Seal => "seal",
            Self::Boot => "boot or sleeve",
            Self::Plug => "plug",
            Self::Covering => "covering",
            Self::Resistor => "resistor",
        }
    }
}

/// What is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Metres.
    Metre,
    /// Spools.
    Spool,
    /// Single ones.
    Each,
}

impl Unit {
    /// Its sign in lists.
    pub fn word(self) -> &'static str {
        match self {
            Self::Metre => "m",
            Self::Spool => "spool",
            Self::Each => "pc",
        }
    }
}

/// One line of the shopping list.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What kind of goods.
    pub goods: Goods,
    /// Its name, under which a price may stand.
    pub name: String,
    /// How much.
    pub amount: f64,
    /// Of what.
    pub unit: Unit,
    /// Price of one.
    pub price: Option<f64>,
    /// What it is for.
    pub note: String,
}

impl Item {
    /// Price of all; `None` where no price is written down.
    pub fn sum(&self) -> Option<f64> {
        self.price.map(|price| price * self.amount)
    }
}

/// Everything to buy.
#[derive(Clone, Debug, PartialEq)]
pub struct ShoppingList {
    /// Lines, by kind of goods.
    pub items: Vec<Item>,
    /// What is not known, in sentences that say what to do.
    pub unknown: Vec<String>,
    /// Sum of the lines that have a price.
    pub sum: f64,
    /// Lines without a price.
    pub n_without_price: usize,
}

/// What to buy for the wires that are not ticked, after what the pieces on hand give.
pub fn shopping_list(
    project: &Project,
    list: &CutList,
    allotment: &Allotment,
    keep_going: &dyn Fn() -> bool,
) -> ShoppingList {
    let mut unknown = Vec::new();
    let mut items = wire_items(project, allotment, &mut unknown, keep_going);
    items.extend(end_items(project, list, &mut unknown));
    items.extend(plug_items(project));
    items.extend(covering_items(project));
    items.extend(resistor_items(project));
    unknown.extend(shields(project, list));
    if !allotment.unknown.is_empty() {
        unknown.push(format!(
            "the length of {} is not known: nothing is bought for them until it is",
            allotment.unknown.join(", ")
        ));
    }
    let prices = &project.cutting.settings.prices;
    for item in &mut items {
        item.price = prices.iter().find(|price| price.item == item.name).map(|price| price.price);
    }
    let sum = items.iter().filter_map(Item::sum).sum();
    let n_without_price = items.iter().filter(|item| item.price.is_none()).count();
    ShoppingList { items, unknown, sum, n_without_price }
}

fn item(goods: Goods, name: String, amount: f64, unit: Unit, note: String) -> Item {
    Item { goods, name, amount, unit, price: None, note }
}

/// Shields are bought as cable or as braid, nobody knows which: a sentence each, with its drain and the
/// length of its longest wire.
fn shields(project: &Project, list: &CutList) -> Vec<String> {
    let mut shields: BTreeMap<String, (Vec<&str>, f64, Option<WireSize>)> = BTreeMap::new();
    for row in list.rows.iter().filter(|row| !row.ticks.is_cut) {
        let Some(wire) = project.wires.get(row.wire) else { continue };
        let Some(shield) = &wire.make.shield else { continue };
        let entry = shields.entry(shield.name.clone()).or_insert((Vec::new(), 0.0, None));
        entry.0.push(&row.name);
        entry.1 = entry.1.max(row.cut_mm.unwrap_or(0.0));
        entry.2 = entry.2.or(shield.drain);
    }
    let sentence = |(name, (wires, cut_mm, drain)): (
        String,
        (Vec<&str>, f64, Option<WireSize>),
    )| {
        let drain = drain
            .map_or_else(String::new, |size| format!(" and its bare drain of {}", size.text()));
        format!(
            "shield {name} around {}{drain} is not counted: buy shielded cable in place of these wires, \
             or braid, {:.2} m of it",
            wires.join(", "),
            cut_mm / 1e3
        )
    };
    shields.into_iter().map(sentence).collect()
}

/// New wire by size and colour.
fn wire_items(
    project: &Project,
    allotment: &Allotment,
    unknown: &mut Vec<String>,
    keep_going: &dyn Fn() -> bool,
) -> Vec<Item> {
    let settings = &project.cutting.settings;
    let mut wires: Vec<&NewWire> = allotment.new_wires.iter().collect();
    wires.sort_by(|a, b| by_size(a.size, b.size).then(a.colour.cmp(&b.colour)));
    let mut items = Vec::new();
    for group in wires.chunk_by(|a, b| a.size == b.size && a.colour == b.colour) {
        let name = wire_name(group[0].size, group[0].colour);
        let names: Vec<&str> = group.iter().map(|wire| wire.name.as_str()).collect();
        let metres = group.iter().map(|wire| wire.cut_mm + settings.kerf_mm).sum::<f64>() / 1e3;
        let Some(spool_mm) = settings.spool_mm else {
            let note = names.join(", ");
            items.push(item(Goods::Wire, name, metres, Unit::Metre, note));
            continue;
        };
        let (fits, too_long): (Vec<&NewWire>, Vec<&NewWire>) =
            group.iter().partition(|wire| wire.cut_mm <= spool_mm);
        for wire in too_long {
            unknown.push(format!(
                "wire {} is longer than a spool of {} m: buy it by the metre or splice it",
                wire.name,
                trim_zeros(&format!("{:.2}", spool_mm / 1e3))
            ));
        }
        let (n_spools, is_least) = spools(&fits, spool_mm, settings.kerf_mm, keep_going);
        let proven = if is_least { "" } else { "; fewer are not ruled out" };
        let note = format!("{}: {metres:.2} m{proven}", names.join(", "));
        items.push(item(Goods::Wire, format!("{name} spool"), n_spools as f64, Unit::Spool, note));
    }
    items
}

/// Name of wire on the shopping list.
pub fn wire_name(size: WireSize, colour: Colour) -> String {
    format!("wire {} {}", size.text(), colour.text())
}

/// Fewest spools that give these wires, and whether that is proven.
fn spools(
    wires: &[&NewWire],
    spool_mm: f64,
    kerf_mm: f64,
    keep_going: &dyn Fn() -> bool,
) -> (usize, bool) {
    let whole = |mm: f64| (mm * 1e3).round().max(0.0) as u64;
    let kerf = whole(kerf_mm);
    let spool = Stock { whole: whole(spool_mm), room: whole(spool_mm) + kerf, class: 0 };
    let packing = Packing {
        wires: wires
            .iter()
            .map(|wire| Demand { weight: whole(wire.cut_mm) + kerf, class: 0 })
            .collect(),
        pieces: vec![spool; wires.len()],
        fits: vec![vec![Fit::Same]],
        kerf,
        scrap: 0,
    };
    let found = best_of_groups(&packing, SPOOL_NODES, keep_going);
    (found.score.opened, matches!(found.proof, Proof::Optimal | Proof::Left(_)))
}

/// Nodes of the search for the fewest spools.
const SPOOL_NODES: u64 = 50_000;

/// Terminals, seals and boots of the ends that are not crimped yet.
fn end_items(project: &Project, list: &CutList, unknown: &mut Vec<String>) -> Vec<Item> {
    let mut counts: BTreeMap<(Goods, String), (usize, Vec<String>)> = BTreeMap::new();
    let mut without_terminal: Vec<&str> = Vec::new();
    let mut without_seal: Vec<&str> = Vec::new();
    for row in list.rows.iter().filter(|r| !project.cutting.ticks_of(r.wire).is_crimped) {
        for end in &row.ends {
            let named = [
                (Goods::Terminal, &end.terminal),
                (Goods::Seal, &end.seal),
                (Goods::Boot, &end.boot),
            ];
            for (goods, name) in named.into_iter().filter(|(_, name)| !name.is_empty()) {
                let (count, ends) = counts.entry((goods, name.clone())).or_default();
                *count += 1;
                ends.push(end.name.clone());
            }
            if end.terminal.is_empty() && end.kind != EndKind::Splice {
                without_terminal.push(&end.name);
            }
            if end.seal.is_empty() && end.kind == EndKind::Sealed {
                without_seal.push(&end.name);
            }
        }
    }
    for (noun, ends) in [("terminal", without_terminal), ("seal", without_seal)] {
        if !ends.is_empty() {
            unknown.push(format!(
                "no {noun} is named for {}: write it down at the wire ends",
                some_of(&ends)
            ));
        }
    }
    counts
        .into_iter()
        .map(|((goods, name), (count, ends))| {
            let ends: Vec<&str> = ends.iter().map(String::as_str).collect();
            item(goods, name, count as f64, Unit::Each, some_of(&ends))
        })
        .collect()
}

/// All of few, or the first of many.
fn some_of(names: &[&str]) -> String {
    const MOST: usize = 8;
    if names.len() <= MOST {
        return names.join(", ");
    }
    format!("{} and {} more", names[..MOST].join(", "), names.len() - MOST)
}

/// Sealing plugs: those noted, and one for every empty cavity of a sealed half.
fn plug_items(project: &Project) -> Option<Item> {
    let halves: Vec<HalfFill> =
        half_fills(project).into_iter().filter(|half| half.plugs_needed() > 0).collect();
    let count: usize = halves.iter().map(HalfFill::plugs_needed).sum();
    let words = |half: &HalfFill| {
        let empty = if half.is_sealed { half.empty.as_slice() } else { &[] };
        let mut numbers: Vec<u16> = half.plugged.iter().chain(empty).copied().collect();
        numbers.sort_unstable();
        let numbers: Vec<String> = numbers.iter().map(u16::to_string).collect();
        format!("{} {}", half.name, numbers.join(" "))
    };
    let note = halves.iter().map(words).collect::<Vec<_>>().join("; ");
    (count > 0).then(|| {
        let note = format!("cavities {note}");
        item(Goods::Plug, "sealing plug".into(), count as f64, Unit::Each, note)
    })
}

/// Covering by kind: the length of the runs it goes around, loops with it.
fn covering_items(project: &Project) -> Vec<Item> {
    let mut of: BTreeMap<(CoveringKind, &str), (f64, Vec<&str>)> = BTreeMap::new();
    for (_, run) in project.runs.iter() {
        let Some(covering) = &run.laid.covering else { continue };
        let (length_mm, runs) = of.entry((covering.kind, covering.words.trim())).or_default();
        *length_mm += run.length_mm + run.loop_mm.unwrap_or(0.0);
        runs.push(&run.name);
    }
    of.into_iter()
        .map(|((kind, words), (length_mm, runs))| {
            let name = format!("{} {words}", kind.noun()).trim().to_owned();
            let note = format!("around {}; plain length, more where it is wound", some_of(&runs));
            item(Goods::Covering, name, length_mm / 1e3, Unit::Metre, note)
        })
        .collect()
}

fn resistor_items(project: &Project) -> Vec<Item> {
    let mut rows: Vec<(f64, String, Vec<&str>)> = Vec::new();
    for (_, part) in project.parts.iter() {
        let PartKind::Resistor(resistor) = &part.kind else { continue };
        let percent = trim_zeros(&format!("{:.3}", resistor.tolerance * 100.0));
        let watt = trim_zeros(&format!("{:.3}", resistor.power_watt));
        let name = format!("resistor {} {percent} % {watt} W", format_ohm(resistor.ohm));
        match rows.iter_mut().find(|(_, known, _)| *known == name) {
            Some((_, _, parts)) => parts.push(&part.name),
            None => rows.push((resistor.ohm, name, vec![&part.name])),
        }
    }
    rows.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
    rows.into_iter()
        .map(|(_, name, parts)| {
            let note = some_of(&parts);
            item(Goods::Resistor, name, parts.len() as f64, Unit::Each, note)
        })
        .collect()
}
