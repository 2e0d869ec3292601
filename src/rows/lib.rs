//! Rows of plain decimals to numbers, in one pass over the text.
//!
//! A crate of its own, because the page's modules are compiled to be small and this has to be compiled to be fast: a table
//! is nearly all numbers of a few digits. What is not plain here (quotes, words, exponents, thousands) is no error: it is
//! left to whoever asked, who knows every spelling.

/// Powers of ten that an `f64` holds exactly.
const TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
    1e21, 1e22,
];

/// Digits that a `u64` holds, whatever they are.
const MOST_DIGITS: usize = 19;

/// Whole numbers up to here are all exact as `f64`.
const MOST_EXACT: u64 = 1 << 53;

/// Digits, taken from the front of a text.
struct Digits<'a> {
    value: u64,
    rest: &'a [u8],
}

impl<'a> Digits<'a> {
    #[inline(always)]
    fn take(mut value: u64, mut rest: &'a [u8]) -> Digits<'a> {
        while let [byte, tail @ ..] = rest {
            let digit = byte.wrapping_sub(b'0');
            if digit > 9 {
                break;
            }
            value = value.wrapping_mul(10).wrapping_add(u64::from(digit));
            rest = tail;
        }
        Digits { value, rest }
    }
}

/// The number that a text begins with, and what comes behind it: `[sign] digits [mark digits]` with at least one digit.
/// It is the nearest `f64`: few digits make an exact whole number, and one division of exact numbers rounds once (IEEE 754;
/// W. D. Clinger, "How to read floating point numbers accurately", 1990, section 4). `None`: it begins otherwise, or has
/// too many digits for that.
#[inline(always)]
fn leading(text: &[u8], mark: u8) -> Option<(f64, &[u8])> {
    let (negative, unsigned) = match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        _ => (false, text),
    };
    let whole = Digits::take(0, unsigned);
    let mut digits = unsigned.len() - whole.rest.len();
    let mut decimals = 0;
    let mut all = whole;
    if let [first, fraction @ ..] = all.rest
        && *first == mark
    {
        all = Digits::take(all.value, fraction);
        decimals = fraction.len() - all.rest.len();
        digits += decimals;
    }
    if digits == 0 || digits > MOST_DIGITS || all.value > MOST_EXACT {
        return None;
    }
    // Signed: WebAssembly's engines turn that into one instruction.
    let size = all.value as i64 as f64 / TENS.get(decimals)?;
    Some((if negative { -size } else { size }, all.rest))
}

/// The number that a whole text is, where it is plain: `[sign] digits ["." digits]`, few digits. To the bit what `str::parse` gives.
pub fn plain(text: &[u8]) -> Option<f64> {
    leading(text, b'.').filter(|(_, rest)| rest.is_empty()).map(|(number, _)| number)
}

/// How the rows of a table are written.
#[derive(Clone, Copy)]
pub struct Layout<'a> {
    /// Separates cells.
    pub delimiter: u8,
    /// Separates whole from decimals.
    pub mark: u8,
    /// Columns whose cells are numbers or empty; cells of the others are passed over. A row has as many cells.
    pub wanted: &'a [bool],
    /// Reads what is not plain.
    pub other: fn(&[u8]) -> Option<f64>,
}

impl Layout<'_> {
    /// Reads one row from the front of a text into `row`, a number for every column; not a number: empty, or not wanted. Gives
    /// the bytes taken, with the line's end. `None`: the row is not of this layout, or holds no number at all; `row` means
    /// nothing then.
    pub fn read(&self, text: &[u8], row: &mut [f64]) -> Option<usize> {
        let (last, filled) = (self.wanted.len().checked_sub(1)?, row.get_mut(..self.wanted.len())?);
        let mut rest = text;
        let mut numbers = 0;
        for (column, (wanted, slot)) in self.wanted.iter().zip(filled).enumerate() {
            let (number, after) = if *wanted { self.cell(rest)? } else { (f64::NAN, self.behind(rest)) };
            numbers += usize::from(!number.is_nan());
            *slot = number;
            rest = match after {
                [byte, tail @ ..] if *byte == self.delimiter && column < last => tail,
                [b'\n', tail @ ..] if column == last => tail,
                [] if column == last => after,
                _ => return None,
            };
        }
        (numbers > 0).then_some(text.len() - rest.len())
    }

    /// One cell, and what comes behind it.
    #[inline(always)]
    fn cell<'t>(&self, text: &'t [u8]) -> Option<(f64, &'t [u8])> {
        match leading(text, self.mark) {
            Some((number, rest)) if self.ends(rest) => Some((number, rest)),
            _ if self.ends(text) => Some((f64::NAN, text)),
            _ => self.odd(text),
        }
    }

    /// Blanks around the number, an exponent, many digits.
    #[inline(never)]
    fn odd<'t>(&self, text: &'t [u8]) -> Option<(f64, &'t [u8])> {
        let rest = self.behind(text);
        let cell = text[..text.len() - rest.len()].trim_ascii();
        if cell.is_empty() {
            return Some((f64::NAN, rest));
        }
        let number = match leading(cell, self.mark) {
            Some((number, [])) => Some(number),
            _ if self.mark == b'.' => (self.other)(cell),
            _ => None,
        };
        number.filter(|number| number.is_finite()).map(|number| (number, rest))
    }

    #[inline(always)]
    fn ends(&self, rest: &[u8]) -> bool {
        rest.first().is_none_or(|byte| *byte == self.delimiter || *byte == b'\n')
    }

    /// What comes behind a cell; a quote ends it, and what comes behind that is for others to say.
    fn behind<'t>(&self, text: &'t [u8]) -> &'t [u8] {
        let end = text.iter().position(|byte| *byte == self.delimiter || matches!(byte, b'\n' | b'"'));
        &text[end.unwrap_or(text.len())..]
    }
}

