//! Student minus reference, measure by measure.

use super::interval::{away, turned};
use super::{Drawer, Measure, without_intervals};
use crate::swing::Swing;

/// The 95th percentile of a standard normal variable: from 1 SD to either end of a 90 % interval.
const SDS_90: f64 = 1.645;

/// Student minus reference (its lengths times `factor`) in each of the measures shown first, with 90 % intervals: a list
/// as of [`measures`](super::measures), in the same order. Both lists hold the same names in the same order.
///
/// The two errors are independent, so that their sizes add as squares, each in its own direction: the low end of the
/// difference lies as far below it as student's low and reference's high end make it (the method of variance estimates
/// recovery, Zou and Donner 2008, Statistics in Medicine 27:1693, from memory).
///
/// `shared`: by how much one and the same SD of the target line moves each measure of the student and of the reference,
/// where both rest on one line: see [`per_target_sd`]. It moves both, and only the rest of it is left in the difference.
pub fn differences(
    student: &[Measure],
    reference: &[Measure],
    factor: f64,
    shared: Option<(&[f64], &[f64])>,
) -> Vec<Measure> {
    let pairs = student.iter().zip(reference).enumerate().filter(|(_, (ours, _))| ours.drawer == Drawer::First);
    let difference = |(k, (ours, theirs)): (usize, (&Measure, &Measure))| {
        let part = |parts: &[f64]| parts.get(k).copied().unwrap_or(0.0);
        let shared = shared.map_or([0.0; 2], |(ours, theirs)| [part(ours), part(theirs)]);
        difference(ours, theirs, factor, shared)
    };
    pairs.map(difference).collect()
}

fn difference(ours: &Measure, theirs: &Measure, factor: f64, [our_part, their_part]: [f64; 2]) -> Measure {
    let scale = size_factor(ours, factor);
    let away = |a: f64, b: f64| away(ours.unit, a, b);
    let pair = ours.value.zip(theirs.value.map(|value| value * scale));
    let value = pair.map(|(a, b)| away(a, b));
    // How far below and above its value the interval of a measure reaches.
    let reach = |measure: &Measure| {
        let (value, low, high) = (measure.value?, measure.low_90?, measure.high_90?);
        Some([away(value, low), away(high, value)])
    };
    let common = 2.0 * SDS_90 * SDS_90 * our_part * their_part * scale;
    let together = |a: f64, b: f64| (a * a + b * b - common).max(0.0).sqrt();
    let ends =
        value.zip(reach(ours)).zip(reach(theirs)).map(|((value, [below, above]), [their_below, their_above])| {
            (value - together(below, their_above * scale), value + together(above, their_below * scale))
        });
    let (low_90, high_90) = ends.unzip();
    let absent = ours.absent.clone().or_else(|| theirs.absent.clone());
    Measure { value, low_90, high_90, absent, ..ours.clone() }
}

/// What a measure is multiplied by where lengths are by `factor`.
pub(crate) fn size_factor(measure: &Measure, factor: f64) -> f64 {
    if measure.unit == "m" || measure.unit == "m/s" { factor } else { 1.0 }
}

/// By how much 1 SD of the target line moves each measure, in the order of [`measures`](super::measures); 0 where there
/// is no value.
pub fn per_target_sd(swing: &Swing) -> Vec<f64> {
    let turned_by = |degrees: f64| without_intervals(&swing.turned(degrees));
    let (before, after) = (turned_by(-swing.target_sd_deg), turned_by(swing.target_sd_deg));
    let moved = |(before, after): (&Measure, &Measure)| {
        let moved = before.value.zip(after.value).map_or(0.0, |(before, after)| after - before);
        0.5 * if before.unit == "deg" { turned(moved) } else { moved }
    };
    before.iter().zip(&after).map(moved).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measure(unit: &'static str, value: f64, below: f64, above: f64) -> Measure {
        Measure {
            name: "x",
            key: "measure.x",
            value: Some(value),
            unit,
            low_90: Some(value - below),
            high_90: Some(value + above),
            rests_on: vec!["hands"],
            drawer: Drawer::First,
            absent: None,
        }
    }

    fn told(found: &[Measure]) -> [f64; 3] {
        [found[0].value, found[0].low_90, found[0].high_90].map(Option::unwrap)
    }

    fn near(found: [f64; 3], expected: [f64; 3]) {
        assert!(found.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-12), "{found:?} instead of {expected:?}");
    }

    /// Sides of right-angled triangles: 3, 4, 5 and 5, 12, 13.
    #[test]
    fn independent_errors_add_as_squares_each_in_its_direction() {
        let (ours, theirs) = ([measure("m", 0.5, 3.0, 5.0)], [measure("m", 0.1, 6.0, 2.0)]);
        near(told(&differences(&ours, &theirs, 2.0, None)), [0.3, 0.3 - 5.0, 0.3 + 13.0]);
        // Angles are not scaled, and go round.
        let (ours, theirs) = ([measure("deg", 179.0, 3.0, 5.0)], [measure("deg", -179.0, 12.0, 4.0)]);
        near(told(&differences(&ours, &theirs, 2.0, None)), [-2.0, -7.0, 11.0]);
    }

    #[test]
    fn one_line_for_both_takes_its_part_out() {
        let (one, other) = ([measure("m", 0.5, 1.645, 1.645)], [measure("m", 0.4, 1.645, 1.645)]);
        near(told(&differences(&one, &other, 1.0, Some((&[1.0], &[1.0])))), [0.1, 0.1, 0.1]);
        let apart = 1.645 * 2.0_f64.sqrt();
        near(told(&differences(&one, &other, 1.0, Some((&[1.0], &[0.0])))), [0.1, 0.1 - apart, 0.1 + apart]);
        // Where it moves one out and the other in, it counts twice.
        near(told(&differences(&one, &other, 1.0, Some((&[1.0], &[-1.0])))), [0.1, 0.1 - 3.29, 0.1 + 3.29]);
    }

    #[test]
    fn what_one_of_them_lacks_has_no_difference() {
        let lacking = Measure {
            value: None,
            absent: Some(crate::words::Message::new("measure.gap")),
            ..measure("m", 0.0, 0.0, 0.0)
        };
        let found = differences(&[measure("m", 0.5, 1.0, 1.0)], &[lacking], 1.0, None);
        assert!(found[0].value.is_none() && found[0].low_90.is_none() && found[0].absent.is_some());
    }
}
