//! From bytes to the text of a table; and what is no text at all.

use super::error::{Lookalike, TextError};
use crate::formats::decode::{characters, line_feeds};
use crate::letters::{holds, is_of, trim_end};
use crate::words::Message;
use std::borrow::Cow;

/// Enough of a file to tell text from anything else.
const PROBE_BYTES: usize = 4096;

/// Text that holds more control characters than this share is no text.
const MOST_CONTROL_SHARE: f64 = 0.02;

/// Decodes a whole file to text with LF line ends, and tells what is odd about its encoding.
///
/// # Errors
/// [`TextError::NotATable`] and [`TextError::Binary`].
pub(in crate::formats) fn decode<'a>(bytes: &'a [u8], warnings: &mut Vec<Message>) -> Result<Cow<'a, str>, TextError> {
    if let Some(kind) = lookalike(bytes) {
        return Err(TextError::NotATable(kind));
    }
    let text = without_padding(characters(bytes, warnings));
    refuse_binary(&text)?;
    if let Some(kind) = markup(&text) {
        return Err(TextError::NotATable(kind));
    }
    Ok(line_feeds(text))
}

/// The beginning of a file as text, for recognising a format; never fails.
pub(in crate::formats) fn beginning(bytes: &[u8]) -> String {
    let probe = &bytes[..bytes.len().min(PROBE_BYTES)];
    line_feeds(characters(probe, &mut Vec::new())).into_owned()
}

