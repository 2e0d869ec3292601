//! The names that captures use, in one table. Written from general knowledge of open marker-set and skeleton
//! conventions (conventional gait markers, ISB landmarks, animation marker sets, skeleton joints, keypoint lists,
//! depth cameras, inertial suits); golf words are common practice.
//!
//! A word stands here without side, separators and case: `LSHO`, `L.Shoulder`, `shoulder_left` and `ShoulderLeft` are
//! the words `sho` and `shoulder` with a side.

use super::Role;

/// A body point without its side, or a thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    Hand,
    Wrist,
    Elbow,
    Shoulder,
    HipBone,
    HipBack,
    HipJoint,
    Knee,
    Ankle,
    Heel,
    Toe,
    MidHip,
    Sacrum,
    Notch,
    Xiphoid,
    C7,
    T8,
    Head,
    MidHands,
    ShaftUpper,
    ShaftLower,
    ClubHead,
    Ball,
    TargetNear,
    TargetFar,
}

/// The player's own left or right, as the name says it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Side {
    Left,
    Right,
}

/// When a word means its part. Segment names are joints in a skeleton (`LeftForeArm` starts at the elbow), but loose
/// markers on the segment in a marker set, which always names the joint too.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum When {
    Always,
    /// The subject has no track named after the elbow.
    NoElbow,
    /// The subject has a track named after the elbow.
    WithElbow,
    /// The subject has no track named after the knee.
    NoKnee,
    /// The subject has no track named after the ankle.
    NoAnkle,
    /// The subject has a track named after the ankle.
    WithAnkle,
    /// Another member of the same level is there too.
    Paired,
    /// The file numbers no third mark (`Target 3`); with one, the numbers are just numbers.
    TwoMarks,
}

/// A row of the table. Of the rows that fit a role, the lowest `level` with data counts; tracks of one level with
/// different `member`s are averaged (inner and outer wrist), the best one of each member.
#[derive(Debug)]
pub(super) struct Row {
    pub(super) part: Part,
    pub(super) level: u8,
    pub(super) member: u8,
    pub(super) when: When,
    pub(super) words: &'static str,
}

/// Writes the table as a table: part, level, member, condition, words.
macro_rules! rows {
    ($($part:ident $level:literal $member:literal $when:ident $words:literal;)+) => {
        pub(super) const ROWS: &[Row] = &[
            $(Row { part: Part::$part, level: $level, member: $member, when: When::$when, words: $words },)+
        ];
    };
}

