//! The label of one column: which point, which axis, which unit, which quantity.
//!
//! ```text
//! label    = [ quantity sep ] [ axis sep ] name [ sep quantity ] [ sep axis [ sep quantity ] ] [ sep unit ] *bracket
//! bracket  = ( "(" | "[" | "{" ) ( unit | axis | axis sep unit | quantity ) ( ")" | "]" | "}" )
//! axis     = "x" | "y" | "z", also with a quantity before or behind: "tx", "posx", "xpos"
//! sep      = blank | "_" | "." | ":" | "-" | "/" | ","
//! ```
//! Case does not matter. What does not fit stays part of the name.

use crate::formats::LengthUnit;

/// Time units of a clock column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TimeUnit {
    Seconds,
    Milliseconds,
    Microseconds,
    Nanoseconds,
    Minutes,
}

impl TimeUnit {
    /// Seconds of a time in this unit. Division keeps "1234 ms" the number that "1.234 s" is.
    pub(super) fn seconds(self, time: f64) -> f64 {
        match self {
            TimeUnit::Seconds => time,
            TimeUnit::Milliseconds => time / 1e3,
            TimeUnit::Microseconds => time / 1e6,
            TimeUnit::Nanoseconds => time / 1e9,
            TimeUnit::Minutes => time * 60.0,
        }
    }

    pub(super) fn symbol(self) -> &'static str {
        match self {
            TimeUnit::Seconds => "s",
            TimeUnit::Milliseconds => "ms",
            TimeUnit::Microseconds => "µs",
            TimeUnit::Nanoseconds => "ns",
            TimeUnit::Minutes => "min",
        }
    }

    pub(super) fn parse(word: &str) -> Option<Self> {
        Some(match word {
            "s" | "sec" | "secs" | "second" | "seconds" => TimeUnit::Seconds,
            "ms" | "msec" | "msecs" | "millisecond" | "milliseconds" | "millis" => TimeUnit::Milliseconds,
            "us" | "usec" | "µs" | "μs" | "microsecond" | "microseconds" | "micros" => TimeUnit::Microseconds,
            "ns" | "nsec" | "nanosecond" | "nanoseconds" | "nanos" => TimeUnit::Nanoseconds,
            "min" | "mins" | "minute" | "minutes" => TimeUnit::Minutes,
            _ => return None,
        })
    }
}

/// Unit of a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unit {
    Length(LengthUnit),
    Time(TimeUnit),
    /// Known, and neither: an angle, a speed, a force, a pixel.
    Other,
}

/// What a column measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Quantity {
    /// A position says so.
    Position,
    /// Rotation, speed, confidence, force, ...
    Other,
}

/// A label taken apart.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Label {
    /// What is left: the name of the point. Empty where the label has none.
    pub(super) name: String,
    /// 0 to 2 for x, y, z; 3 for the w of a quaternion.
    pub(super) axis: Option<usize>,
    pub(super) unit: Option<Unit>,
    pub(super) quantity: Option<Quantity>,
}

const POSITION_WORDS: [&str; 15] = [
    "pos",
    "position",
    "positions",
    "trans",
    "translation",
    "translate",
    "coord",
    "coords",
    "coordinate",
    "coordinates",
    "loc",
    "location",
    "traj",
    "trajectory",
    "trajectories",
];

const OTHER_WORDS: [&str; 51] = [
    "rot",
    "rotation",
    "rotations",
    "rotate",
    "euler",
    "quat",
    "quaternion",
    "orientation",
    "ori",
    "ang",
    "angle",
    "angles",
    "angular",
    "vel",
    "velo",
    "velocity",
    "velocities",
    "speed",
    "acc",
    "accel",
    "acceleration",
    "accelerations",
    "accelerometer",
    "gyro",
    "gyr",
    "gyroscope",
    "omega",
    "mag",
    "magnetometer",
    "conf",
    "confidence",
    "likelihood",
    "score",
    "prob",
    "probability",
    "visibility",
    "visible",
    "presence",
    "residual",
    "residuals",
    "resid",
    "err",
    "error",
    "sd",
    "std",
    "variance",
    "force",
    "moment",
    "torque",
    "power",
    "jerk",
];

