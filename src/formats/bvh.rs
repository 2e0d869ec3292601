//! BVH: a skeleton of joint rotations.

use super::{ReadOptions, Recording};
use crate::words::Message;

/// Why a BVH file could not be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum BvhError {
    /// No samples.
    NoRows,
}

impl BvhError {
    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            BvhError::NoRows => Message::new("bvh.no_rows"),
        }
    }
}

/// Do these bytes start like this format?
pub(super) fn looks_like(_bytes: &[u8]) -> bool {
    false
}

/// Reads a BVH file.
pub(super) fn read(_bytes: &[u8], _options: &ReadOptions) -> Result<Recording, BvhError> {
    Err(BvhError::NoRows)
}
