//! Numbering and conventions in words, and words read as them.

use crate::drawing::face::{Convention, FaceSide};
use crate::model::{CavityLayout, Corner, Course, Gender, HalfSide, Latch, Lines, Numbering};

/// What would have been understood, for a refusal.
const PHRASES: &str = "phrases such as wire view, latch down, pins half, upper left, by columns, there and back, clockwise from the top";

/// `by rows from the upper left`, `clockwise from the top`.
pub fn numbering_words(layout: CavityLayout, numbering: Numbering) -> String {
    match layout {
        CavityLayout::Grid { .. } | CavityLayout::Offset(_) => {
            let lines = match numbering.lines {
                Lines::Rows => "by rows",
                Lines::Columns => "by columns",
            };
            let corner = match numbering.start {
                Corner::UpperLeft => "upper left",
                Corner::UpperRight => "upper right",
                Corner::LowerRight => "lower right",
                Corner::LowerLeft => "lower left",
            };
            let back = match numbering.course {
                Course::Reading => "",
                Course::Serpentine => ", there and back",
            };
            format!("{lines} from the {corner}{back}")
        }
        CavityLayout::Ring { .. } => {
            let (start, clockwise) = numbering.ring();
            let side = match start {
                Latch::Up => "top",
                Latch::Down => "bottom",
                Latch::Left => "left",
                Latch::Right => "right",
            };
            let way = if clockwise { "clockwise" } else { "anticlockwise" };
            format!("{way} from the {side}")
        }
    }
}

/// A convention in words that [`parse_convention`] reads: `wire view, latch down, second half, …`.
pub fn convention_words(layout: CavityLayout, convention: Convention) -> String {
    let half = match convention.half {
        HalfSide::First => "first half",
        HalfSide::Second => "second half",
    };
    format!(
        "{}, latch {}, {half}, {}",
        convention.side.words(),
        convention.latch.noun(),
        numbering_words(layout, convention.numbering)
    )
}

/// Reads the words of [`numbering_words`] alone.
///
/// # Errors
/// One sentence that says what was expected and which phrase was found.
pub fn parse_numbering(layout: CavityLayout, text: &str) -> Result<Numbering, String> {
    let said = Said::read(text)?;
    match (said.side, said.latch, said.half) {
        (None, None, None) => said.numbering(layout),
        (Some(_), _, _) | (_, Some(_), _) | (_, _, Some(_)) => Err(format!(
            "expected only how the numbers run, such as by columns from the lower left, found \"{}\"",
            text.trim()
        )),
    }
}

/// Reads how a pin table was drawn: phrases with commas between, in any order. The view and the latch
/// must be said; the half is `at_hand` and the numbers run as text is read where nothing else is said.
/// `first` is what the first half carries, so that `pins half` can be told.
///
/// # Errors
/// One sentence that says what was expected and which phrase was found.
pub fn parse_convention(
    text: &str,
    layout: CavityLayout,
    (first, at_hand): (Gender, HalfSide),
) -> Result<Convention, String> {
    let said = Said::read(text)?;
    let half = match said.half {
        None => at_hand,
        Some(HalfWord::Side(side)) => side,
        Some(HalfWord::Gender(gender)) if gender == first => HalfSide::First,
        Some(HalfWord::Gender(_)) => HalfSide::Second,
    };
    let side = said.side.ok_or("expected face view or wire view, found neither")?;
    let latch =
        said.latch.ok_or("expected where the latch is, such as latch down, found nothing of it")?;
    Ok(Convention { side, half, latch, numbering: said.numbering(layout)? })
}

#[derive(Clone, Copy, PartialEq)]
enum HalfWord {
    Side(HalfSide),
    Gender(Gender),
}

/// What the phrases said, each at most once.
#[derive(Default)]
struct Said {
    side: Option<FaceSide>,
    latch: Option<Latch>,
    half: Option<HalfWord>,
    corner: Option<Corner>,
    lines: Option<Lines>,
    back: Option<Course>,
    around: Option<bool>,
    from: Option<Latch>,
}

