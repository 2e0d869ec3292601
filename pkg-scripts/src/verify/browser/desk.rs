//! The coaching loop of the demo's student, from the intake to the next lesson: with the pointer, by keys alone, and on a
//! window as wide as a phone.

use super::looking::{PAPERS, pages};
use super::scene::{ELEMENT, LIMIT, drop_files, idle};
use super::{house, keeping, practice};
use crate::browsers::{Browser, Engine, Scheme};
use crate::project::root;
use crate::serve::Server;
use crate::verify::Tally;
use anyhow::{Context, Result, anyhow, ensure};
use handpath::coach::{captures, rule_out};
use handpath::formats::write::{C3dOptions, c3d};
use handpath::json::{Json, parse};
use handpath::model::{ModelParams, Motion, SampleOptions, sample, student};
use serde_json::{Value, json};

/// Captures of a lesson.
const CAPTURES: u32 = 8;

/// Two markers on the target line and one at the ball, two seconds at rest, millimetres.
fn still() -> String {
    let row = |n: u32| format!("{:.2},0,-500,0,0,1500,0,20,40,21\n", f64::from(n) / 100.0);
    let head = "time,near x,near y,near z,far x,far y,far z,ball x,ball y,ball z\n";
    head.to_owned() + &(0..200).map(row).collect::<String>()
}

pub(super) async fn play(browser: &mut Browser, server: &Server, tally: &mut Tally) {
    let whole = whole(browser, server, true).await;
    tally.check("the coaching loop, from the intake to the next lesson", whole);
    tally.check("captures at four efforts are held against the slow ones", efforts(browser, server).await);
    let house = house::one_house(browser, server).await;
    tally.check("one preset, one capture, two machines: the same numbers and the same code, natively too", house);
    let recovered = keeping::recovered(browser, server).await;
    tally.check("a lesson in work is there again after a reload and after a kill", recovered);
    tally.check(
        "full and refused storage is told at the desk, with the way to a file",
        keeping::without_room(browser, server).await,
    );
    if browser.engine() == Engine::Chromium {
        tally.check("the cards up to the plan by keys alone", by_keys(browser, server).await);
        tally.check("the coaching loop on a window of 390 px", narrow(browser, server).await);
    }
    let faults = browser.faults().await.and_then(|faults| {
        ensure!(faults.is_empty(), "{faults:?}");
        Ok(())
    });
    tally.check("no error, no breach of the policy at the desk", faults);
}

/// How controls are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hand {
    Pointer,
    Keys,
}

const TAB: &str = "\u{E004}";
const ENTER: &str = "\u{E007}";

/// More tabs than this no way on the page takes.
const MOST_TABS: usize = 600;

pub(super) fn path(inside: &str) -> String {
    format!("handpath-compare >>> {inside}")
}

/// Presses a button or a box.
pub(super) async fn press(browser: &Browser, hand: Hand, inside: &str) -> Result<()> {
    match hand {
        Hand::Pointer => {
            browser.click(&path(inside)).await.with_context(|| format!("pressing {inside}"))?;
        }
        Hand::Keys => {
            reach(browser, inside).await?;
            browser.press(" ").await?;
        }
    }
    idle(browser).await
}

/// Gives a field a value: typed, or chosen by the letters that its text begins with.
pub(super) async fn fill(browser: &Browser, hand: Hand, inside: &str, value: &str) -> Result<()> {
    match hand {
        Hand::Pointer => {
            browser.set(&path(inside), value).await.with_context(|| format!("filling {inside}"))?;
        }
        Hand::Keys => {
            reach(browser, inside).await?;
            let letters = "const field = deep(arguments[0]);
                const option = [...(field.options ?? [])].find(option => option.value === arguments[1]);
                // A blank would open the list.
                return option?.textContent.split(' ')[0] ?? arguments[1];";
            let letters = browser.run(letters, vec![json!(path(inside)), json!(value)]).await?;
            browser.press(letters.as_str().unwrap_or_default()).await?;
            browser.press(TAB).await?;
        }
    }
    idle(browser).await
}

