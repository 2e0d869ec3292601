//! Files of every variant that the writers know, for outside readers to read: each beside a CSV of the same points.

use handpath::formats::write::{self, BvhOptions, C3dOptions, EulerOrder, Processor, TextOptions};
use handpath::formats::{Event, LengthUnit, Recording, Track};
use handpath::model::{ModelParams, Motion, Naming, OutOfReach, SampleOptions, sample, sample_skeleton};

/// Name and content of a file.
pub type File = (String, Vec<u8>);

/// All samples. `NAME.c3d`, `NAME.trc` or `NAME.bvh`, and `NAME.csv` with the points as they were given to the writer.
///
/// # Errors
/// [`OutOfReach`] where the model asks for more than its bones allow.
pub fn sample_files() -> Result<Vec<File>, OutOfReach> {
    let mut files = Vec::new();
    let swing = recording(Naming::Labels, LengthUnit::Millimetre)?;
    for (name, processor) in [("intel", Processor::Intel), ("dec", Processor::Dec), ("sgi", Processor::Sgi)] {
        for (kind, integers) in [("floats", false), ("integers", true)] {
            let bytes = write::c3d(&swing, &C3dOptions { processor, integers });
            files.extend([(format!("{name}-{kind}.c3d"), bytes), points(&format!("{name}-{kind}"), &swing)]);
        }
    }
    for (name, variant) in
        [("events", with_events(&swing)), ("names-300", many_names(&swing)), ("frames-70016", long())]
    {
        let bytes = write::c3d(&variant, &C3dOptions::default());
        files.extend([(format!("{name}.c3d"), bytes), points(name, &variant)]);
    }
    files.extend([("table.trc".to_owned(), write::trc(&swing, "table.trc", 6)), points("table", &swing)]);
    files.extend(skeletons()?);
    Ok(files)
}

/// The points with every digit, a gap as empty cells.
fn points(name: &str, recording: &Recording) -> File {
    let options = TextOptions { decimals: None, header: write::Header::OneRow, ..TextOptions::default() };
    (format!("{name}.csv"), write::text(recording, &options))
}

/// Half a second around impact, at 120 Hz.
fn options(motion: &Motion, naming: Naming, unit: LengthUnit) -> SampleOptions {
    let impact_s = motion.times[0].impact_s;
    let window_s = Some([impact_s - 0.3, impact_s + 0.2]);
    SampleOptions {
        rate_hz: 120.0,
        naming,
        unit,
        window_s,
        hidden: vec!["Ball".to_owned()],
        ..SampleOptions::default()
    }
}

fn recording(naming: Naming, unit: LengthUnit) -> Result<Recording, OutOfReach> {
    let params = ModelParams::default();
    let motion = Motion::new(&params);
    sample(&motion, &params, &options(&motion, naming, unit))
}

fn with_events(swing: &Recording) -> Recording {
    let event = |label: &str, clock_s| Event { label: label.to_owned(), clock_s };
    Recording { events: vec![event("TOP", 0.05), event("IMPACT", 0.3)], ..swing.clone() }
}

fn many_names(swing: &Recording) -> Recording {
    let track = |k: usize| Track { name: format!("P{k:03}"), ..swing.tracks[k % swing.tracks.len()].clone() };
    Recording { tracks: (0..300).map(track).collect(), ..swing.clone() }
}

/// More frames than 16 bits count, and a whole number of blocks: ezc3d reads such files to their end.
fn long() -> Recording {
    let rows = 70_016;
    let places = (0..rows).map(|k| [f64::from(k) * 0.01, -250.0, 0.5]).collect();
    let track = Track { unit: Some(LengthUnit::Millimetre), ..Track::marker("P", places) };
    Recording { clock_s: (0..rows).map(|k| f64::from(k) / 120.0).collect(), tracks: vec![track], ..empty() }
}

fn empty() -> Recording {
    Recording {
        format: handpath::formats::Format::C3d,
        rate_hz: Some(120.0),
        rate_source: handpath::formats::RateSource::Stated,
        first_row: 0,
        clock_s: Vec::new(),
        tracks: Vec::new(),
        up: None,
        usual_up: None,
        events: Vec::new(),
        warnings: Vec::new(),
    }
}

fn skeletons() -> Result<Vec<File>, OutOfReach> {
    let mut files = Vec::new();
    let params = ModelParams::default();
    let motion = Motion::new(&params);
    for order in EulerOrder::ALL {
        let options = options(&motion, Naming::Joints, LengthUnit::Centimetre);
        let (skeleton, frames) = sample_skeleton(&motion, &params, &options)?;
        let name = format!("skeleton-{order:?}").to_lowercase();
        let bytes = write::bvh(&skeleton, options.rate_hz, &frames, &BvhOptions { order, ..BvhOptions::default() });
        files.extend([(format!("{name}.bvh"), bytes), points(&name, &sample(&motion, &params, &options)?)]);
    }
    Ok(files)
}
