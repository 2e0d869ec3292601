//! The report for people: sentences and tables from the English catalogue.

use handpath::findings::{Evidence, Finding, spoken_percent};
use handpath::measure::{Drawer, Measure};
use handpath::report::{Against, FileReport, Place3, Report, SharesReport, SwingReport};
use handpath::settings::Hand;
use handpath::swing::{Guess, GuessValue};
use handpath::words::{Message, english};

const INSTANT_HEADS: [&str; 9] = [
    "inspect.instant",
    "inspect.time",
    "inspect.sd",
    "inspect.row",
    "inspect.out",
    "inspect.target",
    "inspect.up",
    "inspect.speed",
    "inspect.source",
];

const FINDING_HEADS: [&str; 5] =
    ["inspect.finding", "inspect.verdict", "inspect.certainty", "inspect.flips", "inspect.evidence"];

const GUESS_HEADS: [&str; 5] = ["inspect.guess", "inspect.value", "inspect.sd", "inspect.source", "inspect.correction"];

const DIFFERENCE_HEADS: [&str; 6] =
    ["inspect.difference", "inspect.out", "inspect.target", "inspect.up", "inspect.late", "inspect.since"];

/// The whole answer about one file.
pub(super) fn report(report: &Report) -> String {
    let mut out = format!("{}\n", report.name);
    out.extend(report.file.iter().map(|file| indented(&about(file))));
    out.extend(report.error.iter().map(|error| indented(&error.to_string())));
    if report.error.is_none() {
        out += &indented(&player(report));
        out += &instants(report);
        out.extend(report.swing.absent.iter().map(|absent| {
            let no = Message::new("inspect.absent").with("name", absent.name.name());
            indented(&format!("{no} {}", absent.why))
        }));
        out += &shape(report);
        out += &measures(&report.swing.measures, "inspect.measure");
        out += &findings(&report.swing);
        out += &guesses(&report.swing.guesses);
    }
    if report.error.is_some() {
        out.extend(report.file.iter().map(|file| indented(&track_names(file))));
    }
    if !report.warnings.is_empty() {
        out += &format!("\n  {}\n", english("inspect.warnings"));
        out.extend(report.warnings.iter().map(|warning| format!("  - {warning}\n")));
    }
    out + "\n"
}

pub(super) fn indented(line: &str) -> String {
    format!("  {line}\n")
}

fn about(file: &FileReport) -> String {
    let rate = file.rate_hz.map_or_else(
        || english("inspect.no_rate").to_owned(),
        |hz| Message::new("inspect.rate").with("hz", hz).with("source", word(&file.rate_source)).to_string(),
    );
    Message::new("inspect.file")
        .with("format", word(&file.format))
        .with("rate", rate)
        .with("rows", file.rows)
        .with("from", file.clock_s[0])
        .with("to", file.clock_s[1])
        .with("tracks", file.tracks.len())
        .to_string()
}

fn track_names(file: &FileReport) -> String {
    let names: Vec<String> = file.tracks.iter().map(|track| track.name.clone()).collect();
    format!("{} {}", english("inspect.track_names"), names.join(", "))
}

/// A documented word, as the JSON spells it.
pub(super) fn word(value: &impl serde::Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}

fn player(report: &Report) -> String {
    let swing = &report.swing;
    let hand = if swing.hand == Some(Hand::Left) { "inspect.left_hander" } else { "inspect.right_hander" };
    Message::new("inspect.player")
        .with("hand", english(hand))
        .with("club", swing.club.map(|club| word(&club)).unwrap_or_default())
        .with("kind", swing.kind.map(|kind| word(&kind)).unwrap_or_default())
        .to_string()
}

fn instants(report: &Report) -> String {
    let mut rows = vec![INSTANT_HEADS.map(|head| english(head).to_owned()).to_vec()];
    for instant in &report.swing.instants {
        let mut row = vec![
            instant.name.name().to_owned(),
            format!("{:.3}", instant.time_s),
            format!("{:.3}", instant.sd_s),
            instant.row.map(|row| row.to_string()).unwrap_or_default(),
        ];
        row.extend(centimetres(&instant.place));
        row.push(instant.speed_m_s.map(|speed| format!("{speed:.2}")).unwrap_or_default());
        row.push(instant.source.to_owned());
        rows.push(row);
    }
    table(&rows, 8)
}