impl Said {
    fn read(text: &str) -> Result<Self, String> {
        let mut said = Self::default();
        for phrase in text.split([',', ';']).map(str::trim).filter(|phrase| !phrase.is_empty()) {
            said.phrase(phrase)?;
        }
        Ok(said)
    }

    fn phrase(&mut self, phrase: &str) -> Result<(), String> {
        const FILLERS: [&str; 17] = [
            "the", "from", "at", "as", "seen", "is", "number", "numbers", "1", "starts", "start",
            "starting", "half", "view", "with", "corner", "run",
        ];
        let lower = phrase.to_lowercase().replace('-', " ");
        let words: Vec<&str> =
            lower.split_whitespace().filter(|word| !FILLERS.contains(word)).collect();
        let refuse = || format!("expected {PHRASES}, found \"{phrase}\"");
        let mut at = 0;
        if words.is_empty() {
            return Err(refuse());
        }
        while at < words.len() {
            let taken = self.words(&words[at..]).ok_or_else(refuse)?;
            if taken == 0 {
                return Err(format!("expected each thing once, found \"{phrase}\" again"));
            }
            at += taken;
        }
        Ok(())
    }

    /// Takes what stands first; how many words it was, 0 where it was said before.
    fn words(&mut self, words: &[&str]) -> Option<usize> {
        let side_of = |word: &str| match word {
            "up" | "top" | "above" | "upper" => Some(Latch::Up),
            "down" | "bottom" | "below" | "lower" => Some(Latch::Down),
            "left" => Some(Latch::Left),
            "right" => Some(Latch::Right),
            _ => None,
        };
        let second = words.get(1).and_then(|word| side_of(word));
        let (fresh, n) = match words[0] {
            "wire" | "wires" => (put(&mut self.side, FaceSide::Wires), 1),
            "face" | "mating" if words.get(1) == Some(&"face") => {
                (put(&mut self.side, FaceSide::Face), 2)
            }
            "face" => (put(&mut self.side, FaceSide::Face), 1),
            "latch" => (put(&mut self.latch, second?), 2),
            "pins" => (put(&mut self.half, HalfWord::Gender(Gender::Pins)), 1),
            "sockets" => (put(&mut self.half, HalfWord::Gender(Gender::Sockets)), 1),
            "first" => (put(&mut self.half, HalfWord::Side(HalfSide::First)), 1),
            "second" => (put(&mut self.half, HalfWord::Side(HalfSide::Second)), 1),
            "by" if words.get(1).is_some_and(|w| matches!(*w, "rows" | "row")) => {
                (put(&mut self.lines, Lines::Rows), 2)
            }
            "by" if words.get(1).is_some_and(|w| matches!(*w, "columns" | "column")) => {
                (put(&mut self.lines, Lines::Columns), 2)
            }
            "rows" => (put(&mut self.lines, Lines::Rows), 1),
            "columns" => (put(&mut self.lines, Lines::Columns), 1),
            "serpentine" => (put(&mut self.back, Course::Serpentine), 1),
            "there" if words.get(1..3) == Some(&["and", "back"]) => {
                (put(&mut self.back, Course::Serpentine), 3)
            }
            "clockwise" => (put(&mut self.around, true), 1),
            "anticlockwise" | "counterclockwise" => (put(&mut self.around, false), 1),
            word => {
                let first = side_of(word)?;
                match (first, second) {
                    (Latch::Up, Some(Latch::Left)) => (put(&mut self.corner, Corner::UpperLeft), 2),
                    (Latch::Up, Some(Latch::Right)) => {
                        (put(&mut self.corner, Corner::UpperRight), 2)
                    }
                    (Latch::Down, Some(Latch::Left)) => {
                        (put(&mut self.corner, Corner::LowerLeft), 2)
                    }
                    (Latch::Down, Some(Latch::Right)) => {
                        (put(&mut self.corner, Corner::LowerRight), 2)
                    }
                    (Latch::Up | Latch::Down | Latch::Left | Latch::Right, _) => {
                        (put(&mut self.from, first), 1)
                    }
                }
            }
        };
        Some(if fresh { n } else { 0 })
    }

