//! One file: read, analysed, reported.

use super::{Outcome, Stated};
use handpath::formats::{ReadError, ReadOptions, Recording, read};
use handpath::report::Report;
use handpath::settings::Corrections;
use handpath::swing::{Swing, analyse};
use handpath::words::{Message, Place};
use std::path::Path;

/// What came of one file.
#[derive(Clone, Debug)]
pub struct Inspected {
    /// Everything known about it, as plain data.
    pub report: Report,
    /// The file as read; `None` where it is not readable.
    pub recording: Option<Recording>,
    /// The swing, where there is one.
    pub swing: Option<Swing>,
    /// The corrections that were applied.
    pub corrections: Corrections,
    readable: bool,
}

impl Inspected {
    /// How it ended.
    pub fn outcome(&self) -> Outcome {
        match (self.readable, &self.swing) {
            (false, _) => Outcome::NotReadable,
            (true, None) => Outcome::NoSwing,
            (true, Some(_)) => Outcome::Found,
        }
    }

    fn unreadable(name: &str, recording: Option<Recording>, why: Message) -> Self {
        let empty = Report::unreadable(name, &ReadError::Empty);
        let report = Report { error: Some(why), ..empty };
        Inspected { report, recording, swing: None, corrections: Corrections::default(), readable: false }
    }
}

pub(super) fn inspect(path: &Path, stated: &Stated) -> Inspected {
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy();
    let recording = match load(path, stated) {
        Ok(recording) => recording,
        Err(why) => return Inspected::unreadable(&name, None, why),
    };
    let address = match stated.address.as_deref().map(|path| load(path, stated)).transpose() {
        Ok(address) => address,
        Err(why) => {
            let place = Place { file: Some("address"), ..why.place.clone().unwrap_or_default() };
            return Inspected::unreadable(&name, Some(recording), why.at(place));
        }
    };
    let corrections = stated.corrections(|track| recording.track(track).is_some());
    let mut swing = analyse(&recording, address.as_ref(), &corrections);
    if let Ok(swing) = &mut swing {
        swing.label = label(path);
    }
    let report = Report::of(&name, &recording, swing.as_ref());
    Inspected { report, recording: Some(recording), swing: swing.ok(), corrections, readable: true }
}

/// The name a picture shows: the file's, without what stands after the dot.
fn label(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

fn load(path: &Path, stated: &Stated) -> Result<Recording, Message> {
    let unopened = |error: std::io::Error| {
        let path = path.display().to_string();
        Message::new("inspect.not_opened").with("path", path).with("why", error.to_string())
    };
    let bytes = std::fs::read(path).map_err(unopened)?;
    read(&bytes, &ReadOptions { rate_hz: stated.corrections.rate }).map_err(|error| error.message())
}
