//! JSON (RFC 8259) as a tree that loses nothing: fields keep their order and numbers their spelling, so that what is read
//! and written again is the same text, also where this version does not know what it means.
//!
//! [`parse`] is strict and says where it stopped. [`salvage`] goes on behind a damaged place: in the text that
//! [`Json::document`] writes, every field of the outermost object and every item of its lists stands on a line of its own,
//! so damage costs one line.

use crate::decimal;
use crate::plain::Given;
use crate::words::Place;

/// A JSON value.
#[derive(Clone, Debug, PartialEq)]
pub enum Json {
    /// `null`.
    Null,
    /// `true` or `false`.
    Flag(bool),
    /// A number as it is spelled.
    Number(String),
    /// A text.
    Text(String),
    /// `[...]`.
    List(Vec<Json>),
    /// `{...}`. Of fields with one name the first counts.
    Record(Vec<(String, Json)>),
}

/// Spells a number with the fewest digits that give the same number back, as ECMAScript does. The page has the browser's
/// own way at hand, and the module does without std's, which is large.
pub type Spell = fn(f64) -> String;

/// Values in values beyond this are refused: a reader that calls itself has to end before the stack does.
const DEEPEST: usize = 64;

/// Damaged places that [`salvage`] tells; of more there is no use.
const MOST_FAULTS: usize = 8;

/// Why a text is no JSON.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JsonError {
    /// Byte where it stopped.
    pub byte: usize,
    /// 1-based line.
    pub line: u64,
    /// 1-based character of the line.
    pub column: u64,
    /// What may stand there, alternatives separated by blanks.
    pub expected: &'static str,
    /// The first characters of what does; nothing at the end of the text.
    pub found: String,
}

impl JsonError {
    /// Line and column.
    pub fn place(&self) -> Place {
        Place::cell(self.line, self.column)
    }
}

impl Json {
    /// A text.
    pub fn text(text: &str) -> Json {
        Json::Text(text.to_owned())
    }

    /// A whole number.
    pub fn count(count: usize) -> Json {
        Json::Number(count.to_string())
    }

    /// The field of a record; nothing where there is none.
    pub fn get(&self, name: &str) -> Option<&Json> {
        let Json::Record(fields) = self else { return None };
        fields.iter().find(|(own, _)| own == name).map(|(_, value)| value)
    }

    /// The same, to change.
    pub fn get_mut(&mut self, name: &str) -> Option<&mut Json> {
        let Json::Record(fields) = self else { return None };
        fields.iter_mut().find(|(own, _)| own == name).map(|(_, value)| value)
    }

    /// Sets a field of a record, in its old place or as the last one. Of anything else nothing changes.
    pub fn set(&mut self, name: &str, value: Json) {
        if let Some(old) = self.get_mut(name) {
            *old = value;
        } else if let Json::Record(fields) = self {
            fields.push((name.to_owned(), value));
        }
    }

    /// Takes a field out of a record.
    pub fn remove(&mut self, name: &str) -> Option<Json> {
        let Json::Record(fields) = self else { return None };
        let at = fields.iter().position(|(own, _)| own == name)?;
        Some(fields.remove(at).1)
    }

    /// The text, if it is one.
    pub fn as_text(&self) -> Option<&str> {
        if let Json::Text(text) = self { Some(text) } else { None }
    }

    /// The number, if it is a finite one.
    pub fn as_number(&self) -> Option<f64> {
        let Json::Number(spelled) = self else { return None };
        decimal::parse(spelled.as_bytes()).filter(|number| number.is_finite())
    }

    /// The number, if it is whole, from 0 up.
    pub fn as_count(&self) -> Option<usize> {
        if let Json::Number(spelled) = self { spelled.parse().ok() } else { None }
    }

    /// The items of a list; none of anything else.
    pub fn items(&self) -> &[Json] {
        if let Json::List(items) = self { items } else { &[] }
    }

    /// The fields of a record; none of anything else.
    pub fn fields(&self) -> &[(String, Json)] {
        if let Json::Record(fields) = self { fields } else { &[] }
    }