/// Words for a kind of object, as a header row above the names may have them.
const TYPE_WORDS: [&str; 18] = [
    "type",
    "marker",
    "markers",
    "bone",
    "bones",
    "joint",
    "rigid",
    "body",
    "bodies",
    "segment",
    "point",
    "points",
    "skeleton",
    "object",
    "model",
    "asset",
    "unlabeled",
    "labeled",
];

/// Long words only: a marker name may hold "acc" (acromion) or "ang".
const UNMISTAKABLE: [&str; 13] = [
    "rotation",
    "quaternion",
    "orientation",
    "velocity",
    "acceleration",
    "accelerometer",
    "gyroscope",
    "angle",
    "angles",
    "confidence",
    "likelihood",
    "residual",
    "visibility",
];

fn is_separator(c: char) -> bool {
    c.is_whitespace() || "_.:-/,|".contains(c)
}

fn axis_of(word: &str) -> Option<usize> {
    Some(match word {
        "x" => 0,
        "y" => 1,
        "z" => 2,
        "w" => 3,
        _ => return None,
    })
}

fn quantity_of(word: &str) -> Option<Quantity> {
    if POSITION_WORDS.contains(&word) {
        Some(Quantity::Position)
    } else if OTHER_WORDS.contains(&word) {
        Some(Quantity::Other)
    } else {
        None
    }
}

/// `x`, `tx`, `posx`, `xpos`, `rx`, `qw`, `vz`, `ay`, `xaxis`; `x1` only where `numbered`.
fn axis_word(word: &str, numbered: bool) -> Option<(usize, Option<Quantity>)> {
    if let Some(axis) = axis_of(word) {
        return Some((axis, None));
    }
    let mut ends = word.chars();
    let (first, last) = (ends.next()?, ends.next_back()?);
    let (after_first, before_last) = (word.strip_prefix(first)?, word.strip_suffix(last)?);
    if let Some(axis) = axis_of(last.encode_utf8(&mut [0; 4])) {
        match before_last {
            "t" | "p" => return Some((axis, Some(Quantity::Position))),
            "r" | "q" | "v" | "a" | "f" | "g" => return Some((axis, Some(Quantity::Other))),
            _ => {}
        }
        if let Some(quantity) = quantity_of(before_last) {
            return Some((axis, Some(quantity)));
        }
    }
    let axis = axis_of(first.encode_utf8(&mut [0; 4]))?;
    if after_first == "axis" || (numbered && after_first.bytes().all(|byte| byte.is_ascii_digit())) {
        return Some((axis, None));
    }
    quantity_of(after_first).map(|quantity| (axis, Some(quantity)))
}

/// A unit as written in brackets, in a row of units, or behind an axis.
pub(super) fn unit(text: &str) -> Option<Unit> {
    let word = text.trim_matches(|c: char| c.is_whitespace() || "()[]{}.".contains(c)).to_ascii_lowercase();
    if let Some(length) = LengthUnit::parse(&word) {
        return Some(Unit::Length(length));
    }
    if let Some(time) = TimeUnit::parse(&word) {
        return Some(Unit::Time(time));
    }
    const OTHER: [&str; 33] = [
        "deg", "degs", "degree", "degrees", "°", "rad", "radian", "radians", "m/s", "mm/s", "cm/s", "m/s2", "m/s^2",
        "m/s²", "mm/s2", "mm/s^2", "mm/s²", "deg/s", "°/s", "rad/s", "g", "n", "nm", "nmm", "n.mm", "n.m", "px",
        "pixel", "pixels", "v", "mv", "%", "hz",
    ];
    OTHER.contains(&word.as_str()).then_some(Unit::Other)
}

