//! Writes small valid files as a corpus to start from: `cargo run --bin seeds`, into `corpus/TARGET` beside this crate.

use handpath::formats::write::{C3dOptions, Encoding, Processor, TextOptions, c3d, packed, text, trc};
use handpath::formats::{Event, Format, GAP, LengthUnit, RateSource, Recording, Track};
use handpath::json::{Json, parse, spelled};
use handpath::lesson::{Lesson, Slot};
use handpath::settings::{Club, Hand, SwingKind};
use handpath::shelf::{Entry, POINTS, Shelf, Tags};
use std::fs;
use std::io::Result;
use std::path::{Path, PathBuf};

fn main() -> Result<()> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let corpus = here.join("corpus");
    let recording = recording();
    save(&corpus.join("bvh"), bvh_files(here))?;
    save(&corpus.join("c3d"), c3d_files(here, &recording))?;
    save(&corpus.join("lesson"), lessons(&recording))?;
    save(&corpus.join("shelf"), shelves())?;
    save(&corpus.join("coach"), loops())?;
    let (trc_files, mut tables) = small_tables(here);
    let small = trc(&recording, "swing.trc", 3);
    let text = String::from_utf8_lossy(&small);
    let wide = std::iter::once(0xFEFF).chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    let headless = text.split_once('\n').map_or_else(String::new, |(_, rest)| rest.to_owned()).into_bytes();
    save(&corpus.join("trc"), [vec![small.clone(), wide, headless], trc_files, plans()].concat())?;
    tables.extend(text_files(&recording));
    save(&corpus.join("text"), tables)
}

fn save(folder: &PathBuf, files: Vec<Vec<u8>>) -> Result<()> {
    fs::create_dir_all(folder)?;
    println!("{}: {} files", folder.display(), files.len());
    files.iter().enumerate().try_for_each(|(index, file)| fs::write(folder.join(format!("seed-{index:03}")), file))
}

/// A preset, and the parts of a lesson that the coaching loop reads, a document each and as one.
fn loops() -> Vec<Vec<u8>> {
    let preset = r#"{"format":"handpath preset","version":1,"name":"house","edition":3,"owner":"coach 1","date":"2026-01-31",
"setups":[{"name":"bay 1","corrections":{"unit":"mm","up":"+z","target":{"markers":{"near":"A","far":"B"}}}}],
"references":[{"label":"reference A","edition":1,"file":"a.c3d","sha256":"00","corrections":{"club":"iron"}}],
"thresholds":{"taken-back":0.1},"changes":[{"coach":"coach 1","date":"2026-01-31","what":"edition","from":2,"to":3}]}"#;
    let parts = [
        r#""intake":{"pain":{"now":false,"injury":true,"cleared":true},"hand":"left","miss":"pull","curve":"hook","club":"iron","minutes_a_week":20,"minor":true,"consent":{"recording":true,"pooling":true,"by":"guardian"}}"#,
        r#""setup":{"direction":[0,1,0],"source":"target markers","sd_deg":1,"stance_deg":2.5,"ball_ahead":0.2}"#,
        r#""captures":[{"swing":1,"club":"iron","kind":"full","effort":0.6,"keep":true,"ball":{"start":"pull","curve":"none","strike":"toe","launch":{"start_deg":-3,"face_deg":-2,"path_deg":-6,"club_speed_m_s":38}}}]"#,
        r#""plan":{"rungs":[{"share":0.3,"balls":5},{"share":1,"balls":5}],"climb_misses":1,"step_down":"2 of 5","cap":40,"rest_after":10,"rest_s":90,"hooks":true,"picture":{"of":"reference B","arms":[[-0.1,0,1.5],[-0.2,0.1,1.3]],"hands":[[-0.1,0,1.5],[0,0.1,1.2]],"body":[[0,0,1.4],[0,0.1,1]]}}"#,
        r#""log":[{"what":"begin","at":"2026-01-31T10:00:00Z","as":"practice"},{"what":"ball","start":"pull","curve":"draw"},{"what":"ball","start":"straight"},{"what":"rest"},{"what":"undo"},{"what":"go","rung":1},{"what":"pain"},{"what":"note","text":"x"},{"what":"end"}]"#,
    ];
    let one = format!("{{\n{}\n}}", parts.join(",\n"));
    let each = parts.iter().map(|part| format!("{{{part}}}").into_bytes());
    [preset.as_bytes().to_vec(), one.into_bytes()].into_iter().chain(each).collect()
}

