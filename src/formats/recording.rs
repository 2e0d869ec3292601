//! What an export file says, before anything is guessed about it.

use crate::letters::{is_of, look_up, trim};
use crate::plain;
use crate::words::Message;

/// A point in the file's own axes and length unit. A gap is three NaN.
pub type Point = [f64; 3];

/// The missing point.
pub const GAP: Point = [f64::NAN; 3];

/// Is this point missing? (One NaN or infinite coordinate makes the whole point unusable.)
pub fn is_gap(point: &Point) -> bool {
    let [x, y, z] = point;
    !(x.is_finite() && y.is_finite() && z.is_finite())
}

/// File formats, recognised by content.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Delimited text: a table with one row per sample.
    Text,
    /// TRC: tab-separated marker table with a fixed header.
    Trc,
    /// C3D: binary points with parameters.
    C3d,
    /// BVH: a skeleton of joint rotations.
    Bvh,
}

plain::words!(Format { Text = "delimited text", Trc = "TRC", C3d = "C3D", Bvh = "BVH" });

/// Length units a file may state.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LengthUnit {
    /// Metre.
    Metre,
    /// Centimetre.
    Centimetre,
    /// Millimetre.
    Millimetre,
    /// International inch, 0.0254 m exactly.
    Inch,
    /// International foot, 0.3048 m exactly.
    Foot,
}

plain::named!(LengthUnit, symbol);

impl LengthUnit {
    /// All units, the most usual in motion capture first.
    pub const ALL: [LengthUnit; 5] =
        [LengthUnit::Millimetre, LengthUnit::Metre, LengthUnit::Centimetre, LengthUnit::Inch, LengthUnit::Foot];

    /// Metres in one of this unit.
    pub fn metres(self) -> f64 {
        match self {
            LengthUnit::Metre => 1.0,
            LengthUnit::Centimetre => 0.01,
            LengthUnit::Millimetre => 0.001,
            LengthUnit::Inch => 0.0254,
            LengthUnit::Foot => 0.3048,
        }
    }

    /// The symbol: `m`, `cm`, `mm`, `in`, `ft`.
    pub fn symbol(self) -> &'static str {
        match self {
            LengthUnit::Metre => "m",
            LengthUnit::Centimetre => "cm",
            LengthUnit::Millimetre => "mm",
            LengthUnit::Inch => "in",
            LengthUnit::Foot => "ft",
        }
    }

    /// Reads a unit as files write it: symbol or English name, any case, with or without brackets, blanks or plural.
    pub fn parse(text: &str) -> Option<Self> {
        const SPELLINGS: [(LengthUnit, &str); 5] = [
            (LengthUnit::Metre, "m metre meter metres meters"),
            (LengthUnit::Centimetre, "cm centimetre centimeter centimetres centimeters"),
            (LengthUnit::Millimetre, "mm millimetre millimeter millimetres millimeters"),
            (LengthUnit::Inch, "in inch inches \""),
            (LengthUnit::Foot, "ft foot feet '"),
        ];
        look_up(&SPELLINGS, &bare_unit(text))
    }
}

/// A unit as written, in lower case and without what encloses it.
pub(super) fn bare_unit(text: &str) -> String {
    trim(text, |c| c.is_whitespace() || is_of("()[]{}.", c)).to_ascii_lowercase()
}

/// One of the six directions along a file axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// +x.
    PlusX,
    /// -x.
    MinusX,
    /// +y.
    PlusY,
    /// -y.
    MinusY,
    /// +z.
    PlusZ,
    /// -z.
    MinusZ,
}

plain::named!(Axis);

impl Axis {
    /// All six, in index order of [`Axis::unit`].
    pub const ALL: [Axis; 6] = [Axis::PlusX, Axis::MinusX, Axis::PlusY, Axis::MinusY, Axis::PlusZ, Axis::MinusZ];

    /// The unit vector in file axes.
    pub fn unit(self) -> Point {
        match self {
            Axis::PlusX => [1.0, 0.0, 0.0],
            Axis::MinusX => [-1.0, 0.0, 0.0],
            Axis::PlusY => [0.0, 1.0, 0.0],
            Axis::MinusY => [0.0, -1.0, 0.0],
            Axis::PlusZ => [0.0, 0.0, 1.0],
            Axis::MinusZ => [0.0, 0.0, -1.0],
        }
    }

    /// `+x`, `-x`, `+y`, `-y`, `+z` or `-z`.
    pub fn name(self) -> &'static str {
        match self {
            Axis::PlusX => "+x",
            Axis::MinusX => "-x",
            Axis::PlusY => "+y",
            Axis::MinusY => "-y",
            Axis::PlusZ => "+z",
            Axis::MinusZ => "-z",
        }
    }

    /// Reads `x`, `+X`, `-z`; any case, blanks around.
    pub fn parse(text: &str) -> Option<Self> {
        let word = text.trim().to_ascii_lowercase();
        let named = if word.len() == 1 { format!("+{word}") } else { word };
        Axis::ALL.into_iter().find(|axis| axis.name() == named)
    }
}

/// One named point over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Track {
    /// Name as the file writes it, blanks trimmed; made unique by the reader, which warns when it had to.
    pub name: String,
    /// One point per row of the recording, file axes, file unit; [`GAP`] where the file has none.
    pub points: Vec<Point>,
    /// Length unit of this track's points, if the file states one. The points are never converted.
    pub unit: Option<LengthUnit>,
    /// Index into [`Recording::tracks`] of the parent joint, in files that hold a skeleton; `None` for its root and for
    /// markers.
    pub parent: Option<usize>,
    /// End of a chain without a rotation of its own (a BVH end site).
    pub end_site: bool,
}