/// Adds a point for every row of numbers, from three of its columns.
pub fn points(rows: &[f64], width: usize, columns: [usize; 3], out: &mut Vec<[f64; 3]>) {
    let at = |row: &[f64], column: usize| row.get(column).copied().unwrap_or(f64::NAN);
    out.extend(rows.chunks_exact(width.max(1)).map(|row| columns.map(|column| at(row, column))));
}

/// Adds a number for every row of numbers, from one of its columns.
pub fn numbers(rows: &[f64], width: usize, column: usize, out: &mut Vec<f64>) {
    out.extend(rows.chunks_exact(width.max(1)).map(|row| row.get(column).copied().unwrap_or(f64::NAN)));
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn std(text: &[u8]) -> Option<f64> {
        std::str::from_utf8(text).ok()?.parse().ok()
    }

    /// Std's parser is the oracle.
    #[test]
    fn plain_numbers_are_those_of_std() {
        let mut seed = 7_u64;
        for _ in 0..200_000 {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let (digits, decimals) = ((seed >> 11) >> (seed % 50), (seed >> 5) as usize % 19);
            let digits = format!("{digits:0>width$}", width = decimals + 1);
            let (whole, fraction) = digits.split_at(digits.len() - decimals);
            let text = format!("{}{whole}.{fraction}", ["", "-", "+"][(seed >> 60) as usize % 3]);
            let found = plain(text.as_bytes());
            assert_eq!(found.map(f64::to_bits), found.and(std(text.as_bytes())).map(f64::to_bits), "{text}");
            assert!(found.is_some() || text.len() > 15, "{text}");
        }
        for text in ["-0", "0.0", ".5", "5.", "+7", "9007199254740992", "0.000000000000000001"] {
            assert_eq!(plain(text.as_bytes()).map(f64::to_bits), std(text.as_bytes()).map(f64::to_bits), "{text}");
            assert!(plain(text.as_bytes()).is_some(), "{text}");
        }
        for text in ["", "-", ".", "1e5", "9007199254740993", "18446744073709551617", "1 ", "1,5", "nan", "+-1"] {
            assert_eq!(plain(text.as_bytes()), None, "{text}");
        }
    }

    fn read(text: &str, delimiter: u8, mark: u8, wanted: &[bool]) -> Option<(usize, Vec<Option<f64>>)> {
        let mut row = vec![7.0; wanted.len()];
        let taken = Layout { delimiter, mark, wanted, other: std }.read(text.as_bytes(), &mut row)?;
        Some((taken, row.into_iter().map(|x| Some(x).filter(|x| !x.is_nan())).collect()))
    }

    #[test]
    fn a_row_has_the_cells_of_its_layout() {
        let all = [true; 3];
        let found = |taken, row: [f64; 3]| Some((taken, row.map(Some).to_vec()));
        assert_eq!(read("1,-2.5,3\n4", b',', b'.', &all), found(9, [1.0, -2.5, 3.0]));
        assert_eq!(read("1,-2.5,3", b',', b'.', &all), found(8, [1.0, -2.5, 3.0]));
        assert_eq!(read(" 1 ; 2,5;3\n", b';', b',', &all), found(11, [1.0, 2.5, 3.0]));
        assert_eq!(
            read("1e-3\t0.12345678901234567890\t3", b'\t', b'.', &all),
            found(29, [1e-3, 0.123_456_789_012_345_68, 3.0])
        );
        assert_eq!(read(",2, \n", b',', b'.', &all), Some((5, vec![None, Some(2.0), None])));
        assert_eq!(read("1,ball,3\n", b',', b'.', &[true, false, true]), Some((9, vec![Some(1.0), None, Some(3.0)])));
        for text in
            ["1,2\n", "1,2,3,4\n", "1,2,3,\n", "1,b,3\n", "1,\"2\",3\n", "1,2 3,4\n", "1,nan,3\n", ",,\n", "", "\n"]
        {
            assert_eq!(read(text, b',', b'.', &all), None, "{text}");
        }
        assert_eq!(read("1,\"b,c\",3\n", b',', b'.', &[true, false, true]), None);
        assert_eq!(read("1;2.5;3\n", b';', b',', &all), None);
        assert_eq!(read("1;2e1;3\n", b';', b',', &all), None);
    }

    #[test]
    fn columns_become_points() {
        let rows = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0];
        let (mut found, mut times) = (vec![], vec![]);
        points(&rows, 4, [3, 1, 2], &mut found);
        numbers(&rows, 4, 0, &mut times);
        assert_eq!((found, times), (vec![[4.0, 2.0, 3.0], [8.0, 6.0, 7.0]], vec![1.0, 5.0]));
    }
}
