//! Messages: a key and its parameters in Rust, a sentence in the catalogue of a language.
//!
//! Nothing in the core writes prose. Warnings and errors are a [`Message`]; `www/text/<language>.json` maps its key to a
//! template such as `"Track {track} has {rows} rows without data."`. A parameter is written `{name}`, or `{name.2}` for
//! a number with two decimals. The page renders templates in JavaScript; natively the English catalogue is built in.

use crate::plain::{self, Kind, Part, Plain};
use crate::table::Table;
use std::fmt;

/// A parameter of a [`Message`].
#[derive(Clone, Debug, PartialEq)]
pub enum Arg {
    /// A whole number: rows, bytes, tracks.
    Count(u64),
    /// A measured number, in the unit the template writes beside it.
    Number(f64),
    /// A name or a piece of the file, quoted as found.
    Text(String),
}

impl Plain for Arg {
    fn kind(&self) -> Kind<'_> {
        match self {
            Arg::Count(count) => Kind::Count(*count),
            Arg::Number(number) => Kind::Number(*number),
            Arg::Text(text) => Kind::Text(text),
        }
    }
}

impl From<u64> for Arg {
    fn from(value: u64) -> Self {
        Arg::Count(value)
    }
}
impl From<usize> for Arg {
    fn from(value: usize) -> Self {
        Arg::Count(value as u64)
    }
}
impl From<f64> for Arg {
    fn from(value: f64) -> Self {
        Arg::Number(value)
    }
}
impl From<&str> for Arg {
    fn from(value: &str) -> Self {
        Arg::Text(shorten(value))
    }
}
impl From<String> for Arg {
    fn from(value: String) -> Self {
        Arg::Text(shorten(&value))
    }
}

/// A hostile file can put megabytes into one name; a message quotes at most this many characters of it.
const QUOTED_CHARS: usize = 60;

fn shorten(text: &str) -> String {
    match text.char_indices().nth(QUOTED_CHARS) {
        Some((cut, _)) => format!("{}…", &text[..cut]),
        None => text.to_owned(),
    }
}

/// Where in a file something was found. Every field that is known is filled.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Place {
    /// Which file, where an error could speak of several ("address").
    pub file: Option<&'static str>,
    /// 1-based line of a text file.
    pub line: Option<u64>,
    /// 1-based column: the field of a table, the character of any other text.
    pub column: Option<u64>,
    /// 0-based byte offset.
    pub byte: Option<u64>,
    /// Track name.
    pub track: Option<String>,
    /// 0-based row (frame) of the recording.
    pub row: Option<u64>,
}

plain::record!(Place { file: known, line: known, column: known, byte: known, track: known, row: known });

impl Place {
    /// A 1-based line of a text file.
    #[inline(never)]
    pub fn line(line: u64) -> Self {
        Place { line: Some(line), ..Place::default() }
    }
    /// A 1-based line and column of a text file.
    #[inline(never)]
    pub fn cell(line: u64, column: u64) -> Self {
        Place { line: Some(line), column: Some(column), ..Place::default() }
    }
    /// A 0-based byte offset.
    #[inline(never)]
    pub fn byte(offset: usize) -> Self {
        Place { byte: Some(offset as u64), ..Place::default() }
    }
    /// A track.
    pub fn track(name: &str) -> Self {
        Place { track: Some(shorten(name)), ..Place::default() }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts = [
            self.file.map(|file| format!("{file} file")),
            self.line.map(|n| format!("line {n}")),
            self.column.map(|n| format!("column {n}")),
            self.byte.map(|n| format!("byte {n}")),
            self.track.as_ref().map(|name| format!("track {name:?}")),
            self.row.map(|n| format!("row {n}")),
        ];
        f.write_str(&parts.into_iter().flatten().collect::<Vec<_>>().join(", "))
    }
}

/// A warning or the text of an error: a catalogue key, its parameters, and the place it speaks of.
#[derive(Clone, Debug, PartialEq)]
pub struct Message {
    /// Catalogue key, `room.what`.
    pub key: &'static str,
    /// Parameters of the template, by name.
    pub args: Table<&'static str, Arg>,
    /// Where in the file, when that is known.
    pub place: Option<Place>,
}

/// `{key, args, place}`, and natively also `text`, the English sentence: the page has the catalogue of its language.
impl Plain for Message {
    fn each(&self, part: Part<'_>) {
        part("key", &self.key);
        part("args", &self.args);
        part("place", &self.place);
        #[cfg(not(target_arch = "wasm32"))]
        part("text", &self.to_string());
    }
}

plain::serializable!(Message);

