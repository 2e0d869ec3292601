//! Instants found again on the tracks of a draw, so that their errors go with the noise that makes them.

use super::course::Course;
use crate::swing::{BodyPoint, InstantName};
use nalgebra::{Matrix4, Vector4};

/// Hands that pass a height more slowly than this pass it at no particular time, m/s.
const SLOWEST_M_S: f64 = 0.05;
/// The top is the lowest point of a parabola through the hand speed over this span, seconds; as in `swing`.
const TOP_SPAN_S: f64 = 0.04;
const TOP_STEP_S: f64 = TOP_SPAN_S / 16.0;
/// Most moves of the parabola.
const TOP_MOVES: usize = 4;

/// How early the parabola of the instant comes, and its 1 SD, seconds (from the forward model): the speed falls more
/// slowly before the top than it rises after it.
const EARLY_S: f64 = 0.004;
const EARLY_SD_S: f64 = 0.004;

/// The top of a swing, to be found again in draws.
pub(super) struct Top {
    parabola: Fit,
    /// The top by the parabola, and how much later the least speed is.
    by_parabola_s: f64,
    early_s: f64,
    /// 1 SD of `early_s`.
    pub(super) early_sd_s: f64,
}

impl Top {
    /// How early the parabola is in this swing is seen by a cubic over twice the span, which follows the lean but also the
    /// noise: the more noise, the more counts what is usual. `shaken`: the swing with its noise once more, again and
    /// again.
    pub(super) fn of(course: &Course, shaken: &[Course]) -> Option<Top> {
        let (t, parabola, cubic) = (course.time(InstantName::Top).ok()?, Fit::of(8, 3)?, Fit::of(16, 4)?);
        let early = |course: &Course| Some(cubic.lowest(course, t)? - parabola.lowest(course, t)?);
        let seen_s = early(course)?;
        let off = shaken.iter().filter_map(early).map(|early_s| (early_s - seen_s).powi(2));
        let variance = off.sum::<f64>() / shaken.len().max(1) as f64;
        let weight = EARLY_SD_S.powi(2) / (EARLY_SD_S.powi(2) + variance);
        Some(Top {
            by_parabola_s: parabola.lowest(course, t)?,
            parabola,
            early_s: EARLY_S + weight * (seen_s - EARLY_S),
            early_sd_s: EARLY_SD_S * (1.0 - weight).sqrt(),
        })
    }

    /// The top of a draw: as far from `t` as the parabola through the draw's hand speed lies from the least speed of the
    /// swing itself, of whose distance from the parabola the draw has a `share`.
    pub(super) fn again(&self, drawn: &Course, t: f64, share: f64) -> Option<f64> {
        Some(t + self.parabola.lowest(drawn, t)? - self.by_parabola_s - share * self.early_s)
    }
}

/// A polynomial through the hand speed around a time.
struct Fit {
    /// Samples on either side.
    half: i32,
    /// What each sample adds to the coefficients.
    weights: Vec<Vector4<f64>>,
}

impl Fit {
    /// Least squares with so many terms over so many samples on either side.
    fn of(half: i32, terms: usize) -> Option<Fit> {
        let powers = |k: i32| {
            let u = f64::from(k) / f64::from(half);
            Vector4::new(1.0, u, u * u, if terms > 3 { u * u * u } else { 0.0 })
        };
        let mut normal: Matrix4<f64> = (-half..=half).map(|k| powers(k) * powers(k).transpose()).sum();
        (terms..4).for_each(|power| normal[(power, power)] = 1.0);
        let inverse = normal.try_inverse()?;
        Some(Fit { half, weights: (-half..=half).map(|k| inverse * powers(k)).collect() })
    }

    /// The lowest point of the polynomial near `t`, moved until it holds its lowest point.
    fn lowest(&self, course: &Course, t: f64) -> Option<f64> {
        let mut centre = t;
        for _ in 0..TOP_MOVES {
            let [_, slope, bend, twist] = self.terms(course, centre)?;
            // Newton's step towards the zero of the derivative, from the parabola's.
            let first = -slope / (2.0 * bend).max(1e-9);
            let inner = slope + 2.0 * bend * first + 3.0 * twist * first * first;
            let second = inner / (2.0 * bend + 6.0 * twist * first).max(1e-9);
            let shift = (first - second).clamp(-TOP_SPAN_S / 2.0, TOP_SPAN_S / 2.0);
            centre += shift;
            if shift.abs() < TOP_SPAN_S / 40.0 {
                break;
            }
        }
        Some(centre)
    }

    /// Coefficients of the polynomial around `centre`, in powers of seconds.
    fn terms(&self, course: &Course, centre: f64) -> Option<[f64; 4]> {
        let mut sum = Vector4::zeros();
        for (k, weight) in (-self.half..).zip(&self.weights) {
            sum += weight * course.speed(centre + f64::from(k) * TOP_STEP_S).ok()?;
        }
        let span_s = f64::from(self.half) * TOP_STEP_S;
        Some([sum[0], sum[1] / span_s, sum[2] / (span_s * span_s), sum[3] / (span_s * span_s * span_s)])
    }
}

/// When the hands of a draw pass the height that they pass at `t` in the swing itself, raised by `raised_m`.
pub(super) fn passed_again(course: &Course, drawn: &Course, name: InstantName, t: f64, raised_m: f64) -> Option<f64> {
    let (height, _) = over_mark(course, name, t)?;
    let mut again = t;
    for _ in 0..3 {
        let (now, rate) = over_mark(drawn, name, again)?;
        again += (height + raised_m - now) / rate.min(-SLOWEST_M_S);
    }
    Some(again)
}

/// Height of the hands over what they pass at this instant, and its rate.
fn over_mark(course: &Course, name: InstantName, t: f64) -> Option<(f64, f64)> {
    let mark = |point| course.height(point, t).ok();
    let [height, rate] = match name {
        InstantName::LeadArmLevel => mark(BodyPoint::LeadShoulder)?,
        InstantName::HipHeight => {
            let (lead, trail) = (mark(BodyPoint::LeadHip)?, mark(BodyPoint::TrailHip)?);
            std::array::from_fn(|i| 0.5 * (lead[i] + trail[i]))
        }
        _ => return None,
    };
    let [place, velocity, _] = course.hands(t).ok()?;
    Some((place.z - height, velocity.z - rate))
}