    /// The same as plain data, from which types are read.
    pub fn given(&self) -> Given {
        match self {
            Json::Null => Given::Null,
            Json::Flag(flag) => Given::Flag(*flag),
            Json::Number(spelled) => Given::Number(decimal::parse(spelled.as_bytes()).unwrap_or(f64::NAN)),
            Json::Text(text) => Given::Text(text.clone()),
            Json::List(items) => Given::List(items.iter().map(Json::given).collect()),
            Json::Record(fields) => {
                Given::Record(fields.iter().map(|(name, value)| (name.clone(), value.given())).collect())
            }
        }
    }

    /// Plain data as a tree.
    pub fn of(given: &Given, spell: Spell) -> Json {
        match given {
            Given::Null => Json::Null,
            Given::Flag(flag) => Json::Flag(*flag),
            Given::Number(number) if number.is_finite() => Json::Number(spell(*number)),
            Given::Number(_) => Json::Null,
            Given::Text(text) => Json::Text(text.clone()),
            Given::List(items) => Json::List(items.iter().map(|item| Json::of(item, spell)).collect()),
            Given::Record(fields) => {
                Json::Record(fields.iter().map(|(name, value)| (name.clone(), Json::of(value, spell))).collect())
            }
        }
    }

    /// Writes it on one line.
    pub fn line(&self) -> String {
        let mut out = String::new();
        self.write(&mut out, 0);
        out
    }

    /// Writes it with each field of the outermost record and each item of its lists on a line of its own.
    pub fn document(&self) -> String {
        let mut out = String::new();
        self.write(&mut out, 2);
        out.push('\n');
        out
    }

    /// `lines`: levels of values whose parts stand on lines of their own.
    fn write(&self, out: &mut String, lines: usize) {
        match self {
            Json::Null => out.push_str("null"),
            Json::Flag(flag) => out.push_str(if *flag { "true" } else { "false" }),
            Json::Number(spelled) => out.push_str(spelled),
            Json::Text(text) => quote(text, &SHORT, out),
            Json::List(items) => {
                enclosed(out, "[]", lines, items.len(), &mut |out, at| items[at].write(out, 0));
            }
            Json::Record(fields) => {
                // The parts of records within the outermost one stay together.
                let lines = if lines == 2 { 2 } else { 0 };
                enclosed(out, "{}", lines, fields.len(), &mut |out, at| {
                    quote(&fields[at].0, &SHORT, out);
                    out.push(':');
                    fields[at].1.write(out, lines / 2);
                });
            }
        }
    }
}

fn enclosed(out: &mut String, ends: &str, lines: usize, parts: usize, part: &mut dyn FnMut(&mut String, usize)) {
    let end_of_line = if lines > 0 && parts > 0 { "\n" } else { "" };
    out.push_str(&ends[..1]);
    for at in 0..parts {
        out.push_str(if at > 0 { "," } else { "" });
        out.push_str(end_of_line);
        part(out, at);
    }
    out.push_str(end_of_line);
    out.push_str(&ends[1..]);
}

/// Short forms of control characters in the texts of documents.
const SHORT: [(char, &str); 2] = [('\n', "\\n"), ('\t', "\\t")];

/// A text in quotes; `short`: control characters that have a form of their own, all others are written by number.
pub(crate) fn quote(text: &str, short: &[(char, &str)], out: &mut String) {
    let form = |c: char| short.iter().find(|(own, _)| *own == c).map(|(_, form)| *form);
    out.push('"');
    for c in text.chars() {
        match (c, form(c)) {
            (_, Some(form)) => out.push_str(form),
            ('"' | '\\', _) => out.extend(['\\', c]),
            ('\0'..'\u{20}', _) => {
                let hex = |nibble: u32| char::from_digit(nibble, 16).unwrap_or('0');
                out.push_str("\\u00");
                out.extend([hex(c as u32 >> 4), hex(c as u32 & 15)]);
            }
            _ => out.push(c),
        }
    }
    out.push('"');
}

