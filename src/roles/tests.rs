//! Name lists are written from general knowledge of the conventions (from memory, no file of these sets at hand).

use super::*;
use crate::formats::{Format, RateSource, Track};

/// A recording of two rows with these tracks.
fn recording(names: &[&str]) -> Recording {
    let track = |(at, name): (usize, &&str)| Track::marker(*name, vec![[at as f64, 0.0, 1.0]; 2]);
    Recording {
        format: Format::Text,
        first_row: 0,
        rate_hz: Some(100.0),
        rate_source: RateSource::Stated,
        clock_s: vec![0.0, 0.01],
        tracks: names.iter().enumerate().map(track).collect(),
        up: None,
        usual_up: None,
        events: Vec::new(),
        warnings: Vec::new(),
    }
}

fn guess(names: &[&str]) -> RoleMap {
    assign(&recording(names), &Table::new()).unwrap()
}

/// The map as `role=track+track` lines, in role order.
fn shown(names: &[&str]) -> String {
    let map = guess(names);
    let line = |(role, assignment): (&Role, &Assignment)| {
        let tracks: Vec<&str> = assignment.tracks.iter().map(|track| names[*track]).collect();
        format!("{}={}", role.name(), tracks.join("+"))
    };
    map.assigned.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// The roles of these names (parted by commas) are exactly the expected `role=track+track` (parted by commas).
///
/// `{L}` in either list is written out for both sides, and then the role gets its side.
#[track_caller]
fn expect(sides: (&str, &str), names: &str, expected: &str) {
    let items =
        |list: &str| list.split(',').map(|item| item.trim().to_owned()).filter(|item| !item.is_empty()).collect();
    let names: Vec<String> = items(names);
    let names = names.iter().flat_map(|name| match name.contains("{L}") {
        true => vec![name.replace("{L}", sides.0), name.replace("{L}", sides.1)],
        false => vec![name.clone()],
    });
    let names: Vec<String> = names.collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let expected: Vec<String> = items(expected);
    let expected = expected.iter().flat_map(|line| match line.contains("{L}") {
        true => {
            vec![format!("left-{}", line.replace("{L}", sides.0)), format!("right-{}", line.replace("{L}", sides.1))]
        }
        false => vec![line.clone()],
    });
    assert_eq!(shown(&names).lines().collect::<Vec<_>>(), expected.collect::<Vec<_>>());
}

const LR: (&str, &str) = ("L", "R");
const WORDS: (&str, &str) = ("Left", "Right");
const LOWER: (&str, &str) = ("l", "r");

#[test]
fn conventional_gait_markers() {
    expect(
        LR,
        "{L}FHD, {L}BHD, C7, T10, CLAV, STRN, RBAK, {L}SHO, {L}UPA, {L}ELB, {L}FRM, {L}WRA, {L}WRB, {L}FIN, {L}ASI, \
         {L}PSI, {L}THI, {L}KNE, {L}TIB, {L}ANK, {L}HEE, {L}TOE",
        "hand={L}FIN, wrist={L}WRA+{L}WRB, elbow={L}ELB, shoulder={L}SHO, hip-bone={L}ASI, hip-back={L}PSI, \
         knee={L}KNE, ankle={L}ANK, heel={L}HEE, toe={L}TOE, notch=CLAV, xiphoid=STRN, c7=C7, t8=T10, \
         head=LFHD+RFHD+LBHD+RBHD",
    );
}

#[test]
fn gait_markers_with_waist_band_and_inner_and_outer_wrist() {
    expect(
        LR,
        "{L}FWT, {L}BWT, {L}MWT, {L}IWR, {L}OWR, {L}ELB, {L}MEL, {L}MT5, {L}MT1, {L}SHO, SACR, {L}THI",
        "wrist={L}IWR+{L}OWR, elbow={L}ELB+{L}MEL, shoulder={L}SHO, hip-bone={L}FWT, hip-back={L}BWT, sacrum=SACR, \
         toe={L}MT5+{L}MT1",
    );
}

#[test]
fn joint_centres_go_before_markers() {
    expect(
        LR,
        "{L}SHO, {L}SJC, {L}ELB, {L}EJC, {L}WRA, {L}WRB, {L}WJC, {L}HJC, {L}KNE, {L}KJC, {L}ANK, {L}AJC",
        "wrist={L}WJC, elbow={L}EJC, shoulder={L}SJC, hip-joint={L}HJC, knee={L}KJC, ankle={L}AJC",
    );
}

#[test]
fn dotted_lab_markers_with_medial_and_lateral_pairs() {
    expect(
        LR,
        "Sternum, {L}.Acromium, Top.Head, {L}.ASIS, {L}.PSIS, V.Sacral, {L}.Elbow.Lat, {L}.Elbow.Med, {L}.Wrist.Lat, \
         {L}.Wrist.Med, {L}.Bicep, {L}.Forearm, {L}.Thigh.Upper, {L}.Thigh.Front, {L}.Knee.Lat, {L}.Knee.Med, \
         {L}.Shank.Upper, {L}.Shank, {L}.Thigh, {L}.Ankle.Lat, {L}.Ankle.Med, {L}.Heel, {L}.Toe.Lat, {L}.Toe.Med, \
         {L}.Toe.Tip, {L}.Midfoot.Sup",
        "wrist={L}.Wrist.Med+{L}.Wrist.Lat, elbow={L}.Elbow.Lat+{L}.Elbow.Med, shoulder={L}.Acromium, \
         hip-bone={L}.ASIS, hip-back={L}.PSIS, sacrum=V.Sacral, knee={L}.Knee.Lat+{L}.Knee.Med, \
         ankle={L}.Ankle.Lat+{L}.Ankle.Med, heel={L}.Heel, toe={L}.Toe.Tip, xiphoid=Sternum, head=Top.Head",
    );
}

#[test]
fn lab_markers_of_full_body_models() {
    expect(
        LR,
        "C7, CLAV, {L}ACR, {L}ASH, {L}PSH, {L}UA1, {L}UA2, {L}LEL, {L}MEL, {L}FAradius, {L}FAulna, {L}ASI, {L}PSI, \
         {L}TH1, {L}TH2, {L}LFC, {L}MFC, {L}TB1, {L}LMAL, {L}MMAL, {L}CAL, {L}TOE, {L}MT5",
        "wrist={L}FAradius+{L}FAulna, elbow={L}LEL+{L}MEL, shoulder={L}ACR, hip-bone={L}ASI, hip-back={L}PSI, \
         knee={L}LFC+{L}MFC, ankle={L}LMAL+{L}MMAL, heel={L}CAL, toe={L}TOE, notch=CLAV, c7=C7",
    );
}

#[test]
fn bodies_of_a_simulation_model() {
    expect(
        LOWER,
        "pelvis, femur_{L}, tibia_{L}, talus_{L}, calcn_{L}, toes_{L}, torso, humerus_{L}, ulna_{L}, radius_{L}, \
         hand_{L}",
        "hand=hand_{L}, elbow=ulna_{L}, shoulder=humerus_{L}, hip-joint=femur_{L}, mid-hip=pelvis, knee=tibia_{L}, \
         ankle=talus_{L}, heel=calcn_{L}, toe=toes_{L}",
    );
}

#[test]
fn animation_markers() {
    expect(
        LR,
        "HeadTop, HeadFront, Head{L}, Chest, SpineTop, Back{L}, {L}ShoulderTop, {L}ShoulderBack, {L}Arm, {L}ElbowOut, \
         {L}ElbowIn, {L}WristOut, {L}WristIn, {L}HandOut, {L}HandIn, Waist{L}, Waist{L}Front, Waist{L}Back, {L}Thigh, \
         {L}KneeOut, {L}KneeIn, {L}Shin, {L}AnkleOut, {L}HeelBack, {L}ForefootOut, {L}ForefootIn, {L}ToeTip",
        "hand={L}HandOut+{L}HandIn, wrist={L}WristIn+{L}WristOut, elbow={L}ElbowOut+{L}ElbowIn, \
         shoulder={L}ShoulderTop, hip-bone=Waist{L}Front, hip-back=Waist{L}Back, knee={L}KneeOut+{L}KneeIn, \
         ankle={L}AnkleOut, heel={L}HeelBack, toe={L}ToeTip, c7=SpineTop, head=HeadL+HeadR",
    );
}

#[test]
fn isb_landmarks() {
    for (sides, pattern) in [(LR, "{L}_?"), (LR, "?_{L}"), (LR, "{L}?"), (WORDS, "{L} ?")] {
        let name = |landmark: &str| pattern.replace('?', landmark);
        let sided = ["AC", "AI", "EL", "EM", "US", "RS", "ASIS", "PSIS"].map(name).join(",");
        let wrist = format!("wrist={}+{}", name("RS"), name("US"));
        let elbow = format!("elbow={}+{}", name("EL"), name("EM"));
        let rest = format!("shoulder={}, hip-bone={}, hip-back={}", name("AC"), name("ASIS"), name("PSIS"));
        let middle = "notch=IJ, xiphoid=PX, c7=C7, t8=T8";
        expect(sides, &format!("IJ, PX, C7, T8, {sided}"), &format!("{wrist}, {elbow}, {rest}, {middle}"));
    }
}

#[test]
fn skeleton_with_collar_named_shoulder() {
    for prefix in ["", "mixamorig:", "mixamorig", "Skeleton 001:", "Armature|", "Character1_"] {
        expect(
            WORDS,
            &"?Hips, ?LHipJoint, ?RHipJoint, ?{L}UpLeg, ?{L}Leg, ?{L}Foot, ?{L}ToeBase, ?{L}Toe_End, ?LowerBack, ?Spine, \
              ?Spine1, ?Neck, ?Head, ?HeadTop_End, ?{L}Shoulder, ?{L}Arm, ?{L}ArmRoll, ?{L}ForeArm, ?{L}ForeArmRoll, \
              ?{L}Hand, ?{L}FingerBase, ?{L}HandIndex1, ?{L}HandThumb2, ?LThumb, ?RThumb"
                .replace('?', prefix),
            &"hand=?{L}Hand, elbow=?{L}ForeArm, shoulder=?{L}Arm, hip-joint=?{L}UpLeg, mid-hip=?Hips, knee=?{L}Leg, \
              ankle=?{L}Foot, toe=?{L}ToeBase, head=?Head"
                .replace('?', prefix),
        );
    }
}

#[test]
fn skeletons_with_other_joint_names() {
    expect(
        WORDS,
        "Hips, Chest, Neck, Head, {L}Collar, {L}Shoulder, {L}Elbow, {L}Wrist, {L}Hip, {L}Knee, {L}Ankle, {L}Ankle end",
        "wrist={L}Wrist, elbow={L}Elbow, shoulder={L}Shoulder, hip-joint={L}Hip, mid-hip=Hips, knee={L}Knee, \
         ankle={L}Ankle, toe={L}Ankle end, head=Head",
    );
    expect(
        LOWER,
        "hip, abdomen, chest, neck, head, {L}Collar, {L}Shldr, {L}ForeArm, {L}Hand, {L}Thumb1, {L}Index1, {L}Thigh, \
         {L}Shin, {L}Foot, {L}Foot end",
        "hand={L}Hand, elbow={L}ForeArm, shoulder={L}Shldr, hip-joint={L}Thigh, mid-hip=hip, knee={L}Shin, \
         ankle={L}Foot, toe={L}Foot end, head=head",
    );
    expect(
        LR,
        "Bip01, Bip01 Pelvis, Bip01 Spine, Bip01 Head, Bip01 HeadNub, Bip01 {L} Clavicle, Bip01 {L} UpperArm, \
         Bip01 {L} Forearm, Bip01 {L} Hand, Bip01 {L} Finger0, Bip01 {L} Thigh, Bip01 {L} Calf, Bip01 {L} Foot, \
         Bip01 {L} Toe0, Bip01 {L} Toe0Nub",
        "hand=Bip01 {L} Hand, elbow=Bip01 {L} Forearm, shoulder=Bip01 {L} UpperArm, hip-joint=Bip01 {L} Thigh, \
         mid-hip=Bip01 Pelvis, knee=Bip01 {L} Calf, ankle=Bip01 {L} Foot, toe=Bip01 {L} Toe0, head=Bip01 Head",
    );
}

#[test]
fn game_skeletons() {
    expect(
        LOWER,
        "root, pelvis, spine_01, spine_02, neck_01, head, clavicle_{L}, upperarm_{L}, upperarm_twist_01_{L}, \
         lowerarm_{L}, lowerarm_twist_01_{L}, hand_{L}, index_01_{L}, thumb_01_{L}, thigh_{L}, thigh_twist_01_{L}, \
         calf_{L}, foot_{L}, ball_{L}, ik_foot_{L}, ik_hand_{L}, ik_hand_gun",
        "hand=hand_{L}, elbow=lowerarm_{L}, shoulder=upperarm_{L}, hip-joint=thigh_{L}, mid-hip=pelvis, knee=calf_{L}, \
         ankle=foot_{L}, toe=ball_{L}, head=head",
    );
    expect(
        WORDS,
        "Hips, Spine, Chest, Neck, Head, {L}Shoulder, {L}UpperArm, {L}LowerArm, {L}Hand, {L}ThumbProximal, \
         {L}UpperLeg, {L}LowerLeg, {L}Foot, {L}Toes",
        "hand={L}Hand, elbow={L}LowerArm, shoulder={L}UpperArm, hip-joint={L}UpperLeg, mid-hip=Hips, knee={L}LowerLeg, \
         ankle={L}Foot, toe={L}Toes, head=Head",
    );
    expect(
        LR,
        "J_Bip_C_Hips, J_Bip_C_Head, J_Bip_{L}_UpperArm, J_Bip_{L}_LowerArm, J_Bip_{L}_Hand, J_Bip_{L}_Index1, \
         J_Bip_{L}_UpperLeg, J_Bip_{L}_LowerLeg, J_Bip_{L}_Foot, J_Bip_{L}_ToeBase",
        "hand=J_Bip_{L}_Hand, elbow=J_Bip_{L}_LowerArm, shoulder=J_Bip_{L}_UpperArm, hip-joint=J_Bip_{L}_UpperLeg, \
         knee=J_Bip_{L}_LowerLeg, ankle=J_Bip_{L}_Foot, toe=J_Bip_{L}_ToeBase",
    );
}

#[test]
fn keypoint_lists() {
    expect(
        ("left", "right"),
        "nose, {L}_eye, {L}_ear, {L}_mouth, {L}_shoulder, {L}_elbow, {L}_wrist, {L}_pinky, {L}_index, {L}_thumb, {L}_hip, \
         {L}_knee, {L}_ankle, {L}_heel, {L}_foot_index",
        "wrist={L}_wrist, elbow={L}_elbow, shoulder={L}_shoulder, hip-joint={L}_hip, knee={L}_knee, ankle={L}_ankle, \
         heel={L}_heel, toe={L}_foot_index, head=nose",
    );
    expect(
        LR,
        "Nose, Neck, {L}Shoulder, {L}Elbow, {L}Wrist, MidHip, {L}Hip, {L}Knee, {L}Ankle, {L}Eye, {L}Ear, {L}BigToe, \
         {L}SmallToe, {L}Heel",
        "wrist={L}Wrist, elbow={L}Elbow, shoulder={L}Shoulder, hip-joint={L}Hip, mid-hip=MidHip, knee={L}Knee, \
         ankle={L}Ankle, heel={L}Heel, toe={L}BigToe, head=Nose",
    );
    expect(
        ("LEFT", "RIGHT"),
        "{L}_SHOULDER, {L}_ELBOW, {L}_WRIST, {L}_HIP, {L}_KNEE, {L}_ANKLE",
        "wrist={L}_WRIST, elbow={L}_ELBOW, shoulder={L}_SHOULDER, hip-joint={L}_HIP, knee={L}_KNEE, ankle={L}_ANKLE",
    );
}

#[test]
fn depth_camera_joints() {
    expect(
        WORDS,
        "SpineBase, SpineMid, Neck, Head, Shoulder{L}, Elbow{L}, Wrist{L}, Hand{L}, Hip{L}, Knee{L}, Ankle{L}, Foot{L}, \
         SpineShoulder, HandTip{L}, Thumb{L}",
        "hand=Hand{L}, wrist=Wrist{L}, elbow=Elbow{L}, shoulder=Shoulder{L}, hip-joint=Hip{L}, mid-hip=SpineBase, \
         knee=Knee{L}, ankle=Ankle{L}, toe=Foot{L}, head=Head",
    );
}

#[test]
fn inertial_suit_segments() {
    expect(
        WORDS,
        "Pelvis, L5, L3, T12, T8, Neck, Head, {L} Shoulder, {L} Upper Arm, {L} Forearm, {L} Hand, {L} Upper Leg, \
         {L} Lower Leg, {L} Foot, {L} Toe",
        "hand={L} Hand, elbow={L} Forearm, shoulder={L} Upper Arm, hip-joint={L} Upper Leg, mid-hip=Pelvis, \
         knee={L} Lower Leg, ankle={L} Foot, toe={L} Toe, t8=T8, head=Head",
    );
}

/// Every usual way to write one sided point.
#[test]
fn ways_to_write_a_side() {
    for name in "LSHO|lsho|L_SHO|SHO_L|L.Shoulder|L-Shoulder|l shoulder|Left Shoulder|LEFT_SHOULDER|left.shoulder|\
         LeftShoulder|ShoulderLeft|Shoulder (left)|Shoulder L|shoulder_lt|LT Shoulder|LShldr|lShldr|\
         LShoulderTop|leftshoulder|shoulderleft|golfer:LSHO|golfer_LSHO|golfer 1: Left Shoulder|a:b:LSHO|\
         Shoulder:Left|L:Shoulder|LSHO1|L_Shoulder_pos|Joint LeftShoulder|LACR|L_Acromion|\
         Left Handed Player:LSHO|Linke Schulter|Schulter_links|épaule gauche|Hombro izquierdo|Thorax_LSHO|\
           LSHO  |LShoulder Marker|L SHOULD"
        .split('|')
    {
        assert_eq!(shown(&[name]), format!("left-shoulder={name}"), "{name:?}");
    }
}

/// Names that look like a body point and are not one.
#[test]
fn names_that_mean_something_else() {
    for name in "LUPA|LFRM|LTHI|LTIB|RBAK|LUPA1|RPALA1|offset_LSHO|ik_hand_l|LeftHandIndex1|LThumb|left_thumb_hand|\
         HandTipLeft|L_Finger_Hand|clavicle_l|LeftCollar|Neck|Spine1|L5|T12|L|R|Left|| |:|::|L5:|head cover|\
         shoulder|wrist|LBall2x|Marker_7|iron 7|club|club1|toe|heel|LSHO vel|SomethingLeftEnd|golfer: |\
         leadhand|trail_wrist|foot_ball"
        .split('|')
    {
        let found = shown(&[name]);
        assert!(found.is_empty(), "{name:?} gives {found:?}");
    }
}

#[test]
fn club_and_ball() {
    for name in "club head|clubhead|club_head|ClubHead|CLUB_HEAD|club head centre|Club:Head|club:ClubHead|Driver:Head|\
         7 iron head|iron 7 head|Iron7_Head|golf club head|player 1 club:head|my_clubhead|ClubFace|club head 1|\
         Schlägerkopf"
        .split('|')
    {
        assert_eq!(shown(&[name]), format!("club-head={name}"), "{name:?}");
    }
    for name in
        ["ball", "Ball", "golf ball", "GolfBall", "Ball1", "ball:1", "Ball:Marker1", "Golf_Ball:1", "ball centre"]
    {
        assert_eq!(shown(&[name]), format!("ball={name}"), "{name:?}");
    }
    for name in ["ball_l", "L_ball", "BallLeft", "ball of foot L", "left foot ball"] {
        assert_eq!(shown(&[name]), format!("left-toe={name}"), "{name:?}");
    }
    for name in
        ["grip", "Club:Grip", "mid hands", "midhands", "MidHands", "hands", "hub", "grip middle", "handle", "club_grip"]
    {
        assert_eq!(shown(&[name]), format!("mid-hands={name}"), "{name:?}");
    }
    for name in
        ["shaft top", "ShaftUpper", "upper shaft", "club:shaft_top", "butt", "grip end", "Club Butt", "shaft proximal"]
    {
        assert_eq!(shown(&[name]), format!("shaft-upper={name}"), "{name:?}");
    }
    for name in ["shaft bottom", "ShaftLower", "lower shaft", "Driver:shaft_lower", "hosel", "shaft", "shaft distal"] {
        assert_eq!(shown(&[name]), format!("shaft-lower={name}"), "{name:?}");
    }
}

#[test]
fn club_markers_in_sets() {
    expect(
        LR,
        "Club:Toe, Club:Heel, Club:Face, Club:Shaft Top, Club:Shaft Bottom, Club:Grip, Head, C7, {L}TOE, {L}HEE",
        "mid-hands=Club:Grip, heel={L}HEE, toe={L}TOE, c7=C7, head=Head, shaft-upper=Club:Shaft Top, \
         shaft-lower=Club:Shaft Bottom, club-head=Club:Face+Club:Toe+Club:Heel",
    );
    expect(LR, "clubhead1, clubhead2, clubhead3", "club-head=clubhead1+clubhead2+clubhead3");
    expect(LR, "lead hand, trail hand", "mid-hands=lead hand+trail hand");
    expect(LR, "grip top, grip bottom", "mid-hands=grip top+grip bottom, shaft-upper=grip top");
}

#[test]
fn marks_on_the_ground() {
    for (near, far) in [
        ("target near", "target far"),
        ("NearTarget", "FarTarget"),
        ("target1", "target2"),
        ("Target:1", "Target:2"),
        ("aim 1", "aim 2"),
        ("line near", "line far"),
        ("target line near", "target line far"),
    ] {
        assert_eq!(shown(&[near, far]), format!("target-near={near}\ntarget-far={far}"));
    }
    assert_eq!(shown(&["Target"]), "target-far=Target");
    // Numbers up to many are the numbers of anonymous markers.
    assert_eq!(shown(&["Target1", "Target2", "Target3"]), "");
}

/// Shaft markers along +x from the hands; track `at` lies at x = `at` (see [`recording`]).
#[test]
fn numbered_shaft_markers_are_ordered_by_their_distance_from_the_hands() {
    let keys = |names: &[&str]| guess(names).warnings.iter().map(|warning| warning.key).collect::<Vec<_>>();
    let shaft =
        |names: &[&str]| shown(names).lines().filter(|line| line.starts_with("shaft")).collect::<Vec<_>>().join(" ");
    let straight = ["LHand", "shaft1", "shaft2"];
    assert_eq!((shaft(&straight), keys(&straight)), ("shaft-upper=shaft1 shaft-lower=shaft2".into(), vec![]));
    let swapped = ["LHand", "shaft2", "shaft1"];
    assert_eq!(
        (shaft(&swapped), keys(&swapped)),
        ("shaft-upper=shaft2 shaft-lower=shaft1".into(), vec!["roles.shaft_order"])
    );
    let by_head = ["club head", "shaft1", "shaft2"];
    assert_eq!(
        (shaft(&by_head), keys(&by_head)),
        ("shaft-upper=shaft2 shaft-lower=shaft1".into(), vec!["roles.shaft_order"])
    );
    let alone = ["shaft1", "shaft2", "shaft3"];
    assert_eq!(
        (shaft(&alone), keys(&alone)),
        ("shaft-upper=shaft1 shaft-lower=shaft3".into(), vec!["roles.shaft_assumed"])
    );
    let named = ["LHand", "shaft lower", "shaft upper"];
    assert_eq!((shaft(&named), keys(&named)), ("shaft-upper=shaft upper shaft-lower=shaft lower".into(), vec![]));
}

fn corrected(names: &[&str], role: Role, tracks: &[&str]) -> Result<RoleMap, RolesError> {
    let tracks = tracks.iter().map(|track| (*track).to_owned()).collect();
    assign(&recording(names), &Table::from([(role, tracks)]))
}

#[test]
fn ok_corrections() {
    let names = ["a:LSHO", "a:RSHO", "a:M1", "a:M2", "b:M2"];
    let tracks = |given: &[&str]| corrected(&names, Role::LeftHand, given).unwrap().assigned[&Role::LeftHand].clone();
    let user = |tracks: &[usize]| Assignment { tracks: tracks.to_vec(), source: RoleSource::User };
    assert_eq!(tracks(&["a:M1"]), user(&[2]));
    assert_eq!(tracks(&["a:M2", "a:M1", "a:M2"]), user(&[3, 2]), "in the order given, each once");
    assert_eq!(tracks(&["A:m1"]), user(&[2]), "another case");
    assert_eq!(tracks(&["M1"]), user(&[2]), "without the subject");
    assert_eq!(tracks(&[" m1 "]), user(&[2]), "blanks around");
    let removed = corrected(&names, Role::LeftShoulder, &[]).unwrap();
    assert_eq!(removed.assigned.keys().copied().collect::<Vec<_>>(), [Role::RightShoulder]);
    let replaced = corrected(&names, Role::LeftShoulder, &["b:M2"]).unwrap();
    assert_eq!(replaced.assigned[&Role::LeftShoulder], user(&[4]));
    assert_eq!(replaced.assigned[&Role::RightShoulder].source, RoleSource::Name);
}

#[test]
fn exact_names_win_over_similar_ones() {
    let names = ["hand", "Hand", "x:HAND"];
    let map = corrected(&names, Role::LeftHand, &["Hand"]).unwrap();
    assert_eq!(map.assigned[&Role::LeftHand].tracks, [1]);
}

#[test]
fn err_unknown_track() {
    let names = ["golfer:LSHO", "golfer:RSHO", "golfer:LFIN"];
    let error = corrected(&names, Role::LeftHand, &["LFIM"]).unwrap_err();
    assert_eq!(error.to_string(), "There is no track named LFIM, which was given for left-hand. Is golfer:LFIN meant?");
    let error = corrected(&names, Role::LeftHand, &["knuckle"]).unwrap_err();
    assert_eq!(
        error.to_string(),
        "There is no track named knuckle, which was given for left-hand. Choose a name from the list of tracks."
    );
    assert!(matches!(corrected(&names, Role::Ball, &[""]), Err(RolesError::UnknownTrack { nearest: None, .. })));
}

#[test]
fn err_ambiguous_track() {
    let error = corrected(&["a:M1", "b:M1"], Role::LeftHand, &["m1"]).unwrap_err();
    assert_eq!(
        error.to_string(),
        "The name m1 given for left-hand fits two tracks: a:M1 and b:M1. Give the full name of the one that is meant."
    );
}

/// The warnings as rendered in English.
fn warnings(map: &RoleMap) -> Vec<String> {
    map.warnings.iter().map(ToString::to_string).collect()
}

#[test]
fn several_subjects_are_told_and_the_fullest_is_taken() {
    let one = ["a:LSHO", "a:RSHO", "a:LELB", "a:RELB"];
    let two = ["b:LSHO", "b:RSHO", "b:LELB", "b:RELB", "b:LFIN"];
    let names: Vec<&str> = one.iter().chain(&two).copied().chain(["c:LSHO", "club:head", "ball"]).collect();
    let map = guess(&names);
    assert_eq!(map.assigned[&Role::LeftShoulder].tracks, [4]);
    assert_eq!(map.assigned[&Role::ClubHead].tracks, [10]);
    assert_eq!(map.assigned[&Role::Ball].tracks, [11]);
    assert_eq!(
        warnings(&map),
        [
            "The file holds several players. “b” is used, because most body points are found there; not used: “a”. To use \
          another one, choose its tracks for the roles."
        ]
    );
    // Equal names, equal rows: the first in the file.
    let twins = ["a:LSHO", "a:RSHO", "a:LELB", "a:RELB", "b:LSHO", "b:RSHO", "b:LELB", "b:RELB"];
    assert_eq!(guess(&twins).assigned[&Role::LeftShoulder].tracks, [0]);
    // Equal names, but the first one is mostly hidden.
    let mut hidden = recording(&twins);
    hidden.tracks[0].points[0] = GAP;
    assert_eq!(assign(&hidden, &Table::new()).unwrap().assigned[&Role::LeftShoulder].tracks, [4]);
}

#[test]
fn another_subject_can_be_chosen() {
    let one = ["a:LSHO", "a:RSHO", "a:LELB", "a:RELB", "a:C7"];
    let two = ["b:LSHO", "b:RSHO", "b:LELB", "b:RELB", "b:LFIN", "b:RFIN"];
    let names: Vec<&str> = one.iter().chain(&two).copied().chain(["c:LSHO", "ball"]).collect();
    let recording = recording(&names);
    let subject = |name: &str, roles| Subject { name: name.to_owned(), roles };
    assert_eq!(subjects(&recording), [subject("b", 6), subject("a", 5)]);
    let map = assign(&recording, &choose_subject(&recording, "a")).unwrap();
    let chosen: Vec<&str> = map.assigned.values().map(|assignment| names[assignment.tracks[0]]).collect();
    assert_eq!(map.warnings, [], "the choice is made");
    assert_eq!(chosen, ["a:LELB", "a:RELB", "a:LSHO", "a:RSHO", "a:C7", "ball"]);
    assert!(choose_subject(&recording, "b").is_empty(), "it is the guessed one");
    assert!(choose_subject(&recording, "nobody").is_empty());
}

#[test]
fn names_without_a_subject_fill_in_only_where_they_are_no_second_body() {
    assert!(shown(&["a:LSHO", "a:RSHO", "LFIN"]).contains("left-hand=LFIN"));
    assert!(!shown(&["a:LSHO", "a:RSHO", "LFIN", "LSHO"]).contains("left-hand"));
}

#[test]
fn two_tracks_for_one_point_are_told_until_corrected() {
    let names = ["LSHO", "L_SHO", "Ball1", "Ball2", "RKNE1", "RKNE2"];
    assert_eq!(
        warnings(&guess(&names)),
        [
            "Two tracks fit left-shoulder: LSHO is used, L_SHO is not. Choose the other one if that is wrong.",
            "Two tracks fit ball: Ball1 is used, Ball2 is not. Choose the other one if that is wrong.",
        ]
    );
    let map = corrected(&names, Role::LeftShoulder, &["L_SHO"]).unwrap();
    assert_eq!(map.warnings.len(), 1);
}

#[test]
fn empty_tracks_are_skipped_and_told() {
    let mut recording = recording(&["LWRA", "LWRB", "LSHO", "LFIN"]);
    for track in [1, 2] {
        recording.tracks[track].points = vec![GAP; 2];
    }
    let map = assign(&recording, &Table::new()).unwrap();
    assert_eq!(map.assigned[&Role::LeftWrist].tracks, [0], "one of a pair stands for both");
    assert!(!map.assigned.contains_key(&Role::LeftShoulder));
    let told = "track \"LSHO\": The track for left-shoulder holds no data. Choose another one, or leave the role open.";
    assert_eq!(warnings(&map), [told]);
    let chosen = Table::from([(Role::LeftShoulder, vec!["LSHO".to_owned()])]);
    assert_eq!(warnings(&assign(&recording, &chosen).unwrap()), [told], "the user's own choice is kept, and told");
}

#[test]
fn a_mostly_hidden_track_gives_way_to_a_fuller_one() {
    let mut recording = recording(&["LHJC", "LHip"]);
    recording.clock_s = (0..10).map(f64::from).collect();
    recording.tracks[1].points = vec![[1.0; 3]; 10];
    recording.tracks[0].points = [vec![[1.0; 3]; 5], vec![GAP; 5]].concat();
    assert_eq!(assign(&recording, &Table::new()).unwrap().assigned[&Role::LeftHipJoint].tracks, [0]);
    recording.tracks[0].points[4] = GAP;
    assert_eq!(assign(&recording, &Table::new()).unwrap().assigned[&Role::LeftHipJoint].tracks, [1]);
}

#[test]
fn names_that_say_nothing_are_told() {
    let anonymous = guess(&["Marker_1", "*12", "unlabeled 7", "U-3", "17"]);
    assert_eq!(anonymous.warnings, [Message::new("roles.anonymous")]);
    assert!(warnings(&anonymous)[0].starts_with("The tracks have no names that say what they are."));
    let unknown = guess(&["alpha", "beta", "gamma"]);
    assert_eq!(unknown.warnings, [Message::new("roles.none")]);
    assert!(warnings(&unknown)[0].starts_with("No track name is a usual name of a body point."));
    assert_eq!(corrected(&["M1", "M2"], Role::LeftHand, &["M1"]).unwrap().warnings, []);
}

#[test]
fn shaft_warnings_are_sentences() {
    let text = |names: &[&str]| warnings(&guess(names)).join(" ");
    assert_eq!(
        text(&["shaft1", "shaft2"]),
        "The shaft markers are only numbered: shaft1 is taken as the one nearer the grip, shaft2 as the one nearer the \
         club head. Change the two roles if that is wrong."
    );
    assert_eq!(
        text(&["LHand", "shaft2", "shaft1"]),
        "The shaft markers are only numbered: shaft2 is nearer the hands and is taken as the upper one, shaft1 as the \
         lower one."
    );
}

#[test]
fn points_are_means_and_gaps() {
    let mut recording = recording(&["a", "b"]);
    recording.tracks[1].points = vec![[2.0, 4.0, 6.0], GAP];
    let of = |tracks: &[usize]| Assignment { tracks: tracks.to_vec(), source: RoleSource::User };
    assert_eq!(series(&recording, &of(&[0, 1]))[..1], [[1.0, 2.0, 3.5]]);
    assert!(is_gap(&point(&recording, &of(&[0, 1]), 1)));
    assert_eq!(series(&recording, &of(&[0])), [[0.0, 0.0, 1.0]; 2]);
    for (tracks, row) in [(&[][..], 0), (&[7][..], 0), (&[0][..], 2)] {
        assert!(is_gap(&point(&recording, &of(tracks), row)));
    }
}

/// FNV-1a of the bytes "a", 0xFF, worked out by hand: from the published 64-bit value of "a", af63dc4c8601ec8c
/// (Fowler, Noll and Vo's test vectors, from memory), one more step.
#[test]
fn names_key_is_fnv_1a_over_sorted_names() {
    let step = (0xaf63_dc4c_8601_ec8c_u64 ^ 0xff).wrapping_mul(0x0000_0100_0000_01b3);
    assert_eq!(names_key(&recording(&["a"])), format!("{step:016x}"));
    assert_eq!(names_key(&recording(&["b", "a"])), names_key(&recording(&["a", "b"])));
    assert_ne!(names_key(&recording(&["ab"])), names_key(&recording(&["a", "b"])));
    assert_ne!(names_key(&recording(&["a", "a"])), names_key(&recording(&["a"])));
}

/// Words of the table joined at random with prefixes, separators and junk: never a panic, every index valid, every
/// body role of one side only, the same result twice.
#[test]
fn random_names_are_safe() {
    let pieces = [
        "L",
        "R",
        "left",
        "Right",
        "SHO",
        "Shoulder",
        "hand",
        "ball",
        "club",
        "head",
        "end",
        ":",
        "_",
        ".",
        " ",
        "(",
        "1",
        "22",
        "9999999999999999999999",
        "é",
        "İ",
        "ß",
        "手",
        "\u{0}",
        "👩‍🦰",
        "T10",
        "c7",
        "lat",
        "Arm",
        "foot",
        "shaft",
        "target",
        "nub",
    ];
    let mut seed = 12_u64;
    let mut next = |below: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as usize % below
    };
    let mut assigned = 0;
    for _ in 0..400 {
        let names: Vec<String> =
            (0..30).map(|_| (0..next(7)).map(|_| pieces[next(pieces.len())]).collect::<String>()).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let map = guess(&names);
        assert_eq!(map, guess(&names));
        assigned += map.assigned.len();
        for (role, assignment) in &map.assigned {
            assert!(!assignment.tracks.is_empty(), "{role:?}");
            assert!(assignment.tracks.iter().all(|track| *track < names.len()));
        }
    }
    assert!(assigned > 500, "the names are too odd to test anything: {assigned}");
}

