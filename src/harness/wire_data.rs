//! Resistance of copper wire by size, each figure with where it comes from.

use std::fmt;

use crate::model::{Conductor, Insulation, OwnWire, Project, Wire, WireSize, Wiring};

/// How far a figure can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Read in a reprint of the source.
    Read,
    /// Recalled; verify before relying on it.
    FromMemory,
    /// Worked out from the conductor area.
    Computed,
    /// Typed by the user for this project.
    Typed,
}

impl Standing {
    /// What follows the source, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Read => "",
            Self::FromMemory => ", from memory: verify before relying on it",
            Self::Computed => ", computed",
            Self::Typed => ", typed",
        }
    }
}

/// Resistance per metre of one conductor at 20 °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OhmPerMetre {
    /// Ohms per metre at 20 °C.
    pub ohm_per_m: f64,
    /// Standard and table the figure comes from.
    pub source: &'static str,
    /// How far it can be trusted.
    pub standing: Standing,
}

impl OhmPerMetre {
    /// Where the figure comes from and how far it can be trusted, in words.
    pub fn provenance(&self) -> String {
        format!("{}{}", self.source, self.standing.words())
    }
}

impl fmt::Display for OhmPerMetre {
    /// `24.7 mΩ/m at 20 °C (ISO 6722-1 …, from memory)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let milli = crate::units::trim_zeros(&format!("{:.3}", self.ohm_per_m * 1e3));
        write!(f, "{milli} mΩ/m at 20 °C ({})", self.provenance())
    }
}

/// Change of copper's resistance per kelvin, as a fraction of that at 20 °C
/// (IEC 60028, annealed copper; from memory).
pub const COPPER_PER_K: f64 = 0.00393;

/// Resistivity of annealed copper at 20 °C in ohm mm²/m: 1/58 (IEC 60028; from memory).
const COPPER_OHM_MM2_PER_M: f64 = 1.0 / 58.0;

const ISO_6722: &str = "ISO 6722-1, greatest resistance, plain copper";
const IEC_60228: &str = "IEC 60228 class 5, greatest resistance, plain copper";
const IEC_60228_TINNED: &str = "IEC 60228 class 5, greatest resistance, tinned copper";
const OWN: &str = "own table of this project";
const AC_43_13: &str = "FAA AC 43.13-1B, greatest resistance, tin-plated stranded copper";
const BY_AREA: &str = "nominal area, annealed copper of IEC 60028";
const BY_GAUGE: &str = "area by the formula of ASTM B258, annealed copper of IEC 60028";

/// Vehicle cable by nominal area in mm² and milliohms per metre at 20 °C. From memory.
#[expect(clippy::approx_constant, reason = "3.14 milliohms per metre of 6 mm², no circle in sight")]
const ISO_6722_MILLIOHM: [(f64, f64); 10] = [
    (0.13, 136.0),
    (0.22, 84.8),
    (0.35, 54.4),
    (0.5, 37.1),
    (0.75, 24.7),
    (1.0, 18.5),
    (1.5, 12.7),
    (2.5, 7.6),
    (4.0, 4.71),
    (6.0, 3.14),
];

/// Flexible conductors above the sizes of the vehicle table. Read in a reprint.
const IEC_60228_MILLIOHM: [(f64, f64); 2] = [(10.0, 1.91), (16.0, 1.21)];

/// The same for tinned strands. Read in a reprint.
const IEC_60228_TINNED_MILLIOHM: [(f64, f64); 9] = [
    (0.5, 40.1),
    (0.75, 26.7),
    (1.0, 20.0),
    (1.5, 13.7),
    (2.5, 8.21),
    (4.0, 5.09),
    (6.0, 3.39),
    (10.0, 1.95),
    (16.0, 1.24),
];

/// Stranded aircraft wire by gauge and ohms per 1000 ft at 20 °C. Read.
const AC_43_13_OHM_PER_1000_FT: [(i32, f64); 11] = [
    (4, 0.28),
    (6, 0.44),
    (8, 0.70),
    (10, 1.26),
    (12, 2.02),
    (14, 3.06),
    (16, 4.81),
    (18, 6.23),
    (20, 9.88),
    (22, 16.2),
    (24, 28.4),
];

