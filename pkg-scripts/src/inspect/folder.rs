//! A folder of many students' files, each read for itself with the same settings, in one table.
//!
//! RFC 4180, UTF-8, a decimal point, six decimals. A row for every swing that was found and for every file that was
//! refused: student, file, swing, `ok` or `refused`, the reason, the fingerprint of the settings, where the target line comes from and
//! its 1 SD, hand, club and kind; of a lesson file what its captures and its intake say (kept, effort, ball, may it be pooled); then of
//! every first measure its value and both ends of its 90 % interval, then every finding's verdict, then the warnings.

use super::file::{Opened, inspect};
use super::house::{self, House};
use super::{Inspected, Outcome, Request, judge, thresholds};
use anyhow::{Context, Result, ensure};
use handpath::coach::captures::{self, Capture};
use handpath::coach::intake;
use handpath::findings::{RULES, Thresholds};
use handpath::json::Json;
use handpath::lesson::{Lesson, Slot};
use handpath::measure::{Measure, first_names};
use handpath::plain::Given;
use handpath::settings::Hand;
use handpath::words::Message;
use std::io::Write;
use std::path::{Path, PathBuf};

const HEADS: [&str; 15] = [
    "student",
    "file",
    "swing",
    "state",
    "reason",
    "fingerprint",
    "target line",
    "target line, SD (deg)",
    "hand",
    "club",
    "kind",
    "kept",
    "effort",
    "ball",
    "may be pooled",
];

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
    let apart = apart(request, house, csv);
    files.retain(|file| file.canonicalize().map_or(true, |own| !apart.contains(&own)));
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
            if row.outcome != Outcome::Found {
                writeln!(out, "{}", row.refusal())?;
            }
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

impl Row {
    /// Which file, and why.
    fn refusal(&self) -> Message {
        let cell = |name: &str| HEADS.iter().position(|head| *head == name).and_then(|at| self.cells.get(at));
        let text = |name: &str| cell(name).cloned().unwrap_or_default();
        Message::new("coach.folder_refused").with("file", text("file")).with("why", text("reason"))
    }
}

/// Files below the folder that are no captures: the table itself, the preset and what it names, and what other options name.
fn apart(request: &Request, house: &House, csv: &Path) -> Vec<PathBuf> {
    let named =
        [Some(csv), request.preset.as_deref(), request.thresholds.as_deref(), request.student.address.as_deref()];
    let named = named.into_iter().flatten().map(Path::to_path_buf).chain(request.against.iter().cloned());
    named.chain(house.files()).filter_map(|path| path.canonicalize().ok()).collect()
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
    HEADS.map(str::to_owned).into_iter().chain(measures).chain(findings).chain(["warnings".to_owned()]).collect()
}

/// A row for every swing of a file, or one that says why there is none.
fn rows(request: &Request, house: &House, folder: &Path, file: &Path, references: &[Inspected]) -> Result<Vec<Row>> {
    let Opened { swings, lesson } = inspect(file, &request.student, Slot::Student, &[Slot::Student]);
    let thresholds = thresholds(request, house, lesson.as_ref())?;
    let student = lesson.as_ref().and_then(code).unwrap_or_else(|| named(folder, file));
    let name = file.strip_prefix(folder).unwrap_or(file).to_string_lossy().replace('\\', "/");
    if swings.is_empty() {
        let empty = Message::new("coach.no_student_swing").to_string();
        return Ok(vec![refused([&student, &name, ""], &empty, Outcome::NoSwing)]);
    }
    let noted = lesson.as_ref().map(noted).unwrap_or_default();
    let row = |(at, (_, swing)): (usize, (Slot, Inspected))| {
        let label = swing.label().to_owned();
        let row = row([&student, &name, &label], swing, references, &thresholds, request);
        row.with(noted.get(at).cloned().unwrap_or_default())
    };
    Ok(swings.into_iter().enumerate().map(row).collect())
}

