//! What can be asked for on the command line.

mod studies;

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::builder::PossibleValuesParser;
use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};

pub use studies::{
    BenchArgs, BudgetArgs, ChooseArgs, DiagnoseArgs, FaultArgs, InferCommand, InferSide,
    PermitArgs, ReplayArgs, SetupArgs,
};

use crate::cli::output::failed;
use crate::cli::sheets::SheetArgs;
use crate::cli::usage::sentence;
use crate::samples;

/// What the command line asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Request {
    /// A window.
    Window(Opening),
    /// Text.
    Text(TextCommand),
}

/// What a window opens with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Opening {
    /// A project file.
    File(PathBuf),
    /// A built-in sample, by its name.
    Sample(&'static str),
}

/// A command that answers with text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TextCommand {
    /// Lists the samples.
    ListSamples,
    /// Writes one sample, or all of them, into a folder.
    WriteSamples {
        /// The sample; all where none is named.
        name: Option<String>,
        /// The folder, made where it is missing.
        folder: PathBuf,
    },
    /// Findings of a file.
    Check(FileArgs),
    /// All states of a file.
    States(FileArgs),
    /// The cut list of a file, what is cut from the pieces on hand, or what to redo.
    Cut(CutArgs),
    /// Runs, bundles, wires and feeds of a file.
    Route(FileArgs),
    /// Faults of a file and what comes of them.
    Faults(FaultArgs),
    /// How much dirt a file stands.
    Budget(BudgetArgs),
    /// The best values for some resistors of a file.
    Choose(ChooseArgs),
    /// What the controller is, from what was measured.
    Infer(InferCommand),
    /// The truth table of a permit loop.
    Permit(PermitArgs),
    /// The packet of sheets.
    Sheets(SheetArgs),
    /// The wires of a file as a table, or a table taken over.
    Wires(WiresArgs),
    /// The bench test of a file.
    Bench(BenchArgs),
    /// What is wrong, from readings.
    Diagnose(DiagnoseArgs),
    /// Set-up record, arming story and sign-off of a file.
    Setup(SetupArgs),
    /// What a recorded log shows.
    Replay(ReplayArgs),
    /// Both views of a connector.
    Pinout(PinoutArgs),
}

/// Which connector to look at, and how somebody else numbers it.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct PinoutArgs {
    /// The file and the format; with --seen, --out names the new project file.
    #[command(flatten)]
    pub file: FileArgs,
    /// The connector or half, such as X1 or "X2 pins"
    #[arg(long, value_name = "NAME")]
    pub connector: String,
    /// How another maker's pin table is drawn, such as "wire view, latch down, pins half, by columns"
    #[arg(long, value_name = "WORDS")]
    pub seen: Option<String>,
}

/// What to do with a wire table.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct WiresArgs {
    /// The file and the format; with --import, --out names the new project file.
    #[command(flatten)]
    pub file: FileArgs,
    /// Take over this table (CSV in UTF-8); without --out it is only looked at
    #[arg(long, value_name = "TABLE")]
    pub import: Option<PathBuf>,
    /// What the columns mean, such as from,to,size,colour,length; - leaves one out
    #[arg(long, value_name = "WORDS", requires = "import")]
    pub columns: Option<String>,
    /// The first row names the columns
    #[arg(long, requires = "import")]
    pub header: bool,
    /// The first row is a wire
    #[arg(long, requires = "import", conflicts_with = "header")]
    pub no_header: bool,
    /// The decimal mark; told from the table without it
    #[arg(long, value_enum, requires = "import")]
    pub decimal: Option<DecimalWord>,
    /// What sizes without a unit are
    #[arg(long, value_enum, requires = "import")]
    pub sizes: Option<SizeWord>,
    /// What lengths without a unit are
    #[arg(long, value_enum, requires = "import")]
    pub lengths: Option<LengthWord>,
    /// Make connectors the project does not have
    #[arg(long, requires = "import")]
    pub make: bool,
    /// Lead wires to the ends the table names where the project has them elsewhere
    #[arg(long = "move", requires = "import")]
    pub moves: bool,
}

/// A decimal mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum DecimalWord {
    /// 0.5
    Point,
    /// 0,5
    Comma,
}

/// A measure of sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SizeWord {
    /// Square millimetres
    Mm2,
    /// American wire gauge
    Awg,
}

