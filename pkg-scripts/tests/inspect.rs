//! `cargo inspect` as a user calls it: what it prints, and how it ends.
#![cfg(feature = "inspect")]

use anyhow::{Context, Result, anyhow, ensure};
use handpath::formats::write::{BvhOptions, C3dOptions, TextOptions, bvh, c3d, text, trc};
use handpath::model::{ModelParams, Motion, SampleOptions, reference, sample, sample_skeleton, student};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// Writes a swing in the four formats; gives their paths.
fn files(folder: &Path, name: &str, params: &ModelParams) -> Result<[PathBuf; 4]> {
    let motion = Motion::new(params);
    let options = SampleOptions::default();
    let recording = sample(&motion, params, &options).ok().context("the model's arms reach")?;
    let (skeleton, frames) = sample_skeleton(&motion, params, &options).ok().context("the model's arms reach")?;
    let written = [
        ("csv", text(&recording, &TextOptions::default())),
        ("c3d", c3d(&recording, &C3dOptions::default())),
        ("trc", trc(&recording, name, 5)),
        ("bvh", bvh(&skeleton, options.rate_hz, &frames, &BvhOptions::default())),
    ];
    let mut paths: [PathBuf; 4] = Default::default();
    for ((ending, bytes), path) in written.iter().zip(&mut paths) {
        *path = folder.join(format!("{name}.{ending}"));
        std::fs::write(path, bytes)?;
    }
    Ok(paths)
}

fn inspect(arguments: &[&str]) -> Result<Output> {
    Ok(Command::new(env!("CARGO_BIN_EXE_handpath-inspect")).args(arguments).output()?)
}

fn json(arguments: &[&str]) -> Result<Value> {
    let output = inspect(arguments)?;
    let told = String::from_utf8_lossy(&output.stderr);
    let document: Value = serde_json::from_slice(&output.stdout).with_context(|| format!("no JSON; it said {told}"))?;
    fits(&document, include_str!("../../tests/schema/report.schema.json"))?;
    Ok(document)
}

/// Holds a document against a schema of `tests/schema`.
fn fits(document: &Value, schema: &str) -> Result<()> {
    let (mut schemas, mut compiler) = (boon::Schemas::new(), boon::Compiler::new());
    compiler.add_resource("schema.json", serde_json::from_str(schema)?).map_err(|error| anyhow!("{error}"))?;
    let compiled = compiler.compile("schema.json", &mut schemas).map_err(|error| anyhow!("{error}"))?;
    schemas.validate(document, compiled).map_err(|error| anyhow!("not as the schema says: {error:#}"))
}

fn shown(path: &Path) -> &str {
    path.to_str().unwrap_or_default()
}

#[test]
fn each_format_gives_the_instants_of_the_model() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let params = student(1, 1);
    let truth = Motion::new(&params);
    for path in files(folder.path(), "student", &params)? {
        let report = json(&[shown(&path), "--json", "--unit", "m"])?;
        let instant = |name: &str| {
            let found = report["instants"].as_array()?.iter().find(|instant| instant["name"] == name)?;
            found["time_s"].as_f64()
        };
        let start = SampleOptions::default();
        let window = start.window_s.unwrap_or_else(|| truth.window(&params));
        for (name, expected) in [("top", truth.times[0].top_s), ("impact", truth.times[0].impact_s)] {
            let found = instant(name).with_context(|| format!("{name} in {}", path.display()))? + window[0];
            ensure!((found - expected).abs() < 0.04, "{name} in {}: {found}, truth {expected}", path.display());
        }
        ensure!(report["error"].is_null() && report["alignment"] == Value::Array(vec![]));
    }
    Ok(())
}

#[test]
fn references_are_aligned_and_reported_whole() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let [student, ..] = files(folder.path(), "student", &student(1, 1))?;
    let [_, reference, ..] = files(folder.path(), "reference", &reference('A'))?;
    let report = json(&[shown(&student), "--against", shown(&reference), "--against", shown(&reference), "--json"])?;
    let alignment = report["alignment"].as_array().context("alignment")?;
    ensure!(alignment.len() == 2 && alignment[0] == alignment[1]);
    ensure!(alignment[0]["reference"]["name"] == "reference.c3d" && alignment[0]["mode"] == "anchored");
    ensure!(alignment[0]["samples"].as_array().is_some_and(|samples| samples.len() > 50));
    let free = json(&[shown(&student), "--against", shown(&reference), "--free", "--band", "0.4", "--json"])?;
    ensure!(free["alignment"][0]["mode"] == "free" && free["alignment"][0]["band"] == 0.4);
    let none = json(&[shown(&student), "--against", shown(&reference), "--against-swing", "9", "--json"])?;
    ensure!(none["alignment"][0]["error"]["key"] == "swing.number" && none["alignment"][0].get("mode").is_none());
    Ok(())
}

