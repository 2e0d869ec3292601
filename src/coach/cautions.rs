//! Which caution stands where. The page and its tests read this table; every sentence is in the catalogue.
//!
//! Common practice of lessons and practice grounds; none of it replaces a licensed professional's advice.

use crate::plain;
use crate::words::Message;

/// Where something is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// What the student says of themselves.
    Intake,
    /// Where captures are taken.
    Capture,
    /// The plan.
    Plan,
    /// A drill card, also the one to take home.
    Drill,
    /// Where practice starts.
    Practice,
    /// Beside the numbers, not in a footer.
    Numbers,
}

plain::words!(Place {
    Intake = "intake",
    Capture = "capture",
    Plan = "plan",
    Drill = "drill",
    Practice = "practice",
    Numbers = "numbers"
});

/// One caution.
#[derive(Clone, Copy, Debug)]
pub struct Caution {
    /// Key of its sentence.
    pub key: &'static str,
    /// Where it stands, in this order among the others there.
    pub places: &'static [Place],
    /// Only with minors?
    pub minors: bool,
}

plain::record!(Caution { key, places, minors });

const MOVING: &[Place] = &[Place::Capture, Place::Drill, Place::Practice];

const fn caution(key: &'static str, places: &'static [Place]) -> Caution {
    Caution { key, places, minors: false }
}

/// All of them.
pub const CAUTIONS: [Caution; 10] = [
    caution("coach.caution_pain_first", &[Place::Intake, Place::Plan]),
    caution("coach.caution_warm_up", MOVING),
    caution("coach.caution_room", MOVING),
    caution("coach.caution_stop_at_pain", MOVING),
    caution("coach.caution_slow_first", &[Place::Plan, Place::Drill, Place::Practice]),
    caution("coach.caution_cap_and_rests", &[Place::Plan, Place::Drill, Place::Practice]),
    Caution { minors: true, ..caution("coach.caution_adult_present", MOVING) },
    Caution { minors: true, ..caution("coach.caution_lower_volume", &[Place::Plan, Place::Drill, Place::Practice]) },
    caution("coach.caution_target_line", &[Place::Numbers]),
    caution("coach.caution_capture", &[Place::Numbers]),
];

/// What stands in a place.
pub fn at(place: Place, minor: bool) -> Vec<Message> {
    let here = CAUTIONS.iter().filter(|caution| caution.places.contains(&place) && (minor || !caution.minors));
    here.map(|caution| Message::new(caution.key)).collect()
}
