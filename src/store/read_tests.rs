//! What reading takes and what it refuses, with the wording of every refusal.

use super::*;
use crate::store;
use crate::testing;

/// A small file with one of everything that refers to something.
const SMALL: &str = r#"{
  "format": "ohmloom",
  "version": 1,
  "title": "small",
  "next_id": 20,
  "settings": {
    "contact_ohm": {"low": 0, "nominal": 0, "high": 3},
    "joint_ohm": {"low": 0, "nominal": 0, "high": 0},
    "temperature_span_k": 60,
    "wire_model": "by length",
    "length_factor": 1.03,
    "rounding_mm": 10,
    "allowances": {"sealed_mm": 80, "inline_mm": 80, "tag_mm": 40, "splice_mm": 40, "ring_mm": 30},
    "meter": {"fraction": 0.01, "offset_ohm": 0.5}
  },
  "parts": [
    {"id": 1, "name": "R1", "kind": {"resistor": {"ohm": 6810, "tolerance": 0.01, "tempco_ppm_per_k": 100, "power_watt": 0.25}}, "pos_mm": [10, 20]},
    {"id": 2, "name": "S1", "kind": {"contact": {"form": "normally open"}}, "pos_mm": [40, 20]},
    {"id": 3, "name": "GND1", "kind": "ground", "pos_mm": [70, 20]},
    {"id": 4, "name": "X1", "kind": {"connector": {"layout": {"grid": {"rows": 2, "columns": 3}}, "first": {"name": "X1", "gender": "pins", "end": "sealed"}}}, "pos_mm": [0, 0]}
  ],
  "wires": [
    {"id": 5, "name": "W1", "from": {"part": 1, "terminal": 1}, "to": {"part": 2, "terminal": 0}, "size": {"mm2": 0.5}, "colour": {"base": "VT", "tracer": "BK"}},
    {"id": 6, "name": "W2", "from": {"part": 4, "cavity": 6, "half": "first"}, "to": {"part": 3}, "size": {"awg": 20}, "colour": {"base": "BK"}, "via_places": [8]}
  ],
  "frames": [],
  "controls": [
    {"id": 7, "name": "Gate", "kind": "maintained", "positions": [{"name": "off"}, {"name": "on", "throws": [{"contact": 2, "throw": 1}]}], "rest": 0}
  ],
  "sense_pins": [
    {"id": 11, "name": "in", "terminal": {"part": 1, "terminal": 0}, "reference": {"part": 3}, "side": "ground", "scale": "ohm",
     "bands": [{"name": "go", "role": "action", "low": 900, "high": 1100}, {"name": "open", "role": "idle", "low": 50000}],
     "expectations": [{"when": [{"control": 7, "position": 1}], "action": "go"}]}
  ],
  "places": [{"id": 8, "name": "floor", "pos_mm": [0, 0]}, {"id": 9, "name": "roof", "pos_mm": [0, 10]}],
  "runs": [{"id": 10, "name": "up", "from_place": 8, "to_place": 9, "length_mm": 900}],
  "pieces": []
}
"#;

/// The refusal after one exchange in the small file.
fn check(old: &str, new: &str, want: &str) {
    assert!(SMALL.contains(old), "{old}");
    let text = SMALL.replacen(old, new, 1);
    let error = read(text.as_bytes()).map(|_| ()).unwrap_err();
    assert_eq!(error.to_string(), want);
}

#[test]
fn the_small_file_is_read_and_written_back_equal() {
    let project = read(SMALL.as_bytes()).unwrap();
    assert_eq!((project.parts.len(), project.wires.len(), project.next_id), (4, 2, 20));
    assert_eq!(project.terminal_name(project.wires.get(6.into()).unwrap().from.terminal), "X1-6");
    assert_eq!(read(store::write(&project).as_bytes()), Ok(project));
    let with_mark = format!("\u{feff}{}", SMALL.replace('\n', "\r\n"));
    assert!(read(with_mark.as_bytes()).is_ok());
}