rows! {
    // Hands. Fingers and thumbs are not the hand.
    Hand       0 0 Always    "hand hnd fin handback palm knuckle knuckles mcp mcp3 mc3 hm3 handmid";
    Hand       1 0 Always    "handout handlat hm5 mc5 mcp5";
    Hand       1 1 Always    "handin handmed hm2 mc2 mcp2";
    // Wrists: the joint, else both sides of it.
    Wrist      0 0 Always    "wrist wri wrst wr wjc wristmid";
    Wrist      1 0 Always    "wra iwr wristin wristrad wristradial wristthumb wristmed rs rsp radialstyloid styloidradius";
    Wrist      1 0 Always    "radstyloid wrad mwri wrm mwr faradius";
    Wrist      1 1 Always    "wrb owr wristout wristuln wristulna wristulnar wristpinky wristlat us usp ulnarstyloid";
    Wrist      1 1 Always    "styloidulna ulnstyloid wuln lwri wrl lwr faulna";
    Wrist      2 0 WithElbow "radius rad";
    Wrist      2 1 WithElbow "ulna uln";
    // Elbows.
    Elbow      0 0 Always    "ejc";
    Elbow      0 0 NoElbow   "forearm lowerarm lowarm forearmbend ulna";
    Elbow      1 0 NoElbow   "radius";
    Elbow      1 0 Always    "elb elbo elbow elbowlat elbowout el lel ell elbl oel elblat lelb hle latepicondyle";
    Elbow      1 1 Always    "elbowmed elbowin em mel elm elbm iel elbmed melb hme medepicondyle";
    // Shoulders. In a skeleton with an arm joint, "shoulder" is the collar joint and the arm starts at the shoulder.
    Shoulder   0 0 NoElbow   "arm upperarm uparm upperarmbend shldrbend humerus";
    Shoulder   0 0 Always    "sjc gh ghjc glenohumeral";
    Shoulder   1 0 Always    "sho shoulder shldr shoul should shd shld shouldertop acromion acromium acrom acr ac acj";
    Shoulder   2 0 Always    "shoulderback psh shb bsh";
    Shoulder   2 1 Always    "shoulderfront ash shf fsh";
    // Hip bones, front and back.
    HipBone    0 0 Always    "asi asis ias";
    HipBone    1 0 Always    "fwt waistfront fwaist hipfront pelvisfront";
    HipBack    0 0 Always    "psi psis ips";
    HipBack    1 0 Always    "bwt waistback bwaist hipback pelvisback";
    Sacrum     0 0 Always    "sacr sacrum sac sacral vsacral vsacrum vsac midpsis";
    // Hip joints.
    HipJoint   0 0 Always    "hjc upleg upperleg";
    HipJoint   0 0 NoKnee    "thigh thighbend femur";
    HipJoint   1 0 Always    "hip";
    HipJoint   2 0 Always    "trochanter troch troc tro gtr gt greatertrochanter";
    MidHip     0 0 Always    "hips midhip midhips pelvis midpelvis spinebase hip hipmid hipsmid";
    MidHip     1 0 Always    "root";
    // Knees.
    Knee       0 0 Always    "kjc";
    Knee       0 0 NoKnee    "leg lowerleg lowleg shin calf shank tibia";
    Knee       1 0 Always    "kne knee kneelat kneeout kl knel lkne lfc fle";
    Knee       1 1 Always    "kneemed kneein km knem mkne mfc fme";
    // Ankles, heels, toes. "Ball" with a side is the ball of the foot.
    Ankle      0 0 Always    "ajc";
    Ankle      0 0 NoAnkle   "foot talus";
    Ankle      1 0 Always    "ank ankle anklelat ankleout mall malleolus lmal malleoluslat al lm ankl lank fal malllat";
    Ankle      1 1 Always    "anklemed anklein mmal malleolusmed am mm ankm mank tam mallmed";
    Heel       0 0 Always    "hee heel heelback cal calc calcn calcaneus fcc hel";
    Toe        0 0 Always    "toe toes toebase ball ballfoot football";
    Toe        1 0 Always    "bigtoe toetip footindex hallux hlx";
    Toe        2 0 Always    "mt2 met met2 metatarsal 2mt mth2 fm2 forefoot mtp";
    Toe        3 0 Always    "mt5 met5 5mt mth5 fm5 toelat toe5 smalltoe littletoe forefootout fl vmh";
    Toe        3 1 Always    "mt1 met1 1mt mth1 fm1 toemed toe1 forefootin fm fmh";
    Toe        4 0 WithAnkle "foot";
    // Trunk and head.
    Notch      0 0 Always    "ij clav notch sternalnotch suprasternal suprasternalnotch jugularnotch jugular sn sjn";
    Notch      1 0 Always    "incisurajugularis sternumtop sternumupper clavicle manubrium";
    Xiphoid    0 0 Always    "px strn xiphoid xiphoidprocess processusxiphoideus xyphoid xp xip xiph";
    Xiphoid    1 0 Always    "sternumbottom sternumlower sternum stern ster";
    C7         0 0 Always    "c7 cv7";
    C7         1 0 Always    "spinetop";
    T8         0 0 Always    "t8 tv8 th8";
    T8         1 0 Always    "t10 tv10 th10";
    Head       0 0 Always    "head hed";
    Head       1 0 Always    "fhd headfront";
    Head       1 1 Always    "bhd headback";
    Head       2 0 Always    "headtop thd vertex";
    Head       3 0 Always    "nose";
    Head       4 0 Always    "ear eye";
    // Hands as one point.
    MidHands   0 0 Always    "midhands midhand handsmid handmid hands gripmid midgrip";
    MidHands   1 0 Always    "grip handle hub";
    MidHands   2 0 Paired    "leadhand handlead";
    MidHands   2 1 Paired    "trailhand handtrail";
    MidHands   3 0 Paired    "leadwrist wristlead";
    MidHands   3 1 Paired    "trailwrist wristtrail";
    MidHands   4 0 Paired    "griptop gripupper";
    MidHands   4 1 Paired    "gripbottom griplower";
    // Club. A word of CLUB_WORDS reads as "club", which shaft and grip words may have before them or not.
    ShaftUpper 0 0 Always    "shaftupper shafttop shaftprox shafthigh shafta shaft1 shaft01";
    ShaftUpper 1 0 Always    "shaftgrip gripend butt buttend gripbutt griptop gripupper";
    ShaftUpper 2 0 Always    "clubtop clubupper";
    ShaftLower 0 0 Always    "shaftlower shaftbottom shaftdist shaftlow shaftb shafttip";
    ShaftLower 1 0 Always    "shaft4 shaft04";
    ShaftLower 2 0 Always    "shaft3 shaft03";
    ShaftLower 3 0 Always    "shaft2 shaft02";
    ShaftLower 4 0 Always    "shaft shaftmid midshaft hosel clubbottom clublower";
    ClubHead   0 0 Always    "clubhead headclub";
    ClubHead   1 0 Always    "clubface clubheadface";
    ClubHead   1 1 Always    "clubtoe clubheadtoe clubfacetoe";
    ClubHead   1 2 Always    "clubheel clubheadheel clubfaceheel";
    ClubHead   1 3 Always    "clubcrown clubheadcrown clubheadtop";
    ClubHead   1 4 Always    "clubsole clubheadsole clubheadbottom";
    ClubHead   2 0 Always    "clubtip clubend";
    // On the ground. Of two numbered marks the first is the near one.
    Ball       0 0 Always    "ball golfball";
    Ball       1 0 Always    "ballstart balladdress ballstatic teeball";
    TargetNear 0 0 Always    "targetnear targetlinenear aimnear aimlinenear linenear targetstart targetlinestart aimstart";
    TargetNear 1 0 TwoMarks  "target1 targetline1 aim1 aimline1 line1";
    TargetFar  0 0 Always    "targetfar targetlinefar aimfar aimlinefar linefar targetend targetlineend aimend";
    TargetFar  1 0 TwoMarks  "target2 targetline2 aim2 aimline2 line2";
    TargetFar  2 0 TwoMarks  "target aim targetline aimline";
}

