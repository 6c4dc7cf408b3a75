//! Widths of text in the face that is printed, and lines broken to fit.
//!
//! Letters stand at the advances of the face itself: no kerning, so what is measured is what is drawn.

use ttf_parser::Face;

use crate::sheets::page::MM_PER_POINT;

/// DejaVu Sans.
pub const REGULAR: &[u8] = include_bytes!("../fonts/DejaVuSans.ttf");
/// Its bold.
pub const BOLD: &[u8] = include_bytes!("../fonts/DejaVuSans-Bold.ttf");

/// No text on paper is smaller, in points.
pub const LEAST_PT: f64 = 9.0;

/// Both faces, ready to measure with.
pub struct Fonts {
    regular: Metrics,
    bold: Metrics,
}

struct Metrics {
    face: Face<'static>,
    /// Advances of the ASCII letters as shares of the size.
    ascii: [f64; 128],
    per_unit: f64,
}

impl Metrics {
    fn new(bytes: &'static [u8]) -> Self {
        let face = Face::parse(bytes, 0).expect("the font is part of the program");
        let per_unit = 1.0 / f64::from(face.units_per_em());
        let mut metrics = Self { face, ascii: [0.0; 128], per_unit };
        for code in 0..128_u8 {
            metrics.ascii[usize::from(code)] = metrics.looked_up(char::from(code));
        }
        metrics
    }

    fn looked_up(&self, letter: char) -> f64 {
        let glyph = self.face.glyph_index(letter).unwrap_or_default();
        self.face.glyph_hor_advance(glyph).map_or(0.0, f64::from) * self.per_unit
    }

    fn advance(&self, letter: char) -> f64 {
        match self.ascii.get(letter as usize) {
            Some(advance) => *advance,
            None => self.looked_up(letter),
        }
    }
}

impl Default for Fonts {
    fn default() -> Self {
        Self::new()
    }
}

impl Fonts {
    /// Reads both faces.
    pub fn new() -> Self {
        Self { regular: Metrics::new(REGULAR), bold: Metrics::new(BOLD) }
    }

    fn metrics(&self, bold: bool) -> &Metrics {
        if bold { &self.bold } else { &self.regular }
    }

    /// Width of a text in millimetres.
    pub fn width_mm(&self, text: &str, size_pt: f64, bold: bool) -> f64 {
        let metrics = self.metrics(bold);
        text.chars().fold(0.0, |sum, letter| sum + metrics.advance(letter)) * size_pt * MM_PER_POINT
    }

    /// Glyph of a letter and its advance as a share of the size; glyph 0 where the face has none.
    pub fn glyph(&self, letter: char, bold: bool) -> (u16, f64) {
        let metrics = self.metrics(bold);
        let glyph = metrics.face.glyph_index(letter).unwrap_or_default();
        (glyph.0, metrics.advance(letter))
    }

    /// Whether both faces can draw a letter.
    pub fn has(&self, letter: char) -> bool {
        [&self.regular, &self.bold].iter().all(|m| m.face.glyph_index(letter).is_some())
    }

    /// The text with everything a page cannot show replaced: line breaks and tabs by spaces, other
    /// control letters left out, letters no face has by the sign for such (U+FFFD).
    pub fn printable(&self, text: &str) -> String {
        text.chars()
            .filter_map(|letter| match letter {
                '\n' | '\r' | '\t' => Some(' '),
                _ if letter.is_control() => None,
                // Marks of direction and joining shape their neighbours and are not drawn.
                '\u{200b}'..='\u{200f}'
                | '\u{202a}'..='\u{202e}'
                | '\u{2060}'..='\u{2069}'
                | '\u{feff}' => None,
                _ if self.has(letter) => Some(letter),
                _ => Some('\u{fffd}'),
            })
            .collect()
    }

    /// Breaks a text into lines no wider than `width_mm`: at spaces, in long words behind
    /// `-`, `/` and the like, and inside a word only where it fits on no line. Line breaks of the text are kept.
    pub fn wrapped(&self, text: &str, width_mm: f64, size_pt: f64, bold: bool) -> Vec<String> {
        let mut lines = Vec::new();
        for paragraph in text.split(['\n', '\r']) {
            let clean = self.printable(paragraph);
            let mut line = String::new();
            for piece in pieces(&clean) {
                let joined = format!("{line}{piece}");
                if self.width_mm(joined.trim_end(), size_pt, bold) <= width_mm + 1e-6 {
                    line = joined;
                    continue;
                }
                if !line.trim().is_empty() {
                    lines.push(line.trim_end().to_owned());
                }
                line = self.broken(piece, width_mm, (size_pt, bold), &mut lines);
            }
            lines.push(line.trim_end().to_owned());
        }
        lines
    }

