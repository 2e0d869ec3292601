//! What can make a C3D file unreadable.

use crate::words::{Message, Place};

/// Why a C3D file could not be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum C3dError {
    /// The file is shorter than its header.
    ShortHeader {
        /// Bytes of the file.
        bytes: usize,
    },
    /// The header names a parameter section that is not in the file.
    NoParameters {
        /// Byte where it should start, from the header's first.
        start: usize,
        /// Bytes of the file.
        bytes: usize,
    },
    /// Unknown processor type.
    Processor {
        /// Byte of the processor type, from the header's first.
        byte: usize,
        /// What the file has.
        found: u8,
    },
    /// The file holds no points.
    NoPoints,
    /// Every point of the file is a model output (angle, force, moment, power, scalar).
    OnlyModelOutputs {
        /// Points of the file.
        points: usize,
    },
    /// The scale of the points is zero or no number.
    Scale {
        /// What the file has.
        found: f64,
    },
    /// Neither POINT:RATE nor the header states a rate, and none was given.
    NoRate,
    /// No frame count, neither in the parameters nor in the header.
    NoRows,
    /// The data section holds not one complete frame.
    NoData {
        /// Byte where the data should start, from the header's first.
        start: usize,
        /// Bytes of a frame.
        frame_bytes: usize,
        /// Bytes there.
        found: usize,
    },
    /// Every point is missing in every frame.
    AllMissing {
        /// Markers of the file.
        points: usize,
        /// Frames of the file.
        frames: usize,
    },
}

impl C3dError {
    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match *self {
            C3dError::ShortHeader { bytes } => Message::new("c3d.short_header").with("bytes", bytes),
            C3dError::NoParameters { start, bytes } => {
                Message::new("c3d.no_parameters").with("bytes", bytes).at(Place::byte(start))
            }
            C3dError::Processor { byte, found } => {
                Message::new("c3d.processor").with("found", u64::from(found)).at(Place::byte(byte))
            }
            C3dError::NoPoints => Message::new("c3d.no_points"),
            C3dError::OnlyModelOutputs { points } => Message::new("c3d.only_model_outputs").with("points", points),
            C3dError::Scale { found } => Message::new("c3d.scale").with("found", unusable(found)),
            C3dError::NoRate => Message::new("c3d.no_rate"),
            C3dError::NoRows => Message::new("c3d.no_rows"),
            C3dError::NoData { start, frame_bytes, found } => {
                Message::new("c3d.no_data").with("frame_bytes", frame_bytes).with("found", found).at(Place::byte(start))
            }
            C3dError::AllMissing { points, frames } => {
                Message::new("c3d.all_missing").with("points", points).with("frames", frames)
            }
        }
    }
}

/// How a scale is written that is zero or no number.
fn unusable(scale: f64) -> &'static str {
    match scale {
        0.0 => "0",
        f64::INFINITY => "inf",
        f64::NEG_INFINITY => "-inf",
        _ => "NaN",
    }
}
