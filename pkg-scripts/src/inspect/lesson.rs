//! A lesson file made of what was inspected.

use super::{Inspected, Request};
use anyhow::{Context, Result, anyhow};
use handpath::formats::Recording;
use handpath::formats::write::packed;
use handpath::json::{Json, parse, spelled};
use handpath::lesson::{Lesson, Slot};
use handpath::settings::Corrections;
use std::path::Path;

/// What is saved: the swings by what they are there for.
pub(super) struct Swings<'a> {
    pub(super) students: &'a [Inspected],
    pub(super) references: &'a [Inspected],
    pub(super) earlier: &'a [Inspected],
}

/// Writes the lesson: that of the first lesson file among the FILEs with everything it holds, else a new one; and every swing
/// that was read from an export. The student's swings are called by the student's code and a number.
pub(super) fn save(request: &Request, opened: Option<Lesson>, swings: &Swings, path: &Path) -> Result<()> {
    let code = request.code.as_deref().unwrap_or("student");
    let mut lesson = opened.unwrap_or_else(|| Lesson::new(code));
    let slots =
        [(Slot::Student, swings.students), (Slot::Reference, swings.references), (Slot::Earlier, swings.earlier)];
    for (slot, files) in slots {
        for (at, file) in files.iter().enumerate().filter(|(_, file)| !file.kept) {
            let Some(recording) = &file.recording else { continue };
            let slot = if file.own { Slot::Own } else { slot };
            let number = format!("{code}, {} {}", slot.name(), at + 1);
            let label = if slot == Slot::Reference { file.label() } else { &number };
            lesson.push(slot, label, corrections(&file.corrections)?, kept(recording));
        }
    }
    let still = swings.students.iter().find(|file| !file.kept).and_then(|file| file.address.as_ref());
    if let Some(address) = still {
        lesson.push(Slot::Address, &format!("{code}, address"), Json::Record(vec![]), kept(address));
    }
    if let Some(file) = &request.thresholds {
        let text = std::fs::read_to_string(file).with_context(|| format!("cannot read {}", file.display()))?;
        lesson.document.set("thresholds", parse(&text).map_err(|error| anyhow!("{}: {error:?}", file.display()))?);
    }
    std::fs::write(path, lesson.save()).with_context(|| format!("cannot write {}", path.display()))
}

fn kept(recording: &Recording) -> Json {
    packed(recording, spelled)
}

/// What was stated, without what is left to be guessed.
pub(super) fn corrections(corrections: &Corrections) -> Result<Json> {
    let text = serde_json::to_string(corrections)?;
    let Ok(Json::Record(mut fields)) = parse(&text) else { return Ok(Json::Record(vec![])) };
    fields.retain(|(_, value)| {
        !matches!(value, Json::Null) && value.as_number() != Some(0.0) && *value != Json::Record(vec![])
    });
    Ok(Json::Record(fields))
}