/// Metres in 1000 ft, exactly (international yard and pound agreement, 1959).
const M_PER_1000_FT: f64 = 304.8;

/// Resistance per metre of a conductor at 20 °C.
///
/// Sizes in mm² take the greatest resistance the vehicle cable standard allows, above its sizes
/// that of IEC 60228 class 5; gauges take the stranded figures of the aircraft circular. Sizes in
/// no table are worked out from the area: a stranded wire lies a few percent above that.
///
/// ```
/// use ohmloom::harness::ohm_per_metre;
/// use ohmloom::model::WireSize;
/// assert_eq!(ohm_per_metre(WireSize::Mm2(0.75)).ohm_per_m, 0.0247);
/// ```
pub fn ohm_per_metre(size: WireSize) -> OhmPerMetre {
    match size {
        WireSize::Mm2(area_mm2) => {
            if let Some(milli) = lookup(&ISO_6722_MILLIOHM, area_mm2) {
                return table(milli / 1e3, ISO_6722, Standing::FromMemory);
            }
            if let Some(milli) = lookup(&IEC_60228_MILLIOHM, area_mm2) {
                return table(milli / 1e3, IEC_60228, Standing::Read);
            }
            table(COPPER_OHM_MM2_PER_M / area_mm2, BY_AREA, Standing::Computed)
        }
        WireSize::Awg(gauge) => {
            match AC_43_13_OHM_PER_1000_FT.iter().find(|(number, _)| *number == gauge) {
                Some((_, ohm)) => table(ohm / M_PER_1000_FT, AC_43_13, Standing::Read),
                None => {
                    let ohm_per_m = COPPER_OHM_MM2_PER_M / size.area_mm2();
                    table(ohm_per_m, BY_GAUGE, Standing::Computed)
                }
            }
        }
    }
}

/// Resistance per metre of a wire at 20 °C: the project's own table first, then that of the metal.
pub fn ohm_per_metre_of(project: &Project, wire: &Wire) -> OhmPerMetre {
    let wiring = &project.settings.wiring;
    if let Some(ohm_per_m) = own_rows(wiring, wire).find_map(|row| row.ohm_per_m) {
        return table(ohm_per_m, OWN, Standing::Typed);
    }
    if let (Conductor::TinnedCopper, WireSize::Mm2(area)) = (wire.make.conductor, wire.size)
        && let Some(milli) = lookup(&IEC_60228_TINNED_MILLIOHM, area)
    {
        return table(milli / 1e3, IEC_60228_TINNED, Standing::Read);
    }
    ohm_per_metre(wire.size)
}

/// Insulation type of a wire: its own, else the project's.
pub fn insulation_of(project: &Project, wire: &Wire) -> Option<Insulation> {
    wire.make.insulation.or(project.settings.wiring.insulation)
}

/// Rows of the user's own table that fit a wire, those of its insulation type first.
pub(super) fn own_rows<'a>(wiring: &'a Wiring, wire: &Wire) -> impl Iterator<Item = &'a OwnWire> {
    let insulation = wire.make.insulation.or(wiring.insulation);
    let size = wire.size;
    let fits = move |row: &&OwnWire| is_same_size(row.size, size);
    let exact = wiring.own_wires.iter().filter(fits);
    let exact = exact.filter(move |row| row.insulation.is_some() && row.insulation == insulation);
    let any = wiring.own_wires.iter().filter(fits).filter(|row| row.insulation.is_none());
    exact.chain(any)
}

/// Where the figures of the user's own table for a wire come from, in the user's words, the row that
/// goes first first; nothing where no row fits it.
pub fn own_sources_of(project: &Project, wire: &Wire) -> Vec<String> {
    let mut sources: Vec<String> = Vec::new();
    for row in own_rows(&project.settings.wiring, wire) {
        let source = row.source.trim();
        let source = if source.is_empty() { "no source is typed" } else { source };
        if !sources.iter().any(|known| known == source) {
            sources.push(source.to_owned());
        }
    }
    sources
}

