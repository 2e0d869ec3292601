//! TRC: tab-separated marker table with a fixed header.

use super::Recording;
use crate::words::Message;

/// Why a TRC file could not be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum TrcError {
    /// No samples.
    NoRows,
}

impl TrcError {
    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            TrcError::NoRows => Message::new("trc.no_rows"),
        }
    }
}

/// Do these bytes start like this format?
pub(super) fn looks_like(_bytes: &[u8]) -> bool {
    false
}

/// Reads a TRC file.
pub(super) fn read(_bytes: &[u8]) -> Result<Recording, TrcError> {
    Err(TrcError::NoRows)
}
