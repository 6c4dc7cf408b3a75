//! Published answers: networks with exact resistances, preferred numbers, wire gauges. Source beside each.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::collections::BTreeMap;

use ohmloom::marking::{Ring, read_code, read_rings};
use ohmloom::model::{SensePinId, State, TerminalRef};
use ohmloom::sense::{MeterReading, Reader};
use ohmloom::series::Series;
use ohmloom::testing::{Sketch, at};
use ohmloom::units;

type Edges = Vec<(usize, usize, f64)>;

/// A network of splices and resistors between two of its nodes, read at a controller pin.
fn drawn(
    edges: &[(usize, usize, f64)],
    from: usize,
    to: usize,
) -> (Sketch, SensePinId, Vec<TerminalRef>) {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let count = edges.iter().map(|(a, b, _)| a.max(b) + 1).max().unwrap();
    let nodes: Vec<TerminalRef> =
        (0..count).map(|n| at(sketch.splice(&format!("SP{n}")), 0)).collect();
    for (n, (a, b, ohm)) in edges.iter().enumerate() {
        sketch.resistor_between(&format!("R{n}"), *ohm, nodes[*a], nodes[*b]);
    }
    sketch.wire(at(controller, 0), nodes[from]);
    sketch.wire(at(controller, 1), nodes[to]);
    let pin = sketch.pin(at(controller, 0), at(controller, 1));
    (sketch, pin, nodes)
}

/// Checks the table, the live row, the meter and the working of one network against an answer.
fn check(name: &str, edges: &[(usize, usize, f64)], from: usize, to: usize, want: f64) {
    let (sketch, pin, _) = drawn(edges, from, to);
    let reader = Reader::new(&sketch.project);
    let table = reader.table(pin).unwrap();
    assert_eq!(table.rows.len(), 1, "{name}");
    let close = |ohm: f64| (ohm - want).abs() <= 1e-13 * want;
    let ohm = table.rows[0].ohm;
    assert!(
        close(ohm.low) && close(ohm.nominal) && close(ohm.high),
        "{name}: {ohm:?} instead of {want}"
    );
    assert_eq!(reader.row(pin, &State::rest()).unwrap(), table.rows[0], "{name}");
    let sense = sketch.project.sense_pins.get(pin).unwrap();
    match reader.meter_ohm(&State::rest(), sense.terminal, sense.reference) {
        MeterReading::Value(ohm) => {
            assert!(close(ohm), "{name}: the meter shows {ohm} instead of {want}");
        }
        other => panic!("{name}: the meter shows {other:?}"),
    }
    let last = reader.working(pin, &State::rest()).pop().unwrap();
    assert_eq!(last, format!("X1-1 to X1-2: {}", units::format_ohm(want)), "{name}");
}

fn cube() -> Edges {
    (0..8usize)
        .flat_map(|a| [1, 2, 4].map(move |bit| (a, a ^ bit, 1.0)))
        .filter(|(a, b, _)| a < b)
        .collect()
}

fn complete(count: usize) -> Edges {
    (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b, 1.0))).collect()
}

/// Hub 0, rim 1 to `count`; a fan where the rim is not closed.
fn wheel(count: usize, is_closed: bool) -> Edges {
    let mut edges: Edges = (1..=count).map(|n| (0, n, 1.0)).collect();
    edges.extend((1..count).map(|n| (n, n + 1, 1.0)));
    if is_closed {
        edges.push((count, 1, 1.0));
    }
    edges
}

/// Node 0 is the return, 1 the input; each section has 1 in series, then 1 across.
fn ladder(sections: usize) -> Edges {
    (1..=sections).flat_map(|n| [(n, n + 1, 1.0), (n + 1, 0, 1.0)]).collect()
}

/// Node 0 is ground, node `bits` the output; all legs to ground.
fn r_2r(bits: usize) -> Edges {
    let mut edges: Edges = vec![(1, 0, 2.0)];
    edges.extend((1..=bits).map(|n| (n, 0, 2.0)));
    edges.extend((1..bits).map(|n| (n, n + 1, 1.0)));
    edges
}

fn octahedron() -> Edges {
    complete(6).into_iter().filter(|(a, b, _)| a + b != 5).collect()
}