#[test]
fn what_is_written_is_read_back_equal_and_written_equal_again() {
    for seed in 0..300 {
        let project = testing::project(seed, 1 + (seed as usize) % 25);
        let text = store::write(&project);
        let again =
            read(text.as_bytes()).unwrap_or_else(|error| panic!("seed {seed}: {error}\n{text}"));
        assert_eq!(again, project, "seed {seed}");
        assert_eq!(store::write(&again), text, "seed {seed}");
        assert!(text.ends_with("}\n") && !text.contains('\r'), "seed {seed}");
    }
}

#[test]
fn faults_of_the_text_are_named() {
    check(
        "\"pieces\": []\n}\n",
        "\"pieces\": [",
        "the file ends too early, it was cut short, at pieces (line 37)",
    );
    check(
        "\"id\": 3,",
        "\"id\": 3",
        "expected `,` or `}`, found something else, at parts[2] (line 19)",
    );
    check(
        "[10, 20]",
        "[10, 1e999]",
        "expected a number of sensible size, found one too large to hold, at parts[0].pos_mm[1] (line 17)",
    );
    check(
        "[10, 20]",
        "[10, NaN]",
        "expected a value, found something that is not JSON, at parts[0].pos_mm[1] (line 17)",
    );
    check(
        "[10, 20]",
        "[10]",
        "expected a list of two numbers, found a list of 1, at parts[0].pos_mm (line 17)",
    );
    check(
        "[10, 20]",
        "[10, 20, 30]",
        "expected the list or the file to end here, found more, at parts[0].pos_mm (line 17)",
    );
    check(
        "\"pieces\": []\n}",
        "\"pieces\": []\n}}",
        "expected the end of the file behind the last brace, found more (line 38)",
    );
    check(
        "\"pieces\": []",
        "\"pieces\": [],",
        "expected another value behind the comma, found none (line 38)",
    );
    check(
        "\"title\": \"small\"",
        "\"title\": \"two\nlines\"",
        r#"expected JSON text, found a fault: control character (\u0000-\u001F) found while parsing a string, at title (line 5)"#,
    );
}

#[test]
fn faults_of_the_header_are_named() {
    check(
        "\"version\": 1",
        "\"version\": 7",
        "written by a newer Ohmloom: version 7, this one reads up to 1, at version (line 3)",
    );
    check("\"version\": 1", "\"version\": 0", "expected version 1, found 0, at version (line 3)");
    check(
        "\"version\": 1",
        "\"version\": \"1\"",
        r#"expected version 1, found "1", at version (line 3)"#,
    );
    check(
        "  \"version\": 1,\n",
        "",
        r#"expected the field "version" with 1, found none, at version (line 1)"#,
    );
    check(
        "\"ohmloom\"",
        "\"something\"",
        r#"expected the word "ohmloom", found "something", at format (line 2)"#,
    );
    check(
        "  \"format\": \"ohmloom\",\n",
        "",
        r#"expected the field "format" with "ohmloom", found none, at format (line 1)"#,
    );
    check(
        "{\n  \"format\"",
        "[{\n  \"format\"",
        r#"expected a project, which begins with "{", found a file that begins with "[" (line 1)"#,
    );
}

