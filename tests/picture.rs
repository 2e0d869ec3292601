//! Pictures to the letter: the display list and the SVG of an invented pair of swings, one file per view.
//!
//! `BLESS=1 cargo test --test picture` renews the files in tests/picture; look at the SVG before committing.
#![allow(clippy::unwrap_used)]

use handpath::picture::camera::{Orbit, Rect, View};
use handpath::picture::scene::{Ink, Shape};
use handpath::picture::{
    Band, Figure, Layout, LengthDisplay, Mark, Picture, Pin, Span, ViewState, Words, build, ribbon, svg,
};
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

/// Measures of the drawn curve, with intervals that are as wide as drawn, no more.
fn measures(top: f64, drift: f64) -> Vec<(String, [f64; 3])> {
    let (from, level, hip) = (hands(top, top, drift), hands(top + 0.12, top, drift), hands(top + 0.18, top, drift));
    let moved = [0, 1, 2].map(|i| level[i] - from[i]);
    let share = [("carried", [1.4, 0.8, 0.5]), ("made", [-0.4, 0.2, 0.5])];
    let mut all = vec![
        ("out drift, greatest".to_owned(), moved[0].max(0.0), 0.02),
        ("out drift, least".to_owned(), moved[0].min(0.0), 0.01),
        ("side of the direct line, at hip height".to_owned(), -0.06, 0.03),
    ];
    for (i, axis) in ["out", "target", "up"].into_iter().enumerate() {
        all.extend(share.iter().map(|(name, part)| (format!("{name}, {axis}"), part[i] * moved[i], 0.01)));
        let places = [("top", from), ("lead arm level", level), ("hip height", hip)];
        all.extend(
            places.iter().map(|(at, place)| (format!("hands at {at}, {axis}"), place[i], [0.05, 0.02, 0.004][i])),
        );
    }
    all.into_iter().map(|(name, value, half)| (name, [value, value - half, value + half])).collect()
}

