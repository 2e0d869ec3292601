use super::PeakSpeed;
use crate::formats::Point;
use crate::plain;
use crate::signal::Curve;
use crate::swing::{Instant, InstantName, Swing};

/// A place (or difference of places) in the body-relative frame, metres; a coordinate that is not known is null.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place3 {
    /// From the player over the ball line.
    pub out_m: Option<f64>,
    /// Towards the target.
    pub target_m: Option<f64>,
    /// Up.
    pub up_m: Option<f64>,
}

plain::record!(Place3 { out_m, target_m, up_m });

impl From<Point> for Place3 {
    fn from([out, target, up]: Point) -> Self {
        let known = |x: f64| x.is_finite().then_some(x);
        Place3 { out_m: known(out), target_m: known(target), up_m: known(up) }
    }
}

/// One sample of the hand path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathPoint {
    /// Seconds from the first usable sample.
    pub time_s: f64,
    /// 0-based row of the file.
    pub row: usize,
    /// Where the mid-hands are.
    pub place: Place3,
}

plain::record!(PathPoint { time_s, row, place: inline });

/// One instant, and where the hands are at it.
#[derive(Clone, Debug, PartialEq)]
pub struct InstantReport {
    /// Documented name.
    pub name: InstantName,
    /// Seconds from the first usable sample, between rows.
    pub time_s: f64,
    /// Nearest 0-based row of the file.
    pub row: Option<usize>,
    /// How it was found.
    pub source: &'static str,
    /// 1 SD, seconds.
    pub sd_s: f64,
    /// Mid-hands at it.
    pub place: Place3,
    /// Hand speed at it, metres per second.
    pub speed_m_s: Option<f64>,
}

plain::record!(InstantReport { name, time_s, row, source, sd_s, place: inline, speed_m_s });

impl InstantReport {
    pub(super) fn of(instant: &Instant, curve: &Curve) -> InstantReport {
        InstantReport {
            name: instant.name,
            time_s: instant.time_s,
            row: instant.row,
            source: instant.source,
            sd_s: instant.sd_s,
            place: curve.position(instant.time_s).unwrap_or(crate::formats::GAP).into(),
            speed_m_s: curve.speed(instant.time_s),
        }
    }
}

pub(super) fn hand_path(swing: &Swing) -> Vec<PathPoint> {
    let samples = swing.time_s.iter().zip(&swing.row).zip(&swing.hands);
    samples.map(|((time_s, row), point)| PathPoint { time_s: *time_s, row: *row, place: (*point).into() }).collect()
}

/// Greatest hand speed at a sample from the top to the finish.
pub(super) fn peak_speed(swing: &Swing, curve: &Curve) -> Option<PeakSpeed> {
    let from = swing.instant(InstantName::Top)?.time_s;
    let to = swing.instant(InstantName::Finish)?.time_s;
    let at = |(time_s, row): (&f64, &usize)| {
        Some(PeakSpeed { speed_m_s: curve.speed(*time_s)?, time_s: *time_s, row: *row })
    };
    let samples = swing.time_s.iter().zip(&swing.row).filter(|(t, _)| (from..=to).contains(*t));
    samples.filter_map(at).max_by(|a, b| a.speed_m_s.total_cmp(&b.speed_m_s))
}
