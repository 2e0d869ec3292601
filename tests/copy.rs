//! The path to copy: which arms it shows, and that it is drawn as it lies.
#![allow(clippy::unwrap_used)]

mod demo_session;

use handpath::coach::copy::{Copy, CopyView, told};
use handpath::json::parse;
use handpath::picture::{Figure, Mark, Picture};
use handpath::plain::Given;

fn pictured() -> Picture {
    let (mut session, job) = demo_session::given();
    session.compare(&job).picture.unwrap()
}

fn given(copy: &Copy) -> Given {
    parse(&serde_json::to_string(copy).unwrap()).unwrap().given()
}

fn moved(line: &[[f64; 3]]) -> [f64; 3] {
    [0, 1, 2].map(|axis| line.last().unwrap()[axis] - line[0][axis])
}

/// Ends of a line of a view.
fn ends(view: &CopyView, what: &str) -> [[f64; 2]; 2] {
    let points = &view.lines.iter().find(|line| line.what == what).unwrap().points;
    let spot = |text: &str| text.split(',').map(|x| x.parse().unwrap()).collect::<Vec<f64>>().try_into().unwrap();
    [spot(points.split(' ').next().unwrap()), spot(points.split(' ').next_back().unwrap())]
}

/// The demo's student moves the hands out, and reference B's arms take back what the body carries: theirs are the arms to copy, from
/// the student's own top.
#[test]
fn the_references_arms_are_copied_from_the_students_top() {
    let Picture { student, references, .. } = pictured();
    let copy = Copy::of(&student, references.first()).unwrap();
    assert_eq!(copy.of.as_deref(), Some("reference"));
    assert_eq!(copy.arms[0], copy.hands[0]);
    let reference: Vec<[f64; 3]> = references[0].arms_only.as_chunks::<3>().0.to_vec();
    let (theirs, ours) = (moved(&reference), moved(&copy.arms));
    assert!((0..3).all(|axis| (theirs[axis] - ours[axis]).abs() < 0.0011), "{theirs:?} {ours:?}");
    assert!(ours[0] < 0.0 && moved(&copy.hands)[0] > 0.05, "{ours:?} {:?}", moved(&copy.hands));
    // Small enough for a lesson in a link.
    assert!(serde_json::to_string(&copy).unwrap().len() < 3_000);
    assert_eq!(Copy::take(&given(&copy)), Some(copy));
}

/// The arms of the picture are those that the report tells of.
#[test]
fn it_is_the_arms_only_path_of_the_report() {
    let (mut session, job) = demo_session::given();
    let answer = session.compare(&job);
    let told = demo_session::json(&answer);
    let student = told["files"].as_array().unwrap().iter().find(|file| file["id"] == 7).unwrap();
    let told = &student["report"]["shares"]["arms_only"];
    let drawn = moved(answer.picture.unwrap().student.arms_only.as_chunks::<3>().0);
    for (axis, name) in ["out_m", "target_m", "up_m"].into_iter().enumerate() {
        assert!((told[name].as_f64().unwrap() - drawn[axis]).abs() < 1e-6, "{told} {drawn:?}");
    }
}

/// Arms that throw the hands out are no picture to copy.
#[test]
fn own_arms_are_copied_only_where_they_do_not_go_out() {
    let Picture { mut student, .. } = pictured();
    let turned = |sign: f64, figure: &mut Figure| {
        let first = figure.arms_only[0];
        figure.arms_only.chunks_mut(3).for_each(|point| point[0] = first + sign * (point[0] - first).abs());
    };
    turned(1.0, &mut student);
    assert_eq!(Copy::of(&student, None), None);
    turned(-1.0, &mut student);
    assert_eq!(Copy::of(&student, None).unwrap().of, None);
    student.marks.retain(|mark| mark.name != "lead arm level");
    assert_eq!(Copy::of(&student, None), None);
}

/// Out is to the right for a right-hander and to the left for a left-hander, up is up, and both views have one scale for a line
/// that runs out: as the cameras of the page have it.
#[test]
fn it_is_drawn_as_it_lies() {
    let mut copy = Copy {
        arms: vec![[0.0, 0.0, 1.5], [-0.2, 0.1, 1.2]],
        hands: vec![[0.0, 0.0, 1.5], [0.1, 0.2, 1.1]],
        ..Copy::default()
    };
    for (left, sign) in [(false, 1.0), (true, -1.0)] {
        copy.left_handed = left;
        let drawn = told(&given(&copy));
        let [behind, above] = &drawn.views[..] else { unreachable!("{drawn:?}") };
        let [from, to] = ends(behind, "arms");
        assert!(sign * (to[0] - from[0]) < 0.0 && to[1] > from[1], "{from:?} {to:?}");
        let slope = (to[1] - from[1]) / (to[0] - from[0]).abs();
        assert!((slope - 1.5).abs() < 0.02, "30 cm down on 20 cm back are drawn with {slope}");
        let [from, to] = ends(above, "hands");
        assert!(sign * (to[0] - from[0]) > 0.0 && to[1] < from[1], "{from:?} {to:?}");
        let [from, to] = ends(behind, "scale");
        let [a, b] = ends(behind, "hands");
        assert!(((to[0] - from[0]) - (b[0] - a[0]).abs()).abs() < 0.21, "10 cm are drawn in two lengths");
        let said: Vec<String> = drawn.told.iter().map(ToString::to_string).collect();
        assert!(
            said[0].contains("30 cm down and 20 cm back") && said[1].contains("40 cm down and 10 cm out"),
            "{said:?}"
        );
    }
}

/// Of the body what is near the path: a line is cut 10 cm below it.
#[test]
fn the_body_ends_a_little_below_the_path() {
    let arms = vec![[0.0, 0.0, 1.5], [0.0, 0.1, 1.1]];
    let body = vec![[0.0, 0.0, 1.4], [0.8, 0.0, 0.6], [0.0, 0.0, 0.9], [0.0, 0.0, 0.1]];
    let drawn = told(&given(&Copy { arms, body, ..Copy::default() }));
    let behind = &drawn.views[0];
    assert_eq!(behind.lines.iter().filter(|line| line.what == "body").count(), 1);
    let [from, to] = ends(behind, "body");
    let [top, level] = ends(behind, "arms");
    let per_metre = (level[1] - top[1]) / 0.4;
    assert!(((to[1] - top[1]) / per_metre - 0.5).abs() < 0.005 && (to[0] - from[0] - 0.4 * per_metre).abs() < 0.3);
}

#[test]
fn what_cannot_be_drawn_is_left_out() {
    for text in
        ["null", "7", "{}", r#"{"arms":[[0,0,1]]}"#, r#"{"arms":"x"}"#, r#"{"arms":[[0,0,1],[1e300,0,1],[0,0,null]]}"#]
    {
        assert!(told(&parse(text).unwrap().given()).views.is_empty(), "{text}");
    }
    let odd = Figure { marks: vec![Mark::new("top", f64::NAN), Mark::new("lead arm level", 0.0)], ..Figure::default() };
    assert_eq!(Copy::of(&odd, Some(&odd)), None);
}
