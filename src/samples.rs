//! The sample projects, carried in the program.

use crate::model::Project;
use crate::store;

/// One sample project.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sample {
    /// Its name, which is also its file's name without the ending.
    pub name: &'static str,
    /// What it shows, in plain words.
    pub title: &'static str,
    /// The file.
    pub text: &'static str,
}

/// All samples, the main one first.
pub const LIST: [Sample; 6] = [
    Sample {
        name: "forwarder",
        title: "Forwarder: range hold, up and down at two stations",
        text: include_str!("../sample-projects/forwarder.ohmloom"),
    },
    Sample {
        name: "sprayer",
        title: "Sprayer: three toggles, eight states, end-of-line resistor",
        text: include_str!("../sample-projects/sprayer.ohmloom"),
    },
    Sample {
        name: "rescue-boat",
        title: "Rescue boat: a chain where the button nearest the pin wins",
        text: include_str!("../sample-projects/rescue-boat.ohmloom"),
    },
    Sample {
        name: "railcar",
        title: "Railcar: a panel at each end, two people pressing at once",
        text: include_str!("../sample-projects/railcar.ohmloom"),
    },
    Sample {
        name: "railcar-first-attempt",
        title: "Railcar, first attempt: values that clash",
        text: include_str!("../sample-projects/railcar-first-attempt.ohmloom"),
    },
    Sample {
        name: "cable-ferry",
        title: "Cable ferry: a relay hands the line from one station to the other",
        text: include_str!("../sample-projects/cable-ferry.ohmloom"),
    },
];

/// A sample by name; `None` where there is none of that name.
pub fn open(name: &str) -> Option<Project> {
    let sample = LIST.iter().find(|sample| sample.name == name)?;
    store::read(sample.text.as_bytes()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sample_is_read_and_written_to_the_same_bytes() {
        for sample in LIST {
            let project = store::read(sample.text.as_bytes())
                .unwrap_or_else(|error| panic!("{}: {error}", sample.name));
            assert_eq!(store::write(&project), sample.text, "{}", sample.name);
            assert_eq!(open(sample.name), Some(project));
        }
        assert_eq!(open("no such sample"), None);
    }
}
