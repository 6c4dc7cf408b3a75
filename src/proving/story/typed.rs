//! Times and displays as a hand types them, and as they are shown.

use crate::model::{Story, limits};

/// The word for a display on which nothing is seen.
const DARK: &str = "dark";

/// Reads `500 ms`, `2s`, `0,5 s`.
///
/// # Errors
/// No figure with a unit, or a time that is not counted.
pub fn typed_ms(text: &str) -> Result<u32, String> {
    let lower = text.trim().to_lowercase();
    let (figure, scale) = match (lower.strip_suffix("ms"), lower.strip_suffix('s')) {
        (Some(figure), _) => (figure, 1.0),
        (None, Some(figure)) => (figure, 1_000.0),
        (None, None) => ("", 1.0),
    };
    let ms = figure.trim().replace(',', ".").parse::<f64>().map(|value| (value * scale).round());
    match ms {
        Ok(ms) if ms >= 1.0 && ms <= f64::from(limits::STORY_MS) => Ok(ms as u32),
        Ok(_) | Err(_) => Err(format!(
            "expected a time such as 500 ms or 2 s, up to {} s, found \"{}\"",
            limits::STORY_MS / 1_000,
            text.trim()
        )),
    }
}

/// What a display says, in a sentence or a table: `dark` where it says nothing.
pub fn shown_display(display: &str) -> &str {
    if display.trim().is_empty() { DARK } else { display }
}

/// The word for a dark display in the rows of a story: in brackets where a mode's display says
/// `dark` itself.
pub fn dark_word(story: &Story) -> &'static str {
    let says = |text: &str| text.trim().eq_ignore_ascii_case(DARK);
    if story.modes.iter().any(|(_, mode)| says(&mode.display)) { "(dark)" } else { DARK }
}

/// What the display said in a row, to be typed over; empty where nobody looked.
pub fn display_to_type(story: &Story, display: Option<&str>) -> String {
    match display {
        None => String::new(),
        Some(text) if text.trim().is_empty() => dark_word(story).to_owned(),
        Some(text) => text.to_owned(),
    }
}

/// What was typed as the display of a row: nothing where nobody looked, the word for a dark display
/// where it said nothing.
pub fn typed_display(story: &Story, text: &str) -> Option<String> {
    match text.trim() {
        "" => None,
        text if text.eq_ignore_ascii_case(dark_word(story)) => Some(String::new()),
        text => Some(text.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{ModeId, StoryMode};

    #[test]
    fn times_have_a_unit_and_a_size() {
        let good = [("500 ms", 500), ("2s", 2_000), (" 0,5 S ", 500), ("60 s", 60_000), ("1ms", 1)];
        for (text, ms) in good {
            assert_eq!(typed_ms(text), Ok(ms), "{text}");
        }
        for text in ["", "2", "s", "0 ms", "-1 s", "nan s", "inf s", "long", "1e99 s", "2 min"] {
            let error = typed_ms(text).unwrap_err();
            assert!(error.contains("such as 500 ms or 2 s"), "{text}: {error}");
        }
        let most = limits::STORY_MS;
        assert_eq!(typed_ms(&format!("{most} ms")), Ok(most));
        assert!(typed_ms(&format!("{} ms", most + 1)).is_err());
    }

    #[test]
    fn a_dark_display_is_typed_and_shown_by_its_word() {
        let mut story = Story::default();
        let put = |story: &mut Story, id: u32, display: &str| {
            let mode = StoryMode { name: format!("m{id}"), display: display.into() };
            story.modes.put(ModeId(id), mode);
        };
        put(&mut story, 1, "");
        put(&mut story, 2, "AUTO");
        assert_eq!(typed_display(&story, " Dark "), Some(String::new()));
        assert_eq!(typed_display(&story, " "), None);
        assert_eq!(typed_display(&story, "AUTO "), Some("AUTO".into()));
        // A display that says the word itself is another one than a dark display.
        put(&mut story, 3, "DARK");
        assert_eq!(typed_display(&story, "DARK"), Some("DARK".into()));
        for display in [None, Some(""), Some("DARK"), Some("AUTO")] {
            let shown = display_to_type(&story, display);
            assert_eq!(typed_display(&story, &shown).as_deref(), display, "{shown}");
        }
    }
}