/// Takes a label apart.
pub(super) fn parse(text: &str) -> Label {
    let mut label = Label::default();
    let stem = take_brackets(text.trim(), &mut label);
    let stem = take_speed_unit(stem, &mut label);
    let words = words_of(stem);
    let (mut from, mut to) = (0, words.len());
    take_suffixes(stem, &words, from, &mut to, &mut label);
    if label.axis.is_none() {
        take_prefixes(stem, &words, &mut from, to, &mut label);
    }
    if label.axis.is_none() {
        (from, to) = (0, words.len().min(last_name_word(stem, &words, &label)));
    }
    label.name = match (words.get(from), words.get(to.wrapping_sub(1))) {
        (Some(first), Some(last)) if from < to => stem[first.0..last.1].to_owned(),
        // The number of "X12", if any, stays.
        _ => label.name,
    };
    restore_acromion(stem, &mut label);
    label
}

/// Without an axis, only a unit is taken off the end; a quantity word may be the name.
fn last_name_word(stem: &str, words: &[(usize, usize)], label: &Label) -> usize {
    let has_unit = words
        .last()
        .is_some_and(|&(start, end)| label.unit.is_some() && unit(&stem[start..end]) == label.unit && words.len() > 1);
    words.len() - usize::from(has_unit)
}

/// "R_ACC_X" is the right acromion, not an acceleration of "R".
fn restore_acromion(stem: &str, label: &mut Label) {
    let side = matches!(label.name.to_ascii_lowercase().as_str(), "l" | "r" | "left" | "right");
    if !side || label.quantity != Some(Quantity::Other) {
        return;
    }
    let words = words_of(stem);
    if let [first, second, ..] = words[..]
        && stem[second.0..second.1].eq_ignore_ascii_case("acc")
    {
        label.name = stem[first.0..second.1].to_owned();
        label.quantity = None;
    }
}

/// Byte ranges of the words between separators.
fn words_of(stem: &str) -> Vec<(usize, usize)> {
    let mut words = Vec::new();
    let mut start = None;
    for (at, c) in stem.char_indices().chain([(stem.len(), ' ')]) {
        match (is_separator(c), start) {
            (false, None) => start = Some(at),
            (true, Some(from)) => {
                words.push((from, at));
                start = None;
            }
            _ => {}
        }
    }
    words
}

/// Takes understood bracket groups off the end.
fn take_brackets<'a>(text: &'a str, label: &mut Label) -> &'a str {
    let mut stem = text;
    while let Some(close) = stem.chars().next_back().filter(|c| ")]}".contains(*c)) {
        let open = match close {
            ')' => '(',
            ']' => '[',
            _ => '{',
        };
        let Some(at) = stem.rfind(open) else { break };
        if !understood(&stem[at + 1..stem.len() - 1], label) {
            break;
        }
        stem = stem[..at].trim_end();
    }
    stem
}

fn understood(inside: &str, label: &mut Label) -> bool {
    if let Some(unit) = unit(inside) {
        label.unit = label.unit.or(Some(unit));
        return true;
    }
    let words = words_of(inside);
    let mut found = Label::default();
    for &(start, end) in &words {
        let word = inside[start..end].to_ascii_lowercase();
        if let Some((axis, quantity)) = axis_word(&word, false) {
            found.axis = Some(axis);
            found.quantity = found.quantity.or(quantity);
        } else if let Some(unit) = unit(&word) {
            found.unit = Some(unit);
        } else if let Some(quantity) = quantity_of(&word) {
            found.quantity = Some(quantity);
        } else {
            return false;
        }
    }
    label.axis = label.axis.or(found.axis);
    label.unit = label.unit.or(found.unit);
    label.quantity = label.quantity.or(found.quantity);
    !words.is_empty()
}

/// A unit with a slash would fall apart at the separator.
fn take_speed_unit<'a>(stem: &'a str, label: &mut Label) -> &'a str {
    for written in ["m/s^2", "m/s2", "mm/s", "cm/s", "m/s", "deg/s", "rad/s", "°/s"] {
        if let Some(rest) = stem.strip_suffix(written)
            && rest.ends_with(is_separator)
        {
            label.unit = Some(Unit::Other);
            return rest.trim_end_matches(is_separator);
        }
    }
    stem
}