/// Three markers, eight rows, a gap and an event.
fn recording() -> Recording {
    let row = |track: usize, row: usize| [track as f64 + 0.1 * row as f64, 1.5 - row as f64, 0.25 * row as f64];
    let tracks = ["LWRA", "RWRA", "CLUB:HEAD"].iter().enumerate().map(|(track, name)| {
        let points = (0..8).map(|at| if (track, at) == (1, 3) { GAP } else { row(track, at) }).collect();
        Track { unit: Some(LengthUnit::Metre), ..Track::marker(*name, points) }
    });
    Recording {
        format: Format::Text,
        rate_hz: Some(100.0),
        rate_source: RateSource::Stated,
        first_row: 0,
        clock_s: (0..8).map(|at| f64::from(at) * 0.01).collect(),
        tracks: tracks.collect(),
        up: None,
        usual_up: None,
        events: vec![Event { label: "Impact".into(), clock_s: 0.05 }],
        warnings: Vec::new(),
    }
}

/// No entry, one without a depth, two with long and short labels.
fn shelves() -> Vec<Vec<u8>> {
    let entry = |label: &str, depth: Option<f64>| {
        let (hand, club, kind) = (Hand::Left, Club::Wedge, SwingKind::Drill);
        let points = (0..POINTS).map(|k| [k as f64 / 100.0, -0.5, 1.0]).collect();
        Entry { tags: Tags { label: label.into(), hand, club, kind, depth }, points }
    };
    let pack = |entries: &[Entry]| {
        let mut shelf = Shelf::default();
        entries.iter().for_each(|entry| shelf.push(entry));
        shelf.to_pack()
    };
    vec![pack(&[]), pack(&[entry("a", None)]), pack(&[entry("reference \u{e4}", Some(0.5)), entry("", Some(-0.1))])]
}

