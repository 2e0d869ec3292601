use super::judge::{SD_90, normal};
use super::*;
use crate::measure::Drawer;
use crate::words::english;

/// A measure with an interval of so many SD.
fn measure(name: &'static str, value: f64, sd: f64) -> Measure {
    let (low_90, high_90) = (Some(value - SD_90 * sd), Some(value + SD_90 * sd));
    Measure {
        name,
        key: "",
        value: Some(value),
        unit: "m",
        low_90,
        high_90,
        rests_on: vec![],
        drawer: Drawer::First,
        absent: None,
    }
}

fn absent(name: &'static str) -> Measure {
    let gap = Some(Message::new("measure.gap"));
    Measure { value: None, low_90: None, high_90: None, absent: gap, ..measure(name, 0.0, 0.0) }
}

fn told(measures: &[Measure], name: &str) -> Finding {
    let all = without_flips(measures, &[], &Thresholds::default());
    all.into_iter().find(|finding| finding.name == name).unwrap()
}

/// Arms and body outward, metres, each of 1 SD.
fn carrier(arms: f64, body: f64, sd: f64) -> Finding {
    let share = measure("taken back", -arms / body, sd / body);
    told(&[measure("made, out", arms, sd), measure("carried, out", body, sd), share], "carrier")
}

#[test]
fn the_carrier_is_read_from_arms_and_body() {
    for (arms, body, verdict) in [
        (0.08, 0.00, "arm-driven"),
        (0.08, 0.10, "both"),
        (-0.016, 0.127, "body-carried"),
        (0.005, 0.127, "body-carried"),
        (-0.12, 0.13, "neither"),
        (-0.08, 0.01, "neither"),
    ] {
        assert_eq!(carrier(arms, body, 0.001).verdict, verdict, "{arms} {body}");
    }
}

/// Values of the normal distribution function from its tables (0.8413447, 0.9772499; 0.95 at the 95th percentile).
#[test]
fn certainty_is_the_normal_distribution_over_the_threshold() {
    for (z, p) in [(0.0, 0.5), (1.0, 0.841_344_746), (-1.0, 0.158_655_254), (SD_90, 0.95), (2.0, 0.977_249_868)] {
        assert!((normal(z) - p).abs() < 1e-7, "{z}: {}", normal(z));
    }
    let drop = |value: f64, sd: f64| told(&[measure("made, up", value, sd)], "arm drop");
    let one_sd = drop(-0.12, 0.02);
    assert!(one_sd.verdict == "enough" && (one_sd.certainty.unwrap() - 0.841_344_746).abs() < 1e-7);
    let under = drop(-0.08, 0.02);
    assert!(under.verdict == "too little" && (under.certainty.unwrap() - 0.841_344_746).abs() < 1e-7);
    assert!(drop(-0.12, 0.01).certainty > one_sd.certainty);
    assert_eq!(drop(-0.12, 0.0).certainty, Some(1.0));
    let open = Measure { low_90: None, high_90: None, ..measure("made, up", -0.3, 0.0) };
    assert!((told(&[open], "arm drop").certainty.unwrap() - 0.5).abs() < 1e-7);
}

#[test]
fn checks_of_a_row_are_multiplied_and_verdicts_share_one_certainty() {
    // Arms at their threshold, body 1 SD over its own: as likely "both" as "body-carried", but for what is taken back.
    let both = carrier(0.01, 0.05 + 0.02, 0.02);
    assert!((both.certainty.unwrap() - 0.5 * 0.841_344_746).abs() < 1e-6, "{both:?}");
}

#[test]
fn what_an_absent_measure_leaves_open_cannot_be_told() {
    let open =
        told(&[absent("made, out"), measure("carried, out", 0.1, 0.01), measure("taken back", 0.1, 0.1)], "carrier");
    assert_eq!((open.verdict, open.certainty), (CANNOT_TELL, None));
    assert_eq!(open.why.unwrap().to_string(), "A point is missing just where it is needed.");
    // The share taken back has no meaning where the body carries nothing, and no part in the verdict.
    let list = [measure("made, out", -0.1, 0.01), measure("carried, out", 0.0, 0.001), absent("taken back")];
    assert_eq!(told(&list, "carrier").verdict, "neither");
    // One sign is enough for a lunge.
    let list = [absent("carried by shift, out"), measure("carried by tilt, out", 0.1, 0.001)];
    assert_eq!(told(&list, "lunge").verdict, "fits");
    assert_eq!(told(&[], "carrier").verdict, CANNOT_TELL);
}

