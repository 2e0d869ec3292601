//! `cargo inspect`: what the core makes of a file, natively.

mod file;
mod folder;
mod house;
mod lesson;
mod options;
mod several;
mod shelf;
mod text;
mod tracks;

pub use file::Inspected;
pub use options::{HELP, Request, Stated, parse};

use anyhow::{Context, Result};
use file::{Opened, inspect};
use handpath::align::AlignOptions;
use handpath::findings::Thresholds;
use handpath::lesson::{Lesson, Slot};
use handpath::report::Against;
use handpath::sets::suited;
use handpath::swing::Swing;
use house::House;
use lesson::Swings;
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
    let (request, house) = house::open(request)?;
    if let Some(wanted) = &request.shelf {
        return shelf::run(&request, wanted, out);
    }
    match (&request.folder, &request.csv, &request.save_shelf) {
        (Some(folder), Some(csv), _) => folder::run(&request, &house, folder, csv, out),
        (Some(folder), None, Some(pack)) => shelf::save(&request, folder, pack, out),
        _ => files(&request, &house, out),
    }
}

/// The FILEs as one lesson of one student.
fn files(request: &Request, house: &House, out: &mut impl Write) -> Result<Outcome> {
    let Gathered { mut students, mut references, earlier, lesson } = gather(request);
    references.extend(house.references()?);
    let thresholds = thresholds(request, house, lesson.as_ref())?;
    references.iter_mut().for_each(|reference| reference.own |= request.own);
    if let Some(student) = students.first() {
        several::own(student, &mut references);
    }
    for student in &mut students {
        student.compare(&references, &request.align);
        judge(student, &references, &thresholds);
    }
    if let (Some(path), [student]) = (&request.tracks, &students[..]) {
        write_tracks(student, path)?;
    }
    if let Some(path) = &request.save_lesson {
        lesson::save(
            request,
            lesson,
            &Swings { students: &students, references: &references, earlier: &earlier },
            path,
        )?;
    }
    let documents = several::documents(request, &students, &references, &earlier, &thresholds);
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

impl Inspected {
    /// Lays the swing beside references.
    fn compare(&mut self, references: &[Inspected], align: &AlignOptions) {
        let compared = references.iter().map(|reference| {
            let swings = self.swing.as_ref().zip(reference.swing.as_ref());
            let one_recording = reference.origin == self.origin;
            let one_line = swings.filter(|_| one_recording && one_stated_line(self, reference));
            Against::of(self.swing.as_ref(), reference.report.clone(), reference.swing.as_ref(), align)
                .measured(&self.report.swing.measures, one_line.map(|(ours, theirs)| [ours, theirs]))
        });
        self.report.alignment = compared.collect();
    }
}

/// The files by what they are there for, and the first lesson file.
#[derive(Default)]
struct Gathered {
    students: Vec<Inspected>,
    references: Vec<Inspected>,
    earlier: Vec<Inspected>,
    lesson: Option<Lesson>,
}

/// Reads the files. A lesson file among the FILEs brings its references and its earlier lesson along.
fn gather(request: &Request) -> Gathered {
    let mut all = Gathered::default();
    for path in &request.files {
        all.take(inspect(
            path,
            &request.student,
            Slot::Student,
            &[Slot::Student, Slot::Reference, Slot::Own, Slot::Earlier],
        ));
    }
    for path in &request.against {
        let Opened { swings, .. } = inspect(path, &request.reference, Slot::Reference, &[Slot::Reference, Slot::Own]);
        all.references.extend(swings.into_iter().map(|(_, swing)| swing));
    }
    for path in &request.before {
        let Opened { swings, .. } = inspect(path, &request.earlier, Slot::Earlier, &[Slot::Student]);
        all.earlier.extend(swings.into_iter().map(|(_, swing)| swing));
    }
    all
}

impl Gathered {
    fn take(&mut self, opened: Opened) {
        for (slot, swing) in opened.swings {
            match slot {
                Slot::Reference | Slot::Own => self.references.push(swing),
                Slot::Earlier => self.earlier.push(swing),
                _ => self.students.push(swing),
            }
        }
        self.lesson = self.lesson.take().or(opened.lesson);
    }
}

/// Thresholds that differ from the rule table: those of a file of their own, else those of the house, else of a lesson.
fn thresholds(request: &Request, house: &House, lesson: Option<&Lesson>) -> Result<Thresholds> {
    let Some(path) = &request.thresholds else {
        let own = house.thresholds();
        return Ok(own.or_else(|| lesson.map(Lesson::thresholds)).unwrap_or_default());
    };
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
