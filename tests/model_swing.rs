//! Swings of the forward model, seen through captures of every kind, against the model's own path and times.
//!
//! The model gives the path and the definitions of the instants in closed form; the analysis only sees sampled tracks.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

use handpath::formats::{Axis, LengthUnit};
use handpath::model::{ModelParams, Motion, Naming, SampleOptions, sample};
use handpath::settings::{Club, Corrections, Hand, SwingKind};
use handpath::swing::{InstantName, STILL_M_S, Swing, analyse};

struct Case {
    name: String,
    params: ModelParams,
    options: SampleOptions,
    corrections: Corrections,
}

impl Case {
    fn new(name: impl Into<String>, params: ModelParams, options: SampleOptions) -> Case {
        Case { name: name.into(), params, options, corrections: Corrections::default() }
    }

    fn motion(&self) -> Motion {
        Motion::new(&self.params)
    }

    /// Model time of the first sample.
    fn start_s(&self) -> f64 {
        self.options.window_s.unwrap_or(self.motion().window(&self.params))[0]
    }

    fn swing(&self) -> Swing {
        let recording = sample(&self.motion(), &self.params, &self.options).expect("in reach");
        analyse(&recording, None, &self.corrections).unwrap_or_else(|error| panic!("{}: {error}", self.name))
    }

    /// Model time of an instant that the analysis found.
    fn found_s(&self, swing: &Swing, name: InstantName) -> f64 {
        let instant =
            swing.instant(name).unwrap_or_else(|| panic!("{}: no {}: {:?}", self.name, name.name(), swing.absent));
        instant.time_s + self.start_s()
    }
}

fn params() -> ModelParams {
    ModelParams::default()
}

fn options() -> SampleOptions {
    SampleOptions::default()
}

/// Tracks of the club, which a capture often lacks.
fn club_tracks() -> Vec<String> {
    ["SHAFT1", "SHAFT2", "CLUBHEAD"].map(str::to_owned).to_vec()
}

fn captures() -> Vec<Case> {
    let mut cases = vec![Case::new("labels", params(), options())];
    for rate_hz in [60.0, 100.0, 120.0, 500.0] {
        cases.push(Case::new(format!("{rate_hz} Hz"), params(), SampleOptions { rate_hz, ..options() }));
    }
    for naming in [Naming::Joints, Naming::Words] {
        cases.push(Case::new(format!("{naming:?}"), params(), SampleOptions { naming, ..options() }));
    }
    for hand in [Hand::Left, Hand::Right] {
        for mirrored in [false, true] {
            let player = ModelParams { hand, ..params() };
            cases.push(Case::new(format!("{hand:?} {mirrored}"), player, SampleOptions { mirrored, ..options() }));
        }
    }
    for up in Axis::ALL {
        let turned = SampleOptions { up, heading_rad: 2.2, shift_m: [0.4, -1.3, 0.2], ..options() };
        cases.push(Case::new(format!("up {}", up.name()), params(), turned));
    }
    for unit in LengthUnit::ALL {
        let small = ModelParams { stature_m: 1.5, ..params() };
        cases.push(Case::new(unit.symbol(), small, SampleOptions { unit, ..options() }));
    }
    cases.push(Case::new("no club", params(), SampleOptions { hidden: club_tracks(), ..options() }));
    cases
}

/// Largest distance between the analysed and the model's path in a stretch of model time, metres, without what is left
/// between the two origins at rest (a sway of the still player, under half a millimetre).
fn worst(case: &Case, swing: &Swing, from_s: f64, to_s: f64) -> f64 {
    let motion = case.motion();
    let start = case.start_s();
    let error = |t: f64, p: &[f64; 3]| {
        let h = motion.hands(t + start);
        [p[0] - h.x, p[1] - h.y, p[2] - h.z]
    };
    let still = error(0.3, &swing.hands[(0.3 * swing.rate_hz) as usize]);
    assert!(still[0].hypot(still[1]) < 5e-4 && still[2].abs() < 5e-4, "{}: {still:?}", case.name);
    let samples = swing.time_s.iter().zip(&swing.hands).filter(|(t, _)| (from_s..to_s).contains(&(**t + start)));
    samples
        .map(|(t, p)| {
            let e = error(*t, p);
            (e[0].powi(2) + e[1].powi(2) + (e[2] - still[2]).powi(2)).sqrt()
        })
        .fold(0.0, f64::max)
}

