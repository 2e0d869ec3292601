//! Who stands how: mirrored coordinates, handedness, target line, origin.

use super::analyse::Coarse;
use super::markers::Markers;
use crate::body::{self, BodyFrame, Sides, TargetGuess, TargetSource, horizontal};
use crate::formats::Axis;
use crate::settings::{Corrections, Hand, TargetLine};
use crate::signal::median_point;
use crate::words::Message;
use nalgebra::Vector3;

/// A stated target further than this (cosine) from the side that leads is probably the wrong way round.
const WRONG_WAY: f64 = -0.5;

/// Is the file written in a left-handed coordinate system?
pub(super) struct Mirror {
    pub(super) mirrored: bool,
    pub(super) source: &'static str,
    /// The file axis that is negated: a horizontal one.
    axis: usize,
    warning: Option<Message>,
}

impl Mirror {
    /// Labels and facing of the body settle it: in a mirrored file the left-labelled side lies to the right of where
    /// the body faces. Without them it stays open.
    pub(super) fn guess(markers: &Markers, coarse: &Coarse, corrections: &Corrections) -> Mirror {
        let axis = match markers.up.axis {
            Axis::PlusX | Axis::MinusX => 1,
            _ => 0,
        };
        let chirality = seen(markers, coarse).chirality;
        let (mirrored, source) = match (corrections.mirror, chirality) {
            (Some(stated), _) => (stated, "stated by the user"),
            (None, Some(sign)) => (sign < 0.0, "left and right labels against the facing of the body"),
            (None, None) => (false, "assumed: right-handed coordinates"),
        };
        let fits = chirality.is_none_or(|sign| (sign < 0.0) == mirrored);
        let warning = match (corrections.mirror, mirrored, fits) {
            (None, true, _) => Some(Message::new("swing.mirrored")),
            (Some(_), _, false) => Some(Message::new("swing.mirror_conflict")),
            _ => None,
        };
        Mirror { mirrored, source, axis, warning }
    }

    pub(super) fn apply(&self, markers: &mut Markers, coarse: &mut Coarse) {
        if self.mirrored {
            markers.mirror(self.axis);
            coarse.address.mirror(self.axis);
        }
    }

    /// A vector stated in file axes.
    fn stated(&self, mut v: Vector3<f64>) -> Vector3<f64> {
        if self.mirrored {
            v[self.axis] = -v[self.axis];
        }
        v
    }
}

/// Left and front of the body at address.
fn seen(markers: &Markers, coarse: &Coarse) -> Sides {
    let hands = coarse.address.hands.unwrap_or(markers.hands[coarse.swing.low]);
    body::sides(&coarse.address.pose, markers.up_vector(), Some(Vector3::from(hands)))
}

/// Handedness, target line, origin, and the frame made of them.
pub(super) struct Stance {
    pub(super) hand: Hand,
    pub(super) hand_source: &'static str,
    pub(super) frame: BodyFrame,
    pub(super) origin_source: &'static str,
    pub(super) target: TargetSource,
    pub(super) has_body: bool,
    pub(super) warnings: Vec<Message>,
}

impl Stance {
    pub(super) fn of(markers: &Markers, coarse: &Coarse, mirror: &Mirror, corrections: &Corrections) -> Stance {
        let up = markers.up_vector();
        let pose = &coarse.address.pose;
        let sides = seen(markers, coarse);
        let travel = down_travel(markers, coarse, up);
        let left = sides.left.or_else(|| sides.front.map(|front| up.cross(&front)));
        let (hand, hand_source) = hand(corrections, left, travel);
        let towards = left.map_or(travel, |left| if hand == Hand::Right { left } else { -left });
        let target = stated_target(markers, corrections, mirror, up)
            .or_else(|| body::target_line(pose, up, towards, corrections.target.as_ref()));
        let mut warnings: Vec<Message> = mirror.warning.iter().cloned().collect();
        warnings.extend(handedness_warning(hand, hand_source, &sides, mirror));
        warnings.extend(target_warning(corrections, target.as_ref(), towards));
        let ground = body::floor(pose, up);
        let has_body = target.is_some() && ground.is_some();
        if !has_body {
            warnings.push(Message::new("swing.hands_only"));
        }
        let target = target.unwrap_or_else(|| TargetGuess {
            direction: horizontal(travel, up).try_normalize(1e-9).unwrap_or_else(|| any_horizontal(up)),
            source: TargetSource::HandTravel,
        });
        let hands = coarse.address.hands.unwrap_or(markers.hands[coarse.swing.low]);
        let (origin, origin_source) = ground.unwrap_or((Vector3::from(hands), "assumed: hands at address"));
        let frame = BodyFrame::new(
            origin,
            up,
            target.direction,
            if corrections.aim.is_finite() { corrections.aim.to_radians() } else { 0.0 },
            hand,
        );
        Stance { hand, hand_source, frame, origin_source, target: target.source, has_body, warnings }
    }
}

