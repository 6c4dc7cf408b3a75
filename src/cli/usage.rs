//! What is wrong with a command line, in the voice of every other refusal: one sentence, what was
//! expected and what was found.

use std::error::Error as _;

use clap::error::{ContextKind, ContextValue, ErrorKind};

/// The sentence; `None` where help or the version was asked for, which is printed as it is.
pub fn sentence(error: &clap::Error, command: Option<&str>) -> Option<String> {
    let arg = text(error, ContextKind::InvalidArg).map(|arg| bare(&arg));
    let arg = arg.unwrap_or_else(|| "the command".into());
    let words = match error.kind() {
        ErrorKind::DisplayHelp
        | ErrorKind::DisplayVersion
        | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => return None,
        ErrorKind::InvalidValue => {
            let wanted = either(&list(error, ContextKind::ValidValue));
            let wanted = if wanted.is_empty() { "a value".into() } else { wanted };
            format!("expected {wanted} after {arg}, found {}", found(error))
        }
        ErrorKind::ValueValidation => refused(error, &arg),
        ErrorKind::MissingRequiredArgument => {
            let missing: Vec<String> =
                list(error, ContextKind::InvalidArg).iter().map(|arg| bare(arg)).collect();
            format!("expected {}, found none", missing.join(" and "))
        }
        ErrorKind::UnknownArgument if arg.starts_with('-') => {
            let like = text(error, ContextKind::SuggestedArg);
            let like = like.map_or_else(String::new, |like| format!(", which may mean {like}"));
            format!("expected an option of this command, found {arg}{like}")
        }
        ErrorKind::UnknownArgument => format!("expected nothing more, found \"{arg}\""),
        ErrorKind::ArgumentConflict => {
            let other = list(error, ContextKind::PriorArg).first().map(|other| bare(other));
            match other {
                Some(other) if other != arg => {
                    format!("expected only one of {arg} and {other}, found both")
                }
                Some(_) | None => format!("expected {arg} once, found it again"),
            }
        }
        ErrorKind::InvalidSubcommand => {
            let word = text(error, ContextKind::InvalidSubcommand).unwrap_or_default();
            format!("expected a command that there is, found \"{word}\"")
        }
        _ => first_line(error),
    };
    let of = command.map_or_else(String::new, |command| format!(" {command}"));
    Some(format!("{words} (ohmloom{of} --help says more)"))
}

/// What a value was refused for, by the words of who refused it.
fn refused(error: &clap::Error, arg: &str) -> String {
    let why = error.source().map(ToString::to_string).unwrap_or_default();
    if why.starts_with("expected ") {
        return format!("{why}, after {arg}");
    }
    format!("expected another value after {arg}, found {}: {why}", found(error))
}

fn found(error: &clap::Error) -> String {
    match text(error, ContextKind::InvalidValue) {
        Some(value) if !value.is_empty() => format!("\"{value}\""),
        Some(_) | None => "none".into(),
    }
}

fn text(error: &clap::Error, kind: ContextKind) -> Option<String> {
    list(error, kind).into_iter().next()
}

fn list(error: &clap::Error, kind: ContextKind) -> Vec<String> {
    match error.get(kind) {
        Some(ContextValue::String(one)) => vec![one.clone()],
        Some(ContextValue::Strings(all)) => all.clone(),
        Some(_) | None => Vec::new(),
    }
}

/// `--paper` of `--paper <PAPER>`; `FILE` of `<FILE>`.
fn bare(arg: &str) -> String {
    let word = arg.split_whitespace().next().unwrap_or(arg);
    word.trim_matches(|c| matches!(c, '<' | '>' | '[' | ']' | '.')).to_owned()
}

/// `a4, letter or a3`.
fn either(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} or {last}", rest.join(", ")),
    }
}

fn first_line(error: &clap::Error) -> String {
    let whole = error.to_string();
    let line = whole.lines().next().unwrap_or_default();
    line.trim_start_matches("error:").trim().to_owned()
}

#[cfg(test)]
mod tests {
    use crate::cli::args::complaint;

    #[test]
    fn every_refusal_is_one_sentence_of_expected_and_found() {
        let check = |line: &str, want: &str| {
            let words = std::iter::once("ohmloom").chain(line.split(' '));
            let args: Vec<std::ffi::OsString> = words.map(Into::into).collect();
            let said = complaint(&args).unwrap();
            assert!(said.starts_with(want), "{line}: {said}");
            assert!(!said.contains('\n') && said.contains("--help says more"), "{said}");
        };
        check("check", "expected FILE, found none (ohmloom check");
        check("sheets a --paper a9", "expected a4, letter or a3 after --paper, found \"a9\"");
        check("sheets a --only foo", "expected one of the sheets owner, ");
        check("sheets a --paper", "expected a4, letter or a3 after --paper, found none");
        check("sheets a --label-grid 3x2", "expected --label-size, found none");
        check("sheets a --date tomorrow", "expected a date such as 2026-05-01, found \"tomorrow\"");
        check("permit a --from X1-3", "expected --to, found none");
        check("faults a --nope", "expected an option of this command, found --nope");
        check("check a extra", "expected nothing more, found \"extra\"");
        check("setup a --walk b --sign-off", "expected only one of --walk and --sign-off, found");
        let helped = complaint(&["ohmloom".into(), "check".into(), "--help".into()]);
        assert_eq!(helped, None);
    }
}