/// Reads a text that is one JSON value.
///
/// # Errors
/// [`JsonError`], at the first character that cannot stand where it does.
pub fn parse(text: &str) -> Result<Json, JsonError> {
    let mut reader = Reader { text, at: 0 };
    let value = reader.value(0).and_then(|value| reader.ends().map(|()| value));
    value.map_err(|expected| reader.error(expected))
}

/// Reads what can be read of a JSON object, and where it cannot be.
pub fn salvage(text: &str) -> (Json, Vec<JsonError>) {
    let mut faults = Vec::new();
    let mut fields = Vec::new();
    let mut reader = Reader { text, at: 0 };
    let mut more = true;
    if !reader.take(b'{') {
        faults.push(reader.error("{"));
    }
    while more {
        match reader.field(&mut faults) {
            Ok(field) => {
                more = field.is_some();
                fields.extend(field);
            }
            Err(expected) => more = reader.skip_line(expected, &mut faults),
        }
    }
    (Json::Record(fields), faults)
}

/// What was expected where a value could not be read on.
type Expected = &'static str;

struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl Reader<'_> {
    fn rest(&self) -> &[u8] {
        &self.text.as_bytes()[self.at..]
    }

    fn blanks(&mut self) {
        self.at += self.rest().iter().take_while(|byte| b" \t\r\n".contains(byte)).count();
    }

    /// The next character that is no blank; 0 at the end.
    fn next(&mut self) -> u8 {
        self.blanks();
        self.rest().first().copied().unwrap_or(0)
    }

    fn take(&mut self, mark: u8) -> bool {
        let there = self.next() == mark && !self.rest().is_empty();
        self.at += usize::from(there);
        there
    }

    fn ends(&mut self) -> Result<(), Expected> {
        self.blanks();
        if self.rest().is_empty() { Ok(()) } else { Err("the end") }
    }

    fn value(&mut self, depth: usize) -> Result<Json, Expected> {
        if depth > DEEPEST {
            return Err("at most 64 levels");
        }
        match self.next() {
            b'{' => self.record(depth),
            b'[' => self.list(depth),
            b'"' => self.string().map(Json::Text),
            b'-' | b'0'..=b'9' => self.number(),
            _ => self.word(),
        }
    }

    fn word(&mut self) -> Result<Json, Expected> {
        let words = [("null", Json::Null), ("true", Json::Flag(true)), ("false", Json::Flag(false))];
        let rest = self.rest();
        let found = words.into_iter().find(|(word, _)| rest.starts_with(word.as_bytes()));
        let (word, value) = found.ok_or("{ [ \" 0 null true false")?;
        self.at += word.len();
        Ok(value)
    }

    fn number(&mut self) -> Result<Json, Expected> {
        let length = self.rest().iter().take_while(|byte| b"+-.0123456789eE".contains(byte)).count();
        let spelled = &self.text[self.at..self.at + length];
        if !is_number(spelled.as_bytes()) {
            return Err("0");
        }
        self.at += length;
        Ok(Json::Number(spelled.to_owned()))
    }

    fn list(&mut self, depth: usize) -> Result<Json, Expected> {
        let mut items = Vec::new();
        self.at += 1;
        if self.take(b']') {
            return Ok(Json::List(items));
        }
        loop {
            items.push(self.value(depth + 1)?);
            if self.take(b']') {
                return Ok(Json::List(items));
            }
            if !self.take(b',') {
                return Err(", ]");
            }
        }
    }

    fn record(&mut self, depth: usize) -> Result<Json, Expected> {
        let mut fields = Vec::new();
        self.at += 1;
        if self.take(b'}') {
            return Ok(Json::Record(fields));
        }
        loop {
            let name = self.name()?;
            fields.push((name, self.value(depth + 1)?));
            if self.take(b'}') {
                return Ok(Json::Record(fields));
            }
            if !self.take(b',') {
                return Err(", }");
            }
        }
    }

    fn name(&mut self) -> Result<String, Expected> {
        if self.next() != b'"' {
            return Err("\"");
        }
        let name = self.string()?;
        if self.take(b':') { Ok(name) } else { Err(":") }
    }

    fn string(&mut self) -> Result<String, Expected> {
        self.at += 1;
        let mut out = String::new();
        loop {
            let plain = self.rest().iter().take_while(|byte| !matches!(byte, b'"' | b'\\' | 0..0x20)).count();
            out.push_str(&self.text[self.at..self.at + plain]);
            self.at += plain;
            match self.rest().first() {
                Some(b'"') => {
                    self.at += 1;
                    return Ok(out);
                }
                Some(b'\\') => out.push(self.escaped()?),
                _ => return Err("\""),
            }
        }
    }

    fn escaped(&mut self) -> Result<char, Expected> {
        let letter = self.rest().get(1).copied().unwrap_or(0);
        let plain = match letter {
            b'"' | b'\\' | b'/' => letter,
            b'n' => b'\n',
            b't' => b'\t',
            b'r' => b'\r',
            b'b' => 8,
            b'f' => 12,
            b'u' => return self.unicode(),
            _ => return Err("\\\" \\\\ \\/ \\n \\t \\r \\b \\f \\u"),
        };
        self.at += 2;
        Ok(char::from(plain))
    }

    /// A half of a pair without the other half is no character.
    fn unicode(&mut self) -> Result<char, Expected> {
        let first = self.unit().ok_or("\\u0000")?;
        if !(0xD800..0xDC00).contains(&first) {
            return Ok(char::from_u32(first).unwrap_or(char::REPLACEMENT_CHARACTER));
        }
        let behind = self.at;
        let second = self.unit().filter(|unit| (0xDC00..0xE000).contains(unit));
        if second.is_none() {
            self.at = behind;
        }
        let pair = second.and_then(|second| char::from_u32(0x1_0000 + ((first & 0x3FF) << 10 | second & 0x3FF)));
        Ok(pair.unwrap_or(char::REPLACEMENT_CHARACTER))
    }

    /// `\u` and four hexadecimal digits.
    fn unit(&mut self) -> Option<u32> {
        let digits = self.rest().strip_prefix(b"\\u")?.first_chunk::<4>()?;
        let unit = digits.iter().try_fold(0, |unit, digit| Some(unit << 4 | char::from(*digit).to_digit(16)?));
        self.at += 6;
        unit
    }

    fn error(&self, expected: Expected) -> JsonError {
        let before = &self.text[..self.at];
        let line = before.rfind('\n').map_or(0, |end| end + 1);
        JsonError {
            byte: self.at,
            line: 1 + before.bytes().filter(|byte| *byte == b'\n').count() as u64,
            column: 1 + before[line..].chars().count() as u64,
            expected,
            found: self.text[self.at..].chars().take_while(|c| *c != '\n').take(12).collect(),
        }
    }

    /// The next field of a damaged record; `None` at its end.
    fn field(&mut self, faults: &mut Vec<JsonError>) -> Result<Option<(String, Json)>, Expected> {
        while self.take(b',') {}
        if self.take(b'}') {
            return self.ends().map(|()| None);
        }
        let name = self.name()?;
        let value = if self.next() == b'[' { self.damaged_list(faults) } else { self.value(1)? };
        Ok(Some((name, value)))
    }

    /// The items of a list that can be read. One whose end is lost ends where a field begins.
    fn damaged_list(&mut self, faults: &mut Vec<JsonError>) -> Json {
        let mut items = Vec::new();
        self.at += 1;
        loop {
            while self.take(b',') {}
            let before = self.at;
            if self.take(b']') {
                break;
            }
            if self.next() == b'"' && self.name().is_ok() {
                self.at = before;
                break;
            }
            self.at = before;
            match self.value(2) {
                Ok(value) => items.push(value),
                Err(expected) if self.skip_line(expected, faults) => {}
                Err(_) => break,
            }
        }
        Json::List(items)
    }

    /// Tells the damage and goes on at the next line; is there one?
    fn skip_line(&mut self, expected: Expected, faults: &mut Vec<JsonError>) -> bool {
        let told = faults.last().is_some_and(|last| last.byte == self.at);
        if faults.len() < MOST_FAULTS && !told {
            faults.push(self.error(expected));
        }
        let rest = self.rest();
        self.at += rest.iter().position(|byte| *byte == b'\n').map_or(rest.len(), |end| end + 1);
        !self.rest().is_empty()
    }
}