/// A lesson with something of every kind, one of version 0, and a kept recording.
fn lessons(recording: &Recording) -> Vec<Vec<u8>> {
    let kept = packed(recording, spelled);
    let json = |text: &str| parse(text).unwrap_or(Json::Null);
    let mut lesson = Lesson::new("student 1");
    let corrections = r#"{"unit":"m","rate":100,"hand":"left","up":"+z","target":{"markers":{"near":"LWRA","far":"RWRA"}},"aim":2.5,
        "roles":{"left-wrist":["LWRA"]},"instants":{"top":0.02},"cutoff":8}"#;
    lesson.push(Slot::Student, "one", json(corrections), kept.clone());
    lesson.push(Slot::Earlier, "two", Json::Record(vec![]), kept.clone());
    for (name, text) in [
        ("thresholds", r#"{"arm-drop":-0.2}"#),
        ("words", r#"[{"computed":"a","own":"b"}]"#),
        ("pins", r#"[{"swing":1,"time_s":0.02,"text":"here"}]"#),
        ("spans", r#"[{"swing":1,"from_s":0.01,"to_s":0.03,"text":"x"}]"#),
        ("view", r#"{"time":0.02,"zoom":1e0}"#),
        ("plan", r#"[null,true,{"a":"\u00e9"}]"#),
    ] {
        lesson.document.set(name, json(text));
    }
    let old =
        r#"{"format":"handpath lesson","version":0,"student":"x","swings":[],"limits":{},"pins":[{"swing":1,"t":1}]}"#;
    vec![lesson.save().into_bytes(), kept.line().into_bytes(), old.into()]
}

/// The small tables of the reader tests: TRC, and other text.
fn small_tables(here: &Path) -> (Vec<Vec<u8>>, Vec<Vec<u8>>) {
    let entries = fs::read_dir(here.join("../data/text")).into_iter().flatten().flatten();
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.path()).collect();
    paths.retain(|path| path.extension().is_some_and(|end| end != "expected" && end != "md"));
    paths.sort();
    let (trc, text): (Vec<_>, Vec<_>) = paths.iter().partition(|path| path.extension().is_some_and(|end| end == "trc"));
    let bytes = |paths: Vec<&PathBuf>| paths.iter().filter_map(|path| fs::read(path).ok()).collect();
    (bytes(trc), bytes(text))
}

fn text_files(recording: &Recording) -> Vec<Vec<u8>> {
    let with =
        |delimiter, decimal_comma, encoding| TextOptions { delimiter, decimal_comma, encoding, ..Default::default() };
    let dialects = [
        with(',', false, Encoding::Utf8),
        with(';', true, Encoding::Utf8Bom),
        with('\t', false, Encoding::Utf16Le),
        with(' ', false, Encoding::Utf8),
    ];
    dialects.iter().map(|options| text(recording, options)).collect()
}

/// Files of the reference vectors that are small enough to fuzz fast, and the project's own in every number format.
fn c3d_files(here: &Path, recording: &Recording) -> Vec<Vec<u8>> {
    let mut files: Vec<Vec<u8>> = vectors(here, "c3d").iter().filter_map(|case| from_chunks(&case["file"])).collect();
    for processor in [Processor::Intel, Processor::Dec, Processor::Sgi] {
        files.extend([false, true].map(|integers| c3d(recording, &C3dOptions { processor, integers })));
    }
    files.retain(|file| file.len() < 6000);
    files
}

fn bvh_files(here: &Path) -> Vec<Vec<u8>> {
    let mut files: Vec<Vec<u8>> =
        vectors(here, "bvh").iter().filter_map(|case| Some(case["text"].as_str()?.into())).collect();
    let small = "HIERARCHY\nROOT a\n{\nOFFSET 0 9 0\nCHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation\n\
        JOINT b\n{\nOFFSET 1 0 0\nCHANNELS 1 Xrotation\nEnd Site\n{\nOFFSET 0 1 0\n}\n}\n}\nMOTION\nFrames: 6\n\
        Frame Time: 0.01\n0 0 0 0 0 0 0\n1 9 2 10 20 30 40\n1 9 2 11 21 31 41\n1 9.5 2 12 22 32 42\n1 9 nan 13 23 33 43\n\
        1 9 2 14 24 34 44\n1 9 2 15\n";
    let wide = std::iter::once(0xFEFF).chain(small.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    files.extend(plans());
    files.extend([small.into(), small.replace('.', ",").into(), small.replace('\n', "\r\n").into(), wide]);
    files
}

/// Plans (see `plan`): any bytes will do.
fn plans() -> Vec<Vec<u8>> {
    (1..6_u8).map(|step| (0..400).map(|at: u16| (at as u8).wrapping_mul(37 * step) ^ step).collect()).collect()
}

fn vectors(here: &Path, name: &str) -> Vec<serde_json::Value> {
    let path = here.join(format!("../reference/vectors/{name}.json"));
    let file = fs::read_to_string(path).unwrap_or_default();
    let vectors: serde_json::Value = serde_json::from_str(&file).unwrap_or_default();
    vectors["cases"].as_array().cloned().unwrap_or_default()
}

/// Chunks [hexadecimal, repeats].
fn from_chunks(chunks: &serde_json::Value) -> Option<Vec<u8>> {
    let mut file = Vec::new();
    for chunk in chunks.as_array()? {
        let hex = chunk[0].as_str()?;
        let bytes: Option<Vec<u8>> =
            (0..hex.len()).step_by(2).map(|at| u8::from_str_radix(hex.get(at..at + 2)?, 16).ok()).collect();
        file.extend(bytes?.repeat(chunk[1].as_u64()? as usize));
    }
    Some(file)
}
