//! Text to project: is it ours, can we read this version, has it the right shape, does it hold together.

use serde::Deserialize;
use serde_json::Value;

use crate::model::Project;
use crate::store::decode::{self, Problem};
use crate::store::error::{ReadError, one_line};
use crate::store::file;
use crate::store::limits;
use crate::store::locate::{self, Step};
use crate::store::shape;

/// Reads a project file.
///
/// # Errors
/// One sentence: what was expected, what was found, the path of the field and its line. Refused are
/// files that are too large, empty, not UTF-8, not JSON, of another format or a newer version, with
/// missing, unknown or doubled fields, with numbers or sizes outside [`limits`], with an id used
/// twice, and with references to rows that are not there. Cost: linear in the bytes.
pub fn read(bytes: &[u8]) -> Result<Project, ReadError> {
    let text = text_of(bytes)?;
    check_header(text)?;
    let file = parse(text)?;
    shape::check(text)
        .and_then(|()| decode::project(file))
        .map_err(|problem| ReadError::at(text, &problem))
}

/// The bytes as text, without a byte order mark.
fn text_of(bytes: &[u8]) -> Result<&str, ReadError> {
    let refuse =
        |what: &str, offset| Err(ReadError::on_line(what, &[], locate::line_at(bytes, offset)));
    if bytes.len() > limits::FILE_BYTES {
        let most = limits::FILE_BYTES >> 20;
        return refuse(
            &format!("expected a file of at most {most} MiB, found {} bytes", bytes.len()),
            0,
        );
    }
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return refuse("expected a project, found an empty file", 0);
    }
    if let Some(offset) = bytes.iter().position(|b| *b == 0) {
        return refuse(
            &format!("expected text, found a binary file: byte {offset} is zero"),
            offset,
        );
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.strip_prefix('\u{feff}').unwrap_or(text)),
        Err(error) => {
            let offset = error.valid_up_to();
            let byte = bytes.get(offset).copied().unwrap_or(0);
            refuse(
                &format!("expected UTF-8 text, found the byte 0x{byte:02X} at offset {offset}"),
                offset,
            )
        }
    }
}

/// What every version of the file has.
#[derive(Deserialize)]
struct Header {
    format: Option<Value>,
    version: Option<Value>,
}

/// Refuses other formats and newer versions before anything else is looked at.
fn check_header(text: &str) -> Result<(), ReadError> {
    let start = text.trim_start_matches([' ', '\n', '\r', '\t']);
    if !start.starts_with('{') {
        let found = start.chars().next().map_or_else(String::new, |c| one_line(&c.to_string(), 8));
        let line = locate::line_at(text.as_bytes(), text.len() - start.len());
        let what = format!(
            "expected a project, which begins with {{, found a file that begins with {found}"
        );
        return Err(ReadError::on_line(&what, &[], line));
    }
    // A file that is not JSON, or names a field twice, is left to the full reading, which knows the path.
    let Ok(header) = serde_json::from_str::<Header>(text) else { return Ok(()) };
    let refuse = |field: &str, what| {
        Err(ReadError::at(text, &Problem { what, path: vec![Step::Field(field.to_owned())] }))
    };
    match &header.format {
        Some(Value::String(word)) if word == super::FORMAT => {}
        Some(other) => {
            let found = one_line(&other.to_string(), 60);
            return refuse(
                "format",
                format!("expected the word \"{}\", found {found}", super::FORMAT),
            );
        }
        None => {
            return refuse(
                "format",
                format!("expected the field \"format\" with \"{}\", found none", super::FORMAT),
            );
        }
    }
    match header.version.as_ref().map(|v| (v, v.as_u64())) {
        Some((_, Some(version))) if version == u64::from(super::VERSION) => Ok(()),
        Some((_, Some(version))) if version > u64::from(super::VERSION) => refuse(
            "version",
            format!(
                "written by a newer Ohmloom: version {version}, this one reads up to {}",
                super::VERSION
            ),
        ),
        Some((other, _)) => {
            let found = one_line(&other.to_string(), 60);
            refuse("version", format!("expected version {}, found {found}", super::VERSION))
        }
        None => refuse(
            "version",
            format!("expected the field \"version\" with {}, found none", super::VERSION),
        ),
    }
}

fn parse(text: &str) -> Result<file::Project, ReadError> {
    let mut json = serde_json::Deserializer::from_str(text);
    let file = serde_path_to_error::deserialize(&mut json)
        .map_err(|error| ReadError::from_json(text, &error))?;
    match json.end() {
        Ok(()) => Ok(file),
        Err(error) => {
            let what = "expected the end of the file behind the last brace, found more";
            Err(ReadError::on_line(what, &[], error.line()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store;
    use crate::testing;

    use expect_test::{Expect, expect};

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
    fn check(old: &str, new: &str, want: Expect) {
        assert!(SMALL.contains(old), "{old}");
        let text = SMALL.replacen(old, new, 1);
        let error = read(text.as_bytes()).map(|_| ()).unwrap_err();
        want.assert_eq(&error.to_string());
    }

    #[test]
    fn the_small_file_is_read_and_written_back_equal() {
        let project = read(SMALL.as_bytes()).unwrap();
        assert_eq!((project.parts.len(), project.wires.len(), project.next_id), (4, 2, 20));
        assert_eq!(
            project.terminal_name(project.wires.get(6.into()).unwrap().from.terminal),
            "X1-6"
        );
        assert_eq!(read(store::write(&project).as_bytes()), Ok(project));
        let with_mark = format!("\u{feff}{}", SMALL.replace('\n', "\r\n"));
        assert!(read(with_mark.as_bytes()).is_ok());
    }

    #[test]
    fn what_is_written_is_read_back_equal_and_written_equal_again() {
        for seed in 0..300 {
            let project = testing::project(seed, 1 + (seed as usize) % 25);
            let text = store::write(&project);
            let again = read(text.as_bytes())
                .unwrap_or_else(|error| panic!("seed {seed}: {error}\n{text}"));
            assert_eq!(again, project, "seed {seed}");
            assert_eq!(store::write(&again), text, "seed {seed}");
            assert!(text.ends_with("}\n") && !text.contains('\r'), "seed {seed}");
        }
    }
}
