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
use crate::formats::recording::bare_unit;
use crate::letters::{is_in, is_of, look_up, trim_end};

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
        const SPELLINGS: [(TimeUnit, &str); 5] = [
            (TimeUnit::Seconds, "s sec secs second seconds"),
            (TimeUnit::Milliseconds, "ms msec msecs millisecond milliseconds millis"),
            (TimeUnit::Microseconds, "us usec µs μs microsecond microseconds micros"),
            (TimeUnit::Nanoseconds, "ns nsec nanosecond nanoseconds nanos"),
            (TimeUnit::Minutes, "min mins minute minutes"),
        ];
        look_up(&SPELLINGS, word)
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

const POSITION_WORDS: &str = "pos position positions trans translation translate coord coords coordinate coordinates loc \
    location traj trajectory trajectories";

const OTHER_WORDS: &str = "rot rotation rotations rotate euler quat quaternion orientation ori ang angle angles angular vel \
    velo velocity velocities speed acc accel acceleration accelerations accelerometer gyro gyr gyroscope omega mag \
    magnetometer conf confidence likelihood score prob probability visibility visible presence residual residuals resid \
    err error sd std variance force moment torque power jerk";

/// Words for a kind of object, as a header row above the names may have them.
const TYPE_WORDS: &str = "type marker markers bone bones joint rigid body bodies segment point points skeleton object model \
    asset unlabeled labeled";

/// Long words only: a marker name may hold "acc" (acromion) or "ang".
const UNMISTAKABLE: &str = "rotation quaternion orientation velocity acceleration accelerometer gyroscope angle angles \
    confidence likelihood residual visibility";

fn is_separator(c: char) -> bool {
    c.is_whitespace() || is_of("_.:-/,|", c)
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
    look_up(&[(Quantity::Position, POSITION_WORDS), (Quantity::Other, OTHER_WORDS)], word)
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
    const OTHER: &str = "deg degs degree degrees ° rad radian radians m/s mm/s cm/s m/s2 m/s^2 m/s² mm/s2 mm/s^2 mm/s² deg/s °/s \
        rad/s g n nm nmm n.mm n.m px pixel pixels v mv % hz";
    let word = bare_unit(text);
    let length = LengthUnit::parse(&word).map(Unit::Length);
    length.or_else(|| TimeUnit::parse(&word).map(Unit::Time)).or_else(|| is_in(OTHER, &word).then_some(Unit::Other))
}

/// Takes a label apart.
pub(super) fn parse(text: &str) -> Label {
    let mut label = Label::default();
    let stem = take_brackets(text.trim(), &mut label);
    let stem = take_speed_unit(stem, &mut label);
    let words = words_of(stem);
    let (mut from, mut to) = (0, words.len());
    take_suffixes(&words, &mut to, &mut label);
    if label.axis.is_none() {
        take_prefixes(&words, &mut from, to, &mut label);
    }
    if label.axis.is_none() {
        (from, to) = (0, last_name_word(&words, &label));
    }
    // The number of "X12", if any, stays where no other name is left.
    if let Some([first, .., last] | [first @ last]) = words.get(from..to) {
        label.name = stem[first.start..last.end].to_owned();
    }
    restore_acromion(stem, &words, &mut label);
    label
}

/// Without an axis, only a unit is taken off the end; a quantity word may be the name.
fn last_name_word(words: &[Word], label: &Label) -> usize {
    let ends_in_unit = |word: &Word| label.unit.is_some() && unit(&word.lower) == label.unit;
    words.len() - usize::from(words.len() > 1 && words.last().is_some_and(ends_in_unit))
}

/// "R_ACC_X" is the right acromion, not an acceleration of "R".
fn restore_acromion(stem: &str, words: &[Word], label: &mut Label) {
    if label.quantity == Some(Quantity::Other)
        && is_in("l r left right", &label.name.to_ascii_lowercase())
        && let [first, second, ..] = words
        && second.lower == "acc"
    {
        label.name = stem[first.start..second.end].to_owned();
        label.quantity = None;
    }
}

/// A word between separators, in lower case.
struct Word {
    lower: String,
    /// Bytes in the label.
    start: usize,
    end: usize,
}

fn words_of(stem: &str) -> Vec<Word> {
    let mut words = Vec::new();
    let mut start = 0;
    for (end, c) in stem.char_indices().chain([(stem.len(), ' ')]).filter(|(_, c)| is_separator(*c)) {
        if start < end {
            words.push(Word { lower: stem[start..end].to_ascii_lowercase(), start, end });
        }
        start = end + c.len_utf8();
    }
    words
}

/// Takes understood bracket groups off the end.
fn take_brackets<'a>(text: &'a str, label: &mut Label) -> &'a str {
    let mut stem = text;
    while let Some(close) = stem.chars().next_back().filter(|c| is_of(")]}", *c)) {
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
    for Word { lower, .. } in &words {
        if let Some((axis, quantity)) = axis_word(lower, false) {
            found.axis = Some(axis);
            found.quantity = found.quantity.or(quantity);
        } else if let Some(unit) = unit(lower) {
            found.unit = Some(unit);
        } else if let Some(quantity) = quantity_of(lower) {
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
            return trim_end(rest, is_separator);
        }
    }
    stem
}

