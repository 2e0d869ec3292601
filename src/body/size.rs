use crate::formats::{Point, is_gap};
use crate::order;
use crate::plain;
use crate::signal::median;

/// Lengths that scale one body to another, metres. A comparison uses the first that both swings have.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BodySize {
    /// Own bones of the lead arm: shoulder to elbow to wrist, median over the recording.
    pub arm_bones_m: Option<f64>,
    /// Upper arm of the lead side, for recordings that show the hand but not the wrist.
    pub upper_arm_m: Option<f64>,
    /// 95th percentile of the distance from lead shoulder to mid-hands.
    pub reach_m: Option<f64>,
    /// Stature stated by the user.
    pub stature_m: Option<f64>,
}

plain::record!(BodySize { arm_bones_m, upper_arm_m, reach_m, stature_m });

impl BodySize {
    /// Measures a swing; series of equal length, metres.
    pub fn measure(
        shoulder: Option<&[Point]>,
        elbow: Option<&[Point]>,
        wrist: Option<&[Point]>,
        hands: &[Point],
        stature_m: Option<f64>,
    ) -> BodySize {
        let bone = |a: &[Point], b: &[Point]| median((0..a.len()).map(|k| distance(&a[k], &b[k])));
        let upper_arm_m = shoulder.zip(elbow).and_then(|(s, e)| bone(s, e));
        let forearm_m = elbow.zip(wrist).and_then(|(e, w)| bone(e, w));
        let arm_bones_m = upper_arm_m.zip(forearm_m).map(|(upper, lower)| upper + lower);
        let reach_m = shoulder.and_then(|s| percentile_95((0..s.len()).map(|k| distance(&s[k], &hands[k]))));
        BodySize { arm_bones_m, upper_arm_m, reach_m, stature_m }
    }

    /// Factor that brings `other` to this body's size, and the length it rests on in documented words.
    pub fn factor_for(&self, other: &BodySize) -> Option<(f64, &'static str)> {
        let ratio = |mine: Option<f64>, theirs: Option<f64>| mine.zip(theirs).map(|(a, b)| a / b);
        let usable = |factor: &f64| factor.is_finite() && (0.4..2.5).contains(factor);
        let lengths = [
            (self.arm_bones_m, other.arm_bones_m, "lead arm bones"),
            (self.upper_arm_m, other.upper_arm_m, "lead upper arm"),
            (self.reach_m, other.reach_m, "reach of the lead arm"),
            (self.stature_m, other.stature_m, "stature"),
        ];
        lengths.into_iter().find_map(|(mine, theirs, what)| Some((ratio(mine, theirs).filter(usable)?, what)))
    }
}

fn distance(a: &Point, b: &Point) -> f64 {
    if is_gap(a) || is_gap(b) {
        return f64::NAN;
    }
    a.iter().zip(b).map(|(x, y)| (x - y) * (x - y)).sum::<f64>().sqrt()
}

fn percentile_95(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut sorted: Vec<f64> = values.filter(|x| !x.is_nan()).collect();
    order::sort_numbers(&mut sorted);
    let place = (sorted.len() as f64 * 0.95) as usize;
    sorted.get(place.min(sorted.len().checked_sub(1)?)).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bones_come_before_reach_and_reach_before_stature() {
        let a = BodySize { arm_bones_m: Some(0.6), upper_arm_m: Some(0.36), reach_m: Some(0.7), stature_m: Some(1.8) };
        let b = BodySize { arm_bones_m: Some(0.5), upper_arm_m: Some(0.24), reach_m: Some(0.7), stature_m: Some(1.5) };
        assert_eq!(a.factor_for(&b), Some((1.2, "lead arm bones")));
        let upper = BodySize { arm_bones_m: None, ..b };
        assert_eq!(a.factor_for(&upper), Some((0.36 / 0.24, "lead upper arm")));
        let reach = BodySize { upper_arm_m: None, ..upper };
        assert_eq!(a.factor_for(&reach), Some((1.0, "reach of the lead arm")));
        let stature = BodySize { reach_m: None, ..reach };
        assert_eq!(a.factor_for(&stature), Some((1.8 / 1.5, "stature")));
        assert_eq!(a.factor_for(&BodySize::default()), None);
    }

    #[test]
    fn reach_is_the_95th_percentile() {
        let shoulder = vec![[0.0; 3]; 100];
        let hands: Vec<Point> = (1..=100).map(|k| [k as f64 * 0.01, 0.0, 0.0]).collect();
        let size = BodySize::measure(Some(&shoulder), None, None, &hands, None);
        assert!((size.reach_m.unwrap() - 0.96).abs() < 1e-12);
        assert_eq!(size.arm_bones_m, None);
    }
}
