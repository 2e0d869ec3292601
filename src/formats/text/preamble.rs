//! What the lines above a table say: rate, length unit, up axis.
//!
//! Keys and values are looked for as words, whatever separates them: `Frequency, 240`, `FRAME_RATE 240`,
//! `SampleRate=240 Hz`, `# Units: mm`, or the value in the cell below its key.

use super::labels::TimeUnit;
use super::numbers::{Cell, Decimal, parse, trimmed};
use super::records::Record;
use crate::formats::{Axis, LengthUnit};
use crate::letters::{is_in, is_letter, is_letter_or_digit, is_of, look_up, lower, trim_end};

/// Facts stated above a table.
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::formats) struct Facts {
    /// Rate, Hz, with how much its key speaks of the rows of the table.
    pub(in crate::formats) rate_hz: Option<(f64, Trust)>,
    pub(in crate::formats) unit: Option<LengthUnit>,
    pub(in crate::formats) up: Option<Axis>,
    pub(super) time_unit: Option<TimeUnit>,
    /// Rows and points announced (TRC).
    pub(in crate::formats) rows: Option<f64>,
    pub(in crate::formats) points: Option<f64>,
}

/// A file may state several rates; the most trusted one wins, the first among equals.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::formats) enum Trust {
    /// Rate before an edit.
    Original,
    /// "240 Hz" somewhere in a sentence.
    Sentence,
    /// A number alone on the line below the title of a table.
    BelowTitle,
    /// Camera or capture rate.
    Capture,
    /// Just a rate.
    Plain,
    /// Rate of the points or the data.
    Data,
    /// Rate of the export.
    Export,
}

/// Rates outside are no sampling rates of a swing (two pictures in it, up to high-speed film).
const RATE_RANGE_HZ: std::ops::RangeInclusive<f64> = 2.0..=100_000.0;

/// Longest key, in words ("export frame rate hz").
const KEY_WORDS: usize = 4;

/// Words of a line that are looked at.
const MOST_WORDS: usize = 400;

/// Collects the facts of the records above a table.
pub(in crate::formats) fn read(above: &[Record]) -> Facts {
    let mut facts = Facts::default();
    for (at, record) in above.iter().enumerate() {
        facts.in_line(record);
        if let Some(below) = above.get(at + 1) {
            facts.in_column(record, below);
            facts.below_title(record, below);
        }
    }
    facts
}

/// Does this record state a fact beside its key, so that it is no header row?
pub(super) fn states_fact(record: &Record) -> bool {
    let mut facts = Facts::default();
    facts.in_line(record);
    facts.rate_hz.is_some_and(|(_, trust)| trust > Trust::Sentence) || facts.unit.is_some() || facts.up.is_some()
}

impl Facts {
    fn in_line(&mut self, record: &Record) {
        let words = words(record);
        let mut from = 0;
        while from < words.len() {
            self.in_sentence(&words, from);
            from = self.behind_key(&words, from).unwrap_or(from + 1);
        }
    }

    /// Takes the fact whose key begins at this word; gives the word behind the key. The longest key counts: "original
    /// frame rate" before "frame rate".
    fn behind_key(&mut self, words: &[&str], from: usize) -> Option<usize> {
        let previous = from.checked_sub(1).map(|at| key_of(words, at)).unwrap_or_default();
        (from + 1..=words.len().min(from + KEY_WORDS)).rev().find(|&to| {
            let key: String = words[from..to].iter().map(|word| key(word)).collect();
            let rate = rate_key(&key).and_then(|key| rate_value(key, &words[to..]));
            if let Some((rate, trust)) = rate {
                self.offer_rate(rate, qualified(trust, &previous));
            }
            rate.is_some() || self.take(&key, &words[to..])
        })
    }

