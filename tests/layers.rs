//! Which module may import which: every `crate::…` path in the sources is read and judged.

use std::collections::BTreeMap;

mod sources;

/// A module may use only modules of lower rows; modules of one row do not know each other.
const ROWS: [(&str, u8); 26] = [
    ("units", 0),
    ("csv_text", 0),
    ("geometry", 0),
    ("random", 0),
    ("series", 0),
    ("marking", 0),
    ("model", 1),
    ("edit", 2),
    ("store", 2),
    ("drawing", 2),
    ("circuit", 2),
    ("harness", 2),
    ("sense", 3),
    ("cutting", 3),
    ("samples", 3),
    ("tables", 4),
    ("check", 4),
    ("study", 4),
    ("proving", 5),
    ("sheets", 6),
    ("files", 6),
    ("testing", 6),
    ("cli", 7),
    ("app", 7),
    ("lib", 8),
    ("main", 9),
];

#[test]
fn modules_use_only_what_lies_below_them() {
    let rows = BTreeMap::from(ROWS);
    let mut n_paths = 0;
    let mut wrong = Vec::new();
    for source in sources::all("src") {
        let module = module_of(&source.path);
        let row = *rows.get(module.as_str()).unwrap_or_else(|| {
            panic!("{}: module {module} has no row; give it one here and in lib.rs", source.path)
        });
        for (line, other) in used_modules(&source.code) {
            n_paths += 1;
            let Some(other_row) = rows.get(other.as_str()) else {
                wrong.push(format!("{}:{line}: crate::{other} is no module", source.path));
                continue;
            };
            if other != module && *other_row >= row {
                wrong.push(format!("{}:{line}: {module} must not use {other}", source.path));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(n_paths > 100, "the sources were not read: {n_paths} paths");
}

#[test]
fn imports_name_one_module_a_line() {
    let mut wrong = Vec::new();
    for source in sources::all("src") {
        for (n, line) in source.code.lines().enumerate() {
            let line = line.trim();
            let joins = line.starts_with("use crate::{") || line.starts_with("pub use crate::{");
            let is_glob = line.starts_with("use ") && line.ends_with("::*;");
            if joins || is_glob {
                wrong.push(format!("{}:{}: {line}", source.path, n + 1));
            }
        }
    }
    let rule = "write one `use crate::module::…` a line and name what is imported";
    assert!(wrong.is_empty(), "{rule}:\n{}", wrong.join("\n"));
}

#[test]
fn the_reader_of_paths_sees_what_is_there() {
    let code =
        "use crate::model::Project;\nlet a = crate::units::format_ohm(1.0);\nmy_crate::no();\n";
    let want = vec![(1, "model".to_owned()), (2, "units".to_owned())];
    assert_eq!(used_modules(code), want);
}

/// The top-level module a file of `src` belongs to: `src/model/part.rs` is `model`.
fn module_of(path: &str) -> String {
    let rest = path.strip_prefix("src/").unwrap_or(path);
    rest.split('/').next().unwrap_or(rest).trim_end_matches(".rs").to_owned()
}

/// Line numbers and first path segments of everything that starts with `crate::`.
fn used_modules(code: &str) -> Vec<(usize, String)> {
    let mut used = Vec::new();
    for (n, line) in code.lines().enumerate() {
        for (at, _) in line.match_indices("crate::") {
            let before = line[..at].chars().next_back();
            if before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '$') {
                continue;
            }
            let rest = &line[at + "crate::".len()..];
            let name: String =
                rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            if !name.is_empty() {
                used.push((n + 1, name));
            }
        }
    }
    used
}
