//! What can make a kept recording unreadable.

use crate::json::JsonError;
use crate::words::{Message, Place};

/// Why a recording kept as JSON could not be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum PackedError {
    /// Bytes that are no UTF-8.
    Letters {
        /// The first of them.
        byte: usize,
    },
    /// It is no JSON.
    Json(JsonError),
    /// A field is missing, or cannot be meant.
    Field {
        /// The way to the field, with points between.
        place: String,
        /// What is wrong with it.
        problem: String,
    },
    /// It has no track or no row.
    Nothing,
    /// It claims more points than a text of its size has.
    TooLarge {
        /// Tracks times rows.
        points: usize,
        /// Bytes of the text.
        bytes: usize,
    },
    /// Numbers are coded in a way that this version does not know.
    Coding {
        /// The track, or `clock`.
        track: String,
        /// The word as found.
        found: String,
    },
    /// The numbers of a track, or of the clock, end early or are none.
    Data {
        /// The track, or `clock`.
        track: String,
    },
    /// Times do not rise.
    Clock,
    /// Two tracks have one name.
    Name {
        /// The name.
        name: String,
    },
    /// Names or numbers were changed: the check does not fit them.
    Check {
        /// The check that the text states.
        stated: String,
        /// That of its names and numbers.
        found: String,
    },
}

impl PackedError {
    pub(super) fn field(place: &str, name: &str, problem: &str) -> PackedError {
        let dot = if place.is_empty() { "" } else { "." };
        PackedError::Field { place: [place, dot, name].concat(), problem: problem.to_owned() }
    }

    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            PackedError::Letters { byte } => Message::new("packed.letters").at(Place::byte(*byte)),
            PackedError::Json(error) => Message::new("packed.json")
                .with("expected", error.expected)
                .with("found", error.found.as_str())
                .at(error.place()),
            PackedError::Field { place, problem } => {
                Message::new("packed.field").with("field", place.as_str()).with("problem", problem.as_str())
            }
            PackedError::Nothing => Message::new("packed.nothing"),
            PackedError::TooLarge { points, bytes } => {
                Message::new("packed.too_large").with("points", *points).with("bytes", *bytes)
            }
            PackedError::Coding { track, found } => {
                Message::new("packed.coding").with("found", found.as_str()).at(Place::track(track))
            }
            PackedError::Data { track } => Message::new("packed.data").at(Place::track(track)),
            PackedError::Clock => Message::new("packed.clock"),
            PackedError::Name { name } => Message::new("packed.name").with("name", name.as_str()),
            PackedError::Check { stated, found } => {
                Message::new("packed.check").with("stated", stated.as_str()).with("found", found.as_str())
            }
        }
    }
}
