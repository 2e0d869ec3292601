//! Roles of real files, checked by geometry: what is called a shoulder stands over what is called a hip, and bones have
//! the length of bones. Files: see the README of the shared data folder (ezc3d's test set, CMU Graphics Lab Motion Capture
//! Database). Bone lengths are wide anatomical bounds (common knowledge, no source).

#![allow(clippy::print_stdout, clippy::expect_used, reason = "tests say what they skip, and stop at what is wrong")]

use handpath::formats::{Axis, Point, ReadOptions, Recording, is_gap, read};
use handpath::model::{ModelParams, Motion, Naming, SampleOptions, sample};
use handpath::roles::{Role, RoleMap, RoleSource, assign, names_key, point};
use handpath::settings::Hand;
use handpath::table::Table;
use std::collections::BTreeSet;
use std::path::PathBuf;

struct File {
    recording: Recording,
    map: RoleMap,
    /// Height axis of the file.
    up: Point,
    metres: f64,
}

impl File {
    fn open(name: &str, up: Axis, metres: f64) -> Option<File> {
        let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared/data").join(name);
        let Ok(bytes) = std::fs::read(path) else {
            println!("skipped: no shared data");
            return None;
        };
        let recording = read(&bytes, &ReadOptions::default()).expect("a readable file");
        let map = assign(&recording, &Table::new()).expect("no corrections, no error");
        Some(File { recording, map, up: up.unit(), metres })
    }

    /// `role track+track` per line.
    fn shown(&self) -> Vec<String> {
        let names =
            |tracks: &[usize]| tracks.iter().map(|t| self.recording.tracks[*t].name.as_str()).collect::<Vec<_>>();
        let lines = self.map.assigned.iter().map(|(role, a)| format!("{} {}", role.name(), names(&a.tracks).join("+")));
        lines.collect()
    }

    /// From one role to another, metres, in each row that has both.
    fn between(&self, from: Role, to: Role) -> Vec<Point> {
        let at = |role, row| point(&self.recording, &self.map.assigned[&role], row);
        let rows = (0..self.recording.rows()).map(|row| (at(from, row), at(to, row)));
        let both = rows.filter(|(a, b)| !is_gap(a) && !is_gap(b));
        both.map(|(a, b)| [0, 1, 2].map(|axis| (b[axis] - a[axis]) * self.metres)).collect()
    }

    /// Each role stands over the next one, in the median over the rows.
    #[track_caller]
    fn descends(&self, roles: &[Role]) {
        for pair in roles.windows(2) {
            let rises = self.between(pair[1], pair[0]);
            let heights = rises.iter().map(|d| d[0] * self.up[0] + d[1] * self.up[1] + d[2] * self.up[2]);
            let height = median(heights.collect());
            assert!(height > 0.01, "{pair:?}: {height} m");
        }
    }

    /// The median distance of two roles lies within bounds, metres.
    #[track_caller]
    fn apart(&self, a: Role, b: Role, least: f64, most: f64) {
        let lengths = self.between(a, b).into_iter().map(|d| d[0].hypot(d[1]).hypot(d[2]));
        let length = median(lengths.collect());
        assert!((least..=most).contains(&length), "{a:?} to {b:?}: {length} m");
    }
}

