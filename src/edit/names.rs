//! Free names for new things: `R1`, `R2`, the lowest number not taken.

use std::collections::BTreeSet;

/// The lowest `letter` + number that `taken` does not hold.
pub fn free_name<'a>(letter: &str, taken: impl Iterator<Item = &'a str>) -> String {
    let taken: BTreeSet<&str> = taken.collect();
    (1..)
        .map(|number: u32| format!("{letter}{number}"))
        .find(|name| !taken.contains(name.as_str()))
        .expect("a finite set cannot hold all numbers")
}

/// The name with its trailing digits cut off, and whether there were any: `R12` is (`R`, true).
pub fn name_stem(name: &str) -> (&str, bool) {
    let stem = name.trim_end_matches(|c: char| c.is_ascii_digit());
    (stem, stem.len() < name.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lowest_free_number_is_taken() {
        assert_eq!(free_name("R", ["R1", "R3", "S2"].into_iter()), "R2");
        assert_eq!(free_name("R", std::iter::empty()), "R1");
        assert_eq!(name_stem("R12"), ("R", true));
        assert_eq!(name_stem("gate"), ("gate", false));
    }
}
