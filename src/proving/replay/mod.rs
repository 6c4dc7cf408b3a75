//! A log recorded in the machine, put to the drawing: decoded, held to what the controls give, and
//! looked through for what went wrong.
//!
//! Bytes come in, nothing is written. Whatever a file leaves open (a unit, a mark) is taken and said.

mod away;
mod claims;
mod clock;
mod cut;
mod dips;
mod drift;
mod event;
mod load;
mod log;
mod matching;
mod named;
mod number;
mod order;
mod outline;
mod pyramid;
mod replayed;
mod runs;
mod scaled;
mod summary;
mod unit;
mod words;

pub use claims::{BandIdx, GUARD};
pub use event::{Event, EventKind, Rules};
pub use load::load;
pub use log::{Log, Refused, TextColumn, Why};
pub use matching::{Matching, Role, apply_columns, propose};
pub use outline::{Outline, outline};
pub use pyramid::{Block, Points, Pyramid};
pub use replayed::{Replay, replay};
pub use runs::Run;
pub use scaled::scale_noun;
pub use summary::{BandUse, Summary};
pub use unit::Unit;
pub use words::{band_name, event_words, expected_words, length_words, read_words, said_at};
