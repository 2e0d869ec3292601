//! What the native core makes of the files that the page is given.

use anyhow::{Context, Result, anyhow};
use handpath::align::AlignOptions;
use handpath::compare::{AtInstant, compare, deviations_at_instants};
use handpath::findings::{Beside, Thresholds};
use handpath::formats::write::{BvhOptions, C3dOptions, TextOptions, bvh, c3d, text, trc};
use handpath::formats::{ReadOptions, Recording, read};
use handpath::measure::Measure;
use handpath::model::{Motion, SampleOptions, sample, sample_skeleton, student};
use handpath::report::{Differs, SwingReport};
use handpath::roles::{Role, assign};
use handpath::sets::suited;
use handpath::settings::Corrections;
use handpath::swing::{Swing, analyse};

/// One swing of the model in the four formats, by file name.
pub(super) fn student_files() -> Result<Vec<(&'static str, Vec<u8>)>> {
    let params = student(2, 3);
    let motion = Motion::new(&params);
    let options = SampleOptions::default();
    let out_of_reach = || anyhow!("the model's arms do not reach");
    let recording = sample(&motion, &params, &options).map_err(|_| out_of_reach())?;
    let (skeleton, frames) = sample_skeleton(&motion, &params, &options).map_err(|_| out_of_reach())?;
    Ok(vec![
        ("first.c3d", c3d(&recording, &C3dOptions::default())),
        ("second.csv", text(&recording, &TextOptions::default())),
        ("third.trc", trc(&recording, "lesson", 5)),
        ("fourth.bvh", bvh(&skeleton, options.rate_hz, &frames, &BvhOptions::default())),
    ])
}

/// A file as the page has it: bytes and corrections.
#[derive(Clone, Debug)]
pub(super) struct Given {
    pub(super) bytes: Vec<u8>,
    pub(super) corrections: Corrections,
}

impl Given {
    pub(super) fn plain(bytes: &[u8]) -> Given {
        Given { bytes: bytes.to_vec(), corrections: Corrections::default() }
    }

    pub(super) fn recording(&self) -> Result<Recording> {
        Ok(read(&self.bytes, &ReadOptions { rate_hz: self.corrections.rate })?)
    }

    fn swing(&self) -> Result<Swing> {
        Ok(analyse(&self.recording()?, None, &self.corrections)?)
    }

    /// A track that stands for the middle of the hands differently than the guess does: that of one wrist or hand.
    pub(super) fn other_hands(&self) -> Result<String> {
        let recording = self.recording()?;
        let roles = assign(&recording, &self.corrections.roles).map_err(|error| anyhow!("{}", error.message()))?;
        let found = [Role::LeftWrist, Role::LeftHand].iter().find_map(|role| roles.assigned.get(role));
        let track = found.and_then(|assignment| assignment.tracks.first()).context("a wrist or a hand")?;
        Ok(recording.tracks[*track].name.clone())
    }
}

/// The rows of the page's table: student against reference at the instants.
pub(super) fn rows(student: &Given, reference: &Given) -> Result<Vec<AtInstant>> {
    let comparison = compare(&student.swing()?, &[reference.swing()?], &AlignOptions::default())
        .map_err(|error| anyhow!("{}", error.message()))?;
    deviations_at_instants(&comparison).pop().context("one reference")
}

/// What is said of a student beside references.
pub(super) struct Judged {
    pub(super) report: SwingReport,
    /// Mean out drift of the references at lead arm level, at the student's size.
    pub(super) usual_m: f64,
    /// The student against the first of them.
    pub(super) first: Differs,
}

impl Judged {
    pub(super) fn value(&self, name: &str) -> Result<f64> {
        let found = self.report.measures.iter().find(|measure| measure.name == name);
        found.and_then(|measure| measure.value).with_context(|| format!("natively there is no {name}"))
    }

    pub(super) fn drift_m(&self) -> Result<f64> {
        self.value("out drift, at lead arm level")
    }
}

/// Judges a student, the target line turned by `degrees`, beside references.
pub(super) fn judged(student: &Given, references: &[Given], degrees: f64) -> Result<Judged> {
    judged_by(student, references, degrees, &Thresholds::default())
}

/// The same with thresholds of the coach's own.
pub(super) fn judged_by(
    student: &Given,
    references: &[Given],
    degrees: f64,
    thresholds: &Thresholds,
) -> Result<Judged> {
    let swing = student.swing()?.turned(degrees);
    let others = references.iter().map(Given::swing).collect::<Result<Vec<_>>>()?;
    let reports: Vec<SwingReport> = others.iter().map(SwingReport::of).collect();
    let measured: Vec<(&Swing, &[Measure])> =
        others.iter().zip(&reports).map(|(other, report)| (other, &report.measures[..])).collect();
    let beside = suited(&swing, &measured);
    let mut report = SwingReport::of(&swing);
    report.judge(&swing, &beside, thresholds);
    let drift = |reference: &Beside| {
        let measure = reference.measures.iter().find(|measure| measure.name == "out drift, at lead arm level")?;
        Some(measure.value? * reference.factor)
    };
    let drifts: Vec<f64> = beside.iter().filter_map(drift).collect();
    let comparison =
        compare(&swing, &others, &AlignOptions::default()).map_err(|error| anyhow!("{}", error.message()))?;
    let at = deviations_at_instants(&comparison);
    let first = comparison.references.first().zip(at.first()).zip(reports.first()).context("no reference")?;
    let ((compared, at), theirs) = first;
    let first = Differs::of(&swing, compared, at).measured(&report.measures, &theirs.measures, None);
    Ok(Judged { report, usual_m: drifts.iter().sum::<f64>() / drifts.len() as f64, first })
}
