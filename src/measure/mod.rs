//! What the hand path says, in numbers: one list of [`Measure`]s per swing.
//!
//! Lengths are metres, times seconds, angles degrees, in the body-relative frame. A measure has one documented name, one
//! sentence in the catalogue, the words it rests on, and either a value or the reason why the data cannot carry it.
//! One file per family; each family lists its `Spec`s and computes its values from a `Course`, so that the same
//! code measures the swing as recorded and the swing as it might have been.

mod again;
mod causes;
mod chord;
mod course;
mod difference;
mod doubt;
mod drift;
mod framed;
mod interval;
mod line;
mod perturb;
mod places;
mod plane;
mod shaft;
mod speed;
mod start;
mod tempo;
mod turning;
mod why;
mod width;

pub(crate) use difference::size_factor;
pub use difference::{differences, per_target_sd};
pub use doubt::doubts;
pub(crate) use interval::away;
pub use plane::{Plane, fit_plane};

use crate::plain;
use crate::swing::Swing;
use crate::words::Message;
use course::Course;
use why::Why;

/// Where a measure is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drawer {
    /// Shown first: what a coach uses.
    First,
    /// Shown on demand.
    Second,
}

plain::words!(Drawer { First = "first", Second = "second" });

/// One measure of one swing.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// Documented name.
    pub name: &'static str,
    /// Catalogue key of the sentence that says what it is.
    pub key: &'static str,
    /// The value in `unit`; `None` where the data cannot carry it.
    pub value: Option<f64>,
    /// "m", "s", "m/s", "deg", "cm per 10 cm", or "1" for a ratio.
    pub unit: &'static str,
    /// Lower end of the 90 % interval; `None` where there is no value or too little to tell.
    pub low_90: Option<f64>,
    /// Upper end.
    pub high_90: Option<f64>,
    /// What it rests on, in documented words.
    pub rests_on: Vec<&'static str>,
    /// Where it is shown.
    pub drawer: Drawer,
    /// Why there is no value.
    pub absent: Option<Message>,
}

plain::record!(Measure { name, key, value, unit, low_90, high_90, rests_on, drawer, absent });

/// What is fixed about a measure.
#[derive(Clone, Copy, Debug)]
struct Spec {
    name: &'static str,
    key: &'static str,
    unit: &'static str,
    drawer: Drawer,
    rests_on: &'static [&'static str],
    /// Values it cannot go beyond.
    bounds: (f64, f64),
}

/// No bound on either side.
const ANY: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

impl Spec {
    /// The same measure, which cannot be negative.
    const fn not_negative(self) -> Spec {
        Spec { bounds: (0.0, f64::INFINITY), ..self }
    }

    /// The same measure, which cannot be positive.
    const fn not_positive(self) -> Spec {
        Spec { bounds: (f64::NEG_INFINITY, 0.0), ..self }
    }
}

/// A value, or why there is none.
type Found = Result<f64, Why>;

