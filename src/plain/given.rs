//! What comes in from outside: a tree of plain values, from which types take what they know.

use crate::table::Table;
use serde::de::{Deserialize, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use std::cell::RefCell;
use std::fmt;

/// A value from outside.
#[derive(Clone, Debug, PartialEq)]
pub enum Given {
    /// Nothing.
    Null,
    /// Yes or no.
    Flag(bool),
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
    /// Values in order.
    List(Vec<Given>),
    /// Values by name.
    Record(Vec<(String, Given)>),
}

/// Why a value cannot be meant: the way to it, what was expected, what was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GivenError {
    /// Names of fields from the outermost to the value, with points between.
    pub place: String,
    /// What stands there, and what was expected.
    pub problem: String,
}

impl fmt::Display for GivenError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.place)?;
        f.write_str(if self.place.is_empty() { "" } else { ": " })?;
        f.write_str(&self.problem)
    }
}

impl GivenError {
    /// The same inside a field.
    fn inside(mut self, field: &str) -> Self {
        if !self.place.is_empty() {
            self.place.insert(0, '.');
        }
        self.place.insert_str(0, field);
        self
    }
}

/// A type that can be read from plain values.
pub trait Read: Sized {
    /// Takes the value.
    ///
    /// # Errors
    /// It is another one than expected.
    fn read(given: &Given) -> Result<Self, GivenError>;
}

impl Given {
    /// The error that this is not `expected`.
    pub(crate) fn is_not(&self, expected: &str) -> GivenError {
        let found = match self {
            Given::Null => "nothing",
            Given::Flag(_) => "true or false",
            Given::Number(_) => "a number",
            Given::Text(text) => text,
            Given::List(_) => "a list",
            Given::Record(_) => "an object",
        };
        GivenError { place: String::new(), problem: [expected, " was expected, found: ", found].concat() }
    }

    /// The fields of a record.
    pub fn fields(&self) -> Result<Fields<'_>, GivenError> {
        match self {
            Given::Record(fields) => Ok(Fields { fields, asked: RefCell::default() }),
            _ => Err(self.is_not("an object")),
        }
    }

    /// A documented word.
    pub(crate) fn word<T>(&self, meaning: impl Fn(&str) -> Option<T>) -> Result<T, GivenError> {
        let word = if let Given::Text(word) = self { meaning(word) } else { None };
        word.ok_or_else(|| self.is_not("a documented word"))
    }
}

/// Fields of a record, taken one by one.
pub struct Fields<'a> {
    fields: &'a [(String, Given)],
    asked: RefCell<Vec<&'static str>>,
}

impl<'a> Fields<'a> {
    /// The field as it is; nothing where it is missing.
    pub fn given(&self, name: &'static str) -> &'a Given {
        self.asked.borrow_mut().push(name);
        self.fields.iter().find(|(own, _)| own == name).map_or(&Given::Null, |(_, given)| given)
    }

    /// The field.
    pub fn take<T: Read>(&self, name: &'static str) -> Result<T, GivenError> {
        T::read(self.given(name)).map_err(|error| error.inside(name))
    }

    /// The field, or a default where it is missing.
    pub fn or<T: Read>(&self, name: &'static str, default: T) -> Result<T, GivenError> {
        Ok(self.take::<Option<T>>(name)?.unwrap_or(default))
    }

    /// Was every field taken? One that nobody knows may be a slip of the pen, and then silence would be a guess.
    pub fn all_known(&self) -> Result<(), GivenError> {
        let asked = self.asked.borrow();
        match self.fields.iter().find(|(name, _)| !asked.contains(&name.as_str())) {
            Some((name, _)) => {
                let problem = ["one of these was expected: ", &asked.join(", ")].concat();
                Err(GivenError { place: name.clone(), problem })
            }
            None => Ok(()),
        }
    }
}

impl Read for f64 {
    fn read(given: &Given) -> Result<Self, GivenError> {
        if let Given::Number(number) = given { Ok(*number) } else { Err(given.is_not("a number")) }
    }
}

impl Read for usize {
    fn read(given: &Given) -> Result<Self, GivenError> {
        match given {
            Given::Number(number) if *number >= 0.0 && *number == number.trunc() => Ok(*number as usize),
            _ => Err(given.is_not("a whole number from 0 up")),
        }
    }
}

impl Read for bool {
    fn read(given: &Given) -> Result<Self, GivenError> {
        if let Given::Flag(flag) = given { Ok(*flag) } else { Err(given.is_not("true or false")) }
    }
}

impl Read for String {
    fn read(given: &Given) -> Result<Self, GivenError> {
        if let Given::Text(text) = given { Ok(text.clone()) } else { Err(given.is_not("a text")) }
    }
}

impl<T: Read> Read for Option<T> {
    fn read(given: &Given) -> Result<Self, GivenError> {
        if *given == Given::Null { Ok(None) } else { T::read(given).map(Some) }
    }
}

impl<T: Read> Read for Vec<T> {
    fn read(given: &Given) -> Result<Self, GivenError> {
        match given {
            Given::List(list) => list.iter().map(T::read).collect(),
            _ => Err(given.is_not("a list")),
        }
    }
}

impl Read for [f64; 3] {
    fn read(given: &Given) -> Result<Self, GivenError> {
        Vec::read(given)?.try_into().map_err(|_| given.is_not("a list of three numbers"))
    }
}

impl<K: Read + Ord, V: Read> Read for Table<K, V> {
    fn read(given: &Given) -> Result<Self, GivenError> {
        let Given::Record(fields) = given else { return Err(given.is_not("an object")) };
        let entry = |(name, given): &(String, Given)| {
            let read = || Ok((K::read(&Given::Text(name.clone()))?, V::read(given)?));
            read().map_err(|error: GivenError| error.inside(name))
        };
        fields.iter().map(entry).collect()
    }
}

/// Serde's trait for types that are [`Read`].
macro_rules! readable {
    ($($type:ty),+) => {$(
        impl<'de> serde::Deserialize<'de> for $type {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let given = $crate::plain::Given::deserialize(deserializer)?;
                $crate::plain::Read::read(&given).map_err(serde::de::Error::custom)
            }
        }
    )+};
}

