//! Numbered shaft markers: a number does not say which end it is at, the distance from the hands does.

use super::{Assignment, Role, point};
use crate::formats::{Recording, is_gap};
use crate::table::Table;
use crate::words::Message;

/// Points near the grip that the shaft's upper marker is measured from; the first one assigned counts.
const NEAR_GRIP: [Role; 5] = [Role::MidHands, Role::LeftHand, Role::RightHand, Role::LeftWrist, Role::RightWrist];

/// Swaps the two shaft roles when their names only number them and the upper one is farther from the hands (nearer to
/// the club head, where no hand is known). Tells when it swaps, and when nothing shows the order.
pub(super) fn order(recording: &Recording, assigned: &mut Table<Role, Assignment>) -> Option<(Option<Role>, Message)> {
    let upper = numbered(recording, assigned.get(&Role::ShaftUpper)?)?;
    let lower = numbered(recording, assigned.get(&Role::ShaftLower)?)?;
    let name = |track: usize| recording.tracks[track].name.as_str();
    let Some(upside_down) = is_upside_down(recording, assigned) else {
        let message = Message::new("roles.shaft_assumed").with("upper", name(upper)).with("lower", name(lower));
        return Some((Some(Role::ShaftUpper), message));
    };
    if !upside_down {
        return None;
    }
    let (old_upper, old_lower) = (assigned.remove(&Role::ShaftUpper)?, assigned.remove(&Role::ShaftLower)?);
    assigned.insert(Role::ShaftUpper, old_lower);
    assigned.insert(Role::ShaftLower, old_upper);
    let message = Message::new("roles.shaft_order").with("upper", name(lower)).with("lower", name(upper));
    Some((Some(Role::ShaftUpper), message))
}

/// The one track of an assignment, when its name ends in a number.
fn numbered(recording: &Recording, assignment: &Assignment) -> Option<usize> {
    let [track] = assignment.tracks[..] else { return None };
    recording.tracks[track].name.trim_end().ends_with(|c: char| c.is_ascii_digit()).then_some(track)
}

fn is_upside_down(recording: &Recording, assigned: &Table<Role, Assignment>) -> Option<bool> {
    let near = NEAR_GRIP.iter().find_map(|role| assigned.get(role));
    let closer = |to: &Assignment| {
        let upper = mean_distance(recording, to, assigned.get(&Role::ShaftUpper)?)?;
        let lower = mean_distance(recording, to, assigned.get(&Role::ShaftLower)?)?;
        Some(upper < lower)
    };
    let from_hands = near.and_then(closer).map(|upper_closer| !upper_closer);
    from_hands.or_else(|| assigned.get(&Role::ClubHead).and_then(closer))
}

/// Mean distance over the rows where both points are there, in file units.
fn mean_distance(recording: &Recording, a: &Assignment, b: &Assignment) -> Option<f64> {
    let (mut sum, mut count) = (0.0, 0_usize);
    for row in 0..recording.rows() {
        let (p, q) = (point(recording, a, row), point(recording, b, row));
        if !is_gap(&p) && !is_gap(&q) {
            sum += (p[0] - q[0]).hypot(p[1] - q[1]).hypot(p[2] - q[2]);
            count += 1;
        }
    }
    (count > 0).then(|| sum / count as f64)
}
