//! Instants found again on the tracks of a draw, so that their errors go with the noise that makes them.

use super::course::{Course, V};
use crate::swing::{BodyPoint, InstantName};
use nalgebra::{Matrix4, Vector4};

/// Hands that pass a height more slowly than this pass it at no particular time, m/s.
const SLOWEST_M_S: f64 = 0.05;
/// The top is the lowest point of a parabola through the hand speed over this span, seconds; as in `swing`.
const TOP_SPAN_S: f64 = 0.04;
const TOP_STEP_S: f64 = TOP_SPAN_S / 16.0;
/// Most moves of the parabola.
const TOP_MOVES: usize = 4;

/// The least hand speed of a swing near `t`.
///
/// The speed falls more slowly before the top than it rises after it, so the parabola of the instant comes early; a cubic
/// over twice the span follows the lean.
pub(super) fn least_speed(course: &Course, t: f64) -> Option<f64> {
    lowest(course, t, CUBIC)
}

/// The top of a draw: as far from `t` as the parabola through the draw's hand speed lies from the least speed of the
/// swing itself.
pub(super) fn least_speed_again(least_s: Option<f64>, drawn: &Course, t: f64) -> Option<f64> {
    Some(t + lowest(drawn, t, PARABOLA)? - least_s?)
}

/// Half a span in samples, and the terms of the polynomial through it.
type Rule = (i32, usize);
const PARABOLA: Rule = (8, 3);
const CUBIC: Rule = (16, 4);

/// Lowest point of a polynomial through the hand speed, moved until it holds its lowest point.
fn lowest(course: &Course, t: f64, rule: Rule) -> Option<f64> {
    let mut centre = t;
    for _ in 0..TOP_MOVES {
        let [_, slope, bend, twist] = speed_terms(course, centre, rule)?;
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

/// Coefficients of the least-squares polynomial through the hand speed around `centre`.
fn speed_terms(course: &Course, centre: f64, (half, terms): Rule) -> Option<[f64; 4]> {
    let (mut normal, mut right) = (Matrix4::<f64>::zeros(), Vector4::<f64>::zeros());
    for k in -half..=half {
        let u = f64::from(k) / f64::from(half);
        let speed = course.hands(centre + f64::from(k) * TOP_STEP_S).ok()?[1].norm();
        let row = Vector4::from_fn(|power, _| if power < terms { u.powi(power as i32) } else { 0.0 });
        normal += row * row.transpose();
        right += row * speed;
    }
    (terms..4).for_each(|power| normal[(power, power)] = 1.0);
    let solved = normal.cholesky()?.solve(&right);
    let span_s = f64::from(half) * TOP_STEP_S;
    Some(std::array::from_fn(|power| solved[power] / span_s.powi(power as i32)))
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
    let mark = |point| course.point(point, t).ok().map(|[place, velocity, _]| V::new(place.z, velocity.z, 0.0));
    let mark = match name {
        InstantName::LeadArmLevel => mark(BodyPoint::LeadShoulder)?,
        InstantName::HipHeight => 0.5 * (mark(BodyPoint::LeadHip)? + mark(BodyPoint::TrailHip)?),
        _ => return None,
    };
    let [place, velocity, _] = course.hands(t).ok()?;
    Some((place.z - mark.x, velocity.z - mark.y))
}