    fn numbering(&self, layout: CavityLayout) -> Result<Numbering, String> {
        match layout {
            CavityLayout::Grid { .. } | CavityLayout::Offset(_) => {
                if self.around.is_some() || self.from.is_some() {
                    return Err("expected a corner and rows or columns, such as upper left, by rows; clockwise is for rings".into());
                }
                let usual = Numbering::FORWARD;
                Ok(Numbering {
                    start: self.corner.unwrap_or(usual.start),
                    lines: self.lines.unwrap_or(usual.lines),
                    course: self.back.unwrap_or(usual.course),
                })
            }
            CavityLayout::Ring { .. } => {
                if self.corner.is_some() || self.lines.is_some() || self.back.is_some() {
                    return Err("expected a direction and a side, such as clockwise from the top; corners are for rows".into());
                }
                Ok(Numbering::around(self.from.unwrap_or(Latch::Up), self.around.unwrap_or(true)))
            }
        }
    }
}

/// Fills a slot; `false` where something else stands there already.
fn put<T: Copy + PartialEq>(slot: &mut Option<T>, value: T) -> bool {
    match *slot {
        Some(old) => old == value,
        None => {
            *slot = Some(value);
            true
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GRID: CavityLayout = CavityLayout::Grid { rows: 2, columns: 3 };
    const RING: CavityLayout = CavityLayout::Ring { around: 6, centre: true };

    #[test]
    fn words_are_read_back() {
        for side in FaceSide::ALL {
            for half in [HalfSide::First, HalfSide::Second] {
                for latch in Latch::ALL {
                    for numbering in Numbering::all() {
                        for layout in [GRID, RING] {
                            let is_ring = layout == RING;
                            if is_ring && numbering.course == Course::Serpentine {
                                continue;
                            }
                            let convention = Convention { side, half, latch, numbering };
                            let words = convention_words(layout, convention);
                            let hand = (Gender::Sockets, HalfSide::First);
                            assert_eq!(
                                parse_convention(&words, layout, hand),
                                Ok(convention),
                                "{words}"
                            );
                            let words = numbering_words(layout, numbering);
                            assert_eq!(parse_numbering(layout, &words), Ok(numbering), "{words}");
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn a_person_may_say_it_in_other_words() {
        let hand = (Gender::Sockets, HalfSide::First);
        let said = "numbers as seen from the wires, latch down, pins half";
        let convention = parse_convention(said, GRID, hand).unwrap();
        assert_eq!(convention.side, FaceSide::Wires);
        assert_eq!((convention.half, convention.latch), (HalfSide::Second, Latch::Down));
        assert_eq!(convention.numbering, Numbering::FORWARD);
        let said =
            "Mating face; latch top; number 1 at the bottom-right corner, columns, serpentine";
        let convention = parse_convention(said, GRID, hand).unwrap();
        assert_eq!(convention.side, FaceSide::Face);
        assert_eq!(
            convention.numbering,
            Numbering {
                start: Corner::LowerRight,
                lines: Lines::Columns,
                course: Course::Serpentine
            }
        );
    }

    #[test]
    fn what_is_not_understood_or_missing_is_named() {
        let read = |text: &str, layout| {
            parse_convention(text, layout, (Gender::Pins, HalfSide::First)).unwrap_err()
        };
        assert!(read("latch up", GRID).contains("face view or wire view"));
        assert!(read("face view", GRID).contains("latch"));
        assert!(read("face view, latch up, sideways", GRID).contains("\"sideways\""));
        assert!(read("face view, wire view, latch up", GRID).contains("once"));
        assert!(read("face view, latch up, clockwise", GRID).contains("rings"));
        assert!(read("face view, latch up, by rows", RING).contains("rows"));
        assert!(read("face view, latch", GRID).contains("\"latch\""));
    }
}