/// Network and the two nodes of a row of the table, by its identity.
fn network(id: &str) -> Option<(Edges, usize, usize)> {
    Some(match id {
        "CUBE-E" => (cube(), 0, 1),
        "CUBE-F" => (cube(), 0, 3),
        "CUBE-B" => (cube(), 0, 7),
        "K3" => (complete(3), 0, 1),
        "K4" => (complete(4), 1, 3),
        "K5" => (complete(5), 0, 4),
        "K6" => (complete(6), 2, 5),
        "W3-HUB" => (wheel(3, true), 0, 1),
        "W3-RIM1" => (wheel(3, true), 1, 2),
        "W4-HUB" => (wheel(4, true), 0, 2),
        "W4-RIM1" => (wheel(4, true), 1, 2),
        "W4-RIM2" => (wheel(4, true), 1, 3),
        "W6-HUB" => (wheel(6, true), 0, 5),
        "W6-RIM1" => (wheel(6, true), 6, 1),
        "W6-RIM2" => (wheel(6, true), 1, 3),
        "W6-RIM3" => (wheel(6, true), 1, 4),
        "FAN3-1" => (wheel(3, false), 0, 1),
        "FAN3-2" => (wheel(3, false), 0, 2),
        "LADDER1" => (ladder(1), 1, 0),
        "LADDER2" => (ladder(2), 1, 0),
        "LADDER3" => (ladder(3), 1, 0),
        "LADDER5" => (ladder(5), 1, 0),
        // Forty sections are the limit to the last bit: each brings the answer 6.85 times closer.
        "LADDER-INF" => (ladder(40), 1, 0),
        "R2R-1" => (r_2r(1), 1, 0),
        "R2R-2" => (r_2r(2), 2, 0),
        "R2R-4" => (r_2r(4), 4, 0),
        "WHEAT-BAL" => {
            (vec![(0, 2, 1.0), (0, 3, 2.0), (2, 1, 2.0), (3, 1, 4.0), (2, 3, 5.0)], 0, 1)
        }
        "NXDOC" => (
            vec![(1, 2, 1.0), (1, 3, 1.0), (1, 4, 1.0), (3, 4, 1.0), (3, 5, 1.0), (4, 5, 1.0)],
            1,
            3,
        ),
        "OCTA adj" => (octahedron(), 0, 1),
        "OCTA opp" => (octahedron(), 0, 5),
        _ => return None,
    })
}

/// Rows that are not one finite network: lattices without end, identities that hold for any network.
const NOT_ONE_NETWORK: [&str; 12] = [
    "LATT-10",
    "LATT-11",
    "LATT-20",
    "LATT-30",
    "LATT-ADJ-square",
    "LATT-ADJ-triangular",
    "LATT-ADJ-honeycomb",
    "LATT-ADJ-simple cubic",
    "FOSTER",
    "KIRCHHOFF-IX",
    "RAYLEIGH",
    "COHN",
];

#[test]
fn networks_with_published_answers() {
    // Our own reference table, each row with its source and whether that was read or recalled.
    let table = include_str!("data/circuits_known_answers.csv");
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let mut seen = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let (id, exact) = (&row[0], &row[4]);
        match network(id) {
            Some((edges, from, to)) => {
                check(
                    id,
                    &edges,
                    from,
                    to,
                    fraction(exact).unwrap_or_else(|| row[5].parse().unwrap()),
                );
                seen += 1;
            }
            None => assert!(NOT_ONE_NETWORK.contains(&id), "{id} is not checked"),
        }
    }
    assert_eq!(seen, 30);
}

fn fraction(text: &str) -> Option<f64> {
    match text.split_once('/') {
        Some((above, below)) => Some(above.parse::<f64>().ok()? / below.parse::<f64>().ok()?),
        None if text == "(1+sqrt(5))/2" => Some((1.0 + 5f64.sqrt()) / 2.0),
        None => text.parse().ok(),
    }
}

#[test]
fn resistances_along_the_edges_of_a_cube_sum_to_its_nodes_less_one() {
    // Foster's theorem: the sum over edges of R(i, j) / r is n - 1
    // (en.wikipedia.org/wiki/Resistance_distance, read).
    for (edges, count) in [(cube(), 8.0), (octahedron(), 6.0), (wheel(6, true), 7.0)] {
        let (sketch, _, nodes) = drawn(&edges, 0, 1);
        let reader = Reader::new(&sketch.project);
        let sum: f64 = edges
            .iter()
            .map(|(a, b, _)| match reader.meter_ohm(&State::rest(), nodes[*a], nodes[*b]) {
                MeterReading::Value(ohm) => ohm,
                other => panic!("{other:?}"),
            })
            .sum();
        assert!((sum - (count - 1.0)).abs() < 1e-12, "{sum}");
    }
}

#[test]
fn two_station_buttons_share_resistors_of_one_series() {
    // Common practice, no source: both results round to values of the same series as their parts.
    for (a, b, rounded) in [(8250.0, 4420.0, 2870.0), (8250.0, 1500.0, 1270.0)] {
        let edges = [(0, 1, a), (0, 1, b)];
        let (sketch, pin, _) = drawn(&edges, 0, 1);
        let ohm = Reader::new(&sketch.project).row(pin, &State::rest()).unwrap().ohm.nominal;
        assert_eq!(Series::E96.nearest(ohm), Some(rounded), "{ohm}");
        for value in [a, b, rounded] {
            assert!(Series::E96.contains(value), "{value}");
        }
    }
}

