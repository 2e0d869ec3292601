//! One lesson against another: is the student's swing another one, or is the difference inside their own variability?
//!
//! A measure differs from swing to swing, and that averages out over the swings of a lesson. The error of the target line
//! does not: it is the same for all swings of a lesson, and drawn anew for the next. Both are in the interval of the
//! difference of the means: Welch's t, with the second variance added as known.

use super::kinds::{mixed_clubs, most_common, of_kind};
use super::notes::few_swings;
use super::own::value;
use super::{Spread, t_quantile};
use crate::measure::{Drawer, Measure, without_intervals};
use crate::plain;
use crate::settings::SwingKind;
use crate::swing::Swing;
use crate::words::Message;

/// Confidence of the intervals. Where nothing has changed, 1 - this share of the pairs of lessons show a change by chance:
/// less than one in ten.
pub const CONFIDENCE: f64 = 0.92;
/// From this 1 SD of the target line on, degrees, the smallest change is told in words too.
const VAGUE_TARGET_DEG: f64 = 2.0;

/// The interval of the difference holds zero: inside the student's own variability.
pub const NO_CHANGE: &str = "no change shown";
/// It does not.
pub const CHANGE: &str = "change shown";
/// Fewer than two swings of a lesson have the measure.
pub const CANNOT_TELL: &str = "cannot tell";

/// The later lesson minus the earlier, in the measure's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// Difference of the means.
    pub value: f64,
    /// Lower end of its interval at [`CONFIDENCE`].
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// 1 SD of the difference that comes from the target lines alone: more swings do not lessen it.
    pub shared_sd: f64,
    /// The smallest change that these swings can show: half the interval.
    pub smallest_shown: f64,
}

plain::record!(Difference { value, low, high, shared_sd, smallest_shown });

/// One measure in two lessons.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Documented name of the measure.
    pub name: &'static str,
    /// Catalogue key of its sentence.
    pub key: &'static str,
    /// Unit of all numbers.
    pub unit: &'static str,
    /// The earlier lesson; `None` where no swing has the measure.
    pub before: Option<Spread>,
    /// The later lesson.
    pub after: Option<Spread>,
    /// `None` where fewer than two swings of a lesson have the measure.
    pub difference: Option<Difference>,
    /// [`NO_CHANGE`], [`CHANGE`] or [`CANNOT_TELL`].
    pub verdict: &'static str,
}

plain::record!(Change { name, key, unit, before, after, difference, verdict });

/// Two lessons compared.
#[derive(Clone, Debug, PartialEq)]
pub struct Lessons {
    /// Kind of the swings that are compared; `None` without swings.
    pub kind: Option<SwingKind>,
    /// Names of the swings of the earlier lesson.
    pub before: Vec<String>,
    /// Names of the swings of the later lesson.
    pub after: Vec<String>,
    /// Confidence of the intervals.
    pub confidence: f64,
    /// The measures shown first.
    pub changes: Vec<Change>,
    /// Swings left out, too few swings, what the target line hides.
    pub notes: Vec<Message>,
}

plain::record!(Lessons { kind, before, after, confidence, changes, notes });

/// Compares the swings of two lessons of one student, measure by measure. Only swings of the kind that most of them are
/// are compared; the others are named in the notes.
pub fn lessons(before: &[&Swing], after: &[&Swing]) -> Lessons {
    let all = [before, after].concat();
    let kind = most_common(&all);
    let mut notes = vec![];
    let kept = [before, after].map(|swings| kind.map_or_else(Vec::new, |kind| of_kind(swings, kind, &mut notes)));
    notes.extend(mixed_clubs(&kept.concat()));
    let [earlier, later] = kept.map(|swings| Lesson::of(&swings));
    let names = |lesson: &Lesson| lesson.labels.clone();
    let listed = if earlier.swings.is_empty() { &later } else { &earlier };
    let changes: Vec<Change> = listed.measures().map(|measure| change(measure, &earlier, &later)).collect();
    notes.extend([&earlier, &later].iter().filter_map(|lesson| few_swings(lesson.labels.len())));
    notes.extend(vague_target(&changes, [&earlier, &later]));
    notes.extend(chance(&changes));
    notes.dedup();
    Lessons { kind, before: names(&earlier), after: names(&later), confidence: CONFIDENCE, changes, notes }
}