/// A unit of length.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum LengthWord {
    /// Millimetres
    Mm,
    /// Centimetres
    Cm,
    /// Metres
    M,
    /// Inches
    In,
}

/// What to cut.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct CutArgs {
    /// The file and the format.
    #[command(flatten)]
    pub file: FileArgs,
    /// Show which wire is cut from which piece on hand, and what to buy
    #[arg(long, conflicts_with = "against")]
    pub pieces: bool,
    /// Show which wires and labels to redo after this other version of the project was built
    #[arg(long, value_name = "OTHER")]
    pub against: Option<PathBuf>,
}

/// A file to read, and how to answer.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct FileArgs {
    /// Project file (.ohmloom)
    pub file: PathBuf,
    /// How to write the answer
    #[arg(long, value_enum, default_value = "table")]
    pub format: Format,
    /// Write the answer to this file instead of the screen
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// How an answer is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Aligned columns, at most 120 characters wide
    Table,
    /// Comma-separated values (RFC 4180)
    Csv,
    /// JSON
    Json,
}

/// Reads the command line.
///
/// # Errors
/// Help, the version or what is wrong has been printed; the exit code is returned.
pub fn parse(args: impl IntoIterator<Item = OsString>) -> Result<Request, ExitCode> {
    let args: Vec<OsString> = args.into_iter().collect();
    let line = match CommandLine::try_parse_from(&args) {
        Ok(line) => line,
        Err(_) if let Some(sentence) = no_such_command(&args) => {
            return Err(failed(&sentence));
        }
        Err(error) => {
            if let Some(sentence) = sentence(&error, command_of(&args)) {
                return Err(failed(&sentence));
            }
            // Nothing is left to do where even this text cannot be printed.
            let _ = error.print();
            return Err(ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2)));
        }
    };
    Ok(match (line.command, line.file) {
        (None, None) => Request::Window(Opening::Sample(samples::LIST[0].name)),
        (None, Some(file)) => Request::Window(Opening::File(file)),
        (Some(Command::Demo(demo)), _) => demo.request(),
        (Some(Command::Check(args)), _) => Request::Text(TextCommand::Check(args)),
        (Some(Command::States(args)), _) => Request::Text(TextCommand::States(args)),
        (Some(Command::Cut(args)), _) => Request::Text(TextCommand::Cut(args)),
        (Some(Command::Route(args)), _) => Request::Text(TextCommand::Route(args)),
        (Some(Command::Faults(args)), _) => Request::Text(TextCommand::Faults(args)),
        (Some(Command::Budget(args)), _) => Request::Text(TextCommand::Budget(args)),
        (Some(Command::Choose(args)), _) => Request::Text(TextCommand::Choose(args)),
        (Some(Command::Permit(args)), _) => Request::Text(TextCommand::Permit(args)),
        (Some(Command::Pinout(args)), _) => Request::Text(TextCommand::Pinout(args)),
        (Some(Command::Sheets(args)), _) => Request::Text(TextCommand::Sheets(args)),
        (Some(Command::Wires(args)), _) => Request::Text(TextCommand::Wires(args)),
        (Some(Command::Bench(args)), _) => Request::Text(TextCommand::Bench(args)),
        (Some(Command::Diagnose(args)), _) => Request::Text(TextCommand::Diagnose(args)),
        (Some(Command::Setup(args)), _) => Request::Text(TextCommand::Setup(args)),
        (Some(Command::Replay(args)), _) => Request::Text(TextCommand::Replay(args)),
        (Some(Command::Infer { command }), _) => Request::Text(TextCommand::Infer(command)),
    })
}

/// The word of the command that was asked for.
fn command_of(args: &[OsString]) -> Option<&str> {
    let word = args.get(1)?.to_str()?;
    let whole = CommandLine::command();
    let is_known = whole.get_subcommands().any(|known| known.get_name() == word);
    is_known.then_some(word)
}

/// What is said of a command line that cannot be read.
#[cfg(test)]
pub(super) fn complaint(args: &[OsString]) -> Option<String> {
    let error = CommandLine::try_parse_from(args).err()?;
    sentence(&error, command_of(args))
}

/// Where a word stands for a command that is none: what there is.
fn no_such_command(args: &[OsString]) -> Option<String> {
    let [_, word, _, ..] = args else { return None };
    let word = word.to_str()?;
    let is_word = !word.is_empty() && word.chars().all(|c| c.is_ascii_alphabetic() || c == '-');
    let whole = CommandLine::command();
    let known: Vec<&str> = whole.get_subcommands().map(clap::Command::get_name).collect();
    if !is_word || word.starts_with('-') || word == "help" || known.contains(&word) {
        return None;
    }
    Some(format!("expected one of the commands {}, found \"{word}\"", known.join(", ")))
}

