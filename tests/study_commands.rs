//! The commands that study a project, run as a person runs them: faults, budget, choose, infer.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;
use tempfile::TempDir;

struct Done {
    code: i32,
    out: String,
    err: String,
}

fn run(args: &[&str]) -> Done {
    let output = Command::new(env!("CARGO_BIN_EXE_ohmloom"))
        .args(args)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    Done {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

fn sample(name: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("sample-projects").join(name).with_extension("ohmloom").to_string_lossy().into_owned()
}

/// Compares with a golden file; `UPDATE_GOLDEN=1` writes it anew.
#[track_caller]
fn golden(args: &[&str], file: &str) {
    let done = run(args);
    assert!(done.code < 2 && done.err.is_empty(), "{args:?}: {}", done.err);
    assert_eq!(done.out, run(args).out, "not the same bytes on every run");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(file);
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        fs::write(&path, &done.out).unwrap();
    }
    let want = fs::read_to_string(&path).unwrap();
    assert!(want.len() < 20_000, "{file} is too long to be read");
    for (n, (got, want)) in done.out.lines().zip(want.lines()).enumerate() {
        assert_eq!(got, want, "{file}, line {}", n + 1);
    }
    assert_eq!(done.out, want, "{file}");
}

#[test]
fn tables_lists_and_documents_stay_as_they_are() {
    let (sprayer, forwarder) = (sample("sprayer"), sample("forwarder"));
    golden(&["faults", &sprayer, "--state", "LEFT=on", "--format", "csv"], "sprayer-faults.csv");
    golden(&["faults", &forwarder, "--dangerous"], "forwarder-faults.txt");
    golden(&["budget", &sprayer], "sprayer-budget.txt");
    golden(&["budget", &sprayer, "--format", "json"], "sprayer-budget.json");
    golden(
        &["choose", &sprayer, "--change", "R1,R2,R3", "--teach", "--format", "csv"],
        "sprayer-choose.csv",
    );
    golden(&["choose", &forwarder, "--change", "R1,R3", "--series", "E48"], "forwarder-choose.txt");
}

#[test]
fn faults_as_a_document_have_the_fields_a_script_expects() {
    let done = run(&["faults", &sample("forwarder"), "--format", "json"]);
    // Actions of this sample are marked dangerous, and some fault makes one.
    assert_eq!(done.code, 1);
    let rows: Value = serde_json::from_str(&done.out).unwrap();
    let rows = rows.as_array().unwrap();
    assert!(rows.len() > 100);
    let row = rows.iter().find(|row| row["fault"] == "S1 stuck closed").unwrap();
    assert_eq!(row["kind"], "stuck contact");
    assert_eq!(row["worst"], "wrong action");
    assert_eq!(row["harm"], "dangerous");
    assert_eq!(row["where"][0], "contact S1");
    assert_eq!(row["twins"][0], "S1-2 shorted to G1");
    let states = row["states"].as_array().unwrap();
    assert_eq!(states.len(), 16);
    let rest = &states[0];
    assert_eq!(rest["controls"]["Gate"], "AUTO");
    // 6.81 kΩ alone, by the drawing.
    assert_eq!(rest["ohm"], 6810.0);
    assert_eq!((&rest["band"], &rest["verdict"]), (&"HOLD".into(), &"wrong action".into()));
    assert!(rest["volt"].is_null(), "its pull is not known");
    let dangerous = run(&["faults", &sample("forwarder"), "--dangerous", "--format", "json"]);
    let fewer: Value = serde_json::from_str(&dangerous.out).unwrap();
    assert!(fewer.as_array().unwrap().iter().all(|row| row["harm"] == "dangerous"));
}

#[test]
fn one_state_is_asked_for_by_name() {
    let state = "Gate=HOLD,Lever=fore";
    let done = run(&["faults", &sample("forwarder"), "--state", state, "--format", "json"]);
    let rows: Value = serde_json::from_str(&done.out).unwrap();
    for row in rows.as_array().unwrap() {
        let states = row["states"].as_array().unwrap();
        assert_eq!(states.len(), 1);
        assert_eq!(states[0]["controls"]["Lever"], "fore (UP)");
    }
}

#[test]
fn choices_come_with_values_and_proof() {
    let args =
        ["choose", &sample("sprayer"), "--change", "R1,R2,R3", "--teach", "--format", "json"];
    let done = run(&args);
    assert_eq!(done.code, 0);
    let found: Value = serde_json::from_str(&done.out).unwrap();
    assert_eq!((&found["proven"], &found["unit"]), (&true.into(), &"V".into()));
    let best = &found["best"][0];
    let values: Vec<f64> =
        best["values"].as_array().unwrap().iter().map(|v| v["ohm"].as_f64().unwrap()).collect();
    assert_eq!(values, [1500.0, 2000.0, 3300.0]);
    assert_eq!(found["best"].as_array().unwrap().len(), 10);
}

#[test]
fn a_drawer_is_read_from_a_file() {
    let home = TempDir::new().unwrap();
    let list = home.path().join("drawer.txt");
    fs::write(&list, "1k5 x2, 2k x1\n3k3, 4k7 5% x4").unwrap();
    let list = list.to_string_lossy().into_owned();
    let sprayer = sample("sprayer");
    let args = ["choose", &sprayer, "--change", "R1,R2,R3", "--teach", "--drawer", &list];
    let done = run(&args);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    assert!(done.out.contains("1.500 kΩ  2.000 kΩ  3.300 kΩ"), "{}", done.out);
    fs::write(home.path().join("drawer.txt"), "1k5 of them").unwrap();
    let refused = run(&args);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("found \"of\""), "{}", refused.err);
}

