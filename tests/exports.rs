//! Exports byte by byte: golden files, and the same bytes on every run.
//!
//! `UPDATE_GOLDEN=1 cargo test --test exports` writes the golden files anew; look at the
//! difference before keeping it.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::fs;
use std::path::Path;
use std::process::Command;

use ohmloom::samples;

/// What a command writes about a sample.
fn export(command: &str, name: &str, format: &str) -> Vec<u8> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let file = root.join("sample-projects").join(name).with_extension("ohmloom");
    let output = Command::new(env!("CARGO_BIN_EXE_ohmloom"))
        .arg(command)
        .arg(file)
        .args(["--format", format])
        .output()
        .unwrap();
    assert!(output.status.code().is_some_and(|code| code < 2), "{command} {name} {format}");
    output.stdout
}

#[track_caller]
fn check(command: &str, name: &str, format: &str, golden: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(golden);
    let got = export(command, name, format);
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        fs::write(&path, &got).unwrap();
    }
    let want = fs::read(&path).unwrap();
    assert!(want.len() < 20_000, "{golden} is too long to be read: {} bytes", want.len());
    let (got, want) = (String::from_utf8(got).unwrap(), String::from_utf8(want).unwrap());
    for (n, (got, want)) in got.lines().zip(want.lines()).enumerate() {
        assert_eq!(got, want, "{golden}, line {}", n + 1);
    }
    assert_eq!(got, want, "{golden}");
}

#[test]
fn cut_lists() {
    check("cut", "sprayer", "csv", "sprayer-cut.csv");
    check("cut", "forwarder", "csv", "forwarder-cut.csv");
    check("cut", "sprayer", "json", "sprayer-cut.json");
    check("cut", "rescue-boat", "table", "rescue-boat-cut.txt");
}

#[test]
fn routes() {
    check("route", "sprayer", "table", "sprayer-route.txt");
    check("route", "sprayer", "csv", "sprayer-route.csv");
    check("route", "railcar", "json", "railcar-route.json");
}

#[test]
fn state_tables() {
    check("states", "sprayer", "json", "sprayer-states.json");
    check("states", "forwarder", "csv", "forwarder-states.csv");
    check("states", "forwarder", "table", "forwarder-states.txt");
}

#[test]
fn findings() {
    check("check", "railcar-first-attempt", "table", "railcar-first-attempt-check.txt");
    check("check", "railcar-first-attempt", "json", "railcar-first-attempt-check.json");
    check("check", "railcar-first-attempt", "csv", "railcar-first-attempt-check.csv");
}

#[test]
fn every_export_is_the_same_bytes_on_every_run() {
    for sample in samples::LIST {
        for command in ["check", "states", "cut"] {
            for format in ["table", "csv", "json"] {
                let one = export(command, sample.name, format);
                assert!(!one.is_empty());
                assert_eq!(one, export(command, sample.name, format), "{command} {}", sample.name);
            }
        }
    }
}

/// RFC 4180 by a reader that did not write it: same fields in every record, CRLF everywhere.
#[test]
fn every_csv_is_read_by_a_general_reader() {
    for sample in samples::LIST {
        for (command, first) in [("check", "severity"), ("states", "pin"), ("cut", "wire")] {
            let bytes = export(command, sample.name, "csv");
            let text = String::from_utf8(bytes.clone()).unwrap();
            assert!(text.ends_with("\r\n") && !text.replace("\r\n", "").contains(['\r', '\n']));
            let mut reader = csv::Reader::from_reader(bytes.as_slice());
            assert_eq!(&reader.headers().unwrap()[0], first);
            for record in reader.records() {
                record.unwrap_or_else(|error| panic!("{command} {}: {error}", sample.name));
            }
        }
    }
}

/// Our own worked example, added up by hand: (runs x 1.03 + both ends + loops) up to 10 mm.
#[test]
fn the_sprayer_is_cut_as_worked_out_by_hand() {
    let bytes = export("cut", "sprayer", "csv");
    let mut reader = csv::Reader::from_reader(bytes.as_slice());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let want = [
        ("A1", "X3-1", "X2P-3", "0.75 mm²", "violet", "", "3230", "160", "3490"),
        ("A2", "X3-2", "X2P-4", "0.75 mm²", "violet", "black", "3230", "160", "3490"),
        ("A3", "X2S-3", "X1-5", "0.75 mm²", "violet", "", "3820", "310", "4250"),
        ("A4", "X2S-4", "X1-11", "0.75 mm²", "violet", "black", "3820", "310", "4250"),
        ("A5", "X2S-1", "X1-1", "2.5 mm²", "red", "", "3820", "310", "4250"),
        ("A6", "X2S-2", "X1-7", "2.5 mm²", "black", "", "3820", "310", "4250"),
        ("A7", "F1-2", "X2P-1", "2.5 mm²", "red", "", "1980", "110", "2150"),
        ("A8", "G1", "X2P-2", "2.5 mm²", "black", "", "1980", "110", "2150"),
    ];
    assert_eq!(rows.len(), want.len());
    for (row, want) in rows.iter().zip(want) {
        let got = (&row[0], &row[2], &row[3], &row[4], &row[5], &row[6], &row[7], &row[8], &row[9]);
        if want.0 == "A8" {
            // The ground point's own name is the sample's business.
            assert_eq!(
                (got.0, got.2, got.6, got.7, got.8),
                (want.0, want.2, want.6, want.7, want.8)
            );
        } else {
            assert_eq!(got, want);
        }
    }
}
