//! The arming story in the file.

use serde::{Deserialize, Serialize};

/// The story; left out where nothing of one is written down.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Story {
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub start_modes: Vec<u32>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub modes: Vec<StoryMode>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub links: Vec<StoryLink>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub seen: Vec<Observation>,
}

/// A mode.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StoryMode {
    pub id: u32,
    pub name: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub display: String,
}

/// A link; several modes, positions or actions are candidates.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StoryLink {
    pub id: u32,
    pub from_modes: Vec<u32>,
    pub on: StoryEvent,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after_ms: Option<u32>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub within_ms: Option<u32>,
    pub to_modes: Vec<u32>,
}

/// What leads on.
#[derive(Serialize, Deserialize)]
pub enum StoryEvent {
    #[serde(rename = "stands")]
    Stands(StandsInOne),
    #[serde(rename = "reads")]
    Reads(ReadsAsOne),
    #[serde(rename = "time passes")]
    TimePasses,
}

/// A control and candidates for its position.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StandsInOne {
    pub control: u32,
    pub reaches: Vec<u8>,
}

/// A pin and candidates for the band it reads as.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadsAsOne {
    pub pin: u32,
    pub actions: Vec<String>,
}

/// What was done, and what the display said.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Observation {
    pub id: u32,
    pub did: Deed,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub display: Option<String>,
}

/// What was done.
#[derive(Serialize, Deserialize)]
pub enum Deed {
    #[serde(rename = "switched on")]
    SwitchedOn,
    #[serde(rename = "stands")]
    Stands(StoryStand),
    #[serde(rename = "tapped")]
    Tapped(StoryStand),
    #[serde(rename = "reads")]
    Reads(ReadsAs),
    #[serde(rename = "waited_ms")]
    Waited(u32),
}

/// A control in a position.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StoryStand {
    pub control: u32,
    pub position: u8,
}

/// A pin that reads as a band.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadsAs {
    pub pin: u32,
    pub action: String,
}