fn take_suffixes(stem: &str, words: &[(usize, usize)], from: usize, to: &mut usize, label: &mut Label) {
    while *to > from {
        let (start, end) = words[*to - 1];
        let word = stem[start..end].to_ascii_lowercase();
        let before = (*to >= 2).then(|| stem[words[*to - 2].0..words[*to - 2].1].to_ascii_lowercase());
        let pure = words.len() == 1;
        if label.axis.is_none()
            && label.unit.is_none()
            && let (Some(unit), Some(before)) = (unit(&word), &before)
            && may_carry_unit(before)
        {
            label.unit = Some(unit);
        } else if label.axis.is_none()
            && let Some((axis, quantity)) = axis_word(&word, pure)
        {
            label.axis = Some(axis);
            label.quantity = label.quantity.or(quantity);
            if pure && word.len() > 1 && word.ends_with(|c: char| c.is_ascii_digit()) {
                // "X12" in a row of axes: the number stands for the point.
                label.name = word[1..].to_owned();
            }
        } else if word == "axis" && before.as_deref().and_then(axis_of).is_some() {
            // "X axis"
        } else if let Some(quantity) = quantity_of(&word)
            && (*to > from + 1 || label.axis.is_some())
        {
            label.quantity = combine(label.quantity, quantity);
        } else {
            break;
        }
        *to -= 1;
    }
}

fn combine(old: Option<Quantity>, new: Quantity) -> Option<Quantity> {
    if old == Some(Quantity::Other) { old } else { Some(new) }
}

/// "x_mm", "LWRAx mm", "pos mm", "time ms"; not "Left in".
fn may_carry_unit(word: &str) -> bool {
    axis_word(word, true).is_some() || quantity_of(word).is_some() || word.ends_with(['x', 'y', 'z'])
}

fn take_prefixes(stem: &str, words: &[(usize, usize)], from: &mut usize, to: usize, label: &mut Label) {
    let mut at = 0;
    let mut found = label.clone();
    while at + 1 < to {
        let (start, end) = words[at];
        let word = stem[start..end].to_ascii_lowercase();
        if found.axis.is_none()
            && let Some((axis, quantity)) = axis_word(&word, false)
        {
            found.axis = Some(axis);
            found.quantity = found.quantity.or(quantity);
        } else if let Some(quantity) = quantity_of(&word) {
            found.quantity = combine(found.quantity, quantity);
        } else {
            break;
        }
        at += 1;
    }
    if found.axis.is_some() {
        *label = found;
        *from = at;
    }
}

/// Is every word of this cell a word for a quantity ("Position", "Rotation (deg)")?
pub(super) fn quantity_alone(text: &str) -> Option<Quantity> {
    let mut label = Label::default();
    let stem = take_brackets(text.trim(), &mut label);
    let mut found = None;
    for (start, end) in words_of(stem) {
        found = combine(found, quantity_of(&stem[start..end].to_ascii_lowercase())?);
    }
    found
}

/// Is every word of this cell a word for a kind of object?
pub(super) fn is_type(text: &str) -> bool {
    let words = words_of(text);
    !words.is_empty()
        && words.iter().all(|&(start, end)| TYPE_WORDS.contains(&text[start..end].to_ascii_lowercase().as_str()))
}

/// A name that has its axis in another row: only a unit in brackets and unmistakable quantities are looked for.
pub(super) fn name_only(text: &str) -> Label {
    let mut label = Label::default();
    let stem = take_brackets(text.trim(), &mut label);
    let named = words_of(stem)
        .iter()
        .any(|&(start, end)| UNMISTAKABLE.contains(&stem[start..end].to_ascii_lowercase().as_str()));
    if named {
        label.quantity = combine(label.quantity, Quantity::Other);
    }
    Label { name: stem.to_owned(), axis: None, ..label }
}

/// What a column that is no coordinate may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Leading {
    Time(Option<TimeUnit>),
    Frame,
    SubFrame,
}

