//! Anchored mode: segment by segment between the instants both swings have.

use super::matched::Matches;
use super::stretch::{Sampled, Stretch};
use super::{AlignError, AlignOptions, Alignment, Cells, Dropped, MIN_SAMPLES, Segment, Timed, Warping};
use crate::signal::Curve;
use crate::swing::InstantName;
use crate::words::Message;

/// An instant in both swings.
#[derive(Clone, Copy)]
struct Anchor {
    name: InstantName,
    student_s: f64,
    reference_s: f64,
}

/// A swing with the curve through its samples.
struct Side<'a> {
    timed: &'a Timed<'a>,
    curve: Curve,
}

pub(super) fn align(student: &Timed, reference: &Timed, options: &AlignOptions) -> Result<Alignment, AlignError> {
    let anchors = common_anchors(student, reference);
    if anchors.len() < 2 {
        return Err(AlignError::NothingInCommon { common: anchors.len() });
    }
    let sides = [student, reference].map(|timed| Side { timed, curve: timed.curve() });
    let mut alignment = Alignment::empty(options);
    for ends in anchors.windows(2) {
        match unfit(ends, &sides) {
            Some(why) => alignment.dropped.push(Dropped { from: ends[0].name, to: ends[1].name, why }),
            None => add_segment(&mut alignment, ends, &sides, options)?,
        }
    }
    if alignment.segments.is_empty() {
        return Err(AlignError::NothingLeft { segments: alignment.dropped.len() });
    }
    Ok(alignment)
}

/// Instants found in both swings and inside both recordings, in the student's order.
fn common_anchors(student: &Timed, reference: &Timed) -> Vec<Anchor> {
    let in_both = |name: InstantName| {
        Some(Anchor { name, student_s: anchor(student, name)?, reference_s: anchor(reference, name)? })
    };
    let mut anchors: Vec<Anchor> = InstantName::ALL.into_iter().filter_map(in_both).collect();
    anchors.sort_by(|a, b| a.student_s.total_cmp(&b.student_s));
    anchors
}

fn anchor(timed: &Timed, name: InstantName) -> Option<f64> {
    let (first, last) = (*timed.time_s.first()?, *timed.time_s.last()?);
    let named = timed.anchors.iter().find(|(found, _)| *found == name)?;
    (first..=last).contains(&named.1).then_some(named.1)
}

/// Why a segment cannot be warped, if it cannot.
fn unfit(ends: &[Anchor], [student, reference]: &[Side; 2]) -> Option<Message> {
    let [from, to] = [ends[0], ends[1]];
    let between = |message: Message| message.with("from", from.name.name()).with("to", to.name.name());
    if to.reference_s <= from.reference_s || to.student_s <= from.student_s {
        return Some(between(Message::new("align.dropped_order")));
    }
    let in_student = student.timed.usable(from.student_s, to.student_s).count();
    if in_student < MIN_SAMPLES {
        let message = Message::new("align.dropped_student_short").with("usable", in_student);
        return Some(between(message).with("needed", MIN_SAMPLES));
    }
    let in_reference = reference.timed.usable(from.reference_s, to.reference_s).count();
    if in_reference < MIN_SAMPLES {
        let message = Message::new("align.dropped_reference_short").with("usable", in_reference);
        return Some(between(message).with("needed", MIN_SAMPLES));
    }
    None
}

fn add_segment(
    alignment: &mut Alignment,
    ends: &[Anchor],
    [student, reference]: &[Side; 2],
    options: &AlignOptions,
) -> Result<(), AlignError> {
    let [from, to] = [ends[0], ends[1]];
    warn_of_gaps(alignment, ends, student.timed, reference.timed);
    let spans = [(student.timed, from.student_s, to.student_s), (reference.timed, from.reference_s, to.reference_s)];
    let rows = spans.map(|(timed, from_s, to_s)| timed.rows(from_s, to_s).count());
    let lengths_m = spans.map(|(timed, from_s, to_s)| timed.length_m(from_s, to_s));
    let samples = options.samples_for(rows[0].max(rows[1]), lengths_m[0].max(lengths_m[1]));
    let ours = Sampled::new(&student.curve, Stretch::between(from.student_s, to.student_s, samples));
    let theirs = Sampled::new(&reference.curve, Stretch::between(from.reference_s, to.reference_s, samples));
    let band = options.band_for(samples);
    let cells = Cells::of_points(&ours.points, &theirs.points, options.local_cost, options.step)?.band(band);
    let warping = cells.cheapest().ok_or(AlignError::NoAdmissiblePath {
        student: samples,
        reference: samples,
        step: options.step,
        band,
    })?;
    let linear_cost = cells.band(Some(0)).cheapest().map(|diagonal| diagonal.cost);
    let matches = Matches { student: &ours, reference: &theirs, path: &warping.path };
    let number = alignment.segments.len();
    let anchor_s = (from.student_s, from.reference_s);
    let matched = matches.samples(student.timed, (from.student_s, to.student_s), anchor_s, number);
    let last_s = alignment.samples.last().map_or(f64::NEG_INFINITY, |sample| sample.time_s);
    alignment.samples.extend(matched.into_iter().filter(|sample| sample.time_s > last_s));
    alignment.segments.push(segment(ends, ours.at, theirs.at, warping, linear_cost));
    Ok(())
}

fn segment(
    ends: &[Anchor],
    student: Stretch,
    reference: Stretch,
    warping: Warping,
    linear_cost: Option<f64>,
) -> Segment {
    let student_s = ends[1].student_s - ends[0].student_s;
    let reference_s = ends[1].reference_s - ends[0].reference_s;
    Segment {
        from: Some(ends[0].name),
        to: Some(ends[1].name),
        student,
        reference,
        student_s,
        reference_s,
        time_ratio: student_s / reference_s,
        cost: warping.cost,
        normalised_cost: warping.normalised,
        linear_cost,
        path: warping.path,
    }
}

/// Says how many rows of either swing have no data inside a segment.
fn warn_of_gaps(alignment: &mut Alignment, ends: &[Anchor], student: &Timed, reference: &Timed) {
    let gaps = |timed: &Timed, from_s, to_s| timed.rows(from_s, to_s).count() - timed.usable(from_s, to_s).count();
    let between = |message: Message, rows: usize| {
        message.with("rows", rows).with("from", ends[0].name.name()).with("to", ends[1].name.name())
    };
    let in_student = gaps(student, ends[0].student_s, ends[1].student_s);
    if in_student > 0 {
        alignment.warnings.push(between(Message::new("align.student_gaps"), in_student));
    }
    let in_reference = gaps(reference, ends[0].reference_s, ends[1].reference_s);
    if in_reference > 0 {
        alignment.warnings.push(between(Message::new("align.reference_gaps"), in_reference));
    }
}
