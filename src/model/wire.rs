//! Wires: what joins two terminals, and what must be cut for it.

use crate::geometry::Point;
use crate::model::colour::Colour;
use crate::model::id::PlaceId;
use crate::model::limits;
use crate::model::make::Make;
use crate::model::part::TerminalRef;
use crate::units;

/// Kinds of wire end; each has an allowance in the project's settings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EndKind {
    /// Terminal of a sealed connector.
    Sealed,
    /// Terminal of an inline connector.
    Inline,
    /// Tag or blade.
    Tag,
    /// Into a splice.
    Splice,
    /// Ring terminal.
    Ring,
}

impl EndKind {
    /// All kinds, in the order they are listed.
    pub const ALL: [Self; 5] = [Self::Sealed, Self::Inline, Self::Tag, Self::Splice, Self::Ring];

    /// What a person calls it.
    pub fn noun(self) -> &'static str {
        match self {
            Self::Sealed => "sealed",
            Self::Inline => "inline",
            Self::Tag => "tag",
            Self::Splice => "splice",
            Self::Ring => "ring",
        }
    }
}

/// One end of a wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// Where it goes.
    pub terminal: TerminalRef,
    /// Kind of end where it differs from what the part suggests.
    pub kind: Option<EndKind>,
}

/// What a size without a unit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SizeUnit {
    /// Square millimetres.
    Mm2,
    /// American wire gauge.
    Awg,
}

/// Conductor size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WireSize {
    /// Nominal area in mm² (IEC 60228, ISO 6722).
    Mm2(f64),
    /// American wire gauge number (ASTM B258).
    Awg(i32),
}

impl WireSize {
    /// Reads a size as people write it: `0.5`, `0,5 mm2`, `20 AWG`, `AWG 20`, `AWG-18`, `2/0 AWG`, `#2`.
    ///
    /// The one reader of sizes: fields, tables and pasted pieces all mean the same. Either decimal
    /// mark is taken. `None` where nothing is meant, more than one thing is, or a bound is passed.
    pub fn from_text(text: &str, bare: SizeUnit) -> Option<Self> {
        let lower = text.trim().to_lowercase();
        let behind = lower.strip_prefix("awg");
        // `AWG -3` may be 3 AWG or 4/0: not guessed.
        if behind.is_some_and(|rest| rest.starts_with(' ') && rest.trim().starts_with('-')) {
            return None;
        }
        let tight = lower.replace(' ', "");
        let area = ["mm²", "mm2", "mm^2", "sqmm", "qmm"].iter().find_map(|u| tight.strip_suffix(u));
        // A minus before the number is a sign (-3 AWG is 4/0); behind the letters it is a hyphen.
        let gauge = tight
            .strip_prefix("awg")
            .map(|body| body.trim_start_matches(['-', ':']))
            .or_else(|| tight.strip_suffix("awg"));
        let is_area = match (area, gauge) {
            (Some(_), Some(_)) => return None,
            (Some(_), None) => true,
            (None, Some(_)) => false,
            (None, None) => bare == SizeUnit::Mm2 && !tight.starts_with('#'),
        };
        if is_area {
            let area = plain_area(area.unwrap_or(&tight))?;
            return limits::AREA_MM2.holds(area).then_some(Self::Mm2(area));
        }
        let body = gauge.unwrap_or(&tight);
        let gauge = gauge_number(body.strip_prefix('#').unwrap_or(body))?;
        limits::AWG.holds(f64::from(gauge)).then_some(Self::Awg(gauge))
    }

    /// Conductor area in mm².
    pub fn area_mm2(self) -> f64 {
        match self {
            Self::Mm2(area) => area,
            Self::Awg(gauge) => units::awg_area_mm2(gauge),
        }
    }

    /// `0.5 mm²` or `20 AWG`, as it was given.
    pub fn text(self) -> String {
        match self {
            Self::Mm2(area) => format!("{area} mm²"),
            Self::Awg(gauge) => format!("{gauge} AWG"),
        }
    }
}

/// Digits with at most one decimal mark.
fn plain_area(text: &str) -> Option<f64> {
    let body = text.replace(',', ".");
    let is_plain = body.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    body.parse().ok().filter(|area: &f64| is_plain && area.is_finite())
}

/// A gauge number; 1/0 to 4/0 stand below gauge 1 (ASTM B258): 0, -1, -2, -3.
fn gauge_number(text: &str) -> Option<i32> {
    match text.strip_suffix("/0") {
        Some(zeros) => {
            zeros.parse().ok().filter(|zeros| (1..=4).contains(zeros)).map(|n: i32| 1 - n)
        }
        None => text.parse().ok().filter(|_| !text.starts_with('+')),
    }
}

/// Whether a wire is cut for the harness or drawn only.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WireUse {
    /// Cut, marked and laid: stands in the cut list.
    Harness,
    /// Inside a box or on a board: joins, but is not cut from this list. Ideal (0 ohm).
    Internal,
}

/// A wire between two terminals.
#[derive(Clone, Debug, PartialEq)]
pub struct Wire {
    /// Number or name on its marker, such as `D2`.
    pub name: String,
    /// Name of the circuit it carries.
    pub circuit: String,
    /// First end.
    pub from: End,
    /// Other end.
    pub to: End,
    /// Corners a hand has set, in order from `from` to `to`; empty for the tidy run.
    pub bends: Vec<Point>,
    /// Conductor size.
    pub size: WireSize,
    /// Insulation colour.
    pub colour: Colour,
    /// Cut or drawn only.
    pub usage: WireUse,
    /// Places the route must pass, in order; the rest is the shortest way.
    pub via: Vec<PlaceId>,
    /// Routed length typed by hand in millimetres; goes before the route.
    pub typed_length_mm: Option<f64>,
    /// What it is made of and carries.
    pub make: Box<Make>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_reader_knows_every_way_to_write_a_size() {
        let read = |text| WireSize::from_text(text, SizeUnit::Mm2);
        for (text, want) in [
            ("0.5", WireSize::Mm2(0.5)),
            ("0,75 mm²", WireSize::Mm2(0.75)),
            ("1mm2", WireSize::Mm2(1.0)),
            ("20 AWG", WireSize::Awg(20)),
            ("AWG20", WireSize::Awg(20)),
            ("awg 20", WireSize::Awg(20)),
            ("AWG-3", WireSize::Awg(3)),
            ("-3 AWG", WireSize::Awg(-3)),
            ("2/0 AWG", WireSize::Awg(-1)),
            ("AWG 4/0", WireSize::Awg(-3)),
            ("#2", WireSize::Awg(2)),
        ] {
            assert_eq!(read(text), Some(want), "{text}");
        }
        assert_eq!(WireSize::from_text("18", SizeUnit::Awg), Some(WireSize::Awg(18)));
        for text in [
            "",
            "0",
            "-1",
            "thick",
            "AWG",
            "AWG 99",
            "AWG -3",
            "5/0 AWG",
            "0/0 AWG",
            "1e2",
            "inf",
            "nan",
            "0.5.1",
            "1,000.5",
            "999 mm²",
            "AWG 2 mm²",
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn every_size_reads_back_from_its_own_text() {
        let gauges = (-3..=56).map(WireSize::Awg);
        let areas = [0.08, 0.35, 0.5, 0.75, 2.5, 120.0, 630.0].map(WireSize::Mm2);
        for size in gauges.chain(areas) {
            for bare in [SizeUnit::Mm2, SizeUnit::Awg] {
                assert_eq!(WireSize::from_text(&size.text(), bare), Some(size));
            }
        }
    }
}
