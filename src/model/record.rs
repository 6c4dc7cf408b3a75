//! The set-up record and the change log: what was set where and on whose word, who changed what when.

/// Where a value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Provenance {
    /// It stands on the maker's sheet.
    Sheet,
    /// It was measured.
    Measured,
    /// It follows from other values.
    Inferred,
    /// Somebody said so.
    Hearsay,
}

impl Provenance {
    /// All of them, the surest first.
    pub const ALL: [Self; 4] = [Self::Sheet, Self::Measured, Self::Inferred, Self::Hearsay];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sheet => "sheet",
            Self::Measured => "measured",
            Self::Inferred => "inferred",
            Self::Hearsay => "hearsay",
        }
    }
}

/// One setting of the controller or the machine, as it was found or made.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SetupRow {
    /// Name of the setting, as the controller or its papers call it.
    pub name: String,
    /// Value as typed; empty where it is not known.
    pub value: String,
    /// Unit; empty where there is none.
    pub unit: String,
    /// Where it comes from; `None` where nobody said.
    pub provenance: Option<Provenance>,
    /// Day, as typed; `2027-03-14` sorts.
    pub date: String,
    /// Who read or set it.
    pub who: String,
    /// Name or path of a photo or file that shows it, kept beside the project.
    pub file: String,
}

impl SetupRow {
    /// Value and unit: `3 s`; empty where the value is not known.
    pub fn value_words(&self) -> String {
        match (self.value.trim(), self.unit.trim()) {
            ("", _) => String::new(),
            (value, "") => value.to_owned(),
            (value, unit) => format!("{value} {unit}"),
        }
    }
}

/// One line of the change log.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChangeNote {
    /// Day, as typed; `2027-03-14` sorts.
    pub date: String,
    /// Who changed it.
    pub who: String,
    /// What was changed, and why.
    pub what: String,
}
