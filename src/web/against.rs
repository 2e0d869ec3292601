//! The comparison and its picture, as the page gets them.

use crate::picture::{Figure, Picture};
use crate::swing::{InstantName, Swing};
use serde::{Deserialize, Serialize};

#[derive(Clone, Debug, Default, Deserialize)]
pub(super) struct Options {}

#[derive(Clone, Debug, Default, Serialize)]
pub(super) struct Answer {
    references: Vec<Reference>,
}

#[derive(Clone, Debug, Serialize)]
struct Reference {
    id: u32,
    rows: Vec<Row>,
}

/// The student against a reference at one instant.
#[derive(Clone, Debug, Serialize)]
struct Row {
    name: InstantName,
    time_s: f64,
    sd_s: f64,
    reference_time_s: f64,
    out_m: f64,
    target_m: f64,
    up_m: f64,
}

pub(super) fn compare(
    student: Option<&Swing>,
    references: &[Swing],
    ids: &[u32],
    _options: &Options,
) -> (Answer, Option<Picture>) {
    let Some(student) = student else { return (Answer::default(), None) };
    let mut answer = Answer::default();
    let mut picture = Picture { student: Figure::new(student, 1.0), references: vec![] };
    for (reference, id) in references.iter().zip(ids) {
        let scale = student.size.factor_for(&reference.size).map_or(1.0, |(scale, _)| scale);
        let rows = rows(student, reference, scale);
        let mut figure = Figure::new(reference, scale);
        for mark in &mut figure.marks {
            let row = rows.iter().find(|row| row.name.name() == mark.name);
            mark.deviation = row.map(|row| [row.out_m, row.target_m, row.up_m]);
        }
        picture.references.push(figure);
        answer.references.push(Reference { id: *id, rows });
    }
    (answer, Some(picture))
}

fn rows(student: &Swing, reference: &Swing, scale: f64) -> Vec<Row> {
    let (mine, theirs) = (student.hand_curve(), reference.hand_curve());
    let row = |name: InstantName| {
        let (a, b) = (student.instant(name)?, reference.instant(name)?);
        let (p, q) = (mine.position(a.time_s)?, theirs.position(b.time_s)?);
        let [out_m, target_m, up_m] = [0, 1, 2].map(|i| p[i] - scale * q[i]);
        Some(Row { name, time_s: a.time_s, sd_s: a.sd_s, reference_time_s: b.time_s, out_m, target_m, up_m })
    };
    InstantName::ALL.into_iter().filter_map(row).collect()
}
