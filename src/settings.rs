//! What a user can correct. Every guess has one field here, and one option of `cargo inspect`, and one control in the page.

use crate::formats::{Axis, LengthUnit};
use crate::plain::{self, Given, GivenError, Read};
use crate::roles::Role;
use crate::table::Table;
use serde::Serialize;

/// The hand a player plays: the trail hand is the lower one on the grip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    /// Right-hander: the left side leads.
    Right,
    /// Left-hander: the right side leads.
    Left,
}

plain::words!(Hand { Right = "right", Left = "left" });

/// Kind of club, as far as geometry at address depends on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Club {
    /// Driver.
    Driver,
    /// Fairway wood or hybrid.
    FairwayWood,
    /// Iron.
    Iron,
    /// Wedge.
    Wedge,
}

plain::words!(Club { Driver = "driver", FairwayWood = "fairway-wood", Iron = "iron", Wedge = "wedge" });

/// Kind of swing. Kinds are never averaged together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SwingKind {
    /// Full swing.
    Full,
    /// Part swing: the hands stop short of a full top.
    Part,
    /// Slow drill swing.
    Drill,
    /// A swing with a pause or a pump at the top.
    Pause,
    /// Practice swing without a ball.
    Practice,
}

plain::words!(SwingKind { Full = "full", Part = "part", Drill = "drill", Pause = "pause", Practice = "practice" });

/// Where the target line comes from.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TargetLine {
    /// A direction in file axes, from the ball to the target; its vertical part is ignored.
    Direction([f64; 3]),
    /// From one track to another (two markers laid on the target line), at address.
    Markers {
        /// Track farther from the target.
        near: String,
        /// Track nearer the target.
        far: String,
    },
    /// The line through both ankles at address.
    Ankles,
    /// The line through both toes at address.
    Toes,
    /// The line through both hips at address.
    Hips,
    /// The line through both shoulders at address.
    Shoulders,
}

/// A word, or an object with one field: `{"direction": [x, y, z]}`, `{"markers": {"near": ..., "far": ...}}`.
impl Read for TargetLine {
    fn read(given: &Given) -> Result<Self, GivenError> {
        let Given::Record(_) = given else { return given.word(TargetLine::of_body) };
        let fields = given.fields()?;
        let (direction, markers) = (fields.take("direction")?, fields.given("markers"));
        fields.all_known()?;
        if let Some(direction) = direction {
            return Ok(TargetLine::Direction(direction));
        }
        let markers = markers.fields()?;
        let line = TargetLine::Markers { near: markers.take("near")?, far: markers.take("far")? };
        markers.all_known()?;
        Ok(line)
    }
}

impl TargetLine {
    fn of_body(word: &str) -> Option<TargetLine> {
        match word {
            "ankles" => Some(TargetLine::Ankles),
            "toes" => Some(TargetLine::Toes),
            "hips" => Some(TargetLine::Hips),
            "shoulders" => Some(TargetLine::Shoulders),
            _ => None,
        }
    }
}

/// Corrections to one recording. `None` or empty: guess. Serialised with kebab-case names in page, lesson and command.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Corrections {
    /// Length unit of the file.
    pub unit: Option<LengthUnit>,
    /// Metres per file unit; wins over `unit`.
    pub scale: Option<f64>,
    /// Stature of the player, metres.
    pub stature: Option<f64>,
    /// Sampling rate, Hz, for files that state neither rate nor time.
    pub rate: Option<f64>,
    /// Hand the player plays.
    pub hand: Option<Hand>,
    /// Is the file written in a left-handed coordinate system (so that it has to be mirrored)?
    pub mirror: Option<bool>,
    /// Direction that is up, in file axes.
    pub up: Option<Axis>,
    /// Target line.
    pub target: Option<TargetLine>,
    /// Turns the target line about the vertical, degrees, positive towards the player's `out` side. Default: 0.
    pub aim: f64,
    /// Kind of club.
    pub club: Option<Club>,
    /// Kind of swing.
    pub kind: Option<SwingKind>,
    /// Tracks that make a body point (their mean); an empty list takes the role away.
    pub roles: Table<Role, Vec<String>>,
    /// Distance of the ball from the origin along `out`, metres.
    pub ball_out: Option<f64>,
    /// Place of the ball from the origin along `target`, metres.
    pub ball_target: Option<f64>,
    /// Cut-off of the low-pass filter, Hz. Default: 10.
    pub cutoff: Option<f64>,
    /// Which swing of the recording, 1-based, where it holds several. Default: the fastest.
    pub swing: Option<usize>,
    /// Instants placed by hand, seconds from the first usable sample, by documented name.
    pub instants: Table<String, f64>,
}

impl Read for Corrections {
    fn read(given: &Given) -> Result<Self, GivenError> {
        let fields = given.fields()?;
        let corrections = Corrections {
            unit: fields.take("unit")?,
            scale: fields.take("scale")?,
            stature: fields.take("stature")?,
            rate: fields.take("rate")?,
            hand: fields.take("hand")?,
            mirror: fields.take("mirror")?,
            up: fields.take("up")?,
            target: fields.take("target")?,
            aim: fields.or("aim", 0.0)?,
            club: fields.take("club")?,
            kind: fields.take("kind")?,
            roles: fields.or("roles", Table::new())?,
            ball_out: fields.take("ball-out")?,
            ball_target: fields.take("ball-target")?,
            cutoff: fields.take("cutoff")?,
            swing: fields.take("swing")?,
            instants: fields.or("instants", Table::new())?,
        };
        fields.all_known()?;
        Ok(corrections)
    }
}

plain::readable!(TargetLine, Corrections);