#[test]
fn findings_compare_with_the_references_and_obey_the_thresholds() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let [student, ..] = files(folder.path(), "student", &student(1, 1))?;
    let [_, reference, ..] = files(folder.path(), "reference", &reference('A'))?;
    let finding = |report: &Value, name: &str| {
        let found = report["findings"].as_array()?.iter().find(|finding| finding["name"] == name).cloned();
        found.filter(|_| report["reading"].as_array().is_some_and(|told| (2..=3).contains(&told.len())))
    };
    let alone = json(&[shown(&student), "--json"])?;
    ensure!(finding(&alone, "carrier").context("carrier")?["verdict"] == "body-carried");
    let turn = finding(&alone, "early or flat turn").context("turn")?;
    ensure!(turn["references"] == 0 && turn["evidence"][0]["threshold"] == "trunk-opening");
    let beside = json(&[shown(&student), "--against", shown(&reference), "--json"])?;
    let turn = finding(&beside, "early or flat turn").context("turn")?;
    ensure!(turn["references"] == 1 && turn["evidence"][0]["threshold"] == "trunk-opening-more");
    let stated = folder.path().join("thresholds.json");
    std::fs::write(&stated, r#"{"taken-back": 0.1}"#)?;
    let changed = json(&[shown(&student), "--thresholds", shown(&stated), "--json"])?;
    ensure!(finding(&changed, "carrier").context("carrier")?["verdict"] == "neither");
    for (text, told) in [(r#"{"taken-bak": 0.1}"#, "no threshold \"taken-bak\""), ("[1]", "a JSON object of numbers")] {
        std::fs::write(&stated, text)?;
        let output = inspect(&[shown(&student), "--thresholds", shown(&stated)])?;
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        ensure!(output.status.code() == Some(1) && said.contains(told), "{said}");
    }
    Ok(())
}

#[test]
fn a_correction_changes_the_answer() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let [file, ..] = files(folder.path(), "student", &student(1, 1))?;
    let scaled = json(&[shown(&file), "--scale", "0.5", "--json"])?;
    let plain = json(&[shown(&file), "--json"])?;
    let up = |report: &Value| report["hands_at_address"]["up_m"].as_f64().context("hands at address");
    ensure!((up(&scaled)? / up(&plain)? - 0.5).abs() < 0.02, "half the scale is half the height");
    let scale = |report: &Value| report["guesses"].as_array()?.iter().find(|guess| guess["what"] == "scale").cloned();
    ensure!(scale(&scaled).context("scale")?["source"] == "stated by the user");
    Ok(())
}

#[test]
fn several_files_are_an_array_and_the_worst_gives_the_exit_code() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let [good, ..] = files(folder.path(), "student", &student(1, 1))?;
    let still = folder.path().join("still.csv");
    let rows: String =
        (0..200).map(|k| format!("{},{},1,1\n", f64::from(k) / 100.0, f64::from(k % 2) * 0.001)).collect();
    std::fs::write(&still, format!("time,GRIP x,GRIP y,GRIP z\n{rows}"))?;
    let broken = folder.path().join("broken.c3d");
    std::fs::write(&broken, [2, 80, 0, 0])?;
    let code = |files: &[&Path]| -> Result<Option<i32>> {
        Ok(inspect(&files.iter().map(|path| shown(path)).collect::<Vec<_>>())?.status.code())
    };
    ensure!(code(&[&good])? == Some(0));
    ensure!(code(&[&good, &still])? == Some(2));
    ensure!(code(&[&still, &broken, &good])? == Some(1));
    ensure!(code(&[&folder.path().join("absent.csv")])? == Some(1));
    ensure!(inspect(&["--colour"])?.status.code() == Some(64));
    ensure!(inspect(&["--help"])?.status.code() == Some(0));
    let all = json(&[shown(&good), shown(&still), shown(&broken), "--json"])?;
    ensure!(all[0]["error"].is_null() && all[1]["error"]["key"].is_string() && all[2]["file"].is_null());
    ensure!(all[1]["file"]["rows"] == 200 && all[1]["file"]["tracks"][0]["name"] == "GRIP", "what was read is told");
    Ok(())
}

