//! Several swings as one: mean path, spread, band, most typical swing.

use super::band::{BandKind, LEAST_SWINGS, half_widths};
use super::kinds::{mixed_clubs, most_common};
use super::notes::few_swings;
use super::spread::mean_and_sd;
use crate::align::{AlignError, AveragedSegment, Timed, average, distances};
use crate::formats::{GAP, Point};
use crate::settings::SwingKind;
use crate::swing::Swing;
use crate::words::Message;

/// Several swings of one kind as one: references at the student's size, or a player's own swings.
///
/// All lists by place run over the same places, in the order of the swing: see [`crate::align::Average`].
#[derive(Clone, Debug, PartialEq)]
pub struct SwingSet {
    /// Kind of all swings.
    pub kind: SwingKind,
    /// Their names.
    pub labels: Vec<String>,
    /// Stretches between shared instants.
    pub segments: Vec<AveragedSegment>,
    /// Seconds since the first shared instant, the mean over the swings.
    pub time_s: Vec<f64>,
    /// Barycenter average of the paths.
    pub mean: Vec<Point>,
    /// Standard deviation from swing to swing in out, target, up; three NaN of one swing, or where gaps leave one.
    pub sd: Vec<Point>,
    /// What each swing has at the places.
    pub curves: Vec<Vec<Point>>,
    /// The band for one new swing; `None` under [`LEAST_SWINGS`]: then the single curves are drawn.
    pub band: Option<Band>,
    /// Number of the swing that is nearest to all others, and is the best one to show; `None` of fewer than three.
    pub most_typical: Option<usize>,
    /// Mean distance of each swing from the others, metres, time apart.
    pub distances_m: Vec<f64>,
    /// Few swings, clubs mixed, instants left out.
    pub notes: Vec<Message>,
}

/// A band around the mean.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// What it promises.
    pub kind: BandKind,
    /// By place.
    pub low: Vec<Point>,
    /// By place.
    pub high: Vec<Point>,
}

impl SwingSet {
    /// Makes one of several swings. They have to be of one kind (see [`super::own_set`], [`super::reference_set`]), in one frame and at one
    /// size: references are scaled to the student first ([`crate::compare::scale_reference`]); a player's own swings have
    /// their size.
    ///
    /// # Errors
    /// [`AlignError::NothingInCommon`]: no swings, or fewer than two instants that all have.
    pub fn of(swings: &[&Swing], band: BandKind) -> Result<SwingSet, AlignError> {
        let timed: Vec<Timed> = swings.iter().map(|swing| Timed::of(swing)).collect();
        let averaged = average(&timed)?;
        let sd: Vec<Point> = (0..averaged.mean.len()).map(|place| sd_at(&averaged.curves, place)).collect();
        let distances_m = mean_distances(&distances(&timed)?);
        let left_out = averaged.left_out.iter();
        let mut notes: Vec<Message> =
            left_out.map(|name| Message::new("sets.instant_left_out").with("instant", name.name())).collect();
        if (2..LEAST_SWINGS).contains(&swings.len()) {
            notes.extend(few_swings(swings.len()));
            notes.push(Message::new("sets.no_band").with("count", swings.len()).with("needed", LEAST_SWINGS));
        }
        notes.extend(mixed_clubs(swings));
        Ok(SwingSet {
            kind: swings.first().map_or(SwingKind::Full, |swing| swing.kind),
            labels: swings.iter().map(|swing| swing.label.clone()).collect(),
            band: half_widths(band, &averaged.curves).map(|half| Band::around(&averaged.mean, &half, band)),
            most_typical: medoid(&distances_m),
            distances_m,
            segments: averaged.segments,
            time_s: averaged.time_s,
            mean: averaged.mean,
            sd,
            curves: averaged.curves,
            notes,
        })
    }
}

impl Band {
    fn around(mean: &[Point], half: &[Point], kind: BandKind) -> Band {
        let edge = |sign: f64| {
            let at = |(mean, half): (&Point, &Point)| std::array::from_fn(|axis| mean[axis] + sign * half[axis]);
            mean.iter().zip(half).map(at).collect()
        };
        Band { kind, low: edge(-1.0), high: edge(1.0) }
    }
}

fn sd_at(curves: &[Vec<Point>], place: usize) -> Point {
    let axis = |axis: usize| {
        let values: Vec<f64> = curves.iter().map(|curve| curve[place][axis]).filter(|x| x.is_finite()).collect();
        mean_and_sd(&values).and_then(|(_, sd)| sd)
    };
    match (axis(0), axis(1), axis(2)) {
        (Some(out), Some(target), Some(up)) => [out, target, up],
        _ => GAP,
    }
}

fn mean_distances(table: &[Vec<f64>]) -> Vec<f64> {
    let others = table.len().saturating_sub(1).max(1) as f64;
    table.iter().map(|row| row.iter().sum::<f64>() / others).collect()
}

/// The most typical of a player's swings, and the best one to show: its number in the list. `None` with fewer than three of
/// one kind, or where they have too little in common.
pub fn most_typical(swings: &[&Swing]) -> Option<usize> {
    let kind = most_common(swings)?;
    let numbers: Vec<usize> = (0..swings.len()).filter(|number| swings[*number].kind == kind).collect();
    let timed: Vec<Timed> = numbers.iter().map(|number| Timed::of(swings[*number])).collect();
    if timed.len() < 3 {
        return None;
    }
    numbers.get(medoid(&mean_distances(&distances(&timed).ok()?))?).copied()
}

/// The medoid; of equals the first.
fn medoid(distances_m: &[f64]) -> Option<usize> {
    let least = distances_m.iter().copied().fold(f64::INFINITY, f64::min);
    distances_m.iter().position(|distance| *distance == least).filter(|_| distances_m.len() > 2)
}
