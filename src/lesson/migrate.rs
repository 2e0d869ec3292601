//! Documents of older versions, brought to this one a version at a time.

use super::VERSION;
use crate::json::Json;

/// From the version that is the place in the list to the next one.
const STEPS: [fn(&mut Json); VERSION] = [from_0];

/// Brings a document of an older version to this one; does nothing to others.
pub(super) fn migrate(document: &mut Json, version: usize) {
    for step in STEPS.iter().skip(version) {
        step(document);
    }
    if version < VERSION {
        document.set("version", Json::count(VERSION));
    }
}

/// Version 0, of trials before the first release: the student was a bare text, thresholds were called limits, and a pin had
/// its time in `t`.
fn from_0(document: &mut Json) {
    if let Some(code @ Json::Text(_)) = document.get("student") {
        let code = code.clone();
        document.set("student", Json::Record(vec![("code".into(), code)]));
    }
    rename(document, "limits", "thresholds");
    if let Some(Json::List(pins)) = document.get_mut("pins") {
        pins.iter_mut().for_each(|pin| rename(pin, "t", "time_s"));
    }
}

/// Renames a field, in its place, unless the new name is taken.
fn rename(record: &mut Json, from: &str, to: &str) {
    let taken = record.get(to).is_some();
    let Json::Record(fields) = record else { return };
    if let Some((name, _)) = fields.iter_mut().find(|(name, _)| name == from && !taken) {
        to.clone_into(name);
    }
}
