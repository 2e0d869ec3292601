use super::{Compared, Comparison};
use crate::align::{Alignment, Mode};
use crate::formats::Point;
use crate::order;
use crate::signal::Curve;
use crate::swing::{InstantName, Swing};

/// Where the hands are at one instant, in both swings.
#[derive(Clone, Debug, PartialEq)]
pub struct AtInstant {
    /// Which.
    pub instant: InstantName,
    /// Student's mid-hands at the student's instant: out, target, up in metres.
    pub student: Point,
    /// Reference's mid-hands at the reference's instant, at the student's size.
    pub reference: Point,
    /// Student minus reference. Instants are matched by name here, so that warping has no part in this number.
    pub difference: Point,
    /// How late the student is. Anchored: time since `since`, minus the same time in the reference, seconds. Free: as
    /// the alignment says at the student's instant (see [`crate::align::MatchedSample::lateness_s`]). `None` where the
    /// alignment does not reach.
    pub lateness_s: Option<f64>,
    /// The instant that `lateness_s` counts from; `None` in free mode.
    pub since: Option<InstantName>,
}

/// For each reference, the instants that both swings have and in which both hands are seen, in the order of the
/// student's time; a separate address comes first.
pub fn deviations_at_instants(comparison: &Comparison) -> Vec<Vec<AtInstant>> {
    let student = Places::of(&comparison.student);
    comparison.references.iter().map(|reference| at_instants(&student, reference)).collect()
}

/// The same beside one reference.
pub(crate) fn deviations(student: &Swing, reference: &Compared) -> Vec<AtInstant> {
    at_instants(&Places::of(student), reference)
}

fn at_instants(student: &Places, reference: &Compared) -> Vec<AtInstant> {
    let theirs = Places::of(&reference.swing);
    let alignment = reference.alignment.as_ref().ok();
    let at = |instant: InstantName| {
        let (ours, theirs) = (student.at(instant)?, theirs.at(instant)?);
        let (lateness_s, since) = alignment.map_or((None, None), |found| lateness(found, student, instant));
        let difference = std::array::from_fn(|c| ours[c] - theirs[c]);
        Some(AtInstant { instant, student: ours, reference: theirs, difference, lateness_s, since })
    };
    let mut found: Vec<AtInstant> = InstantName::ALL.into_iter().filter_map(at).collect();
    order::sort_by(&mut found, |a, b| student.order(a.instant).total_cmp(&student.order(b.instant)));
    found
}

/// The hands of a swing at its instants.
struct Places<'a> {
    swing: &'a Swing,
    curve: Curve,
}

impl<'a> Places<'a> {
    fn of(swing: &'a Swing) -> Self {
        Places { swing, curve: swing.hand_curve() }
    }

    /// At address the place measured there (a median over the still interval or the address file), else the path.
    fn at(&self, instant: InstantName) -> Option<Point> {
        match (instant, self.swing.hands_at_address) {
            (InstantName::Address, Some(hands)) => Some(hands),
            _ => self.curve.position(self.time_s(instant)?),
        }
    }

    fn time_s(&self, instant: InstantName) -> Option<f64> {
        self.swing.instant(instant).map(|found| found.time_s)
    }

    fn order(&self, instant: InstantName) -> f64 {
        self.time_s(instant).unwrap_or(f64::NEG_INFINITY)
    }
}

fn lateness(alignment: &Alignment, student: &Places, instant: InstantName) -> (Option<f64>, Option<InstantName>) {
    match alignment.mode {
        Mode::Anchored => {
            let segment = alignment.segments.iter().find(|segment| segment.to == Some(instant));
            (segment.map(|found| found.student_s - found.reference_s), segment.and_then(|found| found.from))
        }
        Mode::Free => (student.time_s(instant).and_then(|time_s| alignment.lateness_at(time_s)), None),
    }
}
