//! The report: everything the page and `cargo inspect --json` know about one file, as plain data.
//!
//! Field names carry their unit (`_m`, `_s`, `_deg`, `_hz`); places are `[out, target, up]` of the body-relative frame,
//! spelled `out_m`, `target_m`, `up_m`; what is missing is null. Instants, guesses and sources are documented strings.
//! `tests/schema/report.schema.json` is the JSON Schema.

mod against;
mod path;
mod sets;
mod shares;

pub use against::{Against, AtInstantReport, Differs};
pub use path::{InstantReport, PathPoint, Place3};
pub use sets::{
    BandReport, Document, Fingerprint, LikenessReport, OwnReport, PlacesReport, ReferencesReport, SetReport, Sets,
};
pub use shares::SharesReport;

use crate::body::BodySize;
use crate::findings::{Beside, Finding, Thresholds, Told, findings, reading};
use crate::formats::{Event, Format, LengthUnit, RateSource, ReadError, Recording};
use crate::measure::{Measure, doubts, measures};
use crate::plain;
use crate::sets::{Usual, usual};
use crate::settings::{Club, Hand, SwingKind};
use crate::swing::{Guess, InstantName, Swing, SwingError};
use crate::words::Message;

/// Version of the report's shape; rises when a field changes its meaning or goes away.
pub const VERSION: u32 = 1;

/// What is known about one file.
#[derive(Clone, Debug)]
pub struct Report {
    /// [`VERSION`].
    pub version: u32,
    /// Name of the file as the user sees it.
    pub name: String,
    /// What was read; null where the file is not readable.
    pub file: Option<FileReport>,
    /// Why there is no swing (or no file); null where there is one.
    pub error: Option<Message>,
    /// The swing; its fields stand at the top level and are empty or null without one.
    pub swing: SwingReport,
    /// Odd but usable things, of reader and analysis.
    pub warnings: Vec<Message>,
    /// The swing beside references, one entry each.
    pub alignment: Vec<Against>,
}

plain::record!(Report { version, name, file, error, swing: inline, warnings, alignment });

/// What a reader found in a file.
#[derive(Clone, Debug)]
pub struct FileReport {
    /// Format, recognised by content.
    pub format: Format,
    /// Sampling rate stated by the file or taken from its clock, Hz.
    pub rate_hz: Option<f64>,
    /// Where the times come from.
    pub rate_source: RateSource,
    /// Rows (frames).
    pub rows: usize,
    /// Clock of the file at its first and last row, seconds.
    pub clock_s: [f64; 2],
    /// Named tracks in file order.
    pub tracks: Vec<TrackReport>,
    /// Instants the file names.
    pub events: Vec<Event>,
}

plain::record!(FileReport { format, rate_hz, rate_source, rows, clock_s, tracks, events });

/// One track of a file.
#[derive(Clone, Debug)]
pub struct TrackReport {
    /// Name.
    pub name: String,
    /// Rows with a point.
    pub present: usize,
    /// Unit stated for it.
    pub unit: Option<LengthUnit>,
}

plain::record!(TrackReport { name, present, unit });

/// One swing.
#[derive(Clone, Debug, Default)]
pub struct SwingReport {
    /// Hand played.
    pub hand: Option<Hand>,
    /// Club.
    pub club: Option<Club>,
    /// Kind of swing.
    pub kind: Option<SwingKind>,
    /// Is there a body to hang the frame on? If not, only the shape of the path means anything.
    pub has_body: Option<bool>,
    /// Lengths that scale bodies to each other.
    pub size: Option<BodySize>,
    /// 1 SD of noise left in the path, per coordinate, metres.
    pub noise_m: Option<f64>,
    /// Mid-hands at address.
    pub hands_at_address: Option<Place3>,
    /// Ball centre at address.
    pub ball: Option<Place3>,
    /// Instants found, in time order.
    pub instants: Vec<InstantReport>,
    /// Instants not found, and why.
    pub absent: Vec<Absent>,
    /// Mid-hands, filtered, at the file's rate; null in gaps.
    pub hand_path: Vec<PathPoint>,
    /// Greatest hand speed of the downswing.
    pub peak_hand_speed: Option<PeakSpeed>,
    /// Displacement of the hands from the top to lead arm level.
    pub top_to_lead_arm_level: Option<Place3>,
    /// Who moved the hands from the top to lead arm level, by the shoulder line; by the trunk landmarks where a shoulder
    /// is not known.
    pub shares: Option<SharesReport>,
    /// The same by the trunk landmarks, where `shares` goes by the shoulder line. The two differ by what the shoulder
    /// girdle does.
    pub shares_by_trunk: Option<SharesReport>,
    /// Why there are no shares.
    pub shares_absent: Option<Message>,
    /// What the hand path says, in numbers; those shown first in front. All names are there, with or without a value.
    pub measures: Vec<Measure>,
    /// What the measures fit with, by the rule table; all names are there.
    pub findings: Vec<Finding>,
    /// What the references do in each measure, and whether this swing does the same; empty beside fewer than two.
    pub usual: Vec<Usual>,
    /// Two or three plain sentences chosen from the findings, lengths in whole centimetres.
    pub reading: Vec<Message>,
    /// Everything guessed.
    pub guesses: Vec<Guess>,
}