/// A hundred thousand tracks, among them the names that cost most.
#[test]
fn a_huge_file_of_hostile_names_is_read() {
    let long = "L_".repeat(500_000);
    let wordy = "left right ".repeat(20);
    let names: Vec<String> = (0..100_000)
        .map(|at| match at % 5 {
            0 => format!("subject {at}:LSHO"),
            1 => format!("lead hand {at}"),
            2 => format!("{wordy}{at}"),
            3 => format!("clubhead{at}"),
            _ => format!("LSHO {at}"),
        })
        .collect();
    let mut names: Vec<&str> = names.iter().map(String::as_str).collect();
    names.push(&long);
    let map = guess(&names);
    assert!(map.warnings.len() < 100);
    let wrong = corrected(&names, Role::Ball, &["subjekt 5 LSHO"]).unwrap_err();
    assert!(wrong.to_string().len() < 400, "{wrong}");
}

#[test]
fn words_of_the_table_are_lower_case_and_found() {
    for row in names::ROWS {
        for word in row.words.split_ascii_whitespace() {
            assert!(word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit()), "{word}");
            let side = row.part.role(None).is_none().then_some("left ");
            let name = format!("{}{word}", side.unwrap_or_default());
            let reading = parse::read(&name);
            assert!(
                reading.is_some_and(|reading| reading.rows.iter().any(|(_, found)| found.part == row.part)),
                "{name}"
            );
        }
    }
}

/// A word that stood in two rows of one part would make the table's order depend on chance.
#[test]
fn words_of_the_table_stand_once_for_each_part_and_condition() {
    let mut seen = std::collections::HashSet::new();
    for row in names::ROWS {
        for word in row.words.split_ascii_whitespace() {
            assert!(seen.insert((format!("{:?} {:?}", row.part, row.when), word)), "{word} of {:?}", row.part);
        }
    }
}