pub(crate) use readable;

impl<'de> Deserialize<'de> for Given {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(Plant)
    }
}

/// Grows the tree.
struct Plant;

impl<'de> Visitor<'de> for Plant {
    type Value = Given;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("plain data")
    }

    fn visit_unit<E: Error>(self) -> Result<Given, E> {
        Ok(Given::Null)
    }

    fn visit_bool<E: Error>(self, flag: bool) -> Result<Given, E> {
        Ok(Given::Flag(flag))
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Given, E> {
        Ok(Given::Number(number as f64))
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<Given, E> {
        Ok(Given::Number(number as f64))
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<Given, E> {
        Ok(Given::Number(number))
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Given, E> {
        Ok(Given::Text(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Given, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Given::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Given, A::Error> {
        let mut fields = Vec::new();
        while let Some(field) = entries.next_entry()? {
            fields.push(field);
        }
        Ok(Given::Record(fields))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, PartialEq)]
    struct Wanted {
        hand: Option<String>,
        rows: usize,
        up: Option<[f64; 3]>,
        tracks: Vec<String>,
        mirror: bool,
    }

    impl Read for Wanted {
        fn read(given: &Given) -> Result<Self, GivenError> {
            let fields = given.fields()?;
            let wanted = Wanted {
                hand: fields.take("hand")?,
                rows: fields.or("rows", 7)?,
                up: fields.take("up")?,
                tracks: fields.or("tracks", vec![])?,
                mirror: fields.or("mirror", false)?,
            };
            fields.all_known()?;
            Ok(wanted)
        }
    }

    readable!(Wanted);

    fn read(json: &str) -> Result<Wanted, String> {
        serde_json::from_str(json).map_err(|error| error.to_string())
    }

    #[test]
    fn takes_what_is_there_and_defaults() {
        let all = r#"{"tracks":["a","b"],"up":[0,0,-1.5],"mirror":true,"rows":3,"hand":"left"}"#;
        let up = Some([0.0, 0.0, -1.5]);
        let tracks = vec!["a".to_owned(), "b".to_owned()];
        assert_eq!(read(all), Ok(Wanted { hand: Some("left".into()), rows: 3, up, tracks, mirror: true }));
        let none = Wanted { hand: None, rows: 7, up: None, tracks: vec![], mirror: false };
        assert_eq!(read(r#"{"hand":null}"#), Ok(none));
    }

    #[test]
    fn tables_are_objects() {
        let given = |json: &str| serde_json::from_str::<Given>(json).unwrap();
        let table = Table::<String, f64>::read(&given(r#"{"b":2,"a":1}"#));
        assert_eq!(table, Ok(Table::from([("a".to_owned(), 1.0), ("b".to_owned(), 2.0)])));
        let error = |json: &str| Table::<String, f64>::read(&given(json)).unwrap_err().to_string();
        assert_eq!(error("[1]"), "an object was expected, found: a list");
        assert_eq!(error(r#"{"a":"x"}"#), "a: a number was expected, found: x");
    }

    #[test]
    fn errors_tell_place_expectation_and_find() {
        let rows = [
            (r#"{"rows":1.5}"#, "rows: a whole number from 0 up was expected, found: a number"),
            (r#"{"rows":-1}"#, "rows: a whole number from 0 up was expected, found: a number"),
            (r#"{"hand":{"a":1}}"#, "hand: a text was expected, found: an object"),
            (r#"{"up":[1,2]}"#, "up: a list of three numbers was expected, found: a list"),
            (r#"{"up":[1,"x",2]}"#, "up: a number was expected, found: x"),
            (r#"{"tracks":true}"#, "tracks: a list was expected, found: true or false"),
            (r#"{"mirror":0}"#, "mirror: true or false was expected, found: a number"),
            (r#"{"hands":"left"}"#, "hands: one of these was expected: hand, rows, up, tracks, mirror"),
            ("3", "an object was expected, found: a number"),
        ];
        rows.iter().for_each(|(json, error)| assert_eq!(read(json).unwrap_err(), *error));
    }
}
