//! Outside diameter of a wire: measured, from the user's own table, or from a recalled one.

use crate::harness::wire_data::{Standing, insulation_of, own_rows};
use crate::model::{Insulation, Project, Wire, WireSize};

/// Outside diameter of one wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outside {
    /// Millimetres.
    pub mm: f64,
    /// Where the figure comes from.
    pub source: &'static str,
    /// How far it can be trusted.
    pub standing: Standing,
}

/// Why an outside diameter is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoOutside {
    /// Neither the wire nor the project names an insulation type.
    NoInsulation,
    /// The table of the insulation type has no such size.
    NotInTable,
}

impl NoOutside {
    /// What is missing and what to do, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::NoInsulation => {
                "no insulation type is named: measure the outside diameter, or name a type"
            }
            Self::NotInTable => {
                "its insulation type has no such size in the table: measure the outside diameter, \
                 or add a row to the own wire table"
            }
        }
    }
}

const ISO_6722: &str = "ISO 6722-1, greatest outside diameter";
const SAE_J1128: &str = "SAE J1128, about nominal outside diameter, give or take 5 %";

/// ISO 6722-1: area in mm² and greatest outside diameter in mm with ultra thin, thin and thick wall;
/// zero where there is none. From memory.
const ISO_MM: [(f64, [f64; 3]); 10] = [
    (0.13, [0.95, 0.0, 0.0]),
    (0.22, [1.05, 1.2, 0.0]),
    (0.35, [1.2, 1.4, 0.0]),
    (0.5, [1.4, 1.6, 2.3]),
    (0.75, [1.6, 1.9, 2.5]),
    (1.0, [1.75, 2.1, 2.7]),
    (1.5, [2.1, 2.4, 3.0]),
    (2.5, [2.7, 3.0, 3.6]),
    (4.0, [3.4, 3.7, 4.4]),
    (6.0, [0.0, 4.3, 5.0]),
];

/// SAE J1128: gauge and outside diameter in mm of types TXL, GXL, SXL and GPT. From memory.
const SAE_MM: [(i32, [f64; 4]); 6] = [
    (20, [1.9, 2.25, 2.55, 2.25]),
    (18, [2.2, 2.45, 2.85, 2.45]),
    (16, [2.45, 2.8, 3.25, 2.75]),
    (14, [2.8, 3.2, 3.7, 3.15]),
    (12, [3.3, 3.7, 4.25, 3.75]),
    (10, [4.0, 4.45, 4.95, 4.55]),
];

/// Outside diameter of a wire: measured, else of the own table, else of its insulation type.
///
/// # Errors
/// Neither is known; nothing is guessed.
pub fn outside_of(project: &Project, wire: &Wire) -> Result<Outside, NoOutside> {
    if let Some(mm) = wire.make.outside_mm {
        return Ok(Outside { mm, source: "measured", standing: Standing::Typed });
    }
    if let Some(mm) = own_rows(&project.settings.wiring, wire).find_map(|row| row.outside_mm) {
        return Ok(Outside { mm, source: "own table of this project", standing: Standing::Typed });
    }
    let insulation = insulation_of(project, wire).ok_or(NoOutside::NoInsulation)?;
    recalled(wire.size, insulation).ok_or(NoOutside::NotInTable)
}

/// The recalled tables.
fn recalled(size: WireSize, insulation: Insulation) -> Option<Outside> {
    let iso = |column: usize| {
        let WireSize::Mm2(area) = size else { return None };
        let row = ISO_MM.iter().find(|(mm2, _)| (mm2 - area).abs() < 1e-9)?;
        Some((row.1[column], ISO_6722))
    };
    let sae = |column: usize| {
        let WireSize::Awg(gauge) = size else { return None };
        let row = SAE_MM.iter().find(|(awg, _)| *awg == gauge)?;
        Some((row.1[column], SAE_J1128))
    };
    let (mm, source) = match insulation {
        Insulation::UltraThinWall => iso(0),
        Insulation::ThinWall => iso(1),
        Insulation::ThickWall => iso(2),
        Insulation::Txl => sae(0),
        Insulation::Gxl => sae(1),
        Insulation::Sxl => sae(2),
        Insulation::Gpt => sae(3),
    }?;
    (mm > 0.0).then_some(Outside { mm, source, standing: Standing::FromMemory })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Our own reference tables of published values: source per row.
    const ISO_WIRE: &str = include_str!("../../tests/data/iso_wire.csv");
    const SAE: &str = include_str!("../../tests/data/sae_j1128.csv");

    fn rows(text: &'static str) -> impl Iterator<Item = csv::StringRecord> {
        csv::Reader::from_reader(text.as_bytes()).into_records().map(Result::unwrap)
    }

    #[test]
    fn both_recalled_tables_stand_figure_by_figure() {
        use Insulation::{Gpt, Gxl, Sxl, ThickWall, ThinWall, Txl, UltraThinWall};
        let mut seen = 0;
        for row in rows(ISO_WIRE).filter(|row| &row[0] == "ISO 6722-1") {
            let size = WireSize::Mm2(row[1].parse().unwrap());
            for (column, insulation) in [(5, UltraThinWall), (6, ThinWall), (7, ThickWall)] {
                let want: Option<f64> = row[column].parse().ok();
                let got = recalled(size, insulation);
                assert_eq!(got.map(|outside| outside.mm), want, "{row:?}");
                assert!(got.is_none_or(|outside| outside.standing == Standing::FromMemory));
                seen += usize::from(want.is_some());
            }
        }
        for row in rows(SAE) {
            let size = WireSize::Awg(row[0].parse().unwrap());
            for (column, insulation) in [(1, Txl), (2, Gxl), (3, Sxl), (4, Gpt)] {
                let want: f64 = row[column].parse().unwrap();
                assert_eq!(recalled(size, insulation).unwrap().mm, want, "{row:?}");
                seen += 1;
            }
        }
        assert_eq!(seen, 9 + 9 + 7 + 24);
        assert_eq!(recalled(WireSize::Awg(18), ThinWall), None, "no table joins the two");
    }
}
