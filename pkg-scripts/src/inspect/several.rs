//! What several files say together.

use super::text::{centimetres, indented, spoken, table, word};
use super::{Inspected, Request, house};
use handpath::findings::Thresholds;
use handpath::report::{Document, OwnReport, ReferencesReport, SetReport, Sets};
use handpath::sets::{Change, Lessons, Spread, as_own, lessons};
use handpath::swing::Swing;
use handpath::words::{Message, english};

const SET_HEADS: [&str; 7] = [
    "inspect.set_mean",
    "inspect.out",
    "inspect.target",
    "inspect.up",
    "inspect.sd_out",
    "inspect.sd_target",
    "inspect.sd_up",
];

const LESSON_HEADS: [&str; 9] = [
    "inspect.measure",
    "inspect.before",
    "inspect.sd",
    "inspect.after",
    "inspect.sd",
    "inspect.change",
    "inspect.smallest",
    "inspect.unit",
    "inspect.verdict",
];

/// Makes those references that are swings of the student's own such.
pub(super) fn own(student: &Inspected, references: &mut [Inspected]) {
    let Some(student) = &student.swing else { return };
    for reference in references.iter_mut().filter(|reference| reference.own) {
        reference.swing = reference.swing.as_ref().map(|swing| as_own(student, swing));
    }
}

/// The reports with what goes beyond one file: references as one for every student file; the student's own swings as one
/// and the lessons with the first.
pub(super) fn documents<'a>(
    request: &Request,
    students: &'a [Inspected],
    references: &[Inspected],
    earlier: &[Inspected],
    thresholds: &Thresholds,
) -> Vec<Document<'a>> {
    let print = |student: &Inspected| house::fingerprint(student, references, thresholds, &request.align);
    let (later, references, earlier) = (swings(students), swings(references), swings(earlier));
    let document = |(place, student): (usize, &'a Inspected)| {
        let beside = student.swing.as_ref().filter(|_| !references.is_empty());
        let together = place == 0 && later.len() > 1;
        Document {
            report: &student.report,
            sets: Sets {
                references: beside
                    .map(|swing| ReferencesReport::of(swing, &references, request.choice, request.set_band)),
                own: together.then(|| OwnReport::of(&later, request.set_band)),
            },
            lessons: (place == 0 && !earlier.is_empty()).then(|| lessons(&earlier, &later)),
            fingerprint: print(student),
        }
    };
    students.iter().enumerate().map(document).collect()
}

fn swings(files: &[Inspected]) -> Vec<&Swing> {
    files.iter().filter_map(|file| file.swing.as_ref()).collect()
}

/// The same for people.
pub(super) fn text(document: &Document) -> String {
    let mut out = String::new();
    if let Some(found) = &document.sets.references {
        out += &set(english("inspect.set_references"), found.set.as_ref());
        out.extend(found.error.iter().chain(&found.notes).map(bullet));
        out.extend(found.likeness.iter().flat_map(|likeness| &likeness.reasons).map(bullet));
        out += "\n";
    }
    if let Some(own) = &document.sets.own {
        out += &set(english("inspect.set_own"), own.set.as_ref());
        out.extend(own.error.iter().map(bullet));
        out += "\n";
    }
    out.extend(document.lessons.iter().map(changes));
    out + &indented(&house::line(&document.fingerprint)) + "\n"
}

fn bullet(message: &Message) -> String {
    format!("  - {message}\n")
}

/// Mean and spread at the instants.
fn set(title: &str, set: Option<&SetReport>) -> String {
    let Some(set) = set else { return format!("{title}\n") };
    let mut out = format!("{title}\n{}", indented(&set.swings.join(", ")));
    let mut rows = vec![SET_HEADS.map(|head| english(head).to_owned()).to_vec()];
    let first = set.segments.first().map(|first| (first.from, first.first)).into_iter();
    for (name, place) in first.chain(set.segments.iter().map(|segment| (segment.to, segment.last))) {
        let mut row = vec![name.name().to_owned()];
        row.extend([set.mean_m[place], set.sd_m[place]].iter().flat_map(|point| centimetres(&(*point).into())));
        rows.push(row);
    }
    out += &table(&rows, 7);
    let band = set.band.iter().map(|band| {
        Message::new("inspect.set_band").with("kind", word(&band.kind)).with("percent", 100.0 * band.coverage)
    });
    let typical = set.most_typical.and_then(|number| set.swings.get(number)).into_iter();
    let typical = typical.map(|name| Message::new("inspect.most_typical").with("swing", name.as_str()));
    out.extend(band.chain(typical).map(|message| indented(&message.to_string())));
    out.extend(set.notes.iter().map(bullet));
    out
}

fn changes(lessons: &Lessons) -> String {
    let title = Message::new("inspect.lessons").with("percent", 100.0 * lessons.confidence);
    let names = |key: &'static str, names: &[String]| indented(&format!("{}: {}", english(key), names.join(", ")));
    let names = names("inspect.before", &lessons.before) + &names("inspect.after", &lessons.after);
    let mut rows = vec![LESSON_HEADS.map(|head| english(head).to_owned()).to_vec()];
    rows.extend(lessons.changes.iter().map(change));
    let notes: String = lessons.notes.iter().map(bullet).collect();
    format!("{title}\n{names}{}{notes}\n", table(&rows, 7))
}

fn change(change: &Change) -> Vec<String> {
    let (factor, unit) = spoken(change.unit);
    let number = |x: Option<f64>| x.map(|x| format!("{:.1}", factor * x)).unwrap_or_default();
    let told = |spread: Option<Spread>| [number(spread.map(|s| s.mean)), number(spread.and_then(|s| s.sd))];
    let difference = [change.difference.map(|d| d.value), change.difference.map(|d| d.smallest_shown)].map(number);
    let mut row = vec![change.name.to_owned()];
    row.extend(told(change.before).into_iter().chain(told(change.after)).chain(difference));
    row.extend([unit.to_owned(), change.verdict.to_owned()]);
    row
}
