//! JSON of the text commands: field order as declared, numbers to nine figures, two spaces deep.

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

use crate::cli::words::nine_figures;
use crate::units::Range;

/// Names and values in the order they are listed, written as an object.
pub struct InOrder(pub Vec<(String, String)>);

impl Serialize for InOrder {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (name, value) in &self.0 {
            map.serialize_entry(name, value)?;
        }
        map.end()
    }
}

/// Low, nominal and high; `null` is open.
#[derive(Serialize)]
pub struct Three {
    low: Option<f64>,
    nominal: Option<f64>,
    high: Option<f64>,
}

impl From<Range> for Three {
    fn from(range: Range) -> Self {
        Self { low: number(range.low), nominal: number(range.nominal), high: number(range.high) }
    }
}

/// A number of JSON; `None` for what has no number, such as the ohms of an open circuit.
pub fn number(value: f64) -> Option<f64> {
    value.is_finite().then(|| nine_figures(value))
}

/// Writes a document with a newline at its end.
pub fn document(value: &impl Serialize) -> String {
    let text = serde_json::to_string_pretty(value).expect(
        "documents hold only text, finite numbers and lists, which always have a JSON form",
    );
    text + "\n"
}
