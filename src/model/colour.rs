//! Wire colours with their IEC 60757 letter codes; base and tracer stay in fields of their own.

/// One colour of IEC 60757 (list as adopted by GOST 28763-90), in the order of its table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BaseColour {
    /// BK
    Black,
    /// BN
    Brown,
    /// RD
    Red,
    /// OG
    Orange,
    /// YE
    Yellow,
    /// GN
    Green,
    /// BU
    Blue,
    /// VT
    Violet,
    /// GY
    Grey,
    /// WH
    White,
    /// PK
    Pink,
    /// TQ
    Turquoise,
}

impl BaseColour {
    /// All colours in the standard's order.
    pub const ALL: [Self; 12] = [
        Self::Black,
        Self::Brown,
        Self::Red,
        Self::Orange,
        Self::Yellow,
        Self::Green,
        Self::Blue,
        Self::Violet,
        Self::Grey,
        Self::White,
        Self::Pink,
        Self::Turquoise,
    ];

    /// Two-letter code of IEC 60757.
    pub fn code(self) -> &'static str {
        match self {
            Self::Black => "BK",
            Self::Brown => "BN",
            Self::Red => "RD",
            Self::Orange => "OG",
            Self::Yellow => "YE",
            Self::Green => "GN",
            Self::Blue => "BU",
            Self::Violet => "VT",
            Self::Grey => "GY",
            Self::White => "WH",
            Self::Pink => "PK",
            Self::Turquoise => "TQ",
        }
    }

    /// Plain English name, lower case.
    pub fn name(self) -> &'static str {
        match self {
            Self::Black => "black",
            Self::Brown => "brown",
            Self::Red => "red",
            Self::Orange => "orange",
            Self::Yellow => "yellow",
            Self::Green => "green",
            Self::Blue => "blue",
            Self::Violet => "violet",
            Self::Grey => "grey",
            Self::White => "white",
            Self::Pink => "pink",
            Self::Turquoise => "turquoise",
        }
    }

    /// The colour of a code or an English name, in any case.
    pub fn from_text(text: &str) -> Option<Self> {
        let text = text.trim();
        Self::ALL
            .into_iter()
            .find(|c| c.code().eq_ignore_ascii_case(text) || c.name().eq_ignore_ascii_case(text))
    }
}

/// Colour of a wire: the base, and the tracer that runs along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Colour {
    /// Colour of the insulation.
    pub base: BaseColour,
    /// Colour of the stripe, where there is one.
    pub tracer: Option<BaseColour>,
}

impl Colour {
    /// A plain colour without tracer.
    pub const fn plain(base: BaseColour) -> Self {
        Self { base, tracer: None }
    }

    /// Reads `violet`, `VT`, `violet/black`, `VT/BK`.
    pub fn from_text(text: &str) -> Option<Self> {
        match text.split_once('/') {
            None => BaseColour::from_text(text).map(Self::plain),
            Some((base, tracer)) => Some(Self {
                base: BaseColour::from_text(base)?,
                tracer: Some(BaseColour::from_text(tracer)?),
            }),
        }
    }

    /// `VT` or `VT/BK` (IEC 60757).
    pub fn code(self) -> String {
        match self.tracer {
            None => self.base.code().into(),
            Some(tracer) => format!("{}/{}", self.base.code(), tracer.code()),
        }
    }

    /// `violet` or `violet/black`.
    pub fn text(self) -> String {
        match self.tracer {
            None => self.base.name().into(),
            Some(tracer) => format!("{}/{}", self.base.name(), tracer.name()),
        }
    }
}