/// Words that say "this belongs to the club"; a number around them is the club's (`7 iron`).
pub(super) const CLUB_WORDS: &str = "club golfclub driver iron wedge wood hybrid putter";

/// Words that say nothing about the place.
pub(super) const NOISE: &str = "marker markers mkr mrk joint jnt jc center centre ctr pos position point pt coord coords \
    coordinates global xyz location translation trajectory traj origin 3d world filtered filt smoothed of the";

/// Words that may stand on either side of the point's own word: `lateral elbow`, `elbow lateral`.
pub(super) const QUALIFIERS: &str = "med lat in out upper lower top bottom front back near far mid end prox dist";

/// Words that, left of a known name, make it another point: `ik_hand_l` is no hand, `offset_LSHO` no shoulder.
pub(super) const OTHERWISE: &str = "ik pole twist roll offset cluster wand tech technical finger fingers thumb index ring \
    pinky little nub ctrl helper med lat in out upper lower top bottom front back near far mid end prox dist lead trail \
    vel velocity acc acceleration angle angles force moment power rot rotation";

/// Segments that a name may put before the point: `Thorax_C7`, `Pelvis:LASI`. They are no subject.
pub(super) const SEGMENTS: &str = "thorax trunk torso pelvis hip hips waist body spine head neck arm upperarm forearm \
    lowerarm hand leg upperleg lowerleg thigh shank shin foot feet shoulder elbow wrist knee ankle";

