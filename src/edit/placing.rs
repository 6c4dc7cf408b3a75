//! Placing by typing: `6k81`, `button`, `X 2x8` and what each of them puts on the sheet.

use std::collections::BTreeMap;

use crate::edit::place_element;
use crate::geometry::{Flip, Point, Turn, point};
use crate::model::{
    CavityFit, CavityLayout, Connector, Contact, ContactForm, ControlKind, Controller, EndKind,
    Fuse, Gender, Half, Latch, Mating, Numbering, OffsetRows, Part, PartKind, Resistor, RowShift,
    Supply,
};
use crate::units::{Range, parse_number, parse_ohm};

/// New parts that belong together, and the control that moves their contacts.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// What a person calls the whole, such as `button`.
    pub noun: String,
    /// Parts, placed about the origin; names are given when they land.
    pub parts: Vec<Part>,
    /// The control, if they are contacts.
    pub control: Option<PlacedControl>,
}

/// A control whose contacts are still numbered by their place in [`Placement::parts`].
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedControl {
    /// Behaviour.
    pub kind: ControlKind,
    /// Names of positions, and for each the throw of each contact it moves.
    pub positions: Vec<(String, BTreeMap<usize, u8>)>,
    /// Rest position.
    pub rest: u8,
}

impl Placement {
    /// The same, moved so that its origin stands at `pos`.
    pub fn at(mut self, pos: Point) -> Self {
        for part in &mut self.parts {
            part.pos = part.pos + pos;
        }
        self
    }
}

/// What can be typed, with what it places; shown while the field is empty or not understood.
pub const PLACING_HINTS: [(&str, &str); 22] = [
    ("6k81", "resistor of 6.81 kΩ"),
    ("button", "push button, normally open"),
    ("button nc", "push button, normally closed"),
    ("toggle", "toggle that stays"),
    ("changeover", "toggle with a changeover contact"),
    ("lever", "lever that springs back, two contacts"),
    ("selector 4", "selector of four ways"),
    ("X 2x8", "connector, 2 rows of 8"),
    ("X ring 6+1", "connector, ring of 6 and a centre"),
    ("plug 1x4", "connector half without counterpart"),
    ("controller 2x8", "controller with a plug of 2 rows of 8"),
    ("supply 12", "supply of 12 V"),
    ("ground", "ground point"),
    ("fuse 2", "fuse of 2 A"),
    ("splice", "splice"),
    ("diode", "diode, silicon"),
    ("schottky", "diode, Schottky"),
    ("relay 12", "relay for 12 V, one changeover set"),
    ("lamp 72", "lamp of 72 Ω"),
    ("load 0.2 A", "load of 0.2 A"),
    ("input 10k", "second input, 10 kΩ to ground"),
    ("test point", "test point"),
];

/// Reads what a person types to place something.
///
/// # Errors
/// One sentence: what can be typed, and what was found.
///
/// ```
/// let placement = ohmloom::edit::parse_placing("6k81")?;
/// assert_eq!(placement.noun, "resistor");
/// assert_eq!(ohmloom::edit::parse_placing("X 2x8")?.parts.len(), 1);
/// # Ok::<(), String>(())
/// ```
pub fn parse_placing(text: &str) -> Result<Placement, String> {
    let text = text.trim();
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower.split_whitespace().collect();
    let (first, rest) =
        words.split_first().ok_or("type what to place, such as 6k81, button or X 2x8")?;
    match (*first, rest) {
        ("button", []) => Ok(switch(
            "button",
            &[ContactForm::NormallyOpen],
            ControlKind::Momentary,
            &["off", "on"],
        )),
        ("button", ["nc"]) => Ok(switch(
            "button",
            &[ContactForm::NormallyClosed],
            ControlKind::Momentary,
            &["off", "on"],
        )),
        ("toggle" | "switch", []) => Ok(switch(
            "toggle",
            &[ContactForm::NormallyOpen],
            ControlKind::Maintained,
            &["off", "on"],
        )),
        ("toggle" | "switch", ["nc"]) => Ok(switch(
            "toggle",
            &[ContactForm::NormallyClosed],
            ControlKind::Maintained,
            &["off", "on"],
        )),
        ("changeover", []) => Ok(switch(
            "changeover",
            &[ContactForm::Changeover],
            ControlKind::Maintained,
            &["rest", "work"],
        )),
        ("lever", []) => Ok(lever()),
        ("selector", [ways]) => ways
            .parse()
            .ok()
            .filter(|ways| (2..=24).contains(ways))
            .map(selector)
            .ok_or_else(|| format!("a selector has 2 to 24 ways, found \"{ways}\"")),
        ("selector", []) => Ok(selector(3)),
        ("x" | "connector", layout) => connector(layout, Some(())),
        ("plug", layout) => connector(layout, None),
        ("controller", layout) => controller(layout),
        ("supply", []) => Ok(supply(12.0)),
        ("supply", [volt]) => {
            let value = parse_number(volt, "v", "volts such as 12").map_err(|e| e.to_string())?;
            positive(value, "a supply has volts above zero").map(supply)
        }
        ("ground", []) => Ok(single("ground point", PartKind::Ground)),
        ("fuse", rating) => {
            let value = match rating {
                [] => 2.0,
                [amp, ..] => {
                    parse_number(amp, "a", "amperes such as 2").map_err(|e| e.to_string())?
                }
            };
            positive(value, "a fuse has a rating above zero").map(fuse)
        }
        ("splice", []) => Ok(single("splice", PartKind::Splice { on: None, at: None })),
        ("test", ["point"]) | ("testpoint", []) => Ok(single("test point", PartKind::TestPoint)),
        ("diode" | "schottky" | "relay" | "lamp" | "load" | "input", rest) => {
            place_element::element(first, rest)
        }
        ("resistor", value) => resistor(&value.concat()),
        _ => match (with_unit(&lower, 'v'), with_unit(&lower, 'a')) {
            (Some(volt), _) => positive(volt, "a supply has volts above zero").map(supply),
            (None, Some(amp)) => positive(amp, "a fuse has a rating above zero").map(fuse),
            (None, None) => resistor(text),
        },
    }
}

