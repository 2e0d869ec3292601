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
