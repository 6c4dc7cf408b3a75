//! Damaged files: thousands of seeded mutations, never a panic, never a write, always one clear line.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::fs;
use std::path::Path;

use ohmloom::random::Random;
use ohmloom::{files, store, testing};

/// Good files to damage: every sample project and some generated ones.
fn good_files() -> Vec<Vec<u8>> {
    let mut out: Vec<Vec<u8>> = Vec::new();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-projects");
    let mut paths: Vec<_> = fs::read_dir(folder)
        .map(|entries| entries.filter_map(|entry| Some(entry.ok()?.path())).collect())
        .unwrap_or_default();
    paths.sort();
    out.extend(
        paths
            .iter()
            .filter(|p| p.extension().is_some_and(|e| e == store::EXTENSION))
            .map(|p| fs::read(p).unwrap()),
    );
    out.extend(
        (0..6)
            .map(|seed| store::write(&testing::project(seed, 6 + 3 * seed as usize)).into_bytes()),
    );
    out
}

/// Where the tokens of a JSON text begin and end.
fn tokens(bytes: &[u8]) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let start = at;
        match bytes[at] {
            b'"' => {
                at += 1;
                while at < bytes.len() && bytes[at] != b'"' {
                    at += if bytes[at] == b'\\' { 2 } else { 1 };
                }
                at = (at + 1).min(bytes.len());
            }
            b' ' | b'\n' => {
                at += 1;
                continue;
            }
            b'{' | b'}' | b'[' | b']' | b',' | b':' => at += 1,
            _ => {
                while at < bytes.len() && !b" \n{}[],:\"".contains(&bytes[at]) {
                    at += 1;
                }
            }
        }
        out.push((start, at));
    }
    out
}

/// One damaged copy.
fn damaged(good: &[u8], tokens: &[(usize, usize)], r: &mut Random) -> Vec<u8> {
    let mut bytes = good.to_vec();
    let at = r.below(bytes.len());
    let len = 1 + r.below(40);
    let end = (at + len).min(bytes.len());
    let token = tokens[r.below(tokens.len())];
    match r.below(12) {
        0 => bytes[at] ^= 1 << r.below(8),
        1 => bytes[at] = (r.bits() & 0xff) as u8,
        2 => drop(bytes.drain(at..end)),
        3 => {
            let copy = bytes[at..end].to_vec();
            bytes.splice(at..at, copy);
        }
        4 => bytes.truncate(at),
        5 => {
            let other = tokens[r.below(tokens.len())];
            let (first, second) = if token.0 < other.0 { (token, other) } else { (other, token) };
            if first.1 <= second.0 {
                let (a, b) = (good[first.0..first.1].to_vec(), good[second.0..second.1].to_vec());
                bytes.splice(second.0..second.1, a);
                bytes.splice(first.0..first.1, b);
            }
        }
        6 => {
            let huge = [
                "1e999",
                "-1e308",
                "99999999999999999999",
                "-0",
                "1e-320",
                "NaN",
                "4294967295",
                "0.5",
                "-1",
            ];
            bytes.splice(token.0..token.1, r.pick(&huge).bytes());
        }
        7 => {
            let deep =
                r.pick(&["[", "{\"a\":", "[{\"id\":1,\"parts\":["]).repeat(1 + r.below(3000));
            bytes.splice(token.0..token.1, deep.into_bytes());
        }
        8 => drop(bytes.drain(token.0..token.1)),
        9 => {
            let words = [
                "null",
                "true",
                "\"\"",
                "{}",
                "[]",
                "\"\\ud800\"",
                "\"\\u0000\"",
                "\"parts\"",
                "1",
            ];
            bytes.splice(token.0..token.1, r.pick(&words).bytes());
        }
        10 => {
            let noise: Vec<u8> = (0..len).map(|_| (r.bits() & 0xff) as u8).collect();
            bytes.splice(at..at, noise);
        }
        _ => {
            for _ in 0..1 + r.below(20) {
                let at = r.below(bytes.len());
                bytes[at] = r.pick(b"{}[],:\"0 \n\\ae-");
            }
        }
    }
    bytes
}

/// One line that names a line of the file.
fn assert_clear(message: &str, context: &str) {
    assert!(!message.trim().is_empty(), "{context}");
    assert!(message.chars().all(|c| !c.is_control()), "{context}: {message:?}");
    assert!(message.chars().count() < 800, "{context}: {message}");
    let line = message
        .rsplit_once("(line ")
        .and_then(|(_, rest)| rest.strip_suffix(')')?.parse::<usize>().ok());
    assert!(line.is_some_and(|line| line >= 1), "{context}: {message}");
}

#[test]
fn damaged_files_are_refused_in_one_line_or_read_whole() {
    let good = good_files();
    let (mut refused, mut taken) = (0, 0);
    for (n_file, good) in good.iter().enumerate() {
        let tokens = tokens(good);
        let n_lines = good.iter().filter(|b| **b == b'\n').count();
        for seed in 0..600u64 {
            let r = &mut Random::new(seed * 64 + n_file as u64);
            let bytes = damaged(good, &tokens, r);
            let context = format!("file {n_file}, seed {seed}");
            match store::read(&bytes) {
                Ok(project) => {
                    taken += 1;
                    // What is taken must be a whole project: it can be written and read again.
                    let text = store::write(&project);
                    assert_eq!(store::read(text.as_bytes()), Ok(project), "{context}");
                }
                Err(error) => {
                    refused += 1;
                    assert_clear(&error.to_string(), &context);
                    let n_lines = n_lines + bytes.len().saturating_sub(good.len());
                    assert!(error.line <= n_lines + 1, "{context}: {error}");
                }
            }
        }
    }
    assert!(refused > 2000, "only {refused} of the files were refused");
    assert!(
        taken > 50,
        "only {taken} of the files were taken, the damage is too coarse to test checks"
    );
}

#[test]
fn every_truncation_is_refused() {
    let good = store::write(&testing::project(3, 5)).into_bytes();
    let whole = good.len() - 1;
    for end in 0..whole {
        let error = store::read(&good[..end]).map(|_| ()).expect_err("a file without its end");
        assert_clear(&error.to_string(), &format!("cut at {end}"));
    }
    assert!(store::read(&good[..whole]).is_ok(), "only the last newline is missing");
}

#[test]
fn opening_a_damaged_file_writes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("damaged.ohmloom");
    let good = store::write(&testing::project(5, 8)).into_bytes();
    let tokens = tokens(&good);
    let r = &mut Random::new(1);
    let mut refused = 0;
    for _ in 0..100 {
        let bytes = damaged(&good, &tokens, r);
        fs::write(&path, &bytes).unwrap();
        let before = fs::metadata(&path).unwrap().modified().unwrap();
        if let Err(error) = files::load(&path) {
            refused += 1;
            assert_clear(&error.to_string(), "opened");
            assert!(error.to_string().contains("damaged.ohmloom"), "{error}");
        }
        assert_eq!(fs::read(&path).unwrap(), bytes);
        assert_eq!(fs::metadata(&path).unwrap().modified().unwrap(), before);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "something else was written");
    }
    assert!(refused > 50);
}

#[test]
fn a_huge_file_is_refused_before_it_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("huge.ohmloom");
    let file = fs::File::create(&path).unwrap();
    // A hole: it takes no room on the disk.
    file.set_len(1 << 40).unwrap();
    let error = files::load(&path).map(|_| ()).unwrap_err().to_string();
    assert!(error.contains("at most 64 MiB"), "{error}");
}
