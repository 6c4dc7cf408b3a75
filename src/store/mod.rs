//! Project to text and back: the `.ohmloom` file, version 1.
//!
//! The file has structs of its own (`file`), so it can stay still while the model moves.
//! Reading goes text, file structs (`file`), checked model (`decode`); every refusal is one
//! sentence with the path of the field and the line. A bad drawing is not refused: it is a finding.

mod base64;
mod decode;
mod encode;
mod encode_bench;
mod encode_cutting;
mod encode_element;
mod encode_face;
mod encode_moving;
mod encode_story;
mod encode_underlay;
mod encode_wiring;
mod error;
mod file;
mod locate;
mod print;
mod read;
mod shape;

pub use error::ReadError;
pub use read::read;

use crate::model::Project;

/// The word in the field `format` of every project file.
pub const FORMAT: &str = "ohmloom";

/// The version this program writes, and the highest it reads.
pub const VERSION: u32 = 1;

/// Ending of a project file's name, without the dot.
pub const EXTENSION: &str = "ohmloom";

/// Writes a project as text: UTF-8, two spaces of indent, one newline at the end.
///
/// Equal projects give equal text, rows stand in the order of their ids, and what stands at its
/// default is left out. Reading the text gives an equal project. Cost: linear in the rows.
///
/// ```
/// use ohmloom::model::Project;
/// use ohmloom::store;
/// let project = Project::empty("bench");
/// assert_eq!(store::read(store::write(&project).as_bytes()), Ok(project));
/// ```
pub fn write(project: &Project) -> String {
    let compact = serde_json::to_string(&encode::project(project)).expect(
        "the file structs hold only text, numbers and lists, which always have a JSON form",
    );
    print::laid_out(&compact)
}

/// The JSON Schema (2020-12) every written file satisfies.
pub fn schema() -> &'static str {
    include_str!("schema.json")
}