#[test]
fn the_path_is_the_models_in_every_capture() {
    for case in captures() {
        let swing = case.swing();
        let impact = case.motion().times[0].impact_s;
        let takeaway = case.found_s(&swing, InstantName::Takeaway);
        let before = worst(&case, &swing, takeaway, impact - 0.03);
        let through = worst(&case, &swing, impact - 0.03, impact + 0.001);
        assert!(before < 0.002, "{}: {before} m before impact", case.name);
        assert!(through < 0.005, "{}: {through} m at impact", case.name);
    }
}

#[test]
fn the_instants_are_the_models_in_every_capture() {
    for case in captures() {
        let swing = case.swing();
        let (motion, times) = (case.motion(), case.motion().times[0]);
        let frame = 1.0 / case.options.rate_hz;
        let check = |name: InstantName, truth: f64| {
            let (found, sd) = (case.found_s(&swing, name), swing.instant(name).unwrap().sd_s);
            assert!(
                (found - truth).abs() < frame.min(0.005) + sd,
                "{}: {} {found}, model {truth}, SD {sd}",
                case.name,
                name.name()
            );
        };
        let fine = |from: f64, to: f64| (0..).map(move |k| from + k as f64 * 1e-4).take_while(move |t| *t < to);
        let speed = |t: f64| motion.hand_speed(t);
        let top = fine(times.top_s - 0.15, times.impact_s).min_by(|a, b| speed(*a).total_cmp(&speed(*b))).unwrap();
        let level =
            |height: &dyn Fn(f64) -> f64| fine(top, times.impact_s).find(|t| motion.hands(*t).z < height(*t)).unwrap();
        check(InstantName::Top, top);
        check(InstantName::Takeaway, fine(times.takeaway_s, top).find(|t| speed(*t) > STILL_M_S).unwrap());
        check(InstantName::LeadArmLevel, level(&|t| motion.pose(t).unwrap().arms[0].shoulder.z));
        check(InstantName::Impact, times.impact_s);
        assert!(swing.instant(InstantName::Impact).unwrap().sd_s < 0.012);
        assert!(
            swing.warnings.iter().all(|w| ["swing.mirrored", "swing.left_hander"].contains(&w.key)),
            "{:?}",
            swing.warnings
        );
        assert_eq!((swing.kind, swing.club), (SwingKind::Full, swing.club), "{}", case.name);
    }
}

/// Errors over many noisy captures against the stated SD: neither far too small nor useless.
#[test]
fn the_stated_sd_of_the_instants_covers_noise() {
    let truth = Case::new("truth", params(), SampleOptions { rate_hz: 1000.0, ..options() }).swing();
    for (rate_hz, noise_m) in [(60.0, 0.002), (120.0, 0.002), (120.0, 0.005), (240.0, 0.005)] {
        let seeds = 0..25;
        let mut squares = [0.0; 8];
        let mut stated = [0.0; 8];
        for noise_seed in seeds.clone() {
            let noisy =
                Case::new("noisy", params(), SampleOptions { rate_hz, noise_m, noise_seed, ..options() }).swing();
            for (i, name) in InstantName::ALL.into_iter().enumerate() {
                let found = noisy.instant(name).unwrap();
                squares[i] += (found.time_s - truth.instant(name).unwrap().time_s).powi(2) / 25.0;
                stated[i] += found.sd_s / 25.0;
            }
        }
        for (i, name) in InstantName::ALL.into_iter().enumerate() {
            let rms = squares[i].sqrt();
            assert!(
                rms < 1.3 * stated[i],
                "{rate_hz} Hz, {noise_m} m: {} RMS {rms}, stated {}",
                name.name(),
                stated[i]
            );
        }
        let top = 2;
        assert!(stated[top] < 6.0 * squares[top].sqrt(), "top: stated {}, RMS {}", stated[top], squares[top].sqrt());
    }
}

#[test]
fn a_waggle_and_a_press_are_not_the_takeaway() {
    let case = Case::new("waggle", ModelParams { waggles: 2, ..params() }, options());
    let swing = case.swing();
    let takeaway = case.motion().times[0].takeaway_s;
    let found = case.found_s(&swing, InstantName::Takeaway);
    assert!((takeaway..takeaway + 0.08).contains(&found), "{found}, model {takeaway}");
    assert!(case.found_s(&swing, InstantName::Address) < takeaway);
}