#[test]
#[expect(clippy::too_many_lines, reason = "one table of faults")]
fn faults_of_the_shape_are_named() {
    check(
        "\"name\": \"R1\", ",
        "",
        r#"expected the field "name", found none, at parts[0] (line 17)"#,
    );
    check(
        "\"name\": \"R1\"",
        "\"nmae\": \"R1\"",
        r#"expected "name" or another known field, found "nmae", at parts[0] (line 17)"#,
    );
    check(
        "\"name\": \"R1\"",
        "\"name\": \"R1\", \"name\": \"R2\"",
        r#"expected each field once, found "name" again, at parts[0] (line 17)"#,
    );
    check(
        "\"name\": \"R1\"",
        "\"name\": \"R1\", \"zzz\": 0",
        r#"expected one of id, name, label, kind, pos_mm, turn_deg, mirrored, place, found "zzz", at parts[0] (line 17)"#,
    );
    check(
        "\"name\": \"R1\"",
        "\"name\": 5",
        "expected a text in quotes, found the number 5, at parts[0].name (line 17)",
    );
    check(
        "\"maintained\"",
        "\"maintaned\"",
        r#"expected "maintained" or another known word, found "maintaned", at controls[0].kind (line 28)"#,
    );
    check(
        "\"BK\"}",
        "\"black\"}",
        r#"expected one of BK, BN, RD, OG, YE, GN, BU, VT, GY, WH, PK, TQ, found "black", at wires[0].colour.tracer (line 23)"#,
    );
    check(
        "\"resistor\"",
        "\"resitor\"",
        r#"expected "resistor" or another known word, found "resitor", at parts[0].kind (line 17)"#,
    );
    check(
        "\"ohm\": 6810",
        "\"ohm\": \"6k81\"",
        r#"expected a number, found the text "6k81", at parts[0].kind.resistor.ohm (line 17)"#,
    );
    check(
        "\"rest\": 0",
        "\"rest\": -1",
        "expected a whole number from 0 to 255, found the number -1, at controls[0].rest (line 28)",
    );
    check(
        "\"rest\": 0",
        "\"rest\": 0.5",
        "expected a whole number from 0 to 255, found the number 0.5, at controls[0].rest (line 28)",
    );
    check(
        "\"next_id\": 20",
        "\"next_id\": 99999999999",
        "expected a whole number from 0 to 4294967295, found the number 99999999999, at next_id (line 5)",
    );
    check(
        "\"frames\": []",
        "\"frames\": {}",
        "expected a list, found an object, at frames (line 26)",
    );
    check("\"pieces\": []", "\"pieces\": null", "expected a list, found null, at pieces (line 37)");
    check(
        "\"kind\": \"ground\"",
        "\"kind\": {\"ground\": null}",
        "expected a value, or the field left out, found null, at parts[2].kind.ground (line 19)",
    );
    check(
        "{\"low\": 0, \"nominal\": 0, \"high\": 3}",
        "[0, 0, 3]",
        "expected an object in braces, found a list, at settings.contact_ohm (line 7)",
    );
    check(
        "\"via_places\": [8]",
        "\"via_places\": [8], \"typed_length_mm\": null",
        "expected a value, or the field left out, found null, at wires[1].typed_length_mm (line 24)",
    );
}

#[test]
fn faults_of_the_numbers_are_named() {
    check(
        "\"ohm\": 6810",
        "\"ohm\": -6810",
        "expected ohms from 0.000001 to 1000000000000, found -6810, at parts[0].kind.resistor.ohm (line 17)",
    );
    check(
        "\"ohm\": 6810",
        "\"ohm\": 0",
        "expected ohms from 0.000001 to 1000000000000, found 0, at parts[0].kind.resistor.ohm (line 17)",
    );
    check(
        "\"tolerance\": 0.01",
        "\"tolerance\": 1",
        "expected a fraction from 0 to below 1, found 1, at parts[0].kind.resistor.tolerance (line 17)",
    );
    check(
        "\"high\": 3",
        "\"high\": -3",
        "expected ohms from 0 to 1000000000000, found -3, at settings.contact_ohm.high (line 7)",
    );
    check(
        "\"nominal\": 0, \"high\": 3",
        "\"nominal\": 5, \"high\": 3",
        "expected low, nominal and high in rising order, found 0, 5 and 3, at settings.contact_ohm (line 7)",
    );
    check(
        "\"high\": 1100",
        "\"high\": 800",
        "expected an upper edge not below the lower edge 900, found 800, at sense_pins[0].bands[0].high (line 32)",
    );
    check(
        "\"length_mm\": 900",
        "\"length_mm\": 0",
        "expected millimetres from 0.001 to 10000000, found 0, at runs[0].length_mm (line 36)",
    );
    check(
        "[10, 20]",
        "[10, 1e9]",
        "expected millimetres from -1000000 to 1000000, found 1000000000, at parts[0].pos_mm[1] (line 17)",
    );
    check(
        "\"rows\": 2",
        "\"rows\": 200",
        "expected 1 to 400 cavities, found 600, at parts[3].kind.connector.layout (line 20)",
    );
    check(
        "{\"awg\": 20}",
        "{\"awg\": 99}",
        "expected gauge numbers from -3 to 56, found 99, at wires[1].size.awg (line 24)",
    );
    check(
        "\"pos_mm\": [70, 20]",
        "\"turn_deg\": 45, \"pos_mm\": [70, 20]",
        "expected 0, 90, 180 or 270, found 45, at parts[2].turn_deg (line 19)",
    );
    check(
        ", {\"name\": \"on\", \"throws\": [{\"contact\": 2, \"throw\": 1}]}",
        "",
        "expected 2 to 24 positions, found 1, at controls[0].positions (line 28)",
    );
}

