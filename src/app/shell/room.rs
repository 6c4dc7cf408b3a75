//! How a window of any size is shared out, in points: a window at 200 % text has half the points.

use egui::Vec2;

/// Sizes of the window's regions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Width of the cards beside the stage.
    pub side: f32,
    /// Height of the strip below.
    pub strip: f32,
    /// Width of an open page between stage and cards.
    pub page: f32,
    /// Whether an open page takes the place of the stage.
    pub page_covers_stage: bool,
    /// Whether a page that does without the strip takes its room.
    pub is_low: bool,
    /// Whether a page that does without the cards takes their room.
    pub is_tight: bool,
    /// Whether the top bar has room for the words undo and redo; the menu always has them.
    pub has_undo_words: bool,
    /// Whether it has room for the word that opens the packet; the menu always has it.
    pub has_packet_word: bool,
}

/// Below this width a stage is no use beside a page.
const LEAST_STAGE: f32 = 380.0;

impl Room {
    /// Shares out a window; `wide_page` for a page of more than a list.
    pub fn of(window: Vec2, wide_page: bool) -> Self {
        // From the least window on, the cards and the strip have the size they are made for; only
        // larger text takes some of it.
        let side = (window.x * 0.45).clamp(200.0, 340.0);
        let wanted = if wide_page { 540.0 } else { 380.0 };
        let stage = window.x - side;
        let page_covers_stage = stage - wanted < LEAST_STAGE;
        Self {
            side,
            strip: (window.y * 0.33).clamp(96.0, 196.0),
            page: if page_covers_stage { stage } else { wanted },
            page_covers_stage,
            is_low: window.y < 850.0,
            is_tight: window.x < 1000.0 || window.y < 600.0,
            has_undo_words: window.x >= 800.0,
            has_packet_word: window.x >= 700.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::vec2;

    #[test]
    fn every_region_keeps_a_usable_size() {
        // Usual, small, least, and the first and the least at 200 % text.
        for window in
            [(1440.0, 900.0), (1000.0, 650.0), (900.0, 600.0), (720.0, 450.0), (450.0, 300.0)]
        {
            for wide_page in [false, true] {
                let room = Room::of(window.into(), wide_page);
                assert!(window.0 - room.side >= 240.0, "{window:?} {room:?}");
                assert!(window.1 - room.strip >= 190.0, "{window:?} {room:?}");
                assert!(room.page <= window.0 - room.side, "{window:?} {room:?}");
            }
        }
    }

    #[test]
    fn a_list_stands_beside_the_stage_in_the_usual_window() {
        let room = Room::of(vec2(1440.0, 900.0), false);
        assert_eq!((room.side, room.strip, room.page), (340.0, 196.0, 380.0));
        assert!(!room.page_covers_stage);
        assert!(Room::of(vec2(900.0, 600.0), false).page_covers_stage);
    }

    #[test]
    fn cards_and_strip_are_full_size_from_the_least_window_on() {
        for window in [vec2(900.0, 600.0), vec2(1000.0, 650.0), vec2(1440.0, 900.0)] {
            let room = Room::of(window, false);
            assert_eq!((room.side, room.strip), (340.0, 196.0), "{window:?}");
        }
    }
}
