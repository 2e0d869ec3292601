//! Pictures to the letter: the display list and the SVG of an invented pair of swings, one file per view.
//!
//! `BLESS=1 cargo test --test picture` renews the files in tests/picture; look at the SVG before committing.
#![allow(clippy::unwrap_used)]

use handpath::picture::camera::{Orbit, Rect, View};
use handpath::picture::{Figure, Layout, LengthDisplay, Mark, Picture, ViewState, Words, build, ribbon, svg};
use std::f64::consts::PI;
use std::path::PathBuf;

const FRAME_S: f64 = 1.0 / 120.0;

/// A drawn curve, not a measured swing: back and up along an arc, down along another that lies `drift` farther out.
fn hands(t: f64, top: f64, drift: f64) -> [f64; 3] {
    let phase = if t < top { t / top } else { 1.0 - (t - top) / 0.28 };
    let down = if t < top { 0.0 } else { drift * (PI * phase.clamp(0.0, 1.0)).sin() };
    let angle = phase.max(-0.9) * 2.4;
    [0.46 - 0.5 * (1.0 - angle.cos()) * 0.5 + down, 0.05 - 0.62 * angle.sin(), 0.78 + 0.5 * (1.0 - angle.cos())]
}

fn figure(label: &str, top: f64, drift: f64) -> Figure {
    let time_s: Vec<f64> = (0..160).map(|i| f64::from(i) * FRAME_S).collect();
    let hands_flat = time_s.iter().flat_map(|t| hands(*t, top, drift)).collect();
    let still = |p: [f64; 3]| time_s.iter().flat_map(|_| p).collect::<Vec<f64>>();
    let instants = [("takeaway", 0.05), ("top", top), ("lead arm level", top + 0.12), ("impact", top + 0.28)];
    Figure {
        label: label.to_owned(),
        hands: hands_flat,
        joints: vec![still([0.0, 0.0, 1.45]), still([-0.05, 0.0, 0.95]), still([0.0, 0.15, 0.08])],
        limbs: vec![[0, 1], [1, 2]],
        marks: instants.iter().map(|(name, t)| Mark::new(name, *t)).collect(),
        ball: Some([0.95, 0.08, 0.021]),
        time_s,
        ..Figure::default()
    }
}

fn picture() -> Picture {
    let student = figure("student, lesson 1", 0.80, 0.10);
    let mut reference = figure("reference A", 0.75, -0.02);
    reference.matched_s = student.time_s.iter().map(|t| if *t < 0.8 { t * 0.75 / 0.8 } else { t - 0.05 }).collect();
    for mark in &mut reference.marks {
        let own = student.marks.iter().find(|other| other.name == mark.name).unwrap();
        let (a, b) = (hands(own.time_s, 0.80, 0.10), hands(mark.time_s, 0.75, -0.02));
        mark.deviation = Some([0, 1, 2].map(|i| a[i] - b[i]));
    }
    Picture { student, references: vec![reference] }
}

fn words() -> Words {
    let text = std::fs::read_to_string(root().join("www/text/en.json")).unwrap();
    serde_json::from_str::<std::collections::BTreeMap<String, String>>(&text).unwrap().into_iter().collect()
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn check(name: &str, found: &str) {
    let path = root().join("tests/picture").join(name);
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&path, found).unwrap();
    }
    let expected = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(found == expected, "{name} changed; look at it, then BLESS=1 cargo test --test picture");
}

fn state(time: f64) -> ViewState {
    ViewState { time, orbit: Orbit { yaw: 35.0, pitch: 20.0 }, ..ViewState::default() }
}

fn pane(view: View, state: &ViewState, width: f64, height: f64) -> handpath::picture::Scene {
    build::pane(&picture(), state, &words(), view, build::Detail::Full, Rect::sized(width, height))
}

