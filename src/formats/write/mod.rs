//! Writers of the four formats, by their open descriptions, for demo data and test files; and of the recordings that lessons
//! keep.
//!
//! A [`Recording`] is written as it stands: its axes, its length unit, its clock. A gap is written in
//! the way of the format.

mod bvh;
mod c3d;
mod packed;
#[cfg(test)]
mod tests;
mod text;
mod trc;

pub use bvh::{BvhOptions, Channels, EulerOrder, Joint, JointPose, Skeleton, bvh};
pub use c3d::{C3dOptions, Processor, c3d};
pub use packed::packed;
pub use text::{Encoding, GapText, Header, TextOptions, TimeColumn, text};
pub use trc::trc;

use super::Recording;

/// Frames per second of a recording: stated, else from its clock, else 1.
fn rate_hz(recording: &Recording) -> f64 {
    let by_clock = || {
        let (first, last) = (recording.clock_s.first()?, recording.clock_s.last()?);
        (last > first).then(|| (recording.rows() - 1) as f64 / (last - first))
    };
    recording.rate_hz.or_else(by_clock).unwrap_or(1.0)
}

/// A number with fixed decimals; a zero has no sign, so that rounding noise around zero writes the same everywhere.
fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
        _ => text,
    }
}
