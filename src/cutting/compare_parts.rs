//! Resistors of two versions by name: whose value is another one, which are new or go.

use std::collections::BTreeMap;

use crate::cutting::compare::Fate;
use crate::cutting::natural::natural_order;
use crate::model::{PartId, PartKind, Project, Resistor};
use crate::units::{format_ohm, trim_zeros};

/// A resistor that is not as it was.
#[derive(Clone, Debug, PartialEq)]
pub struct ComparedResistor {
    /// Its name.
    pub name: String,
    /// As it was; `None` where it is new.
    pub before: Option<Resistor>,
    /// As it is; `None` where it goes.
    pub now: Option<Resistor>,
}

impl ComparedResistor {
    /// What becomes of it.
    pub fn fate(&self) -> Fate {
        match (&self.before, &self.now) {
            (Some(_), Some(_)) => Fate::Changes,
            (None, _) => Fate::New,
            (Some(_), None) => Fate::Goes,
        }
    }

    /// What to do.
    pub fn work(&self) -> &'static str {
        match (&self.before, &self.now) {
            (Some(was), Some(now)) if was.ohm == now.ohm => "check that the one built in will do",
            (Some(_), Some(_)) => "swap it",
            (None, _) => "fit it",
            (Some(_), None) => "take it out",
        }
    }

    /// As it was and as it is, such as `1.21 kΩ 1 % → 2.2 kΩ 1 %`.
    pub fn words(&self) -> String {
        let words = |of: &Option<Resistor>| {
            of.as_ref().map_or_else(
                || "none".to_owned(),
                |resistor| {
                    let percent = trim_zeros(&format!("{:.3}", resistor.tolerance * 100.0));
                    let watt = trim_zeros(&format!("{:.3}", resistor.power_watt));
                    format!("{} {percent} % {watt} W", format_ohm(resistor.ohm))
                },
            )
        };
        format!("{} → {}", words(&self.before), words(&self.now))
    }
}

/// Resistors that are not as they were, in the order of their names. A name that stands for several in
/// either version is left out, nobody can tell which is which: see [`unclear_resistors`].
pub fn compare_resistors(before: &Project, now: &Project) -> Vec<ComparedResistor> {
    let (was, is) = (by_name(before), by_name(now));
    let mut names: Vec<&String> = was.keys().chain(is.keys()).collect();
    names.sort_by(|a, b| natural_order(a, b));
    names.dedup();
    let of = |all: &Named, name: &str| match all.get(name).map(Vec::as_slice) {
        None => Some(None),
        Some([(_, one)]) => Some(Some(*one)),
        Some(_) => None,
    };
    names
        .into_iter()
        .filter_map(|name| {
            let (before, now) = (of(&was, name)?, of(&is, name)?);
            (before != now).then(|| ComparedResistor { name: name.clone(), before, now })
        })
        .collect()
}

/// Names that stand for several resistors in either version, in their order, where the two versions do
/// not have the very same ones: what became of them cannot be told.
pub fn unclear_resistors(before: &Project, now: &Project) -> Vec<String> {
    let (was, is) = (by_name(before), by_name(now));
    let several = was.iter().chain(&is).filter(|(_, of)| of.len() > 1).map(|(name, _)| name);
    let mut names: Vec<String> =
        several.filter(|name| was.get(*name) != is.get(*name)).cloned().collect();
    names.sort_by(|a, b| natural_order(a, b));
    names.dedup();
    names
}

/// What is said of a name that stands for several resistors.
pub const UNCLEAR: &str = "stands for several resistors: compare by hand";

/// Resistors by name, each with its identity.
type Named = BTreeMap<String, Vec<(PartId, Resistor)>>;

fn by_name(project: &Project) -> Named {
    let mut all = Named::new();
    for (id, part) in project.parts.iter() {
        if let PartKind::Resistor(resistor) = &part.kind {
            all.entry(part.name.clone()).or_default().push((id, *resistor));
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::compare;
    use crate::samples;

    #[test]
    fn a_changed_a_new_and_a_gone_resistor() {
        let before = samples::open("sprayer").unwrap();
        let mut now = before.clone();
        let id = |name: &str| before.parts.iter().find(|(_, part)| part.name == name).unwrap().0;
        let PartKind::Resistor(r1) = &mut now.parts.get_mut(id("R1")).unwrap().kind else {
            panic!()
        };
        r1.ohm = 2200.0;
        now.parts.get_mut(id("R2")).unwrap().name = "R20".into();
        let PartKind::Resistor(r3) = &mut now.parts.get_mut(id("R3")).unwrap().kind else {
            panic!()
        };
        r3.tolerance = 0.05;
        let list = compare_resistors(&before, &now);
        let words: Vec<(&str, &str, &str)> =
            list.iter().map(|row| (row.name.as_str(), row.fate().word(), row.work())).collect();
        assert_eq!(
            words,
            [
                ("R1", "changes", "swap it"),
                ("R2", "goes", "take it out"),
                ("R3", "changes", "check that the one built in will do"),
                ("R20", "new", "fit it"),
            ]
        );
        let r1 = list[0].words();
        assert!(r1.starts_with("1.5") && r1.contains("→ 2.2"), "{r1}");
        assert!(compare_resistors(&now, &now).is_empty());
    }

    #[test]
    fn a_name_that_stands_for_several_is_said_to_be_unclear() {
        let before = samples::open("sprayer").unwrap();
        let id = |name: &str| before.parts.iter().find(|(_, part)| part.name == name).unwrap().0;
        let mut twice = before.clone();
        twice.parts.get_mut(id("R2")).unwrap().name = "R1".into();
        let mut changed = twice.clone();
        let PartKind::Resistor(r1) = &mut changed.parts.get_mut(id("R1")).unwrap().kind else {
            panic!()
        };
        r1.ohm = 2200.0;
        assert!(!compare(&twice, &changed).is_same());
        assert_eq!(compare(&twice, &changed).unclear, ["R1"]);
        assert_eq!(compare(&before, &twice).unclear, ["R1"]);
        // The very same parts are the same, whatever their names.
        assert!(compare(&twice, &twice).is_same());
    }
}
