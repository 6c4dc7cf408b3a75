//! Strictness that serde does not give: lists only where the format has lists, and no `null`.
//!
//! Runs on text that serde has already taken, so it need not mind broken JSON.

use crate::store::decode::Problem;
use crate::store::locate::{Step, skip_string};

/// Fields whose value is a list.
const LISTS: &[&str] = &[
    "parts",
    "wires",
    "frames",
    "controls",
    "sense_pins",
    "places",
    "runs",
    "pieces",
    "bench_runs",
    "readings",
    "ohm_ranges",
    "volt_ranges",
    "bench_runs",
    "readings",
    "ohm_ranges",
    "volt_ranges",
    "set_up",
    "changes",
    "start_modes",
    "modes",
    "links",
    "seen",
    "from_modes",
    "to_modes",
    "reaches",
    "actions",
    "cavities",
    "counts",
    "positions",
    "throws",
    "bands",
    "expectations",
    "when",
    "pos_mm",
    "min_mm",
    "max_mm",
    "bends_mm",
    "via_places",
    "zones",
    "own_wires",
    "substitutes",
    "prices",
    "half_ends",
    "wire_ends",
    "ticks",
    "seal_mm",
];

/// Fields whose value is a list of lists.
const LISTS_OF_LISTS: [&str; 1] = ["bends_mm"];

enum Level<'a> {
    Object { key: &'a str },
    List { row: usize, holds_lists: bool },
}

/// Walks all values once.
pub fn check(text: &str) -> Result<(), Problem> {
    let bytes = text.as_bytes();
    let mut levels: Vec<Level<'_>> = Vec::new();
    let mut at = 0;
    let mut key_next = false;
    while let Some(byte) = bytes.get(at) {
        match byte {
            b'{' => {
                levels.push(Level::Object { key: "" });
                key_next = true;
                at += 1;
            }
            b'[' => {
                let (may, holds_lists) = match levels.last() {
                    Some(Level::Object { key }) => {
                        (LISTS.contains(key), LISTS_OF_LISTS.contains(key))
                    }
                    Some(Level::List { holds_lists, .. }) => (*holds_lists, false),
                    None => (false, false),
                };
                if !may {
                    return Err(refuse("expected an object in braces, found a list", &levels));
                }
                levels.push(Level::List { row: 0, holds_lists });
                key_next = false;
                at += 1;
            }
            b'}' | b']' => {
                levels.pop();
                at += 1;
            }
            b',' => {
                match levels.last_mut() {
                    Some(Level::List { row, .. }) => *row += 1,
                    Some(Level::Object { .. }) => key_next = true,
                    None => {}
                }
                at += 1;
            }
            b'"' => {
                let end = skip_string(bytes, at);
                if let Some(Level::Object { key }) = levels.last_mut()
                    && key_next
                {
                    *key = text.get(at + 1..end - 1).unwrap_or("");
                    key_next = false;
                }
                at = end;
            }
            b'n' => {
                return Err(refuse("expected a value, or the field left out, found null", &levels));
            }
            _ => at += 1,
        }
    }
    Ok(())
}

fn refuse(what: &str, levels: &[Level<'_>]) -> Problem {
    let path = levels
        .iter()
        .map(|level| match level {
            Level::Object { key } => Step::Field((*key).to_owned()),
            Level::List { row, .. } => Step::Row(*row),
        })
        .collect();
    Problem { what: what.into(), path }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::locate::Path;

    fn check_path(text: &str, want: &str) {
        let problem = check(text).err().map(|p| Path(&p.path).to_string());
        assert_eq!(problem.unwrap_or_else(|| "fine".into()), want, "{text}");
    }

    #[test]
    fn lists_stand_only_where_the_format_has_them() {
        check_path(r#"{"a": "[null", "pos_mm": [1, 2], "bends_mm": [[1, 2], [3, 4]]}"#, "fine");
        check_path(
            r#"{"parts": [{"pos_mm": [1, 2]}, {"kind": {"fuse": [1, 2]}}]}"#,
            "parts[1].kind.fuse",
        );
        check_path(r#"{"parts": [[1, "R1"]]}"#, "parts[0]");
        check_path(r#"{"bends_mm": [[1, [2]]]}"#, "bends_mm[0][1]");
        check_path(r#"{"wires": [{"a": 1}, {"a": 1, "b": null}]}"#, "wires[1].b");
    }
}
