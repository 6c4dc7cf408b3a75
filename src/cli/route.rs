//! `ohmloom route FILE`: runs, bundles, wires, feeds and fuses.

mod document;

use crate::check;
use crate::cli::args::{FileArgs, Format};
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::millimetres;
use crate::harness::{
    BEND_LONG_TERM, BEND_NEVER_BELOW, Feed, Found, FuseAdvice, RunReport, Standing, Told,
    WireReport,
};
use crate::model::{Diagnostic, Project, RunId, Severity, WireId};
use crate::sense::{HarnessReport, Reader};
use crate::units::counted;

/// Reckons the harness and writes it as asked.
pub fn answer(project: &Project, args: &FileArgs) -> Answer {
    let report = HarnessReport::new(project, &Reader::new(project));
    let findings = check::harness_findings(project);
    let text = match args.format {
        Format::Table => text(project, &report, &findings),
        Format::Csv => document::csv(project, &report),
        Format::Json => document::json(project, &report, &findings),
    };
    let is_fine = findings.iter().all(|finding| finding.severity == Severity::Note);
    Answer { text, health: if is_fine { Health::Fine } else { Health::Problems } }
}

fn text(project: &Project, report: &HarnessReport, findings: &[Diagnostic]) -> String {
    let head = format!(
        "Route of {}: {}, {}",
        project.title,
        counted(report.runs.len(), "run"),
        counted(report.wires.len(), "wire")
    );
    let mut text = wrapped("", &head, 0);
    text += "\nRuns\n\n";
    text += &runs_table(project, report);
    text += &notes_on_runs(report);
    text += "\nWires\n\n";
    text += &wires_table(project, report);
    text += &notes_on_wires(project, report);
    text += "\nFeeds, out and back\n\n";
    text += &feeds_text(project, report);
    if !findings.is_empty() {
        text += "\nFindings\n";
        for finding in findings {
            let word = match finding.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
                Severity::Note => "note",
            };
            text += &wrapped("- ", &format!("{word}: {}: {}", finding.what, finding.cure), 2);
        }
    }
    text += "\nCautions\n";
    for caution in check::cautions(project) {
        text += &wrapped("- ", &caution, 2);
    }
    text
}

fn run_name(project: &Project, id: RunId) -> String {
    project.runs.get(id).map_or_else(|| "?".into(), |run| run.name.clone())
}

pub(super) fn wire_name(project: &Project, id: WireId) -> String {
    project.wires.get(id).map_or_else(|| "?".into(), |wire| wire.name.clone())
}

/// One decimal, or a question mark.
pub(super) fn one_decimal(value: Option<f64>) -> String {
    value.map_or_else(|| "?".into(), |value| format!("{value:.1}"))
}

/// Where the diameter of a bundle comes from, in a word or two.
pub(super) fn found_words(report: &RunReport) -> &'static str {
    match report.size.as_ref().map(|size| size.found) {
        Ok(Found::Table) => "table of least circles",
        Ok(Found::Least) => "least",
        Ok(Found::Placement) => "a placement",
        Err(_) => "not known",
    }
}

/// The same in one word.
fn found_word(report: &RunReport) -> &'static str {
    match report.size.as_ref().map(|size| size.found) {
        Ok(Found::Table) => "table",
        Ok(Found::Least) => "least",
        Ok(Found::Placement) => "placed",
        Err(_) => "?",
    }
}