/// Swings of one player that differ by chance, as C3D files.
fn swings(folder: &Path, name: &str, count: u64, params: &ModelParams) -> Result<Vec<PathBuf>> {
    let write = |seed: u64| {
        let params = ModelParams { seed, variation: 1.0, waggles: 0, ..params.clone() };
        let recording = sample(&Motion::new(&params), &params, &SampleOptions::default()).ok().context("in reach")?;
        let path = folder.join(format!("{name}-{seed}.c3d"));
        std::fs::write(&path, c3d(&recording, &C3dOptions::default()))?;
        Ok(path)
    };
    (1..=count).map(write).collect()
}

#[test]
fn several_swings_are_told_as_one_and_lessons_apart() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let later = swings(folder.path(), "later", 3, &student(2, 1))?;
    let earlier = swings(folder.path(), "earlier", 3, &student(1, 1))?;
    let others = swings(folder.path(), "reference", 8, &reference('C'))?;
    let mut words: Vec<&str> = later.iter().map(|path| shown(path)).collect();
    words.extend(["--target", "+y", "--before-target", "+y", "--set-band", "pointwise"]);
    others.iter().for_each(|path| words.extend(["--against", shown(path)]));
    earlier.iter().for_each(|path| words.extend(["--before", shown(path)]));
    let told = json(&[&words[..], &["--json"]].concat())?;
    let references = &told[0]["sets"]["references"];
    ensure!(references["likeness"].as_array().is_some_and(|list| list.len() == 8), "{}", references["likeness"]);
    let (set, own) = (&references["set"], &told[0]["sets"]["own"]["set"]);
    let count = |list: &Value| list.as_array().map_or(0, Vec::len);
    ensure!(set["band"]["kind"] == "pointwise" && count(&set["curves_m"]) == 0, "a band from 8 on: {}", set["swings"]);
    ensure!(own["band"].is_null() && count(&own["curves_m"]) == 3, "under 8 single paths");
    ensure!(count(&own["mean_m"]) == count(&own["time_s"]) && count(&own["mean_m"]) == count(&own["sd_m"]));
    let change = &told[0]["lessons"]["changes"][0];
    ensure!(change["name"] == "out drift, greatest" && change["verdict"] == "change shown", "{change}");
    ensure!(
        told[1]["lessons"].is_null() && told[1]["sets"]["own"].is_null() && told[1]["sets"]["references"].is_object()
    );
    let text = String::from_utf8(inspect(&words)?.stdout)?;
    for part in ["The references as one\n  reference-1, ", "most typical: ", "the band is pointwise", "change shown"] {
        ensure!(text.contains(part), "{part:?} is missing in:\n{text}");
    }
    ensure!(!text.contains("inspect.") && !text.contains('{'), "a key or a parameter was left in:\n{text}");
    Ok(())
}

#[test]
fn the_students_own_swings_are_references_at_their_size() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let files = swings(folder.path(), "own", 3, &student(1, 1))?;
    let [first, second, third] = &files[..] else { return Ok(()) };
    let words = [shown(first), "--own", "--against", shown(second), "--against", shown(third), "--json"];
    let told = json(&words)?;
    ensure!(told["alignment"][0]["factor"] == 1.0 && told["alignment"][1]["factor"] == 1.0);
    ensure!(told["sets"]["references"]["set"]["swings"] == serde_json::json!(["own-2", "own-3"]));
    ensure!(told["lessons"].is_null());
    Ok(())
}

#[test]
fn the_summary_speaks_english() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let [_, file, ..] = files(folder.path(), "student", &student(1, 1))?;
    let told = String::from_utf8(inspect(&[shown(&file), "--against", shown(&file)])?.stdout)?;
    for part in
        ["C3D, 240.00 Hz (stated by the file)", "right-hander", "lead arm level", "--target", "student minus reference"]
    {
        ensure!(told.contains(part), "{part:?} is missing in:\n{told}");
    }
    ensure!(!told.contains("inspect.") && !told.contains('{'), "a key or a parameter was left in:\n{told}");
    Ok(())
}

