//! From readings at a sense pin to what is wrong: faults, mistakes and dirt in the order of their
//! likelihood, and the next measurement that tells most between them.

mod alike;
mod belief;
mod circuits;
mod inquiry;
mod list;
mod next;
mod report;
mod suspect;
mod weigh;
mod words;

pub use inquiry::{Diagnosis, Inquiry, Judged, Measurement, Next, Ranked, Reading, SURE, Verdict};
pub use report::{
    JudgedRow, NextRow, Report, SuspectRow, between_words, expected_words, likely_word, parting,
};
pub use suspect::{Blame, Suspect};
pub use weigh::Expected;
pub use words::{
    FAINTEST, MODEL, blame_title, measurement_words, parting_words, source_words, verdict_words,
    worth_words,
};