impl Track {
    /// A marker: no unit stated, no skeleton.
    pub fn marker(name: impl Into<String>, points: Vec<Point>) -> Self {
        Track { name: name.into(), points, unit: None, parent: None, end_site: false }
    }

    /// Rows with a usable point.
    pub fn present(&self) -> usize {
        self.points.iter().filter(|p| !is_gap(p)).count()
    }
}

/// An instant that the file names.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Label as the file writes it.
    pub label: String,
    /// Seconds on the file's own clock ([`Recording::clock_s`]); may lie outside the rows.
    pub clock_s: f64,
}

plain::record!(Event { label, clock_s });

/// What one export file says, in the file's own axes, unit and clock: nothing is turned, scaled, mirrored or filtered.
///
/// Invariants every reader keeps: at least one track and one row; every track has `clock_s.len()` points; `clock_s` is
/// finite and strictly increasing; a `rate_hz` is finite and positive; coordinates are finite or the point is a [`GAP`].
#[derive(Clone, Debug, PartialEq)]
pub struct Recording {
    /// Which reader understood the file.
    pub format: Format,
    /// Nominal sampling rate, Hz. `None`: the file holds a single row and states no rate.
    pub rate_hz: Option<f64>,
    /// Where the rate comes from: stated by the file, or taken from its time column.
    pub rate_source: RateSource,
    /// 0-based file row of the first row kept: row `i` here is row `first_row + i` of the file. Zero unless a reader left
    /// out leading rows (a calibration pose), and then it says so in a warning.
    pub first_row: usize,
    /// The file's own clock per row, seconds, strictly increasing.
    pub clock_s: Vec<f64>,
    /// Named points.
    pub tracks: Vec<Track>,
    /// Direction declared as up by the file (not by the habit of a format).
    pub up: Option<Axis>,
    /// Direction that the habit of the format takes as up, used where neither the file nor the body tells.
    pub usual_up: Option<Axis>,
    /// Instants named by the file.
    pub events: Vec<Event>,
    /// Odd but usable things in the file.
    pub warnings: Vec<Message>,
}

/// Where a recording's times come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RateSource {
    /// A rate or frame time stated in the file.
    Stated,
    /// A time column.
    TimeColumn,
    /// Stated by the user, because the file has neither.
    User,
}

plain::words!(RateSource { Stated = "stated by the file", TimeColumn = "time column", User = "stated by the user" });

impl Recording {
    /// Number of rows (frames).
    pub fn rows(&self) -> usize {
        self.clock_s.len()
    }

    /// The first broken invariant, if a reader has a mistake: what the tests with random files and the fuzz targets ask.
    pub fn broken_invariant(&self) -> Option<&'static str> {
        let names: std::collections::HashSet<&str> = self.tracks.iter().map(|track| track.name.as_str()).collect();
        let whole = |point: &Point| point.iter().all(|x| x.is_finite()) || point.iter().all(|x| x.is_nan());
        let earlier = |(index, track): (usize, &Track)| track.parent.is_none_or(|parent| parent < index);
        let checks = [
            (!self.tracks.is_empty() && !self.clock_s.is_empty(), "a track and a row"),
            (self.clock_s.iter().all(|t| t.is_finite()), "finite times"),
            (self.clock_s.windows(2).all(|pair| pair[0] < pair[1]), "rising times"),
            (self.rate_hz.is_none_or(|rate| rate.is_finite() && rate > 0.0), "a positive rate"),
            (self.rate_hz.is_some() || self.rows() == 1, "a rate where there are rows to count"),
            (self.tracks.iter().all(|track| track.points.len() == self.rows()), "a point per row and track"),
            (self.tracks.iter().flat_map(|track| &track.points).all(whole), "points whole or gaps"),
            (names.len() == self.tracks.len(), "unique names"),
            (self.tracks.iter().enumerate().all(earlier), "parents before children"),
            (self.events.iter().all(|event| event.clock_s.is_finite()), "finite event times"),
        ];
        checks.into_iter().find(|(holds, _)| !holds).map(|(_, what)| what)
    }

    /// The track of exactly this name.
    pub fn track(&self, name: &str) -> Option<&Track> {
        self.tracks.iter().find(|track| track.name == name)
    }

    /// A key for what was recorded, whatever names the tracks have: times and points, gaps alike. The same on every machine, for
    /// an export and for the recording that a lesson keeps of it; 16 hexadecimal digits of a mixing by rotation, exclusive or
    /// and product, which is no protection against anybody who wants two recordings to have one key.
    pub fn content_key(&self) -> String {
        let mix = |key: u64, x: &f64| {
            let bits = if x.is_finite() { x.to_bits() } else { 1 };
            (key.rotate_left(5) ^ bits).wrapping_mul(0x9E37_79B9_7F4A_7C15)
        };
        let points = self.tracks.iter().flat_map(|track| track.points.iter().flatten());
        format!("{:016x}", self.clock_s.iter().chain(points).fold(self.tracks.len() as u64, mix))
    }

    /// The unit the file states, when all tracks that state one agree; else the first stated, see the reader's warning.
    pub fn stated_unit(&self) -> Option<LengthUnit> {
        self.tracks.iter().find_map(|track| track.unit)
    }
}