#[test]
fn tracks_are_written_in_metres() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let params = student(1, 1);
    let options = SampleOptions { unit: handpath::formats::LengthUnit::Inch, ..SampleOptions::default() };
    let recording = sample(&Motion::new(&params), &params, &options).ok().context("the model's arms reach")?;
    let (file, out) = (folder.path().join("a.csv"), folder.path().join("tracks.csv"));
    std::fs::write(&file, text(&recording, &TextOptions::default()))?;
    ensure!(inspect(&[shown(&file), "--tracks", shown(&out)])?.status.success());
    let mut table = csv::Reader::from_path(&out)?;
    let columns = table.headers()?.len();
    ensure!(columns == 2 + 3 * recording.tracks.len());
    for (k, row) in table.records().enumerate() {
        let row = row?;
        let stored = recording.tracks[0].points[k];
        let cell: Option<f64> = row[2].parse().ok();
        ensure!(row[0] == k.to_string());
        match cell {
            Some(metres) => {
                ensure!((metres / 0.0254 - stored[0]).abs() < 1e-6, "row {k}: {metres} m of {} in", stored[0])
            }
            None => ensure!(row[2].is_empty() && stored[0].is_nan(), "row {k}"),
        }
    }
    Ok(())
}

/// Without the names of files and swings, which a lesson replaces by the student's code.
fn nameless(mut report: Value) -> Value {
    report["name"] = Value::Null;
    for against in report["alignment"].as_array_mut().into_iter().flatten() {
        against["reference"]["name"] = Value::Null;
    }
    report
}

#[test]
fn a_lesson_gives_the_reports_of_its_files() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let reference = files(folder.path(), "reference", &reference('A'))?;
    let out = folder.path().join("lesson.json");
    for (at, student) in files(folder.path(), "student", &student(1, 1))?.iter().enumerate() {
        let stated = [
            "--unit",
            "m",
            "--club",
            "iron",
            "--kind",
            "full",
            "--aim",
            "1.5",
            "--cutoff",
            "12",
            "--against-club",
            "iron",
        ];
        let export = [
            &[shown(student), "--against", shown(&reference[at]), "--json", "--save-lesson", shown(&out)],
            &stated[..],
        ]
        .concat();
        let original = json(&export)?;
        let lesson = json(&[shown(&out), "--json"])?;
        ensure!(lesson["name"] == "student, student 1" && lesson["alignment"][0]["reference"]["name"] == "reference");
        ensure!(nameless(lesson) == nameless(original), "{}", student.display());
        let text = std::fs::read_to_string(&out)?;
        fits(&serde_json::from_str(&text)?, include_str!("../../tests/schema/lesson.schema.json"))?;
        let again = folder.path().join("again.json");
        json(&[shown(&out), "--json", "--save-lesson", shown(&again)])?;
        ensure!(std::fs::read_to_string(&again)? == text, "saved again it is another text");
    }
    Ok(())
}

#[test]
fn a_lesson_brings_everything_along_and_grows() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let [one, two, ..] = files(folder.path(), "student", &student(1, 1))?;
    let [before, ..] = files(folder.path(), "before", &student(2, 1))?;
    let out = folder.path().join("lesson.json");
    let limits = folder.path().join("limits.json");
    std::fs::write(&limits, r#"{"arm-drop": -0.25}"#)?;
    let export =
        [shown(&one), "--address", shown(&two), "--before", shown(&before), "--thresholds", shown(&limits), "--json"];
    let original = json(&[&export[..], &["--save-lesson", shown(&out), "--student", "S 7"]].concat())?;
    let lesson = json(&[shown(&out), "--json"])?;
    ensure!(
        lesson["name"] == "S 7, student 1"
            && lesson["findings"] == original["findings"]
            && lesson["guesses"] == original["guesses"]
    );
    ensure!(
        lesson["lessons"]["changes"] == original["lessons"]["changes"]
            && lesson["lessons"]["before"][0] == "S 7, earlier 1"
    );
    json(&[shown(&out), shown(&two), "--json", "--save-lesson", shown(&out)])?;
    let grown = json(&[shown(&out), "--club", "driver", "--json"])?;
    ensure!(grown.as_array().is_some_and(|reports| reports.len() == 2 && reports[0]["club"] == "driver"));
    Ok(())
}