/// The student beside each reference.
pub(super) fn comparisons(report: &Report) -> String {
    report.alignment.iter().map(|against| comparison(&report.name, against)).collect()
}

fn comparison(student: &str, against: &Against) -> String {
    let names =
        Message::new("inspect.against").with("student", student).with("reference", against.reference.name.as_str());
    let mut out = format!("{names}\n");
    out.extend(against.differs.error.iter().map(|error| indented(&error.to_string())));
    if let Some(factor) = against.differs.factor {
        let source = against.differs.factor_source.unwrap_or(english("inspect.no_common_length"));
        out += &indented(&Message::new("inspect.factor").with("factor", factor).with("source", source).to_string());
        out += &at_instants(against);
        if !against.differs.measures.is_empty() {
            out += &(measures(&against.differs.measures, "inspect.difference") + "\n");
        }
    }
    let alignment = against.alignment.iter();
    let told = alignment
        .flat_map(|found| found.warnings.iter().chain([&found.bias]).chain(found.dropped.iter().map(|d| &d.why)));
    out.extend(against.differs.doubts.iter().chain(told).map(|message| format!("  - {message}\n")));
    out + "\n"
}

fn at_instants(against: &Against) -> String {
    let mut rows = vec![DIFFERENCE_HEADS.map(|head| english(head).to_owned()).to_vec()];
    for at in &against.differs.at_instants {
        let place = Place3 { out_m: Some(at.out_m), target_m: Some(at.target_m), up_m: Some(at.up_m) };
        let mut row = vec![at.name.name().to_owned()];
        row.extend(centimetres(&place));
        row.push(at.lateness_s.map(|late| format!("{:.0}", 1000.0 * late)).unwrap_or_default());
        row.push(at.since.map(|since| since.name().to_owned()).unwrap_or_default());
        rows.push(row);
    }
    table(&rows, 5) + "\n"
}

pub(super) fn centimetres(place: &Place3) -> [String; 3] {
    [place.out_m, place.target_m, place.up_m].map(|x| x.map(|x| format!("{:.1}", 100.0 * x)).unwrap_or_default())
}

/// What the path does, in a few lines.
fn shape(report: &Report) -> String {
    let peak = report.swing.peak_hand_speed.map(|peak| {
        Message::new("inspect.peak").with("speed", peak.speed_m_s).with("time", peak.time_s).with("row", peak.row)
    });
    let drop = report.swing.top_to_lead_arm_level.map(|place| {
        let [out, target, up] = centimetres(&place);
        Message::new("inspect.drop").with("out", out).with("target", target).with("up", up)
    });
    let address = report.swing.hands_at_address.map(|place| {
        let [out, target, up] = centimetres(&place);
        Message::new("inspect.address").with("out", out).with("target", target).with("up", up)
    });
    let shares = report.swing.shares.iter().chain(&report.swing.shares_by_trunk).map(causes);
    let lines = address.into_iter().chain(peak).chain(drop).chain(shares).map(|line| indented(&line.to_string()));
    format!("\n{}", lines.collect::<String>())
}

/// Who moved the hands, in one thorax frame.
fn causes(shares: &SharesReport) -> Message {
    let place = |place: &Place3| centimetres(place).join(" ");
    Message::new("inspect.arm_and_body")
        .with("frame", word(&shares.frame))
        .with("arm", place(&shares.arm))
        .with("body", place(&shares.body))
        .with("shift", place(&shares.shift))
        .with("turn", place(&shares.turn))
        .with("tilt", place(&shares.tilt))
}

/// What is shown first, with 90 % intervals; centimetres for metres, milliseconds for seconds.
fn measures(measures: &[Measure], head: &'static str) -> String {
    let heads = [head, "inspect.value", "inspect.low", "inspect.high", "inspect.unit"];
    let mut rows = vec![heads.map(|head| english(head).to_owned()).to_vec()];
    let shown = |measure: &&Measure| measure.drawer == Drawer::First && measure.value.is_some();
    for measure in measures.iter().filter(shown) {
        let (factor, unit) = spoken(measure.unit);
        let number = |x: Option<f64>| x.map(|x| format!("{:.1}", factor * x)).unwrap_or_default();
        let numbers = [measure.value, measure.low_90, measure.high_90].map(number);
        let [value, low, high] = numbers;
        rows.push(vec![measure.name.to_owned(), value, low, high, unit.to_owned()]);
    }
    table(&rows, 4)
}