#[test]
#[expect(clippy::too_many_lines, reason = "one table of faults")]
fn faults_of_the_references_are_named() {
    check(
        "\"from\": {\"part\": 1",
        "\"from\": {\"part\": 99",
        "expected the id of a part, found 99, which no part has, at wires[0].from.part (line 23)",
    );
    check(
        "\"from\": {\"part\": 1, \"terminal\": 1}",
        "\"from\": {\"part\": 1, \"terminal\": 2}",
        "expected a terminal of resistor R1 from 0 to 1, found 2, at wires[0].from.terminal (line 23)",
    );
    check(
        "\"from\": {\"part\": 1, \"terminal\": 1}",
        "\"from\": {\"part\": 1}",
        "expected a terminal of resistor R1 from 0 to 1, found none, at wires[0].from (line 23)",
    );
    check(
        "\"from\": {\"part\": 1, \"terminal\": 1}",
        "\"from\": {\"part\": 1, \"cavity\": 1}",
        "expected a terminal, because part 1 is resistor R1, found a cavity, at wires[0].from.cavity (line 23)",
    );
    check(
        "\"cavity\": 6, \"half\": \"first\"",
        "\"cavity\": 7, \"half\": \"first\"",
        "expected a cavity from 1 to 6, found 7, at wires[1].from.cavity (line 24)",
    );
    check(
        "\"cavity\": 6, \"half\": \"first\"",
        "\"cavity\": 6, \"half\": \"second\"",
        r#"expected the half "first", because connector X1 has no second half, found "second", at wires[1].from.half (line 24)"#,
    );
    check(
        "\"cavity\": 6, \"half\": \"first\"",
        "\"cavity\": 6",
        r#"expected the half "first" or "second", because part 4 is connector X1, found none, at wires[1].from (line 24)"#,
    );
    check(
        "\"cavity\": 6, \"half\": \"first\"",
        "\"terminal\": 6",
        "expected a cavity, because part 4 is connector X1, found a terminal, at wires[1].from.terminal (line 24)",
    );
    check(
        "\"id\": 3,",
        "\"id\": 1,",
        "expected an id that stands once, found 1, which parts[0] has too, at parts[2].id (line 19)",
    );
    check(
        "\"id\": 3,",
        "\"id\": 20,",
        "expected an id from 1 to below next_id, which is 20, found 20, at parts[2].id (line 19)",
    );
    check(
        "\"id\": 3,",
        "\"id\": 0,",
        "expected an id from 1 to below next_id, which is 20, found 0, at parts[2].id (line 19)",
    );
    check(
        "\"contact\": 2, \"throw\": 1",
        "\"contact\": 1, \"throw\": 1",
        "expected the id of a contact, found 1, which is resistor R1, at controls[0].positions[1].throws[0].contact (line 28)",
    );
    check(
        "\"contact\": 2, \"throw\": 1",
        "\"contact\": 2, \"throw\": 2",
        "expected a throw of S1 from 0 to 1, found 2, at controls[0].positions[1].throws[0].throw (line 28)",
    );
    check(
        "\"rest\": 0",
        "\"rest\": 2",
        "expected a position from 0 to 1, found 2, at controls[0].rest (line 28)",
    );
    check(
        "\"rest\": 0",
        "\"rest\": 0, \"needs\": {\"control\": 99, \"position\": 0}",
        "expected the id of a control, found 99, which no control has, at controls[0].needs.control (line 28)",
    );
    check(
        "\"rest\": 0",
        "\"rest\": 0, \"needs\": {\"control\": 7, \"position\": 9}",
        "expected a position of control 7 from 0 to 1, found 9, at controls[0].needs.position (line 28)",
    );
    check(
        "\"control\": 7, \"position\": 1",
        "\"control\": 7, \"position\": 2",
        "expected a position of control 7 from 0 to 1, found 2, at sense_pins[0].expectations[0].when[0].position (line 33)",
    );
    check(
        "\"via_places\": [8]",
        "\"via_places\": [8, 10]",
        "expected the id of a place, found 10, which no place has, at wires[1].via_places[1] (line 24)",
    );
    check(
        "\"from_place\": 8",
        "\"from_place\": 1",
        "expected the id of a place, found 1, which no place has, at runs[0].from_place (line 36)",
    );
}

