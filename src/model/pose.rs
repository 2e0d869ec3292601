//! Body points of the model at one time, with rigid limbs: every bone keeps its length.

use super::motion::{Motion, V};
use crate::words::Message;
use nalgebra::Matrix3;
use std::fmt;

/// Side of the player: lead is the side nearer the target.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Left for a right-hander.
    Lead,
    /// Right for a right-hander.
    Trail,
}

impl Side {
    /// Both.
    pub const BOTH: [Side; 2] = [Side::Lead, Side::Trail];

    /// +1 for the lead side (towards the target), -1 for the trail side.
    pub fn sign(self) -> f64 {
        match self {
            Side::Lead => 1.0,
            Side::Trail => -1.0,
        }
    }
}

/// Joint centres of an arm, from the trunk outward.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arm {
    /// Shoulder joint.
    pub shoulder: V,
    /// Elbow.
    pub elbow: V,
    /// Wrist, on the rigid bone from elbow to fist.
    pub wrist: V,
    /// Middle of the fist, on the grip.
    pub fist: V,
}

/// Joint centres of a leg, and the foot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// Hip joint.
    pub hip: V,
    /// Knee.
    pub knee: V,
    /// Ankle.
    pub ankle: V,
    /// Tip of the toes.
    pub toe: V,
    /// Heel.
    pub heel: V,
    /// Columns: toeward, towards the target, up, of the foot.
    pub foot: Matrix3<f64>,
}

/// Everything at one time, body-relative frame of a right-hander, metres.
#[derive(Clone, Debug, PartialEq)]
pub struct Pose {
    /// Mid-hip.
    pub mid_hip: V,
    /// Rotation of the pelvis.
    pub pelvis: Matrix3<f64>,
    /// Mid-shoulder.
    pub mid_shoulder: V,
    /// Rotation of the thorax.
    pub thorax: Matrix3<f64>,
    /// Lead and trail arm.
    pub arms: [Arm; 2],
    /// Lead and trail leg.
    pub legs: [Leg; 2],
    /// Mid-hands.
    pub hands: V,
    /// Unit vector from mid-hands to club head.
    pub club: V,
    /// Unit normal of the plane in which the club swings at this time, square to `club`.
    pub club_plane: V,
    /// Club head.
    pub club_head: V,
}

/// A limb or the club cannot be where the parameters want it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfReach {
    /// Which bone pair.
    pub limb: &'static str,
    /// Side.
    pub side: Side,
    /// Time, seconds of the model.
    pub time_s: f64,
    /// Distance wanted, metres.
    pub wanted_m: f64,
    /// Greatest distance of the two bones, metres.
    pub longest_m: f64,
}

impl OutOfReach {
    /// Key and parameters.
    pub fn message(&self) -> Message {
        let side = match self.side {
            Side::Lead => "lead",
            Side::Trail => "trail",
        };
        Message::new("model.out_of_reach")
            .with("limb", self.limb)
            .with("side", side)
            .with("time", self.time_s)
            .with("wanted", 100.0 * self.wanted_m)
            .with("longest", 100.0 * self.longest_m)
    }
}

impl fmt::Display for OutOfReach {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.message().fmt(f)
    }
}

impl std::error::Error for OutOfReach {}

/// Two bones from `root` to `tip`, bent towards `pole`: the joint between them, or `None` out of reach.
fn middle_joint(root: V, tip: V, lengths: [f64; 2], pole: V) -> Option<V> {
    let line = tip - root;
    let distance = line.norm();
    let [first, second] = lengths;
    if distance >= first + second || distance <= (first - second).abs() {
        return None;
    }
    let along = (distance * distance + first * first - second * second) / (2.0 * distance);
    let direction = line / distance;
    let sideways = (pole - direction * pole.dot(&direction)).normalize();
    Some(root + direction * along + sideways * (first * first - along * along).sqrt())
}

/// Half the stance (ankle to ankle), share of stature. Wider for the longer clubs in life; one value here.
const HALF_STANCE: f64 = 0.125;
/// Toe from the ankle, foot axes, share of stature: toe and heel landmarks stand on the floor.
pub(super) const TOE_FROM_ANKLE: [f64; 3] = [0.105, 0.0, -0.039];

impl Motion {
    /// All body points at a time.
    ///
    /// # Errors
    /// [`OutOfReach`] where the parameters ask for more than the bones allow.
    pub fn pose(&self, t_s: f64) -> Result<Pose, OutOfReach> {
        let (mid_hip, pelvis) = (self.mid_hip(t_s), self.pelvis_rotation(t_s));
        let (mid_shoulder, thorax) = (self.mid_shoulder(t_s), self.thorax_rotation(t_s));
        let (hands, club) = (self.hands(t_s), self.club_direction(t_s));
        let arm = |side| self.arm(t_s, side, mid_shoulder, &thorax);
        let leg = |side| self.leg(t_s, side, mid_hip, &pelvis);
        Ok(Pose {
            arms: [arm(Side::Lead)?, arm(Side::Trail)?],
            legs: [leg(Side::Lead)?, leg(Side::Trail)?],
            club_head: hands + club * self.build.club,
            mid_hip,
            pelvis,
            mid_shoulder,
            thorax,
            hands,
            club,
            club_plane: self.club_plane(t_s),
        })
    }