pub(super) fn positive(value: f64, sentence: &str) -> Result<f64, String> {
    if value > 0.0 { Ok(value) } else { Err(format!("{sentence}, found {value}")) }
}

/// A part as it lands: at the origin, not turned, name to come.
fn fresh(kind: PartKind) -> Part {
    Part {
        name: String::new(),
        label: String::new(),
        kind,
        pos: point(0.0, 0.0),
        turn: Turn::None,
        flip: Flip::Straight,
        place: None,
    }
}

pub(super) fn single(noun: &str, kind: PartKind) -> Placement {
    Placement { noun: noun.into(), parts: vec![fresh(kind)], control: None }
}

fn resistor(text: &str) -> Result<Placement, String> {
    let ohm = parse_ohm(text).map_err(|_| {
        format!("expected something to place, such as 6k81, button, lever, X 2x8 or splice, found \"{text}\"")
    })?;
    let ohm = positive(ohm, "a resistor has a resistance above zero")?;
    Ok(single(
        "resistor",
        PartKind::Resistor(Resistor {
            ohm,
            tolerance: 0.01,
            tempco_ppm_per_k: 100.0,
            power_watt: 0.25,
        }),
    ))
}

/// The number of `12 V` or `2A`; `None` where the text is anything else.
pub(super) fn with_unit(lower: &str, unit: char) -> Option<f64> {
    let digits = lower.strip_suffix(unit)?;
    parse_number(digits, "", "a number").ok()
}

fn fuse(rating_amp: f64) -> Placement {
    single("fuse", PartKind::Fuse(Fuse { rating_amp, cold_ohm: 0.0 }))
}

fn supply(volt: f64) -> Placement {
    // The spread of a running vehicle supply is a fact of the machine; until it is typed it has none.
    single("supply", PartKind::Supply(Supply { volt: Range::exact(volt) }))
}

fn contact(form: ContactForm, y_mm: f64) -> Part {
    let mut part = fresh(PartKind::Contact(Contact { form, closed_ohm: None }));
    part.pos = point(0.0, y_mm);
    part
}

/// One contact moved by a control of two positions.
fn switch(noun: &str, forms: &[ContactForm], kind: ControlKind, names: &[&str]) -> Placement {
    let parts =
        (0u8..).zip(forms).map(|(row, form)| contact(*form, f64::from(row) * 10.0)).collect();
    let working = (0..forms.len()).map(|idx| (idx, 1)).collect();
    Placement {
        noun: noun.into(),
        parts,
        control: Some(PlacedControl {
            kind,
            positions: vec![(names[0].into(), BTreeMap::new()), (names[1].into(), working)],
            rest: 0,
        }),
    }
}

/// A lever that springs back to its centre, a contact on either side.
fn lever() -> Placement {
    let form = ContactForm::NormallyOpen;
    Placement {
        noun: "lever".into(),
        parts: vec![contact(form, 0.0), contact(form, 15.0)],
        control: Some(PlacedControl {
            kind: ControlKind::SpringReturn,
            positions: vec![
                ("aft".into(), [(1, 1)].into()),
                ("centre".into(), BTreeMap::new()),
                ("fore".into(), [(0, 1)].into()),
            ],
            rest: 1,
        }),
    }
}

