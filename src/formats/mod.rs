//! Readers of export files: bytes in, a [`Recording`] or a clear error out.
//!
//! Promise of every reader: any bytes are safe. No panic, no endless loop, memory a small multiple of the input. Sizes
//! a file claims are checked against the bytes it has before anything is allocated.

mod recording;

pub use recording::{Axis, Event, Format, GAP, LengthUnit, Point, RateSource, Recording, Track, is_gap};