/// The swings of one lesson, measured.
struct Lesson {
    labels: Vec<String>,
    /// Measures of each swing; with the target line turned by its 1 SD one way and the other.
    swings: Vec<[Vec<Measure>; 3]>,
    target_sd_deg: f64,
}

impl Lesson {
    fn of(swings: &[&Swing]) -> Lesson {
        let measured = |swing: &&Swing| {
            let turned = |degrees: f64| without_intervals(&swing.turned(degrees));
            [without_intervals(swing), turned(-swing.target_sd_deg), turned(swing.target_sd_deg)]
        };
        Lesson {
            labels: swings.iter().map(|swing| swing.label.clone()).collect(),
            swings: swings.iter().map(measured).collect(),
            target_sd_deg: swings.iter().map(|swing| swing.target_sd_deg).fold(0.0, f64::max),
        }
    }

    fn measures(&self) -> impl Iterator<Item = &Measure> {
        self.swings.first().into_iter().flat_map(|[as_is, ..]| as_is).filter(|m| m.drawer == Drawer::First)
    }

    /// The values of a measure, and what 1 SD of the target line does to their mean.
    fn values(&self, name: &str) -> (Vec<f64>, f64) {
        let values: Vec<f64> = self.swings.iter().filter_map(|[as_is, ..]| value(as_is, name)).collect();
        let turned =
            self.swings.iter().filter_map(|[_, less, more]| Some(0.5 * (value(more, name)? - value(less, name)?)));
        let shifts: Vec<f64> = turned.collect();
        let shift = shifts.iter().sum::<f64>() / shifts.len().max(1) as f64;
        (values, shift)
    }
}

fn change(measure: &Measure, earlier: &Lesson, later: &Lesson) -> Change {
    let ((before, shift_before), (after, shift_after)) = (earlier.values(measure.name), later.values(measure.name));
    let (before, after) = (Spread::of(&before), Spread::of(&after));
    let difference = before.zip(after).and_then(|(a, b)| welch(&a, &b, shift_before.hypot(shift_after)));
    let verdict = match difference {
        None => CANNOT_TELL,
        Some(found) if found.value.abs() > found.smallest_shown => CHANGE,
        Some(_) => NO_CHANGE,
    };
    Change { name: measure.name, key: measure.key, unit: measure.unit, before, after, difference, verdict }
}

/// Welch's interval with a shared variance, which is known and therefore adds no doubt about the spread (the degrees of
/// freedom after Satterthwaite 1946, from memory).
pub(crate) fn welch(before: &Spread, after: &Spread, shared_sd: f64) -> Option<Difference> {
    let ((a, freedom_a), (b, freedom_b)) = (before.of_mean()?, after.of_mean()?);
    let variance = a + b + shared_sd * shared_sd;
    let doubt = a * a / freedom_a + b * b / freedom_b;
    let freedom = if doubt > 0.0 { variance * variance / doubt } else { f64::INFINITY };
    let half = t_quantile(0.5 * (1.0 + CONFIDENCE), freedom) * variance.sqrt();
    let value = after.mean - before.mean;
    Some(Difference { value, low: value - half, high: value + half, shared_sd, smallest_shown: half })
}

/// How many of so many measures show a change by chance; and what is not in the intervals.
fn chance(changes: &[Change]) -> Vec<Message> {
    let told = changes.iter().filter(|change| change.verdict != CANNOT_TELL).count();
    if told == 0 {
        return vec![];
    }
    let by_chance = Message::new("sets.by_chance").with("count", told);
    vec![by_chance.with("expected", (1.0 - CONFIDENCE) * told as f64), Message::new("sets.marked_anew")]
}

/// What the target line alone hides of out drift, however many swings there are.
fn vague_target(changes: &[Change], lessons: [&Lesson; 2]) -> Option<Message> {
    let drift = changes.iter().find(|change| change.name == "out drift, greatest")?;
    let degrees = lessons.iter().map(|lesson| lesson.target_sd_deg).fold(0.0, f64::max);
    let shared_m = drift.difference.filter(|_| degrees > VAGUE_TARGET_DEG)?.shared_sd;
    let hidden_m = t_quantile(0.5 * (1.0 + CONFIDENCE), f64::INFINITY) * shared_m;
    Some(Message::new("sets.vague_target").with("degrees", degrees).with("cm", 100.0 * hidden_m))
}
