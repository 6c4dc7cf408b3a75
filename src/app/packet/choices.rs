//! How a person prints: paper, colour, which sheets in which order, sleeves or stickers. Kept between
//! two starts, beside the preferences.

use serde::{Deserialize, Serialize};

use crate::sheets::{LabelSheet, Orientation, Paper, Setup, SheetKind, Tint};

/// What is chosen for the packet.
#[derive(Clone, Debug, PartialEq)]
pub struct PrintChoices {
    /// Paper.
    pub paper: Paper,
    /// Which side is up.
    pub orientation: Orientation,
    /// With or without colour.
    pub tint: Tint,
    /// Every sheet in its place, and whether it is printed.
    pub sheets: Vec<(SheetKind, bool)>,
    /// Whether markers go on the user's sheet of labels.
    pub has_label_sheet: bool,
    /// That sheet; kept while markers go on plain paper.
    pub label_sheet: LabelSheet,
}

impl Default for PrintChoices {
    fn default() -> Self {
        Self {
            paper: Paper::A4,
            orientation: Orientation::Portrait,
            tint: Tint::Colour,
            // The build board takes many pages: it is there to be picked.
            sheets: SheetKind::ALL.map(|kind| (kind, kind != SheetKind::Board)).to_vec(),
            has_label_sheet: false,
            label_sheet: LabelSheet::STARTS[0].1,
        }
    }
}

impl PrintChoices {
    /// What the packet is made with; the date is typed anew for every packet.
    pub fn setup(&self, date: &str) -> Setup {
        Setup {
            paper: self.paper,
            orientation: self.orientation,
            tint: self.tint,
            date: date.to_owned(),
            sheets: self.sheets.iter().filter(|(_, is_on)| *is_on).map(|(kind, _)| *kind).collect(),
            labels: self.has_label_sheet.then_some(self.label_sheet),
        }
    }

    /// Moves a sheet one place up or down among all of them.
    pub fn moved(&self, kind: SheetKind, by: isize) -> Self {
        let mut choices = self.clone();
        let from = choices.sheets.iter().position(|(other, _)| *other == kind);
        let to = from.and_then(|from| from.checked_add_signed(by));
        if let (Some(from), Some(to)) = (from, to)
            && to < choices.sheets.len()
        {
            choices.sheets.swap(from, to);
        }
        choices
    }
}

/// The choices as they are kept; unknown words are left out, missing sheets come at the end.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(default)]
struct Kept {
    paper: String,
    landscape: bool,
    black_and_white: bool,
    sheets: Vec<String>,
    left_out: Vec<String>,
    on_label_sheet: bool,
    label_size_mm: Option<(f64, f64)>,
    label_grid: Option<(u16, u16)>,
    label_from_mm: Option<(f64, f64)>,
    label_gap_mm: Option<(f64, f64)>,
}

const PAPERS: [(&str, Paper); 3] =
    [("a4", Paper::A4), ("letter", Paper::Letter), ("a3", Paper::A3)];

impl Serialize for PrintChoices {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let words = |is_on: Option<bool>| {
            let is_meant = |on: bool| is_on.is_none_or(|wanted| wanted == on);
            let list = self.sheets.iter().filter(|(_, on)| is_meant(*on));
            list.map(|(kind, _)| kind.word().to_owned()).collect()
        };
        let label = &self.label_sheet;
        let paper = PAPERS.iter().find(|(_, paper)| *paper == self.paper);
        let kept = Kept {
            paper: paper.map_or("a4", |(word, _)| word).to_owned(),
            landscape: self.orientation == Orientation::Landscape,
            black_and_white: self.tint == Tint::Mono,
            sheets: words(None),
            left_out: words(Some(false)),
            on_label_sheet: self.has_label_sheet,
            label_size_mm: Some((label.width_mm, label.height_mm)),
            label_grid: Some((label.columns, label.rows)),
            label_from_mm: Some((label.left_mm, label.top_mm)),
            label_gap_mm: Some((label.gap_x_mm, label.gap_y_mm)),
        };
        kept.serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for PrintChoices {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let kept = Kept::deserialize(deserializer)?;
        let mut choices = Self::default();
        if let Some((_, paper)) = PAPERS.iter().find(|(word, _)| *word == kept.paper) {
            choices.paper = *paper;
        }
        if kept.landscape {
            choices.orientation = Orientation::Landscape;
        }
        if kept.black_and_white {
            choices.tint = Tint::Mono;
        }
        let mut sheets: Vec<(SheetKind, bool)> = Vec::new();
        for word in &kept.sheets {
            let Some(kind) = SheetKind::from_word(word) else { continue };
            if !sheets.iter().any(|(other, _)| *other == kind) {
                sheets.push((kind, !kept.left_out.contains(word)));
            }
        }
        for (kind, is_on) in choices.sheets {
            if !sheets.iter().any(|(other, _)| *other == kind) {
                sheets.push((kind, is_on));
            }
        }
        choices.sheets = sheets;
        choices.has_label_sheet = kept.on_label_sheet;
        let label = &mut choices.label_sheet;
        (label.width_mm, label.height_mm) =
            kept.label_size_mm.unwrap_or((label.width_mm, label.height_mm));
        (label.columns, label.rows) = kept.label_grid.unwrap_or((label.columns, label.rows));
        (label.left_mm, label.top_mm) = kept.label_from_mm.unwrap_or((label.left_mm, label.top_mm));
        (label.gap_x_mm, label.gap_y_mm) =
            kept.label_gap_mm.unwrap_or((label.gap_x_mm, label.gap_y_mm));
        Ok(choices)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn choices_are_kept_and_come_back() {
        let mut choices = PrintChoices::default().moved(SheetKind::Cut, -4);
        choices = choices.moved(SheetKind::Rope, 1).moved(SheetKind::Rope, 1);
        choices.paper = Paper::Letter;
        choices.tint = Tint::Mono;
        choices.orientation = Orientation::Landscape;
        choices.sheets[2].1 = false;
        choices.has_label_sheet = true;
        choices.label_sheet = LabelSheet::STARTS[2].1;
        let text = serde_json::to_string(&choices).unwrap();
        assert_eq!(serde_json::from_str::<PrintChoices>(&text).unwrap(), choices);
    }

    #[test]
    fn sheets_nobody_kept_come_at_the_end_and_unknown_ones_are_left_out() {
        let text = r#"{"sheets": ["cut", "no such sheet", "cut", "owner"], "left_out": ["owner"]}"#;
        let choices: PrintChoices = serde_json::from_str(text).unwrap();
        assert_eq!(choices.sheets[..2], [(SheetKind::Cut, true), (SheetKind::Owner, false)]);
        assert_eq!(choices.sheets.len(), SheetKind::ALL.len());
        assert!(choices.sheets.contains(&(SheetKind::Board, false)));
        assert_eq!(choices.setup("").sheets.first(), Some(&SheetKind::Cut));
        assert!(!choices.setup("").sheets.contains(&SheetKind::Owner));
    }

    #[test]
    fn a_sheet_moves_within_the_list_and_not_beyond_its_ends() {
        let choices = PrintChoices::default();
        assert_eq!(choices.moved(SheetKind::Owner, -1), choices);
        let down = choices.moved(SheetKind::Owner, 1);
        assert_eq!(down.sheets[1].0, SheetKind::Owner);
        assert_eq!(down.moved(SheetKind::Owner, -1), choices);
    }
}
