//! Runs a text command and brings its answer to the screen or into a file.

use std::io::{self, Write};
use std::process::ExitCode;

use crate::cli::args::{ChooseArgs, CutArgs, FileArgs, TextCommand};
use crate::cli::{
    bench, budget, check, choose, cut, cut_against, cut_pieces, demo, diagnose, faults, infer,
    permit, pinout, replay, route, setup, sheets, states, wires,
};
use crate::files;
use crate::model::Project;

/// An answer, and whether it tells of problems.
pub struct Answer {
    /// What to print.
    pub text: String,
    /// Whether the project has problems.
    pub health: Health,
}

/// What an answer says about the project.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Health {
    /// Nothing wrong.
    Fine,
    /// Something is wrong with the project.
    Problems,
}

/// Runs a command and returns the exit code of the program.
pub fn run(command: &TextCommand) -> ExitCode {
    let done = match command {
        TextCommand::ListSamples => print(&demo::list()).map(|()| Health::Fine),
        TextCommand::WriteSamples { name, folder } => demo::write(name.as_deref(), folder)
            .and_then(|text| print(&text))
            .map(|()| Health::Fine),
        TextCommand::Check(args) => answer(args, |project| Ok(check::answer(project, args))),
        TextCommand::States(args) => answer(args, |project| Ok(states::answer(project, args))),
        TextCommand::Cut(args) => cut_answer(args),
        TextCommand::Route(args) => answer(args, |project| Ok(route::answer(project, args))),
        TextCommand::Infer(command) => {
            infer::answer(command).and_then(|answer| print(&answer.text).map(|()| answer.health))
        }
        TextCommand::Budget(args) => answer(&args.file, |project| budget::answer(project, args)),
        TextCommand::Choose(args) => drawer_text(args).and_then(|text| {
            answer(&args.file, |project| choose::answer(project, args, text.as_deref()))
        }),
        TextCommand::Permit(args) => answer(&args.file, |project| permit::answer(project, args)),
        TextCommand::Sheets(args) => {
            sheets::answer(args).and_then(|answer| print(&answer.text).map(|()| answer.health))
        }
        TextCommand::Wires(args) => match &args.import {
            Some(table) => {
                wires::import(args, table).and_then(|text| print(&text)).map(|()| Health::Fine)
            }
            None => answer(&args.file, |project| Ok(wires::answer(project, args))),
        },
        TextCommand::Bench(args) => answer(&args.file, |project| bench::answer(project, args)),
        TextCommand::Setup(args) => answer(&args.file, |project| setup::answer(project, args)),
        TextCommand::Diagnose(args) => {
            answer(&args.file, |project| diagnose::answer(project, args))
        }
        TextCommand::Replay(args) => answer(&args.file, |project| replay::answer(project, args)),
        TextCommand::Pinout(args) => match &args.seen {
            Some(seen) => {
                pinout::convert(args, seen).and_then(|text| print(&text)).map(|()| Health::Fine)
            }
            None => answer(&args.file, |project| pinout::answer(project, args)),
        },
        TextCommand::Faults(args) => answer(&args.file, |project| faults::answer(project, args)),
    };
    match done {
        Ok(Health::Fine) => ExitCode::SUCCESS,
        Ok(Health::Problems) => ExitCode::from(1),
        Err(sentence) => failed(&sentence),
    }
}

/// Prints why something could not be done, and gives the exit code for it.
pub fn failed(sentence: &str) -> ExitCode {
    // Where the error stream is closed nobody is left to tell.
    let _ = writeln!(io::stderr(), "ohmloom: {sentence}");
    ExitCode::from(2)
}

/// Prints text; a reader that has gone away (`… | head`) is no failure.
///
/// # Errors
/// A sentence where the screen takes no text.
pub fn print(text: &str) -> Result<(), String> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(format!("could not print: {error}"))
        }
        Ok(()) | Err(_) => Ok(()),
    }
}

fn answer(
    args: &FileArgs,
    make: impl Fn(&Project) -> Result<Answer, String>,
) -> Result<Health, String> {
    if let Some(out) = &args.out
        && files::is_same_file(&args.file, out)
    {
        return Err("could not write the answer over the project file itself: choose another name after --out".into());
    }
    let project = files::load(&args.file).map_err(|error| error.to_string())?;
    let answer = make(&project)?;
    match &args.out {
        None => print(&answer.text)?,
        Some(out) => {
            files::save_bytes(out, answer.text.as_bytes()).map_err(|error| error.to_string())?;
        }
    }
    Ok(answer.health)
}

fn cut_answer(args: &CutArgs) -> Result<Health, String> {
    let other = args.against.as_deref().map(files::load).transpose();
    let other = other.map_err(|error| error.to_string())?;
    answer(&args.file, |project| {
        Ok(match &other {
            Some(before) => cut_against::answer(before, project, &args.file),
            None if args.pieces => cut_pieces::answer(project, &args.file),
            None => cut::answer(project, &args.file),
        })
    })
}

/// The text of the drawer list, if one is named.
fn drawer_text(args: &ChooseArgs) -> Result<Option<String>, String> {
    let read =
        |path: &std::path::PathBuf| files::read_text(path).map_err(|error| error.to_string());
    args.drawer.as_ref().map(read).transpose()
}
