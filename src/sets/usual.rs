//! What several references do in one measure, and whether the student does the same.

use super::band::{COVERAGE, LEAST_SWINGS};
use super::{Spread, t_quantile};
use crate::findings::Beside;
use crate::measure::{Measure, away, size_factor};
use crate::plain;

/// Where the references lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// From the least to the greatest of them: under eight say no more.
    LeastToGreatest,
    /// Where nine of ten new ones would lie: `mean +- t sqrt(1 + 1/n) SD`.
    NineOfTen,
}

plain::words!(Reach { LeastToGreatest = "least to greatest", NineOfTen = "nine of ten" });

/// On which side of them the student is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Among {
    /// Within their reach.
    Inside,
    /// Below it.
    Below,
    /// Above it.
    Above,
}

plain::words!(Among { Inside = "inside", Below = "below", Above = "above" });

/// One measure of the student beside the references' at the student's size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Usual {
    /// Documented name of the measure.
    pub name: &'static str,
    /// Unit of all numbers.
    pub unit: &'static str,
    /// References that have it, two or more.
    pub count: usize,
    /// Their mean.
    pub mean: f64,
    /// What the reach promises.
    pub reach: Reach,
    /// Its lower end.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
    /// Share of swings like theirs that lie outside by chance: 2 of (count + 1), or one of ten.
    pub outside_by_chance: f64,
    /// Where the student is; null without a value.
    pub among: Option<Among>,
    /// Is the student's whole 90 % interval there?
    pub sure: bool,
}

plain::record!(Usual { name, unit, count, mean, reach, low, high, outside_by_chance, among, sure });

/// All measures that two references or more have.
pub fn usual(student: &[Measure], references: &[Beside]) -> Vec<Usual> {
    student.iter().filter_map(|measure| one(measure, references)).collect()
}

fn one(measure: &Measure, references: &[Beside]) -> Option<Usual> {
    let theirs = |reference: &Beside| {
        let found = reference.measures.iter().find(|found| found.name == measure.name)?;
        Some(found.value? * size_factor(found, reference.factor))
    };
    let values: Vec<f64> = references.iter().filter_map(theirs).collect();
    // Angles go round: all are told as seen from the first.
    let first = *values.first()?;
    let near = |value: f64| first + away(measure.unit, value, first);
    let values: Vec<f64> = values.iter().map(|value| near(*value)).collect();
    let spread = Spread::of(&values)?;
    let sd = spread.sd?;
    let (reach, low, high) = if values.len() < LEAST_SWINGS {
        let ends = values.iter().fold((first, first), |(low, high), value| (low.min(*value), high.max(*value)));
        (Reach::LeastToGreatest, ends.0, ends.1)
    } else {
        let count = values.len() as f64;
        let half = t_quantile(0.5 * (1.0 + COVERAGE), count - 1.0) * (1.0 + 1.0 / count).sqrt() * sd;
        (Reach::NineOfTen, spread.mean - half, spread.mean + half)
    };
    let side = |value: f64| match near(value) {
        value if value < low => Among::Below,
        value if value > high => Among::Above,
        _ => Among::Inside,
    };
    let outside_by_chance = match reach {
        Reach::LeastToGreatest => 2.0 / (values.len() as f64 + 1.0),
        Reach::NineOfTen => 1.0 - COVERAGE,
    };
    let among = measure.value.map(side);
    let ends = [measure.low_90, measure.high_90];
    let sure = among.is_some() && ends.iter().all(|end| end.map(side) == among);
    Some(Usual {
        name: measure.name,
        unit: measure.unit,
        count: values.len(),
        mean: spread.mean,
        reach,
        low,
        high,
        outside_by_chance,
        among,
        sure,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Drawer;

    fn measure(unit: &'static str, value: f64, half: f64) -> Vec<Measure> {
        vec![Measure {
            name: "x",
            key: "measure.x",
            value: Some(value),
            unit,
            low_90: Some(value - half),
            high_90: Some(value + half),
            rests_on: vec!["hands"],
            drawer: Drawer::First,
            absent: None,
        }]
    }

    fn told(unit: &'static str, student: (f64, f64), references: &[f64], factor: f64) -> Vec<Usual> {
        let lists: Vec<Vec<Measure>> = references.iter().map(|value| measure(unit, *value, 0.0)).collect();
        let beside: Vec<Beside> = lists.iter().map(|measures| Beside { measures, factor }).collect();
        usual(&measure(unit, student.0, student.1), &beside)
    }

    #[test]
    fn a_few_references_reach_from_the_least_to_the_greatest() {
        let found = told("m", (0.45, 0.02), &[0.1, 0.2, 0.3], 2.0)[0];
        assert_eq!(
            (found.count, found.reach, found.among, found.sure),
            (3, Reach::LeastToGreatest, Some(Among::Inside), true)
        );
        assert!([(found.low, 0.2), (found.high, 0.6), (found.mean, 0.4)].iter().all(|(a, b)| (a - b).abs() < 1e-12));
        assert!((found.outside_by_chance - 0.5).abs() < 1e-12);
        let found = told("m", (0.62, 0.05), &[0.1, 0.2, 0.3], 2.0)[0];
        assert_eq!((found.among, found.sure), (Some(Among::Above), false));
        assert_eq!(told("m", (0.1, 0.01), &[0.1, 0.2, 0.3], 2.0)[0].among, Some(Among::Below));
        assert!(told("m", (0.1, 0.01), &[0.1], 1.0).is_empty());
    }

    #[test]
    fn angles_are_neither_scaled_nor_torn_at_half_a_circle() {
        let found = told("deg", (179.0, 0.5), &[-178.0, 178.0], 2.0)[0];
        assert_eq!((found.among, found.sure), (Some(Among::Inside), true));
        assert_eq!(told("deg", (-176.0, 0.5), &[-178.0, 178.0], 2.0)[0].among, Some(Among::Above));
    }

    /// Of four swings drawn alike, any one is as likely to be the least, or the greatest.
    #[test]
    fn chance_is_as_told() {
        let mut random = crate::signal::Random::new(9);
        let draws = 4000;
        let outside = (0..draws).filter(|_| {
            let found = told("m", (random.normal(), 0.0), &[0; 3].map(|_| random.normal()), 1.0)[0];
            found.among != Some(Among::Inside)
        });
        let (low, high) = super::super::wilson(outside.count(), draws, 0.99);
        assert!((low..=high).contains(&0.5), "{low} {high}");
    }

    /// t(0.95, 7) sqrt(1 + 1/8), t from scipy: 1.894579.
    #[test]
    fn from_eight_references_on_nine_of_ten_are_held() {
        let values: Vec<f64> = (0..8).map(f64::from).collect();
        let found = told("1", (0.0, 0.0), &values, 1.0)[0];
        let sd = 6.0_f64.sqrt();
        assert_eq!(found.reach, Reach::NineOfTen);
        assert!((found.high - 3.5 - 1.894_579 * 1.125_f64.sqrt() * sd).abs() < 1e-5, "{found:?}");
        assert_eq!((found.among, found.sure), (Some(Among::Inside), true));
    }
}
