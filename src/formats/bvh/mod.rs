//! BVH: a skeleton of joint rotations.
//!
//! Grammar (after the Jeff Lander / Biovision description that the University of Wisconsin's graphics course keeps), as
//! read here; keywords in any case, blanks and line ends free in the hierarchy, comment lines (`#`, `//`) skipped:
//!
//! ```text
//! file      = "HIERARCHY" root+ "MOTION" header values
//! root      = "ROOT" name body
//! body      = "{" "OFFSET" x y z ["CHANNELS" n channel*] (joint | end)* "}"
//! joint     = "JOINT" name body
//! end       = "End Site" "{" "OFFSET" x y z "}"
//! channel   = "Xposition" | "Yposition" | "Zposition" | "Xrotation" | "Yrotation" | "Zrotation"
//! header    = "Frames:" n, "Frame Time:" seconds      (a line each)
//! values    = one value per channel and row, joints depth first as written, channels as listed
//! ```
//!
//! Angles are degrees; the length unit is not stated. A joint's rotation is the product of its channel rotations in the
//! order listed (column vectors), and its world transform is `parent · T(offset) · R`. The order is never assumed.

mod calibration;
mod error;
mod kinematics;
mod motion;
mod skeleton;
mod source;

pub use error::BvhError;

use super::decode::{characters, line_feeds};
use super::{Axis, Format, RateSource, ReadOptions, Recording};
use crate::words::{Message, Place};
use motion::Motion;
use skeleton::Skeleton;
use source::Source;

/// Bytes of a file's start that are searched for its first word.
const OPENING: usize = 4096;

/// Is the first word (after blank lines and comments) `HIERARCHY`?
pub(super) fn looks_like(bytes: &[u8]) -> bool {
    let opening = line_feeds(characters(&bytes[..bytes.len().min(OPENING)], &mut Vec::new()));
    Source::new(&opening).word().is_some_and(|word| word.text.eq_ignore_ascii_case("HIERARCHY"))
}

/// Reads a BVH file: one track per joint and per end site, points by forward kinematics in the file's own unit.
///
/// A frame time that can only be milliseconds is read as such, and told. A rate in `options` is used only where the file states no usable frame time.
pub(super) fn read(bytes: &[u8], options: &ReadOptions) -> Result<Recording, BvhError> {
    let mut warnings = Vec::new();
    let text = line_feeds(characters(bytes, &mut warnings));
    let mut source = Source::new(&text);
    let mut skeleton = Skeleton::read(&mut source)?;
    warnings.extend(skeleton.make_names_unique());
    let motion = Motion::read(&mut source, skeleton.channels())?;
    warnings.extend(motion.warnings());
    let clock = Clock::of(&motion, options, &mut warnings)?;
    kinematics::check_size(&skeleton, &motion)?;
    warnings.extend(skeleton.settle_offsets(&motion));
    let mut tracks = kinematics::tracks(&skeleton, &motion);
    let first_row = calibration::leading_rows(&skeleton, &motion, &tracks);
    if first_row > 0 {
        tracks.iter_mut().for_each(|track| drop(track.points.drain(..first_row)));
        warnings.push(Message::new("bvh.calibration_pose").with("rows", first_row));
    }
    Ok(Recording {
        format: Format::Bvh,
        rate_hz: Some(1.0 / clock.step_s),
        rate_source: clock.source,
        first_row,
        clock_s: (first_row..motion.rows()).map(|row| row as f64 * clock.step_s).collect(),
        tracks,
        up: None,
        usual_up: Some(Axis::PlusY),
        events: Vec::new(),
        warnings,
    })
}

/// Seconds per row, and who said so.
struct Clock {
    step_s: f64,
    source: RateSource,
}

impl Clock {
    fn of(motion: &Motion, options: &ReadOptions, warnings: &mut Vec<Message>) -> Result<Clock, BvhError> {
        let usable =
            |step_s: f64| step_s > 0.0 && (1.0 / step_s).is_finite() && (step_s * motion.rows() as f64).is_finite();
        if let Some((stated, number)) = motion.frame_time.and_then(|stated| Some((stated, stated.number()?)))
            && usable(number)
        {
            let step_s = if milliseconds(number) { number / 1000.0 } else { number };
            if milliseconds(number) {
                let message = Message::new("bvh.frame_time_ms").with("found", stated.text);
                warnings.push(message.at(Place::line(stated.line)));
            }
            return Ok(Clock { step_s, source: RateSource::Stated });
        }
        match options.rate_hz.map(|rate| 1.0 / rate).filter(|&s| usable(s)) {
            Some(step_s) => Ok(Clock { step_s, source: RateSource::User }),
            None => Err(BvhError::FrameTime { found: motion.frame_time.as_ref().map(|s| (s.line, s.text.to_owned())) }),
        }
    }
}

/// Nobody records motion at less than 1 Hz; as milliseconds the number gives 10 to 1000 Hz.
fn milliseconds(frame_time: f64) -> bool {
    frame_time > 1.0 && frame_time <= 100.0
}

#[cfg(test)]
mod tests;