/// The spelling of the page, natively: the digits are std's, their layout is that of `Number::toString` (ECMA-262, 6.1.6.1.20).
/// What is no finite number is spelled as null.
#[cfg(not(target_arch = "wasm32"))]
pub fn spelled(number: f64) -> String {
    if !number.is_finite() {
        return "null".into();
    }
    let science = format!("{:e}", number.abs());
    let (digits, power) = science.split_once('e').unwrap_or((&science, "0"));
    let digits = digits.replace('.', "");
    let (count, point) = (digits.len() as i32, 1 + power.parse::<i32>().unwrap_or(0));
    let sign = if number < 0.0 { "-" } else { "" };
    let unsigned = match point {
        _ if count <= point && point <= 21 => digits + &"0".repeat((point - count) as usize),
        1..=21 => format!("{}.{}", &digits[..point as usize], &digits[point as usize..]),
        -5..=0 => format!("0.{}{digits}", "0".repeat(-point as usize)),
        _ => {
            let dot = if count > 1 { "." } else { "" };
            format!("{}{dot}{}e{:+}", &digits[..1], &digits[1..], point - 1)
        }
    };
    [sign, &unsigned].concat()
}

/// `number = [ "-" ] ( "0" | digit19 *digit ) [ "." 1*digit ] [ ( "e" | "E" ) [ "+" | "-" ] 1*digit ]`.
fn is_number(spelled: &[u8]) -> bool {
    let digits = |text: &[u8]| text.iter().take_while(|byte| byte.is_ascii_digit()).count();
    let mut rest = spelled.strip_prefix(b"-").unwrap_or(spelled);
    let whole = digits(rest);
    if whole == 0 || whole > 1 && rest[0] == b'0' {
        return false;
    }
    rest = &rest[whole..];
    if let Some(fraction) = rest.strip_prefix(b".") {
        let count = digits(fraction);
        rest = &fraction[count..];
        if count == 0 {
            return false;
        }
    }
    if let [b'e' | b'E', power @ ..] = rest {
        let power = if let [b'+' | b'-', power @ ..] = power { power } else { power };
        return digits(power) == power.len() && !power.is_empty();
    }
    rest.is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn error(text: &str) -> (u64, u64, &'static str, String) {
        let error = parse(text).unwrap_err();
        (error.line, error.column, error.expected, error.found)
    }

    /// Serde's parser is the oracle of what is JSON and what it means.
    #[test]
    fn reads_what_serde_reads() {
        let texts = r#"
            null|true|false|0|-0|12|1.5|-1.5e-3|1E+9|01|1.|.5|-|1e|+1|""|"a\n\"\\\/é\u00e9\ud83d\ude00"|"\x"|"\u12"|[]|[ ]|[1]|
            [1,2]|[1,]|[,1]|[1 2]|{}|{"a":1}|{"a":[{"b":null}]}|{"a"}|{a:1}|{"a":1,}|{"a":1}}|[[[]]]|tru|nul|"a|"a	b"|{"a":1 "b":2}| [ 1 , 2 ] "#;
        for text in texts.split('|') {
            let theirs = serde_json::from_str::<serde_json::Value>(text).ok();
            let ours = parse(text).ok();
            assert_eq!(ours.is_some(), theirs.is_some(), "{text}");
            let again = ours.map(|value| serde_json::from_str::<serde_json::Value>(&value.line()).unwrap());
            assert_eq!(again, theirs, "{text}");
        }
    }

    #[test]
    fn spelling_and_order_stay() {
        let text = r#"{"b":1.50e+3,"a":123456789012345678901234567890,"a":[0.1000,"\u0001é\"\\"],"":{}}"#;
        assert_eq!(parse(text).unwrap().line(), text);
        let lone = parse(r#""\ud83dx\ude00\ud83d\u0041""#).unwrap();
        assert_eq!(lone, Json::text("\u{FFFD}x\u{FFFD}\u{FFFD}A"));
    }

    #[test]
    fn errors_say_where_and_what() {
        let rows = [
            ("{\"a\":1,\n \"b\" 2}", (2, 6, ":", "2}")),
            ("[1,\n\n 2", (3, 3, ", ]", "")),
            ("é}", (1, 1, "{ [ \" 0 null true false", "é}")),
            ("[1e]", (1, 2, "0", "1e]")),
            ("[] x", (1, 4, "the end", "x")),
            ("{\"a\":\"x\ny\"}", (1, 8, "\"", "")),
        ];
        for (text, (line, column, expected, found)) in rows {
            assert_eq!(error(text), (line, column, expected, found.to_owned()), "{text}");
        }
        assert_eq!(error(&"[".repeat(100_000)).2, "at most 64 levels");
    }

    #[test]
    fn a_document_has_a_line_for_every_part() {
        let value = parse(r#"{"a":[{"x":[1,2]},{"y":{}}],"b":{"c":[1,2]},"d":[]}"#).unwrap();
        let text = "{\n\"a\":[\n{\"x\":[1,2]},\n{\"y\":{}}\n],\n\"b\":{\"c\":[1,2]},\n\"d\":[]\n}\n";
        assert_eq!(value.document(), text);
        assert_eq!(salvage(text), (value, vec![]));
    }

    #[test]
    fn damage_costs_a_line() {
        let rows = [
            ("{\n\"a\":[\n{\"x\":1},\n{\"x\"!2},\n{\"x\":3}\n],\n\"b\":4\n}\n", r#"{"a":[{"x":1},{"x":3}],"b":4}"#),
            ("{\n\"a\":{\"x\":!},\n\"b\":4\n}\n", r#"{"b":4}"#),
            ("{\n\"a\":[\n{\"x\":1},\n{\"x\":2", r#"{"a":[{"x":1}]}"#),
            ("{\n\"a\":[\n1,\n!\n,\n\"b\":4\n}\n", r#"{"a":[1],"b":4}"#),
            ("\"a\":1,\n\"b\":4\n}\n", r#"{"a":1,"b":4}"#),
            ("{\n\"a\":1,\n\"b\":4\n", r#"{"a":1,"b":4}"#),
        ];
        for (text, left) in rows {
            let (value, faults) = salvage(text);
            assert_eq!(value.line(), left, "{text}");
            assert_eq!(faults.len(), 1, "{text}: {faults:?}");
        }
        assert_eq!(salvage(&"!\n".repeat(100)).1.len(), MOST_FAULTS);
    }

    /// Expected: what a browser's `String(x)` gives.
    #[test]
    fn numbers_are_spelled_as_in_a_browser() {
        let rows = [
            (0.0, "0"),
            (-0.0, "0"),
            (240.0, "240"),
            (-1.5, "-1.5"),
            (0.1 + 0.2, "0.30000000000000004"),
            (1e-6, "0.000001"),
            (1.25e-7, "1.25e-7"),
            (1e21, "1e+21"),
            (1.5e300, "1.5e+300"),
            (123_456_789_012_345_680_000.0, "123456789012345680000"),
            (5e-324, "5e-324"),
            (f64::NAN, "null"),
        ];
        rows.iter().for_each(|(number, text)| assert_eq!(spelled(*number), *text));
    }

    #[test]
    fn fields_are_got_set_and_removed() {
        let mut value = parse(r#"{"a":1,"b":2.5}"#).unwrap();
        value.set("a", Json::count(7));
        value.set("c", Json::text("x"));
        assert_eq!(value.remove("b").and_then(|b| b.as_number()), Some(2.5));
        assert_eq!(value.line(), r#"{"a":7,"c":"x"}"#);
        assert_eq!((value.get("a").unwrap().as_count(), value.get("z")), (Some(7), None));
        assert_eq!(Json::Number("1e999".into()).as_number(), None);
    }
}