    /// Breaks one piece that may be wider than a line; full lines go to `lines`, the rest comes back.
    fn broken(
        &self,
        piece: &str,
        width_mm: f64,
        (size_pt, bold): (f64, bool),
        lines: &mut Vec<String>,
    ) -> String {
        let mut line = String::new();
        for letter in piece.chars() {
            line.push(letter);
            if line.chars().count() > 1 && self.width_mm(line.trim_end(), size_pt, bold) > width_mm
            {
                line.pop();
                lines.push(std::mem::take(&mut line));
                line.push(letter);
            }
        }
        line
    }

    /// The greatest size, from `most_pt` down to [`LEAST_PT`], in which the text fits on one line;
    /// at the least size what does not fit is cut and ends in `…`.
    pub fn shrunk(&self, text: &str, width_mm: f64, most_pt: f64, bold: bool) -> (String, f64) {
        let text = self.printable(text);
        let wide_mm = self.width_mm(&text, 1.0, bold);
        let size_pt = if wide_mm > 0.0 { (width_mm / wide_mm).min(most_pt) } else { most_pt };
        if size_pt >= LEAST_PT {
            return (text, (size_pt * 10.0).floor() / 10.0);
        }
        let mut kept = text;
        while !kept.is_empty()
            && self.width_mm(&format!("{}…", kept.trim_end()), LEAST_PT, bold) > width_mm
        {
            kept.pop();
        }
        (format!("{}…", kept.trim_end()), LEAST_PT)
    }

    /// Width of the widest piece that would not be broken, in millimetres.
    pub fn longest_piece_mm(&self, text: &str, size_pt: f64, bold: bool) -> f64 {
        text.split(['\n', '\r'])
            .flat_map(pieces)
            .fold(0.0, |most: f64, piece| most.max(self.width_mm(piece.trim_end(), size_pt, bold)))
    }
}

/// Words longer than this may also be parted behind a hyphen, a stroke, a comma.
const LONG_WORD: usize = 14;

/// A text cut behind every place where a line may end.
fn pieces(text: &str) -> impl Iterator<Item = &str> {
    text.split_inclusive(' ').flat_map(|word| {
        let is_long = word.chars().count() > LONG_WORD;
        let whole = (!is_long).then_some(word);
        let parts = is_long.then(|| word.split_inclusive(['-', '/', ',', '·', ';', '_', '+']));
        whole.into_iter().chain(parts.into_iter().flatten())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Advances of DejaVu Sans 2.37 in 2048ths of the size, read from its `hmtx` table with another
    /// program (fontTools, from memory of its output): space 651, `A` 1401, `0` 1303.
    #[test]
    fn widths_follow_the_face() {
        let fonts = Fonts::new();
        let units = |text: &str| fonts.width_mm(text, 72.0 / 25.4, false) * 2048.0;
        assert_eq!(units(" ").round(), 651.0);
        assert_eq!(units("A").round(), 1401.0);
        assert_eq!(units("0").round(), 1303.0);
        assert_eq!(units("A0").round(), 2704.0);
    }

    #[test]
    fn lines_break_at_spaces_and_long_words_anywhere() {
        let fonts = Fonts::new();
        let lines = fonts.wrapped("one two three", 12.0, 10.0, false);
        assert_eq!(lines, ["one", "two", "three"]);
        let lines = fonts.wrapped("one\ntwo", 100.0, 10.0, false);
        assert_eq!(lines, ["one", "two"]);
        let long = "x".repeat(200);
        let lines = fonts.wrapped(&long, 30.0, 10.0, false);
        assert_eq!(lines.concat(), long);
        assert!(lines.iter().all(|line| fonts.width_mm(line, 10.0, false) <= 30.0));
        assert_eq!(fonts.wrapped("", 30.0, 10.0, false), [""]);
    }

    #[test]
    fn text_shrinks_to_nine_points_and_is_cut_after_that() {
        let fonts = Fonts::new();
        assert_eq!(fonts.shrunk("short", 100.0, 14.0, false), ("short".into(), 14.0));
        let (text, size_pt) = fonts.shrunk("somewhat longer text", 45.0, 14.0, false);
        assert!((LEAST_PT..14.0).contains(&size_pt) && text.ends_with("text"), "{size_pt}");
        let (text, size_pt) = fonts.shrunk(&"long ".repeat(40), 40.0, 14.0, false);
        assert!(size_pt == LEAST_PT && text.ends_with('…'));
        assert!(fonts.width_mm(&text, size_pt, false) <= 40.0);
    }

    #[test]
    fn what_no_face_has_is_marked() {
        let fonts = Fonts::new();
        assert_eq!(fonts.printable("a\tb\u{7}\n漢"), "a b \u{fffd}");
        assert!("Ω²µ→∥≤≥±·…☐".chars().all(|letter| fonts.has(letter)));
    }
}
