//! What the user chooses of a packet: sheets and their order, paper, tint, date.

use crate::sheets::label_sheet::LabelSheet;
use crate::sheets::page::{Orientation, Paper, Tint};

/// The sheets there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SheetKind {
    /// What each control does, the pins, what to check first, who changed what when.
    Owner,
    /// What can hurt.
    Cautions,
    /// The drawing of the circuit.
    Drawing,
    /// Every state, the band ruler, one state worked by hand.
    States,
    /// What to cut and what to buy.
    Cut,
    /// Connectors from both sides, cavity by cavity.
    Connectors,
    /// Runs, lengths, loops, splices.
    Routing,
    /// The same, blank, to take to the machine.
    Rope,
    /// The harness at full size.
    Board,
    /// Markers for both ends of every wire.
    Labels,
    /// What to measure, and what is right.
    Test,
    /// From a reading to what may be wrong.
    Faults,
    /// Settings and bands of the controller.
    Controller,
    /// Tests done, readings, open points.
    SignOff,
}

impl SheetKind {
    /// All sheets in the order of a packet.
    pub const ALL: [Self; 14] = [
        Self::Owner,
        Self::Cautions,
        Self::Drawing,
        Self::States,
        Self::Cut,
        Self::Connectors,
        Self::Routing,
        Self::Rope,
        Self::Board,
        Self::Labels,
        Self::Test,
        Self::Faults,
        Self::Controller,
        Self::SignOff,
    ];

    /// The word it is asked for by.
    pub fn word(self) -> &'static str {
        match self {
            Self::Owner => "owner",
            Self::Cautions => "cautions",
            Self::Drawing => "drawing",
            Self::States => "states",
            Self::Cut => "cut",
            Self::Connectors => "connectors",
            Self::Routing => "routing",
            Self::Rope => "rope",
            Self::Board => "board",
            Self::Labels => "labels",
            Self::Test => "test",
            Self::Faults => "faults",
            Self::Controller => "controller",
            Self::SignOff => "sign-off",
        }
    }

    /// What stands at the head of its pages.
    pub fn title(self) -> &'static str {
        match self {
            Self::Owner => "Owner page",
            Self::Cautions => "Cautions",
            Self::Drawing => "Drawing of the circuit",
            Self::States => "State table",
            Self::Cut => "Cut list",
            Self::Connectors => "Connectors",
            Self::Routing => "Routing sheet",
            Self::Rope => "Rope sheet",
            Self::Board => "Build board",
            Self::Labels => "Labels",
            Self::Test => "Test sheet",
            Self::Faults => "Fault card",
            Self::Controller => "Controller sheet",
            Self::SignOff => "Sign-off sheet",
        }
    }

    /// The sheet of a word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// What a packet is made with.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Paper.
    pub paper: Paper,
    /// Which side is up.
    pub orientation: Orientation,
    /// With or without colour.
    pub tint: Tint,
    /// Date at the foot of every page, as the user gave it; a line to write on where it is empty.
    pub date: String,
    /// Sheets in their order.
    pub sheets: Vec<SheetKind>,
    /// The sleeves or stickers that markers are printed on; `None` for plain paper.
    pub labels: Option<LabelSheet>,
}

impl Setup {
    /// All sheets on A4 upright, in colour, without a date.
    pub fn all_on_a4() -> Self {
        Self {
            paper: Paper::A4,
            orientation: Orientation::Portrait,
            tint: Tint::Colour,
            date: String::new(),
            sheets: SheetKind::ALL.to_vec(),
            labels: None,
        }
    }

    /// Width and height of a page in millimetres.
    pub fn size_mm(&self) -> (f64, f64) {
        let (short, long) = self.paper.size_mm();
        match self.orientation {
            Orientation::Portrait => (short, long),
            Orientation::Landscape => (long, short),
        }
    }
}
