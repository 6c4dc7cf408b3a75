//! The route as CSV (one row for each wire) and as JSON (everything).

use serde::Serialize;

use crate::cli::json;
use crate::cli::route::{found_words, one_decimal, told_words, wire_name};
use crate::csv_text::csv_records;
use crate::model::{Diagnostic, Project, Severity, WireId};
use crate::sense::HarnessReport;

/// One row for each wire, with the fullest figures of its way.
pub fn csv(project: &Project, report: &HarnessReport) -> String {
    let head = [
        "wire",
        "size",
        "outside_mm",
        "cut_mm",
        "ohm_per_m_at_20_c",
        "celsius",
        "ohm",
        "current_amp",
        "known_by",
        "drop_volt",
        "may_carry_amp",
        "rule",
        "runs",
        "source",
    ];
    let known = |value: Option<f64>| value.map_or_else(String::new, |value| format!("{value:.6}"));
    let mut table = vec![head.map(str::to_owned).to_vec()];
    for (id, wire) in &report.wires {
        let Some(row) = project.wires.get(*id) else { continue };
        let ampacity = wire.ampacity.as_ref().ok();
        table.push(vec![
            row.name.clone(),
            row.size.text(),
            wire.outside.map_or_else(|_| String::new(), |outside| one_decimal(Some(outside.mm))),
            wire.length_mm.map_or_else(String::new, |mm| mm.to_string()),
            format!("{:.6}", wire.ohm_per_m.ohm_per_m),
            wire.celsius.to_string(),
            known(wire.ohm),
            known(wire.current.map(|current| current.amp)),
            wire.current.map_or_else(String::new, |c| told_words(project, c.told)),
            known(wire.drop_volt),
            known(ampacity.map(|ampacity| ampacity.amp)),
            ampacity.map_or_else(String::new, |ampacity| ampacity.rule.name().to_owned()),
            run_names(project, report, *id).join(" > "),
            wire.ohm_per_m.provenance(),
        ]);
    }
    csv_records(&table)
}

fn run_names(project: &Project, report: &HarnessReport, id: WireId) -> Vec<String> {
    let runs = report.lengths.get(&id).and_then(|length| length.as_ref().ok());
    let name = |run| project.runs.get(run).map_or_else(|| "?".into(), |run| run.name.clone());
    runs.map_or_else(Vec::new, |length| length.runs.iter().copied().map(name).collect())
}

#[derive(Serialize)]
struct Document<'a> {
    project: &'a str,
    runs: Vec<Run<'a>>,
    wires: Vec<Wire<'a>>,
    feeds: Vec<Feed>,
    findings: Vec<Finding<'a>>,
    cautions: Vec<String>,
}

#[derive(Serialize)]
struct Run<'a> {
    run: &'a str,
    length_mm: f64,
    zones: Vec<&'static str>,
    wires: Vec<String>,
    bundle_mm: Option<f64>,
    bundle_by: &'static str,
    bundle_not_below_mm: Option<f64>,
    rule_of_thumb_mm: Option<f64>,
    outside_mm: Option<f64>,
    bend_mm: Option<f64>,
    bend_never_below_mm: Option<f64>,
    bore_mm: Option<f64>,
    clearance_mm: Option<f64>,
    supports: usize,
    unknown: Vec<String>,
}

#[derive(Serialize)]
struct Wire<'a> {
    wire: &'a str,
    size: String,
    outside_mm: Option<f64>,
    outside_source: Option<&'static str>,
    cut_mm: Option<f64>,
    take_up: Option<f64>,
    ohm_per_metre_at_20_c: Option<f64>,
    source: String,
    celsius: f64,
    ohm: Option<f64>,
    current_amp: Option<f64>,
    known_by: Option<String>,
    drop_volt: Option<f64>,
    may_carry_amp: Option<f64>,
    rule: Option<&'static str>,
    notes: Vec<String>,
    runs: Vec<String>,
}

#[derive(Serialize)]
struct Feed {
    consumer: String,
    supply: String,
    out: Vec<String>,
    back: Vec<String>,
    load_amp: f64,
    drop_volt: Option<f64>,
    fraction: Option<f64>,
    limit: Option<f64>,
    fuse_amp: Option<f64>,
    fuse_refusal: Option<String>,
    drawn_fuse_amp: Option<f64>,
    short_amp: Option<f64>,
    not_protected: Vec<String>,
}

#[derive(Serialize)]
struct Finding<'a> {
    severity: &'static str,
    what: &'a str,
    cure: &'a str,
}

