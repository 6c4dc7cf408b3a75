//! Where everything of a ladder stands on the sheet: columns by action, rows by station.

use crate::drawing::{TEXT_MM, part_rect, text_width_mm};
use crate::geometry::{Rect, point};
use crate::model::Project;
use crate::study::starter::{Join, Plan, Wanted};
use crate::units::format_ohm_short;

/// Least distance of neighbouring columns.
const LEAST_PITCH_MM: f64 = 27.5;
/// Height of the pin's row in a chain, and of the bus of resistors side by side.
const CHAIN_Y_MM: f64 = 20.0;
const BUS_Y_MM: f64 = 22.5;
/// From the middle of a contact to the rail below it.
const RAIL_MM: f64 = 10.0;

/// Where things stand.
pub struct Grid {
    /// Middle of the contacts of each action in the order of the rungs, nearest the pin first.
    pub columns: Vec<f64>,
    /// Distance of neighbouring columns.
    pub pitch_mm: f64,
    /// From a column to the line that goes down to the next station, right of the words.
    pub side_mm: f64,
    /// From the last column to the end resistor.
    pub end_mm: f64,
    /// Height at which the pin's wire comes in.
    pub pin_y: f64,
    /// Middle of the contacts of each station.
    pub contacts_y: Vec<f64>,
    /// Box of each station.
    pub frames: Vec<Rect>,
}

impl Grid {
    /// Room for a plan below what is on the sheet.
    pub fn new(project: &Project, wanted: &Wanted, plan: &Plan) -> Self {
        let n_actions = wanted.actions.len();
        let widest = |texts: &mut dyn Iterator<Item = String>| {
            texts.map(|text| text_width_mm(&text, TEXT_MM)).fold(0.0, f64::max)
        };
        let mut labels = wanted.actions.iter().map(|action| format!("S99 {}", action.name));
        let mut values = plan
            .rungs
            .iter()
            .filter_map(|rung| Some(format!("R99 {}", format_ohm_short(rung.resistor_ohm?))));
        let (label_mm, value_mm) = (widest(&mut labels), widest(&mut values) + 4.0);
        // Upright symbols have their words beside them, level ones above.
        let beside_mm = match wanted.join {
            Join::Chain => label_mm,
            Join::SideBySide => label_mm.max(value_mm),
        };
        let on_grid = |mm: f64| (mm / 2.5).ceil() * 2.5;
        let pitch_mm = on_grid((beside_mm + 12.5).max(value_mm + 2.5)).max(LEAST_PITCH_MM);
        let (side_mm, end_mm) = (on_grid(label_mm + 7.0), on_grid(value_mm + 9.0));
        let top = project
            .parts
            .iter()
            .map(|(_, part)| part_rect(part).max.y_mm)
            .chain(project.frames.iter().map(|(_, frame)| frame.rect.max.y_mm))
            .fold(None, |most: Option<f64>, y| Some(most.map_or(y, |most| most.max(y))))
            .map_or(0.0, |y| ((y + 30.0) / 2.5).ceil() * 2.5);
        let first_x = pitch_mm * (n_actions as f64 - 1.0) + end_mm + 20.0;
        let columns: Vec<f64> = (0..n_actions).map(|n| first_x - pitch_mm * n as f64).collect();
        let (pin_y, first_contact) = match wanted.join {
            Join::Chain => (top + CHAIN_Y_MM, top + CHAIN_Y_MM + 17.5),
            Join::SideBySide => (top + BUS_Y_MM, top + BUS_Y_MM + 35.0),
        };
        let last_x = columns.last().copied().unwrap_or(first_x);
        let title_mm = (0..wanted.stations.len())
            .map(|station| text_width_mm(&frame_name(wanted, station), TEXT_MM))
            .fold(0.0, f64::max);
        let left = (last_x - end_mm - 10.0).min(last_x + pitch_mm - title_mm - 15.0);
        let left = (left / 2.5).floor() * 2.5;
        let right = first_x + pitch_mm + 20.0;
        let mut contacts_y = vec![first_contact];
        let mut frames = vec![Rect::spanning(
            point(left, pin_y - 15.0),
            point(right, first_contact + RAIL_MM + 5.0),
        )];
        for station in 1..wanted.stations.len() {
            let above = frames[station - 1].max.y_mm + 15.0;
            let y = above + 22.5;
            contacts_y.push(y);
            frames.push(Rect::spanning(point(left, above), point(right, y + RAIL_MM + 5.0)));
        }
        Self { columns, pitch_mm, side_mm, end_mm, pin_y, contacts_y, frames }
    }

    /// Height of the rail all contacts of a station end on.
    pub fn rail_y(&self, station: usize) -> f64 {
        self.contacts_y[station] + RAIL_MM
    }

    /// Height at which an action's line leaves its column for the next station.
    pub fn node_y(&self, station: usize, join: Join) -> f64 {
        match (station, join) {
            (0, Join::Chain) => self.pin_y + 5.0,
            (0, Join::SideBySide) => self.pin_y + 25.0,
            (_, Join::Chain | Join::SideBySide) => self.contacts_y[station] - 12.5,
        }
    }

    /// Right of all columns: where rails of lower stations come up, and where the return comes down.
    pub fn riser_x(&self) -> f64 {
        self.columns[0] + self.pitch_mm + 10.0
    }

    /// Where the wire from the controller comes down to the first rail.
    pub fn return_x(&self) -> f64 {
        self.columns[0] + self.pitch_mm + 30.0
    }
}

/// Title of a station's box.
pub fn frame_name(wanted: &Wanted, station: usize) -> String {
    let name = &wanted.stations[station];
    if name.is_empty() { "Switches".into() } else { name.clone() }
}
