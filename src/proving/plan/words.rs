//! Limits and figures of a step in words, as a person with a meter reads them.

use crate::proving::plan::{Limits, Step};
use crate::proving::typed::Quantity;
use crate::units::{format_ohm, trim_zeros};

/// A figure of a step; four figures of ohms are as many as a meter shows, and none shows milliohms.
pub fn figure_words(quantity: Quantity, value: f64) -> String {
    match quantity {
        Quantity::Ohm if value < 0.01 => format!("{} Ω", trim_zeros(&format!("{value:.3}"))),
        Quantity::Ohm => format_ohm(value),
        Quantity::Volt => format!("{value:.3} V"),
        Quantity::Length => format!("{} mm", trim_zeros(&format!("{value:.0}"))),
        Quantity::Sign => String::new(),
    }
}

/// What is most likely read; empty where the step cannot be done.
pub fn usual_words(step: &Step) -> String {
    match step.limits {
        Some(Limits::Figure { usual, .. }) => figure_words(step.quantity, usual),
        Some(Limits::Open { .. }) => "open".into(),
        None => String::new(),
    }
}

/// `1.376 kΩ to 1.434 kΩ`; `over range, or 10.00 MΩ and more`.
pub fn accept_words(quantity: Quantity, limits: &Limits) -> String {
    match *limits {
        Limits::Figure { low, high, .. } => {
            format!("{} to {}", figure_words(quantity, low), figure_words(quantity, high))
        }
        Limits::Open { least_ohm } => {
            format!("over range, or {} and more", format_ohm(least_ohm))
        }
    }
}
