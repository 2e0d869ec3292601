//! Bytes of a text export as characters, whatever encoding the exporter used.

use crate::words::{Message, Place};
use std::borrow::Cow;

/// Enough of a file to tell UTF-16 from bytes.
const PROBE_BYTES: usize = 4096;

/// The characters of a text file: UTF-8 or UTF-16 (either byte order), with or without byte order mark; bytes that are
/// not UTF-8 are taken as Windows-1252. Never fails; tells what was odd; borrows where nothing has to change.
pub(super) fn characters<'a>(bytes: &'a [u8], warnings: &mut Vec<Message>) -> Cow<'a, str> {
    match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => eight_bit(rest, warnings),
        [0xFF, 0xFE, rest @ ..] => Cow::Owned(utf16(rest, u16::from_le_bytes, warnings)),
        [0xFE, 0xFF, rest @ ..] => Cow::Owned(utf16(rest, u16::from_be_bytes, warnings)),
        _ => match zero_halves(bytes) {
            Some(Halves::High) => Cow::Owned(utf16(bytes, u16::from_le_bytes, warnings)),
            Some(Halves::Low) => Cow::Owned(utf16(bytes, u16::from_be_bytes, warnings)),
            None => eight_bit(bytes, warnings),
        },
    }
}

/// Which byte of each pair is zero in UTF-16 text without a mark.
enum Halves {
    /// The second: little-endian.
    High,
    /// The first: big-endian.
    Low,
}

/// Digits, delimiters and Latin letters have one zero byte in UTF-16, always on the same side.
fn zero_halves(bytes: &[u8]) -> Option<Halves> {
    let (pairs, _) = bytes[..bytes.len().min(PROBE_BYTES)].as_chunks::<2>();
    let first = pairs.iter().filter(|pair| pair[0] == 0 && pair[1] != 0).count();
    let second = pairs.iter().filter(|pair| pair[1] == 0 && pair[0] != 0).count();
    let most = pairs.len() / 2;
    match (first > most, second > most) {
        (false, true) if first == 0 => Some(Halves::High),
        (true, false) if second == 0 => Some(Halves::Low),
        _ => None,
    }
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16, warnings: &mut Vec<Message>) -> String {
    let (pairs, rest) = bytes.as_chunks::<2>();
    let mut broken = rest.len();
    let text = char::decode_utf16(pairs.iter().map(|pair| unit(*pair)))
        .map(|c| {
            c.unwrap_or_else(|_| {
                broken += 1;
                char::REPLACEMENT_CHARACTER
            })
        })
        .collect();
    if broken > 0 {
        warnings.push(Message::new("text.broken_utf16").with("count", broken));
    }
    text
}

fn eight_bit<'a>(bytes: &'a [u8], warnings: &mut Vec<Message>) -> Cow<'a, str> {
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(error) => {
            warnings.push(Message::new("text.code_page").at(Place::byte(error.valid_up_to())));
            Cow::Owned(bytes.iter().map(|&byte| windows_1252(byte)).collect())
        }
    }
}

/// Windows-1252 as the WHATWG Encoding Standard has it: Latin-1 except for 0x80 to 0x9F.
fn windows_1252(byte: u8) -> char {
    const UPPER: [char; 32] = [
        '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}', '\u{90}', '‘',
        '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
    ];
    match byte {
        0x80..=0x9F => UPPER[usize::from(byte - 0x80)],
        _ => char::from(byte),
    }
}

/// CR, CR LF and CR CR LF become LF, so that lines can be counted.
pub(super) fn line_feeds(text: Cow<'_, str>) -> Cow<'_, str> {
    if !text.as_bytes().contains(&b'\r') {
        return text;
    }
    let mut out = String::with_capacity(text.len());
    let mut rest: &str = &text;
    while let Some(at) = rest.find('\r') {
        out.push_str(&rest[..at]);
        out.push('\n');
        rest = &rest[at + 1..];
        rest = rest.strip_prefix("\r\n").or_else(|| rest.strip_prefix('\n')).unwrap_or(rest);
    }
    out.push_str(rest);
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(bytes: &[u8]) -> String {
        line_feeds(characters(bytes, &mut Vec::new())).into_owned()
    }

    fn utf16_bytes(text: &str, bytes: fn(u16) -> [u8; 2]) -> Vec<u8> {
        text.encode_utf16().flat_map(bytes).collect()
    }

    #[test]
    fn every_encoding_gives_the_same_text() {
        let wanted = "Zeit;Höhe\n1;2";
        let written = wanted.replace('\n', "\r\n");
        assert_eq!(text(written.as_bytes()), wanted);
        assert_eq!(text(&[b"\xEF\xBB\xBF", written.as_bytes()].concat()), wanted);
        assert_eq!(text(b"Zeit;H\xF6he\r\n1;2"), wanted);
        for bytes in [u16::to_le_bytes as fn(u16) -> [u8; 2], u16::to_be_bytes] {
            assert_eq!(text(&utf16_bytes(&written, bytes)), wanted);
            assert_eq!(text(&utf16_bytes(&format!("\u{FEFF}{written}"), bytes)), wanted);
        }
        assert!(matches!(characters(b"a\nb", &mut Vec::new()), Cow::Borrowed("a\nb")));
    }

    #[test]
    fn broken_text_is_still_text() {
        assert_eq!(text(b""), "");
        assert_eq!(text(b"\xFF\xFEa\0\x00\xD8"), "a\u{FFFD}");
        assert_eq!(text(b"\xFF\xFEa\0b"), "a");
    }
}
