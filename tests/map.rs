//! Holds DEVELOPERS.md to the code: every room is on the map, every name on the map exists.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn page() -> String {
    fs::read_to_string(root().join("DEVELOPERS.md")).unwrap()
}

/// All paths of the page that stand in backquotes and begin with one of our folders.
fn named_paths(page: &str) -> BTreeSet<String> {
    page.split('`')
        .skip(1)
        .step_by(2)
        .filter(|text| ["src/", "tests/", "benches/"].iter().any(|top| text.starts_with(top)))
        .filter(|text| !text.contains(char::is_whitespace))
        .map(|text| text.trim_end_matches('/').to_owned())
        .collect()
}

#[test]
fn every_path_on_the_page_exists() {
    let missing: Vec<_> =
        named_paths(&page()).into_iter().filter(|path| !root().join(path).exists()).collect();
    assert!(missing.is_empty(), "DEVELOPERS.md names what is not there: {missing:?}");
}

#[test]
fn every_room_is_on_the_map() {
    let named = named_paths(&page());
    let entries = |folder: &str| -> Vec<String> {
        fs::read_dir(root().join(folder))
            .unwrap()
            .map(|entry| format!("{folder}/{}", entry.unwrap().file_name().to_string_lossy()))
            .collect()
    };
    let mut rooms = entries("src");
    rooms.retain(|path| path != "src/lib.rs");
    rooms.extend(entries("src/app").into_iter().filter(|path| root().join(path).is_dir()));
    rooms.extend(
        entries("tests").into_iter().filter(|path| path.ends_with(".rs") || path.ends_with(".sh")),
    );
    let absent: Vec<_> = rooms.into_iter().filter(|path| !named.contains(path)).collect();
    assert!(absent.is_empty(), "not on the map of DEVELOPERS.md: {absent:?}");
}

#[test]
fn rows_of_the_map_and_of_the_crate_doc_agree() {
    let crate_doc = fs::read_to_string(root().join("src/lib.rs")).unwrap();
    let page = page();
    let mut seen = 0;
    for line in crate_doc.lines().filter(|line| line.starts_with("//! | ")) {
        let cells: Vec<&str> = line.trim_start_matches("//! ").split('|').map(str::trim).collect();
        let [_, row, module, _, _] = cells.as_slice() else { continue };
        let module = module.trim_matches(['[', ']', '`']);
        if row.parse::<u8>().is_err() {
            continue;
        }
        let on_map =
            [format!("| {row} | `src/{module}` |"), format!("| {row} | `src/{module}.rs` |")];
        assert!(
            on_map.iter().any(|text| page.contains(text)),
            "{module} is not in row {row} of DEVELOPERS.md"
        );
        seen += 1;
    }
    assert!(seen >= 12, "the crate doc has lost its table");
}

#[test]
fn every_dependency_says_why_it_is_there() {
    let manifest = fs::read_to_string(root().join("Cargo.toml")).unwrap();
    let page = page();
    let mut seen = 0;
    let mut inside = false;
    for line in manifest.lines() {
        if line.starts_with('[') {
            inside = line == "[dependencies]" || line == "[dev-dependencies]";
        } else if inside && let Some((name, _)) = line.split_once(" = ") {
            assert!(
                page.contains(&format!("`{name}`")),
                "DEVELOPERS.md does not say what {name} is for"
            );
            seen += 1;
        }
    }
    assert!(seen >= 12, "no dependencies were found in Cargo.toml");
}