#[test]
fn a_damaged_lesson_gives_the_swings_that_are_left() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let [one, two, ..] = files(folder.path(), "student", &student(1, 1))?;
    let out = folder.path().join("lesson.json");
    json(&[shown(&one), shown(&two), "--json", "--save-lesson", shown(&out)])?;
    let text = std::fs::read_to_string(&out)?;
    std::fs::write(&out, &text[..text.len() / 2])?;
    let report = json(&[shown(&out), "--json"])?;
    ensure!(
        report["error"].is_null()
            && report["warnings"].as_array().is_some_and(|all| all.iter().any(|one| one["key"] == "lesson.cut_short"))
    );
    std::fs::write(&out, "{\n?\"swings\":[")?;
    let output = inspect(&[shown(&out)])?;
    ensure!(
        output.status.code() == Some(1) && String::from_utf8_lossy(&output.stdout).contains("Take another copy of it.")
    );
    Ok(())
}

/// A preset beside its reference file, as `house` writes it.
fn house(folder: &Path, name: &str, text: &str) -> Result<PathBuf> {
    let path = folder.join(name);
    std::fs::write(&path, text)?;
    Ok(path)
}

/// Two coaches on two machines: the same preset written in another order and spelling, the files in another folder.
#[test]
fn one_preset_gives_the_same_numbers_and_fingerprint() -> Result<()> {
    let mut reports = vec![];
    for at in 0..2 {
        let folder = tempfile::tempdir()?;
        let [student, ..] = files(folder.path(), "student", &student(1, 1))?;
        let [_, first, ..] = files(folder.path(), "a", &reference('A'))?;
        let [_, second, ..] = files(folder.path(), "b", &reference('B'))?;
        let print = |path: &Path| Ok::<_, anyhow::Error>(handpath::coach::fingerprint::digest(&std::fs::read(path)?));
        let [a, b] = [print(&first)?, print(&second)?];
        let written = [
            format!(
                r#"{{"format":"handpath preset","version":1,"name":"house","thresholds":{{"taken-back":0.1,"trunk-opening":20}},
                "setups":[{{"name":"bay 1","corrections":{{"unit":"m","hand":"right","club":"iron"}}}}],
                "references":[{{"label":"A","file":"a.c3d","sha256":"{a}"}},{{"label":"B","file":"b.c3d","sha256":"{b}"}}]}}"#
            ),
            format!(
                r#"{{"references":[{{"sha256":"{b}","file":"b.c3d","label":"B"}},{{"sha256":"{a}","label":"A","file":"a.c3d"}}],
                "setups":[{{"corrections":{{"club":"iron","aim":0,"unit":"m","hand":"right"}},"name":"bay 1"}}],
                "thresholds":{{"trunk-opening":2e1,"taken-back":0.10}},"owner":"coach 2","format":"handpath preset","version":1}}"#
            ),
        ];
        let preset = house(folder.path(), "house.json", &written[at])?;
        reports.push(json(&[shown(&student), "--preset", shown(&preset), "--json"])?);
        let told = inspect(&[shown(&student), "--preset", shown(&preset)])?;
        let code = reports[at]["fingerprint"]["code"].as_str().unwrap_or_default().to_owned();
        ensure!(String::from_utf8_lossy(&told.stdout).contains(&format!("Settings: {code}.")), "{code}");
    }
    ensure!(reports[0]["alignment"].as_array().is_some_and(|all| all.len() == 2));
    ensure!(reports[0] == reports[1], "the numbers differ");
    Ok(())
}

#[test]
fn what_numbers_rest_on_changes_the_fingerprint() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let [student, ..] = files(folder.path(), "student", &student(1, 1))?;
    let [_, reference, ..] = files(folder.path(), "a", &reference('A'))?;
    let code = |more: &[&str]| {
        let all = [&[shown(&student), "--json", "--unit", "m"], more].concat();
        Ok::<_, anyhow::Error>(json(&all)?["fingerprint"]["sha256"].to_string())
    };
    let plain = code(&[])?;
    ensure!(plain == code(&["--aim", "0"])? && plain.len() == 66);
    let others = [code(&["--aim", "1"])?, code(&["--against", shown(&reference)])?, code(&["--club", "iron"])?];
    let free = code(&["--against", shown(&reference), "--free"])?;
    ensure!(!others.contains(&plain) && others[0] != others[2] && free != others[1]);
    let reread = code(&["--against", shown(&reference), "--against-unit", "m"])?;
    ensure!(reread != others[1]);
    Ok(())
}