impl Message {
    /// A message without parameters. Write the key as a literal: a test finds it in the source and in the catalogue.
    #[inline(never)]
    pub fn new(key: &'static str) -> Self {
        Message { key, args: Table::new(), place: None }
    }
    /// Adds a parameter.
    #[must_use]
    pub fn with(mut self, name: &'static str, value: impl Into<Arg>) -> Self {
        self.args.insert(name, value.into());
        self
    }
    /// Adds the place.
    #[must_use]
    #[inline(never)]
    pub fn at(mut self, place: Place) -> Self {
        self.place = Some(place);
        self
    }
    /// The sentence of a template with this message's parameters filled in; `{name, one: row, other: rows}` is what the count
    /// asks for in English. An unknown parameter stays as written.
    pub fn render(&self, template: &str) -> String {
        let mut out = String::with_capacity(template.len() + 32);
        let mut rest = template;
        while let Some(open) = rest.find('{') {
            let Some(close) = rest[open..].find('}') else { break };
            out.push_str(&rest[..open]);
            out.push_str(&self.parameter(&rest[open..=open + close]));
            rest = &rest[open + close + 1..];
        }
        out.push_str(rest);
        out
    }

    fn parameter(&self, braced: &str) -> String {
        let inner = &braced[1..braced.len() - 1];
        if let Some((name, forms)) = inner.split_once(", ") {
            return self.args.get(name).map_or_else(|| braced.to_owned(), |count| form(count, forms).to_owned());
        }
        let (name, digits) = match inner.split_once('.') {
            Some((name, digits)) => (name, digits.parse::<usize>().ok()),
            None => (inner, None),
        };
        match self.args.get(name) {
            Some(Arg::Count(n)) => n.to_string(),
            Some(Arg::Number(x)) => format!("{x:.*}", digits.unwrap_or(2)),
            Some(Arg::Text(text)) => text.clone(),
            None => braced.to_owned(),
        }
    }
}

/// The form that English has for a count: `one` of 1 without decimals, else `other` (Unicode CLDR, plural rules).
fn form<'a>(count: &Arg, forms: &'a str) -> &'a str {
    let category = if matches!(count, Arg::Count(1)) || matches!(count, Arg::Number(x) if *x == 1.0) {
        "one: "
    } else {
        "other: "
    };
    forms.split(", ").find_map(|form| form.strip_prefix(category)).unwrap_or_default()
}

/// The English sentence natively, the bare key in the page (which has the catalogue of its language).
impl fmt::Display for Message {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = &self.place {
            write!(f, "{place}: ")?;
        }
        f.write_str(&self.render(english(self.key)))
    }
}

/// The English template of a key; the key itself where there is none.
#[cfg(not(target_arch = "wasm32"))]
pub fn english(key: &str) -> &str {
    use std::sync::LazyLock;
    type Catalogue = std::collections::BTreeMap<String, String>;
    static ENGLISH: LazyLock<Catalogue> = LazyLock::new(|| {
        let texts = [
            include_str!("../www/text/en.json"),
            include_str!("../www/text/engine.en.json"),
            include_str!("inspect.en.json"),
            include_str!("../www/text/coach.en.json"),
            include_str!("../www/text/later.en.json"),
        ];
        texts.into_iter().flat_map(|text| serde_json::from_str::<Catalogue>(text).unwrap_or_default()).collect()
    });
    ENGLISH.get(key).map_or(key, String::as_str)
}

/// The page renders messages itself, so the module does not carry the catalogue.
#[cfg(target_arch = "wasm32")]
pub fn english(key: &str) -> &str {
    key
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parameters_and_decimals_are_filled_in() {
        let message = Message::new("x").with("track", "LWRA").with("rows", 12_u64).with("cm", 3.25);
        assert_eq!(message.render("{track}: {rows} rows, {cm.1} cm, {other}"), "LWRA: 12 rows, 3.2 cm, {other}");
        assert_eq!(message.render("open { brace"), "open { brace");
    }

    #[test]
    fn a_count_has_its_form() {
        let told = |count: u64| {
            let message = Message::new("x").with("rows", count).with("name", "a");
            message.render("{name}: {rows} {rows, one: row is, other: rows are} left, {more, one: x, other: y}")
        };
        assert_eq!(told(1), "a: 1 row is left, {more, one: x, other: y}");
        assert_eq!(told(0), "a: 0 rows are left, {more, one: x, other: y}");
        assert_eq!(told(21), "a: 21 rows are left, {more, one: x, other: y}");
    }

    #[test]
    fn a_huge_name_is_quoted_in_part() {
        let message = Message::new("x").with("track", "é".repeat(1_000_000));
        assert_eq!(message.render("{track}").chars().count(), QUOTED_CHARS + 1);
    }
}