fn take_suffixes(words: &[Word], to: &mut usize, label: &mut Label) {
    let pure = words.len() == 1;
    while let [before @ .., Word { lower: word, .. }] = &words[..*to] {
        let before = before.last().map(|before| before.lower.as_str());
        if label.axis.is_none()
            && label.unit.is_none()
            && before.is_some_and(may_carry_unit)
            && let Some(unit) = unit(word)
        {
            label.unit = Some(unit);
        } else if label.axis.is_none()
            && let Some((axis, quantity)) = axis_word(word, pure)
        {
            label.axis = Some(axis);
            label.quantity = label.quantity.or(quantity);
            if pure && word.len() > 1 && word.ends_with(|c: char| c.is_ascii_digit()) {
                // "X12" in a row of axes: the number stands for the point.
                label.name = word[1..].to_owned();
            }
        } else if word == "axis" && before.and_then(axis_of).is_some() {
            // "X axis"
        } else if let Some(quantity) = quantity_of(word)
            && (before.is_some() || label.axis.is_some())
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

fn take_prefixes(words: &[Word], from: &mut usize, to: usize, label: &mut Label) {
    let mut found = label.clone();
    let mut taken = 0;
    for Word { lower, .. } in words.iter().take(to.saturating_sub(1)) {
        if found.axis.is_none()
            && let Some((axis, quantity)) = axis_word(lower, false)
        {
            found.axis = Some(axis);
            found.quantity = found.quantity.or(quantity);
        } else if let Some(quantity) = quantity_of(lower) {
            found.quantity = combine(found.quantity, quantity);
        } else {
            break;
        }
        taken += 1;
    }
    if found.axis.is_some() {
        *label = found;
        *from = taken;
    }
}

/// Is every word of this cell a word for a quantity ("Position", "Rotation (deg)")?
pub(super) fn quantity_alone(text: &str) -> Option<Quantity> {
    let mut label = Label::default();
    let stem = take_brackets(text.trim(), &mut label);
    let mut found = None;
    for word in words_of(stem) {
        found = combine(found, quantity_of(&word.lower)?);
    }
    found
}

/// Is every word of this cell a word for a kind of object?
pub(super) fn is_type(text: &str) -> bool {
    let words = words_of(text);
    !words.is_empty() && words.iter().all(|word| is_in(TYPE_WORDS, &word.lower))
}

/// A name that has its axis in another row: only a unit in brackets and unmistakable quantities are looked for.
pub(super) fn name_only(text: &str) -> Label {
    let mut label = Label::default();
    let stem = take_brackets(text.trim(), &mut label);
    if words_of(stem).iter().any(|word| is_in(UNMISTAKABLE, &word.lower)) {
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

const TIME_WORDS: &str = "time t timestamp timestamps times clock timecode zeit temps tiempo tempo tijd";
const TIME_COMPANIONS: &str = "stamp elapsed since start unix epoch utc relative rel abs absolute capture recording in of day \
    code total";
const FRAME_WORDS: &str = "frame frames sample samples field fields index idx row item bild image trame cuadro counter";
const FRAME_COMPANIONS: &str = "number no nr num id n video capture s count data original";

/// Is this the label of a time or frame column?
pub(super) fn leading(text: &str) -> Option<Leading> {
    let mut label = Label::default();
    let words = words_of(take_brackets(text.trim(), &mut label));
    let words: Vec<&str> =
        words.iter().map(|word| word.lower.trim_matches('#')).filter(|word| !word.is_empty()).collect();
    if is_in("subframe subsample", &words.concat()) {
        return Some(Leading::SubFrame);
    }
    if words.iter().any(|word| is_in(FRAME_WORDS, word))
        && words.iter().all(|word| is_in(FRAME_WORDS, word) || is_in(FRAME_COMPANIONS, word))
    {
        return Some(Leading::Frame);
    }
    let (mut unit, mut core) = (None, false);
    for word in &words {
        let by_word = TimeUnit::parse(word);
        unit = unit.or(by_word);
        let time = is_in(TIME_WORDS, word);
        core |= time || by_word.is_some() && (word.len() > 2 || words == ["ms"]);
        if !time && by_word.is_none() && !is_in(TIME_COMPANIONS, word) {
            return None;
        }
    }
    let in_brackets = match label.unit {
        Some(Unit::Time(unit)) => Some(unit),
        _ => None,
    };
    core.then_some(Leading::Time(in_brackets.or(unit)))
}

/// Is this the label of the column that names the point, in tables with one row per sample and point?
pub(super) fn names_points(text: &str) -> bool {
    const CORE: &str = "marker name label point joint landmark bodypart bodyparts keypoint track object sensor segment bone \
        node part landmarks";
    const COMPANIONS: &str = "id number body no index";
    let words = words_of(text);
    words.iter().any(|word| is_in(CORE, &word.lower))
        && words.iter().all(|word| is_in(CORE, &word.lower) || is_in(COMPANIONS, &word.lower))
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
