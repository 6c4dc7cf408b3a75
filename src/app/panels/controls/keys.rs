//! Number keys from the keyboard's events; none while a field takes text.

use egui::{Event, Key, Ui};

use crate::app::panels::controls::hand::{DigitKey, Grip, Way};

/// Key presses and releases of this frame that are meant for the strip.
pub fn digit_keys(ui: &Ui) -> Vec<DigitKey> {
    let is_typing = ui.ctx().text_edit_focused();
    ui.input(|input| {
        input
            .events
            .iter()
            .filter_map(|event| match event {
                Event::Key { key, physical_key, pressed, repeat: false, modifiers } => {
                    // A key that was held before a field took the text must still come up.
                    if *pressed && (is_typing || modifiers.alt) {
                        return None;
                    }
                    Some(DigitKey {
                        digit: digit(*key, *physical_key)?,
                        is_down: *pressed,
                        grip: if modifiers.shift { Grip::Keep } else { Grip::Hold },
                        way: if modifiers.command || modifiers.ctrl {
                            Way::Before
                        } else {
                            Way::Next
                        },
                    })
                }
                _ => None,
            })
            .collect()
    })
}

/// The digit of a key by where it is on the keyboard, so that shift and national layouts do not matter.
fn digit(key: Key, physical: Option<Key>) -> Option<u8> {
    let of = |key: Key| match key {
        Key::Num1 => Some(1),
        Key::Num2 => Some(2),
        Key::Num3 => Some(3),
        Key::Num4 => Some(4),
        Key::Num5 => Some(5),
        Key::Num6 => Some(6),
        Key::Num7 => Some(7),
        Key::Num8 => Some(8),
        Key::Num9 => Some(9),
        _ => None,
    };
    physical.and_then(of).or_else(|| of(key))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_known_by_their_place_or_their_sign() {
        assert_eq!(digit(Key::Exclamationmark, Some(Key::Num1)), Some(1));
        assert_eq!(digit(Key::Num4, None), Some(4));
        assert_eq!(digit(Key::Num0, Some(Key::Num0)), None);
        assert_eq!(digit(Key::A, Some(Key::A)), None);
    }
}