plain::record!(SwingReport {
    hand,
    club,
    kind,
    has_body,
    size,
    noise_m,
    hands_at_address,
    ball,
    instants,
    absent,
    hand_path,
    peak_hand_speed,
    top_to_lead_arm_level,
    shares,
    shares_by_trunk,
    shares_absent,
    measures,
    findings,
    usual,
    reading,
    guesses
});

/// An instant that could not be found.
#[derive(Clone, Debug)]
pub struct Absent {
    /// Which.
    pub name: InstantName,
    /// Why.
    pub why: Message,
}

plain::record!(Absent { name, why });

/// Greatest hand speed between top and finish.
#[derive(Clone, Copy, Debug)]
pub struct PeakSpeed {
    /// Metres per second.
    pub speed_m_s: f64,
    /// When.
    pub time_s: f64,
    /// Nearest 0-based row of the file.
    pub row: usize,
}

plain::record!(PeakSpeed { speed_m_s, time_s, row });

impl Report {
    /// The report of a file that could not be read.
    pub fn unreadable(name: &str, error: &ReadError) -> Report {
        Report::new(name, None, Some(error.message()), SwingReport::default(), vec![])
    }

    /// The report of a readable file, with its swing or the reason why there is none.
    pub fn of(name: &str, recording: &Recording, swing: Result<&Swing, &SwingError>) -> Report {
        let file = Some(FileReport::of(recording));
        match swing {
            Ok(swing) => {
                let told = SwingReport::of(swing);
                let warnings = [swing.warnings.clone(), doubts(swing, &told.measures)].concat();
                Report::new(name, file, None, told, warnings)
            }
            Err(error) => {
                Report::new(name, file, Some(error.message()), SwingReport::default(), recording.warnings.clone())
            }
        }
    }

    fn new(
        name: &str,
        file: Option<FileReport>,
        error: Option<Message>,
        swing: SwingReport,
        warnings: Vec<Message>,
    ) -> Report {
        Report { version: VERSION, name: name.to_owned(), file, error, swing, warnings, alignment: vec![] }
    }
}

impl FileReport {
    fn of(recording: &Recording) -> FileReport {
        let track = |track: &crate::formats::Track| TrackReport {
            name: track.name.clone(),
            present: track.present(),
            unit: track.unit,
        };
        let ends = |clock: &[f64]| [clock.first().copied().unwrap_or(0.0), clock.last().copied().unwrap_or(0.0)];
        FileReport {
            format: recording.format,
            rate_hz: recording.rate_hz,
            rate_source: recording.rate_source,
            rows: recording.rows(),
            clock_s: ends(&recording.clock_s),
            tracks: recording.tracks.iter().map(track).collect(),
            events: recording.events.clone(),
        }
    }
}

impl SwingReport {
    /// Tells the findings again: beside references, or with other thresholds.
    pub fn judge(&mut self, swing: &Swing, references: &[Beside], thresholds: &Thresholds) {
        self.findings = findings(swing, &self.measures, references, thresholds);
        self.usual = usual(&self.measures, references);
        let told = Told { swing, measures: &self.measures, findings: &self.findings, references };
        self.reading = reading(&told, &centimetres);
    }

    /// The swing as plain data.
    pub fn of(swing: &Swing) -> SwingReport {
        let curve = swing.hand_curve();
        let place = |name| curve.position(swing.instant(name)?.time_s);
        let displacement = || {
            let (from, to) = (place(InstantName::Top)?, place(InstantName::LeadArmLevel)?);
            Some(Place3::from(std::array::from_fn(|axis| to[axis] - from[axis])))
        };
        let (shares, shares_by_trunk, shares_absent) = match shares::both(swing) {
            [Ok(line), trunk] => (Some(line), trunk.ok(), None),
            [Err(_), Ok(trunk)] => (Some(trunk), None, None),
            [Err(why), Err(_)] => (None, None, Some(why)),
        };
        let measures = measures(swing);
        let mut report = SwingReport {
            hand: Some(swing.hand),
            club: Some(swing.club),
            kind: Some(swing.kind),
            has_body: Some(swing.has_body),
            size: Some(swing.size),
            noise_m: Some(swing.noise_m),
            hands_at_address: swing.hands_at_address.map(Place3::from),
            ball: swing.ball.map(Place3::from),
            instants: swing.instants.iter().map(|instant| InstantReport::of(instant, &curve)).collect(),
            absent: swing.absent.iter().map(|(name, why)| Absent { name: *name, why: why.clone() }).collect(),
            hand_path: path::hand_path(swing),
            peak_hand_speed: path::peak_speed(swing, &curve),
            top_to_lead_arm_level: displacement(),
            shares,
            shares_by_trunk,
            shares_absent,
            findings: vec![],
            usual: vec![],
            reading: vec![],
            measures,
            guesses: swing.guesses.clone(),
        };
        report.judge(swing, &[], &Thresholds::default());
        report
    }
}

/// A length in whole centimetres.
fn centimetres(metres: f64) -> String {
    format!("{} cm", (100.0 * metres).round() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unreadable_file_still_has_the_whole_shape() {
        let json = serde_json::to_value(Report::unreadable("x.c3d", &ReadError::Empty)).unwrap();
        assert_eq!(json["error"]["text"], "The file is empty. Export it again, or choose another file.");
        for field in ["instants", "hand_path", "guesses", "warnings", "absent", "measures"] {
            assert!(json[field].is_array(), "{field}");
        }
        assert!(json["file"].is_null() && json["hand"].is_null());
    }
}
