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

const fn row(part: Part, level: u8, member: u8, when: When, words: &'static str) -> Row {
    Row { part, level, member, when, words }
}

use Part::*;
use When::*;

pub(super) const ROWS: &[Row] = &[
    // Hands. Fingers and thumbs are not the hand.
    row(Hand, 0, 0, Always, "hand hnd fin handback backhand palm knuckle knuckles mcp mcp3 mc3 hm3 handcom handmid"),
    row(Hand, 1, 0, Always, "handout handouter handlat hm5 mc5 mcp5"),
    row(Hand, 1, 1, Always, "handin handinner handmed hm2 mc2 mcp2"),
    // Wrists: the joint, else both sides of it.
    row(Wrist, 0, 0, Always, "wrist wri wrst wr wjc wristmid"),
    row(
        Wrist,
        1,
        0,
        Always,
        "wra iwr wristin wristinner wristrad wristradial wristthumb wristmed wristmedial medwrist",
    ),
    row(Wrist, 1, 0, Always, "rs rsp radialstyloid styloidradius radstyloid wrad mwri wrm mwr innerwrist faradius"),
    row(
        Wrist,
        1,
        1,
        Always,
        "wrb owr wristout wristouter wristuln wristulna wristulnar wristpinky wristlat wristlateral",
    ),
    row(Wrist, 1, 1, Always, "us usp ulnarstyloid styloidulna ulnstyloid wuln lwri wrl lwr outerwrist latwrist faulna"),
    row(Wrist, 2, 0, WithElbow, "radius rad"),
    row(Wrist, 2, 1, WithElbow, "ulna uln"),
    // Elbows.
    row(Elbow, 0, 0, Always, "ejc"),
    row(Elbow, 0, 0, NoElbow, "forearm lowerarm lowarm lforearm forearmbend ulna"),
    row(Elbow, 1, 0, NoElbow, "radius"),
    row(
        Elbow,
        1,
        0,
        Always,
        "elb elbo elbow elbowlat elbowlateral latelbow lateralelbow elbowout elbowouter outerelbow",
    ),
    row(Elbow, 1, 0, Always, "el lel ell elbl oel elblat lelb hle lateralepicondyle elbow1"),
    row(
        Elbow,
        1,
        1,
        Always,
        "elbowmed elbowmedial medelbow medialelbow elbowin elbowinner innerelbow medialepicondyle",
    ),
    row(Elbow, 1, 1, Always, "em mel elm elbm iel elbmed melb hme"),
    // Shoulders. In a skeleton with an arm joint, "shoulder" is the collar joint and the arm starts at the shoulder.
    row(Shoulder, 0, 0, NoElbow, "arm upperarm uparm upperarmbend shldrbend humerus"),
    row(Shoulder, 0, 0, Always, "sjc gh ghjc glenohumeral"),
    row(Shoulder, 1, 0, Always, "sho shoulder shldr shoul should shd shld shouldertop topshoulder shoulderjoint"),
    row(Shoulder, 1, 0, Always, "acromion acromium acrom acr ac acj acromioclavicular"),
    row(Shoulder, 2, 0, Always, "shoulderback backshoulder psh shb bsh"),
    row(Shoulder, 2, 1, Always, "shoulderfront frontshoulder ash shf fsh"),
    // Hip bones: front and back.
    row(HipBone, 0, 0, Always, "asi asis ias anteriorsuperioriliacspine"),
    row(HipBone, 1, 0, Always, "fwt waistfront frontwaist fwaist hipfront fronthip frontpelvis pelvisfront"),
    row(HipBack, 0, 0, Always, "psi psis ips posteriorsuperioriliacspine"),
    row(HipBack, 1, 0, Always, "bwt waistback backwaist bwaist hipback backhip backpelvis pelvisback"),
    // Hip joints.
    row(HipJoint, 0, 0, Always, "hjc upleg upperleg hipjc"),
    row(HipJoint, 0, 0, NoKnee, "thigh thighbend femur"),
    row(HipJoint, 1, 0, Always, "hip"),
    row(HipJoint, 2, 0, Always, "trochanter troch troc tro gtr gt greatertrochanter"),
    row(MidHip, 0, 0, Always, "hips midhip midhips pelvis midpelvis spinebase hip hipmid hipsmid"),
    row(MidHip, 1, 0, Always, "root"),
    row(Sacrum, 0, 0, Always, "sacr sacrum sac sacral vsacral vsacrum vsac midpsis"),
    // Knees.
    row(Knee, 0, 0, Always, "kjc"),
    row(Knee, 0, 0, NoKnee, "leg lowerleg lowleg shin calf shank tibia"),
    row(Knee, 1, 0, Always, "kne knee kneelat kneelateral latknee kneeout kneeouter lateralknee kl knel lkne lfc fle"),
    row(Knee, 1, 1, Always, "kneemed kneemedial medknee kneein kneeinner medialknee km knem mkne mfc fme"),
    // Ankles, heels, toes.
    row(Ankle, 0, 0, Always, "ajc"),
    row(Ankle, 0, 0, NoAnkle, "foot talus"),
    row(Ankle, 1, 0, Always, "ank ankle anklelat anklelateral latankle lateralankle ankleout ankleouter outerankle"),
    row(Ankle, 1, 0, Always, "mall malleolus lmal lateralmalleolus latmal al lm ankl lank fal malllat"),
    row(Ankle, 1, 1, Always, "anklemed anklemedial medankle medialankle anklein ankleinner innerankle"),
    row(Ankle, 1, 1, Always, "mmal medialmalleolus medmal am mm ankm mank tam mallmed"),
    row(Heel, 0, 0, Always, "hee heel heelback backheel cal calc calcn calcaneus fcc hel heelbone"),
    row(Toe, 0, 0, Always, "toe toes toebase ball toejoint ballfoot football"),
    row(Toe, 1, 0, Always, "bigtoe toetip tiptoe footindex hallux hlx toeend footend"),
    row(Toe, 2, 0, Always, "mt2 met met2 metatarsal 2mt mth2 fm2 forefoot mtp meta"),
    row(Toe, 3, 0, Always, "mt5 met5 5mt mth5 fm5 toelat toe5 smalltoe littletoe forefootout fl vmh"),
    row(Toe, 3, 1, Always, "mt1 met1 1mt mth1 fm1 toemed toe1 forefootin fm fmh"),
    row(Toe, 4, 0, WithAnkle, "foot"),
    // Trunk and head.
    row(Notch, 0, 0, Always, "ij clav notch sternalnotch suprasternal suprasternalnotch jugularnotch jugular sn sjn"),
    row(Notch, 1, 0, Always, "incisurajugularis sternumtop sternumupper uppersternum topsternum clavicle manubrium"),
    row(Xiphoid, 0, 0, Always, "px strn xiphoid xiphoidprocess processusxiphoideus xyphoid xp xip xiph"),
    row(Xiphoid, 1, 0, Always, "sternumbottom sternumlower lowersternum bottomsternum sternum stern ster"),
    row(C7, 0, 0, Always, "c7 cv7 c7spinous vertebrac7"),
    row(C7, 1, 0, Always, "spinetop topspine"),
    row(T8, 0, 0, Always, "t8 tv8 th8 t8spinous vertebrat8"),
    row(T8, 1, 0, Always, "t10 tv10 th10"),
    row(Head, 0, 0, Always, "head hed"),
    row(Head, 1, 0, Always, "fhd headfront fronthead frhd"),
    row(Head, 1, 1, Always, "bhd headback backhead"),
    row(Head, 2, 0, Always, "headtop tophead thd vertex ariel"),
    row(Head, 3, 0, Always, "nose"),
    row(Head, 4, 0, Always, "ear eye"),
    // Club, ball, marks on the ground. A leading club word (see CLUB_WORDS) reads as "club".
    row(MidHands, 0, 0, Always, "midhands midhand handsmid handmid handsmiddle middlehands hands clubhands handmiddle"),
    row(MidHands, 0, 0, Always, "gripmid midgrip gripmiddle middlegrip clubgripmid clubmidgrip"),
    row(MidHands, 1, 0, Always, "grip clubgrip handle clubhandle hub"),
    row(
        ShaftUpper,
        0,
        0,
        Always,
        "shaftupper uppershaft shafttop topshaft shaftproximal shaftprox shafthigh shaftgrip",
    ),
    row(ShaftUpper, 0, 0, Always, "clubshaftupper clubuppershaft clubshafttop clubshaftproximal shafta clubshafta"),
    row(ShaftUpper, 0, 0, Always, "shaft1 clubshaft1 shaft01"),
    row(
        ShaftUpper,
        1,
        0,
        Always,
        "gripend endgrip butt buttend clubbutt clubbuttend clubgripend griptop clubgriptop gripbutt",
    ),
    row(ShaftUpper, 2, 0, Always, "clubtop topclub clubupper clubproximal"),
    row(
        ShaftLower,
        0,
        0,
        Always,
        "shaftlower lowershaft shaftbottom bottomshaft shaftdistal shaftdist shaftlow shafttip",
    ),
    row(
        ShaftLower,
        0,
        0,
        Always,
        "clubshaftlower clublowershaft clubshaftbottom clubshaftdistal shafthead shaftb clubshaftb",
    ),
    row(ShaftLower, 1, 0, Always, "shaft4 clubshaft4 shaft04"),
    row(ShaftLower, 2, 0, Always, "shaft3 clubshaft3 shaft03"),
    row(ShaftLower, 3, 0, Always, "shaft2 clubshaft2 shaft02"),
    row(
        ShaftLower,
        4,
        0,
        Always,
        "shaft clubshaft shaftmid midshaft shaftmiddle hosel clubhosel clubbottom clublower clubdistal",
    ),
    row(ClubHead, 0, 0, Always, "clubhead headclub"),
    row(ClubHead, 1, 0, Always, "clubface clubheadface face faceclub"),
    row(ClubHead, 1, 1, Always, "clubtoe clubheadtoe toeclub clubfacetoe"),
    row(ClubHead, 1, 2, Always, "clubheel clubheadheel heelclub clubfaceheel"),
    row(ClubHead, 1, 3, Always, "clubheadtop clubcrown clubheadcrown"),
    row(ClubHead, 1, 4, Always, "clubheadbottom clubsole clubheadsole"),
    row(ClubHead, 2, 0, Always, "clubtip clubend"),
    row(Ball, 0, 0, Always, "ball golfball"),
    row(Ball, 1, 0, Always, "ballstart balladdress ballstatic teeball ballontee"),
    row(TargetNear, 0, 0, Always, "targetnear neartarget targetlinenear aimnear nearaim aimlinenear linenear nearline"),
    row(TargetNear, 0, 0, Always, "target1 targetline1 aim1 aimline1 line1 targetstart targetlinestart aimstart"),
    row(TargetFar, 0, 0, Always, "targetfar fartarget targetlinefar aimfar faraim aimlinefar linefar farline"),
    row(TargetFar, 0, 0, Always, "target2 targetline2 aim2 aimline2 line2 targetend targetlineend aimend"),
    row(TargetFar, 1, 0, Always, "target aim flag pin"),
];