/// Goes on with the tab key until a control has the focus.
async fn reach(browser: &Browser, inside: &str) -> Result<()> {
    let here = "return deep('handpath-compare').shadowRoot.activeElement === deep(arguments[0]) && deep(arguments[0]) !== null;";
    for _ in 0..MOST_TABS {
        if browser.run(here, vec![json!(path(inside))]).await? == true {
            return Ok(());
        }
        browser.press(TAB).await?;
    }
    let focus =
        "const { activeElement: at } = deep('handpath-compare').shadowRoot; return at?.outerHTML.slice(0, 200) ?? '';";
    let focus = browser.run(focus, vec![]).await?;
    Err(anyhow!("{inside} is not reached by {MOST_TABS} tabs; the focus is at {focus}"))
}

pub(super) async fn open(browser: &Browser, server: &Server, hand: Hand) -> Result<()> {
    browser.open(&server.url).await?;
    browser.until("the demo", "document.querySelector('handpath-compare').dataset.state === 'ready'", LIMIT).await?;
    idle(browser).await?;
    press(browser, hand, "details.desk > summary").await?;
    let there = format!("deep({})?.childElementCount", json!(path("[data-card=house] .card-body")));
    browser.until("the cards", &there, LIMIT).await?;
    idle(browser).await
}

/// Unfolds a card.
pub(super) async fn unfold(browser: &Browser, hand: Hand, card: &str) -> Result<()> {
    let inside = format!("[data-card={card}]");
    let open = browser.run("return deep(arguments[0]).open;", vec![json!(path(&inside))]).await?;
    if open == true { Ok(()) } else { press(browser, hand, &format!("{inside} > summary")).await }
}

/// Pain first, then the rest.
async fn intake(browser: &Browser, hand: Hand) -> Result<()> {
    unfold(browser, hand, "before").await?;
    press(browser, hand, "[data-field=pain-now]").await?;
    let told = browser.text(&path(".first")).await?;
    ensure!(told.contains("licensed professional"), "{told:?}");
    let plan = browser.text(&path("[data-card=plan] .card-body")).await?;
    ensure!(plan.contains("licensed professional"), "a plan is offered with pain: {plan:?}");
    press(browser, hand, "[data-field=pain-now]").await?;
    press(browser, hand, ".no-pain").await?;
    for (field, value) in [("hand", "right"), ("miss", "pull"), ("curve", "none"), ("club", "iron")] {
        fill(browser, hand, &format!("[data-card=before] [data-field={field}]"), value).await?;
    }
    for (field, value) in [("since", "two years"), ("hope", "a straight iron"), ("minutes", "90")] {
        fill(browser, hand, &format!("[data-card=before] [data-field={field}]"), value).await?;
    }
    press(browser, hand, "[data-field=recording]").await?;
    fill(browser, hand, "[data-card=before] [data-field=by]", "player").await?;
    let missing = browser.run("return deep(arguments[0]);", vec![json!(path(".missing"))]).await?;
    ensure!(missing.is_null(), "something is still asked for");
    Ok(())
}

/// The still capture, as a file of its own; its line is stated for the captures.
pub(super) async fn checked(browser: &Browser, hand: Hand) -> Result<()> {
    // The dialogue for files belongs to the system: the file is given as its answer is.
    let choose = "const input = deep(arguments[0]);
        const transfer = new DataTransfer();
        transfer.items.add(new File([arguments[1]], 'still.csv'));
        input.files = transfer.files;
        input.dispatchEvent(new Event('change'));";
    browser.run(choose, vec![json!(path("input.still")), json!(still())]).await?;
    let there = format!("deep({}) && !deep({0}).disabled", json!(path(".check-setup")));
    browser.until("the markers of the still capture", &there, LIMIT).await?;
    press(browser, hand, ".check-setup").await?;
    let told = browser.text(&path(".setup-found")).await?;
    ensure!(told.contains("Target line from the markers"), "{told:?}");
    let setup = lesson(browser).await?.get("setup").cloned().context("the set-up is not in the lesson")?;
    let direction: Vec<f64> =
        setup.get("direction").map_or(vec![], |d| d.items().iter().filter_map(Json::as_number).collect());
    ensure!(direction.len() == 3 && (direction[1] - 1.0).abs() < 1e-9, "the line runs {direction:?}, not along y");
    Ok(())
}

