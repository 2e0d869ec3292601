//! One cell to one number.
//!
//! ```text
//! number   = [sign] digits [mark digits] [exponent]     mark: point or comma, one for the whole table
//! digits   = 1*digit *( group 3digit )                  group: the other mark, a blank, an apostrophe; told when met
//! exponent = ("e" | "E" | "d" | "D") [sign] 1*digit     D: Fortran's double precision
//! gap      = "" | "NaN" | "NA" | "null" | "-" | "?" | "inf" | ...
//! ```

use crate::decimal;
use crate::letters::{is_in, trim};

/// Which character separates whole from decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Decimal {
    /// 1.5
    Point,
    /// 1,5
    Comma,
    /// Both occur; the last mark of a cell decides.
    Either,
}

/// What a cell holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Cell {
    /// A finite number.
    Number(f64),
    /// A finite number written with thousands separators.
    Grouped(f64),
    /// Nothing, or a word for nothing.
    Gap,
    /// Anything else.
    Text,
}

/// Longest number that is not in plain notation; the longest that programs write has 24 characters.
const ODD_NUMBER_BYTES: usize = 48;

/// Words for a missing value, in lower case.
const GAP_WORDS: &str = "- -- --- ? ?? . * na n/a n.a. nan -nan +nan nan() nan(ind) -nan(ind) 1.#qnan 1.#ind -1.#ind 1.#inf \
    -1.#inf inf +inf -inf #n/a #na #num! #div/0! #value! null none nil missing invalid undefined";

/// Reads one cell.
#[inline]
pub(super) fn parse(cell: &[u8], decimal: Decimal) -> Cell {
    let plain = match decimal {
        Decimal::Point => true,
        Decimal::Comma => !cell.iter().any(|byte| matches!(byte, b',' | b'.')),
        Decimal::Either => !cell.contains(&b','),
    };
    if plain && let Some(number) = decimal::parse(cell) {
        return if number.is_finite() { Cell::Number(number) } else { Cell::Gap };
    }
    if decimal == Decimal::Comma
        && let Some(number) = with_comma(cell)
    {
        return if number.is_finite() { Cell::Number(number) } else { Cell::Gap };
    }
    odd(cell, decimal)
}

/// The usual number of a table with decimal commas: one comma, no other marks.
#[inline]
fn with_comma(cell: &[u8]) -> Option<f64> {
    let mut bytes = [0; ODD_NUMBER_BYTES];
    let copy = bytes.get_mut(..cell.len())?;
    copy.copy_from_slice(cell);
    if copy.contains(&b'.') {
        return None;
    }
    *copy.iter_mut().find(|byte| **byte == b',')? = b'.';
    decimal::parse(copy)
}

/// The cell without blanks, no-break blanks and left-over quotes around it.
pub(super) fn trimmed(cell: &[u8]) -> &str {
    trim(std::str::from_utf8(cell).unwrap_or_default(), |c| c.is_whitespace() || matches!(c, '"' | '\u{feff}'))
}

#[inline(never)]
fn odd(cell: &[u8], decimal: Decimal) -> Cell {
    let text = trimmed(cell);
    if text.is_empty() || is_gap_word(text) {
        return Cell::Gap;
    }
    let mark = decimal_mark(text, decimal);
    let mut plain = Plain::default();
    for (at, c) in text.char_indices() {
        if !plain.take(c, mark, &text[at + c.len_utf8()..]) {
            return Cell::Text;
        }
    }
    match plain.number() {
        Some(number) if !number.is_finite() => Cell::Gap,
        Some(number) if plain.groups > 0 => Cell::Grouped(number),
        Some(number) => Cell::Number(number),
        None => Cell::Text,
    }
}

fn is_gap_word(text: &str) -> bool {
    text.len() <= 9 && is_in(GAP_WORDS, &text.to_ascii_lowercase())
}

fn decimal_mark(text: &str, decimal: Decimal) -> char {
    match decimal {
        Decimal::Point => '.',
        Decimal::Comma => ',',
        Decimal::Either => match (text.rfind('.'), text.rfind(',')) {
            (Some(point), Some(comma)) if comma > point => ',',
            (None, Some(_)) if text.matches(',').count() == 1 => ',',
            _ => '.',
        },
    }
}

/// A number rewritten in plain notation, on the stack.
struct Plain {
    bytes: [u8; ODD_NUMBER_BYTES],
    len: usize,
    /// Digits since the start or the last group mark.
    digits: usize,
    groups: usize,
    fraction: bool,
}

