//! From a recording to a [`Swing`]: the hand path in the body-relative frame, the instants, and every guess.

mod address;
mod analyse;
mod assemble;
mod coarse;
mod error;
mod guess;
mod guesses;
mod instants;
mod kind;
mod markers;
mod shares;
mod stance;
mod turned;

pub use address::STILL_M_S;
pub use analyse::analyse;
pub use error::SwingError;
pub use guess::{Guess, GuessValue};
pub use markers::scale;
pub(crate) use shares::{Pose, arm_up, step};
pub use shares::{Shares, ThoraxFrame, arms_only_path, share_path, shares};

use crate::body::BodySize;
use crate::plain;

use crate::formats::Point;
use crate::settings::{Club, Hand, SwingKind};
use crate::signal::Curve;
use crate::table::Table;
use crate::words::Message;

/// Named instants, in the order a swing passes them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum InstantName {
    /// Centre of the last still interval before the takeaway.
    Address,
    /// Hand speed leaves stillness and does not return before the top.
    Takeaway,
    /// Least hand speed between backswing and downswing.
    Top,
    /// Mid-hands pass the height of the lead shoulder on the way down.
    LeadArmLevel,
    /// Mid-hands pass the height of the front hip bones on the way down.
    HipHeight,
    /// The shaft is horizontal on the way down (club markers only).
    ShaftLevel,
    /// Club head nearest the ball, or the estimate that stands for it.
    Impact,
    /// Hand speed has fallen away after impact, or the recording ends.
    Finish,
}

plain::named!(InstantName);

impl InstantName {
    /// All, in the order a swing passes them ("shaft level" may come before or after "hip height").
    pub const ALL: [InstantName; 8] = [
        InstantName::Address,
        InstantName::Takeaway,
        InstantName::Top,
        InstantName::LeadArmLevel,
        InstantName::HipHeight,
        InstantName::ShaftLevel,
        InstantName::Impact,
        InstantName::Finish,
    ];

    /// The documented string.
    pub fn name(self) -> &'static str {
        match self {
            InstantName::Address => "address",
            InstantName::Takeaway => "takeaway",
            InstantName::Top => "top",
            InstantName::LeadArmLevel => "lead arm level",
            InstantName::HipHeight => "hip height",
            InstantName::ShaftLevel => "shaft level",
            InstantName::Impact => "impact",
            InstantName::Finish => "finish",
        }
    }

    /// Reads a documented string.
    pub fn parse(name: &str) -> Option<Self> {
        InstantName::ALL.into_iter().find(|instant| instant.name() == name)
    }
}

/// One instant of a swing.
#[derive(Clone, Debug, PartialEq)]
pub struct Instant {
    /// Which.
    pub name: InstantName,
    /// Seconds from the first usable sample of the recording. Between rows.
    pub time_s: f64,
    /// Nearest 0-based row of the file.
    pub row: Option<usize>,
    /// How it was found, in documented words.
    pub source: &'static str,
    /// 1 SD of the time, seconds.
    pub sd_s: f64,
}

/// Body points that later rooms use, in the body-relative frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BodyPoint {
    /// Lead wrist, else hand.
    LeadHand,
    /// Trail wrist, else hand.
    TrailHand,
    /// Lead elbow.
    LeadElbow,
    /// Trail elbow.
    TrailElbow,
    /// Lead shoulder.
    LeadShoulder,
    /// Trail shoulder.
    TrailShoulder,
    /// Lead hip: front hip bone, else joint.
    LeadHip,
    /// Trail hip.
    TrailHip,
    /// Middle of the hips.
    MidHip,
    /// Lead knee.
    LeadKnee,
    /// Trail knee.
    TrailKnee,
    /// Lead ankle.
    LeadAnkle,
    /// Trail ankle.
    TrailAnkle,
    /// Lead toe.
    LeadToe,
    /// Trail toe.
    TrailToe,
    /// Lead heel.
    LeadHeel,
    /// Trail heel.
    TrailHeel,
    /// Suprasternal notch.
    Notch,
    /// Xiphoid process.
    Xiphoid,
    /// Lowest neck vertebra.
    C7,
    /// Eighth thoracic vertebra.
    T8,
    /// Head.
    Head,
    /// Shaft, nearer the grip.
    ShaftUpper,
    /// Shaft, nearer the club head.
    ShaftLower,
    /// Club head.
    ClubHead,
    /// Ball.
    Ball,
}

