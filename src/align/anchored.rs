//! Anchored mode: segment by segment between the instants both swings have.

use super::matched::Matches;
use super::series::Series;
use super::stretch::{Sampled, Stretch};
use super::{AlignError, AlignOptions, Alignment, Cells, Dropped, MIN_SAMPLES, Segment, StepPattern, Warping, fast};
use crate::formats::{Point, is_gap};
use crate::order;
use crate::swing::InstantName;
use crate::words::Message;

/// An instant in both swings.
#[derive(Clone, Copy)]
struct Anchor {
    name: InstantName,
    student_s: f64,
    reference_s: f64,
}

/// What lies between two anchors.
struct Between<'a> {
    from: Anchor,
    to: Anchor,
    student: &'a Series<'a>,
    reference: &'a Series<'a>,
}

pub(super) fn align(student: &Series, reference: &Series, options: &AlignOptions) -> Result<Alignment, AlignError> {
    let anchors = common_anchors(student, reference);
    if anchors.len() < 2 {
        return Err(AlignError::NothingInCommon { common: anchors.len() });
    }
    let mut alignment = Alignment::empty(options);
    for ends in anchors.windows(2) {
        let between = Between { from: ends[0], to: ends[1], student, reference };
        match between.fit() {
            Ok(()) => between.add_to(&mut alignment, options)?,
            Err(why) => alignment.dropped.push(between.dropped(why)),
        }
    }
    if alignment.segments.is_empty() {
        return Err(AlignError::NothingLeft { segments: alignment.dropped.len() });
    }
    Ok(alignment)
}

/// Instants found in both swings and inside both recordings, in the student's order.
fn common_anchors(student: &Series, reference: &Series) -> Vec<Anchor> {
    let in_both = |name: InstantName| {
        Some(Anchor { name, student_s: student.anchor(name)?, reference_s: reference.anchor(name)? })
    };
    let mut anchors: Vec<Anchor> = InstantName::ALL.into_iter().filter_map(in_both).collect();
    order::sort_by(&mut anchors, |a, b| a.student_s.total_cmp(&b.student_s));
    anchors
}

/// The cheapest path, and what the diagonal costs; `None` without an admissible path.
type Warped = Option<(Warping, Option<f64>)>;

fn warped(a: &[Point], b: &[Point], options: &AlignOptions, band: Option<usize>) -> Result<Warped, AlignError> {
    let local = options.local_cost;
    if options.step == StepPattern::P1 && !a.iter().chain(b).any(is_gap) {
        return Ok(fast::cheapest::<f32>(a, b, local, band).map(|warping| (warping, Some(fast::unwarped(a, b, local)))));
    }
    let cells = Cells::of_points(a, b, local, options.step)?.band(band);
    let cheapest = cells.cheapest();
    let diagonal = cells.band(Some(0)).cheapest().map(|diagonal| diagonal.cost);
    Ok(cheapest.map(|warping| (warping, diagonal)))
}

impl Between<'_> {
    fn student_span(&self) -> (f64, f64) {
        (self.from.student_s, self.to.student_s)
    }

    fn reference_span(&self) -> (f64, f64) {
        (self.from.reference_s, self.to.reference_s)
    }

    fn named(&self, message: Message) -> Message {
        message.with("from", self.from.name.name()).with("to", self.to.name.name())
    }

    fn dropped(&self, why: Message) -> Dropped {
        Dropped { from: self.from.name, to: self.to.name, why: self.named(why) }
    }

    /// Is there enough in the right order? Else: why not.
    fn fit(&self) -> Result<(), Message> {
        if self.to.reference_s <= self.from.reference_s || self.to.student_s <= self.from.student_s {
            return Err(Message::new("align.dropped_order"));
        }
        let usable = self.student.usable(self.student_span()).count();
        if usable < MIN_SAMPLES {
            return Err(Message::new("align.dropped_student_short").with("usable", usable).with("needed", MIN_SAMPLES));
        }
        let usable = self.reference.usable(self.reference_span()).count();
        if usable < MIN_SAMPLES {
            let message = Message::new("align.dropped_reference_short");
            return Err(message.with("usable", usable).with("needed", MIN_SAMPLES));
        }
        Ok(())
    }

    /// Both sides at one common count.
    fn sampled(&self, options: &AlignOptions) -> (Sampled, Sampled) {
        let (ours, theirs) = (self.student_span(), self.reference_span());
        let samples = options.samples_for(self.student.length_m(ours).max(self.reference.length_m(theirs)));
        let at = |span: (f64, f64)| Stretch::between(span.0, span.1, samples);
        (Sampled::new(&self.student.curve, at(ours)), Sampled::new(&self.reference.curve, at(theirs)))
    }

    fn add_to(&self, alignment: &mut Alignment, options: &AlignOptions) -> Result<(), AlignError> {
        let (ours, theirs) = self.sampled(options);
        let samples = ours.points.len();
        let band = options.band_for(samples);
        let none = AlignError::NoAdmissiblePath { student: samples, reference: samples, step: options.step, band };
        let (warping, linear_cost) = warped(&ours.points, &theirs.points, options, band)?.ok_or(none)?;
        let matches = Matches { student: &ours, reference: &theirs, path: &warping.path };
        if matches.pairs() < MIN_SAMPLES {
            alignment.dropped.push(self.dropped(Message::new("align.dropped_gaps")));
            return Ok(());
        }
        let anchor_s = (self.from.student_s, self.from.reference_s);
        let matched = matches.samples(self.student, self.student_span(), anchor_s, alignment.segments.len());
        let last_s = alignment.samples.last().map_or(f64::NEG_INFINITY, |sample| sample.time_s);
        alignment.samples.extend(matched.into_iter().filter(|sample| sample.time_s > last_s));
        alignment.warnings.extend(self.gaps());
        alignment.segments.push(self.segment(ours.at, theirs.at, warping, linear_cost));
        Ok(())
    }

    fn segment(&self, student: Stretch, reference: Stretch, warping: Warping, linear_cost: Option<f64>) -> Segment {
        let student_s = self.to.student_s - self.from.student_s;
        let reference_s = self.to.reference_s - self.from.reference_s;
        Segment {
            from: Some(self.from.name),
            to: Some(self.to.name),
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

    /// Says how many rows of either swing have no data here.
    fn gaps(&self) -> impl Iterator<Item = Message> {
        let student = (self.student.gaps(self.student_span()), Message::new("align.student_gaps"));
        let reference = (self.reference.gaps(self.reference_span()), Message::new("align.reference_gaps"));
        let found = [student, reference].into_iter().filter(|(rows, _)| *rows > 0);
        found.map(|(rows, message)| self.named(message.with("rows", rows)))
    }
}