#[test]
fn measured_figures_tell_pull_and_reference() {
    let pull = run(&["infer", "pull", "--ohm", "2k2", "--volt", "3.4375", "--reference", "5"]);
    assert_eq!((pull.code, pull.out.as_str()), (0, "The pull is 1.000 kΩ.\n"));
    let home = TempDir::new().unwrap();
    let file = home.path().join("measured.txt");
    // 5 V over 1 kΩ: 5 × R / (R + 1000), to the millivolt.
    fs::write(&file, "R V\n470 1,599\n1k5 3,000\n4k7 4,123\n").unwrap();
    let file = file.to_string_lossy().into_owned();
    let done = run(&["infer", "table", &file, "--format", "json"]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    let found: Value = serde_json::from_str(&done.out).unwrap();
    assert!((found["pull_ohm"].as_f64().unwrap() / 1000.0 - 1.0).abs() < 2e-3);
    assert!((found["reference_volt"].as_f64().unwrap() / 5.0 - 1.0).abs() < 2e-3);
    let presses =
        run(&["infer", "presses", "--one", "6k81", "--other", "3k48", "--both", "2.303k"]);
    assert!(presses.out.contains("side by side"), "{}", presses.out);
}

#[test]
fn what_cannot_be_done_is_said_in_one_sentence() {
    let sprayer = sample("sprayer");
    for (args, part) in [
        (&["faults", &sprayer, "--state", "LEFT=up"][..], "off, on"),
        (&["faults", &sprayer, "--state", "left"], "such as"),
        (&["budget", &sprayer, "--state", "Gate=on"], "LEFT, CENTRE, RIGHT"),
        (&["choose", &sprayer, "--change", "R9"], "R1, R2, R3, R4"),
        (&["choose", &sprayer, "--change", "R1,r1"], "twice"),
        (&["choose", &sprayer, "--change", "R1", "--series", "E7"], "E24"),
        (&["choose", &sprayer, "--change", "R1", "--decades", "10k..1k"], "100..100k"),
        (&["choose", &sprayer, "--change", "R1", "--pin", "X9-9"], "X1-5"),
        (&["infer", "pull", "--ohm", "2k2", "--volt", "6", "--reference", "5"], "between 0 and"),
        (&["infer", "table", "no-such-file.txt"], "no such file"),
    ] {
        let done = run(args);
        assert_eq!((done.code, done.out.as_str()), (2, ""), "{args:?}");
        assert!(done.err.contains(part) && done.err.trim().lines().count() == 1, "{}", done.err);
    }
}