#[test]
fn files_that_are_no_text_are_named() {
    let refusal = |bytes: &[u8]| read(bytes).map(|_| ()).unwrap_err().to_string();
    assert_eq!(refusal(b""), "expected a project, found an empty file (line 1)");
    assert_eq!(refusal(b" \n\n"), "expected a project, found an empty file (line 1)");
    assert_eq!(
        refusal(b"\x7fELF\x02\x01\n\x00\x00"),
        "expected text, found a binary file: byte 7 is zero (line 2)"
    );
    assert_eq!(
        refusal(b"{\n\"title\": \"na\xefve\"}"),
        "expected UTF-8 text, found the byte 0xEF at offset 14 (line 2)"
    );
    assert_eq!(
        refusal(b"title, notes\n"),
        r#"expected a project, which begins with "{", found a file that begins with "t" (line 1)"#
    );
    assert_eq!(
        refusal(&vec![b' '; limits::FILE_BYTES + 1]),
        "expected a file of at most 64 MiB, found 67108865 bytes (line 1)"
    );
    let deep = SMALL.replace("\"small\"", &"[".repeat(100_000));
    assert_eq!(
        refusal(deep.as_bytes()),
        "expected a text in quotes, found a list, at title (line 4)"
    );
    let deep = SMALL.replace(
        "\"title\"",
        &format!("\"extra\": {}{}, \"title\"", "[".repeat(300), "]".repeat(300)),
    );
    assert_eq!(
        refusal(deep.as_bytes()),
        r#"expected one of format, version, title, notes, next_id, settings, parts, wires, frames, controls, sense_pins, places, runs, pieces, bench_runs, set_up, changes, story, permit, cutting, layout_scale, underlay, found "extra" (line 4)"#
    );
}

#[test]
fn sizes_past_the_limits_are_named() {
    let long = "x".repeat(limits::TEXT_CHARS + 1);
    check(
        "\"small\"",
        &format!("\"{long}\""),
        "expected a text of at most 2000 characters, found 2001, at title (line 4)",
    );
    let pieces: Vec<String> = (0..=limits::PIECES)
        .map(|n| format!("{{\"id\": {}, \"name\": \"\", \"size\": {{\"awg\": 20}}, \"colour\": {{\"base\": \"BK\"}}, \"length_mm\": 100}}", n + 100))
        .collect();
    let text = SMALL.replace("\"next_id\": 20", "\"next_id\": 99999");
    let refused = text.replace("\"pieces\": []", &format!("\"pieces\": [{}]", pieces.join(",")));
    assert_eq!(
        read(refused.as_bytes()).map(|_| ()).unwrap_err().to_string(),
        "expected at most 10000 pieces, found 10001, at pieces (line 37)"
    );
    let fine = text.replace("\"pieces\": []", &format!("\"pieces\": [{}]", pieces[1..].join(",")));
    assert!(read(fine.as_bytes()).is_ok());
}

#[test]
fn a_bad_drawing_is_not_refused() {
    for (old, new) in [
        ("\"to\": {\"part\": 2, \"terminal\": 0}", "\"to\": {\"part\": 1, \"terminal\": 1}"),
        ("\"low\": 50000", "\"low\": 1000"),
        ("\"action\": \"go\"", "\"action\": \"no such band\""),
        ("\"to_place\": 9", "\"to_place\": 8"),
        ("\"rest\": 0", "\"rest\": 0, \"needs\": {\"control\": 7, \"position\": 1}"),
        ("\"reference\": {\"part\": 3}", "\"reference\": {\"part\": 1, \"terminal\": 0}"),
    ] {
        assert!(SMALL.contains(old), "{old}");
        assert_eq!(read(SMALL.replacen(old, new, 1).as_bytes()).map(|_| ()), Ok(()), "{new}");
    }
}
