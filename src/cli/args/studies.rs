//! What the studies of a project can be asked on the command line.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use crate::cli::args::{FileArgs, Format};

/// What of the bench test to show.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct BenchArgs {
    /// The file and the format.
    #[command(flatten)]
    pub file: FileArgs,
    /// Only these kinds of step, by their first word: tape, mirror, pin, isolation, ohms, permit, volts, wiggle, heat, wet, all-loads
    #[arg(long, value_name = "KINDS", value_delimiter = ',')]
    pub only: Vec<String>,
    /// Compares two rounds that were read, instead: which place has gathered ohms, and how long it still has
    #[arg(long)]
    pub wear: bool,
    /// The rounds to compare by name, then and now; without it the hand-over and the latest other
    #[arg(long, value_name = "THEN,NOW", value_delimiter = ',', requires = "wear")]
    pub rounds: Vec<String>,
}

/// What of the set-up to show.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct SetupArgs {
    /// The file and the format.
    #[command(flatten)]
    pub file: FileArgs,
    /// Walk the arming story as far as it is known, such as "Gate=HOLD; tap Lever=fore; wait 2s; switch on"
    #[arg(long, value_name = "DEEDS", conflicts_with = "sign_off")]
    pub walk: Option<String>,
    /// Show what is signed: tests done, readings, open points
    #[arg(long)]
    pub sign_off: bool,
}

/// What was read.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct DiagnoseArgs {
    /// The file and the format.
    #[command(flatten)]
    pub file: FileArgs,
    /// A reading at the pin, such as Gate=HOLD,Lever=fore:1.21k, rest:OL or LEFT=on:2.93V; may be given again
    #[arg(long, value_name = "STATE:READING")]
    pub reading: Vec<String>,
    /// The sense pin, such as X1-11; needed where there are several
    #[arg(long)]
    pub pin: Option<String>,
}

/// Which loop to look at.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct PermitArgs {
    /// The file and the format.
    #[command(flatten)]
    pub file: FileArgs,
    /// One end of the loop, such as X1-3; without both the ends picked in the project, or likely ones
    #[arg(long, value_name = "TERMINAL", requires = "to")]
    pub from: Option<String>,
    /// The other end, such as X1-4 or a ground point
    #[arg(long, value_name = "TERMINAL", requires = "from")]
    pub to: Option<String>,
}

/// What was measured.
#[derive(Subcommand, Clone, Debug, PartialEq, Eq)]
pub enum InferCommand {
    /// The pull, from one known resistor between pin and reference and the volts it gives
    Pull {
        /// The known resistor, such as 2k2
        #[arg(long)]
        ohm: String,
        /// Volts measured at the pin with it
        #[arg(long)]
        volt: String,
        /// Reference of the pull in volts
        #[arg(long)]
        reference: String,
        /// Where the switches lead
        #[arg(long, value_enum, default_value = "ground")]
        side: InferSide,
        /// How to write the answer
        #[arg(long, value_enum, default_value = "table")]
        format: Format,
    },
    /// Pull and reference, from a table of ohms and volts
    Table {
        /// Text with a resistor and its volts in each line; - reads what is piped in
        file: PathBuf,
        /// Where the switches lead
        #[arg(long, value_enum, default_value = "ground")]
        side: InferSide,
        /// How to write the answer
        #[arg(long, value_enum, default_value = "table")]
        format: Format,
    },
    /// How two switches join, from what they read alone and together
    Presses {
        /// Ohms with the one pressed
        #[arg(long)]
        one: String,
        /// Ohms with the other pressed
        #[arg(long)]
        other: String,
        /// Ohms with both pressed
        #[arg(long)]
        both: String,
        /// Ohms with none pressed; open if left out
        #[arg(long)]
        none: Option<String>,
        /// How to write the answer
        #[arg(long, value_enum, default_value = "table")]
        format: Format,
    },
}

/// Where the switches of a pin lead.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum InferSide {
    /// To ground: the pull goes up to the reference
    Ground,
    /// To the supply: the pull goes down to ground
    Supply,
}

/// What to show of a dirt budget.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct BudgetArgs {
    /// The file and the format.
    #[command(flatten)]
    pub file: FileArgs,
    /// Only this state, such as Gate=HOLD,Lever=fore; without it the weakest state of each place
    #[arg(long, value_name = "CONTROL=POSITION,…")]
    pub state: Option<String>,
}

/// What to choose, and from what.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct ChooseArgs {
    /// The file and the format.
    #[command(flatten)]
    pub file: FileArgs,
    /// Resistors that may change, such as R1,R2,R3
    #[arg(long, value_name = "NAMES", value_delimiter = ',', required = true)]
    pub change: Vec<String>,
    /// The sense pin, such as X1-11; needed where there are several
    #[arg(long)]
    pub pin: Option<String>,
    /// Series to take values from
    #[arg(long, default_value = "E24")]
    pub series: String,
    /// Least and greatest value
    #[arg(long, value_name = "LOW..HIGH", default_value = "100..100k")]
    pub decades: String,
    /// Take values from this list instead: text such as 4k7 x10, 1k5 5% x3
    #[arg(long, value_name = "FILE", conflicts_with_all = ["series", "decades"])]
    pub drawer: Option<PathBuf>,
    /// Also make values of two resistors in series or side by side
    #[arg(long)]
    pub pairs: bool,
    /// The controller's bands can be taught anew: judge by the gaps between states
    #[arg(long)]
    pub teach: bool,
    /// Compare margins in volts, counts or percent of the ohms instead of the scale of the bands
    #[arg(long = "in", value_name = "UNIT", value_parser = ["volts", "counts", "percent"])]
    pub unit: Option<String>,
}

/// What to show of the faults.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct FaultArgs {
    /// The file and the format.
    #[command(flatten)]
    pub file: FileArgs,
    /// Only this state, such as Gate=HOLD,Lever=fore; controls not named stand at rest
    #[arg(long, value_name = "CONTROL=POSITION,…")]
    pub state: Option<String>,
    /// Only faults that make a dangerous action
    #[arg(long)]
    pub dangerous: bool,
    /// Show what the pin passes while controls are moved instead; --state then names the start
    #[arg(long)]
    pub moves: bool,
    /// Show what the numbers suggest, and what stuck contacts and two hands mean for each action
    #[arg(long, conflicts_with_all = ["moves", "state", "dangerous"])]
    pub advice: bool,
    /// With --moves: how long the second of two controls follows the first
    #[arg(long, value_name = "MS", requires = "moves")]
    pub skew: Option<String>,
    /// With --moves: gap or overlap of a control that opens one contact and closes another
    #[arg(long, value_name = "MS", requires = "moves")]
    pub change: Option<String>,
    /// With --moves: how long a contact that closes may bounce
    #[arg(long, value_name = "MS", requires = "moves")]
    pub bounce: Option<String>,
}

/// A log to put to the drawing.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct ReplayArgs {
    /// The file and the format.
    #[command(flatten)]
    pub file: FileArgs,
    /// Log recorded in the machine (CSV): time, reading, perhaps supply and text
    pub log: PathBuf,
    /// What columns mean where the proposal is wrong, by head or number: time=1,ohm=3,supply=Battery
    #[arg(long, value_name = "WORD=COLUMN,…")]
    pub columns: Option<String>,
    /// The sense pin, such as X1-11; needed where there are several
    #[arg(long)]
    pub pin: Option<String>,
}
