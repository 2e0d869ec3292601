//! Readers of export files: bytes in, a [`Recording`] or a clear error out.
//!
//! Promise of every reader: any bytes are safe. No panic, no endless loop, memory a small multiple of the input. Sizes
//! a file claims are checked against the bytes it has before anything is allocated.

mod bvh;
mod c3d;
mod decode;
#[cfg(test)]
mod hostile;
mod names;
mod packed;
mod recording;
mod text;
mod trc;
pub mod write;

pub use bvh::BvhError;
pub use c3d::C3dError;
pub use packed::PackedError;
pub use recording::{Axis, Event, Format, GAP, LengthUnit, Point, RateSource, Recording, Track, is_gap};
pub use text::{Lookalike, TextError};
pub use trc::TrcError;

use crate::words::Message;
use std::fmt;

/// What the user states about a file before it is read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadOptions {
    /// Sampling rate, Hz, for files that state neither rate nor time.
    pub rate_hz: Option<f64>,
}

/// Why a file could not be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum ReadError {
    /// The file has no bytes.
    Empty,
    /// Recognised as C3D, but not readable.
    C3d(C3dError),
    /// Recognised as BVH, but not readable.
    Bvh(BvhError),
    /// Recognised as TRC, but not readable.
    Trc(TrcError),
    /// Recognised as a recording kept in a lesson, but not readable.
    Packed(PackedError),
    /// Not readable as a text table either.
    Text(TextError),
}

impl ReadError {
    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            ReadError::Empty => Message::new("read.empty"),
            ReadError::C3d(error) => error.message(),
            ReadError::Bvh(error) => error.message(),
            ReadError::Trc(error) => error.message(),
            ReadError::Packed(error) => error.message(),
            ReadError::Text(error) => error.message(),
        }
    }
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.message().fmt(f)
    }
}

impl std::error::Error for ReadError {}

/// Is told the share, from 0 to 1, that is read.
pub type Watch<'a> = &'a dyn Fn(f64);

/// Reads an export file. The format is recognised by content, never by file name.
///
/// # Errors
/// [`ReadError`] with place, what was expected, what was found, and what to do.
pub fn read(bytes: &[u8], options: &ReadOptions) -> Result<Recording, ReadError> {
    read_watched(bytes, options, &|_| {})
}

/// As [`read`]; every megabyte or so of a table `watch` is told which share of it is read.
///
/// # Errors
/// As [`read`].
pub fn read_watched(bytes: &[u8], options: &ReadOptions, watch: Watch<'_>) -> Result<Recording, ReadError> {
    if bytes.is_empty() {
        return Err(ReadError::Empty);
    }
    if c3d::looks_like(bytes) {
        c3d::read(bytes, options).map_err(ReadError::C3d)
    } else if bvh::looks_like(bytes) {
        bvh::read(bytes, options).map_err(ReadError::Bvh)
    } else if trc::looks_like(bytes) {
        trc::read(bytes, options, watch).map_err(ReadError::Trc)
    } else if packed::looks_like(bytes) {
        packed::read(bytes, options).map_err(ReadError::Packed)
    } else {
        text::read(bytes, options, watch).map_err(ReadError::Text)
    }
}
