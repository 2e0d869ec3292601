//! Free mode: the whole paths, each in its own time, with open ends.
//!
//! Both swings are sampled at one time step, so that the slope of the warping path is the ratio of their speeds. At
//! either end samples of *one* of the two, at most the share [`AlignOptions::open_ends`] of it, may be left out: the path
//! starts in `(i, 0)` or `(0, j)` and ends in `(i, M - 1)` or `(N - 1, j)`. Among these, and among all paths between
//! them, the one with the least *normalised* cost is taken: cost over `N' + M'`, the lengths of the matched parts.
//! (The plain sum would always leave out as much as it may, because every pair costs something.)

use super::matched::Matches;
use super::series::Series;
use super::stretch::{Sampled, Stretch};
use super::{AlignError, AlignOptions, Alignment, Cells, MIN_SAMPLES, Segment, Warping};
use crate::words::Message;

/// First and last time.
type Span = (f64, f64);

pub(super) fn align(student: &Series, reference: &Series, options: &AlignOptions) -> Result<Alignment, AlignError> {
    let our_span = whole(student).map_err(|usable| AlignError::StudentTooShort { usable })?;
    let their_span = whole(reference).map_err(|usable| AlignError::ReferenceTooShort { usable })?;
    let longer_s = (our_span.1 - our_span.0).max(their_span.1 - their_span.0);
    let step_s = longer_s / (options.samples_for_all() - 1) as f64;
    let ours = Sampled::new(&student.curve, stretch(our_span, step_s));
    let theirs = Sampled::new(&reference.curve, stretch(their_span, step_s));
    let warping = warp_open(&ours, &theirs, options)?;
    let segment = segment(ours.at, theirs.at, warping);
    let (first, last) = ends(&segment.path);
    let span = (ours.at.time_s(first.0 as f64), ours.at.time_s(last.0 as f64));
    let anchor_s = (span.0, theirs.at.time_s(first.1 as f64));
    let matches = Matches { student: &ours, reference: &theirs, path: &segment.path };
    let mut alignment = Alignment::empty(options);
    alignment.samples = matches.samples(student, span, anchor_s, 0);
    alignment.segments.push(segment);
    if cut(student, our_span) {
        alignment.warnings.push(stretch_only(Message::new("align.student_cut"), our_span));
    }
    if cut(reference, their_span) {
        alignment.warnings.push(stretch_only(Message::new("align.reference_cut"), their_span));
    }
    Ok(alignment)
}

/// The longest stretch without a gap; the number of its rows, where they are too few.
fn whole(series: &Series) -> Result<Span, usize> {
    let (rows, span) = series.longest_run();
    if rows < MIN_SAMPLES { Err(rows) } else { Ok(span) }
}

/// Are there rows with data outside the span?
fn cut(series: &Series, span: Span) -> bool {
    series.usable((f64::NEG_INFINITY, f64::INFINITY)).count() > series.rows(span).len()
}

fn stretch_only(message: Message, span: Span) -> Message {
    message.with("from_s", span.0).with("to_s", span.1)
}

fn stretch(span: Span, step_s: f64) -> Stretch {
    // A last step that rounding alone makes too long still counts.
    let steps = ((span.1 - span.0) / step_s + 1e-6).floor();
    Stretch { start_s: span.0, step_s, samples: steps as usize + 1 }
}

fn warp_open(ours: &Sampled, theirs: &Sampled, options: &AlignOptions) -> Result<Warping, AlignError> {
    let (n, m) = (ours.points.len(), theirs.points.len());
    if n < MIN_SAMPLES {
        return Err(AlignError::StudentTooShort { usable: n });
    }
    if m < MIN_SAMPLES {
        return Err(AlignError::ReferenceTooShort { usable: m });
    }
    let band = options.band_for(n.max(m));
    let slack = |samples: usize| (options.open_ends * (samples - 1) as f64).floor() as usize;
    let cells = Cells::of_points(&ours.points, &theirs.points, options.local_cost, options.step)?;
    let warping = cells.band(band).open_ends(slack(n), slack(m)).cheapest_per_weight();
    let step = options.step;
    warping.ok_or(AlignError::NoAdmissiblePath { student: n, reference: m, step, band })
}

/// First and last cell. (A path has at least one.)
fn ends(path: &[(usize, usize)]) -> ((usize, usize), (usize, usize)) {
    let cell = |cell: Option<&(usize, usize)>| cell.copied().unwrap_or_default();
    (cell(path.first()), cell(path.last()))
}

fn segment(student: Stretch, reference: Stretch, warping: Warping) -> Segment {
    let (first, last) = ends(&warping.path);
    let student_s = (last.0 - first.0) as f64 * student.step_s;
    let reference_s = (last.1 - first.1) as f64 * reference.step_s;
    Segment {
        from: None,
        to: None,
        student,
        reference,
        student_s,
        reference_s,
        time_ratio: student_s / reference_s,
        cost: warping.cost,
        normalised_cost: warping.normalised,
        linear_cost: None,
        path: warping.path,
    }
}
