//! What lies in each run: the wires inside, how thick they are together, what fits around them, how
//! far they may be bent, where they must be held, whether they pass the hole.

use std::collections::BTreeMap;

use crate::harness::length::LengthResult;
use crate::harness::outside::{NoOutside, outside_of};
use crate::harness::packing::{Effort, Found, Packing, pack, rule_of_thumb_mm};
use crate::harness::wire_data::Standing;
use crate::model::{CoveringKind, Laid, Project, RunId, Wire, WireId, WireSize};

/// Least bend radius over outside diameter for the long term (NASA-STD-8739.4 7.3.21 for cables of
/// several conductors, US Army TM 1-1500-204-23-4 for wires and bundles). Read.
pub const BEND_LONG_TERM: f64 = 10.0;
/// The same while it is laid, never below (NASA-STD-8739.4 7.3.21). Read.
pub const BEND_NEVER_BELOW: f64 = 6.0;
/// Greatest distance between supports in mm: 24 in (FAA AC 43.13-1B 11-96a). Read.
pub const SUPPORT_MM: f64 = 609.6;
/// Clearance at a hole in mm below which it needs a grommet: 3/8 in (FAA AC 43.13-1B 11-115). Read.
pub const HOLE_CLEARANCE_MM: f64 = 9.525;

/// More different bundles than this are set down without a search, which takes longer.
const SEARCHED_BUNDLES: usize = 64;

/// How thick a bundle is.
#[derive(Clone, Debug, PartialEq)]
pub struct BundleSize {
    /// Diameter in millimetres: all wires fit into this circle.
    pub diameter_mm: f64,
    /// What no arrangement can go below, in millimetres.
    pub lower_mm: f64,
    /// Where the diameter comes from.
    pub found: Found,
    /// 1.2 times the root of the sum of squares, in millimetres: a rule of thumb (from memory) that
    /// lies below the least circle for 2 to 6, 9 and 10 equal wires.
    pub rule_of_thumb_mm: f64,
    /// The weakest figure that went in.
    pub standing: Standing,
    /// Shields whose own thickness nobody has typed: the bundle is thicker by it.
    pub bare_shields: Vec<String>,
    /// A placement: middle and diameter of every circle around the middle of the bundle, in mm.
    pub circles: Vec<(f64, f64, f64)>,
}

/// What is known of one run.
#[derive(Clone, Debug, PartialEq)]
pub struct RunReport {
    /// Wires inside, lowest identity first; a wire that passes twice stands twice.
    pub wires: Vec<WireId>,
    /// How thick they are together, or the wires whose diameter is not known and why.
    pub size: Result<BundleSize, Vec<(WireId, NoOutside)>>,
    /// Diameter over the covering in millimetres; `None` where bundle or covering is not known.
    pub outside_mm: Option<f64>,
    /// Least bend radius for good, in millimetres.
    pub bend_mm: Option<f64>,
    /// Least bend radius while it is laid, in millimetres.
    pub bend_once_mm: Option<f64>,
    /// Supports between the two ends that the greatest distance asks for.
    pub supports: usize,
    /// Clearance all around in the hole in millimetres, half of what bore and outside differ by; below zero where it does not pass; `None` where the run
    /// passes no hole or a size is not known.
    pub clearance_mm: Option<f64>,
}

/// Every run, those without wires too.
///
/// Cost: wires times runs they pass; each different set of diameters is packed once.
pub fn run_reports(
    project: &Project,
    lengths: &BTreeMap<WireId, LengthResult>,
) -> BTreeMap<RunId, RunReport> {
    run_reports_of(project, lengths, Effort::Search, &|_| true)
}

/// The same for some runs only, and with the effort that is worth it.
pub fn run_reports_of(
    project: &Project,
    lengths: &BTreeMap<WireId, LengthResult>,
    effort: Effort,
    is_wanted: &dyn Fn(RunId) -> bool,
) -> BTreeMap<RunId, RunReport> {
    let mut inside: BTreeMap<RunId, Vec<WireId>> =
        project.runs.ids().filter(|run| is_wanted(*run)).map(|run| (run, Vec::new())).collect();
    for (wire, length) in lengths {
        for run in length.iter().flat_map(|length| &length.runs) {
            if let Some(wires) = inside.get_mut(run) {
                wires.push(*wire);
            }
        }
    }
    let contents: BTreeMap<RunId, Contents> =
        inside.iter().map(|(run, wires)| (*run, contents(project, wires, effort))).collect();
    let mut packings: BTreeMap<Vec<u64>, Option<Packing>> =
        contents.values().map(|content| (content.key(), None)).collect();
    let effort = if packings.len() > SEARCHED_BUNDLES { Effort::Quick } else { effort };
    for content in contents.values() {
        let packing = packings.entry(content.key()).or_default();
        if packing.is_none() {
            *packing = Some(pack(&content.diameters_mm, effort));
        }
    }
    inside
        .into_iter()
        .map(|(run, wires)| {
            let content = &contents[&run];
            let packing = packings[&content.key()].as_ref().expect("all were packed");
            (run, report(project, run, wires, content, packing))
        })
        .collect()
}

/// The circles of one run.
#[derive(Default)]
struct Contents {
    diameters_mm: Vec<f64>,
    unknown: Vec<(WireId, NoOutside)>,
    standing: Option<Standing>,
    bare_shields: Vec<String>,
}

impl Contents {
    /// Equal for equal sets of diameters.
    fn key(&self) -> Vec<u64> {
        let mut key: Vec<u64> = self.diameters_mm.iter().map(|d| d.to_bits()).collect();
        key.sort_unstable();
        key
    }

