//! What can make a lesson file unreadable as a whole.

use crate::json::JsonError;
use crate::words::Message;

/// Why nothing of a file can be offered.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum LessonError {
    /// It is no lesson: no object with swings.
    NoLesson,
    /// It was one, but is damaged so much that nothing is left.
    Nothing(JsonError),
}

impl LessonError {
    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            LessonError::NoLesson => Message::new("lesson.no_lesson"),
            LessonError::Nothing(error) => Message::new("lesson.nothing")
                .with("expected", error.expected)
                .with("found", error.found.as_str())
                .at(error.place()),
        }
    }
}

impl std::fmt::Display for LessonError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.message().fmt(f)
    }
}

impl std::error::Error for LessonError {}