#[test]
fn references_are_compared_at_the_students_size() {
    let reference = |value: f64| vec![Measure { unit: "m", ..measure("hands at top, out", value, 0.01) }];
    let list = [reference(-0.06), reference(-0.04)];
    let beside: Vec<Beside> = list.iter().map(|measures| Beside { measures, factor: 2.0 }).collect();
    let student = [
        measure("hands over the lead shoulder, at top", 0.3, 0.001),
        measure("hands at top, out", -0.03, 0.001),
        measure("hands at top, target", -0.3, 0.001),
    ];
    let all = without_flips(&student, &beside, &Thresholds::default());
    let room = all.iter().find(|finding| finding.name == "no room").unwrap();
    let out = &room.evidence[1];
    assert!((out.references.unwrap() + 0.10).abs() < 1e-12);
    // 7 cm farther out than theirs; by itself 3 cm behind the ankles would leave room.
    assert_eq!((room.verdict, out.holds, out.threshold), ("fits", Some(true), "top-out-more"));
    assert_eq!(told(&student, "no room").verdict, "does not fit");
    // One kind of evidence that the references lack stands on a threshold of its own.
    assert_eq!(room.evidence[0].threshold, "top-height");
}

#[test]
fn thresholds_are_stated_by_name() {
    let stated: Thresholds = serde_json::from_str(r#"{"arm-drop": -0.2}"#).unwrap();
    let stated = stated.checked().unwrap();
    let all = without_flips(&[measure("made, up", -0.15, 0.001)], &[], &stated);
    assert_eq!(all[1].verdict, "too little");
    assert_eq!(serde_json::to_string(&stated).unwrap(), r#"{"arm-drop":-0.2}"#);
    let mut wrong = Thresholds::default();
    let unknown = wrong.set("arm-drp", 0.1).unwrap_err().to_string();
    assert_eq!(unknown, "There is no threshold \"arm-drp\". The README lists their names; correct or remove it.");
    let nan = wrong.set("arm-drop", f64::NAN).unwrap_err().to_string();
    assert_eq!(nan, "The threshold \"arm-drop\" is not a number. State a number, or remove it.");
    assert_eq!(wrong, Thresholds::default());
}

#[test]
fn the_table_is_whole() {
    let named = |name: &str| THRESHOLDS.iter().filter(|threshold| threshold.name == name).count() == 1;
    let measures: Vec<_> = crate::measure::names().collect();
    for rule in RULES {
        assert!(english(rule.key).ends_with(['.', '?']), "{}", rule.key);
        for check in rule.checks {
            assert!(named(check.threshold) && check.with_references.is_none_or(named), "{check:?}");
            assert!(measures.contains(&check.measure), "{check:?}");
        }
        assert!(rule.rows.iter().all(|(_, cells)| cells.len() == rule.checks.len()));
    }
    let used = |name: &str| {
        RULES.iter().flat_map(|rule| rule.checks).any(|c| c.threshold == name || c.with_references == Some(name))
    };
    for threshold in THRESHOLDS {
        assert!(named(threshold.name) && used(threshold.name), "{}", threshold.name);
        assert!(english(threshold.key).ends_with('.'), "{}", threshold.key);
    }
}

/// Every combination of answers fits one row at most.
#[test]
fn rows_exclude_each_other() {
    for rule in RULES {
        for bits in 0..1_u32 << rule.checks.len() {
            let fits = |cells: &[Cell]| {
                cells.iter().enumerate().all(|(k, cell)| match cell {
                    Cell::Any => true,
                    Cell::Yes => bits >> k & 1 == 1,
                    Cell::No => bits >> k & 1 == 0,
                })
            };
            assert!(rule.rows.iter().filter(|(_, cells)| fits(cells)).count() <= 1, "{}", rule.name);
        }
    }
}

/// A model swing whose target line is that of the ankles, or stated.
fn swing(stated: bool) -> Swing {
    use crate::model::{ModelParams, Motion, SampleOptions, sample};
    use crate::settings::{Corrections, TargetLine};
    let params = ModelParams::default();
    let recording = sample(&Motion::new(&params), &params, &SampleOptions::default()).unwrap();
    let target = stated.then_some(TargetLine::Direction([0.0, 1.0, 0.0]));
    crate::swing::analyse(&recording, None, &Corrections { target, ..Corrections::default() }).unwrap()
}

/// Measures of hands that move `out` and 30 cm down, with these shares outward.
fn hands(out: f64, arms: f64, body: f64) -> Vec<Measure> {
    let list = [
        ("out drift, at lead arm level", out),
        ("hands at top, up", 1.5),
        ("hands at lead arm level, up", 1.2),
        ("made, out", arms),
        ("carried, out", body),
        ("taken back", -arms / body),
        ("made, up", -0.2),
        ("trunk opening, at lead arm level", 33.0),
        ("trunk lean, top to lead arm level", 36.0),
        ("carried by shift, out", 0.01),
        ("carried by tilt, out", -0.03),
        ("hands over the lead shoulder, at top", 0.38),
        ("hands at top, out", -0.07),
        ("hands at top, target", -0.26),
    ];
    list.map(|(name, value)| measure(name, value, 0.001)).into()
}

fn read(measures: &[Measure], references: &[Beside], stated: bool) -> Vec<String> {
    let (swing, findings) = (swing(stated), without_flips(measures, references, &Thresholds::default()));
    let told = Told { swing: &swing, measures, findings: &findings, references };
    let spell = |metres: f64| format!("{:.0} cm", 100.0 * metres);
    reading(&told, &spell).iter().map(ToString::to_string).collect()
}

#[test]
fn the_hands_and_their_carrier_are_told_in_whole_centimetres() {
    let start = "From the top until the lead arm is level the hands move ";
    for (out, arms, body, first, second) in [
        (
            0.11,
            -0.02,
            0.13,
            "11 cm out towards the ball line and 30 cm down.",
            "That fits with hands carried by the body: it takes them 13 cm out, and the arms themselves take 2 cm of it back (certainty 99 %).",
        ),
        (
            0.13,
            0.002,
            0.128,
            "13 cm out towards the ball line and 30 cm down.",
            "That fits with hands carried by the body: it takes them 13 cm out, and the arms themselves take nothing of it back (certainty 99 %).",
        ),
        (
            0.20,
            0.05,
            0.15,
            "20 cm out towards the ball line and 30 cm down.",
            "That fits with both: the body carries the hands 15 cm out, and the arms themselves move them 5 cm farther (certainty 99 %).",
        ),
        (
            0.10,
            0.09,
            0.01,
            "10 cm out towards the ball line and 30 cm down.",
            "That fits with arms that move the hands out by themselves, by 9 cm; the body carries them 1 cm (certainty 99 %).",
        ),
        (
            0.08,
            0.09,
            -0.01,
            "8 cm out towards the ball line and 30 cm down.",
            "That fits with arms that move the hands out by themselves, by 9 cm, while the body does not carry them out (certainty 99 %).",
        ),
        (
            -0.02,
            -0.15,
            0.13,
            "2 cm away from the ball line and 30 cm down.",
            "That fits with neither arms nor body bringing the hands out: the body carries them 13 cm out, and the arms themselves take 15 cm back (certainty 99 %).",
        ),
        (
            0.0,
            0.0,
            0.004,
            "30 cm down and neither out nor in.",
            "That fits with neither arms nor body bringing the hands out (certainty 99 %).",
        ),
    ] {
        assert_eq!(read(&hands(out, arms, body), &[], true), [format!("{start}{first}"), second.to_owned()]);
    }
}

#[test]
fn beside_references_the_difference_is_told() {
    for (theirs, text) in [
        (0.02, "30 cm down and 9 cm farther out than in the references."),
        (0.15, "30 cm down and 4 cm less far out than in the references."),
        (0.108, "30 cm down and as far out as in the references."),
    ] {
        let references = hands(theirs, -0.1, 0.1 + theirs);
        let told = read(&hands(0.11, -0.02, 0.13), &[Beside { measures: &references, factor: 1.0 }], true);
        assert_eq!(told[0], format!("From the top until the lead arm is level the hands move {text}"));
    }
}

/// The third sentence: one cause, with the measure it rests on.
#[test]
fn the_most_certain_cause_is_told() {
    let alone: [(&str, f64, &str); 9] = [
        ("made, up", -0.04, "The arms themselves lower the hands by little, 4 cm."),
        (
            "trunk opening, at lead arm level",
            55.0,
            "It also fits with an early turn: when the lead arm is level the trunk has opened by 55 degrees; references would tell whether that is much.",
        ),
        (
            "trunk lean, top to lead arm level",
            20.0,
            "It also fits with a flat turn: the trunk turns about an axis only 20 degrees from upright; references would tell whether that is little.",
        ),
        (
            "carried by shift, out",
            0.08,
            "It also fits with a lunge: the hips shift towards the ball, which carries the hands 8 cm out.",
        ),
        (
            "carried by tilt, out",
            0.07,
            "It also fits with a lunge: the trunk tips towards the ball, which carries the hands 7 cm out.",
        ),
        (
            "hands over the lead shoulder, at top",
            0.6,
            "It also fits with hands that have no room at the top: they are 60 cm over the lead shoulder; references would tell whether that is much.",
        ),
        (
            "hands at top, out",
            0.15,
            "It also fits with hands that have no room at the top: they are 15 cm in front of the ankles; references would tell whether that is much.",
        ),
        (
            "hands at top, target",
            -0.05,
            "It also fits with hands that have no room at the top: along the target line they are only 5 cm from the middle between the ankles; references would tell whether that is little.",
        ),
        (
            "out drift, at lead arm level",
            -0.09,
            "It also fits with hands that go too far inside: when the lead arm is level they are 9 cm farther from the ball line than at the top.",
        ),
    ];
    for (name, value, text) in alone {
        let mut list = hands(0.11, -0.02, 0.13);
        list.iter_mut().filter(|m| m.name == name).for_each(|m| *m = measure(name, value, 0.001));
        assert_eq!(read(&list, &[], true)[2..], [text]);
    }
}

#[test]
fn causes_beside_references_are_told_by_their_difference() {
    let references = hands(0.02, -0.1, 0.12);
    let beside = [Beside { measures: &references, factor: 1.0 }];
    for (name, value, text) in [
        (
            "trunk opening, at lead arm level",
            43.0,
            "It also fits with an early turn: when the lead arm is level the trunk has opened 10 degrees more than in the references.",
        ),
        (
            "trunk lean, top to lead arm level",
            26.0,
            "It also fits with a flat turn: the trunk leans 10 degrees less than in the references.",
        ),
        (
            "hands over the lead shoulder, at top",
            0.5,
            "It also fits with hands that have no room at the top: over the lead shoulder they are 12 cm higher than in the references.",
        ),
        (
            "hands at top, out",
            0.03,
            "It also fits with hands that have no room at the top: they are 10 cm farther forward than in the references.",
        ),
        (
            "hands at top, target",
            -0.16,
            "It also fits with hands that have no room at the top: they are 10 cm nearer the target than in the references.",
        ),
    ] {
        let mut list = hands(0.11, -0.02, 0.13);
        list.iter_mut().filter(|m| m.name == name).for_each(|m| *m = measure(name, value, 0.001));
        assert_eq!(read(&list, &beside, true)[2..], [text]);
    }
}

#[test]
fn an_assumed_target_line_is_told() {
    let keeps = "The target line is assumed; up to 10 degrees off, the same carrier would be told.";
    assert_eq!(read(&hands(0.11, -0.02, 0.13), &[], false)[2..], [keeps]);
    let swing = swing(false);
    let measures = hands(0.11, -0.02, 0.13);
    let mut findings = without_flips(&measures, &[], &Thresholds::default());
    (findings[0].flips_deg, findings[0].flips_to) = (Some(-4.0), Some("neither"));
    let told = Told { swing: &swing, measures: &measures, findings: &findings, references: &[] };
    let text = reading(&told, &|_| String::new())[2].to_string();
    assert_eq!(text, "If the target line were 4 degrees off, this would read differently; check it first.");
    let none = read(&[absent("made, out")], &[], true);
    assert_eq!(none[0], "It cannot be told whether arms or body move the hands.");
    assert_eq!(none[1], "A point is missing just where it is needed.");
}

#[test]
fn another_club_or_kind_of_swing_is_no_reference() {
    use crate::settings::{Club, SwingKind};
    let (student, measures) = (swing(true), hands(0.0, 0.0, 0.1));
    let beside = |reference: &Swing| Beside::of(&student, reference, &measures, 1.0).is_some();
    assert!(beside(&student));
    assert!(!beside(&Swing { club: Club::Driver, ..student.clone() }));
    assert!(!beside(&Swing { kind: SwingKind::Drill, ..student.clone() }));
}

/// The list for people has every threshold once, beside the measure that the rules hold against it.
#[test]
fn the_list_of_limits_holds_every_threshold() {
    let listed = limits();
    let names: Vec<&str> = listed.iter().map(|limit| limit.threshold.name).collect();
    let expected: Vec<&str> = THRESHOLDS.iter().map(|threshold| threshold.name).collect();
    assert_eq!(names, expected);
    let lean = listed.iter().find(|limit| limit.threshold.name == "trunk-lean-less").unwrap();
    assert_eq!((lean.finding, lean.measure), ("early or flat turn", "trunk lean, top to lead arm level"));
    assert!(lean.beside && lean.side == Side::AtMost);
    let json = serde_json::to_value(listed[0]).unwrap();
    assert_eq!(
        (&json["name"], &json["label"], &json["default"]),
        (&"arms-out".into(), &"working assumption".into(), &0.01.into())
    );
}