fn figure(label: &str, top: f64, drift: f64) -> Figure {
    let time_s: Vec<f64> = (0..160).map(|i| f64::from(i) * FRAME_S).collect();
    let hands_flat = time_s.iter().flat_map(|t| hands(*t, top, drift)).collect();
    let still = |p: [f64; 3]| time_s.iter().flat_map(|_| p).collect::<Vec<f64>>();
    let instants = [
        ("takeaway", 0.05),
        ("top", top),
        ("lead arm level", top + 0.12),
        ("hip height", top + 0.18),
        ("impact", top + 0.28),
    ];
    Figure {
        label: label.to_owned(),
        hands: hands_flat,
        joints: vec![still([0.0, 0.0, 1.45]), still([-0.05, 0.0, 0.95]), still([0.0, 0.15, 0.08])],
        limbs: vec![[0, 1], [1, 2]],
        club: vec![[0, 2]],
        arms_only: (0..4).flat_map(|i| [0.0 - 0.02 * f64::from(i), -0.4, 1.6 - 0.05 * f64::from(i)]).collect(),
        measures: measures(top, drift),
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
    Picture { student, references: vec![reference], ..Picture::default() }
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

/// Two pins and a measured span, and the words that they bring.
#[test]
fn notes_stand_on_the_path() {
    let pin = |time_s, text: &str| Pin { time_s, text: text.into() };
    let noted = ViewState {
        pins: vec![pin(0.88, "the hands go out here"), pin(0.4, "")],
        spans: vec![Span { from_s: 0.8, to_s: 0.92, text: "first move".into() }],
        ..state(0.86)
    };
    let scene = pane(View::DownTheLine, &noted, 640.0, 480.0);
    check("notes.svg", &svg::write(&scene, "notes", &svg::LIGHT));
    let (a, b) = (hands(0.8, 0.80, 0.10), hands(0.92, 0.80, 0.10));
    let length = (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt();
    let texts = texts(&scene);
    for text in ["1 the hands go out here", "first move", &format!("{:.0} cm", 100.0 * length)] {
        assert!(texts.iter().any(|shown| shown == text), "{text}: {texts:?}");
    }
    let plain = pane(View::DownTheLine, &state(0.86), 640.0, 480.0);
    assert!(scene.items.len() > plain.items.len() + 6);
}

/// All texts of a scene.
fn texts(scene: &handpath::picture::Scene) -> Vec<String> {
    let text = |shape: &Shape| match shape {
        Shape::Text { text, .. } => Some(text.clone()),
        _ => None,
    };
    scene.items.iter().filter_map(|item| text(&item.shape)).collect()
}

#[test]
fn the_gap_is_as_long_as_the_drift_and_body_and_arms_make_it() {
    let scene = pane(View::DownTheLine, &state(0.2), 640.0, 480.0);
    let picture = picture();
    let drift = picture.student.measured("out drift, greatest").unwrap()[0];
    let px_per_m = 48.77 / 0.2; // The scale bar: 20 cm.
    let tips: Vec<[f64; 2]> = scene
        .items
        .iter()
        .filter_map(|item| match &item.shape {
            Shape::Polygon(corners) if corners.len() == 3 && item.fill == Some(Ink::Text) => Some(corners[0]),
            _ => None,
        })
        .collect();
    let [gap, body, arms] = tips[..] else { panic!("{tips:?}") };
    let out = |name: &str| picture.student.measured(name).unwrap()[0];
    let top_x = gap[0] - drift * px_per_m;
    assert!((body[0] - top_x - out("carried, out") * px_per_m).abs() < 0.3, "{tips:?}");
    assert!((arms[0] - top_x - (out("carried, out") + out("made, out")) * px_per_m).abs() < 0.3, "{tips:?}");
    let told = texts(&scene);
    let size = format!("out drift {:.0} cm", 100.0 * drift);
    assert!(told.contains(&size), "{size} is not in {told:?}");
    assert!(told.iter().any(|text| text.ends_with("the direct line")), "{told:?}");
}

#[test]
fn measures_and_references_can_be_hidden() {
    let plain = pane(View::DownTheLine, &ViewState { numbers: false, ..state(0.2) }, 640.0, 480.0);
    assert!(!texts(&plain).iter().any(|text| text.contains("cm") && text != "20 cm"), "{:?}", texts(&plain));
    let alone = pane(View::DownTheLine, &ViewState { references: false, ..state(0.2) }, 640.0, 480.0);
    let is_reference = |ink: Ink| matches!(ink, Ink::Reference | Ink::Other);
    let drawn = alone.items.iter().any(|item| item.stroke.is_some_and(|pen| is_reference(pen.ink)));
    assert!(!drawn && texts(&alone).iter().all(|text| !text.contains("reference") && !text.contains("farther")));
}

#[test]
fn a_player_who_moves_in_and_one_whose_share_is_not_known() {
    let mut picture = picture();
    let set = |picture: &mut Picture, name: &str, size: [f64; 3]| {
        picture.student.measures.iter_mut().filter(|(own, _)| own == name).for_each(|(_, measure)| *measure = size);
    };
    set(&mut picture, "out drift, greatest", [0.0, 0.0, 0.01]);
    set(&mut picture, "out drift, least", [-0.04, -0.05, -0.03]);
    picture.student.measures.retain(|(name, _)| !name.starts_with("made"));
    let frame = Rect::sized(640.0, 480.0);
    let scene = build::pane(&picture, &state(0.2), &words(), View::DownTheLine, build::Detail::Full, frame);
    let told = texts(&scene);
    assert!(told.contains(&"drift in 4 cm".to_owned()) && told.contains(&"3 to 5".to_owned()), "{told:?}");
    assert!(!told.iter().any(|text| text.starts_with("body") || text.starts_with("arms")), "{told:?}");
}

#[test]
fn arms_only_and_shaft_are_drawn_on_demand() {
    let shown = ViewState { arms: true, shaft: true, ..state(0.2) };
    check("on-demand.svg", &svg::write(&pane(View::DownTheLine, &shown, 640.0, 480.0), "on demand", &svg::LIGHT));
    assert!(texts(&pane(View::DownTheLine, &shown, 640.0, 480.0)).iter().any(|text| text.starts_with("arms only")));
}

#[test]
fn a_band_takes_the_place_of_the_other_references_and_is_as_wide_as_it_says() {
    let mut picture = picture();
    picture.references.push(figure("reference B", 0.75, 0.0));
    // Straight down, 6 cm to either side.
    let mean = (0..5).flat_map(|i| [0.1, -0.3, 1.6 - 0.1 * f64::from(i)]).collect();
    picture.band = Band { swings: 8, mean, half: [0.06, 0.02, 0.01].repeat(5), ..Band::default() };
    let draw = |band| {
        let state = ViewState { band, ..state(0.2) };
        build::pane(&picture, &state, &words(), View::DownTheLine, build::Detail::Full, Rect::sized(640.0, 480.0))
    };
    let area = |scene: &handpath::picture::Scene| {
        scene.items.iter().find_map(|item| match &item.shape {
            Shape::Polygon(spots) if item.fill == Some(Ink::Other) => Some(spots.clone()),
            _ => None,
        })
    };
    let (with, without) = (draw(true), draw(false));
    let spots = area(&with).unwrap();
    let (low, high) = spots.iter().fold((f64::MAX, f64::MIN), |(l, h), [x, _]| (l.min(*x), h.max(*x)));
    assert!(((high - low) / (48.77 / 0.2) - 0.12).abs() < 1e-3, "{low} {high}");
    assert!(texts(&with).iter().any(|text| text.contains("8 references")) && area(&without).is_none());
    assert!(texts(&without).contains(&"other references".to_owned()));
}

/// Where two of them run, four sides with the legend's: under both paths, thin, of the student's colour; none where they are hidden, or
/// the student is drawn elsewhere.
#[test]
fn other_swings_of_the_lesson_are_quiet_lines() {
    let mut picture = picture();
    let other = |drift: f64| (0..15).flat_map(|i| hands(0.8 + 0.02 * f64::from(i), 0.8, drift)).collect::<Vec<f64>>();
    picture.others = vec![other(0.05), other(0.15)];
    let draw = |others, layout| {
        let state = ViewState { others, layout, ..state(0.2) };
        build::pane(&picture, &state, &words(), View::DownTheLine, build::Detail::Full, Rect::sized(640.0, 480.0))
    };
    let quiet = |scene: &handpath::picture::Scene| {
        let thin = |pen: handpath::picture::scene::Stroke| pen.ink == Ink::Student && (pen.width - 1.25).abs() < 1e-9;
        let found = scene.items.iter().enumerate().filter(|(_, item)| item.stroke.is_some_and(thin));
        found.map(|(at, item)| (at, item.shape.clone())).collect::<Vec<_>>()
    };
    let scene = draw(true, Layout::Overlaid);
    let lines = quiet(&scene);
    assert_eq!(lines.len(), 3);
    let heavy = scene.items.iter().position(|item| item.stroke.is_some_and(|pen| (pen.width - 4.0).abs() < 1e-9));
    assert!(lines[..2].iter().all(|(at, _)| Some(*at) < heavy), "{lines:?} {heavy:?}");
    let ends = |shape: &Shape| match shape {
        Shape::Polyline(spots) => [spots[7], spots[14]],
        other => unreachable!("{other:?}"),
    };
    let apart = (ends(&lines[1].1)[0][0] - ends(&lines[0].1)[0][0]) / (48.77 / 0.2);
    let expected = hands(0.94, 0.8, 0.15)[0] - hands(0.94, 0.8, 0.05)[0];
    assert!((apart - expected).abs() < 0.01, "{apart} instead of {expected}");
    assert!(texts(&scene).contains(&"the lesson's other swings: 2".to_owned()), "{:?}", texts(&scene));
    let hidden = draw(false, Layout::Overlaid);
    assert!(quiet(&hidden).is_empty() && !texts(&hidden).iter().any(|text| text.contains("other swings")));
    assert_eq!(quiet(&draw(true, Layout::SideBySide)).len(), 3);
    check("lesson.svg", &svg::write(&scene, "lesson", &svg::LIGHT));
}

#[test]
fn a_lit_stretch_lies_under_the_path_and_an_instant_has_a_ring() {
    let draw = |lit| pane(View::DownTheLine, &ViewState { lit, ..state(0.86) }, 640.0, 480.0);
    let (plain, stretch, instant) = (draw(None), draw(Some((0.8, 0.92))), draw(Some((0.92, 0.92))));
    assert_eq!(stretch.items.len(), plain.items.len() + 3);
    assert_eq!(instant.items.len(), plain.items.len() + 2);
    let wide = |scene: &handpath::picture::Scene| {
        scene.items.iter().position(|item| item.stroke.is_some_and(|pen| (pen.width - 16.0).abs() < 1e-9))
    };
    let path = stretch.items.iter().position(|item| item.stroke.is_some_and(|pen| (pen.width - 4.0).abs() < 1e-9));
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
