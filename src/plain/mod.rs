//! Plain data: what leaves the core, and what comes in, as numbers, texts, lists and records.
//!
//! Serde's derive makes code anew for every type and every format, 100 kB of WebAssembly for the report alone. Here a
//! type only tells its parts, and one walk per format writes whatever it is told.

mod given;

pub(crate) use given::readable;
pub use given::{Fields, Given, GivenError, Read};

use crate::table::Table;
use serde::ser::{Serialize, SerializeSeq, SerializeStruct, Serializer};

/// What a value is.
pub enum Kind<'a> {
    /// Nothing. Null in JSON.
    Null,
    /// Yes or no.
    Flag(bool),
    /// A whole number.
    Count(u64),
    /// A number. Null in JSON where it is none.
    Number(f64),
    /// A text.
    Text(&'a str),
    /// Its parts one after the other, without names.
    List,
    /// Its parts by name. An object in JSON.
    Record,
}

/// Takes a part of a list or record; the name of a list's part is empty.
pub type Part<'a> = &'a mut dyn FnMut(&'static str, &dyn Plain);

/// A value that can be told as plain data.
pub trait Plain {
    /// What it is. Default: a record.
    fn kind(&self) -> Kind<'_> {
        Kind::Record
    }

    /// Tells the parts of a list or record, in order. Default: none.
    fn each(&self, _part: Part<'_>) {}
}

/// Tells a value to any of serde's formats.
///
/// # Errors
/// Those of the format.
pub fn serialize<S: Serializer>(value: &dyn Plain, serializer: S) -> Result<S::Ok, S::Error> {
    match value.kind() {
        Kind::Null => serializer.serialize_none(),
        Kind::Flag(flag) => serializer.serialize_bool(flag),
        Kind::Count(count) => serializer.serialize_u64(count),
        Kind::Number(number) => serializer.serialize_f64(number),
        Kind::Text(text) => serializer.serialize_str(text),
        Kind::List => {
            let mut list = serializer.serialize_seq(None)?;
            let mut done = Ok(());
            value.each(&mut |_, part| {
                if done.is_ok() {
                    done = list.serialize_element(&Told(part));
                }
            });
            done.and_then(|()| list.end())
        }
        Kind::Record => {
            // The count is no more than a hint, but zero of them would close the object at once.
            let mut record = serializer.serialize_struct("", 1)?;
            let mut done = Ok(());
            value.each(&mut |name, part| {
                if done.is_ok() {
                    done = record.serialize_field(name, &Told(part));
                }
            });
            done.and_then(|()| record.end())
        }
    }
}

/// A value, for serde.
struct Told<'a>(&'a dyn Plain);

impl Serialize for Told<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serialize(self.0, serializer)
    }
}

/// Serde's trait for types that are [`Plain`].
macro_rules! serializable {
    ($($type:ty),+) => {$(
        impl serde::Serialize for $type {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                $crate::plain::serialize(self, serializer)
            }
        }
    )+};
}

/// A struct as a record of all its fields: `record!(PathPoint { time_s, row, place: inline })`. Of a field that is `inline`
/// the parts stand among the others; one that is `known` is left out where it is nothing, one that is `apart` always.
macro_rules! record {
    ($type:ty { $($field:ident $(: $way:ident)?),+ $(,)? }) => {
        impl $crate::plain::Plain for $type {
            fn each(&self, part: $crate::plain::Part<'_>) {
                let Self { $($field),+ } = self;
                $($crate::plain::field!(part, $field $(, $way)?);)+
            }
        }
        $crate::plain::serializable!($type);
    };
}

/// One field of a [`record`].
macro_rules! field {
    ($part:ident, $field:ident) => {
        $part(stringify!($field), $field)
    };
    ($part:ident, $field:ident, inline) => {
        $crate::plain::Plain::each($field, $part)
    };
    ($part:ident, $field:ident, known) => {
        if $field.is_some() {
            $part(stringify!($field), $field);
        }
    };
    ($part:ident, $field:ident, apart) => {
        let _ = $field;
    };
}

/// An enum as its documented words: `words!(Hand { Right = "right", Left = "left" })`.
macro_rules! words {
    ($type:ident { $($variant:ident = $word:literal),+ $(,)? }) => {
        impl $type {
            /// All, in documented order.
            pub const ALL: &[$type] = &[$($type::$variant),+];

            /// The documented word.
            pub fn name(self) -> &'static str {
                match self { $($type::$variant => $word),+ }
            }
        }
        $crate::plain::named!($type);
    };
}

/// An enum that has its documented words already: all variants in `ALL`, and a method for their words.
macro_rules! named {
    ($type:ident) => {
        $crate::plain::named!($type, name);
    };
    ($type:ident, $name:ident) => {
        impl $crate::plain::Plain for $type {
            fn kind(&self) -> $crate::plain::Kind<'_> {
                $crate::plain::Kind::Text(self.$name())
            }
        }
        impl $crate::plain::Read for $type {
            fn read(given: &$crate::plain::Given) -> Result<Self, $crate::plain::GivenError> {
                given.word(|word| $type::ALL.iter().copied().find(|known| known.$name() == word))
            }
        }
        $crate::plain::serializable!($type);
        $crate::plain::readable!($type);
    };
}