/// Words that say "this belongs to the club", at the front of a name or as its subject.
pub(super) const CLUB_WORDS: &[&str] = &["club", "golfclub", "driver", "iron", "wedge", "wood", "hybrid", "putter"];

/// Words that say nothing about the place.
pub(super) const NOISE: &[&str] = &[
    "marker",
    "markers",
    "mkr",
    "mrk",
    "joint",
    "jnt",
    "jc",
    "center",
    "centre",
    "ctr",
    "pos",
    "position",
    "point",
    "pt",
    "coord",
    "coords",
    "coordinates",
    "global",
    "xyz",
    "location",
    "translation",
    "trajectory",
    "traj",
    "origin",
    "3d",
    "world",
    "filtered",
    "filt",
    "smoothed",
    "of",
    "the",
];

/// Words that, left of a known name, make it another point: `ik_hand_l` is no hand, `offset_LSHO` no shoulder.
pub(super) const OTHERWISE: &[&str] = &[
    "ik",
    "pole",
    "twist",
    "roll",
    "offset",
    "cluster",
    "wand",
    "tech",
    "technical",
    "finger",
    "fingers",
    "thumb",
    "index",
    "middle",
    "ring",
    "pinky",
    "little",
    "nub",
    "ctrl",
    "helper",
    "upper",
    "lower",
    "back",
    "front",
    "inner",
    "outer",
    "end",
    "vel",
    "velocity",
    "acc",
    "acceleration",
    "angle",
    "angles",
    "force",
    "moment",
    "power",
    "mid",
    "rot",
    "rotation",
];

