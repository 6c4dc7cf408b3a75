//! Readings in words: figures in any unit, what is missing for it, bands in the unit shown, verdicts.

mod bands;
mod scale;
mod words;

pub use bands::{BandSpan, band_spans};
pub use scale::{
    Figure, SCALES, figure, in_scale, missing, number_text, short_text, symptom_in_scale,
};
pub use words::{
    StateNames, asked_text, capital, decoded_text, margin_text, pin_title, state_text,
    symptom_text, verdict_colour, verdict_sign, verdict_words,
};
