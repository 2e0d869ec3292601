//! C3D: binary points with parameters.

use super::{ReadOptions, Recording};
use crate::words::Message;

/// Why a C3D file could not be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum C3dError {
    /// No samples.
    NoRows,
}

impl C3dError {
    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            C3dError::NoRows => Message::new("c3d.no_rows"),
        }
    }
}

/// Do these bytes start like this format?
pub(super) fn looks_like(_bytes: &[u8]) -> bool {
    false
}

/// Reads a C3D file.
pub(super) fn read(_bytes: &[u8], _options: &ReadOptions) -> Result<Recording, C3dError> {
    Err(C3dError::NoRows)
}