fn runs_table(project: &Project, report: &HarnessReport) -> String {
    let columns = [
        ("run", Align::Left),
        ("mm", Align::Right),
        ("zones", Align::Left),
        ("wires", Align::Right),
        ("bundle mm", Align::Right),
        ("by", Align::Left),
        ("covering", Align::Left),
        ("outside mm", Align::Right),
        ("bend mm", Align::Right),
        ("bore mm", Align::Right),
        ("clear mm", Align::Right),
        ("supports", Align::Right),
    ];
    let rows: Vec<Vec<String>> = report
        .runs
        .iter()
        .filter_map(|(id, run)| {
            let row = project.runs.get(*id)?;
            let is_empty = run.wires.is_empty();
            let known = |value: Option<f64>| {
                if is_empty { "–".to_owned() } else { one_decimal(value) }
            };
            let zones: Vec<&str> = row.laid.zones.iter().map(|zone| zone.noun()).collect();
            let covering = row.laid.covering.as_ref().map_or("–", |c| c.kind.noun());
            let bore = row.laid.hole.map(|hole| hole.bore_mm);
            Some(vec![
                run_name(project, *id),
                millimetres(Some(row.length_mm)),
                if zones.is_empty() { "–".into() } else { zones.join(", ") },
                run.wires.len().to_string(),
                known(run.size.as_ref().ok().map(|size| size.diameter_mm)),
                if is_empty { "–".into() } else { found_word(run).into() },
                covering.into(),
                known(run.outside_mm),
                known(run.bend_mm),
                bore.map_or_else(|| "–".into(), |bore| one_decimal(Some(bore))),
                if bore.is_some() { one_decimal(run.clearance_mm) } else { "–".into() },
                run.supports.to_string(),
            ])
        })
        .collect();
    table(&columns, &rows)
}

fn notes_on_runs(report: &HarnessReport) -> String {
    let mut text = String::from("\n");
    let mut line = |sentence: String| text.push_str(&wrapped("- ", &sentence, 2));
    line(
        "bundle: a circle that holds all wires; by the table of least circles of equal wires, by \
         being the least there can be, or placed: a real arrangement, so the wires do fit, though \
         something smaller may exist (not below the bound in the JSON)."
            .into(),
    );
    line(
        "The rule of thumb 1.2 times the root of the sum of squares (from memory) lies below the \
         least circle of 2 to 6, 9 and 10 equal wires; it is given in CSV and JSON only."
            .into(),
    );
    line(format!(
        "bend: {BEND_LONG_TERM:.0} times the outside, for good; never below {BEND_NEVER_BELOW:.0} times \
         while laying (NASA-STD-8739.4 7.3.21)."
    ));
    line(
        "clear: all around the bundle in the bore, half of what their diameters differ by.".into(),
    );
    line(
        "supports: between the ends, at most 610 mm apart (FAA AC 43.13-1B 11-96a), or closer where a \
         smaller distance is typed."
            .into(),
    );
    let sizes = || report.runs.values().filter_map(|run| run.size.as_ref().ok());
    if sizes().any(|size| size.standing == Standing::FromMemory) {
        line(
            "Outside diameters of the tables are from memory: measure the wire you have and type \
             what you find."
                .into(),
        );
    }
    let shields: Vec<&str> =
        sizes().flat_map(|size| size.bare_shields.iter().map(String::as_str)).collect();
    if !shields.is_empty() {
        line(format!(
            "The thickness of shield {} is not typed: its bundles are thicker than given.",
            shields.join(", ")
        ));
    }
    text
}

/// How a current is known, in words.
pub(super) fn told_words(project: &Project, told: Told) -> String {
    match told {
        Told::Typed => "typed".into(),
        Told::Spare => "spare".into(),
        Told::Along(wire) => format!("as {}", wire_name(project, wire)),
        Told::Load => "load".into(),
        Told::Sum => "sum, worst case".into(),
        Told::Circuit => "circuit".into(),
    }
}

/// Amperes or milliamperes.
pub(super) fn ampere_text(amp: f64) -> String {
    if amp > 0.0 && amp < 0.1 { format!("{:.2} mA", amp * 1e3) } else { format!("{amp:.2} A") }
}

fn wires_table(project: &Project, report: &HarnessReport) -> String {
    let columns = [
        ("wire", Align::Left),
        ("size", Align::Right),
        ("outside mm", Align::Right),
        ("cut mm", Align::Right),
        ("mΩ", Align::Right),
        ("°C", Align::Right),
        ("current", Align::Right),
        ("known by", Align::Left),
        ("drop mV", Align::Right),
        ("may carry", Align::Right),
    ];
    let unknown = || "?".to_owned();
    let row = |(id, wire): (&WireId, &WireReport)| {
        let row = project.wires.get(*id)?;
        let current = wire.current;
        Some(vec![
            row.name.clone(),
            row.size.text(),
            one_decimal(wire.outside.ok().map(|outside| outside.mm)),
            wire.length_mm.map_or_else(unknown, |mm| millimetres(Some(mm))),
            one_decimal(wire.ohm.map(|ohm| ohm * 1e3)),
            format!("{:.0}", wire.celsius),
            current.map_or_else(unknown, |current| ampere_text(current.amp)),
            current.map_or_else(|| "–".into(), |current| told_words(project, current.told)),
            wire.drop_volt.map_or_else(unknown, |volt| format!("{:.1}", volt * 1e3)),
            wire.ampacity.as_ref().map_or_else(|_| unknown(), |a| format!("{:.1} A", a.amp)),
        ])
    };
    let rows: Vec<Vec<String>> = report.wires.iter().filter_map(row).collect();
    table(&columns, &rows)
}

