//! What a user can correct. Every guess has one field here, and one option of `cargo inspect`, and one control in the page.

use crate::formats::{Axis, LengthUnit};
use crate::roles::Role;
use crate::table::Table;
use serde::{Deserialize, Serialize};

/// The hand a player plays: the trail hand is the lower one on the grip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hand {
    /// Right-hander: the left side leads.
    Right,
    /// Left-hander: the right side leads.
    Left,
}

/// Kind of club, as far as geometry at address depends on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
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

/// Kind of swing. Kinds are never averaged together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
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

/// Where the target line comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
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

/// Corrections to one recording. `None` or empty: guess. Serialised with kebab-case names in page, lesson and command.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default, deny_unknown_fields)]
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