/// What a number in this unit is multiplied by, and the unit it then has.
pub(super) fn spoken(unit: &'static str) -> (f64, &'static str) {
    match unit {
        "m" => (100.0, "cm"),
        "s" => (1000.0, "ms"),
        "1" => (100.0, "%"),
        unit => (1.0, unit),
    }
}

/// What the measures fit with: in sentences, and as verdict, certainty, the turn of the target line that changes it, and
/// each number against its threshold.
fn findings(swing: &SwingReport) -> String {
    let sentences: String = swing.reading.iter().map(|sentence| indented(&sentence.to_string())).collect();
    format!("\n{sentences}{}", finding_table(&swing.findings))
}

fn finding_table(findings: &[Finding]) -> String {
    let mut rows = vec![FINDING_HEADS.map(|head| english(head).to_owned()).to_vec()];
    for finding in findings {
        let certainty = finding.certainty.map(|share| format!("{} %", spoken_percent(share))).unwrap_or_default();
        let evidence: Vec<String> = finding.evidence.iter().map(evidence).collect();
        let flips = finding.flips_deg.zip(finding.flips_to).map(|(deg, to)| format!("{deg:+} deg: {to}"));
        let words = [finding.name, finding.verdict].map(str::to_owned);
        rows.push([&words[..], &[certainty, flips.unwrap_or_default(), evidence.join("; ")]].concat());
    }
    table(&rows, usize::MAX)
}

/// "made, out -1.6 cm (at least 1.0)"; with references "trunk lean 30.0 deg, references 35.2 (at most -5.0)".
fn evidence(evidence: &Evidence) -> String {
    let (factor, unit) = spoken(evidence.unit);
    let number = |x: f64| format!("{:.1}", factor * x);
    let value = evidence.value.map_or_else(|| "-".to_owned(), |value| format!("{} {unit}", number(value)));
    let beside = evidence.references.map(|mean| format!(", {} {}", english("inspect.references"), number(mean)));
    let (side, limit) = (word(&evidence.side), number(evidence.limit));
    format!("{} {value}{} ({side} {limit})", evidence.measure, beside.unwrap_or_default())
}

fn guesses(guesses: &[Guess]) -> String {
    let mut rows = vec![GUESS_HEADS.map(|head| english(head).to_owned()).to_vec()];
    for guess in guesses {
        let unit = guess.unit.unwrap_or_default();
        let value = match &guess.value {
            GuessValue::Number(x) => format!("{} {unit}", short(*x)),
            GuessValue::Text(text) => text.clone(),
        };
        let sd = guess.sd.filter(|sd| *sd > 0.0).map(short).unwrap_or_default();
        rows.push(vec![guess.what.clone(), value, sd, guess.source.to_owned(), format!("--{}", guess.correction)]);
    }
    table(&rows, usize::MAX)
}

/// Four digits are more than any guess is good for.
fn short(x: f64) -> String {
    let digits = if x == 0.0 { 0 } else { (3 - x.abs().log10().floor() as i32).clamp(0, 8) };
    let text = format!("{x:.*}", digits as usize);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Columns side by side; those from the second to `numbers` to the right, the others to the left.
pub(super) fn table(rows: &[Vec<String>], numbers: usize) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| rows.iter().filter_map(|row| row.get(c)).map(|cell| cell.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut out = String::from("\n");
    for row in rows {
        let cells = row.iter().enumerate().map(|(c, cell)| {
            let width = widths[c];
            if (1..numbers).contains(&c) && numbers != usize::MAX {
                format!("{cell:>width$}")
            } else {
                format!("{cell:<width$}")
            }
        });
        out += &format!("  {}\n", cells.collect::<Vec<_>>().join("  ").trim_end());
    }
    out
}
