//! The text of a BVH file, read word by word or line by line, with the place of each.

use crate::decimal;
use crate::letters::{trim, trim_start};

/// A place in the text: 1-based line, and column counted in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Spot {
    line: u64,
    column: u64,
}

impl Spot {
    pub(super) fn pair(self) -> (u64, u64) {
        (self.line, self.column)
    }
}

/// A word and its line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Word<'a> {
    pub(super) text: &'a str,
    line: Line<'a>,
}

impl Word<'_> {
    /// Where the word starts. Counts characters, so it is asked for only when something is wrong: a file may be one line.
    pub(super) fn spot(&self) -> Spot {
        self.line.spot(self.text)
    }

    pub(super) fn is(&self, keyword: &str) -> bool {
        self.text.eq_ignore_ascii_case(keyword)
    }
}

/// A line, or what is left of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line<'a> {
    /// What is left of it, blanks trimmed.
    pub(super) text: &'a str,
    whole: &'a str,
    pub(super) number: u64,
}

impl Line<'_> {
    /// The place of a piece of this line, found by its start.
    pub(super) fn spot(&self, piece: &str) -> Spot {
        let before = (piece.as_ptr() as usize).saturating_sub(self.whole.as_ptr() as usize);
        let column = self.whole.get(..before).map_or(0, |text| text.chars().count());
        Spot { line: self.number, column: column as u64 + 1 }
    }
}

/// Cursor over the text.
#[derive(Clone, Debug)]
pub(super) struct Source<'a> {
    rest: &'a str,
    line: Line<'a>,
    /// Part of `line` not yet read.
    left: &'a str,
}

impl<'a> Source<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        Source { rest: text, line: Line { text: "", whole: "", number: 0 }, left: "" }
    }

    /// The next word: a brace, or anything up to a blank or brace.
    pub(super) fn word(&mut self) -> Option<Word<'a>> {
        loop {
            let text = trim_start(self.left, is_blank);
            if text.is_empty() {
                self.next_line()?;
                continue;
            }
            let end = match text.find(|c: char| is_blank(c) || c == '{' || c == '}') {
                Some(0) => 1,
                Some(end) => end,
                None => text.len(),
            };
            let (word, left) = text.split_at(end);
            self.left = left;
            return Some(Word { text: word, line: self.line });
        }
    }

    /// The rest of the line up to a brace, blanks trimmed: a name may hold blanks.
    pub(super) fn name(&mut self) -> &'a str {
        let end = self.left.find(['{', '}']).unwrap_or(self.left.len());
        let (name, left) = self.left.split_at(end);
        self.left = left;
        trim(name, is_blank)
    }

    /// The rest of the current line, else the next line that is not empty.
    pub(super) fn line(&mut self) -> Option<Line<'a>> {
        loop {
            let text = trim(self.left, is_blank);
            self.left = "";
            if !text.is_empty() {
                return Some(Line { text, ..self.line });
            }
            self.next_line()?;
        }
    }

    /// Text not read yet.
    pub(super) fn remaining(&self) -> &'a str {
        self.rest
    }

    /// Where reading stands.
    pub(super) fn spot(&self) -> Spot {
        self.line.spot(self.left)
    }

    fn next_line(&mut self) -> Option<()> {
        if self.rest.is_empty() {
            return None;
        }
        let (text, rest) = self.rest.split_once('\n').unwrap_or((self.rest, ""));
        self.line = Line { text, whole: text, number: self.line.number + 1 };
        self.rest = rest;
        let start = trim_start(text, is_blank);
        let comment = start.starts_with('#') || start.starts_with("//");
        self.left = if comment { &text[text.len()..] } else { text };
        Some(())
    }
}

/// Blanks, and what some systems pad or end files with (NUL, Ctrl-Z).
fn is_blank(c: char) -> bool {
    c.is_whitespace() || c == '\0' || c == '\u{1A}' || c == '\u{FEFF}'
}

/// A number as exporters write it. Their spellings of "not a number" give NaN.
pub(super) fn number(text: &str, decimal_comma: bool) -> Option<f64> {
    if let Some(value) = decimal::parse(text.as_bytes()) {
        return Some(value);
    }
    if decimal_comma && text.matches(',').count() == 1 {
        return decimal::parse(text.replace(',', ".").as_bytes());
    }
    // "-nan(ind)", "1.#QNAN", "-1.#IND", "1.#INF"
    let word = trim_start(text, |c| matches!(c, '-' | '+')).to_ascii_lowercase();
    (word.starts_with("nan") || word.starts_with("1.#")).then_some(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_carry_line_and_column() {
        let mut source = Source::new("# note\nROOT  Hüfte{\r\n\tOFFSET 1");
        let mut words = Vec::new();
        while let Some(word) = source.word() {
            words.push((word.text, word.spot().line, word.spot().column));
        }
        let expected = [("ROOT", 2, 1), ("Hüfte", 2, 7), ("{", 2, 12), ("OFFSET", 3, 2), ("1", 3, 9)];
        assert_eq!(words, expected);
    }

    #[test]
    fn names_and_lines_go_on_where_words_stopped() {
        let mut source = Source::new("JOINT left hand { OFFSET\n\n  1 2 \n");
        assert!(source.word().is_some_and(|word| word.is("joint")));
        assert_eq!(source.name(), "left hand");
        assert_eq!(source.word().map(|word| word.text), Some("{"));
        assert_eq!(source.line().map(|line| (line.text, line.number)), Some(("OFFSET", 1)));
        assert_eq!(source.line().map(|line| (line.text, line.number)), Some(("1 2", 3)));
        assert!(source.line().is_none() && source.word().is_none());
    }

    #[test]
    fn numbers_in_every_spelling() {
        assert_eq!(number("-1.5e2", false), Some(-150.0));
        assert_eq!(number(".0083333", false), Some(0.0083333));
        assert_eq!(number("1,5", true), Some(1.5));
        assert_eq!(number("1,5", false), None);
        assert_eq!(number("1,5,2", true), None);
        for nan in ["nan", "NaN", "-nan(ind)", "1.#QNAN", "-1.#IND"] {
            assert!(number(nan, false).is_some_and(f64::is_nan), "{nan}");
        }
        assert_eq!(number("x1", false), None);
        assert_eq!(number("", false), None);
    }
}
