//! The arming story: walked with what is done at the machine, held against what its display said.
//!
//! What is not known is a set of candidates. A walk keeps every story that may still be right, as
//! boxes of candidates that share no story, and splits a box only where an answer hangs on it. So
//! what remains after a row of observations is exact, and nothing is drawn or guessed.
//!
//! How a story runs: time stands still but for waits. When the machine is switched on it is in the
//! start mode, and every position and every reading that stands already counts as just reached. A
//! thing done brings the position first, then every pin it makes read as another band, pins in their
//! order, as drawn and with usual values; a press is taken to last as long as the debounce. Each of
//! them takes the first link that fits, in the order of the links, or none. A link on time alone goes
//! before anything that happens in the same millisecond.

mod cautions;
mod faults;
mod infer;
mod next;
mod player;
mod typed;
mod walk;
mod words;

pub use cautions::{TRY_CAUTION, try_cautions};
pub use faults::{StoryFault, StoryPlace, story_faults};
pub use infer::{Contradiction, FieldLeft, Inference, RowTold, StoryField, infer};
pub use next::NextLook;
pub use player::{Machine, Player};
pub use typed::{dark_word, display_to_type, shown_display, typed_display, typed_ms};
pub use walk::{CASES_MOST, Case, Happening, Stuck, Walk, n_stories};
pub use words::{
    deed_words, display_words, event_words, field_words, link_words, ms_words, stories_words,
};

#[cfg(test)]
mod tests;