/// The swings of a lesson, as the model moves.
fn swings(number: u32) -> Result<Vec<(String, Vec<u8>)>> {
    let swing = |n: u32| {
        let params = student(number, n);
        let recording = sample(&Motion::new(&params), &params, &SampleOptions::default());
        let recording = recording.map_err(|_| anyhow!("the model's arms do not reach"))?;
        Ok((format!("swing-{number}-{n}.c3d"), c3d(&recording, &C3dOptions::default())))
    };
    (1..=CAPTURES).map(swing).collect()
}

/// Eight captures dropped at once, each with its ball; `pulls` of them start left.
pub(super) async fn captures(browser: &Browser, hand: Hand, number: u32, pulls: u32) -> Result<()> {
    let files = swings(number)?;
    let files: Vec<(&str, &[u8])> = files.iter().map(|(name, bytes)| (name.as_str(), &bytes[..])).collect();
    drop_files(browser, "student", &files).await?;
    unfold(browser, hand, "captures").await?;
    for n in 1..=CAPTURES {
        let of = |inside: &str| format!(".captures > li:nth-child({n}) {inside}");
        fill(browser, hand, &of("[data-field=club]"), "iron").await?;
        press(browser, hand, &of(if n <= pulls { "[data-word=pull]" } else { "[data-word=straight]" })).await?;
        press(browser, hand, &of("[data-word=none]")).await?;
        fill(browser, hand, &of("[data-field=strike]"), "centre").await?;
    }
    Ok(())
}

/// The document of the lesson as it would be saved.
pub(super) async fn lesson(browser: &Browser) -> Result<Json> {
    let text = text(browser).await?;
    parse(&text).map_err(|error| anyhow!("{error:?}"))
}

pub(super) async fn text(browser: &Browser) -> Result<String> {
    let text = "return deep(arguments[0]).saveLesson().then(({ text }) => text);";
    let text = browser.run(text, vec![json!(ELEMENT)]).await?;
    Ok(text.as_str().context("nothing was saved")?.to_owned())
}

async fn strip(browser: &Browser) -> Result<Vec<(String, String)>> {
    let rows = "return [...deep('handpath-compare').shadowRoot.querySelectorAll('.strip > li')]
        .map(row => [row.dataset.cause, row.dataset.state]);";
    Ok(serde_json::from_value(browser.run(rows, vec![]).await?)?)
}

async fn held(browser: &Browser) -> Result<bool> {
    let hidden = "return getComputedStyle(deep('handpath-compare >>> .findings')).display === 'none';";
    Ok(browser.run(hidden, vec![]).await? == true)
}

/// The strip as the native core fills it; findings wait behind it.
async fn ruled_out(browser: &Browser, hand: Hand) -> Result<()> {
    unfold(browser, hand, "rule_out").await?;
    ensure!(held(browser).await?, "the findings are shown before the other causes were looked at");
    as_natively(browser).await?;
    for cause in ["aim", "ball-position"] {
        fill(browser, hand, &format!("[data-card=rule_out] [data-field={cause}]"), "speaks against").await?;
    }
    as_natively(browser).await?;
    ensure!(!held(browser).await?, "the findings still wait: {:?}", strip(browser).await?);
    Ok(())
}

async fn as_natively(browser: &Browser) -> Result<()> {
    let document = lesson(browser).await?;
    let field = |name: &str| document.get(name).cloned().unwrap_or(Json::Null);
    let verdict = "const { report } = deep('handpath-compare');
        return report.files[report.shown].report.findings.find(({ name }) => name === 'carrier')?.verdict ?? null;";
    let verdict = browser.run(verdict, vec![]).await?;
    let fits = match verdict.as_str() {
        Some("arm-driven" | "both" | "body-carried") => parse("true"),
        Some("neither") => parse("false"),
        _ => parse("null"),
    };
    let fits = fits.map_err(|error| anyhow!("{error:?}"))?;
    let record = |fields: Vec<(&str, Json)>| {
        Json::Record(fields.into_iter().map(|(name, value)| (name.to_owned(), value)).collect())
    };
    let path = record(vec![("judge", parse("true").unwrap_or(Json::Null)), ("fits", fits)]);
    let asked = record(vec![
        ("hand", Json::text("right")),
        ("club", Json::text("iron")),
        ("setup", field("setup")),
        ("captures", field("captures")),
        ("looked", field("looked")),
        ("path", path),
    ]);
    let rows = rule_out::told(&asked.given()).rows;
    let native: Vec<(String, String)> =
        rows.iter().map(|row| (row.cause.name().to_owned(), row.state.name().to_owned())).collect();
    let shown = strip(browser).await?;
    ensure!(shown == native, "the page shows {shown:?}, natively {native:?}");
    Ok(())
}

