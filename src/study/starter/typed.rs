//! What people type and paste: names in a row, bands from the controller's papers.

use crate::model::{Band, Harm, Scale};
use crate::study::starter::role_of;
use crate::units::{parse_number, parse_ohm};

/// Names separated by commas, semicolons or lines.
pub fn names_from_text(text: &str) -> Vec<String> {
    text.split([',', ';', '\n'])
        .map(str::trim)
        .filter(|name| !name.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Bands as people paste them, one a line: name, lower edge, upper edge; `open` or `-` is no end.
/// A blank, a tab or a semicolon stands between them; names may have blanks.
///
/// `names` are the words that actions and nothing pressed have; their letters' case does not matter.
///
/// # Errors
/// One sentence naming the line that was not understood.
pub fn bands_from_text(
    text: &str,
    scale: Scale,
    names: &[String],
    idle: &str,
) -> Result<Vec<Band>, String> {
    let mut bands: Vec<Band> = Vec::new();
    for (n, line) in text.lines().enumerate() {
        let fields: Vec<&str> = line
            .split(['\t', ';', ' '])
            .map(str::trim)
            .filter(|field| !field.is_empty() && !is_filler(field))
            .collect();
        if fields.is_empty() {
            continue;
        }
        let refuse = || {
            format!(
                "expected a name and two edges such as {} in line {}, found \"{}\"",
                example(scale),
                n + 1,
                line.trim()
            )
        };
        let [name @ .., low, high] = fields.as_slice() else { return Err(refuse()) };
        if name.is_empty() {
            return Err(refuse());
        }
        let low = edge(low, scale).ok_or_else(refuse)?;
        let high = match high.to_lowercase().as_str() {
            "open" | "-" | "–" | "inf" => None,
            _ => Some(edge(high, scale).ok_or_else(refuse)?),
        };
        if high.is_some_and(|high| high < low) {
            return Err(format!("the band in line {} ends below its start", n + 1));
        }
        let typed = name.join(" ");
        let known = names.iter().map(String::as_str).chain([idle]);
        let name = known
            .into_iter()
            .find(|known| known.to_lowercase() == typed.to_lowercase())
            .unwrap_or(&typed)
            .to_owned();
        let role = role_of(&name, idle);
        bands.push(Band { name, role, low, high, harm: Harm::Nuisance });
    }
    Ok(bands)
}

/// Words and signs between the figures that say nothing.
fn is_filler(field: &str) -> bool {
    ["to", "…", "...", "V", "Ω", "ohm", "ohms", "counts", "%", "kΩ"].contains(&field)
}

fn edge(text: &str, scale: Scale) -> Option<f64> {
    let value = match scale {
        Scale::Ohm => parse_ohm(text).ok()?,
        Scale::Volt => parse_number(text.trim_end_matches(['V', 'v']), "V", "volts").ok()?,
        Scale::Count => parse_number(text, "counts", "counts").ok()?,
        Scale::Percent => parse_number(text, "%", "percent").ok()?,
    };
    (value >= 0.0).then_some(value)
}

fn example(scale: Scale) -> &'static str {
    match scale {
        Scale::Ohm => "UP 1k 1k4",
        Scale::Volt => "UP 0.58 0.86",
        Scale::Count => "UP 120 180",
        Scale::Percent => "UP 12 18",
    }
}