    /// Takes a unit, an up axis or an announced count behind its key.
    fn take(&mut self, key: &str, values: &[&str]) -> bool {
        if is_unit_key(key) {
            let unit = unit_value(values);
            self.unit = self.unit.or(unit);
            return unit.is_some();
        }
        if is_up_key(key) {
            let up = values.iter().take(2).find_map(|word| Axis::parse(word));
            self.up = self.up.or(up);
            return up.is_some();
        }
        if matches!(key, "timeunit" | "timeunits") {
            self.time_unit =
                self.time_unit.or(values.iter().take(2).find_map(|word| TimeUnit::parse(&word.to_ascii_lowercase())));
        }
        false
    }

    /// "240 Hz", "240fps", "in mm", "Y up", "Z-up".
    fn in_sentence(&mut self, words: &[&str], at: usize) {
        let word = key_of(words, at);
        let next = key_of(words, at + 1);
        let glued = ["hz", "fps"].iter().find_map(|unit| word.strip_suffix(unit));
        let number = match (glued, next.as_str()) {
            (Some(number), _) if !number.is_empty() => number_of(trim_end(words[at], is_letter)),
            (None, "hz" | "fps") => number_of(words[at]),
            _ => None,
        };
        if let Some(rate) = number {
            self.offer_rate(rate, Trust::Sentence);
        }
        let subject = at.checked_sub(1).map(|before| key_of(words, before)).unwrap_or_default();
        let lengths = is_in("positions coordinates lengths units values data", &subject);
        if word == "in" && next != "in" && (lengths || next.len() > 1) {
            self.unit = self.unit.or_else(|| LengthUnit::parse(&next));
        }
        let up = match (word.as_str(), next.as_str()) {
            ("x" | "y" | "z", "up") => Axis::parse(&word),
            ("xup" | "yup" | "zup", _) => Axis::parse(&word[..1]),
            _ => None,
        };
        self.up = self.up.or(up);
    }

    /// Keys in one row, their values in the row below.
    fn in_column(&mut self, keys: &Record, values: &Record) {
        for (column, cell) in keys.cells.iter().enumerate().take(MOST_WORDS) {
            let key = key(trimmed(cell));
            let value = trimmed(values.cells.get(column).unwrap_or_default());
            if let Some((rate, trust)) = rate_key(&key).and_then(|key| rate_value(key, &[value])) {
                self.offer_rate(rate, trust);
            }
            if is_unit_key(&key) {
                self.unit = self.unit.or_else(|| LengthUnit::parse(value));
            }
            match key.as_str() {
                "numframes" => self.rows = self.rows.or(number_of(value)),
                "nummarkers" => self.points = self.points.or(number_of(value)),
                _ => {}
            }
        }
    }

    fn below_title(&mut self, title: &Record, below: &Record) {
        let (title, below) = (words(title), words(below));
        if let ([first, ..], [number]) = (&title[..], &below[..])
            && title.len() <= 3
            && number_of(first).is_none()
            && let Some(rate) = number_of(number)
            && rate >= 2.0
        {
            self.offer_rate(rate, Trust::BelowTitle);
        }
    }

    fn offer_rate(&mut self, rate: f64, trust: Trust) {
        if RATE_RANGE_HZ.contains(&rate) && self.rate_hz.is_none_or(|(_, known)| trust > known) {
            self.rate_hz = Some((rate, trust));
        }
    }
}

/// Words of a record. A comma separates cells only where it is the delimiter.
fn words(record: &Record) -> Vec<&str> {
    let separates = |c: char| c.is_whitespace() || is_of(":;=|\"#()[]{}@", c);
    record
        .cells
        .iter()
        .flat_map(|cell| trimmed(cell).split(separates))
        .filter(|word| !word.is_empty())
        .take(MOST_WORDS)
        .collect()
}

fn key(word: &str) -> String {
    word.chars().filter(|c| is_letter_or_digit(*c)).take(40).map(lower).collect()
}

fn key_of(words: &[&str], at: usize) -> String {
    words.get(at).map(|word| key(word)).unwrap_or_default()
}

