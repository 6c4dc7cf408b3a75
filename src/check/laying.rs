//! How runs are laid and where splices sit: bores, loops, zones, neighbours.

use std::collections::BTreeMap;

use crate::check::findings::Found;
use crate::check::resistors::good_run;
use crate::harness::{
    Effort, HOLE_CLEARANCE_MM, LengthResult, RunReport, SUPPORT_MM, run_reports_of, splice_mm,
    wire_lengths,
};
use crate::model::{
    Grommet, Part, PartId, PartKind, PlaceId, Project, Run, RunId, RunPoint, Subject, WireId, Zone,
};

/// Least distance of two splices along a run, in mm (trade rule of 25 to 40 mm, from memory).
const SPLICES_APART_MM: f64 = 40.0;
/// Least distance of a splice from a plug, in mm. Common practice, no source.
const SPLICE_FROM_PLUG_MM: f64 = 100.0;

/// Looks at every run and every splice along one.
pub fn check(project: &Project, lengths: &BTreeMap<WireId, LengthResult>, found: &mut Found) {
    let mut reports = set_down(project, lengths);
    let open = open_holes(project, &reports);
    if !open.is_empty() {
        let searched = run_reports_of(project, lengths, Effort::Search, &|run| open.contains(&run));
        reports.extend(searched);
    }
    for (id, run) in project.runs.iter() {
        zones(id, run, found);
        if let Some(report) = reports.get(&id) {
            hole(project, (id, run), report, found);
        }
        if let Some(support_mm) = run.laid.support_mm.filter(|mm| *mm > SUPPORT_MM * 1.001) {
            found.note(
                Subject::Run(id),
                format!("run {} is held every {support_mm:.0} mm only", run.name),
                "hold it at least every 610 mm (FAA AC 43.13-1B 11-96a: 24 in)",
            );
        }
    }
    splices(project, found);
}

/// How many bundles must be packed with a search, some milliseconds each, before it can be said
/// whether they pass their holes. Cheap itself: wires are routed and bundles only set down.
pub fn bundles_to_search(project: &Project) -> usize {
    if project.runs.iter().all(|(_, run)| run.laid.hole.is_none()) {
        return 0;
    }
    open_holes(project, &set_down(project, &wire_lengths(project))).len()
}

/// Bundles that pass holes, each only set down.
fn set_down(
    project: &Project,
    lengths: &BTreeMap<WireId, LengthResult>,
) -> BTreeMap<RunId, RunReport> {
    let has_hole = |run: RunId| project.runs.get(run).is_some_and(|run| run.laid.hole.is_some());
    run_reports_of(project, lengths, Effort::Quick, &has_hole)
}

/// Runs where a smaller placement could change what is said: as set down the bundle is too thick,
/// and by the bound that no placement beats it need not be.
fn open_holes(project: &Project, reports: &BTreeMap<RunId, RunReport>) -> Vec<RunId> {
    let is_open = |run: &Run, report: &RunReport| {
        let (Some(now), Some(best)) = (report.clearance_mm, best_clearance_mm(report)) else {
            return false;
        };
        let has_grommet = run.laid.hole.is_some_and(|hole| hole.grommet == Grommet::Fitted);
        let is_between = |limit_mm: f64| now < limit_mm && best >= limit_mm;
        is_between(0.0) || (!has_grommet && is_between(HOLE_CLEARANCE_MM))
    };
    let open = reports
        .iter()
        .filter(|(id, report)| project.runs.get(**id).is_some_and(|run| is_open(run, report)));
    open.map(|(id, _)| *id).collect()
}

/// Clearance were the bundle as thin as its lower bound; nothing leaves more.
fn best_clearance_mm(report: &RunReport) -> Option<f64> {
    let size = report.size.as_ref().ok()?;
    Some(report.clearance_mm? + (size.diameter_mm - size.lower_mm).max(0.0) / 2.0)
}

fn zones(id: RunId, run: &Run, found: &mut Found) {
    let zones = &run.laid.zones;
    if zones.contains(&Zone::Moves) && run.loop_mm.is_none_or(|mm| mm <= 0.0) {
        found.warning(
            Subject::Run(id),
            format!("run {} moves but has no loop", run.name),
            "move it through its whole travel with a rope, and type the slack that takes as its loop",
        );
    }
    if zones.contains(&Zone::Wet) && zones.contains(&Zone::Dry) {
        found.warning(
            Subject::Run(id),
            format!("run {} is marked as wet and as dry", run.name),
            "part it at a place where it comes into the dry, or take one mark off",
        );
    }
}

fn hole(project: &Project, (id, run): (RunId, &Run), report: &RunReport, found: &mut Found) {
    let Some(hole) = run.laid.hole else { return };
    let (subject, name) = (Subject::Run(id), &run.name);
    match (report.clearance_mm, report.outside_mm) {
        (Some(clearance_mm), Some(outside_mm)) if clearance_mm < 0.0 => found.error(
            subject,
            match best_clearance_mm(report) {
                // However its wires lie, it does not pass.
                Some(best_mm) if best_mm < 0.0 => format!(
                    "run {name} is at least {:.1} mm thick and does not pass its bore of {} mm",
                    outside_mm - 2.0 * (best_mm - clearance_mm),
                    hole.bore_mm
                ),
                Some(_) | None => format!(
                    "run {name} is {outside_mm:.1} mm thick and does not pass its bore of {} mm",
                    hole.bore_mm
                ),
            },
            "drill a larger hole with its grommet, part the bundle, or lead wires another way",
        ),
        (Some(clearance_mm), _)
            if clearance_mm < HOLE_CLEARANCE_MM && hole.grommet == Grommet::Missing =>
        {
            found.warning(
                subject,
                format!(
                    "run {name} passes a hole with {clearance_mm:.1} mm of clearance all around and no grommet"
                ),
                "fit a grommet, or keep 9.5 mm clear all around (FAA AC 43.13-1B 11-115: 3/8 in)",
            );
        }
        (Some(_), _) => {}
        (None, _) if report.wires.is_empty() => {}
        (None, _) => {
            let (what, cure) = unknown_size(project, report);
            found.note(
                subject,
                format!(
                    "whether run {name} passes its bore of {} mm is not known: {what}",
                    hole.bore_mm
                ),
                cure,
            );
        }
    }
}

