use super::*;

fn given(json: &str) -> Given {
    serde_json::from_str(json).unwrap()
}

fn practice(plan: &str) -> Practice {
    Practice::of(&given(plan), &Given::Null)
}

/// Balls by a letter each: s straight, p pull, h a pull that bends further, u push, ? not seen; anything else as it is.
fn entry(word: &str) -> Given {
    let ball = |fields: &str| given(&format!(r#"{{"what":"ball",{fields}}}"#));
    match word {
        "s" => ball(r#""start":"straight","curve":"none""#),
        "u" => ball(r#""start":"push","curve":"fade""#),
        "p" => ball(r#""start":"pull","curve":"none""#),
        "h" => ball(r#""start":"pull","curve":"hook""#),
        "?" => ball(r#""curve":"none""#),
        "go0" => given(r#"{"what":"go","rung":0}"#),
        what => given(&format!(r#"{{"what":"{what}"}}"#)),
    }
}

/// Advice and rung after each entry.
fn after(plan: &str, entries: &str) -> Vec<(&'static str, usize)> {
    let mut practice = practice(plan);
    let taps = entries.split_whitespace().map(|word| practice.tap(&entry(word)).standing);
    taps.map(|standing| (standing.advice.kind.name(), standing.rung.unwrap_or(9))).collect()
}

fn last(plan: &str, entries: &str) -> Advice {
    let mut practice = practice(plan);
    entries.split_whitespace().map(|word| practice.tap(&entry(word)).standing.advice).last().unwrap()
}

const THREE: &str = r#"{"rungs":[{"share":0.3,"balls":3},{"share":0.6,"balls":3},{"share":1,"balls":3}]}"#;

/// Each row of the rule table, on rungs of three balls.
#[test]
fn the_rule_table() {
    let rows: [(&str, &str, (&str, usize)); 16] = [
        ("begins on the slowest rung", "begin", ("stay", 0)),
        ("stays until the rung has its balls", "s s", ("stay", 0)),
        ("climbs on balls that start on the line", "s s s", ("climb", 1)),
        ("climbs on balls that start to the push side", "s u u", ("climb", 1)),
        ("asks for as many again on the next rung", "s s s s s", ("stay", 1)),
        ("stays on the last rung when it holds", "s s s s s s s s s", ("stay", 2)),
        ("steps down at the first pull", "s s s s p", ("step down", 0)),
        ("begins the rung anew after a step down", "s s s p s s", ("stay", 0)),
        ("stays on the lowest rung", "p", ("stay", 0)),
        ("a pull that bends further asks for a face cue", "s s s s h", ("face cue", 1)),
        ("and does not let the rung be climbed", "s s s s h s", ("stay", 1)),
        ("until enough good balls follow it", "s s s s h s s s", ("climb", 2)),
        ("a ball that nobody saw is none of the rung's", "s s ?", ("stay", 0)),
        ("nor does it stand between the good ones", "s s ? s", ("climb", 1)),
        ("a chosen rung begins anew", "s s go0 s s", ("stay", 0)),
        ("pain ends the session", "s s pain", ("stop", 0)),
    ];
    for (what, entries, expected) in rows {
        assert_eq!(after(THREE, entries).last(), Some(&expected), "{what}");
    }
}

#[test]
fn two_of_five_steps_down_at_the_second_pull_of_five() {
    let plan = r#"{"step_down":"2 of 5","rungs":[{"share":0.5},{"share":1}]}"#;
    let at = |entries: &str| after(plan, entries).last().copied().unwrap();
    // Five good balls climb; one miss of the last five may be.
    assert_eq!(at("s s s s s"), ("climb", 1));
    assert_eq!(at("s s s s s p"), ("stay", 1));
    assert_eq!(at("s s s s s p s s s s"), ("stay", 1), "it holds on the last rung");
    assert_eq!(last(plan, "s s s s s p s s s s").reason.key, "coach.held");
    assert_eq!(at("s s s s s p s p"), ("step down", 0));
    // The sixth ball back counts no more.
    assert_eq!(at("s s s s s p h h h h p"), ("stay", 1));
    assert_eq!(at("s s s s s p h h h p"), ("step down", 0));
    // Pulls that point to the face are none of them.
    assert_eq!(at("s s s s s h h h"), ("face cue", 1));
}

#[test]
fn the_cap_and_the_rests_hold() {
    let plan = r#"{"cap":4,"rest_after":2,"rest_s":90,"rungs":[{"share":0.5,"balls":2},{"share":1,"balls":9}]}"#;
    let found = after(plan, "s s rest s s rest s");
    let kinds: Vec<&str> = found.iter().map(|(kind, _)| *kind).collect();
    assert_eq!(kinds, ["stay", "rest", "stay", "stay", "stop", "stop", "stop"]);
    // The climb of the second ball is not lost behind the rest.
    let rest = last(plan, "s s");
    assert_eq!((rest.reason.key, rest.also[0].key), ("coach.rest_due", "coach.climb"));
    assert_eq!(rest.reason.to_string(), "Rest for 2 minutes: 2 balls since the last rest.");
    assert_eq!(last(plan, "s s rest s s").reason.key, "coach.stop_cap");
    assert_eq!(last(plan, "s s s").reason.key, "coach.rest_due", "a rest that is not taken stays due");
}

/// A plan for a minor has fewer balls, unless the coach says otherwise.
#[test]
fn minors_have_a_lower_cap() {
    let cap = |plan: &str| practice(plan).plan().cap;
    assert_eq!((cap("{}"), cap(r#"{"minor":true}"#), cap(r#"{"minor":true,"cap":30}"#)), (60, 40, 30));
}

fn ball_with(launch: &str, more: &str) -> Given {
    given(&format!(r#"{{"what":"ball","start":"push","curve":"none"{more},"launch":{launch}}}"#))
}

/// In slow rungs up to 8 degrees in-to-out are welcome; a player who hooks is warned above 3 at any speed.
#[test]
fn a_hooker_is_warned_about_in_to_out() {
    let also = |plan: &str, ball: &Given| {
        let told = practice(plan).tap(ball).standing.advice.also;
        told.iter().map(|message| message.key).collect::<Vec<_>>()
    };
    let hooks = r#"{"hooks":true}"#;
    assert_eq!(also(hooks, &ball_with(r#"{"path_deg":7}"#, "")), ["coach.path_hooks"]);
    assert_eq!(also(hooks, &ball_with(r#"{"path_deg":2}"#, "")), [""; 0]);
    assert_eq!(also("{}", &ball_with(r#"{"path_deg":7}"#, "")), ["coach.path_welcome"]);
    assert_eq!(also("{}", &ball_with(r#"{"path_deg":9}"#, "")), ["coach.path_far_slow"]);
    assert_eq!(also("{}", &ball_with(r#"{"path_deg":7}"#, r#","share":1"#)), ["coach.path_far_full"]);
    assert_eq!(also("{}", &ball_with(r#"{"path_deg":-7}"#, r#","share":1"#)), ["coach.path_far_full"]);
    let push_hook = given(r#"{"what":"ball","start":"push","curve":"hook"}"#);
    assert_eq!(also(hooks, &push_hook), ["coach.push_hook"]);
    assert_eq!(also("{}", &push_hook), [""; 0]);
    assert_eq!(practice(hooks).tap(&entry("begin")).standing.advice.also[0].key, "coach.hooks_in_to_out");
}

/// A launch measurement writes the in-to-out path of a left-hander with a minus.
#[test]
fn a_left_hander_is_mirrored() {
    let keys = |hand: &str, path: f64| {
        let ball = ball_with(&format!(r#"{{"path_deg":{path}}}"#), "");
        let told = practice(&format!(r#"{{"hand":"{hand}"}}"#)).tap(&ball).standing.advice.also;
        told.first().map_or("", |message| message.key)
    };
    assert_eq!([keys("right", 7.0), keys("left", -7.0)], ["coach.path_welcome"; 2]);
    assert_eq!([keys("right", -7.0), keys("left", 7.0)], [""; 2]);
    // A start that was only measured: 5 degrees to the left are a pull of a right-hander and a push of a left-hander.
    let measured = given(r#"{"what":"ball","launch":{"start_deg":-5}}"#);
    let good = |hand: &str| practice(&format!(r#"{{"hand":"{hand}"}}"#)).tap(&measured).standing.tally.good;
    assert_eq!((good("right"), good("left")), (0, 1));
}

#[test]
fn an_undo_brings_everything_back() {
    let mut practice = practice(THREE);
    let standings: Vec<Standing> =
        "begin s s s p h ? rest pain".split_whitespace().map(|word| practice.tap(&entry(word)).standing).collect();
    for before in standings[..standings.len() - 1].iter().rev() {
        assert_eq!(practice.tap(&entry("undo")).standing, *before);
    }
    assert_eq!(practice.progress().sessions[0].tally, Tally::default());
    let nothing = practice.tap(&entry("undo"));
    assert_eq!(nothing.notes[0].key, "coach.nothing_to_undo");
    assert_eq!(nothing.standing, standings[0]);
}

#[test]
fn pain_ends_the_session_and_is_remembered() {
    let mut practice = practice(THREE);
    for word in "begin s s s pain s s s".split_whitespace() {
        practice.tap(&entry(word));
    }
    let after = practice.standing();
    assert_eq!((after.advice.kind, after.rung, after.session), (AdviceKind::Stop, Some(1), 1));
    assert_eq!(after.tally.balls, 6, "balls are counted all the same");
    let next = practice.tap(&entry("begin")).standing;
    assert_eq!((next.session, next.rung, next.advice.also[0].key), (2, Some(0), "coach.pain_before"));
}

/// A ball keeps the rung that it was hit on, whatever the plan says later.
#[test]
fn a_changed_plan_does_not_rewrite_what_happened() {
    let mut practice = practice(THREE);
    let mut log = vec![];
    for word in "s s s s".split_whitespace() {
        let Given::Record(mut fields) = entry(word) else { panic!() };
        let hit_on = practice.tap(&Given::Record(fields.clone())).hit_on.unwrap();
        fields.push(("rung".into(), Given::Number(hit_on.rung.unwrap() as f64)));
        fields.push(("share".into(), Given::Number(hit_on.share)));
        log.push(Given::Record(fields));
    }
    let slower = given(r#"{"rungs":[{"share":0.2,"balls":9},{"share":0.4,"balls":9}]}"#);
    let again = Practice::of(&slower, &Given::List(log));
    let told = again.progress();
    let shares: Vec<(f64, usize)> = told.sessions[0].rungs.iter().map(|rung| (rung.share, rung.tally.balls)).collect();
    assert_eq!(shares, [(0.3, 3), (0.6, 1)]);
    assert_eq!((again.standing().rung, again.standing().on_rung), (Some(1), 1));
}

#[test]
fn progress_is_told_by_session_with_intervals() {
    let mut practice = practice(r#"{"rungs":[{"share":1,"balls":60}]}"#);
    for word in "begin p p p p p p p s s end begin s s s s s s s s s p s ?".split_whitespace() {
        practice.tap(&entry(word));
    }
    let told = practice.progress();
    let [first, second] = &told.sessions[..] else { panic!() };
    assert_eq!((first.ended, second.ended), (Some(Ended::Player), None));
    assert_eq!((first.good.unwrap().hits, first.good.unwrap().of), (2, 9));
    assert_eq!((second.good.unwrap().hits, second.tally.balls), (10, 12));
    let change = told.at_full_speed.unwrap();
    assert!((change.value - (10.0 / 11.0 - 2.0 / 9.0)).abs() < 1e-12 && change.shown, "{change:?}");
}

/// A transfer test has no rungs.
#[test]
fn a_transfer_test_counts_its_balls() {
    let mut practice = practice(r#"{"transfer_balls":3,"rest_after":99}"#);
    let begun = practice.tap(&given(r#"{"what":"begin","as":"transfer"}"#)).standing;
    assert_eq!((begun.rung, begun.share, begun.advice.reason.key), (None, 1.0, "coach.transfer"));
    let found: Vec<&str> =
        "s p s".split_whitespace().map(|word| practice.tap(&entry(word)).standing.advice.kind.name()).collect();
    assert_eq!(found, ["stay", "stay", "stop"]);
    assert_eq!(practice.progress().sessions[0].kind, SessionKind::Transfer);
}

#[test]
fn what_cannot_be_meant_is_told_and_stepped_over() {
    let log = given(
        r#"[{"what":"ball","start":"straight"},7,{"what":"dance"},{"what":"ball","start":"up","curve":3},
            {"what":"go","rung":77},{"what":"ball","start":"straight","launch":{"path_deg":1e9}},null,"x",{}]"#,
    );
    let practice = Practice::of(&given(r#"{"cap":-3,"rungs":"many","hand":"third"}"#), &log);
    let standing = practice.standing();
    assert_eq!((standing.tally.balls, standing.tally.seen, practice.entries()), (3, 2, 9));
    assert_eq!(practice.plan(), &Plan::default());
    let told: Vec<String> = practice.warnings().iter().map(Message::to_string).collect();
    assert!(told.contains(&"cap cannot be used: a number from 1.00 to 300.00 was expected.".to_owned()), "{told:?}");
    assert!(told.len() >= 10, "{told:?}");
    let many = Given::List(vec![Given::Null; 10_000]);
    assert!(Practice::of(&Given::Null, &many).warnings().len() <= MOST_WARNINGS + 1);
}

/// The work of a tap does not grow with what was logged: entries folded are entries tapped, and the answer is as long.
#[test]
fn ball_500_costs_what_ball_50_does() {
    let mut practice = practice(r#"{"cap":300}"#);
    let words = ["s", "s", "h", "u", "p", "?", "s"];
    let mut sizes = vec![];
    for at in 0..1000 {
        let folded = practice.entries();
        let told = practice.tap(&entry(words[at % words.len()]));
        assert_eq!(practice.entries(), folded + 1);
        sizes.push(serde_json::to_string(&told).unwrap().len());
    }
    let most = |range: std::ops::Range<usize>| *sizes[range].iter().max().unwrap();
    assert!(most(990..1000) < 2 * most(40..50), "{} {}", most(990..1000), most(40..50));
    assert!(practice.sessions[0].rungs.len() <= MOST_RUNGS);
}
