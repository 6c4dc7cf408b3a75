//! Text to project: is it ours, can we read this version, has it the right shape, does it hold together.

use serde::Deserialize;
use serde_json::Value;

use crate::model::Project;
use crate::model::limits;
use crate::store::decode::{self, Problem};
use crate::store::error::{ReadError, one_line};
use crate::store::file;
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
            "expected a project, which begins with \"{{\", found a file that begins with \"{found}\""
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
#[path = "read_tests.rs"]
mod tests;
