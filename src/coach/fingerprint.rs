//! A short code for the settings behind a set of numbers: the same settings have the same code on every machine, whatever
//! order they were written in.
//!
//! SHA-256 (FIPS 180-4, crate `sha2`) over the canonical JSON of RFC 8785: fields sorted by UTF-16 code units, numbers as
//! ECMAScript writes them, no blanks.

use crate::findings::{THRESHOLDS, Thresholds};
use crate::json::{Json, Spell, quote};
use crate::order;
use crate::plain::Given;
pub use crate::report::Fingerprint;
use sha2::{Digest, Sha256};

/// Rises when the same settings and files give other numbers.
pub const NUMBERS: usize = 1;

/// The short forms that RFC 8785 (3.2.2.2) asks for.
const SHORT: [(char, &str); 5] = [('\u{8}', "\\b"), ('\t', "\\t"), ('\n', "\\n"), ('\u{c}', "\\f"), ('\r', "\\r")];

/// 64 hexadecimal digits.
pub fn digest(bytes: &[u8]) -> String {
    let digit = |nibble: u8| char::from_digit(u32::from(nibble), 16).unwrap_or('0');
    Sha256::digest(bytes).iter().flat_map(|byte| [digit(byte >> 4), digit(byte & 15)]).collect()
}

/// The digest of any document.
pub fn of(document: &Json, spell: Spell) -> Fingerprint {
    let sha256 = digest(canonical(document, spell).as_bytes());
    let groups: Vec<&str> = [0, 4, 8].iter().filter_map(|at| sha256.get(*at..at + 4)).collect();
    Fingerprint { code: groups.join("-"), sha256 }
}

/// The digest of settings from outside, `{corrections, thresholds, references}`; see [`settings`]. Thresholds that cannot be
/// used are the defaults, as everywhere.
pub fn told(given: &Given, spell: Spell) -> Fingerprint {
    let tree = Json::of(given, spell);
    let mut thresholds = Thresholds::default();
    for (name, value) in tree.get("thresholds").map_or(&[][..], Json::fields) {
        let _ = value.as_number().map(|value| thresholds.set(name, value));
    }
    let corrections = tree.get("corrections").unwrap_or(&Json::Null);
    let references = tree.get("references").map_or(&[][..], Json::items);
    of(&settings(corrections, &thresholds, references, spell), spell)
}

/// What numbers rest on beside the student's own file: corrections that are stated for it, the thresholds that hold, and
/// the references, an object each: `{"recording": HEX, "corrections": {...}}`, the SHA-256 of the recording as a lesson keeps
/// it ([`crate::formats::write::packed()`], on one line), so that it is the same for an export and a lesson made of it. What is left to be guessed, an `aim` of 0 and empty objects are
/// the same as nothing; references have no order.
pub fn settings(corrections: &Json, thresholds: &Thresholds, references: &[Json], spell: Spell) -> Json {
    let mut references: Vec<(String, Json)> =
        references.iter().map(stated).map(|reference| (canonical(&reference, spell), reference)).collect();
    order::sort_by(&mut references, |a, b| a.0.cmp(&b.0));
    let hold = THRESHOLDS.iter().map(|own| (own.name.to_owned(), Json::Number(spell(thresholds.get(own)))));
    let fields = [
        ("program", Json::text(env!("CARGO_PKG_VERSION"))),
        ("numbers", Json::count(NUMBERS)),
        (
            "corrections",
            if matches!(corrections, Json::Record(_)) { stated(corrections) } else { Json::Record(vec![]) },
        ),
        ("thresholds", Json::Record(hold.collect())),
        ("references", Json::List(references.into_iter().map(|(_, reference)| reference).collect())),
    ];
    Json::Record(fields.map(|(name, value)| (name.to_owned(), value)).into())
}

/// Without what says nothing.
fn stated(value: &Json) -> Json {
    let Json::Record(fields) = value else { return value.clone() };
    let fields = fields.iter().map(|(name, value)| (name.clone(), stated(value)));
    let says = |(name, value): &(String, Json)| {
        let no_turn = name == "aim" && value.as_number() == Some(0.0);
        !(no_turn || matches!(value, Json::Null) || *value == Json::Record(vec![]))
    };
    Json::Record(fields.filter(says).collect())
}

/// The canonical text of RFC 8785. A number that no double holds is kept as it is spelled.
pub fn canonical(value: &Json, spell: Spell) -> String {
    let mut out = String::new();
    write(value, spell, &mut out);
    out
}

fn write(value: &Json, spell: Spell, out: &mut String) {
    match value {
        Json::Null => out.push_str("null"),
        Json::Flag(flag) => out.push_str(if *flag { "true" } else { "false" }),
        Json::Number(spelled) => out.push_str(&value.as_number().map_or_else(|| spelled.clone(), |x| spell(x + 0.0))),
        Json::Text(text) => quote(text, &SHORT, out),
        Json::List(items) => {
            out.push('[');
            for (at, item) in items.iter().enumerate() {
                out.push_str(if at > 0 { "," } else { "" });
                write(item, spell, out);
            }
            out.push(']');
        }
        Json::Record(fields) => write_fields(fields, spell, out),
    }
}

/// Of fields with one name the first counts, as everywhere in [`Json`].
fn write_fields(fields: &[(String, Json)], spell: Spell, out: &mut String) {
    let mut sorted: Vec<&(String, Json)> = fields.iter().collect();
    order::sort_by(&mut sorted, |a, b| a.0.encode_utf16().cmp(b.0.encode_utf16()));
    sorted.dedup_by(|later, first| later.0 == first.0);
    out.push('{');
    for (at, (name, value)) in sorted.into_iter().enumerate() {
        out.push_str(if at > 0 { "," } else { "" });
        quote(name, &SHORT, out);
        out.push(':');
        write(value, spell, out);
    }
    out.push('}');
}