#[test]
fn a_preset_that_cannot_be_used_says_why() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let [student, reference, ..] = files(folder.path(), "student", &student(1, 1))?;
    let wrong = r#"{"format":"handpath preset","version":1,"setups":[{"name":"bay 1"}],
        "references":[{"label":"A","file":"student.c3d","sha256":"00"}]}"#;
    let wrong = house(folder.path(), "wrong.json", wrong)?;
    let empty = house(folder.path(), "empty.json", "{}")?;
    let rows = [
        (vec!["--preset", shown(&wrong)], "is not the reference that the preset names"),
        (vec!["--preset", shown(&wrong), "--setup", "bay 2"], "has no set-up"),
        (vec!["--preset", shown(&empty)], "This is no house preset"),
        (vec!["--preset", shown(&reference)], "This is no house preset"),
    ];
    for (more, told) in rows {
        let output = inspect(&[vec![shown(&student)], more].concat())?;
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        ensure!(output.status.code() == Some(1) && said.contains(told), "{said}");
    }
    Ok(())
}

/// Students in folders, a lesson file, and what is no capture: one table, and nothing is lost without a word.
#[test]
fn a_folder_of_students_is_one_table() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let students = folder.path().join("students");
    for (code, seed) in [("S-1", 1), ("S-2", 2)] {
        std::fs::create_dir_all(students.join(code))?;
        files(&students.join(code), "swing", &student(seed, 1))?;
    }
    let [loose, ..] = files(folder.path(), "=loose", &student(3, 1))?;
    let saved = students.join("lesson.json");
    let saving = inspect(&[shown(&loose), "--unit", "m", "--save-lesson", shown(&saved), "--student", "S-9"])?;
    ensure!(saving.status.success());
    std::fs::copy(&loose, students.join("=loose.csv"))?;
    std::fs::write(students.join("readme.txt"), "nothing")?;
    std::fs::write(students.join(".hidden"), "nothing")?;
    // What the options name is no capture, whatever way leads to it.
    let preset = house(
        &students,
        "house.json",
        r#"{"format":"handpath preset","version":1,"setups":[{"name":"bay 1","corrections":{"unit":"m"}}]}"#,
    )?;
    let table = students.join("out.csv");
    let way = students.join("S-1").join("..").join("house.json");
    let ask = ["--folder", shown(&students), "--csv", shown(&table), "--preset", shown(&way)];
    ensure!(preset.exists());
    let output = inspect(&ask)?;
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    ensure!(output.status.code() == Some(1) && said.contains("Swings read: 10. Refused: 1."), "{said}");
    ensure!(said.contains("Refused: readme.txt. "), "{said}");
    let first = std::fs::read(&table)?;
    let mut read = csv::Reader::from_path(&table)?;
    let heads = read.headers()?.clone();
    let column = |name: &str| heads.iter().position(|head| head == name).with_context(|| name.to_owned());
    let rows: Vec<csv::StringRecord> = read.records().collect::<Result<_, _>>()?;
    let [student, file, state, reason] = [column("student")?, column("file")?, column("state")?, column("reason")?];
    let codes: Vec<&str> = rows.iter().map(|row| &row[student]).collect();
    ensure!(codes == ["'=loose", "S-1", "S-1", "S-1", "S-1", "S-2", "S-2", "S-2", "S-2", "S-9", "readme"], "{codes:?}");
    ensure!(&rows[10][state] == "refused" && !rows[10][reason].is_empty() && &rows[1][file] == "S-1/swing.bvh");
    // The numbers are those of the file inspected by itself.
    let alone = json(&[shown(&students.join("S-1/swing.c3d")), "--unit", "m", "--json"])?;
    let drift = alone["measures"][0].clone();
    let name = format!("{} ({})", drift["name"].as_str().context("name")?, drift["unit"].as_str().context("unit")?);
    let same = |head: &str, value: &Value| {
        let told = format!("{:.6}", value.as_f64().unwrap_or(f64::NAN));
        Ok::<_, anyhow::Error>(rows[2][column(head)?] == told)
    };
    ensure!(
        same(&name, &drift["value"])?
            && same(&format!("{}, low 90", drift["name"].as_str().unwrap_or("")), &drift["low_90"])?
    );
    ensure!(rows[2][column("fingerprint")?] == alone["fingerprint"]["code"]);
    ensure!(
        rows[2][column("finding: carrier")?] == alone["findings"][0]["verdict"]
            || alone["findings"][0]["name"] != "carrier"
    );
    let guesses = alone["guesses"].as_array().context("guesses")?;
    let line = guesses.iter().find(|guess| guess["what"] == "target line").context("target line")?;
    let sd = format!("{:.1}", line["sd"].as_f64().context("SD")?);
    ensure!(rows[2][column("target line")?] == line["source"] && rows[2][column("target line, SD (deg)")?] == sd);
    let warned = alone["warnings"].as_array().map_or(0, Vec::len);
    ensure!(rows[2][column("warnings")?].split(" | ").filter(|text| !text.is_empty()).count() == warned);
    // Read again, the table itself lies there, is left out, and the bytes are the same.
    inspect(&ask)?;
    ensure!(std::fs::read(&table)? == first);
    Ok(())
}

