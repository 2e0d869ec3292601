use super::Place3;
use crate::plain;
use crate::swing::{InstantName, Shares, Swing, ThoraxFrame, shares};
use crate::words::Message;

/// Who moved the hands from the top to lead arm level, in one thorax frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SharesReport {
    /// Thorax frame used.
    pub frame: ThoraxFrame,
    /// Whole displacement of the hands.
    pub displacement: Place3,
    /// The arms themselves.
    pub arm: Place3,
    /// The body that carries them: shift, turn and tilt together.
    pub body: Place3,
    /// Part of the body's share: mid-hip moves.
    pub shift: Place3,
    /// Part of the body's share: the trunk turns about its long axis.
    pub turn: Place3,
    /// Part of the body's share: the rest.
    pub tilt: Place3,
    /// Displacement along the arms-only path: what the arms would draw if the body stood still. Not a share.
    pub arms_only: Place3,
}

plain::record!(SharesReport { frame, displacement, arm, body, shift, turn, tilt, arms_only });

impl From<Shares> for SharesReport {
    fn from(shares: Shares) -> Self {
        SharesReport {
            frame: shares.frame,
            displacement: shares.displacement.into(),
            arm: shares.arm.into(),
            body: shares.body.into(),
            shift: shares.shift.into(),
            turn: shares.turn.into(),
            tilt: shares.tilt.into(),
            arms_only: shares.arms_only.into(),
        }
    }
}

/// Shares in the frame of the shoulder line, then in that of the trunk landmarks; each, or why not.
pub(super) fn both(swing: &Swing) -> [Result<SharesReport, Message>; 2] {
    let time = |name: InstantName| {
        let missing = || Message::new("measure.no_instant").with("instant", name.name());
        swing.instant(name).map(|instant| instant.time_s).ok_or_else(missing)
    };
    [ThoraxFrame::ShoulderLine, ThoraxFrame::Isb].map(|frame| {
        if !swing.has_body {
            return Err(Message::new("measure.no_body"));
        }
        Ok(shares(swing, frame, time(InstantName::Top)?, time(InstantName::LeadArmLevel)?)?.into())
    })
}
