//! The set-up record and the change log in the file.

use serde::{Deserialize, Serialize};

use crate::store::file::words::Provenance;

/// One setting.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetupRow {
    pub id: u32,
    pub name: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub value: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub unit: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub known_by: Option<Provenance>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub date: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub who: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub file: String,
}

/// One line of the change log.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChangeNote {
    pub id: u32,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub date: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub who: String,
    pub what: String,
}
