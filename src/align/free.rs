//! Free mode: the whole paths, each in its own time, with open ends.
//!
//! Both swings are sampled at one time step, so that the slope of the warping path is the ratio of their speeds. At
//! either end samples of *one* of the two, at most the share [`AlignOptions::open_ends`] of it, may be left out: the path
//! starts in `(i, 0)` or `(0, j)` and ends in `(i, M - 1)` or `(N - 1, j)`. Among these, and among all paths between
//! them, the one with the least *normalised* cost is taken: cost over `N' + M'`, the lengths of the matched parts.
//! (The plain sum would always leave out as much as it may, because every pair costs something.)

use super::matched::Matches;
use super::stretch::{Sampled, Stretch};
use super::{AlignError, AlignOptions, Alignment, Cells, MIN_SAMPLES, Segment, Timed, Warping};
use crate::words::Message;

/// First and last time with data, and the rows without data between them.
struct Extent {
    start_s: f64,
    end_s: f64,
    gaps: usize,
}

pub(super) fn align(student: &Timed, reference: &Timed, options: &AlignOptions) -> Result<Alignment, AlignError> {
    let ours = extent(student).map_err(|usable| AlignError::StudentTooShort { usable })?;
    let theirs = extent(reference).map_err(|usable| AlignError::ReferenceTooShort { usable })?;
    let step_s = common_step(&ours, &theirs, options);
    let ours_sampled = Sampled::new(&student.curve(), stretch(&ours, step_s));
    let theirs_sampled = Sampled::new(&reference.curve(), stretch(&theirs, step_s));
    let warping = warp_open(&ours_sampled, &theirs_sampled, options)?;
    let mut alignment = Alignment::empty(options);
    warn_of_gaps(&mut alignment, &ours, &theirs);
    let segment = segment(ours_sampled.at, theirs_sampled.at, warping);
    let matches = Matches { student: &ours_sampled, reference: &theirs_sampled, path: &segment.path };
    let (first, last) = ends(&segment.path);
    let span_s = (segment.student.time_s(first.0 as f64), segment.student.time_s(last.0 as f64));
    let anchor_s = (span_s.0, segment.reference.time_s(first.1 as f64));
    alignment.samples = matches.samples(student, span_s, anchor_s, 0);
    alignment.segments.push(segment);
    Ok(alignment)
}

/// What of a swing has data; the number of rows that have, where they are too few.
fn extent(timed: &Timed) -> Result<Extent, usize> {
    let usable: Vec<f64> = timed.usable(f64::NEG_INFINITY, f64::INFINITY).map(|(time_s, _)| time_s).collect();
    match usable[..] {
        [start_s, .., end_s] if usable.len() >= MIN_SAMPLES => {
            Ok(Extent { start_s, end_s, gaps: timed.rows(start_s, end_s).count() - usable.len() })
        }
        _ => Err(usable.len()),
    }
}

/// The step at which the longer swing has the samples asked for.
fn common_step(ours: &Extent, theirs: &Extent, options: &AlignOptions) -> f64 {
    let longer_s = (ours.end_s - ours.start_s).max(theirs.end_s - theirs.start_s);
    longer_s / (options.samples_for_all() - 1) as f64
}

fn stretch(extent: &Extent, step_s: f64) -> Stretch {
    // A last step that rounding alone makes too long still counts.
    let steps = ((extent.end_s - extent.start_s) / step_s + 1e-6).floor();
    Stretch { start_s: extent.start_s, step_s, samples: steps as usize + 1 }
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

fn warn_of_gaps(alignment: &mut Alignment, ours: &Extent, theirs: &Extent) {
    if ours.gaps > 0 {
        alignment.warnings.push(Message::new("align.student_gaps_free").with("rows", ours.gaps));
    }
    if theirs.gaps > 0 {
        alignment.warnings.push(Message::new("align.reference_gaps_free").with("rows", theirs.gaps));
    }
}