/// What a lesson notes of its captures, and of consent, stands beside their numbers.
#[test]
fn a_lesson_in_a_folder_says_what_was_noted() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let students = folder.path().join("students");
    std::fs::create_dir_all(&students)?;
    let [one, two, ..] = files(folder.path(), "swing", &student(1, 1))?;
    let saved = students.join("lesson.json");
    ensure!(
        inspect(&[shown(&one), shown(&two), "--unit", "m", "--save-lesson", shown(&saved), "--student", "S-9"])?
            .status
            .success()
    );
    let mut lesson = handpath::lesson::open(&std::fs::read(&saved)?).map_err(|error| anyhow!("{error}"))?;
    let ids: Vec<usize> = lesson.swings().map(|swing| swing.id).collect();
    let captures = format!(
        r#"[{{"swing":{},"keep":false,"effort":0.6,"ball":{{"start":"pull","curve":"draw"}}}},{{"swing":{}}}]"#,
        ids[1], ids[0]
    );
    let set = |text: &str| handpath::json::parse(text).map_err(|error| anyhow!("{error:?}"));
    lesson.document.set("captures", set(&captures)?);
    lesson.document.set("intake", set(r#"{"minor":true,"consent":{"recording":true,"pooling":true,"by":"player"}}"#)?);
    std::fs::write(&saved, lesson.save())?;
    let table = folder.path().join("out.csv");
    inspect(&["--folder", shown(&students), "--csv", shown(&table)])?;
    let mut read = csv::Reader::from_path(&table)?;
    let heads = read.headers()?.clone();
    let rows: Vec<csv::StringRecord> = read.records().collect::<Result<_, _>>()?;
    let noted = |row: usize| {
        let cell = |name: &str| heads.iter().position(|head| head == name).map(|at| rows[row][at].to_owned());
        ["swing", "kept", "effort", "ball", "may be pooled"].map(|name| cell(name).unwrap_or_default())
    };
    ensure!(noted(0) == ["S-9, student 1", "kept", "1.00", "", "no"], "{:?}", noted(0));
    ensure!(noted(1) == ["S-9, student 2", "discarded", "0.60", "pull, draw", "no"], "{:?}", noted(1));
    Ok(())
}

/// A lesson with every field of the coaching loop is as the schema says; one with a wrong type is not.
#[test]
fn the_fields_of_the_coaching_loop_are_in_the_schema() -> Result<()> {
    let lesson = |log: &str| {
        format!(
            r#"{{"format":"handpath lesson","version":1,"swings":[],
            "intake":{{"pain":{{"now":false}},"miss":"pull","curve":"draw","club":"iron","consent":{{"recording":true,"by":"guardian"}}}},
            "setup":{{"direction":[1,0,0],"source":"target markers","sd_deg":1,"still_s":[0,1],"wander_deg":0.1,"ball_ahead":null,
            "ball_m":null,"stance_deg":null,"stated":true,"corrections":{{"target":{{"direction":[1,0,0]}}}}}},
            "captures":[{{"swing":1,"club":"iron","kind":"full","effort":0.9,"keep":true,"ball":{{"start":"pull"}}}}],
            "plan":{{"rungs":[{{"share":0.3,"balls":5}}],"step_down":"2 of 5","cap":60,"feel":"own words",
            "picture":{{"of":null,"left_handed":false,"arms":[[0,0,1.5],[-0.1,0,1.3]],"hands":[],"body":[]}}}},
            "log":[{log}],"changes":[{{"coach":"coach 1","date":"2026-01-31","what":"plan.cap","from":60,"to":50}}],
            "preset":{{"name":"house","edition":3,"setup":"bay 1","fingerprint":"0000-0000-0000","corrections":{{"unit":"mm"}}}}}}"#
        )
    };
    let schema = include_str!("../../tests/schema/lesson.schema.json");
    let good = r#"{"what":"begin","as":"transfer"},{"what":"ball","start":"pull","launch":{"path_deg":-3},"rung":0,"share":0.3}"#;
    fits(&serde_json::from_str(&lesson(good))?, schema)?;
    let opened = handpath::lesson::open(lesson(good).as_bytes()).map_err(|error| anyhow!("{error}"))?;
    ensure!(opened.warnings.is_empty(), "{:?}", opened.warnings);
    for wrong in [r#"{"what":"dance"}"#, r#"{"start":"pull"}"#, r#"{"what":"ball","start":"left"}"#, "7"] {
        ensure!(fits(&serde_json::from_str(&lesson(wrong))?, schema).is_err(), "{wrong}");
    }
    let odd = lesson("7").replace(r#""plan":{"#, r#""plan":[],"old":{"#);
    let opened = handpath::lesson::open(odd.as_bytes()).map_err(|error| anyhow!("{error}"))?;
    let told: Vec<String> = opened.warnings.iter().map(ToString::to_string).collect();
    ensure!(told.len() == 2 && told[0].starts_with("log.0 ") && told[1].starts_with("plan "), "{told:?}");
    ensure!(opened.save().contains(r#""plan":[]"#));
    Ok(())
}

#[test]
fn a_folder_becomes_a_shelf_and_its_nearest_are_told() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let inside = folder.path().join("references/inside");
    std::fs::create_dir_all(&inside)?;
    for letter in ['A', 'B', 'C'] {
        files(&inside, &format!("reference {letter}"), &reference(letter))?;
    }
    std::fs::write(inside.join("notes.txt"), "no swing")?;
    let pack = folder.path().join("references.handpath-shelf");
    let made = inspect(&["--folder", shown(&folder.path().join("references")), "--save-shelf", shown(&pack)])?;
    let told = String::from_utf8(made.stdout)?;
    ensure!(made.status.success() && told.contains("inside/notes.txt: "), "{told}");
    let taken = std::fs::read(&pack)?[12];
    ensure!(taken >= 9 && told.contains(&format!("Put on the shelf: {taken}.")), "{taken}: {told}");
    let [student, ..] = files(folder.path(), "student", &student(1, 1))?;
    let found = inspect(&[shown(&student), "--shelf", shown(&pack), "--shelf-count", "5", "--json"])?;
    let found: Value = serde_json::from_slice(&found.stdout)?;
    let near = found[0]["shelf"]["near"].as_array().context("near")?;
    let apart = |hit: &Value| hit["apart_m"].as_f64().unwrap_or(f64::NAN);
    ensure!(
        near.len() == 5
            && near.iter().all(|hit| hit["label"].as_str().is_some_and(|text| text.starts_with("inside/reference ")))
    );
    ensure!(near.windows(2).all(|pair| apart(&pair[0]) <= apart(&pair[1])) && apart(&near[0]) > 0.001, "{near:?}");
    let text = inspect(&[shown(&student), "--shelf", shown(&pack), "--shelf-hand", "left"])?;
    let text = String::from_utf8(text.stdout)?;
    ensure!(text.contains("Of the references on the shelf none"), "{text}");
    ensure!(inspect(&[shown(&student), "--shelf", shown(&student)])?.status.code() == Some(1));
    ensure!(inspect(&[shown(&student), "--shelf-hand", "left"])?.status.code() == Some(64));
    Ok(())
}