/// Cuts off zero bytes (files saved in blocks) and the end-of-file mark of old systems.
fn without_padding(text: Cow<'_, str>) -> Cow<'_, str> {
    let padding = |c: char| matches!(c, '\0' | '\u{1a}' | '\u{feff}');
    match text {
        Cow::Borrowed(text) => Cow::Borrowed(trim_end(text, padding).trim_start_matches('\u{feff}')),
        Cow::Owned(mut text) => {
            text.truncate(trim_end(&text, padding).len());
            Cow::Owned(text)
        }
    }
}

fn refuse_binary(text: &str) -> Result<(), TextError> {
    if let Some(byte) = text.find('\0') {
        return Err(TextError::Binary { byte });
    }
    let is_control = |byte: &u8| *byte < 0x20 && !matches!(*byte, b'\t' | b'\n' | b'\r' | 0x0B | 0x0C | 0x1A);
    let probe = &text.as_bytes()[..text.len().min(PROBE_BYTES)];
    let controls = probe.iter().filter(|byte| is_control(byte)).count();
    if controls as f64 > MOST_CONTROL_SHARE * probe.len() as f64 {
        return Err(TextError::Binary { byte: probe.iter().position(is_control).unwrap_or(0) });
    }
    Ok(())
}

/// File kinds with a fixed beginning (their published signatures).
const SIGNATURES: [(&[u8], Lookalike); 16] = [
    (b"%PDF-", Lookalike::Document),
    (b"{\\rtf", Lookalike::Document),
    (b"\x89PNG", Lookalike::Picture),
    (b"\xFF\xD8\xFF", Lookalike::Picture),
    (b"GIF8", Lookalike::Picture),
    (b"II*\0", Lookalike::Picture),
    (b"\x1A\x45\xDF\xA3", Lookalike::Video),
    (b"RIFF", Lookalike::Video),
    (b"\x1F\x8B", Lookalike::Archive),
    (b"7z\xBC\xAF", Lookalike::Archive),
    (b"Rar!", Lookalike::Archive),
    (b"\xD0\xCF\x11\xE0", Lookalike::Spreadsheet),
    (b"\x89HDF", Lookalike::Container),
    (b"MATLAB 5.0", Lookalike::Container),
    (b"Kaydara FBX", Lookalike::Container),
    (b"glTF", Lookalike::Container),
];

fn lookalike(bytes: &[u8]) -> Option<Lookalike> {
    if bytes.starts_with(b"PK\x03\x04") {
        return Some(zip_kind(bytes));
    }
    if bytes.get(4..8) == Some(b"ftyp") {
        return Some(Lookalike::Video);
    }
    SIGNATURES.iter().find(|(start, _)| bytes.starts_with(start)).map(|(_, kind)| *kind)
}

/// Spreadsheets are ZIP archives whose first members have telling names.
fn zip_kind(bytes: &[u8]) -> Lookalike {
    let probe = &bytes[..bytes.len().min(PROBE_BYTES)];
    if holds(probe, b"[Content_Types].xml") || holds(probe, b"xl/") || holds(probe, b"opendocument.spreadsheet") {
        Lookalike::Spreadsheet
    } else {
        Lookalike::Archive
    }
}

fn markup(text: &str) -> Option<Lookalike> {
    let text = text.trim_start();
    let mut cut = text.len().min(64);
    while !text.is_char_boundary(cut) {
        cut -= 1;
    }
    let start = text[..cut].to_ascii_lowercase();
    if start.starts_with("<!doctype html") || start.starts_with("<html") {
        return Some(Lookalike::WebPage);
    }
    if start.starts_with('<') && start[1..].starts_with(|c: char| c.is_ascii_alphabetic() || is_of("?!", c)) {
        return Some(Lookalike::Xml);
    }
    let inner = start.strip_prefix(['{', '['])?.trim_start();
    let json = inner.starts_with(|c: char| c.is_ascii_digit() || is_of("{[\"}-", c));
    json.then_some(Lookalike::Json)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(bytes: &[u8]) -> String {
        decode(bytes, &mut Vec::new()).map(Cow::into_owned).unwrap_or_else(|error| format!("{error:?}"))
    }

    fn utf16_bytes(text: &str, unit: fn(u16) -> [u8; 2]) -> Vec<u8> {
        text.encode_utf16().flat_map(unit).collect()
    }

    #[test]
    fn ok_encodings() {
        assert_eq!(text(b"a,b\n"), "a,b\n");
        assert_eq!(text(b"\xEF\xBB\xBFa,b\n"), "a,b\n");
        for mark in ["\u{feff}", ""] {
            let wanted = "zeit;größe\n1;2\n";
            assert_eq!(text(&utf16_bytes(&format!("{mark}{wanted}"), u16::to_le_bytes)), wanted);
            assert_eq!(text(&utf16_bytes(&format!("{mark}{wanted}"), u16::to_be_bytes)), wanted);
        }
    }

    #[test]
    fn ok_windows_code_page_with_a_warning() {
        let mut warnings = Vec::new();
        assert_eq!(decode(b"time;gr\xF6\xDFe \x80\n", &mut warnings).unwrap(), "time;größe €\n");
        assert_eq!(
            warnings[0].to_string(),
            "byte 7: The text is not UTF-8. It was read as Windows-1252 (Western European); check letters with accents in track names."
        );
    }

    #[test]
    fn ok_broken_utf16_is_told() {
        let mut warnings = Vec::new();
        assert_eq!(decode(b"\xFF\xFEa\0\x00\xD8b\0x", &mut warnings).unwrap(), "a\u{fffd}b");
        assert_eq!(warnings[0].to_string(), "Broken characters in the UTF-16 text: 2. The file may be cut short.");
    }

    #[test]
    fn ok_line_ends() {
        assert_eq!(text(b"a\r\nb\rc\r\r\nd\ne"), "a\nb\nc\nd\ne");
        assert_eq!(text(b"a\n\0\0\0"), "a\n");
        assert_eq!(text(b"a\r\n\x1A"), "a\n");
    }

    #[test]
    fn err_other_kinds_of_file() {
        let cases: [(&[u8], Lookalike); 12] = [
            (b"PK\x03\x04....xl/workbook.xml", Lookalike::Spreadsheet),
            (b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", Lookalike::Spreadsheet),
            (b"PK\x03\x04....swing.csv", Lookalike::Archive),
            (b"%PDF-1.7", Lookalike::Document),
            (b"\n <!DOCTYPE html><html>", Lookalike::WebPage),
            (b"<?xml version='1.0'?>", Lookalike::Xml),
            (b"{\"time\": [0, 1]}", Lookalike::Json),
            (b"[[0, 1, 2]]", Lookalike::Json),
            (b"\x89PNG\r\n\x1a\n", Lookalike::Picture),
            (b"\0\0\0\x18ftypmp42", Lookalike::Video),
            (b"MATLAB 5.0 MAT-file", Lookalike::Container),
            (b"\x1F\x8B\x08\0", Lookalike::Archive),
        ];
        for (bytes, kind) in cases {
            assert_eq!(decode(bytes, &mut Vec::new()).err(), Some(TextError::NotATable(kind)), "{bytes:?}");
        }
        assert_eq!(text(b"[Header]\nrate=240\n"), "[Header]\nrate=240\n");
    }

    #[test]
    fn err_binary_bytes() {
        assert_eq!(decode(b"abc\0def", &mut Vec::new()).err(), Some(TextError::Binary { byte: 3 }));
        assert_eq!(decode(b"a\x01\x02\x03", &mut Vec::new()).err(), Some(TextError::Binary { byte: 1 }));
    }
}