    fn weigh(&mut self, standing: Standing) {
        let rank = |standing| match standing {
            Standing::Typed => 0,
            Standing::Read => 1,
            Standing::Computed => 2,
            Standing::FromMemory => 3,
        };
        if self.standing.is_none_or(|so_far| rank(standing) > rank(so_far)) {
            self.standing = Some(standing);
        }
    }
}

/// Wires under one shield are one circle, and so are the two wires of a pair: as they turn about
/// each other they sweep a circle as wide as both.
fn contents(project: &Project, wires: &[WireId], effort: Effort) -> Contents {
    let mut out = Contents::default();
    let mut shields: BTreeMap<&str, Vec<&Wire>> = BTreeMap::new();
    let mut free: Vec<&Wire> = Vec::new();
    for id in wires {
        let Some(wire) = project.wires.get(*id) else { continue };
        match &wire.make.shield {
            Some(shield) => shields.entry(&shield.name).or_default().push(wire),
            None => free.push(wire),
        }
        let is_measured = wire.make.shield.as_ref().is_some_and(|s| s.outside_mm.is_some());
        if let (Err(why), false) = (outside_of(project, wire), is_measured) {
            out.unknown.push((*id, why));
        }
    }
    let circles = pairs(project, &free, &mut out);
    out.diameters_mm.extend(circles);
    for (name, members) in shields {
        let shield = |wire: &&Wire| wire.make.shield.clone();
        let typed = members.iter().filter_map(shield).find_map(|shield| shield.outside_mm);
        let diameter_mm = typed.unwrap_or_else(|| {
            let mut circles = pairs(project, &members, &mut out);
            let drain = members.iter().filter_map(shield).find_map(|shield| shield.drain);
            circles.extend(drain.map(bare_mm));
            out.bare_shields.push(name.to_owned());
            pack(&circles, effort).diameter_mm
        });
        if typed.is_some() {
            out.weigh(Standing::Typed);
        }
        out.diameters_mm.push(diameter_mm);
    }
    out
}

/// Diameter of a bare solid wire of a size: the least a drain can have.
fn bare_mm(size: WireSize) -> f64 {
    2.0 * (size.area_mm2() / std::f64::consts::PI).sqrt()
}

/// Diameters of wires, with the two of each pair taken together.
fn pairs(project: &Project, wires: &[&Wire], out: &mut Contents) -> Vec<f64> {
    let mut twisted: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    let mut circles = Vec::new();
    for wire in wires {
        let Ok(outside) = outside_of(project, wire) else { continue };
        out.weigh(outside.standing);
        match &wire.make.twist {
            Some(twist) => twisted.entry(&twist.pair).or_default().push(outside.mm),
            None => circles.push(outside.mm),
        }
    }
    for members in twisted.into_values() {
        circles.extend(members.chunks(2).map(|pair| pair.iter().sum::<f64>()));
    }
    circles
}

fn report(
    project: &Project,
    run: RunId,
    wires: Vec<WireId>,
    content: &Contents,
    packing: &Packing,
) -> RunReport {
    let size = if content.unknown.is_empty() {
        Ok(BundleSize {
            diameter_mm: packing.diameter_mm,
            lower_mm: packing.lower_mm,
            found: packing.found,
            rule_of_thumb_mm: rule_of_thumb_mm(&content.diameters_mm),
            standing: content.standing.unwrap_or(Standing::Computed),
            bare_shields: content.bare_shields.clone(),
            circles: packing.circles.clone(),
        })
    } else {
        Err(content.unknown.clone())
    };
    let row = project.runs.get(run);
    let bundle_mm = size.as_ref().ok().map(|size| size.diameter_mm).filter(|_| !wires.is_empty());
    let outside_mm = bundle_mm.and_then(|mm| over_covering_mm(mm, &row?.laid));
    let bore_mm = row.and_then(|row| row.laid.hole).map(|hole| hole.bore_mm);
    let length_mm = row.map_or(0.0, |row| row.length_mm);
    RunReport {
        wires,
        size,
        outside_mm,
        bend_mm: outside_mm.map(|mm| mm * BEND_LONG_TERM),
        bend_once_mm: outside_mm.map(|mm| mm * BEND_NEVER_BELOW),
        supports: (length_mm / row.map_or(SUPPORT_MM, |row| support_mm(&row.laid)) - 1e-9)
            .floor()
            .max(0.0) as usize,
        clearance_mm: bore_mm.zip(outside_mm).map(|(bore, outside)| (bore - outside) / 2.0),
    }
}

/// Greatest distance of supports in mm: what is typed, where that is closer than the rule asks for.
pub fn support_mm(laid: &Laid) -> f64 {
    laid.support_mm.filter(|mm| *mm > 0.0).map_or(SUPPORT_MM, |mm| mm.min(SUPPORT_MM))
}

/// Diameter over the covering: two walls, and four layers of tape, which is wound half over itself
/// (trade rule, from memory). `None` where its thickness is not typed.
fn over_covering_mm(bundle_mm: f64, laid: &Laid) -> Option<f64> {
    let Some(covering) = &laid.covering else { return Some(bundle_mm) };
    let layers = match covering.kind {
        CoveringKind::Tape => 4.0,
        CoveringKind::Sleeve
        | CoveringKind::Tube
        | CoveringKind::HeatShrink
        | CoveringKind::Spiral => 2.0,
    };
    covering.thickness_mm.map(|thickness| bundle_mm + layers * thickness)
}

#[cfg(test)]
mod tests;
