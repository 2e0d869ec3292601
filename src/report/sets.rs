//! Several swings as one, and lesson against lesson, as plain data: beside the reports of the files.

use super::Report;
use crate::align::AlignError;
use crate::compare::scale_reference;
use crate::formats::Point;
use crate::plain;
use crate::sets::{
    Band, BandKind, COVERAGE, Choice, Lessons, Likeness, MeasureSpread, OwnSet, SwingSet, own_set, reference_set,
};
use crate::settings::SwingKind;
use crate::swing::{InstantName, Swing};
use crate::words::Message;

/// The report of a file, and what several files say together.
#[derive(Clone, Debug)]
pub struct Document<'a> {
    /// The file by itself.
    pub report: &'a Report,
    /// Several swings as one.
    pub sets: Sets,
    /// The lesson against an earlier one; null without, and for all files but the first.
    pub lessons: Option<Lessons>,
    /// Of the settings behind the numbers.
    pub fingerprint: Fingerprint,
}

plain::record!(Document<'_> { report: inline, sets, lessons, fingerprint });

/// The same for the same settings, on every machine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fingerprint {
    /// SHA-256 of the settings, 64 hexadecimal digits.
    pub sha256: String,
    /// The first twelve, in groups of four.
    pub code: String,
}

plain::record!(Fingerprint { sha256, code });

/// Several swings as one.
#[derive(Clone, Debug, Default)]
pub struct Sets {
    /// The references that suit this student; null without any.
    pub references: Option<ReferencesReport>,
    /// The student's own swings; null with one file, and for all files but the first.
    pub own: Option<OwnReport>,
}

plain::record!(Sets { references, own });

/// References as one, at the student's size.
#[derive(Clone, Debug)]
pub struct ReferencesReport {
    /// How like the student each reference is, in the order given.
    pub likeness: Vec<LikenessReport>,
    /// The set; null where there is none.
    pub set: Option<SetReport>,
    /// Why there is no set.
    pub error: Option<Message>,
    /// References left out, and what could not be compared.
    pub notes: Vec<Message>,
}

plain::record!(ReferencesReport { likeness, set, error, notes });

/// How like the student a reference is.
#[derive(Clone, Debug)]
pub struct LikenessReport {
    /// The reference.
    pub name: String,
    /// Is it like the student in depth at the top, club and kind?
    pub like: bool,
    /// How much deeper its hands are at the top; null where that is not known.
    pub depth_difference_m: Option<f64>,
    /// Why it is unlike.
    pub reasons: Vec<Message>,
}

plain::record!(LikenessReport { name, like, depth_difference_m, reasons });

/// A player's swings as one.
#[derive(Clone, Debug)]
pub struct OwnReport {
    /// The set; null where there is none.
    pub set: Option<SetReport>,
    /// Why there is no set.
    pub error: Option<Message>,
    /// The measures shown first: mean and spread.
    pub measures: Vec<MeasureSpread>,
}

plain::record!(OwnReport { set, error, measures });

/// Several swings as one. Lists by place run over the same places; a point is `[out, target, up]`, three nulls in a gap.
#[derive(Clone, Debug)]
pub struct SetReport {
    /// Kind of all swings.
    pub kind: SwingKind,
    /// Names of the swings.
    pub swings: Vec<String>,
    /// Stretches between the instants that all swings have.
    pub segments: Vec<PlacesReport>,
    /// Mean time since the first of these instants.
    pub time_s: Vec<f64>,
    /// Average path.
    pub mean_m: Vec<Point>,
    /// Standard deviation from swing to swing.
    pub sd_m: Vec<Point>,
    /// Band for one new swing; null with fewer than eight swings.
    pub band: Option<BandReport>,
    /// The single paths, by swing, where there is no band.
    pub curves_m: Vec<Vec<Point>>,
    /// Number of the most typical swing, from 0; null with fewer than three.
    pub most_typical: Option<usize>,
    /// Mean distance of each swing from the others.
    pub distances_m: Vec<f64>,
    /// What to know when reading the numbers.
    pub notes: Vec<Message>,
}

