//! The cut list as comma-separated values (RFC 4180): a header row, CRLF line ends, UTF-8.

use crate::csv_text::csv_records;
use crate::cutting::cut_list::{CutList, CutRow};
use crate::cutting::ends::build_steps;
use crate::units::trim_zeros;

/// Names of the columns, in order. `colour` is the base; `tracer` its stripe, empty where none.
pub const CSV_COLUMNS: [&str; 28] = [
    "wire",
    "circuit",
    "from",
    "to",
    "size",
    "colour",
    "tracer",
    "routed_mm",
    "allowance_mm",
    "cut_mm",
    "route",
    "note",
    "tolerance_plus_mm",
    "from_marker",
    "from_strip_mm",
    "from_terminal",
    "from_seal",
    "from_boot",
    "to_marker",
    "to_strip_mm",
    "to_terminal",
    "to_seal",
    "to_boot",
    "is_cut",
    "is_crimped",
    "is_tested",
    "twist_factor",
    "build_order",
];

/// Writes the cut list. Lengths that are not known are empty; `note` then says why.
pub fn csv_text(list: &CutList) -> String {
    let head = CSV_COLUMNS.map(str::to_owned).to_vec();
    let rows = list.rows.iter().map(|row| record(row).to_vec());
    csv_records(&std::iter::once(head).chain(rows).collect::<Vec<_>>())
}

fn record(row: &CutRow) -> [String; 28] {
    let length =
        |mm: Option<f64>| mm.map_or_else(String::new, |mm| trim_zeros(&format!("{mm:.3}")));
    let note = match &row.finding {
        Some(finding) => format!("{}: {}", finding.what, finding.cure),
        None if row.is_typed => "length typed by hand".into(),
        None => String::new(),
    };
    let [from, to] = &row.ends;
    let yes = |is: bool| if is { "yes" } else { "no" }.to_owned();
    [
        row.name.clone(),
        row.circuit.clone(),
        row.from.clone(),
        row.to.clone(),
        row.size.text(),
        row.colour.base.name().to_owned(),
        row.colour.tracer.map_or_else(String::new, |tracer| tracer.name().to_owned()),
        length(row.routed_mm),
        length(row.allowance_mm),
        length(row.cut_mm),
        row.route.join("; "),
        note,
        length(row.tolerance_mm),
        from.marker.clone(),
        length(from.strip_mm),
        from.terminal.clone(),
        from.seal.clone(),
        from.boot.clone(),
        to.marker.clone(),
        length(to.strip_mm),
        to.terminal.clone(),
        to.seal.clone(),
        to.boot.clone(),
        yes(row.ticks.is_cut),
        yes(row.ticks.is_crimped),
        yes(row.ticks.is_tested),
        row.twist_factor.map_or_else(String::new, |factor| trim_zeros(&format!("{factor:.5}"))),
        build_steps(row).join("; "),
    ]
}

#[cfg(test)]
mod tests {
    use expect_test::expect;

    use super::*;
    use crate::cutting::cut_list;
    use crate::cutting::fixture::{parallel_pair, wire_between};
    use crate::model::WireSize;

    #[test]
    fn quotes_commas_and_line_ends_follow_rfc_4180() {
        let (mut project, a, b) = parallel_pair();
        wire_between(&mut project, "W2", [a, b], WireSize::Mm2(0.75), "violet/black");
        wire_between(&mut project, "W1", [a, a], WireSize::Awg(18), "red");
        let text = csv_text(&cut_list(&project));
        expect![[r#"
            wire,circuit,from,to,size,colour,tracer,routed_mm,allowance_mm,cut_mm,route,note,tolerance_plus_mm,from_marker,from_strip_mm,from_terminal,from_seal,from_boot,to_marker,to_strip_mm,to_terminal,to_seal,to_boot,is_cut,is_crimped,is_tested,twist_factor,build_order
            W1,"feed, ""fused""",A-1,A-1,18 AWG,red,,,,,,"both ends of wire W1 are at bow: type its length, name a place it must pass, or mark it as internal",,W1 A-1/A-1,,,,,W1 A-1/A-1,,,,,no,no,no,,"cut to a length that is not known yet; plus something, minus nothing; A-1: slide on marker ""W1 A-1/A-1""; A-1: strip as the terminal's maker says; no length is written down; A-1: crimp; no terminal is named; slide on what covers the whole wire, before its last end is made; A-1: slide on marker ""W1 A-1/A-1""; A-1: strip as the terminal's maker says; no length is written down; A-1: crimp; no terminal is named"
            W2,"feed, ""fused""",A-1,B-1,0.75 mm²,violet,black,1000,80,1110,along the floor,,50,W2 A-1/B-1,,,,,W2 B-1/A-1,,,,,no,no,no,1,"cut to 1110 mm; plus something, minus nothing; A-1: slide on marker ""W2 A-1/B-1""; A-1: strip as the terminal's maker says; no length is written down; A-1: crimp; no terminal is named; slide on what covers the whole wire, before its last end is made; B-1: slide on marker ""W2 B-1/A-1""; B-1: strip as the terminal's maker says; no length is written down; B-1: crimp; no terminal is named"
        "#]]
        .assert_eq(&text.replace("\r\n", "\n"));
        assert_eq!(text.matches("\r\n").count(), 3, "section 2.1: every record ends in CRLF");
        assert!(!text.replace("\r\n", "").contains('\n'));
        assert_eq!(text, csv_text(&cut_list(&project)), "same input, same bytes");
    }

    /// A general reader (the csv crate) gives back what went in, line breaks and all.
    #[test]
    fn odd_names_come_back_whole() {
        let (mut project, a, b) = parallel_pair();
        let odd = "a,\"b\"\r\nc; é = 1";
        wire_between(&mut project, odd, [a, b], WireSize::Mm2(0.75), "red");
        let text = csv_text(&cut_list(&project));
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let row = reader.records().next().unwrap().unwrap();
        assert_eq!((&row[0], row.len()), (odd, CSV_COLUMNS.len()));
    }
}
