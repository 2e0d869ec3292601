//! Invented players: one student in two lessons, eight references, and the kinds of swing that tests need.

use super::params::ModelParams;
use crate::settings::Club;

/// The student's swings of the first lesson (1) or the second (2), `swing` from 1 to 5. A puller: the body
/// carries the hands outward early and the arms take little of it back, from a flat top; about 14 cm in the first
/// lesson, half of it in the second (the model's own choice).
pub fn student(lesson: u32, swing: u32) -> ModelParams {
    let first = lesson == 1;
    ModelParams {
        stature_m: 1.74,
        backswing_s: if first { 0.92 } else { 0.90 },
        downswing_s: 0.29,
        throw_m: if first { 0.02 } else { -0.035 },
        drop_m: if first { 0.0 } else { 0.02 },
        trunk_lead_s: if first { 0.0 } else { 0.03 },
        lunge_m: if first { 0.03 } else { 0.015 },
        top_depth_m: -0.02,
        waggles: u32::from(swing.is_multiple_of(2)),
        variation: 1.0,
        seed: u64::from(100 * lesson + swing),
        ..ModelParams::default()
    }
}

/// Letters of the references.
pub const REFERENCES: [char; 8] = ['A', 'B', 'C', 'D', 'E', 'F', 'G', 'H'];

/// Reference `A` to `H`: stature, backswing, downswing, depth and height of the top, arms held back, dropped.
const REFERENCE_TABLE: [[f64; 7]; 8] = [
    [1.80, 0.82, 0.25, 0.02, 0.00, 0.100, 0.03],
    [1.68, 0.78, 0.24, 0.06, -0.04, 0.120, 0.02],
    [1.88, 0.90, 0.26, -0.03, 0.05, 0.075, 0.05],
    [1.75, 0.75, 0.23, 0.04, 0.00, 0.110, 0.03],
    [1.83, 0.95, 0.27, 0.00, 0.03, 0.085, 0.04],
    [1.71, 0.84, 0.25, -0.05, 0.06, 0.070, 0.06],
    [1.92, 0.88, 0.26, 0.08, -0.05, 0.130, 0.02],
    [1.78, 0.80, 0.24, 0.02, 0.02, 0.095, 0.04],
];

/// A reference player by letter; an unknown letter gives reference A. Tendencies of strong players (common practice):
/// the hands drop at once from the top with little gain towards the ball line.
pub fn reference(letter: char) -> ModelParams {
    let index = REFERENCES.iter().position(|l| *l == letter).unwrap_or(0);
    let [stature_m, backswing_s, downswing_s, top_depth_m, top_up_m, held_back, drop_m] = REFERENCE_TABLE[index];
    ModelParams {
        stature_m,
        club: if letter == 'H' { Club::Driver } else { Club::Iron },
        backswing_s,
        downswing_s,
        top_depth_m,
        top_up_m,
        throw_m: -held_back,
        drop_m,
        trunk_lead_s: 0.06,
        variation: 0.5,
        seed: 1000 + index as u64,
        ..ModelParams::default()
    }
}

/// Kinds of swing, by why the hands go out or by how the swing is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The arms themselves move the hands outward.
    ArmDriven,
    /// The turning body carries the hands out, and the arms take little of it back.
    BodyCarried,
    /// The trunk opens early and about a more upright axis.
    FlatTurn,
    /// The trunk shifts towards the ball.
    Lunge,
    /// The hands at the top are too high, too far forward and across.
    NoRoom,
    /// The hands at the top are far behind and held there.
    TooFarInside,
    /// Slow drill swing.
    Drill,
    /// A rest at the top.
    Pause,
    /// Pumps before the downswing.
    Pump,
}

impl Kind {
    /// All kinds.
    pub const ALL: [Kind; 9] = [
        Kind::ArmDriven,
        Kind::BodyCarried,
        Kind::FlatTurn,
        Kind::Lunge,
        Kind::NoRoom,
        Kind::TooFarInside,
        Kind::Drill,
        Kind::Pause,
        Kind::Pump,
    ];

    /// A swing of this kind.
    pub fn params(self) -> ModelParams {
        let mut params = ModelParams::default();
        match self {
            Kind::ArmDriven => (params.throw_m, params.trunk_lead_s) = (0.14, 0.0),
            Kind::BodyCarried => (params.turn_deg, params.trunk_lead_s) = (95.0, 0.10),
            Kind::FlatTurn => (params.flat_deg, params.trunk_lead_s) = (10.0, 0.10),
            Kind::Lunge => params.lunge_m = 0.08,
            Kind::NoRoom => (params.top_depth_m, params.top_up_m, params.top_across_m) = (-0.12, 0.05, 0.08),
            Kind::TooFarInside => (params.top_depth_m, params.throw_m) = (0.10, -0.15),
            Kind::Drill => (params.effort, params.throw_m) = (0.35, -0.08),
            Kind::Pause => params.pause_s = 0.6,
            Kind::Pump => params.pumps = 2,
        }
        params
    }
}