fn is_same_size(a: WireSize, b: WireSize) -> bool {
    match (a, b) {
        (WireSize::Mm2(a), WireSize::Mm2(b)) => (a - b).abs() < 1e-9,
        (WireSize::Awg(a), WireSize::Awg(b)) => a == b,
        (WireSize::Mm2(_), WireSize::Awg(_)) | (WireSize::Awg(_), WireSize::Mm2(_)) => false,
    }
}

fn table(ohm_per_m: f64, source: &'static str, standing: Standing) -> OhmPerMetre {
    OhmPerMetre { ohm_per_m, source, standing }
}

pub(super) fn lookup(rows: &[(f64, f64)], area_mm2: f64) -> Option<f64> {
    rows.iter().find(|(area, _)| (area - area_mm2).abs() < 1e-9).map(|(_, value)| *value)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Our own reference table of published values, `tests/data/iso_wire.csv`: source per row.
    const ISO_WIRE: &str = include_str!("../../tests/data/iso_wire.csv");
    /// Our own reference table of published values, `tests/data/awg.csv`: source per row.
    const AWG: &str = include_str!("../../tests/data/awg.csv");

    fn rows(text: &'static str) -> impl Iterator<Item = csv::StringRecord> {
        csv::Reader::from_reader(text.as_bytes()).into_records().map(Result::unwrap)
    }

    #[test]
    fn metric_sizes_follow_the_vehicle_table() {
        let mut seen = 0;
        for row in rows(ISO_WIRE).filter(|row| &row[0] == "ISO 6722-1") {
            let got = ohm_per_metre(WireSize::Mm2(row[1].parse().unwrap()));
            let want: f64 = row[3].parse().unwrap();
            assert!((got.ohm_per_m * 1e3 - want).abs() < 1e-9, "{row:?}: {got}");
            assert_eq!(got.standing, Standing::FromMemory);
            assert!(got.to_string().contains("from memory"));
            seen += 1;
        }
        assert_eq!(seen, ISO_6722_MILLIOHM.len());
    }

    /// The rows that were read guard the recalled ones: both standards bound the same copper, so
    /// they may differ by stranding only.
    #[test]
    fn recalled_rows_lie_beside_those_of_iec_60228() {
        let mut seen = 0;
        for row in rows(ISO_WIRE).filter(|row| &row[0] == "IEC 60228") {
            let want: f64 = row[3].parse().unwrap();
            let got = ohm_per_metre(WireSize::Mm2(row[1].parse().unwrap())).ohm_per_m * 1e3;
            let apart = (got / want - 1.0).abs();
            assert!(apart < 0.06, "{row:?}: {got} is {apart} away");
            seen += 1;
        }
        assert_eq!(seen, 9);
        assert_eq!(ohm_per_metre(WireSize::Mm2(16.0)).ohm_per_m, 0.00121);
        assert_eq!(ohm_per_metre(WireSize::Mm2(16.0)).standing, Standing::Read);
    }

    #[test]
    fn gauges_follow_the_aircraft_circular_else_the_formula() {
        let (mut read, mut computed) = (0, 0);
        for row in rows(AWG) {
            let got = ohm_per_metre(WireSize::Awg(row[0].parse().unwrap()));
            match row[8].parse::<f64>() {
                Ok(ohm_per_1000_ft) => {
                    assert!((got.ohm_per_m * 304.8 / ohm_per_1000_ft - 1.0).abs() < 1e-12);
                    assert_eq!(got.standing, Standing::Read);
                    read += 1;
                }
                Err(_) => {
                    // Solid copper by the same formula, column R20_solid_ohm_per_km.
                    let solid: f64 = row[6].parse().unwrap();
                    assert!((got.ohm_per_m * 1e3 / solid - 1.0).abs() < 1e-3, "{row:?}: {got}");
                    computed += 1;
                }
            }
        }
        assert_eq!((read, computed), (11, 12));
    }

    #[test]
    fn sizes_in_no_table_are_worked_out_and_say_so() {
        let got = ohm_per_metre(WireSize::Mm2(25.0));
        assert_eq!(got.standing, Standing::Computed);
        assert!((got.ohm_per_m - 1.0 / 58.0 / 25.0).abs() < 1e-15);
        assert!(got.to_string().ends_with("computed)"), "{got}");
    }
}