/// Specs of a family, and their values in the same order.
type Family = (&'static [Spec], fn(&Course) -> Vec<Found>);

/// All families; the list shows those of the first drawer in front.
const FAMILIES: [Family; 12] = [
    (&drift::SPECS, |course| drift::values(course).into()),
    (&causes::SPECS, |course| causes::values(course).into()),
    (&places::SPECS, |course| places::values(course).into()),
    (&line::SPECS, |course| line::values(course).into()),
    (&start::SPECS, |course| start::values(course).into()),
    (&shaft::SPECS, |course| shaft::values(course).into()),
    (&turning::SPECS, |course| turning::values(course).into()),
    (&chord::SPECS, |course| chord::values(course).into()),
    (&width::SPECS, |course| width::values(course).into()),
    (&speed::SPECS, |course| speed::values(course).into()),
    (&tempo::SPECS, |course| tempo::values(course).into()),
    (&plane::SPECS, |course| plane::values(course).into()),
];

/// Every measure of a swing with its 90 % interval, those shown first in front; always the same names in the same order.
///
/// The intervals come from [`draws`].
pub fn measures(swing: &Swing) -> Vec<Measure> {
    let course = Course::of(swing);
    let values = values(&course);
    let pairs = pairs(swing, &course, &values);
    let with_interval = |(k, (spec, found)): (usize, (&Spec, Found))| {
        let mut measure = measure(spec, found);
        let column = pairs.iter().filter_map(|[framed, noisy]| Some((framed[k]?, noisy[k]?)));
        let interval = measure.value.and_then(|value| interval::interval(spec, value, column));
        (measure.low_90, measure.high_90) = interval.unzip();
        measure
    };
    first_in_front(specs().zip(values).enumerate().map(with_interval).collect())
}

/// The measures of [`measures`] without their intervals, which take most of the time.
pub fn without_intervals(swing: &Swing) -> Vec<Measure> {
    first_in_front(specs().zip(values(&Course::of(swing))).map(|(spec, found)| measure(spec, found)).collect())
}

/// Measures by these names, without intervals, under target lines turned by each of `degrees`, positive towards the
/// player's `out` side. Instants stay as they are.
pub(crate) fn under_aims(swing: &Swing, degrees: &[f64], names: &[&str]) -> Vec<Vec<Measure>> {
    let course = Course::of(swing);
    let wanted = |spec: &Spec| names.contains(&spec.name);
    let under = |degrees: &f64| {
        let turned = course.turned(*degrees, swing.ball_turned(*degrees));
        let families = FAMILIES.iter().filter(|(specs, _)| specs.iter().any(wanted));
        let found = families.flat_map(|(specs, values)| specs.iter().zip(values(&turned)));
        found.filter(|(spec, _)| wanted(spec)).map(|(spec, found)| measure(spec, found)).collect()
    };
    degrees.iter().map(under).collect()
}

/// Brings what families compute together into the order of the list.
fn first_in_front<T>(items: Vec<T>) -> Vec<T> {
    let (mut first, mut second) = (vec![], vec![]);
    for (spec, item) in specs().zip(items) {
        match spec.drawer {
            Drawer::First => first.push(item),
            Drawer::Second => second.push(item),
        }
    }
    first.extend(second);
    first
}

/// What may be true of a swing: values in the order of [`measures`], drawn again and again from the errors of target
/// line, scale, ball, instants, marker noise and filter, each by its stated 1 SD. The same swing gives the same draws, on
/// every machine.
pub fn draws(swing: &Swing) -> Vec<Vec<Option<f64>>> {
    let candidate = |(spec, (framed, noisy)): (&Spec, (&Option<f64>, &Option<f64>))| {
        Some(interval::candidate(spec, (*framed)?, (*noisy)?))
    };
    let course = Course::of(swing);
    let pairs = pairs(swing, &course, &values(&course));
    let draw = |[framed, noisy]: &[Vec<Option<f64>>; 2]| {
        first_in_front(specs().zip(framed.iter().zip(noisy)).map(candidate).collect())
    };
    pairs.iter().map(draw).collect()
}

/// Values of the swing in a frame as likely, and of the same with track errors drawn again. `found`: the swing as it is.
fn pairs(swing: &Swing, course: &Course, found: &[Found]) -> Vec<[Vec<Option<f64>>; 2]> {
    let mut errors = perturb::Errors::of(swing, course);
    let framed = framed::Framed::of(&errors, course);
    let mut drawn = course.clone();
    let pair = |draw| {
        errors.draw(course, &mut drawn);
        let framed = framed.values(&errors.framing(draw));
        let astray = specs()
            .zip(found)
            .zip(measured(&drawn))
            .map(|((spec, found), drawn)| Some(away(spec.unit, drawn?, (*found).ok()?) / perturb::PART));
        let noisy = framed.iter().zip(astray).map(|(framed, astray)| Some((*framed)? + astray?)).collect();
        [framed, noisy]
    };
    (0..interval::DRAWS).map(pair).collect()
}

/// Values where there are some.
fn measured(course: &Course) -> Vec<Option<f64>> {
    values(course).into_iter().map(|found| found.ok().filter(|value| value.is_finite())).collect()
}

/// Names of all measures.
#[cfg(test)]
pub(crate) fn names() -> impl Iterator<Item = &'static str> {
    specs().map(|spec| spec.name)
}

/// Name and unit of the measures shown first, in the order of [`measures`].
pub fn first_names() -> impl Iterator<Item = (&'static str, &'static str)> {
    specs().filter(|spec| spec.drawer == Drawer::First).map(|spec| (spec.name, spec.unit))
}

fn specs() -> impl Iterator<Item = &'static Spec> {
    FAMILIES.iter().flat_map(|(specs, _)| specs.iter())
}

fn values(course: &Course) -> Vec<Found> {
    FAMILIES.iter().flat_map(|(_, values)| values(course)).collect()
}

fn measure(spec: &Spec, found: Found) -> Measure {
    let found = found.and_then(|value| if value.is_finite() { Ok(value) } else { Err(Why::Gap) });
    Measure {
        name: spec.name,
        key: spec.key,
        value: found.ok(),
        unit: spec.unit,
        low_90: None,
        high_90: None,
        rests_on: spec.rests_on.to_vec(),
        drawer: spec.drawer,
        absent: found.err().map(Why::message),
    }
}

#[cfg(test)]
mod tests;