#[derive(Parser)]
#[command(
    name = "ohmloom",
    version,
    about = "Plans one-wire switch circuits and the small harness that carries them",
    after_help = "Examples:
  ohmloom                                   open the demonstration project
  ohmloom harvester.ohmloom                 open a project
  ohmloom demo sprayer                      open a built-in sample
  ohmloom check harvester.ohmloom           list what is wrong, with cause and cure
  ohmloom states harvester.ohmloom          what every sense pin reads in every state
  ohmloom cut harvester.ohmloom --format csv --out cut.csv
  ohmloom route harvester.ohmloom           runs, bundles, drops and fuses
  ohmloom faults harvester.ohmloom          what every single fault would do
  ohmloom budget harvester.ohmloom          how much dirt each place stands
  ohmloom choose harvester.ohmloom --change R1,R2   the best values for two resistors
  ohmloom infer table measured.txt          pull and reference from ohms and volts
  ohmloom sheets harvester.ohmloom -o packet.pdf   everything on paper
  ohmloom permit harvester.ohmloom --from X1-3 --to X1-4   when a start-inhibit loop is closed
  ohmloom wires harvester.ohmloom --import wires.csv --out new.ohmloom   take a wire table over
  ohmloom bench harvester.ohmloom           the bench test with its limits
  ohmloom diagnose harvester.ohmloom --reading rest:1.2k   what is wrong, from readings
  ohmloom setup harvester.ohmloom           settings, change log, arming story
  ohmloom setup harvester.ohmloom --walk 'Gate=HOLD; tap Lever=fore; wait 2s'   what the display says then
  ohmloom replay harvester.ohmloom log.csv  what a recorded log shows

Exit codes: 0 fine, 1 problems found in the project, 2 could not do it.
A file named like a command is opened as ./check.",
    args_conflicts_with_subcommands = true
)]
struct CommandLine {
    /// Project file to open in the window (.ohmloom); the demonstration project without it
    file: Option<PathBuf>,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Subcommand)]