/// Sources, rules and refusals, each once with the wires it is about.
fn notes_on_wires(project: &Project, report: &HarnessReport) -> String {
    let mut notes: Vec<(String, Vec<String>)> = Vec::new();
    let mut put = |sentence: String, wire: WireId| {
        let name = wire_name(project, wire);
        match notes.iter_mut().find(|(known, _)| *known == sentence) {
            Some((_, wires)) => wires.push(name),
            None => notes.push((sentence, vec![name])),
        }
    };
    for (id, wire) in &report.wires {
        put(format!("resistance: {}", wire.ohm_per_m), *id);
        match &wire.outside {
            Ok(outside) => put(
                format!("outside diameter: {}{}", outside.source, outside.standing.words()),
                *id,
            ),
            Err(why) => put(format!("outside diameter not known: {}", why.words()), *id),
        }
        match &wire.ampacity {
            Ok(ampacity) => {
                let factors: Vec<String> = ampacity
                    .factors
                    .iter()
                    .map(|(what, factor)| format!(", times {factor:.3} ({what})"))
                    .collect();
                let table = ampacity.table_amp;
                let rule = ampacity.rule.name();
                let standing = ampacity.standing.words();
                put(format!("may carry: {table} A by {rule}{}{standing}", factors.concat()), *id);
                for note in &ampacity.notes {
                    put(note.clone(), *id);
                }
            }
            Err(why) => put(format!("may carry, not known: {why}"), *id),
        }
    }
    let fullest = report.loading.iter().max_by(|a, b| a.1.total_cmp(b.1));
    let mut text = String::from("\n");
    if let Some((run, share)) = fullest {
        let name = run_name(project, *run);
        let sentence = format!(
            "The fullest run, {name}, carries {:.0} % of what all its wires together may.",
            share * 100.0
        );
        text += &wrapped("- ", &sentence, 2);
    }
    for (sentence, wires) in notes {
        text += &wrapped("- ", &format!("{}: {sentence}", wires.join(", ")), 2);
    }
    text
}

fn feeds_text(project: &Project, report: &HarnessReport) -> String {
    if report.feeds.is_empty() {
        return wrapped(
            "",
            "None known: type the current of a wire that feeds something, or draw the load.",
            0,
        );
    }
    report.feeds.iter().map(|(feed, advice)| feed_text(project, feed, advice)).collect()
}

fn feed_text(project: &Project, feed: &Feed, advice: &FuseAdvice) -> String {
    let part = |id| project.parts.get(id).map_or("?", |part| part.name.as_str());
    let names = |wires: &[WireId]| {
        wires.iter().map(|wire| wire_name(project, *wire)).collect::<Vec<_>>().join(", ")
    };
    let mut text = wrapped(
        "",
        &format!(
            "{} from {}: out {}, back {}",
            part(feed.consumer),
            part(feed.supply),
            names(&feed.out),
            names(&feed.back)
        ),
        0,
    );
    let mut line = |sentence: &str| text.push_str(&wrapped("  - ", sentence, 4));
    line(&format!(
        "{:.2} A loses {:.2} V, {:.1} % of {} V: {}. Joints, contacts and the fuse come on top.",
        advice.load_amp,
        feed.drop_volt,
        feed.fraction() * 100.0,
        feed.supply_volt,
        feed.verdict()
    ));
    if !feed.unknown.is_empty() {
        line(&format!(
            "The drop of {} is not known: the true loss is greater.",
            names(&feed.unknown)
        ));
    }
    for sentence in advice.sentences(project) {
        line(&sentence);
    }
    if !advice.not_protected.is_empty() {
        line("It does not protect from:");
        for what in &advice.not_protected {
            text.push_str(&wrapped("    - ", what, 6));
        }
    }
    text
}
