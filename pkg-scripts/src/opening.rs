//! The answer that the demo page opens with, computed before for the files that its markup names: see `www/opening.js`.

use crate::project::www;
use anyhow::{Context, Result, ensure};
use handpath::session::{Answer, Facts, Id, Job, JobFile, Session, Slot, Step, draft};
use handpath::settings::Corrections;
use handpath::words::Message;
use serde_json::{Map, Value, json};

/// Its file below `www`.
pub const FILE: &str = "demo/opening.json";

/// Decimals of its numbers, in metres, seconds or degrees: what a table shows is far coarser.
const DECIMALS: i32 = 6;

/// Decimals of a picture's series: tenths of a millimetre.
const PICTURE_DECIMALS: i32 = 4;

/// Decimals of the stick figures, which are many numbers and thick lines.
const JOINT_DECIMALS: i32 = 3;

/// A file that the markup names.
struct Link {
    slot: String,
    label: String,
    corrections: Value,
    href: String,
}

/// Computes the answer to the files that the page's markup names.
///
/// # Errors
/// The markup names a file that is not there, or in another way than this reads.
pub fn opening() -> Result<Value> {
    let markup = std::fs::read_to_string(www().join("index.html"))?;
    let links: Vec<Link> = markup.split("<a data-slot=\"").skip(1).map(link).collect::<Result<_>>()?;
    ensure!(!links.is_empty(), "the markup names no files");
    let answer = answer(&links)?;
    let facts = Facts::of(&answer).context("the student's file holds no swing")?;
    let mut story: Value = draft(&facts).iter().map(|told| step(told, &answer.readings.cm)).collect();
    round(&mut story, DECIMALS);
    let mut answer = serde_json::to_value(answer)?;
    let fields = answer.as_object_mut().context("an answer is an object")?;
    let mut picture = fields.remove("picture").unwrap_or_default();
    round(&mut picture, PICTURE_DECIMALS);
    fields.values_mut().for_each(|value| round(value, DECIMALS));
    fields.insert("picture".into(), picture);
    fields.insert("of".into(), links.iter().map(named).collect());
    fields.insert("story".into(), story);
    Ok(answer)
}

/// A step of the story as the page makes it of a draft.
fn step(step: &Step, readings: &[Message]) -> Value {
    let Step { swing, against, view, time, lit, play, arms, reading: [from, to], say } = step;
    let read = readings.get(*from..*to).unwrap_or_default();
    let say = read.iter().chain(&say.cm).map(ToString::to_string).collect::<Vec<_>>().join(" ");
    let look = json!({"view": view, "time": time, "lit": lit, "arms": arms, "shaft": false, "zoom": 1});
    let mut told = json!({"say": say, "swing": swing, "look": look});
    if let Some(against) = against {
        told["against"] = json!(against);
    }
    if let Some(play) = play {
        told["play"] = json!(play);
    }
    told
}

fn named(Link { slot, label, corrections, .. }: &Link) -> Value {
    json!({"slot": slot, "name": label, "corrections": corrections})
}

/// `student" data-corrections='...' href="...">label</a>...`, as this page is written.
fn link(text: &str) -> Result<Link> {
    let between = |from: &str, to: &str| {
        let (_, rest) = text.split_once(from)?;
        Some(rest.split_once(to)?.0.to_owned())
    };
    let (slot, _) = text.split_once('"').context("a slot")?;
    let href = between("href=\"", "\"").context("a link without an address")?;
    let label = between(">", "</a>").context("a link without a label")?;
    let corrections = between("data-corrections='", "'").unwrap_or("{}".to_owned());
    Ok(Link { slot: slot.to_owned(), label, corrections: serde_json::from_str(&corrections)?, href })
}

fn answer(links: &[Link]) -> Result<Answer> {
    let mut session = Session::default();
    let mut job = Job::default();
    for (id, link) in (1..).zip(links) {
        let bytes = std::fs::read(www().join(&link.href)).with_context(|| format!("no {}", link.href))?;
        session.put(id, bytes);
        job.files.push(file(id, link)?);
    }
    Ok(session.compare(&job))
}

fn file(id: Id, link: &Link) -> Result<JobFile> {
    let slot = match link.slot.as_str() {
        "student" => Slot::Student,
        "address" => Slot::Address,
        _ => Slot::Reference,
    };
    let corrections: Corrections = serde_json::from_value(link.corrections.clone())?;
    Ok(JobFile { id, slot, label: link.label.clone(), corrections })
}

/// Rounds all numbers in a value, and leaves messages without their English text.
fn round(value: &mut Value, decimals: i32) {
    match value {
        Value::Number(number) if number.is_f64() => {
            let scale = 10f64.powi(decimals);
            *value = number.as_f64().map_or(Value::Null, |x| json!((x * scale).round() / scale));
        }
        Value::Array(values) => values.iter_mut().for_each(|value| round(value, decimals)),
        Value::Object(fields) => each(fields, decimals),
        _ => {}
    }
}

fn each(fields: &mut Map<String, Value>, decimals: i32) {
    // The page has the sentence of a message's key in its own language.
    if fields.contains_key("key") && fields.contains_key("args") {
        fields.remove("text");
    }
    let decimals_of = |name: &str| if name == "joints" { JOINT_DECIMALS } else { decimals };
    fields.iter_mut().for_each(|(name, value)| round(value, decimals_of(name)));
}

/// Sines differ in their last digits between machines; rounding may then go either way.
const SAME: f64 = 1.01e-3;

/// The way to the first difference of two answers.
pub fn difference(a: &Value, b: &Value) -> Option<String> {
    let inside = |name: String| move |way: String| format!("{name} {way}");
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => {
            let off = a.as_f64()? - b.as_f64()?;
            (off.abs() > SAME).then(|| format!("{a} {b}"))
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            let mut both = a.iter().zip(b).enumerate();
            both.find_map(|(i, (a, b))| difference(a, b).map(inside(i.to_string())))
        }
        (Value::Object(a), Value::Object(b)) if a.keys().eq(b.keys()) => {
            let mut both = a.iter().zip(b.values());
            both.find_map(|((name, a), b)| difference(a, b).map(inside(name.clone())))
        }
        _ => (a != b).then(|| format!("{a} {b}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn differences_are_told() {
        let value = |text: &str| serde_json::from_str::<Value>(text).unwrap();
        let row = |a, b| difference(&value(a), &value(b));
        assert_eq!(row(r#"{"a":[1,2.0001]}"#, r#"{"a":[1,2]}"#), None);
        assert_eq!(row(r#"{"a":[1,2.1]}"#, r#"{"a":[1,2]}"#), Some("a 1 2.1 2".into()));
        assert_eq!(row(r#"{"a":null}"#, r#"{"a":1}"#), Some("a null 1".into()));
        assert!(row(r#"{"a":1}"#, r#"{"b":1}"#).is_some() && row("[1]", "[]").is_some());
    }
}
