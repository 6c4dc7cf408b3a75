//! The meter: where its two leads are and what it measures. Part of the bench, not of the drawing.

use crate::app::action::Lead;
use crate::model::TerminalRef;

/// What the meter measures.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum MeterMode {
    /// Ohms: supplies off, controller unplugged.
    #[default]
    Ohm,
    /// Volts: supplies on, controller plugged in.
    Volt,
}

/// Leads and mode.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct MeterState {
    /// Where the red lead is.
    pub red: Option<TerminalRef>,
    /// Where the black lead is.
    pub black: Option<TerminalRef>,
    /// What it measures.
    pub mode: MeterMode,
}

impl MeterState {
    /// Where one lead is.
    pub fn lead(&self, lead: Lead) -> Option<TerminalRef> {
        match lead {
            Lead::Red => self.red,
            Lead::Black => self.black,
        }
    }

    /// Puts a lead somewhere or takes it off.
    pub fn put(&mut self, lead: Lead, terminal: Option<TerminalRef>) {
        match lead {
            Lead::Red => self.red = terminal,
            Lead::Black => self.black = terminal,
        }
    }
}