fn unknown_size(project: &Project, report: &RunReport) -> (String, &'static str) {
    match &report.size {
        Err(unknown) => {
            let name = |id: &WireId| project.wires.get(*id).map_or("?", |wire| wire.name.as_str());
            let names: Vec<&str> = unknown.iter().map(|(id, _)| name(id)).collect();
            let why = unknown.first().map_or("", |(_, why)| why.words());
            let (what, cure) = why.split_once(": ").unwrap_or((why, ""));
            let cure = if cure.is_empty() { "measure the outside diameters" } else { cure };
            (format!("wire {}: {what}", names.join(", ")), cure)
        }
        Ok(_) => (
            "the thickness of its covering is not typed".to_owned(),
            "type the thickness of one layer of the covering",
        ),
    }
}

/// Splices that sit at a typed distance along a run.
fn splices(project: &Project, found: &mut Found) {
    let mut along: BTreeMap<RunId, Vec<(f64, PartId)>> = BTreeMap::new();
    let plugs = plugs(project);
    for (id, part) in project.parts.iter() {
        let PartKind::Splice { at: Some(at), .. } = part.kind else { continue };
        match splice_mm(project, id) {
            Some(mm) => {
                along.entry(at.run).or_default().push((mm, id));
                splice_zone(project, (id, part), at, found);
                near_plug(project, &plugs, (id, part), (at, mm), found);
            }
            None => beyond(project, (id, part), at, found),
        }
    }
    for (run, mut there) in along {
        there.sort_by(|a, b| a.0.total_cmp(&b.0));
        for pair in there.windows(2) {
            let apart_mm = pair[1].0 - pair[0].0;
            let names = [pair[0].1, pair[1].1]
                .map(|id| project.parts.get(id).map_or("?", |part| part.name.as_str()));
            if apart_mm < SPLICES_APART_MM {
                found.warning(
                    Subject::Part(pair[1].1),
                    format!(
                        "splices {} and {} lie {apart_mm:.0} mm apart on run {}",
                        names[0],
                        names[1],
                        run_name(project, run)
                    ),
                    "move one at least 40 mm on, so that the bundle bulges in two places (from memory)",
                );
            }
        }
    }
}

fn run_name(project: &Project, run: RunId) -> &str {
    project.runs.get(run).map_or("?", |run| run.name.as_str())
}

fn splice_zone(project: &Project, (id, part): (PartId, &Part), at: RunPoint, found: &mut Found) {
    let Some(run) = project.runs.get(at.run) else { return };
    let moves = run.laid.zones.contains(&Zone::Moves) || run.loop_mm.is_some_and(|mm| mm > 0.0);
    for (is_so, word, why) in [
        (moves, "moves", "it breaks beside the joint"),
        (run.laid.zones.contains(&Zone::Wet), "gets wet", "water creeps in along the strands"),
    ] {
        if is_so {
            found.warning(
                Subject::Part(id),
                format!("splice {} sits on run {}, which {word}: {why}", part.name, run.name),
                format!("put the splice {}", good_run(project)),
            );
        }
    }
}

fn near_plug(
    project: &Project,
    plugs: &BTreeMap<PlaceId, &str>,
    (id, part): (PartId, &Part),
    (at, from_first_mm): (RunPoint, f64),
    found: &mut Found,
) {
    let Some(run) = project.runs.get(at.run) else { return };
    for (place, mm) in [(run.from, from_first_mm), (run.to, run.length_mm - from_first_mm)] {
        if let Some(plug) = plugs.get(&place).filter(|_| mm < SPLICE_FROM_PLUG_MM) {
            found.warning(
                Subject::Part(id),
                format!("splice {} sits {mm:.0} mm from plug {plug}", part.name),
                "keep at least 100 mm (common practice, no source): the wire must bend behind a plug",
            );
        }
    }
}

/// Places with a plug, and its name.
fn plugs(project: &Project) -> BTreeMap<PlaceId, &str> {
    project
        .parts
        .iter()
        .filter(|(_, part)| matches!(part.kind, PartKind::Connector(_) | PartKind::Controller(_)))
        .filter_map(|(_, part)| Some((part.place?, part.name.as_str())))
        .collect()
}

fn beyond(project: &Project, (id, part): (PartId, &Part), at: RunPoint, found: &mut Found) {
    let Some(run) = project.runs.get(at.run) else { return };
    let place = project.places.get(at.from).map_or("?", |place| place.name.as_str());
    let what = if at.from == run.from || at.from == run.to {
        format!(
            "splice {} should sit {:.0} mm along run {}, which is {:.0} mm long",
            part.name, at.distance_mm, run.name, run.length_mm
        )
    } else {
        format!("splice {} counts from {place}, where run {} does not end", part.name, run.name)
    };
    found.error(Subject::Part(id), what, "correct the distance, or choose the run it sits on");
}