impl BodyPoint {
    /// The documented name.
    pub fn name(self) -> &'static str {
        match self {
            BodyPoint::LeadHand => "lead-hand",
            BodyPoint::TrailHand => "trail-hand",
            BodyPoint::LeadElbow => "lead-elbow",
            BodyPoint::TrailElbow => "trail-elbow",
            BodyPoint::LeadShoulder => "lead-shoulder",
            BodyPoint::TrailShoulder => "trail-shoulder",
            BodyPoint::LeadHip => "lead-hip",
            BodyPoint::TrailHip => "trail-hip",
            BodyPoint::MidHip => "mid-hip",
            BodyPoint::LeadKnee => "lead-knee",
            BodyPoint::TrailKnee => "trail-knee",
            BodyPoint::LeadAnkle => "lead-ankle",
            BodyPoint::TrailAnkle => "trail-ankle",
            BodyPoint::LeadToe => "lead-toe",
            BodyPoint::TrailToe => "trail-toe",
            BodyPoint::LeadHeel => "lead-heel",
            BodyPoint::TrailHeel => "trail-heel",
            BodyPoint::Notch => "notch",
            BodyPoint::Xiphoid => "xiphoid",
            BodyPoint::C7 => "c7",
            BodyPoint::T8 => "t8",
            BodyPoint::Head => "head",
            BodyPoint::ShaftUpper => "shaft-upper",
            BodyPoint::ShaftLower => "shaft-lower",
            BodyPoint::ClubHead => "club-head",
            BodyPoint::Ball => "ball",
        }
    }
}

/// One swing in the body-relative frame: `[out, target, up]` metres, right-handed for a right-hander; a left-hander's
/// points are mirrored once (second coordinate negated), so that both read alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Swing {
    /// Name shown to the user (file name without extension, or what the page's markup says).
    pub label: String,
    /// Hand the player plays.
    pub hand: Hand,
    /// Club kind.
    pub club: Club,
    /// Swing kind.
    pub kind: SwingKind,
    /// Sampling rate, Hz.
    pub rate_hz: f64,
    /// Seconds from the first usable sample, one per sample, uniform.
    pub time_s: Vec<f64>,
    /// Nearest 0-based file row per sample.
    pub row: Vec<usize>,
    /// Mid-hands, filtered, one per sample; three NaN in a gap.
    pub hands: Vec<Point>,
    /// Other points, filtered (club and ball unfiltered), one per sample each.
    pub body: Table<BodyPoint, Vec<Point>>,
    /// Did the address come from a separate file? Then it has a place, but no time in this recording.
    pub address_is_separate: bool,
    /// Mid-hands at address (from the still interval or the separate address file).
    pub hands_at_address: Option<Point>,
    /// Ball centre at address; `target` is NaN where it is unknown.
    pub ball: Option<Point>,
    /// Lengths that scale bodies to each other.
    pub size: BodySize,
    /// Is there a body to hang the frame on? Without one (hands only) there is no origin and no target line, and only
    /// the shape of the path means anything.
    pub has_body: bool,
    /// 1 SD of the target line, degrees.
    pub target_sd_deg: f64,
    /// Marker noise of the mid-hands left after filtering, 1 SD per coordinate, metres.
    pub noise_m: f64,
    /// Instants found, in time order.
    pub instants: Vec<Instant>,
    /// Instants that could not be found, and why.
    pub absent: Vec<(InstantName, Message)>,
    /// Every guess.
    pub guesses: Vec<Guess>,
    /// Warnings of all rooms so far.
    pub warnings: Vec<Message>,
}

impl Swing {
    /// The hand path as a smooth curve of time.
    pub fn hand_curve(&self) -> Curve {
        Curve::through(&self.time_s, &self.hands)
    }

    /// Is the target line stated by the user, or shown by markers, and not taken from the body?
    pub fn has_stated_line(&self) -> bool {
        let line = self.guesses.iter().find(|guess| guess.what == "target line");
        line.is_some_and(|guess| ["stated by the user", "target markers"].contains(&guess.source))
    }

    /// The instant of this name.
    pub fn instant(&self, name: InstantName) -> Option<&Instant> {
        self.instants.iter().find(|instant| instant.name == name)
    }
}