fn number_of(word: &str) -> Option<f64> {
    match parse(word.as_bytes(), Decimal::Either) {
        Cell::Number(number) => Some(number),
        _ => None,
    }
}

/// A key for a rate (frames per second) or for its inverse.
#[derive(Clone, Copy)]
enum RateKey {
    PerSecond(Trust),
    Period(TimeUnit),
}

fn rate_key(key: &str) -> Option<RateKey> {
    let key = key.strip_suffix("inhz").or_else(|| key.strip_suffix("hz")).filter(|k| !k.is_empty()).unwrap_or(key);
    const SUBJECTS: [(Trust, &str); 4] = [
        (Trust::Original, "original orig"),
        (Trust::Export, "exported export"),
        (Trust::Data, "data points point markers marker output trajectory"),
        (Trust::Capture, "capture camera video recording acquisition"),
    ];
    const RATES: &str = "rate frequency freq framerate framefrequency framespersecond samplerate samplesrate samplingrate \
        samplefrequency samplingfrequency samplespersecond fps hz datarate";
    const PERIODS: &str = "frametime frameinterval sampleinterval samplinginterval sampleperiod samplingperiod sampletime \
        samplingtime timestep dt deltat frametimes";
    let subject = |(trust, words): &(Trust, &str)| {
        let rest = words.split(' ').find_map(|word| key.strip_prefix(word))?;
        Some((*trust, rest))
    };
    let (trust, rest) = SUBJECTS.iter().find_map(subject).unwrap_or((Trust::Plain, key));
    if is_in(RATES, rest) {
        return Some(RateKey::PerSecond(trust));
    }
    if is_in(PERIODS, rest) {
        return Some(RateKey::Period(TimeUnit::Seconds));
    }
    rest.strip_suffix("ms").filter(|rest| is_in(PERIODS, rest)).map(|_| RateKey::Period(TimeUnit::Milliseconds))
}

/// The number behind a rate key, passing over "(Hz)", "is" and the like.
fn rate_value(rate: RateKey, values: &[&str]) -> Option<(f64, Trust)> {
    let (at, number) = values.iter().take(3).enumerate().find_map(|(at, word)| {
        let number = trim_end(word, |c| is_letter(c) || c == '/');
        number_of(number).map(|number| (at, number))
    })?;
    let passed = values[..at]
        .iter()
        .all(|word| matches!(&*key(word), word if word.is_empty() || is_in("hz fps is in s ms", word)));
    let said = |unit: &str| values[..(at + 2).min(values.len())].iter().any(|word| key(word) == unit);
    match rate {
        _ if !passed => None,
        RateKey::PerSecond(trust) => Some((number, trust)),
        RateKey::Period(unit) => {
            let unit = if said("ms") || values[at].ends_with("ms") { TimeUnit::Milliseconds } else { unit };
            let period = unit.seconds(number);
            (period > 0.0).then_some((1.0 / period, Trust::Plain))
        }
    }
}

/// "Analog rate", "original frame rate": words before the key change what it speaks of.
fn qualified(trust: Trust, previous: &str) -> Trust {
    const SUBJECTS: [(Trust, &str); 4] = [
        (Trust::Original, "analog analogue force emg device original audio"),
        (Trust::Export, "export exported"),
        (Trust::Capture, "capture camera video"),
        (Trust::Data, "data point marker"),
    ];
    match look_up(&SUBJECTS, previous) {
        Some(said @ (Trust::Original | Trust::Export)) => said,
        Some(said) if trust == Trust::Plain => said,
        _ => trust,
    }
}

fn is_unit_key(key: &str) -> bool {
    const SUBJECTS: &str = "length lengths distance position positions coordinate coordinates marker linear translation \
        measurement spatial data";
    let subject = key.strip_suffix("units").or_else(|| key.strip_suffix("unit"));
    let of = key.strip_prefix("unitsof").or_else(|| key.strip_prefix("unitof"));
    subject.or(of).is_some_and(|subject| subject.is_empty() || is_in(SUBJECTS, subject))
}