/// The student's own pulls against their own good balls.
async fn own_pulls(browser: &Browser, hand: Hand) -> Result<()> {
    press(browser, hand, ".own-pulls").await?;
    let shown = "return deep(arguments[0]).querySelectorAll('[data-change]').length;";
    let shown = browser.run(shown, vec![json!(path("[data-card=captures] .lesson"))]).await?;
    ensure!(shown.as_u64() > Some(3), "own pulls against own good balls: {shown} measures");
    Ok(())
}

/// Shares of full effort, two captures each.
const EFFORTS: [f64; 4] = [0.3, 0.6, 0.9, 1.0];

/// Does the path hold as speed returns? The table says what the native core says of the same measures.
async fn efforts(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server, Hand::Pointer).await?;
    let swings = EFFORTS.iter().flat_map(|effort| [(*effort, 1), (*effort, 2)]).map(|(effort, n)| {
        let params = ModelParams { effort, ..student(1, n) };
        let recording = sample(&Motion::new(&params), &params, &SampleOptions::default());
        let recording = recording.map_err(|_| anyhow!("the model's arms do not reach"))?;
        Ok((format!("at {:.0} {n}.c3d", 100.0 * effort), c3d(&recording, &C3dOptions::default())))
    });
    let swings = swings.collect::<Result<Vec<_>>>()?;
    let files: Vec<(&str, &[u8])> = swings.iter().map(|(name, bytes)| (name.as_str(), &bytes[..])).collect();
    drop_files(browser, "student", &files).await?;
    unfold(browser, Hand::Pointer, "captures").await?;
    for (n, effort) in EFFORTS.iter().flat_map(|effort| [effort, effort]).enumerate() {
        let field = format!(".captures > li:nth-child({}) [data-field=effort]", n + 1);
        fill(browser, Hand::Pointer, &field, &effort.to_string()).await?;
    }
    let table = "const rows = [...deep('handpath-compare').shadowRoot.querySelectorAll('[data-along]')];
        return rows.map(row => [row.dataset.along, ...[...row.querySelectorAll('td')].map(cell => cell.dataset.verdict)]);";
    let shown = browser.run(table, vec![]).await?;
    let native = along(browser).await?;
    let shown: Vec<Vec<String>> = serde_json::from_value(shown)?;
    ensure!(shown.len() > 3, "{} measures along the efforts", shown.len());
    for row in &shown {
        let [name, verdicts @ ..] = &row[..] else { continue };
        let found = native.iter().find(|along| along.name == *name).context("a measure that the core has not")?;
        let expected: Vec<&str> = found.efforts.iter().map(|at| at.verdict).collect();
        ensure!(
            *verdicts == expected[..] && expected[..2] == ["slow", "slow"],
            "{name}: {verdicts:?}, natively {expected:?}"
        );
    }
    Ok(())
}

/// The measures that the page found, by the core natively.
async fn along(browser: &Browser) -> Result<Vec<captures::Along>> {
    let measures = "const { report } = deep('handpath-compare');
        return JSON.stringify(Object.values(report.files).filter(({ report }) => report.name.startsWith('at '))
            .map(({ report }) => ({ effort: Number(report.name.split(' ')[1]) / 100, measures: report.swing?.measures ?? report.measures })));";
    let measures = browser.run(measures, vec![]).await?;
    let measures = parse(measures.as_str().context("no measures")?).map_err(|error| anyhow!("{error:?}"))?;
    Ok(captures::along(&measures.given()))
}

