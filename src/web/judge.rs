//! The student's findings beside the references of a job, also under a turned target line.

use super::object;
use super::session::{Job, Session, Slot, given};
use crate::findings::{Beside, Finding, Thresholds, Told, findings, reading};
use crate::measure::{Measure, without_intervals};
use crate::picture::LengthDisplay;
use crate::plain;
use crate::report::SwingReport;
use crate::swing::Swing;
use wasm_bindgen::prelude::*;

/// What a turned target line leads to.
struct Turned {
    measures: Vec<Measure>,
    findings: Vec<Finding>,
}

plain::record!(Turned { measures, findings });

#[wasm_bindgen]
impl Session {
    /// What if the student's target line lay `degrees` farther to the out side: `{measures, findings}` of a job with that
    /// field, as in a report, the measures without intervals. Null without a swing of the student.
    pub fn aim(&self, job: JsValue) -> Result<JsValue, JsValue> {
        let job: Job = given(job)?;
        let Some(swing) = job.in_slot(Slot::Student).next().and_then(|file| self.kept(file.id)?.swing()) else {
            return Ok(JsValue::NULL);
        };
        let turned = swing.turned(job.degrees);
        let measures = without_intervals(&turned);
        let findings = findings(&turned, &measures, &self.beside(&job), &Thresholds::default());
        object::told(&Turned { measures, findings })
    }
}

impl Session {
    /// Tells the student's findings beside the references, lengths in the unit that the page shows.
    pub(super) fn judge(&self, job: &Job, swing: &Swing, report: &mut SwingReport) {
        let beside = self.beside(job);
        report.judge(swing, &beside, &Thresholds::default());
        if job.unit == LengthDisplay::Inch {
            let (measures, findings) = (&report.measures[..], &report.findings[..]);
            report.reading = reading(&Told { swing, measures, findings, references: &beside }, &inches);
        }
    }

    /// The references of a job that hold a swing, to be brought to the student's size.
    fn beside(&self, job: &Job) -> Vec<Beside<'_>> {
        let student = job.in_slot(Slot::Student).next().and_then(|file| self.kept(file.id)?.swing());
        let Some(student) = student else { return vec![] };
        let references = job.in_slot(Slot::Reference).filter_map(|file| {
            let kept = self.kept(file.id)?;
            let factor = student.size.factor_for(&kept.swing()?.size).map_or(1.0, |(factor, _)| factor);
            Some(Beside { measures: &kept.report()?.swing.measures, factor })
        });
        references.collect()
    }
}

fn inches(metres: f64) -> String {
    let size = LengthDisplay::Inch.size(metres, ".");
    LengthDisplay::Inch.spelled(size.as_deref().unwrap_or("0"))
}