/// "Units in mm": `in` is the unit only where nothing better follows.
fn unit_value(values: &[&str]) -> Option<LengthUnit> {
    let mut found = None;
    for word in values.iter().take(3).flat_map(|word| word.split([',', '/'])) {
        let unit = LengthUnit::parse(word);
        found = if found == Some(LengthUnit::Inch) { unit.or(found) } else { found.or(unit) };
    }
    found
}

fn is_up_key(key: &str) -> bool {
    is_in("up upaxis axisup updirection upvector vertical verticalaxis", key)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn facts(lines: &[&[&str]]) -> Facts {
        let record = |cells: &&[&str]| Record { cells: cells.iter().copied().collect(), ..Record::new() };
        read(&lines.iter().map(record).collect::<Vec<_>>())
    }

    fn rate(lines: &[&[&str]]) -> Option<f64> {
        facts(lines).rate_hz.map(|(rate, _)| rate)
    }

    #[test]
    fn ok_rates() {
        let cases: [&[&[&str]]; 17] = [
            &[&["Frequency", "240"]],
            &[&["FRAME_RATE 240"]],
            &[&["FRAME_RATE", "240"]],
            &[&["Capture Rate", "240"]],
            &[&["SampleRate=240 Hz"]],
            &[&["# recorded at 240 Hz"]],
            &[&["rate (Hz)", "240"]],
            &[&["Rate:", "240.0Hz"]],
            &[&["fps", "240,00"]],
            &[&["Format Version", "1.2", "Capture Frame Rate", "120.0", "Export Frame Rate", "240.000"]],
            &[&["Frame rate", "240"], &["Analog rate", "1200"]],
            &[&["Analog rate", "1200"], &["Frame rate", "240"]],
            &[&["DataRate", "CameraRate", "NumFrames"], &["240", "120", "3"]],
            &[&["Trajectories"], &["240"]],
            &[&["Sampling frequency [Hz]: 240"]],
            &[&["sampling interval (ms)", "4.1666666666666667"]],
            &[&["Original frame rate", "500"], &["frame rate", "240"]],
        ];
        for case in cases {
            assert!((rate(case).unwrap_or(f64::NAN) - 240.0).abs() < 1e-9, "{case:?}: {:?}", rate(case));
        }
        assert_eq!(rate(&[&["Frame Time: 0.008"]]), Some(125.0));
        assert_eq!(rate(&[&["Heart", "60"], &["Rate of play"]]), None);
        assert_eq!(rate(&[&["Rate", "0"]]), None);
    }

    #[test]
    fn ok_units_and_up() {
        for line in ["Units: mm", "Length Units = Millimeters", "# units in mm", "# all in mm", "UNITS\tmm"] {
            assert_eq!(facts(&[&[line]]).unit, Some(LengthUnit::Millimetre), "{line}");
        }
        assert_eq!(facts(&[&["Length Units", "Meters"]]).unit, Some(LengthUnit::Metre));
        assert_eq!(facts(&[&["# positions in m at 100 Hz"]]).unit, Some(LengthUnit::Metre));
        assert_eq!(facts(&[&["Units"], &["in"]]).unit, Some(LengthUnit::Inch));
        assert_eq!(facts(&[&["Units: in"]]).unit, Some(LengthUnit::Inch));
        assert_eq!(facts(&[&["Rotation Units: degrees"]]).unit, None);
        for line in ["Up axis: Z", "up=+z", "Z up", "Z-up", "Coordinate system: ZUp"] {
            assert_eq!(facts(&[&[line]]).up, Some(Axis::PlusZ), "{line}");
        }
        assert_eq!(facts(&[&["(X/Y/Z)", "follow up"]]).up, None);
    }
}
