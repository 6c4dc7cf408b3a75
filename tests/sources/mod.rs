//! Reads the crate's own sources for the tests that keep house.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::fs;
use std::path::{Path, PathBuf};

/// One source file.
pub struct Source {
    /// Path from the crate's folder, with `/`.
    pub path: String,
    /// The whole text.
    #[allow(dead_code, reason = "each test crate uses its own part of this file")]
    pub text: String,
    /// The text without comments and tests, line numbers kept.
    pub code: String,
}

/// All Rust files below a folder of the crate, in the order of their paths.
pub fn all(folder: &str) -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut paths = files(&root.join(folder));
    paths.retain(|path| path.extension().is_some_and(|ending| ending == "rs"));
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let text = fs::read_to_string(&path).unwrap();
            let path = path.strip_prefix(root).unwrap().to_string_lossy().replace('\\', "/");
            let is_test = path.ends_with("tests.rs")
                || path.contains("/tests/")
                || path.ends_with("/fixture.rs")
                || path.starts_with("tests/");
            let code = if is_test { String::new() } else { code_of(&text) };
            Source { path, text, code }
        })
        .collect()
}

/// All files below a folder; none where there is no such folder, or where it is a bench's Python
/// environment, which is made on the machine.
pub fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    if folder.join("pyvenv.cfg").exists() {
        return found;
    }
    let Ok(entries) = fs::read_dir(folder) else { return found };
    for entry in entries {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.push(path);
        }
    }
    found
}

/// Blanks comment lines, and everything from the test module at the end on.
fn code_of(text: &str) -> String {
    let lines: Vec<&str> = text.lines().collect();
    let starts_tests = |n: usize| {
        lines[n] == "#[cfg(test)]"
            && lines.get(n + 1).is_some_and(|next| next.starts_with("mod ") && next.ends_with('{'))
    };
    let end = (0..lines.len()).find(|n| starts_tests(*n)).unwrap_or(lines.len());
    let mut code = String::new();
    for line in &lines[..end] {
        if !line.trim_start().starts_with("//") {
            code.push_str(line);
        }
        code.push('\n');
    }
    code
}