async fn planned(browser: &Browser, hand: Hand) -> Result<()> {
    unfold(browser, hand, "plan").await?;
    fill(browser, hand, "[data-field=drill-feel]", "hands fall, chest waits").await?;
    fill(browser, hand, "[data-field=cap]", "80").await?;
    press(browser, hand, ".keep-plan").await?;
    let document = lesson(browser).await?;
    let plan = document.get("plan").context("no plan in the lesson")?;
    let feel = plan.get("drill").and_then(|drill| drill.get("feel")).and_then(Json::as_text);
    let cap = plan.get("cap").and_then(Json::as_count);
    ensure!(feel == Some("hands fall, chest waits") && cap == Some(80), "{plan:?}");
    Ok(())
}

/// At home: sixty balls, with a step down.
async fn practised(browser: &Browser, server: &Server, lesson: &str) -> Result<String> {
    practice::page(browser, server).await?;
    practice::take(browser, lesson).await?;
    let mut kinds = vec![practice::pressed(browser, &[".begin-practice"]).await?];
    for ball in practice::balls() {
        kinds.push(practice::pressed(browser, ball).await?);
    }
    ensure!(kinds.iter().any(|shown| shown["advice"] == "step down"), "no step down");
    ensure!(kinds.last().is_some_and(|shown| shown["balls"] == 60), "{:?}", kinds.last());
    Ok(practice::saved(browser).await?.save())
}

async fn transferred(browser: &Browser, server: &Server, lesson: &str) -> Result<String> {
    practice::page(browser, server).await?;
    practice::take(browser, lesson).await?;
    if browser.run("return deep('handpath-practice >>> .begin-transfer') === null;", vec![]).await? == true {
        practice::pressed(browser, &[".end"]).await?;
    }
    practice::pressed(browser, &[".begin-transfer"]).await?;
    for _ in 0..10 {
        practice::pressed(browser, &[".good"]).await?;
    }
    Ok(practice::saved(browser).await?.save())
}

async fn back(browser: &Browser, server: &Server, hand: Hand, lesson: &str) -> Result<()> {
    open(browser, server, hand).await?;
    drop_files(browser, "student", &[("back.json", lesson.as_bytes())]).await
}

async fn verdict(browser: &Browser) -> Result<Value> {
    let there = format!("deep({})", json!(path(".verdict-box")));
    browser.until("the verdict", &there, LIMIT).await?;
    idle(browser).await?;
    let found = "const { verdict, changed } = deep(arguments[0]).dataset; return [verdict, changed];";
    browser.run(found, vec![json!(path(".verdict-box"))]).await
}

/// The next lesson: other captures, other balls, a transfer test.
async fn next(browser: &Browser, server: &Server, hand: Hand) -> Result<()> {
    unfold(browser, hand, "next").await?;
    press(browser, hand, ".begin-next").await?;
    checked(browser, hand).await?;
    captures(browser, hand, 2, 0).await?;
    let found = verdict(browser).await?;
    ensure!(found == json!(["keep", "both"]), "before the transfer test: {found}");
    let lesson = transferred(browser, server, &text(browser).await?).await?;
    back(browser, server, hand, &lesson).await?;
    let found = verdict(browser).await?;
    ensure!(found == json!(["finish", "both"]), "after the transfer test: {found}");
    Ok(())
}

