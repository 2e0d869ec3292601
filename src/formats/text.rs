//! Delimited text: a table with one row per sample.

use super::ReadOptions;
use super::Recording;
use crate::words::Message;

/// Why a delimited text file could not be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum TextError {
    /// No samples.
    NoRows,
}

impl TextError {
    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            TextError::NoRows => Message::new("text.no_rows"),
        }
    }
}

/// Reads a delimited text file.
pub(super) fn read(_bytes: &[u8], _options: &ReadOptions) -> Result<Recording, TextError> {
    Err(TextError::NoRows)
}
