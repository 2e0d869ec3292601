//! The body-relative frame: size of the file's unit, up, facing, handedness, target line, floor.
//!
//! For a right-hander `[out, target, up]` is a right-handed triple: `out` points from the player over the ball line,
//! `target` to the target, `up` against gravity. A left-hander is mirrored once: the frame is built as (out, away from
//! the target, up), right-handed for them, and the second coordinate negated. The frame is fixed at address; it does
//! not turn with the body.

mod frame;
mod landmarks;
mod scale;
mod sides;
mod size;
mod target;
mod thorax;
mod up;

pub use frame::{BodyFrame, floor};
pub use landmarks::Landmarks;
pub use scale::{ASSUMED_STATURE_M, Scale, guess_scale, stature_in_units};
pub use sides::{Sides, facing, guess_hand, sides};
pub use size::BodySize;
pub use target::{TargetGuess, TargetSource, target_line};
pub use thorax::Thorax;
pub use up::{UpGuess, guess_up};

use nalgebra::Vector3;

/// The part of `v` perpendicular to the unit vector `up`.
pub fn horizontal(v: Vector3<f64>, up: Vector3<f64>) -> Vector3<f64> {
    v - up * v.dot(&up)
}