    fn arm(&self, t_s: f64, side: Side, mid_shoulder: V, thorax: &Matrix3<f64>) -> Result<Arm, OutOfReach> {
        let build = &self.build;
        let shoulder = mid_shoulder + thorax * V::y() * (side.sign() * build.half_shoulders);
        // The lead hand is nearer the end of the grip.
        let fist = self.hands(t_s) - self.club_direction(t_s) * (side.sign() * build.half_grip);
        let pole = thorax * V::new(-0.2, 0.5 * side.sign(), -1.0);
        let lengths = [build.upper_arm, build.lower_arm];
        let elbow = middle_joint(shoulder, fist, lengths, pole).ok_or(OutOfReach {
            limb: "arm",
            side,
            time_s: t_s,
            wanted_m: (fist - shoulder).norm(),
            longest_m: lengths[0] + lengths[1],
        })?;
        let wrist = elbow + (fist - elbow) * (build.forearm / build.lower_arm);
        Ok(Arm { shoulder, elbow, wrist, fist })
    }

    fn leg(&self, t_s: f64, side: Side, mid_hip: V, pelvis: &Matrix3<f64>) -> Result<Leg, OutOfReach> {
        let build = &self.build;
        let hip = mid_hip + pelvis * V::y() * (side.sign() * build.half_hips);
        let foot = self.foot_rotation(t_s, side);
        let planted = V::new(0.0, side.sign() * HALF_STANCE * build.scale * 1.80, build.ankle);
        let toe_from_ankle = V::from(TOE_FROM_ANKLE) * (build.scale * 1.80);
        let flat = self.foot_yaw(side);
        let toe = planted + flat * toe_from_ankle;
        let ankle = toe - foot * toe_from_ankle;
        let heel = ankle + foot * V::new(-0.03, 0.0, -0.039) * (build.scale * 1.80);
        let lengths = [build.thigh, build.shank];
        let pole = flat * V::x() + pelvis * V::x() * 0.5;
        let knee = middle_joint(hip, ankle, lengths, pole).ok_or(OutOfReach {
            limb: "leg",
            side,
            time_s: t_s,
            wanted_m: (ankle - hip).norm(),
            longest_m: lengths[0] + lengths[1],
        })?;
        Ok(Leg { hip, knee, ankle, toe, heel, foot })
    }

    /// Feet turned out: 20 degrees in front, 5 behind.
    fn foot_yaw(&self, side: Side) -> Matrix3<f64> {
        let out_deg: f64 = if side == Side::Lead { 20.0 } else { -5.0 };
        nalgebra::Rotation3::from_axis_angle(&V::z_axis(), out_deg.to_radians()).into_inner()
    }

    /// The trail heel rises about the toe in the follow-through.
    fn foot_rotation(&self, t_s: f64, side: Side) -> Matrix3<f64> {
        let raised = if side == Side::Trail { self.heel.value(t_s) } else { 0.0 };
        let pitch = nalgebra::Rotation3::from_axis_angle(&V::y_axis(), raised).into_inner();
        self.foot_yaw(side) * pitch
    }
}

impl Pose {
    /// A point fixed in the thorax, given in thorax axes from mid-shoulder, metres for a stature of 1.80 m.
    pub fn on_thorax(&self, point: V, scale: f64) -> V {
        self.mid_shoulder + self.thorax * point * scale
    }

    /// A point fixed in the pelvis, given in pelvis axes from mid-hip, metres for a stature of 1.80 m.
    pub fn on_pelvis(&self, point: V, scale: f64) -> V {
        self.mid_hip + self.pelvis * point * scale
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn out_of_reach_says_which_limb_when_and_by_how_much() {
        let error = OutOfReach { limb: "arm", side: Side::Trail, time_s: 1.234, wanted_m: 0.712, longest_m: 0.695 };
        assert_eq!(
            error.to_string(),
            "The trail arm would have to reach 71.2 cm at 1.23 s of the model, but reaches 69.5 cm. Ask for less movement of \
             the hands or the trunk."
        );
    }

    #[test]
    fn a_joint_between_two_bones_keeps_both_lengths_or_is_out_of_reach() {
        let (root, tip) = (V::new(0.0, 0.0, 1.0), V::new(0.3, 0.1, 0.6));
        let joint = middle_joint(root, tip, [0.33, 0.36], V::new(0.0, 0.0, -1.0)).unwrap();
        assert!(((joint - root).norm() - 0.33).abs() < 1e-12 && ((tip - joint).norm() - 0.36).abs() < 1e-12);
        assert!(joint.z < 0.5 * (root.z + tip.z), "bends towards the pole");
        assert_eq!(middle_joint(root, root + V::x() * 0.7, [0.33, 0.36], V::z()), None);
        assert_eq!(middle_joint(root, root + V::x() * 0.02, [0.33, 0.36], V::z()), None);
    }
}
