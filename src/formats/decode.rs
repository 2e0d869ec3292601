//! Bytes of a text export as a string, whatever encoding the exporter used.

use std::borrow::Cow;

/// Decodes a text file: UTF-8 or UTF-16 (either byte order), with or without byte order mark; bytes that are not UTF-8
/// are taken as Latin-1, so that names keep one character per byte. Line ends become `\n` where a file has only `\r`.
/// Never fails; borrows where nothing has to change.
pub(super) fn decode(bytes: &[u8]) -> Cow<'_, str> {
    let text = match bytes {
        [0xFF, 0xFE, rest @ ..] => utf16(rest, u16::from_le_bytes),
        [0xFE, 0xFF, rest @ ..] => utf16(rest, u16::from_be_bytes),
        [0xEF, 0xBB, 0xBF, rest @ ..] => eight_bit(rest),
        // Without a mark: the zero halves of ASCII characters tell the byte order.
        [0, high, 0, ..] if *high != 0 => utf16(bytes, u16::from_be_bytes),
        [low, 0, next, 0, ..] if *low != 0 && *next != 0 => utf16(bytes, u16::from_le_bytes),
        _ => eight_bit(bytes),
    };
    if text.contains('\r') && !text.contains('\n') { Cow::Owned(text.replace('\r', "\n")) } else { text }
}

fn eight_bit(bytes: &[u8]) -> Cow<'_, str> {
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => Cow::Owned(bytes.iter().map(|&byte| char::from(byte)).collect()),
    }
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Cow<'_, str> {
    let units = bytes.chunks_exact(2).map(|pair| unit([pair[0], pair[1]]));
    let decoded = char::decode_utf16(units).map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER));
    // A byte order mark that was written twice is not text.
    Cow::Owned(decoded.skip_while(|&c| c == '\u{FEFF}').collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utf16_bytes(text: &str, bytes: fn(u16) -> [u8; 2]) -> Vec<u8> {
        text.encode_utf16().flat_map(bytes).collect()
    }

    #[test]
    fn every_encoding_gives_the_same_text() {
        let text = "Zeit;Höhe\r\n1;2";
        assert!(matches!(decode(text.as_bytes()), Cow::Borrowed(same) if same == text));
        assert_eq!(decode(&[b"\xEF\xBB\xBF", text.as_bytes()].concat()), text);
        assert_eq!(decode(b"Zeit;H\xF6he\r\n1;2"), text);
        for bytes in [u16::to_le_bytes as fn(u16) -> [u8; 2], u16::to_be_bytes] {
            assert_eq!(decode(&utf16_bytes(text, bytes)), text);
            assert_eq!(decode(&utf16_bytes(&format!("\u{FEFF}{text}"), bytes)), text);
        }
    }

    #[test]
    fn lone_carriage_returns_end_lines() {
        assert_eq!(decode(b"a\rb\r"), "a\nb\n");
        assert_eq!(decode(b"a\r\nb\r\n"), "a\r\nb\r\n");
    }

    #[test]
    fn broken_text_is_still_text() {
        assert_eq!(decode(b""), "");
        assert_eq!(decode(b"\xFF\xFEa\0\x00\xD8"), "a\u{FFFD}");
        assert_eq!(decode(b"\xFF\xFEa\0b"), "a");
    }
}
