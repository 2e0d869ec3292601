//! Damaged logs, plans, presets and lesson fields: nothing stops, and what can be read is read.

#![allow(clippy::unwrap_used)]

mod coach_parts;
#[path = "damage/mod.rs"]
mod damage;

use coach_parts::read_all;
use damage::Random;
use handpath::coach::presets;
use handpath::json::{Json, parse, spelled};
use handpath::lesson;

/// Damaged copies per document.
const COPIES: u64 = 1_500;

/// Balls of the log.
const BALLS: usize = 120;

fn entry(at: usize) -> String {
    let what = ["straight", "push", "pull", "straight", "push", "straight", "straight"][at % 7];
    match at % 31 {
        0 => r#"{"what":"begin","at":"2026-01-31T10:00:00Z","as":"practice"}"#.into(),
        13 => r#"{"what":"rest"}"#.into(),
        17 => r#"{"what":"undo"}"#.into(),
        29 => r#"{"what":"pain"}"#.into(),
        _ => format!(
            r#"{{"what":"ball","start":"{what}","curve":"draw","strike":"toe","launch":{{"start_deg":{at},"path_deg":-3.5}},"rung":1,"share":0.6}}"#
        ),
    }
}

/// A lesson with every field of the coaching loop.
fn lesson_text() -> String {
    let log: Vec<String> = (0..BALLS).map(entry).collect();
    let text = format!(
        r#"{{"format":"handpath lesson","version":1,"student":{{"code":"student 7"}},"swings":[],
        "intake":{{"pain":{{"now":false}},"miss":"pull","curve":"hook","club":"iron","consent":{{"recording":true,"by":"player"}}}},
        "setup":{{"direction":[1,0,0],"source":"target markers","sd_deg":1,"stance_deg":2.5,"ball_ahead":0.2}},
        "captures":[{{"swing":1,"club":"iron","kind":"full","effort":1,"keep":true,"ball":{{"start":"pull","curve":"none"}}}}],
        "plan":{{"rungs":[{{"share":0.3,"balls":5}},{{"share":0.6,"balls":5}},{{"share":1,"balls":5}}],"step_down":"2 of 5","cap":60,
        "picture":{{"arms":[[-0.1,0,1.5],[-0.2,0.1,1.3]],"hands":[[-0.1,0,1.5],[0,0.1,1.2]],"body":[[0,0,1.4],[0,0.1,1]]}}}},
        "log":[{}],"changes":[{{"coach":"coach 1","date":"2026-01-31","what":"plan.cap","from":60,"to":50}}],
        "preset":{{"name":"house","sha256":"00"}}}}"#,
        log.join(",")
    );
    parse(&text).unwrap().document()
}

#[test]
fn damaged_lessons_keep_what_can_be_read() {
    let whole = lesson_text();
    let balls = read_all(&parse(&whole).unwrap()).progress().sessions.iter().map(|s| s.tally.balls).sum::<usize>();
    assert!(balls > 80, "{balls}");
    let (mut random, mut opened, mut kept) = (Random::new(7), 0, 0);
    for _ in 0..COPIES {
        let damaged = random.mutate(whole.as_bytes());
        let Ok(lesson) = lesson::open(&damaged) else { continue };
        opened += 1;
        let practice = read_all(&lesson.document);
        let read = practice.progress().sessions.iter().map(|session| session.tally.balls).sum::<usize>();
        kept += usize::from(read + 20 >= balls);
        // The second save is the first.
        let first = lesson.save();
        assert_eq!(lesson::open(first.as_bytes()).unwrap().save(), first);
    }
    // A piece of 64 bytes costs an entry or two; only a file that is cut short loses more.
    assert!(opened * 10 > COPIES as usize * 9, "{opened}");
    assert!(kept * 10 > opened * 7, "{kept} of {opened}");
}

/// A line of the log that is lost costs that line.
#[test]
fn a_lost_line_costs_one_entry() {
    let whole = lesson_text();
    let lines: Vec<&str> = whole.lines().collect();
    let first = lines.iter().position(|line| line.contains("\"what\"")).unwrap();
    let count = |text: &str| {
        let lesson = lesson::open(text.as_bytes()).unwrap();
        let log = lesson.document.get("log").map_or(0, |log| log.items().len());
        (log, lesson.warnings.len())
    };
    assert_eq!(count(&whole), (BALLS, 0));
    for at in first..first + BALLS - 1 {
        let mut damaged: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
        damaged[at] = "\u{0}{\"what\":\"ba".into();
        let (log, warnings) = count(&damaged.join("\n"));
        assert!(log == BALLS - 1 && warnings >= 1, "line {at}: {log} {warnings}");
    }
}

#[test]
fn damaged_presets_are_explained() {
    let whole = parse(
        r#"{"format":"handpath preset","version":1,"name":"house","edition":3,
        "setups":[{"name":"bay 1","corrections":{"unit":"mm","up":"+z"}},{"name":"bay 2","corrections":{"unit":"cm"}}],
        "references":[{"label":"reference A","sha256":"00"}],"thresholds":{"x":0.03},"changes":[]}"#,
    );
    let whole = whole.unwrap().document();
    let mut random = Random::new(11);
    let mut opened = 0;
    for _ in 0..COPIES {
        let damaged = random.mutate(whole.as_bytes());
        let told = presets::told(&damaged, spelled);
        assert_eq!(told.error.is_some(), told.document.is_empty());
        let Ok(preset) = presets::open(&damaged) else { continue };
        opened += 1;
        let first = preset.save();
        assert_eq!(presets::open(first.as_bytes()).map(|again| again.save()), Ok(first));
    }
    assert!(opened * 10 > COPIES as usize * 6, "{opened}");
}

/// Deep, wide and empty documents.
#[test]
fn odd_shapes_are_no_trouble() {
    let deep = format!("{}1{}", "[".repeat(60), "]".repeat(60));
    for text in ["null", "[]", "{}", "7", "\"x\"", &deep, r#"[[],{},null,1e999,-0,"",[{"what":{}}]]"#] {
        let tree = parse(text).unwrap();
        let document = Json::Record(
            ["intake", "setup", "captures", "plan", "log", "preset"].map(|name| (name.to_owned(), tree.clone())).into(),
        );
        read_all(&document);
    }
}
