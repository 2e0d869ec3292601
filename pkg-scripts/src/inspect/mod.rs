//! `cargo inspect`: what the core makes of a file, natively.

mod file;
mod options;
mod several;
mod text;
mod tracks;

pub use file::Inspected;
pub use options::{HELP, Request, Stated, parse};

use anyhow::{Context, Result};
use file::inspect;
use handpath::findings::Thresholds;
use handpath::report::Against;
use handpath::sets::suited;
use handpath::swing::Swing;
use std::io::Write;

/// How an inspection ended: the exit codes of the command.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// A swing in every file.
    Found,
    /// Every file is readable, but one holds no swing.
    NoSwing,
    /// A file is not readable.
    NotReadable,
}

impl Outcome {
    /// The exit code.
    pub fn code(self) -> u8 {
        match self {
            Outcome::Found => 0,
            Outcome::NoSwing => 2,
            Outcome::NotReadable => 1,
        }
    }
}

/// Inspects files and writes the answer to `out`.
///
/// # Errors
/// The answer or the tracks could not be written.
pub fn run(request: &Request, out: &mut impl Write) -> Result<Outcome> {
    let thresholds = thresholds(request)?;
    let mut students: Vec<Inspected> = request.files.iter().map(|path| inspect(path, &request.student)).collect();
    let mut references: Vec<Inspected> = request.against.iter().map(|path| inspect(path, &request.reference)).collect();
    let earlier: Vec<Inspected> = request.before.iter().map(|path| inspect(path, &request.earlier)).collect();
    if let Some(student) = students.first().filter(|_| request.own) {
        several::own(student, &mut references);
    }
    for (student, path) in students.iter_mut().zip(&request.files) {
        let compared = references.iter().enumerate().map(|(k, reference)| {
            let swings = student.swing.as_ref().zip(reference.swing.as_ref());
            let one_recording = request.against.get(k) == Some(path);
            let one_line = swings.filter(|_| one_recording && one_stated_line(student, reference));
            Against::of(student.swing.as_ref(), reference.report.clone(), reference.swing.as_ref(), &request.align)
                .measured(&student.report.swing.measures, one_line.map(|(ours, theirs)| [ours, theirs]))
        });
        student.report.alignment = compared.collect();
        judge(student, &references, &thresholds);
    }
    if let (Some(path), [student]) = (&request.tracks, &students[..]) {
        write_tracks(student, path)?;
    }
    let documents = several::documents(request, &students, &references, &earlier);
    if request.json {
        match &documents[..] {
            [document] => serde_json::to_writer(&mut *out, document)?,
            documents => serde_json::to_writer(&mut *out, documents)?,
        }
        writeln!(out)?;
    } else {
        for file in students.iter().chain(&references).chain(&earlier) {
            out.write_all(text::report(&file.report).as_bytes())?;
        }
        for document in &documents {
            out.write_all(text::comparisons(document.report).as_bytes())?;
            out.write_all(several::text(document).as_bytes())?;
        }
    }
    let outcomes = students.iter().chain(&references).chain(&earlier).map(Inspected::outcome);
    Ok(outcomes.max().unwrap_or(Outcome::Found))
}

/// Thresholds that differ from the rule table.
fn thresholds(request: &Request) -> Result<Thresholds> {
    let Some(path) = &request.thresholds else { return Ok(Thresholds::default()) };
    let text = std::fs::read(path).with_context(|| format!("cannot read {}", path.display()))?;
    let stated: Thresholds = serde_json::from_slice(&text)
        .with_context(|| format!("{}: expected a JSON object of numbers by name", path.display()))?;
    stated.checked().map_err(|why| anyhow::anyhow!("{}: {why}", path.display()))
}

/// Tells the student's findings beside the references that suit.
fn judge(student: &mut Inspected, references: &[Inspected], thresholds: &Thresholds) {
    let Some(swing) = &student.swing else { return };
    let compared = references.iter().zip(&student.report.alignment).filter(|(_, with)| with.differs.factor.is_some());
    let measured = compared.filter_map(|(other, _)| Some((other.swing.as_ref()?, &other.report.swing.measures[..])));
    let beside = suited(swing, &measured.collect::<Vec<_>>());
    student.report.swing.judge(swing, &beside, thresholds);
}

/// Do two swings of one recording rest on one target line, which the user states or markers show?
fn one_stated_line(student: &Inspected, reference: &Inspected) -> bool {
    let stated = |inspected: &Inspected| inspected.swing.as_ref().is_some_and(Swing::has_stated_line);
    stated(student) && stated(reference) && student.corrections.target == reference.corrections.target
}

fn write_tracks(student: &Inspected, path: &std::path::Path) -> Result<()> {
    let Some(recording) = &student.recording else { return Ok(()) };
    let scale = handpath::swing::scale(recording, &student.corrections);
    let file = std::fs::File::create(path).with_context(|| format!("cannot write {}", path.display()))?;
    tracks::write(recording, &scale, std::io::BufWriter::new(file))?;
    crate::project::say(&tracks::note(&scale));
    Ok(())
}