/// Words of a name that no one has given: `Marker_12`, `*17`, `U3`, `unlabelled 4`.
pub(super) const ANONYMOUS: &str = "m p u mk mkr marker markers point pt track traj trajectory unlabeled unlabelled unnamed \
    unknown unidentified uname unassigned target joint new object column";

/// Other spellings and other languages (German, French, Spanish; accents dropped) of the words above and of the sides,
/// as `known: other other ...`.
pub(super) const SPELLINGS: &[&str] = &[
    "left: l lt lft links linke linker linkes gauche izquierda izquierdo izq",
    "right: r rt rgt rechts rechte rechter rechtes droite droit derecha derecho",
    "med: medial",
    "lat: lateral",
    "in: inner inside",
    "out: outer outside",
    "mid: middle mitte milieu medio",
    "prox: proximal",
    "dist: distal",
    "shoulder: schulter epaule hombro",
    "elbow: ellenbogen ellbogen coude codo",
    "wrist: handgelenk poignet muneca",
    "hand: main mano",
    "hands: hande haende mains manos",
    "hip: hufte huefte hanche cadera",
    "pelvis: becken bassin",
    "knee: knie genou rodilla",
    "ankle: knochel knoechel sprunggelenk cheville tobillo",
    "heel: ferse talon",
    "toe: zehe zehen orteil dedo",
    "foot: fuss fuß pied pie",
    "head: kopf tete cabeza",
    "club: schlager schlaeger golfschlager palo",
    "clubhead: schlagerkopf schlaegerkopf",
    "shaft: schaft",
    "grip: griff",
    "gripend: griffende",
    "ball: balle pelota bola",
    "target: ziel",
];

use Part::*;

impl Part {
    /// Part of the player, not of the club and not on the ground.
    pub(super) fn of_body(self) -> bool {
        (self as u8) <= Head as u8
    }

    /// The role of this part. The head may be named with a side (`LFHD`), other middle points may not.
    pub(super) fn role(self, side: Option<Side>) -> Option<Role> {
        let (left, right) = self.roles();
        match side {
            Some(Side::Left) => (left != right || self == Head).then_some(left),
            Some(Side::Right) => (left != right || self == Head).then_some(right),
            None => (left == right).then_some(left),
        }
    }

    /// Left and right role; the same one twice for a middle point.
    fn roles(self) -> (Role, Role) {
        let middle = |role| (role, role);
        match self {
            Hand => (Role::LeftHand, Role::RightHand),
            Wrist => (Role::LeftWrist, Role::RightWrist),
            Elbow => (Role::LeftElbow, Role::RightElbow),
            Shoulder => (Role::LeftShoulder, Role::RightShoulder),
            HipBone => (Role::LeftHipBone, Role::RightHipBone),
            HipBack => (Role::LeftHipBack, Role::RightHipBack),
            HipJoint => (Role::LeftHipJoint, Role::RightHipJoint),
            Knee => (Role::LeftKnee, Role::RightKnee),
            Ankle => (Role::LeftAnkle, Role::RightAnkle),
            Heel => (Role::LeftHeel, Role::RightHeel),
            Toe => (Role::LeftToe, Role::RightToe),
            MidHip => middle(Role::MidHip),
            Sacrum => middle(Role::Sacrum),
            Notch => middle(Role::Notch),
            Xiphoid => middle(Role::Xiphoid),
            C7 => middle(Role::C7),
            T8 => middle(Role::T8),
            Head => middle(Role::Head),
            MidHands => middle(Role::MidHands),
            ShaftUpper => middle(Role::ShaftUpper),
            ShaftLower => middle(Role::ShaftLower),
            ClubHead => middle(Role::ClubHead),
            Ball => middle(Role::Ball),
            TargetNear => middle(Role::TargetNear),
            TargetFar => middle(Role::TargetFar),
        }
    }
}