fn median(mut values: Vec<f64>) -> f64 {
    assert!(!values.is_empty(), "no row holds both points");
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

use Role::*;

#[test]
fn recorded_swing_skeleton() {
    for name in ["golf/63_01_swing.bvh", "golf/63_01_address.bvh"] {
        let Some(file) = File::open(name, Axis::PlusY, 0.0254 / 0.45) else { return };
        assert_eq!(file.map.warnings, []);
        for line in
            ["left-shoulder LeftArm", "left-elbow LeftForeArm", "left-hand LeftHand", "left-hip-joint LeftUpLeg"]
        {
            assert!(file.shown().iter().any(|found| found == line), "{line}: {:?}", file.shown());
        }
        file.descends(&[Head, LeftShoulder, MidHip, LeftHipJoint, LeftKnee, LeftAnkle, LeftToe]);
        file.descends(&[Head, RightShoulder, MidHip, RightHipJoint, RightKnee, RightAnkle, RightToe]);
        for (shoulder, elbow, hand) in [(LeftShoulder, LeftElbow, LeftHand), (RightShoulder, RightElbow, RightHand)] {
            file.apart(shoulder, elbow, 0.22, 0.42);
            file.apart(elbow, hand, 0.17, 0.35);
        }
        file.apart(LeftShoulder, RightShoulder, 0.25, 0.50);
        file.apart(LeftHand, RightHand, 0.0, 0.20);
    }
}

/// The page remembers corrections under this key: both files of the session share it.
#[test]
fn files_of_one_session_share_their_key() {
    let open = |name| File::open(name, Axis::PlusY, 1.0);
    let (Some(swing), Some(address)) = (open("golf/63_01_swing.bvh"), open("golf/63_01_address.bvh")) else { return };
    assert_eq!(names_key(&swing.recording), names_key(&address.recording));
}

#[test]
fn a_correction_moves_the_point() {
    let Some(file) = File::open("golf/63_01_swing.bvh", Axis::PlusY, 1.0) else { return };
    let corrections = Table::from([(LeftShoulder, vec!["leftshoulder".to_owned()]), (Head, Vec::new())]);
    let map = assign(&file.recording, &corrections).expect("both corrections fit");
    assert_eq!(map.assigned[&LeftShoulder].source, RoleSource::User);
    assert!(!map.assigned.contains_key(&Head));
    let (guessed, stated) = (&file.map.assigned[&LeftShoulder], &map.assigned[&LeftShoulder]);
    assert_ne!(point(&file.recording, guessed, 0), point(&file.recording, stated, 0));
}

/// Skin markers with blanks in their names, half of the samples missing.
#[test]
fn c3d_gait_markers_in_words() {
    for (name, metres) in [("c3d/BTS.c3d", 0.001), ("c3d/FP_Type1.c3d", 1.0)] {
        let Some(file) = File::open(name, Axis::PlusY, metres) else { return };
        assert_eq!(file.map.warnings, []);
        file.descends(&[C7, LeftShoulder, LeftHipBone, LeftKnee, LeftHeel]);
        file.descends(&[C7, RightShoulder, RightHipBone, RightKnee, RightHeel]);
        file.descends(&[LeftShoulder, Sacrum, LeftKnee, LeftToe]);
        file.apart(LeftHipBone, RightHipBone, 0.18, 0.36);
        // In the first file the shoulder markers sit beside the neck, 11 cm apart.
        file.apart(LeftShoulder, RightShoulder, 0.10, 0.50);
        file.apart(LeftHeel, LeftToe, 0.10, 0.28);
        file.apart(LeftHipBone, LeftKnee, 0.35, 0.60);
    }
}

#[test]
fn c3d_lower_body_with_pairs() {
    let Some(file) = File::open("c3d/FP_Type3.c3d", Axis::PlusZ, 0.001) else { return };
    let line = "left-knee LKL+LKM";
    assert!(file.shown().iter().any(|found| found == line), "{:?}", file.shown());
    file.descends(&[LeftHipBone, LeftKnee, LeftAnkle, LeftToe]);
    file.descends(&[RightHipBack, RightKnee, RightAnkle, RightToe]);
    file.apart(LeftHipBack, RightHipBack, 0.05, 0.16);
    file.apart(LeftKnee, LeftAnkle, 0.35, 0.55);
    file.apart(LeftAnkle, LeftToe, 0.08, 0.25);
}

#[test]
fn c3d_full_body_marker_names() {
    let Some(file) = File::open("c3d/read_NOTworking2.c3d", Axis::PlusZ, 0.001) else { return };
    assert_eq!(file.map.warnings, []);
    file.descends(&[Head, C7, LeftShoulder, T8, LeftHipBone]);
    file.descends(&[Head, RightShoulder, Notch, Xiphoid, RightHipBone]);
    file.apart(LeftShoulder, LeftElbow, 0.20, 0.42);
    // The file's RELB sits on the right hand: names are taken as they are, bones are judged with the body.
    file.apart(RightShoulder, RightElbow, 0.20, 0.70);
    file.apart(LeftElbow, LeftWrist, 0.18, 0.35);
    file.apart(Notch, C7, 0.08, 0.25);
}

#[test]
fn c3d_anonymous_markers() {
    let Some(file) = File::open("c3d/Optotrak.c3d", Axis::PlusZ, 0.001) else { return };
    assert!(file.map.assigned.is_empty());
    let keys: Vec<&str> = file.map.warnings.iter().map(|warning| warning.key).collect();
    assert_eq!(keys, ["roles.anonymous"]);
}

/// The forward model under each of its namings: no track is left over, and the body stands upright.
#[test]
fn model_swings_under_each_naming() {
    for (hand, naming) in [
        (Hand::Right, Naming::Labels),
        (Hand::Left, Naming::Labels),
        (Hand::Right, Naming::Words),
        (Hand::Left, Naming::Joints),
    ] {
        let params = ModelParams { hand, ball: true, ..ModelParams::default() };
        let options = SampleOptions { naming, rate_hz: 60.0, ..SampleOptions::default() };
        let recording = sample(&Motion::new(&params), &params, &options).expect("the model reaches");
        let map = assign(&recording, &Table::new()).expect("no corrections, no error");
        assert_eq!(map.warnings, []);
        let used: BTreeSet<usize> = map.assigned.values().flat_map(|assignment| assignment.tracks.clone()).collect();
        let left_over = (0..recording.tracks.len()).filter(|track| !used.contains(track));
        let left_over: Vec<&str> = left_over.map(|track| recording.tracks[track].name.as_str()).collect();
        assert!(left_over.is_empty(), "{naming:?}: {left_over:?}");
        let file = File { recording, map, up: Axis::PlusZ.unit(), metres: 1.0 };
        file.descends(&[Head, LeftShoulder, LeftHipJoint, LeftKnee, LeftAnkle, Ball]);
        file.descends(&[Head, RightShoulder, RightHipJoint, RightKnee, RightAnkle]);
        file.apart(LeftHand, RightHand, 0.0, 0.20);
        file.apart(ShaftUpper, LeftHand, 0.1, 0.6);
        file.apart(ShaftLower, ClubHead, 0.1, 0.6);
    }
}