enum Command {
    /// Open a built-in sample project in the window
    #[command(after_help = "Examples:
  ohmloom demo                              open the demonstration project
  ohmloom demo railcar                      open another sample
  ohmloom demo --list                       which samples there are
  ohmloom demo --write samples              write all samples into the folder samples
  ohmloom demo sprayer --write .            write one of them here

Without a display it prints the state table and the cut list instead.")]
    Demo(Demo),
    /// List what is wrong with a project, with cause and cure
    #[command(after_help = "Examples:
  ohmloom check harvester.ohmloom
  ohmloom check harvester.ohmloom --format json

Exit code 1 if there is an error or a warning; notes alone are fine.")]
    Check(FileArgs),
    /// Show what every sense pin reads in every state
    #[command(after_help = "Examples:
  ohmloom states harvester.ohmloom
  ohmloom states harvester.ohmloom --format csv --out states.csv
  ohmloom states harvester.ohmloom --format json

Exit code 1 if a state is a clash, a gap or thin.")]
    States(FileArgs),
    /// Print the cut list, what is cut from the pieces on hand, or what to redo
    #[command(after_help = "Examples:
  ohmloom cut harvester.ohmloom
  ohmloom cut harvester.ohmloom --format csv --out cut.csv
  ohmloom cut harvester.ohmloom --pieces
  ohmloom cut harvester.ohmloom --against built.ohmloom

Exit code 1 if the length of a wire is not known; with --against, if anything must be redone.")]
    Cut(CutArgs),
    /// Show runs, bundles, wire figures, drops and fuses
    #[command(after_help = "Examples:
  ohmloom route harvester.ohmloom
  ohmloom route harvester.ohmloom --format csv --out wires.csv
  ohmloom route harvester.ohmloom --format json

Exit code 1 if something about the harness is an error or a warning.")]
    Route(FileArgs),
    /// Show what every single fault and building mistake would do
    #[command(after_help = "Examples:
  ohmloom faults harvester.ohmloom
  ohmloom faults harvester.ohmloom --dangerous
  ohmloom faults harvester.ohmloom --state Gate=HOLD,Lever=fore --format json
  ohmloom faults harvester.ohmloom --moves --skew 50
  ohmloom faults harvester.ohmloom --moves --state Gate=HOLD --format csv

Exit code 1 if a fault, or a move that lasts as long as the debounce, makes an action that is marked dangerous.")]
    Faults(FaultArgs),
    /// Show how much dirt each contact, joint and wire stands
    #[command(after_help = "Examples:
  ohmloom budget harvester.ohmloom
  ohmloom budget harvester.ohmloom --state Gate=HOLD,Lever=fore --format json")]
    Budget(BudgetArgs),
    /// Find the best values for some resistors, proven best
    #[command(after_help = "Examples:
  ohmloom choose harvester.ohmloom --change R1,R2,R3
  ohmloom choose harvester.ohmloom --change R1,R2 --series E96 --decades 1k..10k --teach
  ohmloom choose harvester.ohmloom --change R1,R2 --drawer drawer.txt --pairs
  ohmloom choose harvester.ohmloom --change R1,R2 --in percent

Exit code 1 if no choice leaves a margin.")]
    Choose(ChooseArgs),
    /// Show when a permit loop (start inhibit) is closed, and what every mistake in it would do
    #[command(after_help = "Examples:
  ohmloom permit harvester.ohmloom --from X1-3 --to X1-4
  ohmloom permit harvester.ohmloom --from X1-9 --to G3 --format json

Exit code 1 if the loop never closes, never opens, or a contact decides nothing.
Local rules and licensed practice go first: the table proves no safety.")]
    Permit(PermitArgs),
    /// Show a connector's face view and wire view, or take over another maker's numbers
    #[command(after_help = "Examples:
  ohmloom pinout harvester.ohmloom --connector X1
  ohmloom pinout harvester.ohmloom --connector \"X2 pins\" --format json
  ohmloom pinout harvester.ohmloom --connector X2 --seen \"wire view, latch down, pins half, lower left, by columns\" --out new.ohmloom

Only the places of the numbers change; wires stay on their numbers.")]
    Pinout(PinoutArgs),
    /// Print the packet: drawing, states, cut list, connectors, test sheet, fault card and more
    #[command(after_help = "Examples:
  ohmloom sheets harvester.ohmloom -o packet.pdf --date 2026-05-01
  ohmloom sheets harvester.ohmloom -o cut.pdf --only cut,connectors --paper letter --mono
  ohmloom sheets harvester.ohmloom -o board.pdf --only board --paper a3 --landscape
  ohmloom sheets harvester.ohmloom --svg pages --csv tables

What is not known is printed as a blank to fill in, and listed. Print at 100 %.")]
    Sheets(SheetArgs),
    /// Print the wires as a table, or take a wire table over into a new file
    #[command(after_help = "Examples:
  ohmloom wires harvester.ohmloom --format csv --out wires.csv
  ohmloom wires harvester.ohmloom --import wires.csv            look at it only
  ohmloom wires harvester.ohmloom --import wires.csv --out new.ohmloom
  ohmloom wires harvester.ohmloom --import list.csv --columns from,to,size,colour,length --sizes awg --make --out new.ohmloom

Nothing is imported where a single cell is wrong; every error is named by line and column.
Exit code 2 then.")]
    Wires(WiresArgs),
    /// List the bench test: what to connect, how to hold the controls, what to accept
    #[command(after_help = "Examples:
  ohmloom bench harvester.ohmloom
  ohmloom bench harvester.ohmloom --only ohms,volts
  ohmloom bench harvester.ohmloom --format csv --out bench.csv
  ohmloom bench harvester.ohmloom --wear
  ohmloom bench harvester.ohmloom --wear --rounds 'hand-over,fourth year'

Exit code 1 if a step cannot be done yet; it says why and what to do about it. With --wear exit
code 1 if something has aged.")]
    Bench(BenchArgs),
    /// Rank what may be wrong by what a meter showed, and say what to measure next
    #[command(after_help = "Examples:
  ohmloom diagnose harvester.ohmloom
  ohmloom diagnose harvester.ohmloom --reading Gate=HOLD,Lever=fore:1.21k
  ohmloom diagnose harvester.ohmloom --reading rest:OL --reading LEFT=on:2.93V --format json

Readings in ohms are those at the unplugged plug with supplies off; readings with a V are those
at the pin, plugged in. Exit code 1 if a reading is outside its limits.")]
    Diagnose(DiagnoseArgs),
    /// Show the set-up record, the change log and the arming story, walk the story, or sign off
    #[command(after_help = "Examples:
  ohmloom setup harvester.ohmloom
  ohmloom setup harvester.ohmloom --format csv --out settings.csv
  ohmloom setup harvester.ohmloom --walk \"Gate=HOLD; tap Lever=fore; wait 2s; switch on\"
  ohmloom setup harvester.ohmloom --sign-off

Exit code 1 if the story has a flaw or an observation contradicts it; with --sign-off, if a point
is open.")]
    Setup(SetupArgs),
    /// Decode a log recorded in the machine and list what went wrong in it
    #[command(after_help = "Examples:
  ohmloom replay harvester.ohmloom log.csv
  ohmloom replay harvester.ohmloom log.csv --columns ms=1,V=3,supply=Battery,Gate=5
  ohmloom replay harvester.ohmloom log.csv --format csv --out events.csv

Words for --columns: time, s, ms, clock, date, ohm, kohm, V, mV, count, percent, supply, state,
text, - or the name of a control; columns by their head or by their number from 1.
Exit code 1 if there are events or rows that cannot be read. The log is never written.")]
    Replay(ReplayArgs),
    /// Work out what the controller is from what was measured
    #[command(after_help = "Examples:
  ohmloom infer pull --ohm 2k2 --volt 3.44 --reference 5
  ohmloom infer table measured.txt
  ohmloom infer presses --one 6k81 --other 3k48 --both 2.303k

Exit code 1 if nothing fits.")]
    Infer {
        /// What was measured
        #[command(subcommand)]
        command: InferCommand,
    },
}