plain::record!(SetReport {
    kind,
    swings,
    segments,
    time_s,
    mean_m,
    sd_m,
    band,
    curves_m,
    most_typical,
    distances_m,
    notes
});

/// Places between two instants.
#[derive(Clone, Copy, Debug)]
pub struct PlacesReport {
    /// Instant at the first place.
    pub from: InstantName,
    /// Instant at the last place.
    pub to: InstantName,
    /// First place, from 0.
    pub first: usize,
    /// Last place: the first of the next stretch.
    pub last: usize,
}

plain::record!(PlacesReport { from, to, first, last });

/// A band around the average path.
#[derive(Clone, Debug)]
pub struct BandReport {
    /// What it promises.
    pub kind: BandKind,
    /// Share of new swings that it is to hold, in each direction by itself.
    pub coverage: f64,
    /// Lower edge.
    pub low_m: Vec<Point>,
    /// Upper edge.
    pub high_m: Vec<Point>,
}

plain::record!(BandReport { kind, coverage, low_m, high_m });

impl ReferencesReport {
    /// Brings references to the student's size and makes one of those that suit.
    pub fn of(student: &Swing, references: &[&Swing], choice: Choice, band: BandKind) -> ReferencesReport {
        let factor = |swing: &Swing| student.size.factor_for(&swing.size).map_or(1.0, |(factor, _)| factor);
        let scaled: Vec<Swing> = references.iter().map(|swing| scale_reference(swing, factor(swing))).collect();
        let found = reference_set(student, &scaled.iter().collect::<Vec<_>>(), choice, band);
        let (set, error) = set_or_error(found.set);
        let likeness = scaled.iter().zip(found.likeness).map(LikenessReport::of).collect();
        ReferencesReport { likeness, set, error, notes: found.notes }
    }
}

impl LikenessReport {
    /// Of a reference and its likeness to the student.
    pub fn of((swing, found): (&Swing, Likeness)) -> LikenessReport {
        LikenessReport {
            name: swing.label.clone(),
            like: found.unlike.is_empty(),
            depth_difference_m: found.depth_difference_m,
            reasons: found.unlike,
        }
    }
}

impl OwnReport {
    /// Makes one of a player's swings.
    pub fn of(swings: &[&Swing], band: BandKind) -> OwnReport {
        let (set, measures) = match own_set(swings, band) {
            Ok(OwnSet { set, measures }) => (Ok(set), measures),
            Err(error) => (Err(error), vec![]),
        };
        let (set, error) = set_or_error(set);
        OwnReport { set, error, measures }
    }
}

fn set_or_error(set: Result<SwingSet, AlignError>) -> (Option<SetReport>, Option<Message>) {
    match set {
        Ok(set) => (Some(set.into()), None),
        Err(error) => (None, Some(error.message())),
    }
}

impl From<SwingSet> for SetReport {
    fn from(set: SwingSet) -> Self {
        let places = set.segments.iter();
        SetReport {
            kind: set.kind,
            swings: set.labels,
            segments: places
                .map(|segment| PlacesReport {
                    from: segment.from,
                    to: segment.to,
                    first: segment.first,
                    last: segment.last,
                })
                .collect(),
            time_s: set.time_s,
            mean_m: set.mean,
            sd_m: set.sd,
            curves_m: if set.band.is_none() { set.curves } else { vec![] },
            band: set.band.map(BandReport::from),
            most_typical: set.most_typical,
            distances_m: set.distances_m,
            notes: set.notes,
        }
    }
}

impl From<Band> for BandReport {
    fn from(band: Band) -> Self {
        BandReport { kind: band.kind, coverage: COVERAGE, low_m: band.low, high_m: band.high }
    }
}