fn hand(corrections: &Corrections, left: Option<Vector3<f64>>, travel: Vector3<f64>) -> (Hand, &'static str) {
    match (corrections.hand, body::guess_hand(left, travel)) {
        (Some(stated), _) => (stated, "stated by the user"),
        (None, Some(guessed)) => (guessed, "travel of the hands"),
        (None, None) => (Hand::Right, "assumed: right-hander"),
    }
}

/// Horizontal travel of the hands through the ball: around the lowest point they move towards the target.
fn down_travel(markers: &Markers, coarse: &Coarse, up: Vector3<f64>) -> Vector3<f64> {
    let at = |k: usize| Vector3::from(markers.hands[k]);
    let (peak, low) = (coarse.swing.peak.min(coarse.swing.low), coarse.swing.peak.max(coarse.swing.low));
    let around = (low + 1).min(markers.hands.len() - 1);
    let through = horizontal(at(around) - at(peak.saturating_sub(1)), up);
    // A recording that stops at the top of speed has no travel through the ball yet: the way from the top tells.
    if through.norm() > 0.05 { through } else { horizontal(at(low) - at(coarse.swing.top), up) }
}

/// A direction or two tracks stated by the user.
fn stated_target(
    markers: &Markers,
    corrections: &Corrections,
    mirror: &Mirror,
    up: Vector3<f64>,
) -> Option<TargetGuess> {
    let line = match corrections.target.as_ref()? {
        TargetLine::Direction(line) => mirror.stated(Vector3::from(*line)),
        TargetLine::Markers { near, far } => {
            let place = |name: &String| median_point(markers.named.get(name)?).map(Vector3::from);
            mirror.stated(place(far)? - place(near)?)
        }
        _ => return None,
    };
    Some(TargetGuess { direction: horizontal(line, up).try_normalize(1e-6)?, source: TargetSource::User })
}

fn handedness_warning(hand: Hand, source: &str, sides: &Sides, mirror: &Mirror) -> Option<Message> {
    match (hand, sides.chirality) {
        _ if source.starts_with("stated") => None,
        _ if source.starts_with("assumed") => Some(Message::new("swing.hand_assumed")),
        (Hand::Left, None) if !mirror.mirrored => Some(Message::new("swing.left_or_mirrored")),
        (Hand::Left, Some(_)) => Some(Message::new("swing.left_hander")),
        _ => None,
    }
}

fn target_warning(corrections: &Corrections, target: Option<&TargetGuess>, towards: Vector3<f64>) -> Option<Message> {
    let wanted = match corrections.target.as_ref()? {
        TargetLine::Direction(_) | TargetLine::Markers { .. } => TargetSource::User,
        TargetLine::Ankles => TargetSource::Ankles,
        TargetLine::Toes => TargetSource::Toes,
        TargetLine::Hips => TargetSource::Hips,
        TargetLine::Shoulders => TargetSource::Shoulders,
    };
    match target {
        Some(guess) if guess.source == wanted => {
            let wrong = guess.direction.dot(&towards.try_normalize(1e-9)?) < WRONG_WAY;
            wrong.then(|| Message::new("swing.target_wrong_way"))
        }
        _ => Some(Message::new("swing.target_unusable")),
    }
}

fn any_horizontal(up: Vector3<f64>) -> Vector3<f64> {
    let other = if up.x.abs() < 0.5 { Vector3::x() } else { Vector3::y() };
    horizontal(other, up).normalize()
}