impl Default for Plain {
    fn default() -> Self {
        Plain { bytes: [0; ODD_NUMBER_BYTES], len: 0, digits: 0, groups: 0, fraction: false }
    }
}

impl Plain {
    /// Takes the next character; false where it does not belong to a number.
    fn take(&mut self, c: char, mark: char, rest: &str) -> bool {
        match c {
            '0'..='9' => {
                self.digits += 1;
                self.push(c as u8)
            }
            '+' | '-' => self.push(c as u8),
            '\u{2212}' => self.push(b'-'),
            _ if c == mark => {
                self.fraction = true;
                self.push(b'.')
            }
            'e' | 'E' | 'd' | 'D' => {
                self.fraction = true;
                self.digits > 0 && self.push(b'e')
            }
            ',' | '.' | ' ' | '\u{a0}' | '\u{202f}' | '\'' | '\u{2019}' => self.group(rest),
            _ => false,
        }
    }

    /// A thousands separator stands between one to three digits and exactly three.
    fn group(&mut self, rest: &str) -> bool {
        let three = rest.bytes().take_while(u8::is_ascii_digit).count() == 3;
        let fits = three && !self.fraction && (1..=3).contains(&self.digits) && (self.groups == 0 || self.digits == 3);
        self.groups += 1;
        self.digits = 0;
        fits
    }

    fn push(&mut self, byte: u8) -> bool {
        let Some(slot) = self.bytes.get_mut(self.len) else { return false };
        *slot = byte;
        self.len += 1;
        true
    }

    fn number(&self) -> Option<f64> {
        decimal::parse(&self.bytes[..self.len])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ok_plain_numbers() {
        for (text, number) in [
            ("1", 1.0),
            ("-0.25", -0.25),
            ("+3.5", 3.5),
            (".5", 0.5),
            ("5.", 5.0),
            ("1e-3", 0.001),
            ("1.5E+02", 150.0),
            ("1.5D+02", 150.0),
            ("-2d1", -20.0),
            (" 12.5 ", 12.5),
            ("\"7\"", 7.0),
            ("\u{2212}4.5", -4.5),
        ] {
            assert_eq!(parse(text.as_bytes(), Decimal::Point), Cell::Number(number), "{text}");
        }
    }

    #[test]
    fn ok_decimal_commas() {
        for (text, number) in [("1,5", 1.5), ("-0,25", -0.25), ("1,234", 1.234), ("12", 12.0), ("1,5E+02", 150.0)] {
            assert_eq!(parse(text.as_bytes(), Decimal::Comma), Cell::Number(number), "{text}");
            assert_eq!(parse(text.as_bytes(), Decimal::Either), Cell::Number(number), "{text}");
        }
    }

    #[test]
    fn ok_thousands_are_told() {
        assert_eq!(parse(b"1,234.5", Decimal::Point), Cell::Grouped(1234.5));
        assert_eq!(parse(b"-1.234,5", Decimal::Comma), Cell::Grouped(-1234.5));
        assert_eq!(parse(b"1,234,567", Decimal::Point), Cell::Grouped(1_234_567.0));
        assert_eq!(parse("1\u{a0}234,5".as_bytes(), Decimal::Comma), Cell::Grouped(1234.5));
        assert_eq!(parse("1 234.5".as_bytes(), Decimal::Point), Cell::Grouped(1234.5));
        assert_eq!(parse(b"1.234,5", Decimal::Either), Cell::Grouped(1234.5));
    }

    #[test]
    fn ok_gaps() {
        for text in ["", "  ", "NaN", "nan", "NA", "n/a", "#N/A", "null", "-", "--", "?", "inf", "-Inf", "1e999", "."] {
            assert_eq!(parse(text.as_bytes(), Decimal::Point), Cell::Gap, "{text}");
            assert_eq!(parse(text.as_bytes(), Decimal::Comma), Cell::Gap, "{text}");
        }
    }

    #[test]
    fn err_what_is_no_number() {
        for text in ["LWRA", "1,23", "12,34,567", "1.2.3", "1-2", "0x10", "12:30", "1 2", "e5", "--1", "1,2345.0"] {
            assert_eq!(parse(text.as_bytes(), Decimal::Point), Cell::Text, "{text}");
        }
        assert_eq!(parse(b"1.5", Decimal::Comma), Cell::Text);
        assert_eq!(parse(&[b'1'; 400], Decimal::Comma), Cell::Gap);
        assert_eq!(parse(&[0xFF, 0xFE], Decimal::Point), Cell::Gap);
    }
}
