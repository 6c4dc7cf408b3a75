//! What a panel may look at during a frame. Nothing in it can be changed.

use std::path::Path;

use crate::app::action::{LayoutItem, Stage};
use crate::app::derived::Derived;
use crate::app::harness_study::HarnessStudy;
use crate::app::meter::MeterState;
use crate::app::packet::PacketStudy;
use crate::app::pictures::Pictures;
use crate::app::prefs::Preferences;
use crate::app::record_pictures::RecordPictures;
use crate::app::studies::Studies;
use crate::app::theme::Palette;
use crate::edit::{History, Selection};
use crate::model::{ControlId, Project, Scale, SensePinId, State};

/// The frame's immutable view of everything.
#[derive(Clone, Copy)]
pub struct View<'a> {
    /// The project.
    pub project: &'a Project,
    /// Its history, for the names of steps.
    pub history: &'a History,
    /// Results, as current as they can be.
    pub derived: &'a Derived,
    /// What-ifs that take their time, as current as they can be.
    pub studies: &'a Studies,
    /// Where the controls stand.
    pub bench: &'a State,
    /// Controls that are latched.
    pub latched: &'a std::collections::BTreeSet<ControlId>,
    /// The meter.
    pub meter: &'a MeterState,
    /// What is selected.
    pub selection: &'a Selection,
    /// What is selected on the layout.
    pub layout: Option<LayoutItem>,
    /// Bundles, currents, drops and fuses.
    pub harness: &'a HarnessStudy,
    /// The packet of sheets.
    pub packet: &'a PacketStudy,
    /// The photo or drawing beneath the layout.
    pub pictures: &'a Pictures,
    /// Photos and files of the set-up record.
    pub record: &'a RecordPictures,
    /// The sense pin in the readout.
    pub pin: Option<SensePinId>,
    /// Unit of the readout and the ruler.
    pub scale: Scale,
    /// The stage shown.
    pub stage: Stage,
    /// Preferences.
    pub preferences: &'a Preferences,
    /// Colours of the theme.
    pub palette: &'a Palette,
    /// File of the project.
    pub file: Option<&'a Path>,
    /// Whether there is unsaved work.
    pub unsaved: bool,
}