#[test]
fn preferred_numbers_are_those_of_iec_60063() {
    // IEC 60063 as tabulated by a general-purpose library; the standard itself was not seen.
    let mut reader = csv::Reader::from_reader(include_str!("data/e_series.csv").as_bytes());
    let mut columns: BTreeMap<String, Vec<u32>> = BTreeMap::new();
    for row in reader.records() {
        let row = row.unwrap();
        let values = columns.entry(row[0].to_owned()).or_default();
        assert_eq!(row[1].parse::<usize>().unwrap(), values.len(), "rows are in order");
        values.push(row[2].parse().unwrap());
    }
    assert_eq!(columns.len(), Series::ALL.len());
    for series in Series::ALL {
        assert_eq!(series.significands(), columns[&series.to_string()], "{series}");
    }
    // Facts beside the table: the eight exceptions of E24 and the one of E192; thirteen E24 values
    // that E192 does not have.
    let missing =
        Series::E24.significands().into_iter().filter(|v| !Series::E192.contains(f64::from(*v)));
    assert_eq!(missing.collect::<Vec<_>>(), [22, 27, 30, 33, 36, 39, 43, 51, 56, 62, 68, 82, 91]);
    assert!(Series::E192.contains(920.0) && !Series::E192.contains(919.0));
}

#[test]
fn gauge_areas_are_those_of_astm_b258() {
    // ASTM B258-02, formula read; diameters as tabulated there.
    let mut reader = csv::Reader::from_reader(include_str!("data/awg.csv").as_bytes());
    let mut seen = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let (gauge, area): (i32, f64) = (row[0].parse().unwrap(), row[4].parse().unwrap());
        let got = units::awg_area_mm2(gauge);
        let last_digit =
            0.5 * 10f64.powi(-(row[4].split_once('.').map_or(0, |(_, d)| d.len()) as i32));
        assert!((got - area).abs() <= last_digit * 1.001, "AWG {gauge}: {got} instead of {area}");
        let tabulated_in: f64 = row[2].parse().unwrap();
        let diameter_in = (got * 4.0 / std::f64::consts::PI).sqrt() / units::MM_PER_INCH;
        assert!((diameter_in - tabulated_in).abs() < 0.6e-4, "AWG {gauge}: {diameter_in} in");
        seen += 1;
    }
    assert_eq!(seen, 23);
}

/// Row COL-1 of the worked examples: red red blue brown brown is 2.26 kΩ, 1 %.
#[test]
fn the_printed_rings_are_read() {
    let mut reader = csv::Reader::from_reader(include_str!("data/worked_examples.csv").as_bytes());
    let row = reader.records().map(Result::unwrap).find(|row| &row[0] == "COL-1").unwrap();
    assert_eq!(&row[3], "2.26 kohm 1 %");
    let rings: Vec<Ring> = row[2]
        .split(' ')
        .map(|word| Ring::ALL.into_iter().find(|ring| ring.name() == word).unwrap())
        .collect();
    let marked = read_rings(&rings).unwrap();
    assert!((marked.ohm - 2260.0).abs() < 1e-9, "{marked:?}");
    assert_eq!(marked.tolerance, Some(0.01));
}

/// IEC 60062:2016: the digits of the colours from a reprint; multipliers, tolerances and letters from
/// memory, as the table says beside each.
#[test]
fn colours_and_letters_are_those_of_iec_60062() {
    let mut reader = csv::Reader::from_reader(include_str!("data/resistor_codes.csv").as_bytes());
    let (mut colours, mut letters) = (0, 0);
    for record in reader.records().map(Result::unwrap) {
        let number = |column: usize| record[column].parse::<f64>().ok();
        let percent = number(4);
        let is_near = |share: Option<f64>| match (share, percent) {
            (Some(share), Some(percent)) => (share * 100.0 - percent).abs() < 1e-9,
            (share, percent) => share.is_none() && percent.is_none(),
        };
        if &record[0] == "colour" {
            let ring = Ring::ALL.into_iter().find(|ring| *ring.name() == record[1]).unwrap();
            assert_eq!(ring.digit().map(f64::from), number(2), "{ring:?}");
            let multiplier = number(3).unwrap();
            assert!((10f64.powi(ring.exponent()) / multiplier - 1.0).abs() < 1e-9, "{ring:?}");
            assert!(is_near(ring.tolerance()), "{ring:?}");
            colours += 1;
        } else {
            let marked = read_code(&format!("4R7{}", &record[1])).unwrap();
            assert_eq!(marked.ohm, 4.7);
            assert!(is_near(marked.tolerance), "{}", &record[1]);
            letters += 1;
        }
    }
    assert_eq!((colours, letters), (13, 14));
}
