//! What a hand and its contacts take while a control is moved.

use crate::model::limits;

/// What a hand and its contacts take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Timing {
    /// How long the second of two controls follows the first, in milliseconds.
    pub skew_ms: f64,
    /// Between what opens and what closes within one control, in milliseconds: a gap where it
    /// breaks before it makes, an overlap where it makes before it breaks.
    pub change_ms: f64,
    /// How long a contact that closes may go on opening and closing, in milliseconds.
    pub bounce_ms: f64,
}

impl Timing {
    /// To begin with: 30 ms from hand to hand and 5 ms from contact to contact (common practice, no
    /// source); 6.2 ms of bounce, the longest of 16 switches measured (J. Ganssle, A Guide to
    /// Debouncing).
    pub const USUAL: Self = Self { skew_ms: 30.0, change_ms: 5.0, bounce_ms: 6.2 };

    /// Whether all three are times that can be reckoned with.
    ///
    /// # Errors
    /// One sentence that names the time that is none.
    pub fn check(&self) -> Result<(), String> {
        for (name, ms) in
            [("skew", self.skew_ms), ("change", self.change_ms), ("bounce", self.bounce_ms)]
        {
            if !limits::DEBOUNCE_MS.holds(ms) {
                let words = limits::DEBOUNCE_MS.words();
                return Err(format!("expected as {name} {words}, found {ms}"));
            }
        }
        Ok(())
    }
}
