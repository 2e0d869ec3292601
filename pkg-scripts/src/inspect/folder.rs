//! A folder of many students' files, each read for itself with the same settings, in one table.
//!
//! RFC 4180, UTF-8, a decimal point, six decimals. A row for every swing that was found and for every file that was
//! refused: student, file, `ok` or `refused`, the reason, the fingerprint of the settings, hand, club and kind, then of every first
//! measure its value and both ends of its 90 % interval, then every finding's verdict.

use super::file::{Opened, inspect};
use super::house::{self, House};
use super::{Inspected, Outcome, Request, judge, thresholds};
use anyhow::{Context, Result, ensure};
use handpath::findings::{RULES, Thresholds};
use handpath::json::Json;
use handpath::lesson::{Lesson, Slot};
use handpath::measure::{Measure, first_names};
use handpath::words::Message;
use std::io::Write;
use std::path::{Path, PathBuf};

const HEADS: [&str; 8] = ["student", "file", "state", "reason", "fingerprint", "hand", "club", "kind"];

/// Folders in folders beyond this are left out: a link may lead round in a circle.
const DEEPEST: usize = 16;

/// Reads the folder, writes the table and tells how many files were read.
pub(super) fn run(
    request: &Request,
    house: &House,
    folder: &Path,
    csv: &Path,
    out: &mut impl Write,
) -> Result<Outcome> {
    let mut files = vec![];
    collect(folder, DEEPEST, &mut files)?;
    files.sort();
    files.retain(|file| file != csv);
    ensure!(!files.is_empty(), "there is no file in {}", folder.display());
    let mut references = house.references()?;
    for path in &request.against {
        let Opened { swings, .. } = inspect(path, &request.reference, Slot::Reference, &[Slot::Reference]);
        references.extend(swings.into_iter().map(|(_, swing)| swing));
    }
    let mut table = csv::Writer::from_path(csv).with_context(|| format!("cannot write {}", csv.display()))?;
    table.write_record(heads())?;
    let mut told = Told { ok: 0, refused: 0, worst: Outcome::Found };
    for file in &files {
        for row in rows(request, house, folder, file, &references)? {
            told.count(&row);
            table.write_record(row.cells)?;
        }
    }
    table.flush()?;
    writeln!(out, "{}", told.message(csv))?;
    Ok(told.worst)
}

/// How many rows say what.
struct Told {
    ok: usize,
    refused: usize,
    worst: Outcome,
}

impl Told {
    fn count(&mut self, row: &Row) {
        let found = row.outcome == Outcome::Found;
        *(if found { &mut self.ok } else { &mut self.refused }) += 1;
        self.worst = self.worst.max(row.outcome);
    }

    fn message(&self, csv: &Path) -> Message {
        let message = Message::new("coach.folder").with("ok", self.ok).with("refused", self.refused);
        message.with("path", csv.display().to_string())
    }
}

struct Row {
    outcome: Outcome,
    cells: Vec<String>,
}

/// All files below a folder but hidden ones.
pub(super) fn collect(folder: &Path, depth: usize, files: &mut Vec<PathBuf>) -> Result<()> {
    let entries = std::fs::read_dir(folder).with_context(|| format!("cannot read the folder {}", folder.display()))?;
    for entry in entries {
        let entry = entry?;
        let path = entry.path();
        match path.is_dir() {
            _ if entry.file_name().to_string_lossy().starts_with('.') => {}
            true if depth > 0 => collect(&path, depth - 1, files)?,
            true => {}
            false => files.push(path),
        }
    }
    Ok(())
}

fn heads() -> Vec<String> {
    let measures = first_names()
        .flat_map(|(name, unit)| [format!("{name} ({unit})"), format!("{name}, low 90"), format!("{name}, high 90")]);
    let findings = RULES.iter().map(|rule| format!("finding: {}", rule.name));
    HEADS.map(str::to_owned).into_iter().chain(measures).chain(findings).collect()
}

/// A row for every swing of a file, or one that says why there is none.
fn rows(request: &Request, house: &House, folder: &Path, file: &Path, references: &[Inspected]) -> Result<Vec<Row>> {
    let Opened { swings, lesson } = inspect(file, &request.student, Slot::Student, &[Slot::Student]);
    let thresholds = thresholds(request, house, lesson.as_ref())?;
    let student = lesson.as_ref().and_then(code).unwrap_or_else(|| named(folder, file));
    let name = file.strip_prefix(folder).unwrap_or(file).to_string_lossy().replace('\\', "/");
    let swings: Vec<Inspected> = swings.into_iter().map(|(_, swing)| swing).collect();
    if swings.is_empty() {
        let empty = Message::new("coach.no_student_swing").to_string();
        return Ok(vec![refused(&student, &name, &empty, Outcome::NoSwing)]);
    }
    let row = |swing: Inspected| row(&student, &name, swing, references, &thresholds, request);
    Ok(swings.into_iter().map(row).collect())
}

fn code(lesson: &Lesson) -> Option<String> {
    let code = lesson.document.get("student")?.get("code").and_then(Json::as_text)?;
    Some(code.to_owned())
}

/// The folder within the folder that the file lies in, else the file's own name without its ending.
fn named(folder: &Path, file: &Path) -> String {
    let inside = file.strip_prefix(folder).unwrap_or(file);
    let first = inside.components().next().filter(|_| inside.components().count() > 1);
    let name = first.map_or_else(|| file.file_stem().unwrap_or_default(), |first| first.as_os_str());
    name.to_string_lossy().into_owned()
}

fn refused(student: &str, name: &str, reason: &str, outcome: Outcome) -> Row {
    let mut cells: Vec<String> = [student, name, "refused", reason].map(cell).into();
    cells.resize(heads().len(), String::new());
    Row { outcome, cells }
}

fn row(
    student: &str,
    name: &str,
    mut swing: Inspected,
    references: &[Inspected],
    thresholds: &Thresholds,
    request: &Request,
) -> Row {
    let outcome = swing.outcome();
    if let Some(error) = &swing.report.error {
        return refused(student, name, &error.to_string(), outcome);
    }
    swing.compare(references, &request.align);
    judge(&mut swing, references, thresholds);
    let print = house::fingerprint(&swing, references, thresholds, &request.align);
    let about = swing.swing.as_ref().map(|own| [own.hand.name(), own.club.name(), own.kind.name()]).unwrap_or_default();
    let mut cells: Vec<String> = [student, name, "ok", "", &print.code].map(cell).into();
    cells.extend(about.map(str::to_owned));
    let report = &swing.report.swing;
    cells.extend(first_names().flat_map(|(name, _)| numbers(report.measures.iter().find(|own| own.name == name))));
    let verdict = |name: &str| report.findings.iter().find(|finding| finding.name == name).map(|found| found.verdict);
    cells.extend(RULES.iter().map(|rule| verdict(rule.name).unwrap_or_default().to_owned()));
    Row { outcome, cells }
}

fn numbers(measure: Option<&Measure>) -> [String; 3] {
    let number = |value: Option<f64>| value.map(|value| format!("{value:.6}")).unwrap_or_default();
    [measure.and_then(|m| m.value), measure.and_then(|m| m.low_90), measure.and_then(|m| m.high_90)].map(number)
}

/// A name that begins like a formula would be run by a spreadsheet: it gets an apostrophe, which takes it for text.
fn cell(text: &str) -> String {
    let formula = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    format!("{}{text}", if formula { "'" } else { "" })
}