#[test]
fn a_rest_at_the_top_gives_its_centre_and_a_pump_the_last_top() {
    let pause = Case::new("pause", ModelParams { pause_s: 0.4, ..params() }, options());
    let swing = pause.swing();
    let times = pause.motion().times[0];
    let middle = 0.5 * (times.top_s + times.down_s);
    assert!((pause.found_s(&swing, InstantName::Top) - middle).abs() < 0.06);
    assert!(swing.instant(InstantName::Top).unwrap().sd_s > 0.05);
    assert_eq!(swing.kind, SwingKind::Pause);

    let pump = Case::new("pump", ModelParams { pumps: 2, ..params() }, options());
    let swing = pump.swing();
    assert!((pump.found_s(&swing, InstantName::Top) - pump.motion().times[0].down_s).abs() < 0.06);
    let told = swing.warnings.iter().find(|w| w.key == "swing.several_tops").expect("earlier tops are told");
    assert_eq!(told.to_string().matches(" s").count() - 1, 2, "{told}");
}

/// Arms that hold the hands back slow them a second time on their way, and may lift them above the top first.
#[test]
fn hands_that_slow_down_on_their_way_have_not_come_to_a_top_again() {
    let late = ModelParams { throw_m: -0.24, trunk_wait_s: 0.045, ..params() };
    let lifted = ModelParams { drop_m: -0.27, throw_m: 0.1, ..params() };
    for (name, params) in [("late", late), ("lifted", lifted)] {
        let case = Case::new(name, params, options());
        let swing = case.swing();
        let truth = case.motion().truth(0).unwrap();
        let off = case.found_s(&swing, InstantName::Top) - truth.instant(InstantName::Top).unwrap();
        assert!(off.abs() < 0.02, "{name}: {off} s");
        assert_eq!(swing.kind, SwingKind::Full, "{name}");
        // There is another valley of hand speed, well after the top.
        let (top_s, impact_s) = (truth.instants[&InstantName::Top], truth.instants[&InstantName::Impact]);
        let speed = |k: usize| case.motion().hand_speed(top_s + 0.05 + k as f64 * 0.002);
        let steps = ((impact_s - top_s - 0.1) / 0.002) as usize;
        assert!((1..steps).any(|k| speed(k) < speed(k - 1) && speed(k) < speed(k + 1)), "{name}");
    }
}

#[test]
fn a_start_at_the_top_has_no_address_and_a_stop_before_impact_no_impact() {
    let late = Case::new("late", ModelParams { start_before_top_s: Some(0.1), ..params() }, options());
    let swing = late.swing();
    assert!(swing.instant(InstantName::Address).is_none() && swing.instant(InstantName::Takeaway).is_none());
    assert!(swing.hands_at_address.is_none());
    assert!((late.found_s(&swing, InstantName::Impact) - late.motion().times[0].impact_s).abs() < 0.005);

    let early = Case::new("early", ModelParams { stop_before_impact_s: Some(0.03), ..params() }, options());
    let swing = early.swing();
    assert!(swing.instant(InstantName::Impact).is_none());
    assert!(swing.instant(InstantName::LeadArmLevel).is_some());
    let why = &swing.absent.iter().find(|(name, _)| *name == InstantName::Impact).unwrap().1;
    assert_eq!(why.to_string(), "The recording stops before impact.");
}

#[test]
fn a_drill_is_a_drill() {
    let case = Case::new("drill", ModelParams { effort: 0.3, ..params() }, options());
    assert_eq!(case.swing().kind, SwingKind::Drill);
}

#[test]
fn the_club_is_told_by_its_length() {
    for club in [Club::Driver, Club::FairwayWood, Club::Iron, Club::Wedge] {
        let case = Case::new("club", ModelParams { club, ..params() }, options());
        assert_eq!(case.swing().club, club);
    }
}

#[test]
fn of_several_swings_the_one_asked_for_is_shown() {
    let mut case = Case::new("three", ModelParams { swings: 3, variation: 1.0, ..params() }, options());
    let times = case.motion().times;
    for (number, at) in times.iter().enumerate() {
        case.corrections.swing = Some(number + 1);
        let swing = case.swing();
        assert!((case.found_s(&swing, InstantName::Impact) - at.impact_s).abs() < 0.005, "swing {}", number + 1);
        assert!((case.found_s(&swing, InstantName::Takeaway) - at.takeaway_s).abs() < 0.1);
        assert!(swing.warnings.iter().any(|w| w.key == "swing.several"));
    }
    case.corrections.swing = Some(4);
    let recording = sample(&case.motion(), &case.params, &case.options).unwrap();
    let error = analyse(&recording, None, &case.corrections).unwrap_err();
    assert_eq!(error.to_string(), "Swing 4 was asked for, but the recording holds 3.");
}
