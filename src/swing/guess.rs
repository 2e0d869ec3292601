use crate::plain::{self, Kind, Plain};

/// The value of a guess.
#[derive(Clone, Debug, PartialEq)]
pub enum GuessValue {
    /// A number, in the unit that [`Guess::unit`] names.
    Number(f64),
    /// A documented word.
    Text(String),
}

impl Plain for GuessValue {
    fn kind(&self) -> Kind<'_> {
        match self {
            GuessValue::Number(number) => Kind::Number(*number),
            GuessValue::Text(text) => Kind::Text(text),
        }
    }
}

impl From<f64> for GuessValue {
    fn from(value: f64) -> Self {
        GuessValue::Number(value)
    }
}
impl From<&str> for GuessValue {
    fn from(value: &str) -> Self {
        GuessValue::Text(value.to_owned())
    }
}

/// Something the file does not settle by itself: value, source, 1 SD, and how to correct it.
#[derive(Clone, Debug, PartialEq)]
pub struct Guess {
    /// What is guessed, in documented words: "unit", "scale", "up", "hand", "target line", "ball", ...
    pub what: String,
    /// The value taken.
    pub value: GuessValue,
    /// Unit of value and SD, where they are numbers.
    pub unit: Option<&'static str>,
    /// Where it comes from, in documented words; "assumed" where nothing in the file supports it.
    pub source: &'static str,
    /// 1 SD in `unit`, where it has one; for words, `None`.
    pub sd: Option<f64>,
    /// The setting that corrects it: the name of a field of [`crate::settings::Corrections`] and of an option of
    /// `cargo inspect`.
    pub correction: &'static str,
}

plain::record!(Guess { what, value, unit: known, source, sd, correction });

impl Guess {
    /// A guess that is a word.
    pub(super) fn word(what: &str, value: &str, source: &'static str, correction: &'static str) -> Guess {
        Guess { what: what.to_owned(), value: value.into(), unit: None, source, sd: None, correction }
    }

    /// A guess that is a number, with its unit and 1 SD.
    pub(super) fn number(
        what: &str,
        value: f64,
        unit: &'static str,
        sd: f64,
        source: &'static str,
        correction: &'static str,
    ) -> Guess {
        Guess { what: what.to_owned(), value: value.into(), unit: Some(unit), source, sd: Some(sd), correction }
    }
}
