//! The comparison and its picture, as the page gets them.

use crate::align::{AlignOptions, Alignment};
use crate::compare::{AtInstant, Compared, Comparison, compare as compare_swings, deviations_at_instants};
use crate::findings::{Limit, limits};
use crate::picture::{Figure, Picture};
use crate::plain;
use crate::swing::{InstantName, Swing};
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
    name: String,
    /// What its lengths were multiplied by, and the body length that this rests on.
    factor: f64,
    factor_source: Option<&'static str>,
    rows: Vec<Row>,
    /// Why it could not be aligned in time.
    error: Option<Message>,
    /// What makes this comparison a doubtful one.
    warnings: Vec<Message>,
    /// What to know when reading the numbers.
    notes: Vec<Message>,
}

plain::record!(Reference { id, name, factor, factor_source, rows, error, warnings, notes });

/// The student against a reference at one instant: student minus reference, metres; later is positive, seconds.
#[derive(Clone, Debug)]
struct Row {
    name: InstantName,
    time_s: Option<f64>,
    sd_s: Option<f64>,
    reference_time_s: Option<f64>,
    out_m: f64,
    target_m: f64,
    up_m: f64,
    lateness_s: Option<f64>,
    since: Option<InstantName>,
}

plain::record!(Row { name, time_s, sd_s, reference_time_s, out_m, target_m, up_m, lateness_s, since });

/// Compares and draws. Without a student there is neither.
pub(super) fn compare(
    student: Option<&Swing>,
    references: &[Swing],
    ids: &[u32],
    options: &AlignOptions,
) -> (Against, Option<Picture>) {
    let Some(student) = student else { return (Against::default(), None) };
    match compare_swings(student, references, options) {
        Ok(comparison) => (answer(&comparison, ids), Some(picture(&comparison))),
        Err(error) => {
            let alone = Picture { student: Figure::new(student), ..Picture::default() };
            (Against { limits: limits(), error: Some(error.message()), ..Against::default() }, Some(alone))
        }
    }
}

fn answer(comparison: &Comparison, ids: &[u32]) -> Against {
    let deviations = deviations_at_instants(comparison);
    let found = comparison.references.iter().zip(deviations).zip(ids);
    let references = found.map(|((compared, rows), id)| reference(&comparison.student, compared, &rows, *id)).collect();
    Against { references, limits: limits(), error: None }
}

fn reference(student: &Swing, compared: &Compared, rows: &[AtInstant], id: u32) -> Reference {
    let alignment = compared.alignment.as_ref();
    let aligned = alignment.ok();
    let mut warnings = compared.warnings.clone();
    warnings.extend(aligned.iter().flat_map(|alignment| alignment.warnings.clone()));
    warnings.extend(aligned.iter().flat_map(|alignment| alignment.dropped.iter().map(|dropped| dropped.why.clone())));
    Reference {
        id,
        name: compared.swing.label.clone(),
        factor: compared.factor,
        factor_source: compared.factor_source,
        rows: rows.iter().map(|row| Row::of(row, student, &compared.swing)).collect(),
        error: alignment.err().map(|error| error.message()),
        warnings,
        notes: aligned.map(|alignment| alignment.bias.clone()).into_iter().collect(),
    }
}

impl Row {
    fn of(row: &AtInstant, student: &Swing, reference: &Swing) -> Row {
        let own = student.instant(row.instant);
        let [out_m, target_m, up_m] = row.difference;
        Row {
            name: row.instant,
            time_s: own.map(|instant| instant.time_s),
            sd_s: own.map(|instant| instant.sd_s),
            reference_time_s: reference.instant(row.instant).map(|instant| instant.time_s),
            out_m,
            target_m,
            up_m,
            lateness_s: row.lateness_s,
            since: row.since,
        }
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
