use super::coarse::Rejected;
use crate::roles::RolesError;
use crate::signal::GridError;
use crate::words::{Message, Place};
use std::fmt;

/// Why no swing was found in a recording that could be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum SwingError {
    /// A correction names a track that is not there.
    Roles(RolesError),
    /// The clock is not usable.
    Clock(GridError),
    /// No track is known to be a hand, wrist or grip.
    NoHands {
        /// Tracks in the file.
        tracks: usize,
    },
    /// The hands never move fast enough.
    TooSlow {
        /// Fastest hand speed, m/s.
        fastest_m_s: f64,
    },
    /// No moment of least speed before the fastest movement.
    NoTop,
    /// The hands do not come down from a top.
    NoDrop,
    /// The hands come down in front of the body, not from the side.
    NotFromTheSide,
    /// Both hands move, but not on one grip.
    HandsApart,
    /// A correction asks for a swing the recording does not hold.
    SwingNumber {
        /// Asked for, 1-based.
        asked: usize,
        /// Swings found.
        found: usize,
    },
    /// A separate address file could be read but not used.
    Address(Box<SwingError>),
}

impl SwingError {
    pub(super) fn rejected(why: Rejected, fastest_m_s: f64) -> SwingError {
        match why {
            Rejected::TooSlow => SwingError::TooSlow { fastest_m_s },
            Rejected::NoTop => SwingError::NoTop,
            Rejected::NoDrop => SwingError::NoDrop,
            Rejected::NotFromTheSide => SwingError::NotFromTheSide,
            Rejected::HandsApart => SwingError::HandsApart,
        }
    }

    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            SwingError::Roles(error) => error.message(),
            SwingError::Clock(error) => error.message(),
            SwingError::NoHands { tracks } => Message::new("swing.no_hands").with("tracks", *tracks),
            SwingError::TooSlow { fastest_m_s } => Message::new("swing.too_slow").with("speed", *fastest_m_s),
            SwingError::NoTop => Message::new("swing.no_top"),
            SwingError::NoDrop => Message::new("swing.no_drop"),
            SwingError::NotFromTheSide => Message::new("swing.not_from_the_side"),
            SwingError::HandsApart => Message::new("swing.hands_apart"),
            SwingError::SwingNumber { asked, found } => {
                Message::new("swing.number").with("asked", *asked).with("found", *found)
            }
            SwingError::Address(error) => {
                let inner = error.message();
                let place = Place { file: Some("address"), ..inner.place.clone().unwrap_or_default() };
                inner.at(place)
            }
        }
    }
}

impl fmt::Display for SwingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.message().fmt(f)
    }
}

impl std::error::Error for SwingError {}