/// Everything.
pub fn json(project: &Project, report: &HarnessReport, findings: &[Diagnostic]) -> String {
    json::document(&Document {
        project: &project.title,
        runs: runs(project, report),
        wires: wires(project, report),
        feeds: feeds(project, report),
        findings: findings
            .iter()
            .map(|finding| Finding {
                severity: match finding.severity {
                    Severity::Error => "error",
                    Severity::Warning => "warning",
                    Severity::Note => "note",
                },
                what: &finding.what,
                cure: &finding.cure,
            })
            .collect(),
        cautions: crate::check::cautions(project),
    })
}

fn runs<'a>(project: &'a Project, report: &HarnessReport) -> Vec<Run<'a>> {
    let of = |(id, run): (&crate::model::RunId, &crate::harness::RunReport)| {
        let row = project.runs.get(*id)?;
        let size = run.size.as_ref().ok();
        let unknown = run.size.as_ref().err().map_or_else(Vec::new, |unknown| {
            unknown
                .iter()
                .map(|(wire, why)| format!("{}: {}", wire_name(project, *wire), why.words()))
                .collect()
        });
        Some(Run {
            run: &row.name,
            length_mm: row.length_mm,
            zones: row.laid.zones.iter().map(|zone| zone.noun()).collect(),
            wires: run.wires.iter().map(|wire| wire_name(project, *wire)).collect(),
            bundle_mm: size.and_then(|size| json::number(size.diameter_mm)),
            bundle_by: found_words(run),
            bundle_not_below_mm: size.and_then(|size| json::number(size.lower_mm)),
            rule_of_thumb_mm: size.and_then(|size| json::number(size.rule_of_thumb_mm)),
            outside_mm: run.outside_mm.and_then(json::number),
            bend_mm: run.bend_mm.and_then(json::number),
            bend_never_below_mm: run.bend_once_mm.and_then(json::number),
            bore_mm: row.laid.hole.map(|hole| hole.bore_mm),
            clearance_mm: run.clearance_mm.and_then(json::number),
            supports: run.supports,
            unknown,
        })
    };
    report.runs.iter().filter_map(of).collect()
}

fn wires<'a>(project: &'a Project, report: &HarnessReport) -> Vec<Wire<'a>> {
    let of = |(id, wire): (&WireId, &crate::harness::WireReport)| {
        let row = project.wires.get(*id)?;
        let length = report.lengths.get(id).and_then(|length| length.as_ref().ok());
        let ampacity = wire.ampacity.as_ref();
        Some(Wire {
            wire: &row.name,
            size: row.size.text(),
            outside_mm: wire.outside.ok().and_then(|outside| json::number(outside.mm)),
            outside_source: wire.outside.ok().map(|outside| outside.source),
            cut_mm: wire.length_mm.and_then(json::number),
            take_up: length.and_then(|length| json::number(length.take_up)),
            ohm_per_metre_at_20_c: json::number(wire.ohm_per_m.ohm_per_m),
            source: wire.ohm_per_m.provenance(),
            celsius: wire.celsius,
            ohm: wire.ohm.and_then(json::number),
            current_amp: wire.current.and_then(|current| json::number(current.amp)),
            known_by: wire.current.map(|current| told_words(project, current.told)),
            drop_volt: wire.drop_volt.and_then(json::number),
            may_carry_amp: ampacity.ok().and_then(|ampacity| json::number(ampacity.amp)),
            rule: ampacity.ok().map(|ampacity| ampacity.rule.name()),
            notes: match ampacity {
                Ok(ampacity) => ampacity.notes.clone(),
                Err(why) => vec![why.clone()],
            },
            runs: run_names(project, report, *id),
        })
    };
    report.wires.iter().filter_map(of).collect()
}

fn feeds(project: &Project, report: &HarnessReport) -> Vec<Feed> {
    let part = |id| project.parts.get(id).map_or_else(|| "?".into(), |part| part.name.clone());
    let names = |wires: &[WireId]| wires.iter().map(|wire| wire_name(project, *wire)).collect();
    report
        .feeds
        .iter()
        .map(|(feed, advice)| Feed {
            consumer: part(feed.consumer),
            supply: part(feed.supply),
            out: names(&feed.out),
            back: names(&feed.back),
            load_amp: advice.load_amp,
            drop_volt: json::number(feed.drop_volt),
            fraction: json::number(feed.fraction()),
            limit: feed.limit,
            fuse_amp: advice.rating_amp.as_ref().ok().copied(),
            fuse_refusal: advice.rating_amp.as_ref().err().cloned(),
            drawn_fuse_amp: advice.drawn_amp,
            short_amp: feed.short_amp().and_then(json::number),
            not_protected: advice.not_protected.clone(),
        })
        .collect()
}