fn selector(ways: u8) -> Placement {
    Placement {
        noun: "selector".into(),
        parts: vec![contact(ContactForm::Ways(ways), 0.0)],
        control: Some(PlacedControl {
            kind: ControlKind::Selector,
            positions: (0..ways).map(|way| (format!("{}", way + 1), [(0, way)].into())).collect(),
            rest: 0,
        }),
    }
}

/// Reads `2x8`, `2 x 8`, `rows 5+4`, `rows 4+4 right`, `ring 6`, `ring 6+1`.
fn cavity_layout(words: &[&str]) -> Result<CavityLayout, String> {
    let text = words.concat();
    let refuse = || {
        format!(
            "expected rows x columns such as 2x8, or rows 5+4, or ring 6, or ring 6+1, found \"{text}\""
        )
    };
    let number = |text: &str| text.parse::<u16>().ok().filter(|n| (1..=100).contains(n));
    let layout = if let Some(ring) = text.strip_prefix("ring") {
        match ring.split_once('+') {
            Some((around, "1")) => {
                number(around).map(|around| CavityLayout::Ring { around, centre: true })
            }
            Some(_) => None,
            None => number(ring).map(|around| CavityLayout::Ring { around, centre: false }),
        }
    } else if let Some(rows) = text.strip_prefix("rows") {
        let (rows, shift) = match rows.strip_suffix("right") {
            Some(rows) => (rows, RowShift::Right),
            None => rows
                .strip_suffix("left")
                .map_or((rows, RowShift::Middle), |rows| (rows, RowShift::Left)),
        };
        let counts: Option<Vec<u16>> = rows.split('+').map(number).collect();
        counts.and_then(|counts| OffsetRows::new(&counts, shift)).map(CavityLayout::Offset)
    } else {
        text.split_once('x')
            .and_then(|(rows, columns)| number(rows).zip(number(columns)))
            .map(|(rows, columns)| CavityLayout::Grid { rows, columns })
    };
    layout.filter(|layout| layout.count() <= 400).ok_or_else(refuse)
}

fn half(gender: Gender) -> Half {
    Half { name: String::new(), gender, end_kind: EndKind::Sealed }
}

fn connector(words: &[&str], second: Option<()>) -> Result<Placement, String> {
    let connector = Connector {
        layout: cavity_layout(words)?,
        numbering: Numbering::FORWARD,
        latch: Latch::Up,
        fit: CavityFit::default(),
        first: half(Gender::Sockets),
        second: second.map(|()| half(Gender::Pins)),
        mating: Mating::Mated,
        joint_ohm: None,
        rotating: false,
        cavities: BTreeMap::new(),
    };
    Ok(single("connector", PartKind::Connector(connector)))
}

fn controller(words: &[&str]) -> Result<Placement, String> {
    let controller = Controller {
        plug: half(Gender::Sockets),
        layout: cavity_layout(words)?,
        numbering: Numbering::FORWARD,
        latch: Latch::Up,
        fit: CavityFit::default(),
        cavities: BTreeMap::new(),
    };
    Ok(single("controller", PartKind::Controller(controller)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_hint_places_what_it_says() {
        for (text, what) in PLACING_HINTS {
            let placement = parse_placing(text).unwrap_or_else(|error| panic!("{text}: {error}"));
            let first = placement.noun.split(' ').next().unwrap();
            let says = what.to_lowercase();
            assert!(
                says.contains(first)
                    || placement.parts.iter().any(|p| says.contains(p.kind.noun())),
                "{text} places {} but says {what}",
                placement.noun
            );
        }
    }

    #[test]
    fn what_is_not_understood_is_said_in_one_sentence() {
        for text in [
            "",
            "banana",
            "X 2",
            "X 0x3",
            "X 99x99",
            "selector 99",
            "supply -3",
            "fuse 0",
            "0",
            "-4k7",
        ] {
            let message = parse_placing(text).unwrap_err();
            assert!(!message.is_empty() && !message.contains('\n'), "{text}: {message}");
        }
    }

    #[test]
    fn volts_and_amperes_alone_say_what_they_are() {
        let kind = |text: &str| parse_placing(text).unwrap().parts[0].kind.clone();
        assert_eq!(kind("12 V"), PartKind::Supply(Supply { volt: Range::exact(12.0) }));
        assert_eq!(kind("7,5A"), PartKind::Fuse(Fuse { rating_amp: 7.5, cold_ohm: 0.0 }));
        assert!(parse_placing("0V").is_err() && parse_placing("v").is_err());
    }

    #[test]
    fn a_lever_rests_in_its_centre() {
        let control = parse_placing("lever").unwrap().control.unwrap();
        assert_eq!(control.rest, 1);
        assert_eq!(control.positions[2].1, BTreeMap::from([(0, 1)]));
    }
}