const TIME_WORDS: [&str; 12] =
    ["time", "t", "timestamp", "timestamps", "times", "clock", "timecode", "zeit", "temps", "tiempo", "tempo", "tijd"];
const TIME_COMPANIONS: [&str; 18] = [
    "stamp",
    "elapsed",
    "since",
    "start",
    "unix",
    "epoch",
    "utc",
    "relative",
    "rel",
    "abs",
    "absolute",
    "capture",
    "recording",
    "in",
    "of",
    "day",
    "code",
    "total",
];
const FRAME_WORDS: [&str; 16] = [
    "frame", "frames", "frame#", "sample", "samples", "field", "fields", "index", "idx", "row", "item", "bild",
    "image", "trame", "cuadro", "counter",
];
const FRAME_COMPANIONS: [&str; 13] =
    ["number", "no", "nr", "num", "id", "#", "n", "video", "capture", "s", "count", "data", "original"];

/// Is this the label of a time or frame column?
pub(super) fn leading(text: &str) -> Option<Leading> {
    let mut label = Label::default();
    let stem = take_brackets(text.trim(), &mut label).to_ascii_lowercase();
    let words: Vec<&str> = words_of(&stem)
        .into_iter()
        .map(|(start, end)| stem[start..end].trim_matches('#'))
        .filter(|w| !w.is_empty())
        .collect();
    if matches!(words[..], ["sub", "frame"] | ["subframe"] | ["sub", "sample"] | ["subsample"]) {
        return Some(Leading::SubFrame);
    }
    if words.iter().all(|word| FRAME_WORDS.contains(word) || FRAME_COMPANIONS.contains(word))
        && words.iter().any(|word| FRAME_WORDS.contains(word))
    {
        return Some(Leading::Frame);
    }
    let unit = words.iter().find_map(|word| TimeUnit::parse(word).filter(|_| *word != "t"));
    let in_brackets = match label.unit {
        Some(Unit::Time(unit)) => Some(unit),
        _ => None,
    };
    let known =
        |word: &&str| TIME_WORDS.contains(word) || TIME_COMPANIONS.contains(word) || TimeUnit::parse(word).is_some();
    let core = words.iter().any(|word| TIME_WORDS.contains(word))
        || words.iter().any(|word| word.len() > 2 && TimeUnit::parse(word).is_some())
        || matches!(words[..], ["ms"]);
    (core && words.iter().all(known)).then_some(Leading::Time(in_brackets.or(unit)))
}

