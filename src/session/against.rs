//! The comparison and its picture, as the page gets them.

use crate::align::{AlignOptions, Alignment};
use crate::compare::{AtInstant, Compared, Comparison, compare as compare_swings, deviations_at_instants};
use crate::findings::{Limit, limits};
use crate::measure::{Measure, size_factor};
use crate::picture::{Figure, Picture};
use crate::plain;
use crate::report::{Differs, LikenessReport};
use crate::sets::likeness;
use crate::swing::Swing;
use crate::words::Message;

/// What the page gets beside the reports of the files.
#[derive(Clone, Debug, Default)]
pub struct Against {
    references: Vec<Reference>,
    /// The thresholds that the findings go by, as the rule table has them.
    limits: Vec<Limit>,
    /// Why nothing could be compared.
    error: Option<Message>,
}

plain::record!(Against { references, limits, error });

/// The student against one reference.
#[derive(Clone, Debug)]
struct Reference {
    id: u32,
    /// Its name, and how like the student it is.
    likeness: LikenessReport,
    differs: Differs,
    /// Its measures at the student's size, those that have a value.
    at_size: Vec<AtSize>,
    /// What the alignment leaves out.
    warnings: Vec<Message>,
    /// What to know when reading the numbers.
    notes: Vec<Message>,
}

plain::record!(Reference { id, likeness: inline, differs: inline, at_size, warnings, notes });

/// A measure of a reference at the student's size.
#[derive(Clone, Copy, Debug)]
struct AtSize {
    name: &'static str,
    value: f64,
}

plain::record!(AtSize { name, value });

impl Against {
    /// Number and name of the first reference that is like the student, else of the first: the one that a page shows.
    pub(super) fn first_like(&self) -> Option<(u32, &str)> {
        let like = self.references.iter().find(|reference| reference.likeness.like);
        like.or(self.references.first()).map(|reference| (reference.id, &reference.likeness.name[..]))
    }

    /// Number and name of each reference, and how the student differs from it.
    pub(super) fn differs(&self) -> impl Iterator<Item = (u32, &str, &Differs)> {
        self.references.iter().map(|reference| (reference.id, &reference.likeness.name[..], &reference.differs))
    }
}

/// A swing of a job, under the name that the page shows.
pub(super) struct Measured<'a> {
    pub(super) id: u32,
    pub(super) swing: Swing,
    /// At its own size.
    pub(super) measures: &'a [Measure],
    /// Does its target line err as the student's does?
    pub(super) one_line: bool,
}

/// Compares and draws.
pub(super) fn compare(
    student: &Measured,
    references: &[Measured],
    options: &AlignOptions,
) -> (Against, Option<Picture>) {
    let swings: Vec<Swing> = references.iter().map(|reference| reference.swing.clone()).collect();
    match compare_swings(&student.swing, &swings, options) {
        Ok(comparison) => (answer(student, references, &comparison), Some(picture(&comparison))),
        Err(error) => {
            let alone = Picture { student: Figure::new(&student.swing), ..Picture::default() };
            (Against { limits: limits(), error: Some(error.message()), ..Against::default() }, Some(alone))
        }
    }
}

fn answer(student: &Measured, references: &[Measured], comparison: &Comparison) -> Against {
    let deviations = deviations_at_instants(comparison);
    let found = references.iter().zip(&comparison.references).zip(&deviations);
    let references = found.map(|((given, compared), at)| reference(student, given, compared, at)).collect();
    Against { references, limits: limits(), error: None }
}

fn reference(student: &Measured, given: &Measured, compared: &Compared, at: &[AtInstant]) -> Reference {
    let aligned = compared.alignment.as_ref().ok();
    let dropped = aligned.iter().flat_map(|alignment| alignment.dropped.iter().map(|dropped| dropped.why.clone()));
    let one_line = given.one_line.then_some([&student.swing, &given.swing]);
    Reference {
        id: given.id,
        likeness: LikenessReport::of((&compared.swing, likeness(&student.swing, &compared.swing))),
        differs: Differs::of(&student.swing, compared, at).measured(student.measures, given.measures, one_line),
        at_size: given.measures.iter().filter_map(|measure| AtSize::of(measure, compared.factor)).collect(),
        warnings: aligned.iter().flat_map(|alignment| alignment.warnings.clone()).chain(dropped).collect(),
        notes: aligned.map(|alignment| alignment.bias.clone()).into_iter().collect(),
    }
}

impl AtSize {
    fn of(measure: &Measure, factor: f64) -> Option<AtSize> {
        Some(AtSize { name: measure.name, value: measure.value? * size_factor(measure, factor) })
    }
}

fn picture(comparison: &Comparison) -> Picture {
    let deviations = deviations_at_instants(comparison);
    let student = Figure::new(&comparison.student);
    let references = comparison.references.iter().zip(&deviations);
    let references = references.map(|(compared, rows)| figure(compared, rows, &student.time_s)).collect();
    Picture { student, references, ..Picture::default() }
}

fn figure(compared: &Compared, rows: &[AtInstant], times: &[f64]) -> Figure {
    let mut figure = Figure::new(&compared.swing);
    for mark in &mut figure.marks {
        let row = rows.iter().find(|row| row.instant.name() == mark.name);
        mark.deviation = row.map(|row| row.difference);
    }
    if let Ok(alignment) = &compared.alignment {
        figure.matched_s = matched(alignment, times);
    }
    figure
}

/// The reference's time per student sample; NaN without a match.
fn matched(alignment: &Alignment, times: &[f64]) -> Vec<f64> {
    let mut samples = alignment.samples.iter().peekable();
    let at = |time: &f64| {
        while samples.next_if(|sample| sample.time_s < *time - SAME_S).is_some() {}
        samples.peek().filter(|sample| sample.time_s < *time + SAME_S).map_or(f64::NAN, |sample| sample.matched_time_s)
    };
    times.iter().map(at).collect()
}

/// Times closer than this are one sample, seconds.
const SAME_S: f64 = 1e-6;
