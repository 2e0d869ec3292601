//! What can make a BVH file unreadable.

use super::source::Spot;
use crate::words::{Message, Place};

/// Why a BVH file could not be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum BvhError {
    /// A word of the hierarchy or motion header is not what the grammar allows there.
    Unexpected {
        /// 1-based line and column (character).
        at: (u64, u64),
        /// Keywords the grammar allows there, separated by `|`.
        expected: &'static str,
        /// What the file has.
        found: String,
    },
    /// The file ends inside the hierarchy or the motion header.
    EndOfFile {
        /// 1-based line and column (character) of the end.
        at: (u64, u64),
        /// Keywords the grammar allows there, separated by `|`.
        expected: &'static str,
    },
    /// A number was needed.
    Number {
        /// 1-based line and column (character).
        at: (u64, u64),
        /// What the file has.
        found: String,
    },
    /// `CHANNELS n` is not followed by n channel names.
    ChannelCount {
        /// 1-based line and column (character).
        at: (u64, u64),
        /// The count as written.
        stated: String,
        /// Channel names that follow.
        found: usize,
    },
    /// The hierarchy has joints but no channels: nothing moves.
    NoChannels,
    /// `Frame Time` is missing, zero, or no number, and no rate was given.
    FrameTime {
        /// Line and text, where there is one.
        found: Option<(u64, String)>,
    },
    /// A line of values that does not fit the number of channels.
    RaggedRow {
        /// 1-based line.
        line: u64,
        /// Channels of the hierarchy.
        expected: usize,
        /// Values on the line.
        found: usize,
    },
    /// No complete row of values.
    NoRows,
    /// Joints times rows is out of proportion to the values in the file.
    TooLarge {
        /// Points asked for.
        points: usize,
        /// Values in the file.
        values: usize,
    },
}

fn cell(at: &(u64, u64)) -> Place {
    Place::cell(at.0, at.1)
}

impl BvhError {
    pub(super) fn unexpected(spot: Spot, expected: &'static str, found: &str) -> Self {
        BvhError::Unexpected { at: spot.pair(), expected, found: found.to_owned() }
    }

    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            BvhError::Unexpected { at, expected, found } => {
                Message::new("bvh.unexpected").with("expected", *expected).with("found", found.as_str()).at(cell(at))
            }
            BvhError::EndOfFile { at, expected } => {
                Message::new("bvh.end_of_file").with("expected", *expected).at(cell(at))
            }
            BvhError::Number { at, found } => Message::new("bvh.number").with("found", found.as_str()).at(cell(at)),
            BvhError::ChannelCount { at, stated, found } => {
                Message::new("bvh.channel_count").with("stated", stated.as_str()).with("found", *found).at(cell(at))
            }
            BvhError::NoChannels => Message::new("bvh.no_channels"),
            BvhError::FrameTime { found: None } => Message::new("bvh.frame_time_missing"),
            BvhError::FrameTime { found: Some((line, text)) } => {
                Message::new("bvh.frame_time").with("found", text.as_str()).at(Place::line(*line))
            }
            BvhError::RaggedRow { line, expected, found } => {
                Message::new("bvh.ragged_row").with("expected", *expected).with("found", *found).at(Place::line(*line))
            }
            BvhError::NoRows => Message::new("bvh.no_rows"),
            BvhError::TooLarge { points, values } => {
                Message::new("bvh.too_large").with("points", *points).with("values", *values)
            }
        }
    }
}
