//! House rules the compiler does not know: lengths, first lines, and what must not be named where.

use std::fs;
use std::path::Path;

mod sources;

use sources::Source;

/// Longest file, in lines.
const MOST_LINES: usize = 600;

fn below(path: &str, modules: &[&str]) -> bool {
    let is_of = |module: &&str| {
        path == format!("src/{module}.rs") || path.starts_with(&format!("src/{module}/"))
    };
    !modules.iter().any(is_of) && path != "src/main.rs"
}

/// Lines of code that hold one of the words, outside the named modules.
fn offenders(outside: &[&str], words: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    for source in sources::all("src").iter().filter(|source| below(&source.path, outside)) {
        found.extend(lines_with(source, words));
    }
    found
}

fn lines_with(source: &Source, words: &[&str]) -> Vec<String> {
    let lines = source.code.lines().enumerate();
    lines
        .filter(|(_, line)| words.iter().any(|word| line.contains(word)))
        .map(|(n, line)| format!("{}:{}: {}", source.path, n + 1, line.trim()))
        .collect()
}

#[track_caller]
fn assert_none(found: &[String], rule: &str) {
    assert!(found.is_empty(), "{rule}:\n{}", found.join("\n"));
}

#[test]
fn every_file_says_what_it_is_and_is_not_too_long() {
    let mut wrong = Vec::new();
    for source in ["src", "tests", "benches"].into_iter().flat_map(sources::all) {
        if !source.text.starts_with("//! ") {
            wrong.push(format!("{}: the first line must say what the file is", source.path));
        }
        let n_lines = source.text.lines().count();
        if n_lines > MOST_LINES {
            wrong.push(format!("{}: {n_lines} lines, split it", source.path));
        }
    }
    assert_none(&wrong, "a file is about one thing and says which");
}

#[test]
fn only_the_window_knows_its_library() {
    let words = ["egui", "eframe", "rfd::"];
    assert_none(&offenders(&["app"], &words), "only app may name the window's libraries");
}

#[test]
fn the_core_touches_nothing_outside_itself() {
    let files = ["std::fs", "std::env", "std::process", "File::open", "env::var"];
    assert_none(
        &offenders(&["files", "cli", "app"], &files),
        "files and environment come in as arguments",
    );
    let clock = ["std::time", "Instant::", "SystemTime"];
    assert_none(&offenders(&["app"], &clock), "dates come in as arguments");
    assert_none(&offenders(&["app"], &["std::thread", "thread::spawn"]), "only app starts threads");
    let printing = ["println!", "eprintln!", "print!(", "dbg!("];
    assert_none(&offenders(&["cli"], &printing), "only cli prints");
}

#[test]
fn no_hash_order_gets_out_of_the_core() {
    assert_none(&offenders(&["app"], &["HashMap", "HashSet"]), "use BTreeMap and BTreeSet");
}

#[test]
fn nothing_is_unwrapped_outside_tests() {
    assert_none(&offenders(&[], &[".unwrap()"]), "use expect with the reason it cannot fail");
    assert_none(&offenders(&[], &["todo!(", "unimplemented!("]), "finish it or leave it out");
}

/// The sources speak of circuits and harnesses, not of how they came to be.
#[test]
fn the_sources_keep_to_their_subject() {
    let words = [
        ["trans", "cript"].concat(),
        ["this ", "session"].concat(),
        ["seed ", "document"].concat(),
        ["/wo", "rk/"].concat(),
        ["../sha", "red"].concat(),
    ];
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut paths = Vec::new();
    for folder in ["src", "tests", "benches", "sample-projects"] {
        paths.extend(sources::files(&root.join(folder)));
    }
    paths.extend(fs::read_dir(root).unwrap().map(|entry| entry.unwrap().path()));
    let mut n_read = 0;
    let is_hidden =
        |path: &Path| path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
    for path in paths.iter().filter(|path| path.is_file() && !is_hidden(path)) {
        let Ok(text) = fs::read_to_string(path) else { continue };
        n_read += 1;
        let text = text.to_lowercase();
        for word in &words {
            assert!(!text.contains(word.as_str()), "{} says {word:?}", path.display());
        }
    }
    assert!(n_read > 50, "only {n_read} files were read");
}
