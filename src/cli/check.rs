//! `ohmloom check FILE`: what is wrong, with cause and cure.

use serde::Serialize;

use crate::check;
use crate::cli::args::{FileArgs, Format};
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::wrapped;
use crate::cli::words::{severity_word, subject_words};
use crate::csv_text::csv_records;
use crate::model::{Diagnostic, Project, Severity, Subject};
use crate::units::counted;

/// Finds what is wrong and writes it as asked.
pub fn answer(project: &Project, args: &FileArgs) -> Answer {
    let findings = check::findings(project);
    let text = match args.format {
        Format::Table => list(project, &findings),
        Format::Csv => csv(project, &findings),
        Format::Json => document(project, &findings),
    };
    let is_problem = |finding: &Diagnostic| match finding.severity {
        Severity::Error | Severity::Warning => true,
        Severity::Note => false,
    };
    let health = if findings.iter().any(is_problem) { Health::Problems } else { Health::Fine };
    Answer { text, health }
}

fn list(project: &Project, findings: &[Diagnostic]) -> String {
    const INDENT: usize = 9;
    let count = |severity| findings.iter().filter(|f| f.severity == severity).count();
    let mut text = wrapped(
        "",
        &format!(
            "{}: {}, {}, {}",
            project.title,
            counted(count(Severity::Error), "error"),
            counted(count(Severity::Warning), "warning"),
            counted(count(Severity::Note), "note")
        ),
        0,
    );
    for finding in findings {
        let first = format!("{:INDENT$}", severity_word(finding.severity));
        text += "\n";
        text += &wrapped(&first, &sentence(project, finding), INDENT);
        text += &wrapped(&" ".repeat(INDENT), &format!("To do: {}", finding.cure), INDENT);
    }
    text += "\nCautions\n";
    for caution in check::cautions(project) {
        text += &wrapped("- ", &caution, 2);
    }
    text
}

/// What is wrong, with what it is about in front where the sentence does not name it.
fn sentence(project: &Project, finding: &Diagnostic) -> String {
    let at = subject_words(project, finding.subject);
    let name = at.rsplit(' ').next().unwrap_or(&at);
    if finding.what.contains(name) || finding.subject == Subject::Project {
        finding.what.clone()
    } else {
        format!("{at}: {}", finding.what)
    }
}

fn csv(project: &Project, findings: &[Diagnostic]) -> String {
    let mut records = vec![["severity", "where", "what", "cure"].map(str::to_owned).to_vec()];
    records.extend(findings.iter().map(|finding| {
        vec![
            severity_word(finding.severity).to_owned(),
            subject_words(project, finding.subject),
            finding.what.clone(),
            finding.cure.clone(),
        ]
    }));
    csv_records(&records)
}

fn document(project: &Project, findings: &[Diagnostic]) -> String {
    #[derive(Serialize)]
    struct Document<'a> {
        project: &'a str,
        findings: Vec<Finding<'a>>,
        cautions: Vec<String>,
    }
    #[derive(Serialize)]
    struct Finding<'a> {
        severity: &'static str,
        #[serde(rename = "where")]
        at: String,
        what: &'a str,
        cure: &'a str,
    }
    json::document(&Document {
        project: &project.title,
        findings: findings
            .iter()
            .map(|finding| Finding {
                severity: severity_word(finding.severity),
                at: subject_words(project, finding.subject),
                what: &finding.what,
                cure: &finding.cure,
            })
            .collect(),
        cautions: check::cautions(project),
    })
}
