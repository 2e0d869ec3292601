use crate::plain;

macro_rules! roles {
    ($($(#[doc = $doc:literal])+ $variant:ident = $name:literal,)+) => {
        /// A body point, a point of the club, or a mark on the ground. Left and right are the player's own, as files
        /// label them; lead and trail exist only once the handedness is known.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Role {
            $($(#[doc = $doc])+ $variant,)+
        }

        impl Role {
            /// All roles, in the order lists show them.
            pub const ALL: &[Role] = &[$(Role::$variant),+];

            /// The documented name, as in options and JSON.
            pub fn name(self) -> &'static str {
                match self { $(Role::$variant => $name),+ }
            }

            /// Reads a documented name.
            pub fn parse(name: &str) -> Option<Self> {
                match name { $($name => Some(Role::$variant),)+ _ => None }
            }

            /// A point of the player, not of the club and not on the ground.
            pub fn of_body(self) -> bool {
                self != Role::MidHands && self <= Role::Head
            }
        }
    };
}

roles! {
    /// Middle of the grip, where both hands meet.
    MidHands = "mid-hands",
    /// Left hand: knuckle, back of the hand, or a skeleton's hand joint.
    LeftHand = "left-hand",
    /// Right hand.
    RightHand = "right-hand",
    /// Left wrist.
    LeftWrist = "left-wrist",
    /// Right wrist.
    RightWrist = "right-wrist",
    /// Left elbow.
    LeftElbow = "left-elbow",
    /// Right elbow.
    RightElbow = "right-elbow",
    /// Left shoulder: acromion marker or upper-arm joint (not the collar joint).
    LeftShoulder = "left-shoulder",
    /// Right shoulder.
    RightShoulder = "right-shoulder",
    /// Left front hip bone (anterior superior iliac spine).
    LeftHipBone = "left-hip-bone",
    /// Right front hip bone.
    RightHipBone = "right-hip-bone",
    /// Left back hip bone (posterior superior iliac spine).
    LeftHipBack = "left-hip-back",
    /// Right back hip bone.
    RightHipBack = "right-hip-back",
    /// Left hip joint centre.
    LeftHipJoint = "left-hip-joint",
    /// Right hip joint centre.
    RightHipJoint = "right-hip-joint",
    /// Middle of the hips, where a skeleton has no side joints.
    MidHip = "mid-hip",
    /// Sacrum: the middle between the back hip bones, where a file has no two.
    Sacrum = "sacrum",
    /// Left knee.
    LeftKnee = "left-knee",
    /// Right knee.
    RightKnee = "right-knee",
    /// Left ankle.
    LeftAnkle = "left-ankle",
    /// Right ankle.
    RightAnkle = "right-ankle",
    /// Left heel.
    LeftHeel = "left-heel",
    /// Right heel.
    RightHeel = "right-heel",
    /// Left toe.
    LeftToe = "left-toe",
    /// Right toe.
    RightToe = "right-toe",
    /// IJ: suprasternal notch, top of the breastbone.
    Notch = "notch",
    /// PX: xiphoid process, lower end of the breastbone.
    Xiphoid = "xiphoid",
    /// C7: lowest neck vertebra.
    C7 = "c7",
    /// T8: eighth thoracic vertebra (T10 markers count here).
    T8 = "t8",
    /// Head.
    Head = "head",
    /// Shaft, nearer the grip.
    ShaftUpper = "shaft-upper",
    /// Shaft, nearer the club head.
    ShaftLower = "shaft-lower",
    /// Club head.
    ClubHead = "club-head",
    /// Ball.
    Ball = "ball",
    /// Mark on the target line, farther from the target.
    TargetNear = "target-near",
    /// Mark on the target line, nearer the target.
    TargetFar = "target-far",
}

plain::named!(Role);