/// Words of a name that no one has given: `Marker_12`, `*17`, `U3`, `unlabelled 4`.
pub(super) const ANONYMOUS: &[&str] = &[
    "",
    "m",
    "p",
    "u",
    "mk",
    "mkr",
    "marker",
    "markers",
    "point",
    "pt",
    "track",
    "traj",
    "trajectory",
    "unlabeled",
    "unlabelled",
    "unnamed",
    "unknown",
    "unidentified",
    "uname",
    "unassigned",
    "target",
    "joint",
    "new",
    "object",
    "column",
];

/// Side words and words of other languages, accents dropped; the second is what the table knows.
pub(super) const TRANSLATED: &[(&str, &str)] = &[
    // German
    ("links", "left"),
    ("linke", "left"),
    ("linker", "left"),
    ("linkes", "left"),
    ("rechts", "right"),
    ("rechte", "right"),
    ("rechter", "right"),
    ("rechtes", "right"),
    ("schulter", "shoulder"),
    ("ellenbogen", "elbow"),
    ("ellbogen", "elbow"),
    ("handgelenk", "wrist"),
    ("hande", "hands"),
    ("haende", "hands"),
    ("hufte", "hip"),
    ("huefte", "hip"),
    ("becken", "pelvis"),
    ("knie", "knee"),
    ("knochel", "ankle"),
    ("knoechel", "ankle"),
    ("sprunggelenk", "ankle"),
    ("ferse", "heel"),
    ("zehe", "toe"),
    ("zehen", "toes"),
    ("fuss", "foot"),
    ("fuß", "foot"),
    ("kopf", "head"),
    ("schlager", "club"),
    ("schlaeger", "club"),
    ("schlagerkopf", "clubhead"),
    ("schlaegerkopf", "clubhead"),
    ("schaft", "shaft"),
    ("griff", "grip"),
    ("griffende", "gripend"),
    ("golfschlager", "club"),
    ("ziel", "target"),
    // French
    ("gauche", "left"),
    ("droite", "right"),
    ("droit", "right"),
    ("epaule", "shoulder"),
    ("coude", "elbow"),
    ("poignet", "wrist"),
    ("main", "hand"),
    ("mains", "hands"),
    ("hanche", "hip"),
    ("bassin", "pelvis"),
    ("genou", "knee"),
    ("cheville", "ankle"),
    ("talon", "heel"),
    ("orteil", "toe"),
    ("pied", "foot"),
    ("tete", "head"),
    ("balle", "ball"),
    // Spanish
    ("izquierda", "left"),
    ("izquierdo", "left"),
    ("izq", "left"),
    ("derecha", "right"),
    ("derecho", "right"),
    ("hombro", "shoulder"),
    ("codo", "elbow"),
    ("muneca", "wrist"),
    ("mano", "hand"),
    ("manos", "hands"),
    ("cadera", "hip"),
    ("rodilla", "knee"),
    ("tobillo", "ankle"),
    ("dedo", "toe"),
    ("pie", "foot"),
    ("cabeza", "head"),
    ("palo", "club"),
    ("pelota", "ball"),
    ("bola", "ball"),
];

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