pub(crate) use {field, named, record, serializable, words};

macro_rules! scalar {
    ($($type:ty: $value:ident => $kind:expr;)+) => {$(
        impl Plain for $type {
            fn kind(&self) -> Kind<'_> {
                let $value = self;
                $kind
            }
        }
    )+};
}

scalar! {
    bool: flag => Kind::Flag(*flag);
    u32: count => Kind::Count(u64::from(*count));
    u64: count => Kind::Count(*count);
    usize: count => Kind::Count(*count as u64);
    f64: number => Kind::Number(*number);
    str: text => Kind::Text(text);
    String: text => Kind::Text(text);
}

impl<T: Plain + ?Sized> Plain for &T {
    fn kind(&self) -> Kind<'_> {
        T::kind(self)
    }

    fn each(&self, part: Part<'_>) {
        T::each(self, part);
    }
}

impl<T: Plain> Plain for Option<T> {
    fn kind(&self) -> Kind<'_> {
        self.as_ref().map_or(Kind::Null, T::kind)
    }

    fn each(&self, part: Part<'_>) {
        if let Some(value) = self {
            value.each(part);
        }
    }
}

impl<T: Plain> Plain for Box<T> {
    fn kind(&self) -> Kind<'_> {
        T::kind(self)
    }

    fn each(&self, part: Part<'_>) {
        T::each(self, part);
    }
}

impl<T: Plain> Plain for [T] {
    fn kind(&self) -> Kind<'_> {
        Kind::List
    }

    fn each(&self, part: Part<'_>) {
        self.iter().for_each(|item| part("", item));
    }
}

impl<T: Plain> Plain for Vec<T> {
    fn kind(&self) -> Kind<'_> {
        Kind::List
    }

    fn each(&self, part: Part<'_>) {
        self.as_slice().each(part);
    }
}

impl<T: Plain, const N: usize> Plain for [T; N] {
    fn kind(&self) -> Kind<'_> {
        Kind::List
    }

    fn each(&self, part: Part<'_>) {
        self.as_slice().each(part);
    }
}

impl Plain for (usize, usize) {
    fn kind(&self) -> Kind<'_> {
        Kind::List
    }

    fn each(&self, part: Part<'_>) {
        part("", &self.0);
        part("", &self.1);
    }
}

impl<V: Plain> Plain for Table<&'static str, V> {
    fn each(&self, part: Part<'_>) {
        self.iter().for_each(|(name, value)| part(name, value));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Swing {
        speed_m_s: f64,
        row: Option<usize>,
        marks: Vec<&'static str>,
        span: [f64; 2],
        pairs: Vec<(usize, usize)>,
        words: Table<&'static str, bool>,
    }

    record!(Swing { speed_m_s, row, marks, span, pairs, words });

    #[test]
    fn json_is_what_a_derive_would_write() {
        let swing = Swing {
            speed_m_s: 7.0,
            row: Some(12),
            marks: vec!["top", "a\"b"],
            span: [0.5, f64::NAN],
            pairs: vec![(1, 2)],
            words: Table::from([("left", true)]),
        };
        let expected = r#"{"speed_m_s":7.0,"row":12,"marks":["top","a\"b"],"span":[0.5,null],"pairs":[[1,2]],"words":{"left":true}}"#;
        assert_eq!(serde_json::to_string(&swing).unwrap(), expected);
        let empty = Swing { row: None, marks: vec![], pairs: vec![], words: Table::new(), ..swing };
        let expected = r#"{"speed_m_s":7.0,"row":null,"marks":[],"span":[0.5,null],"pairs":[],"words":{}}"#;
        assert_eq!(serde_json::to_string(&empty).unwrap(), expected);
    }

    /// A format that fails in the middle is asked no more, and its error comes back.
    #[test]
    fn errors_of_the_format_come_back() {
        struct Full(usize);
        impl std::io::Write for Full {
            fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
                self.0 = self.0.checked_sub(bytes.len()).ok_or(std::io::ErrorKind::StorageFull)?;
                Ok(bytes.len())
            }
            fn flush(&mut self) -> std::io::Result<()> {
                Ok(())
            }
        }
        let list = Swing {
            speed_m_s: 7.0,
            row: None,
            marks: vec!["top"; 20],
            span: [0.0; 2],
            pairs: vec![],
            words: Table::new(),
        };
        for room in [0, 1, 5, 30, 60] {
            let error = serde_json::to_writer(Full(room), &list).unwrap_err();
            assert_eq!(error.io_error_kind(), Some(std::io::ErrorKind::StorageFull), "{room}");
        }
    }
}