#[test]
fn every_view_is_drawn_to_the_letter() {
    let views = [
        ("down-the-line", View::DownTheLine),
        ("face-on", View::FaceOn),
        ("overhead", View::Overhead),
        ("free", View::Free),
    ];
    for (name, view) in views {
        let scene = pane(view, &state(0.86), 640.0, 480.0);
        check(&format!("{name}.txt"), &scene.to_string());
        check(&format!("{name}.svg"), &svg::write(&scene, name, &svg::LIGHT));
    }
}

#[test]
fn side_by_side_inches_and_a_narrow_pane() {
    let beside = ViewState { layout: Layout::SideBySide, unit: LengthDisplay::Inch, ..state(0.92) };
    check(
        "side-by-side.svg",
        &svg::write(&pane(View::DownTheLine, &beside, 640.0, 400.0), "side by side", &svg::LIGHT),
    );
    check("narrow.svg", &svg::write(&pane(View::DownTheLine, &state(0.92), 358.0, 358.0), "narrow", &svg::LIGHT));
}

#[test]
fn a_lit_stretch_lies_under_the_path_and_an_instant_has_a_ring() {
    let draw = |lit| pane(View::DownTheLine, &ViewState { lit, ..state(0.86) }, 640.0, 480.0);
    let (plain, stretch, instant) = (draw(None), draw(Some((0.8, 0.92))), draw(Some((0.92, 0.92))));
    assert_eq!(stretch.items.len(), plain.items.len() + 3);
    assert_eq!(instant.items.len(), plain.items.len() + 2);
    let wide = |scene: &handpath::picture::Scene| {
        scene.items.iter().position(|item| item.stroke.is_some_and(|pen| pen.width > 15.0))
    };
    let path = stretch.items.iter().position(|item| item.stroke.is_some_and(|pen| pen.width == 4.0));
    assert!(wide(&stretch) < path && wide(&stretch).is_some() && wide(&instant).is_none());
}

#[test]
fn the_scrubber_is_the_path_rolled_out() {
    let (picture, state) = (picture(), state(0.92));
    let ribbon = ribbon::Ribbon::new(&picture, &state);
    let scene = ribbon::build(&picture, &ribbon, &state, &words(), Rect::sized(640.0, 96.0));
    check("scrubber.svg", &svg::write(&scene, "scrubber", &svg::LIGHT));
    let downswing = ribbon.place(1.08) - ribbon.place(0.80);
    let share_of_time = 0.28 / (ribbon.student.time(9.0) - ribbon.student.time(0.0));
    assert!(downswing > 1.3 * share_of_time, "{downswing} {share_of_time}");
}

#[test]
fn a_left_hander_is_mirrored_only_beside_a_right_hander() {
    let mut both = picture();
    both.student.left_handed = true;
    let draw = |picture: &Picture| {
        let frame = Rect::sized(640.0, 480.0);
        build::pane(picture, &state(0.86), &words(), View::DownTheLine, build::Detail::Full, frame).to_string()
    };
    let mirrored = draw(&both);
    assert!(mirrored.contains("student, lesson 1 (mirrored)"), "{mirrored}");
    both.references[0].left_handed = true;
    let as_filmed = draw(&both);
    assert!(!as_filmed.contains("mirrored"));
    assert_ne!(mirrored, as_filmed);
}

#[test]
fn an_empty_picture_and_gaps_draw_without_harm() {
    let mut picture = picture();
    picture.student.hands.iter_mut().skip(200).step_by(3).for_each(|x| *x = f64::NAN);
    picture.references[0].matched_s.iter_mut().for_each(|x| *x = f64::NAN);
    for picture in [picture, Picture::default()] {
        for view in [View::DownTheLine, View::FaceOn, View::Overhead, View::Free] {
            let frame = Rect::sized(300.0, 200.0);
            let scene = build::pane(&picture, &state(0.9), &words(), view, build::Detail::Full, frame);
            assert!(!scene.to_string().contains("NaN"));
        }
    }
}