/// Is this the label of the column that names the point, in tables with one row per sample and point?
pub(super) fn names_points(text: &str) -> bool {
    const CORE: [&str; 17] = [
        "marker",
        "name",
        "label",
        "point",
        "joint",
        "landmark",
        "bodypart",
        "bodyparts",
        "keypoint",
        "track",
        "object",
        "sensor",
        "segment",
        "bone",
        "node",
        "part",
        "landmarks",
    ];
    const COMPANIONS: [&str; 7] = ["name", "id", "label", "number", "body", "no", "index"];
    let lower = text.to_ascii_lowercase();
    let words: Vec<&str> = words_of(&lower).into_iter().map(|(start, end)| &lower[start..end]).collect();
    words.iter().any(|word| CORE.contains(word))
        && words.iter().all(|word| CORE.contains(word) || COMPANIONS.contains(word))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(text: &str) -> (String, Option<usize>, Option<Unit>, Option<Quantity>) {
        let label = parse(text);
        (label.name, label.axis, label.unit, label.quantity)
    }

    #[test]
    fn ok_one_column_of_a_point() {
        let mm = Some(Unit::Length(LengthUnit::Millimetre));
        let m = Some(Unit::Length(LengthUnit::Metre));
        let position = Some(Quantity::Position);
        for (text, unit, quantity) in [
            ("LWRA Y", None, None),
            ("LWRA_y", None, None),
            ("LWRA.y", None, None),
            ("LWRA:Y", None, None),
            ("LWRA (Y)", None, None),
            ("LWRA-Y", None, None),
            ("LWRA[y]", None, None),
            ("Y_LWRA", None, None),
            ("y LWRA", None, None),
            ("pos_y_LWRA", None, position),
            ("LWRA pos Y", None, position),
            ("LWRA Ty", None, position),
            ("LWRA_position_y", None, position),
            ("LWRA_y_position", None, position),
            ("LWRA.posY", None, position),
            ("Position Y LWRA", None, position),
            ("LWRA Y [mm]", mm, None),
            ("LWRA_y_mm", mm, None),
            ("LWRA Y (m)", m, None),
            ("LWRA_y_m", m, None),
            ("LWRA (Y, mm)", mm, None),
            ("LWRA (mm) Y", None, None),
            ("LWRA Y / mm", mm, None),
            ("LWRA y-axis", None, None),
            ("LWRA Y Coordinate (mm)", mm, position),
        ] {
            let wanted = if text == "LWRA (mm) Y" { "LWRA (mm)" } else { "LWRA" };
            assert_eq!(found(text), (wanted.to_owned(), Some(1), unit, quantity), "{text}");
        }
    }

    #[test]
    fn ok_names_keep_their_parts() {
        for (text, name, axis) in [
            ("Student 1:LWRA_X", "Student 1:LWRA", Some(0)),
            ("Left Wrist Z", "Left Wrist", Some(2)),
            ("T10_z", "T10", Some(2)),
            ("R_ACC_x", "R_ACC", Some(0)),
            ("X1", "1", Some(0)),
            ("x", "", Some(0)),
            ("Pos X", "", Some(0)),
            ("LWRA", "LWRA", None),
            ("LWRAx", "LWRAx", None),
            ("Left in", "Left in", None),
            ("", "", None),
            ("___", "", None),
            ("(mm)", "", None),
        ] {
            let label = parse(text);
            assert_eq!((label.name.as_str(), label.axis), (name, axis), "{text}");
        }
    }

    #[test]
    fn ok_other_quantities() {
        for text in [
            "Club_rx",
            "Club qw",
            "Club Rotation X",
            "Club_rot_x",
            "LWRA vel X",
            "LWRA_vx",
            "LWRA X (mm/s)",
            "LWRA_acc_z",
            "LWRA velocity y",
            "Club X (deg)",
            "Rotation X",
            "gyro_x",
            "LWRA az",
            "LWRA_X m/s",
        ] {
            let label = parse(text);
            let other = label.quantity == Some(Quantity::Other) || label.unit == Some(Unit::Other);
            assert!(other && label.axis.is_some(), "{text}: {label:?}");
        }
    }

    #[test]
    fn ok_time_and_frame_columns() {
        let time = |unit| Some(Leading::Time(unit));
        for (text, wanted) in [
            ("Time (s)", time(Some(TimeUnit::Seconds))),
            ("Time [ms]", time(Some(TimeUnit::Milliseconds))),
            ("time_ms", time(Some(TimeUnit::Milliseconds))),
            ("t(s)", time(Some(TimeUnit::Seconds))),
            ("t", time(None)),
            ("TIMESTAMP", time(None)),
            ("Time (Seconds)", time(Some(TimeUnit::Seconds))),
            ("elapsed time (s)", time(Some(TimeUnit::Seconds))),
            ("timestamp_us", time(Some(TimeUnit::Microseconds))),
            ("seconds", time(Some(TimeUnit::Seconds))),
            ("Zeit [s]", time(Some(TimeUnit::Seconds))),
            ("Frame", Some(Leading::Frame)),
            ("Frame#", Some(Leading::Frame)),
            ("frame_number", Some(Leading::Frame)),
            ("Sample #", Some(Leading::Frame)),
            ("Field", Some(Leading::Frame)),
            ("Sub Frame", Some(Leading::SubFrame)),
            ("LWRA", None),
            ("T10", None),
            ("s", None),
            ("x", None),
            ("", None),
        ] {
            assert_eq!(leading(text), wanted, "{text}");
        }
    }
}
