//! The swing in frames as likely as its own: measures over the errors of target line, scale, origin and ball.
//!
//! A measure is a smooth function of scale, origin and ball, and a function with kinks of the target line (a greatest value
//! passes from one place of the path to another). So it is computed once for every half SD of the target line and once
//! on either side for the others, and draws go between these values.

use super::course::Course;
use super::interval::away;
use super::perturb::{Errors, Framing};
use super::{Spec, measured, specs};

/// Half SDs of the target line on either side.
const NODES: i32 = 5;

/// Values of all measures, in their order.
type Values = Vec<Option<f64>>;

/// Measures by frame.
pub(super) struct Framed {
    /// By target line, every half SD.
    by_target: Vec<Values>,
    /// Change by one SD of each of the others.
    slopes: [Values; 6],
}

impl Framed {
    pub(super) fn of(errors: &Errors, course: &Course) -> Framed {
        let mut drawn = course.clone();
        let mut at = |framing: Framing| {
            errors.put(course, &mut drawn, &framing);
            measured(&drawn)
        };
        let by_target = (-NODES..=NODES).map(|k| at(Framing { target: 0.5 * f64::from(k), ..Framing::default() }));
        let by_target = by_target.collect();
        let slopes = std::array::from_fn(|other| {
            let mut one = |sds: f64| {
                let mut framing = Framing::default();
                framing.others[other] = sds;
                at(framing)
            };
            let (low, high) = (one(-1.0), one(1.0));
            let slope = |(spec, (low, high)): (&Spec, (&Option<f64>, &Option<f64>))| {
                Some(0.5 * away(spec.unit, (*high)?, (*low)?))
            };
            specs().zip(low.iter().zip(&high)).map(slope).collect()
        });
        Framed { by_target, slopes }
    }

    /// All measures in a frame.
    pub(super) fn values(&self, framing: &Framing) -> Values {
        let place = 2.0 * framing.target + f64::from(NODES);
        let low = (place.max(0.0) as usize).min(self.by_target.len() - 2);
        let share = place - low as f64;
        let value = |(k, spec): (usize, &Spec)| {
            let (before, after) = (self.by_target[low][k]?, self.by_target[low + 1][k]?);
            let others = self.slopes.iter().zip(framing.others);
            let others: f64 = others.map(|(slope, sds)| Some(slope[k]? * sds)).sum::<Option<f64>>()?;
            Some(before + share * away(spec.unit, after, before) + others)
        };
        specs().enumerate().map(value).collect()
    }
}
