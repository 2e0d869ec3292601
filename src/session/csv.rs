//! Measures and aligned paths as tables for a spreadsheet.
//!
//! RFC 4180: a header, commas, lines that end with CR LF, quotes around a field that needs them. UTF-8, a decimal point,
//! six decimals; an empty field is what could not be told. Units stand in the column's name or in a column of their own.

use super::{Answer, Job, Slot};
use crate::decimal;
use crate::formats::Point;
use crate::measure::{Measure, size_factor};
use crate::picture::{Figure, Picture};

/// Micrometres, microseconds: finer than anything measured.
const DECIMALS: u32 = 6;

const MEASURES: &str = "swing,what,against,measure,unit,value,low_90,high_90";

const PATHS: &str = "student,reference,instant,student_time_s,student_out_m,student_target_m,student_up_m,\
    reference_time_s,reference_out_m,reference_target_m,reference_up_m,deviation_out_m,deviation_target_m,deviation_up_m";

/// Every measure, with both ends of its 90 % interval: of the student's swings, of each reference at the student's size,
/// and the differences of the swing shown from each reference in the first measures. `what` is `student`, `earlier`,
/// `reference` or `difference`; a difference is that of the swing `against` the reference.
pub(super) fn measures(job: &Job, answer: &Answer) -> String {
    let mut table = Table::new(MEASURES);
    let measures = |id| answer.files.iter().find(|file| file.id == id).map(|file| &file.report.swing.measures[..]);
    for (slot, what) in [(Slot::Student, "student"), (Slot::Earlier, "earlier")] {
        for file in job.in_slot(slot) {
            let found = measures(file.id).unwrap_or_default();
            found.iter().for_each(|measure| table.measure([&file.label, what, ""], measure, 1.0));
        }
    }
    let shown = job.files.iter().find(|file| Some(file.id) == answer.shown).map_or("", |file| &file.label);
    for (id, name, differs) in answer.comparison.differs() {
        let factor = differs.factor.unwrap_or(1.0);
        let found = measures(id).unwrap_or_default();
        found.iter().for_each(|measure| table.measure([name, "reference", ""], measure, size_factor(measure, factor)));
        differs.measures.iter().for_each(|measure| table.measure([shown, "difference", name], measure, 1.0));
    }
    table.0
}

/// The student's hands from address to finish, a row per sample and reference: where the hands are, where those of the
/// reference are at the matched moment, at the student's size, and the student minus the reference. Without references
/// their fields are empty. `instant` names the sample that is nearest to one.
pub(super) fn paths(picture: &Picture) -> String {
    let mut table = Table::new(PATHS);
    if picture.references.is_empty() {
        path(&mut table, &picture.student, None);
    }
    picture.references.iter().for_each(|reference| path(&mut table, &picture.student, Some(reference)));
    table.0
}

fn path(table: &mut Table, student: &Figure, reference: Option<&Figure>) {
    let times = &student.time_s;
    let (from, to) = student.span();
    let (Some(first), Some(last)) = (nearest(times, from), nearest(times, to)) else { return };
    let instants = student.marks.iter().filter_map(|mark| Some((nearest(times, mark.time_s)?, &mark.name[..])));
    let instants: Vec<(usize, &str)> = instants.collect();
    for (i, time_s) in times.iter().enumerate().take(last + 1).skip(first) {
        let at: Vec<&str> = instants.iter().filter(|(index, _)| *index == i).map(|(_, name)| *name).collect();
        let hands = Figure::point(&student.hands, i);
        let matched_s = reference.and_then(|reference| reference.matched_s.get(i)).copied().unwrap_or(f64::NAN);
        let theirs = reference.filter(|_| matched_s.is_finite());
        let theirs = theirs.map_or([f64::NAN; 3], |reference| reference.at(&reference.hands, matched_s));
        let deviation: Point = [0, 1, 2].map(|axis| hands[axis] - theirs[axis]);
        let numbers = [&[*time_s][..], &hands, &[matched_s], &theirs, &deviation].concat();
        table.row(&[&student.label, reference.map_or("", |reference| &reference.label), &at.join("; ")], &numbers);
    }
}

/// Index of the time nearest to one; the times increase.
fn nearest(times: &[f64], time_s: f64) -> Option<usize> {
    let after = times.partition_point(|t| *t < time_s);
    let before = after
        .checked_sub(1)
        .filter(|before| times.get(after).is_none_or(|next| time_s - times[*before] <= next - time_s));
    before.or((after < times.len()).then_some(after))
}

struct Table(String);

impl Table {
    fn new(head: &str) -> Table {
        Table(format!("{head}\r\n"))
    }

    fn measure(&mut self, [swing, what, against]: [&str; 3], measure: &Measure, factor: f64) {
        let number = |value: Option<f64>| value.map_or(f64::NAN, |value| value * factor);
        let numbers = [measure.value, measure.low_90, measure.high_90].map(number);
        self.row(&[swing, what, against, measure.name, measure.unit], &numbers);
    }

    fn row(&mut self, texts: &[&str], numbers: &[f64]) {
        let fields = texts.iter().map(|text| field(text)).chain(numbers.iter().map(|number| told(*number)));
        self.0.push_str(&fields.collect::<Vec<_>>().join(","));
        self.0.push_str("\r\n");
    }
}

fn told(number: f64) -> String {
    if number.is_finite() { decimal::fixed(number, DECIMALS) } else { String::new() }
}

/// A name that begins like a formula would be run by a spreadsheet: it gets an apostrophe, which takes it for text.
fn field(text: &str) -> String {
    let formula = if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { "'" } else { "" };
    match text.contains([',', '"', '\r', '\n']) {
        true => format!("\"{formula}{}\"", text.replace('"', "\"\"")),
        false => format!("{formula}{text}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_quoted_as_rfc_4180_has_it_and_run_nothing() {
        let rows = [
            ("reference B", "reference B"),
            ("a, \"b\"", "\"a, \"\"b\"\"\""),
            ("two\nlines", "\"two\nlines\""),
            ("=1+1", "'=1+1"),
            ("@x,y", "\"'@x,y\""),
        ];
        rows.iter().for_each(|(text, expected)| assert_eq!(field(text), *expected));
    }

    #[test]
    fn what_cannot_be_told_is_empty() {
        assert_eq!([f64::NAN, f64::INFINITY, -0.0, -1.25].map(told), ["", "", "0.000000", "-1.250000"]);
    }

    #[test]
    fn an_instant_goes_to_the_nearest_sample() {
        let times = [0.0, 1.0, 2.0];
        let rows = [(-1.0, 0), (0.4, 0), (0.5, 0), (0.6, 1), (2.0, 2), (9.0, 2)];
        rows.iter().for_each(|(time_s, index)| assert_eq!(nearest(&times, *time_s), Some(*index), "{time_s}"));
        assert_eq!(nearest(&[], 1.0), None);
    }
}
