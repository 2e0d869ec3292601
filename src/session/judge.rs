//! The student's findings beside the references of a job, also under a turned target line, and the references as one.

use super::{BandWish, Job, Readings, Session};
use crate::compare::scale_reference;
use crate::findings::{Beside, Finding, Told, findings, reading};
use crate::measure::{Measure, measures};
use crate::picture::{Band, LengthDisplay};
use crate::plain;
use crate::report::SwingReport;
use crate::sets::{Choice, LEAST_SWINGS, SwingSet, likeness, reference_set, suited};
use crate::swing::Swing;

/// What a turned target line leads to.
#[derive(Clone, Debug)]
pub struct Turned {
    /// As in a report.
    pub measures: Vec<Measure>,
    /// As in a report.
    pub findings: Vec<Finding>,
}

plain::record!(Turned { measures, findings });

impl Session {
    /// What if the student's target line lay `degrees` of the job farther to the out side? Intervals are drawn anew, and
    /// the certainty of the findings goes by them. Nothing without a swing of the student.
    pub fn aim(&mut self, job: &Job) -> Option<Turned> {
        self.prepare(job);
        let turned = self.student(job)?.turned(job.degrees);
        let measures = measures(&turned);
        let findings = findings(&turned, &measures, &self.beside(job), &job.thresholds);
        Some(Turned { measures, findings })
    }

    /// The band of the references of a job; none of too few. It takes its time.
    pub fn band(&mut self, job: &Job) -> Option<Band> {
        self.prepare(job);
        let student = self.student(job)?;
        let references = self.references(job, student);
        if references.len() < LEAST_SWINGS {
            return None;
        }
        let factor = |swing: &Swing| student.size.factor_for(&swing.size).map_or(1.0, |(factor, _)| factor);
        let scaled: Vec<Swing> = references.iter().map(|(_, swing)| scale_reference(swing, factor(swing))).collect();
        Some(band_of(student, &scaled.iter().collect::<Vec<_>>(), job.band))
    }

    fn student(&self, job: &Job) -> Option<&Swing> {
        self.kept(self.shown(job)?.id)?.swing()
    }
}

/// Of the references like the student where those are wished for and there are enough, else of all of the student's kind.
fn band_of(student: &Swing, references: &[&Swing], wish: BandWish) -> Band {
    let like = references.iter().filter(|reference| likeness(student, reference).unlike.is_empty()).count();
    let choice = if like < LEAST_SWINGS { Choice::SameKind } else { wish.of };
    let unlike = |set: &SwingSet| set.labels.len().saturating_sub(like);
    let set = reference_set(student, references, choice, wish.kind).set;
    set.map_or_else(|_| Band::default(), |set| Band::new(&set, unlike(&set)))
}

impl Session {
    /// Tells the student's findings beside the references; the reading in both units.
    pub(super) fn judge(&self, job: &Job, swing: &Swing, report: &mut SwingReport) -> Readings {
        let references = self.beside(job);
        report.judge(swing, &references, &job.thresholds);
        let (measures, findings) = (&report.measures[..], &report.findings[..]);
        let inch = reading(&Told { swing, measures, findings, references: &references }, &inches);
        Readings { cm: report.reading.clone(), inch }
    }

    /// The references of a job that the student is held against.
    fn beside(&self, job: &Job) -> Vec<Beside<'_>> {
        let Some(student) = self.student(job) else { return vec![] };
        let references = self.references(job, student);
        let measured = references
            .iter()
            .filter_map(|(file, swing)| Some((swing, &self.kept(file.id)?.report()?.swing.measures[..])));
        suited(student, &measured.collect::<Vec<_>>())
    }
}

fn inches(metres: f64) -> String {
    let size = LengthDisplay::Inch.size(metres, ".");
    LengthDisplay::Inch.spelled(size.as_deref().unwrap_or("0"))
}
