//! `ohmloom sheets` as a person or a script runs it: files, choices, refusals.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use tempfile::TempDir;

struct Done {
    code: i32,
    out: String,
    err: String,
}

fn sheets(args: &[&str]) -> Done {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ohmloom"));
    let output = command.arg("sheets").args(args).stdin(Stdio::null()).output().unwrap();
    Done {
        code: output.status.code().expect("the program ended by itself"),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

fn sample(name: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("sample-projects").join(name).with_extension("ohmloom").to_string_lossy().into_owned()
}

fn listing(folder: &Path) -> Vec<PathBuf> {
    let mut names: Vec<PathBuf> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    names
}

#[test]
fn the_packet_is_written_as_pdf_pages_and_tables() {
    let home = TempDir::new().unwrap();
    let at = |name: &str| home.path().join(name).to_string_lossy().into_owned();
    let file = sample("sprayer");
    let all =
        sheets(&[&file, "-o", &at("packet.pdf"), "--svg", &at("pages"), "--csv", &at("tables")]);
    assert_eq!((all.code, all.err.as_str()), (0, ""));
    for part in ["owner", "Connectors", "from page", "Still blank", "--board adds it"] {
        assert!(all.out.contains(part), "{part} is missing:\n{}", all.out);
    }
    let document = lopdf::Document::load(at("packet.pdf")).unwrap();
    let n_pages = document.get_pages().len();
    assert_eq!(listing(&home.path().join("pages")).len(), n_pages);
    let first = fs::read_to_string(home.path().join("pages/page-001-owner.svg")).unwrap();
    assert!(first.starts_with("<?xml") && first.ends_with("</svg>\n"));
    let wires = fs::read_to_string(home.path().join("tables/cut-wires.csv")).unwrap();
    assert_eq!(wires.lines().count(), 1 + 8, "a head and eight wires");
    assert!(wires.starts_with("cut,wire,colour,size,cut length"));
    // The same command again: the same bytes.
    let before = fs::read(at("packet.pdf")).unwrap();
    assert_eq!(sheets(&[&file, "-o", &at("packet.pdf")]).code, 0);
    assert!(fs::read(at("packet.pdf")).unwrap() == before);
}

#[test]
fn sheets_paper_and_tint_are_chosen_by_name() {
    let home = TempDir::new().unwrap();
    let out = home.path().join("some.pdf").to_string_lossy().into_owned();
    let file = sample("forwarder");
    let few = sheets(&[
        &file,
        "-o",
        &out,
        "--only",
        "cut,owner",
        "--paper",
        "a3",
        "--landscape",
        "--mono",
    ]);
    assert_eq!(few.code, 0, "{}", few.err);
    assert!(few.out.find("cut ").unwrap() < few.out.find("owner ").unwrap(), "{}", few.out);
    let document = lopdf::Document::load(&out).unwrap();
    let (_, page) = document.get_pages().into_iter().next().unwrap();
    let sides =
        document.get_dictionary(page).unwrap().get(b"MediaBox").unwrap().as_array().unwrap();
    let side = |n: usize| f64::from(sides[n].as_float().unwrap()) * 25.4 / 72.0;
    assert!((side(2) - 420.0).abs() < 0.1 && (side(3) - 297.0).abs() < 0.1);
    for (args, words) in [
        (&["--only", "cut,nonsense"][..], "expected one of the sheets owner"),
        (&["--paper", "a5"][..], "expected a4, letter or a3 after --paper, found \"a5\""),
        (&["--label-grid", "3x20"][..], "--label-size"),
        (&["--label-size", "wide"][..], "two lengths in mm such as 50x12"),
        (&["--label-size", "50x12", "--label-grid", "9x20"][..], "the labels do not fit"),
        (&["--date", "tomorrow"][..], "expected a date such as 2026-05-01, found \"tomorrow\""),
        (&["--date", "2026-02-29"][..], "expected a date such as 2026-05-01, found \"2026-02-29\""),
        (&["--date", "31.13.2026"][..], "expected a date such as 2026-05-01, found \"31.13.2026\""),
        (
            &["--label-size", "50x12", "--only", "test,cut"][..],
            "expected the sheet labels after --only because of --label-size, found test, cut",
        ),
    ] {
        let refused = sheets(&[&[file.as_str(), "-o", &out], args].concat());
        assert_eq!(refused.code, 2, "{args:?}");
        assert!(refused.err.contains(words), "{args:?}: {}", refused.err);
    }
    let nowhere = sheets(&[&file]);
    assert_eq!(nowhere.code, 2);
    assert!(nowhere.err.contains("say where to"));
}

/// A smaller packet into the same folders: what is left of the larger one is named.
#[test]
fn files_of_an_earlier_packet_are_named() {
    let home = TempDir::new().unwrap();
    let at = |name: &str| home.path().join(name).to_string_lossy().into_owned();
    let file = sample("sprayer");
    let write = |only: &str| {
        let done = sheets(&[&file, "--svg", &at("pages"), "--csv", &at("tables"), "--only", only]);
        assert_eq!(done.code, 0, "{}", done.err);
        done.out
    };
    assert!(!write("cut,cautions,test").contains("not of this packet"));
    let said = write("cautions");
    assert_eq!(said.matches("Also in this folder, but not of this packet:").count(), 2, "{said}");
    assert!(said.contains("page-00") && said.contains(".csv"), "{said}");
}

#[test]
fn the_packet_never_replaces_the_project_and_leaves_no_half_file() {
    let home = TempDir::new().unwrap();
    let own = home.path().join("mine.ohmloom");
    fs::copy(sample("sprayer"), &own).unwrap();
    let text = fs::read_to_string(&own).unwrap();
    let path = own.to_string_lossy().into_owned();
    let refused = sheets(&[&path, "-o", &path]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("over the project file itself"), "{}", refused.err);
    assert_eq!(fs::read_to_string(&own).unwrap(), text);
    let missing = home.path().join("no folder/packet.pdf").to_string_lossy().into_owned();
    assert_eq!(sheets(&[&path, "-o", &missing]).code, 2);
    assert_eq!(listing(home.path()), [own]);
}