/// One page each: the report, which names plan and code of the settings, and the card.
async fn printed(browser: &Browser) -> Result<()> {
    // WebKitGTK's driver prints no page.
    if browser.engine() == Engine::WebKit {
        return Ok(());
    }
    browser.until("the code of the settings", "deep('handpath-compare >>> .fingerprint')?.dataset.code", LIMIT).await?;
    for (name, width, height) in PAPERS {
        one_page(browser, &format!("report-{name}"), width, height).await?;
    }
    // After printing nothing of it is left in the page.
    let printed = "dispatchEvent(new Event('beforeprint'));
        const { textContent } = deep('handpath-compare >>> .paper .of-plan:last-child');
        dispatchEvent(new Event('afterprint'));
        return [textContent, !deep('handpath-compare >>> .paper .of-plan')];";
    let printed = browser.run(printed, vec![]).await?;
    ensure!(printed[1] == json!(true), "lines of the plan are left in the page");
    let told = printed[0].as_str().unwrap_or_default();
    let code = browser.run("return deep('handpath-compare >>> .fingerprint').dataset.code;", vec![]).await?;
    ensure!(code.as_str().is_some_and(|code| told.contains(code)), "the report says {told:?}, the desk {code}");
    let card = "deep('handpath-compare').toggleAttribute('data-card', arguments[0]); deep('handpath-compare >>> .take-home').open = arguments[0];";
    unfold(browser, Hand::Pointer, "plan").await?;
    browser.run(card, vec![json!(true)]).await?;
    let tall = "const element = deep('handpath-compare');
        element.toggleAttribute('data-printing', true);
        const { height } = deep('handpath-compare >>> .take-home .card').getBoundingClientRect();
        element.toggleAttribute('data-printing', false);
        return height;";
    let tall = browser.run(tall, vec![]).await?;
    ensure!(tall.as_f64() > Some(300.0), "the card on paper is {tall} px high");
    for (name, width, height) in PAPERS {
        one_page(browser, &format!("take-home-{name}"), width, height).await?;
    }
    browser.run(card, vec![json!(false)]).await.map(drop)
}

async fn one_page(browser: &Browser, name: &str, width: f64, height: f64) -> Result<()> {
    let pdf = browser.print(width, height).await?;
    std::fs::write(root().join(format!("target/verify/{}-{name}.pdf", browser.engine().name())), &pdf)?;
    let pages = pages(&pdf)?;
    ensure!(pages == 1, "{name}: {pages} pages");
    Ok(())
}

/// `paper`: are the report and the card printed?
async fn whole(browser: &Browser, server: &Server, paper: bool) -> Result<()> {
    let hand = Hand::Pointer;
    open(browser, server, hand).await?;
    intake(browser, hand).await.context("intake")?;
    checked(browser, hand).await.context("set-up check")?;
    captures(browser, hand, 1, 4).await.context("captures")?;
    own_pulls(browser, hand).await?;
    ruled_out(browser, hand).await.context("rule out first")?;
    planned(browser, hand).await.context("plan")?;
    let made = text(browser).await?;
    let lesson = practised(browser, server, &made).await.context("practice")?;
    back(browser, server, hand, &lesson).await?;
    let again = text(browser).await?;
    drop_files(browser, "student", &[("again.json", again.as_bytes())]).await?;
    ensure!(text(browser).await? == again, "opened and saved again it is another lesson");
    unfold(browser, hand, "practice").await?;
    let balls =
        browser.run("return deep(arguments[0])?.dataset.balls ?? null;", vec![json!(path("[data-session]"))]).await?;
    ensure!(balls == "60", "the desk shows {balls} balls");
    if paper {
        printed(browser).await.context("on paper")?;
    }
    next(browser, server, hand).await.context("next lesson")
}

/// Every control of the cards is reached by tabs and used by keys.
async fn by_keys(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server, Hand::Keys).await?;
    intake(browser, Hand::Keys).await.context("intake")?;
    captures(browser, Hand::Keys, 1, 4).await.context("captures")?;
    fill(browser, Hand::Keys, "[data-card=rule_out] [data-field=aim]", "speaks against").await?;
    fill(browser, Hand::Keys, "[data-card=rule_out] [data-field=ball-position]", "speaks against").await?;
    // A list in which somebody may still be typing is left alone for a second.
    let shown = "getComputedStyle(deep('handpath-compare >>> .findings')).display !== 'none'";
    browser.until("the findings", shown, LIMIT).await?;
    planned(browser, Hand::Keys).await.context("plan")?;
    browser.press(ENTER).await
}

async fn narrow(browser: &Browser, server: &Server) -> Result<()> {
    browser.look(390, 844, Scheme::Light).await?;
    let done = whole(browser, server, false).await;
    let wide = "return [...deep('handpath-compare >>> .desk').querySelectorAll('*')]
        .filter(node => !node.closest('.scroll') && node.getBoundingClientRect().right > innerWidth)
        .map(node => node.outerHTML.slice(0, 120));";
    let wide = browser.run(wide, vec![]).await;
    browser.look(1280, 900, Scheme::Light).await?;
    done?;
    let wide = wide?;
    ensure!(wide == json!([]), "wider than the window: {wide}");
    Ok(())
}
