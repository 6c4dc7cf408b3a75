//! Bytes as text and back: base64 with padding (RFC 4648, section 4).

const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Bytes as text.
pub fn encode(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let byte = |at: usize| u32::from(chunk.get(at).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for at in 0..4 {
            if at > chunk.len() {
                out.push('=');
            } else {
                let letter = LETTERS[(bits >> (18 - 6 * at)) as usize & 63];
                out.push(char::from(letter));
            }
        }
    }
    out
}

/// Text as bytes; `None` where it is no base64, padding and unused bits included, so that there is
/// only one text for the same bytes.
pub fn decode(text: &str) -> Option<Vec<u8>> {
    let text = text.as_bytes();
    if !text.len().is_multiple_of(4) {
        return None;
    }
    let n_pads = text.iter().rev().take_while(|letter| **letter == b'=').count();
    if n_pads > 2 {
        return None;
    }
    let body = &text[..text.len() - n_pads];
    let mut out = Vec::with_capacity(text.len() / 4 * 3);
    for chunk in body.chunks(4) {
        let mut bits = 0u32;
        for at in 0..4 {
            bits = bits << 6 | chunk.get(at).map_or(Some(0), |letter| value(*letter))?;
        }
        let n_bytes = chunk.len() * 6 / 8;
        let bytes = bits.to_be_bytes();
        out.extend(&bytes[1..=n_bytes]);
        if bytes[1 + n_bytes..].iter().any(|rest| *rest != 0) {
            return None;
        }
    }
    Some(out)
}

fn value(letter: u8) -> Option<u32> {
    let at = match letter {
        b'A'..=b'Z' => letter - b'A',
        b'a'..=b'z' => letter - b'a' + 26,
        b'0'..=b'9' => letter - b'0' + 52,
        b'+' => 62,
        b'/' => 63,
        _ => return None,
    };
    Some(u32::from(at))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, section 10.
    #[test]
    fn test_vectors_of_the_standard() {
        for (bytes, text) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(encode(bytes.as_bytes()), text);
            assert_eq!(decode(text).as_deref(), Some(bytes.as_bytes()), "{text}");
        }
    }

    #[test]
    fn every_byte_comes_back_and_what_is_no_base64_is_refused() {
        let all: Vec<u8> = (0..=255).collect();
        for n in 0..=256 {
            assert_eq!(decode(&encode(&all[..n])).as_deref(), Some(&all[..n]));
        }
        for wrong in ["Z", "Zg=", "Zg", "Z===", "====", "Zm9v=", "Z g=", "Zg==Zg==", "Zh==", "Zm9="]
        {
            assert_eq!(decode(wrong), None, "{wrong}");
        }
    }
}