#[derive(Args)]
struct Demo {
    /// Which sample
    #[arg(value_parser = PossibleValuesParser::new(samples::LIST.map(|sample| sample.name)))]
    name: Option<String>,
    /// List the samples
    #[arg(long, conflicts_with_all = ["name", "write"])]
    list: bool,
    /// Write the sample, or all of them, into this folder
    #[arg(long, value_name = "DIR")]
    write: Option<PathBuf>,
}

impl Demo {
    fn request(self) -> Request {
        if self.list {
            return Request::Text(TextCommand::ListSamples);
        }
        if let Some(folder) = self.write {
            return Request::Text(TextCommand::WriteSamples { name: self.name, folder });
        }
        let wanted = self.name.as_deref();
        let sample = samples::LIST.iter().find(|sample| Some(sample.name) == wanted);
        Request::Window(Opening::Sample(sample.map_or(samples::LIST[0].name, |s| s.name)))
    }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;

    fn request(line: &[&str]) -> Result<Request, ExitCode> {
        parse(["ohmloom"].iter().chain(line).map(OsString::from))
    }

    #[test]
    fn the_definition_holds_together() {
        CommandLine::command().debug_assert();
    }

    #[test]
    fn lines_become_requests() {
        let file = |name: &str| Opening::File(name.into());
        assert_eq!(request(&[]).unwrap(), Request::Window(Opening::Sample("forwarder")));
        assert_eq!(request(&["a b.ohmloom"]).unwrap(), Request::Window(file("a b.ohmloom")));
        assert_eq!(request(&["./check"]).unwrap(), Request::Window(file("./check")));
        assert_eq!(request(&["demo"]).unwrap(), Request::Window(Opening::Sample("forwarder")));
        assert_eq!(
            request(&["demo", "railcar"]).unwrap(),
            Request::Window(Opening::Sample("railcar"))
        );
        assert_eq!(request(&["demo", "--list"]).unwrap(), Request::Text(TextCommand::ListSamples));
        let file = FileArgs { file: "x".into(), format: Format::Json, out: Some("y".into()) };
        let args = CutArgs { file, pieces: false, against: None };
        assert_eq!(
            request(&["cut", "x", "--format", "json", "--out", "y"]).unwrap(),
            Request::Text(TextCommand::Cut(args))
        );
    }

    #[test]
    fn nonsense_is_refused() {
        for line in [
            &["demo", "no-such-sample"][..],
            &["check"],
            &["cut", "x", "--format", "pdf"],
            &["cut", "x", "--pieces", "--against", "y"],
            &["demo", "--list", "--write", "d"],
            &["--loud"],
            &["a.ohmloom", "b.ohmloom"],
        ] {
            assert!(request(line).is_err(), "{line:?}");
        }
    }
}
