//! The demo's files: one student in two lessons of five swings, and eight references, spread over the four formats.

use super::presets::{REFERENCES, reference, student};
use super::{ModelParams, Motion, Naming, OutOfReach, SampleOptions, sample, sample_skeleton};
use crate::formats::write::{self, BvhOptions, C3dOptions, TextOptions};
use crate::formats::{Axis, Format, LengthUnit};
use crate::settings::{Club, Hand};
use serde::Serialize;

/// A file of the demo.
#[derive(Clone, Debug, PartialEq)]
pub struct DemoFile {
    /// File name, without a folder.
    pub name: String,
    /// Content.
    pub bytes: Vec<u8>,
}

/// Whose swing a file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
enum Player {
    Student,
    Reference,
}

/// What a file cannot say, as [`crate::settings::Corrections`]: the club, and metres per unit of a BVH file.
#[derive(Clone, Debug, Serialize)]
struct Stated {
    club: Club,
    #[serde(skip_serializing_if = "Option::is_none")]
    scale: Option<f64>,
}

/// One line of `index.json`.
#[derive(Clone, Debug, Serialize)]
struct Entry {
    /// Text for the page.
    label: String,
    player: Player,
    #[serde(skip_serializing_if = "Option::is_none")]
    lesson: Option<u32>,
    club: Club,
    format: Format,
    /// Relative to `index.json`.
    url: String,
    corrections: Stated,
    /// Is it shown when the page opens?
    open: bool,
}

#[derive(Serialize)]
struct Index {
    swings: Vec<Entry>,
}

/// What is not the swing itself.
struct Export {
    format: Format,
    /// Part of the file name.
    stem: String,
    options: SampleOptions,
}

/// Seconds kept before the takeaway and after impact.
const BEFORE_S: f64 = 0.4;
const AFTER_S: f64 = 0.45;
/// Tracks that the text exports leave out, to keep them small.
const NOT_IN_TEXT: [&str; 4] = ["Left Back Hip", "Right Back Hip", "Left Heel", "Right Heel"];

/// All files of the demo, `index.json` last. The same bytes every time.
///
/// # Errors
/// [`OutOfReach`] where a preset asks for more than the bones allow (a test makes sure that none does).
pub fn demo_files() -> Result<Vec<DemoFile>, OutOfReach> {
    let mut files = Vec::new();
    let mut swings = Vec::new();
    for lesson in 1..=2 {
        for swing in 1..=5 {
            let params = student(lesson, swing);
            let format = if lesson == 1 { Format::C3d } else { Format::Text };
            let export = Export::new(format, format!("student-{lesson}-{swing}"), u64::from(10 * lesson + swing));
            let label = format!("student, lesson {lesson}, swing {swing}");
            let entry = export.entry(label, &params, Player::Student, Some(lesson), (lesson, swing) == (1, 1));
            files.push(export.file(&params)?);
            swings.push(entry);
        }
    }
    let formats = [Format::C3d, Format::Trc, Format::Bvh, Format::Text];
    for (k, letter) in REFERENCES.into_iter().enumerate() {
        let params = demo_reference(letter);
        let stem = format!("reference-{}", letter.to_ascii_lowercase());
        let export = Export::new(formats[k % 4], stem, 100 + k as u64);
        swings.push(export.entry(format!("reference {letter}"), &params, Player::Reference, None, letter == 'A'));
        files.push(export.file(&params)?);
    }
    let text = serde_json::to_string_pretty(&Index { swings }).unwrap_or_default();
    files.push(DemoFile { name: "index.json".to_owned(), bytes: (text + "\n").into_bytes() });
    Ok(files)
}

/// The presets, but for reference D, who plays left-handed.
fn demo_reference(letter: char) -> ModelParams {
    let hand = if letter == 'D' { Hand::Left } else { Hand::Right };
    ModelParams { hand, ..reference(letter) }
}

impl Export {
    /// The way each format is usually exported; the lab's axes point elsewhere in each.
    fn new(format: Format, stem: String, seed: u64) -> Self {
        let (rate_hz, unit, up, naming) = match format {
            Format::C3d => (200.0, LengthUnit::Millimetre, Axis::PlusZ, Naming::Labels),
            Format::Trc => (120.0, LengthUnit::Millimetre, Axis::PlusY, Naming::Words),
            Format::Bvh => (120.0, LengthUnit::Centimetre, Axis::PlusY, Naming::Joints),
            Format::Text => (120.0, LengthUnit::Metre, Axis::PlusZ, Naming::Words),
        };
        let hidden = NOT_IN_TEXT.iter().chain((format == Format::Bvh).then_some(&"Ball"));
        let options = SampleOptions {
            rate_hz,
            unit,
            up,
            naming,
            noise_m: 0.0003,
            noise_seed: seed,
            heading_rad: 0.4 * (seed % 7) as f64,
            shift_m: [0.3, -0.8, 0.0],
            hidden: hidden.map(|name| (*name).to_owned()).collect(),
            ..SampleOptions::default()
        };
        Export { format, stem, options }
    }

    fn name(&self) -> String {
        let ending = match self.format {
            Format::C3d => "c3d",
            Format::Trc => "trc",
            Format::Bvh => "bvh",
            Format::Text => "csv",
        };
        format!("{}.{ending}", self.stem)
    }

    fn entry(&self, label: String, params: &ModelParams, player: Player, lesson: Option<u32>, open: bool) -> Entry {
        let scale = (self.format == Format::Bvh).then(|| self.options.unit.metres());
        let corrections = Stated { club: params.club, scale };
        Entry { label, player, lesson, club: params.club, format: self.format, url: self.name(), corrections, open }
    }

    fn file(&self, params: &ModelParams) -> Result<DemoFile, OutOfReach> {
        let motion = Motion::new(params);
        let times = motion.times[0];
        let window_s = Some([(times.takeaway_s - BEFORE_S).max(0.0), times.impact_s + AFTER_S]);
        let options = SampleOptions { window_s, ..self.options.clone() };
        let bytes = if self.format == Format::Bvh {
            let (skeleton, frames) = sample_skeleton(&motion, params, &options)?;
            let digits = BvhOptions { decimals: 3, ..BvhOptions::default() };
            write::bvh(&skeleton, options.rate_hz, &frames, &digits)
        } else {
            let recording = sample(&motion, params, &options)?;
            match self.format {
                Format::Trc => write::trc(&recording, &self.name(), 1),
                Format::Text => write::text(&recording, &TextOptions { decimals: Some(4), ..TextOptions::default() }),
                _ => write::c3d(&recording, &C3dOptions { integers: true, ..C3dOptions::default() }),
            }
        };
        Ok(DemoFile { name: self.name(), bytes })
    }
}