/// What a lesson notes of each of the student's swings: kept or discarded, effort, ball, may it be pooled.
fn noted(lesson: &Lesson) -> Vec<[String; 4]> {
    let field = |name: &str| lesson.document.get(name).map_or(Given::Null, Json::given);
    let (captures, _) = captures::read(&field("captures"), Hand::Right);
    let intake = lesson.document.get("intake").map(|given| intake::told(&given.given()).may_pool);
    let pooled = intake.map(|may| if may { "yes" } else { "no" }).unwrap_or_default();
    let ids = lesson.swings().filter(|swing| swing.slot == Some(Slot::Student)).map(|swing| swing.id);
    ids.map(|id| {
        let capture = captures.iter().find(|capture| capture.swing == id);
        let [kept, effort, ball] = capture.map(of_capture).unwrap_or_default();
        [kept, effort, ball, pooled.to_owned()]
    })
    .collect()
}

fn of_capture(capture: &Capture) -> [String; 3] {
    let kept = if capture.keep { "kept" } else { "discarded" };
    let ball = capture.ball.unwrap_or_default();
    let words = [ball.start.map(|start| start.name()), ball.curve.map(|curve| curve.name())];
    let ball = words.into_iter().flatten().collect::<Vec<_>>().join(", ");
    [kept.to_owned(), format!("{:.2}", capture.effort), ball]
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

fn refused(about: [&str; 3], reason: &str, outcome: Outcome) -> Row {
    let mut cells: Vec<String> = about.into_iter().chain(["refused", reason]).map(cell).collect();
    cells.resize(heads().len(), String::new());
    Row { outcome, cells }
}

impl Row {
    /// With what a lesson notes of the swing.
    fn with(mut self, noted: [String; 4]) -> Row {
        let first = HEADS.len() - noted.len();
        for (cell, text) in self.cells.iter_mut().skip(first).zip(noted) {
            *cell = text;
        }
        self
    }
}

fn row(
    about: [&str; 3],
    mut swing: Inspected,
    references: &[Inspected],
    thresholds: &Thresholds,
    request: &Request,
) -> Row {
    let outcome = swing.outcome();
    let warnings = warnings(&swing);
    if let Some(error) = &swing.report.error {
        let mut row = refused(about, &error.to_string(), outcome);
        row.cells.pop();
        row.cells.push(warnings);
        return row;
    }
    swing.compare(references, &request.align);
    judge(&mut swing, references, thresholds);
    let print = house::fingerprint(&swing, references, thresholds, &request.align);
    let mut cells: Vec<String> = about.into_iter().chain(["ok", "", &print.code]).map(cell).collect();
    cells.extend(line(&swing));
    let about = swing.swing.as_ref().map(|own| [own.hand.name(), own.club.name(), own.kind.name()]).unwrap_or_default();
    cells.extend(about.map(str::to_owned));
    cells.resize(HEADS.len(), String::new());
    let report = &swing.report.swing;
    cells.extend(first_names().flat_map(|(name, _)| numbers(report.measures.iter().find(|own| own.name == name))));
    let verdict = |name: &str| report.findings.iter().find(|finding| finding.name == name).map(|found| found.verdict);
    cells.extend(RULES.iter().map(|rule| verdict(rule.name).unwrap_or_default().to_owned()));
    cells.push(warnings);
    Row { outcome, cells }
}

/// Where the target line comes from, on which most measures rest, and its 1 SD.
fn line(swing: &Inspected) -> [String; 2] {
    let guess = swing.report.swing.guesses.iter().find(|guess| guess.what == "target line");
    let sd = guess.and_then(|guess| guess.sd).map(|sd| format!("{sd:.1}")).unwrap_or_default();
    [guess.map(|guess| guess.source.to_owned()).unwrap_or_default(), sd]
}

fn warnings(swing: &Inspected) -> String {
    let texts: Vec<String> = swing.report.warnings.iter().map(Message::to_string).collect();
    cell(&texts.join(" | "))
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
