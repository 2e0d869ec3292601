//! C3D: binary points with parameters.
//!
//! A file is a sequence of 512-byte blocks, counted from 1. Block 1 is the header; it names the block where the
//! parameter section starts and the block where the data start. The parameter section says which processor wrote all
//! numbers. Sources: the C3D user guide (c3d.org) for layout and meaning; quirks beside the code that handles them.
//!
//! ```text
//! [zero bytes]   some writers put them before the header; every block number then counts from the header
//! header         512 bytes                              header.rs
//! parameters     groups and parameters                  parameters.rs
//! data           frames: all points, then all analog    layout.rs (how many, where), points.rs (what they are)
//! ```

mod error;
mod events;
mod header;
mod labels;
mod layout;
mod numbers;
mod parameters;
mod points;

pub use error::C3dError;

use super::{Axis, Format, RateSource, ReadOptions, Recording, Track};
use crate::words::Message;
use header::Header;
use layout::Layout;
use parameters::Parameters;

/// Size of a block.
const BLOCK: usize = 512;

/// Is this a C3D header, possibly after zero bytes? Byte 2 is 0x50; a header has zero bytes, a text of that beginning
/// has none.
pub(super) fn looks_like(bytes: &[u8]) -> bool {
    let file = without_leading_zeros(bytes);
    file.get(1) == Some(&header::KEY) && file[..file.len().min(BLOCK)].contains(&0)
}

fn without_leading_zeros(bytes: &[u8]) -> &[u8] {
    let start = bytes.iter().position(|&byte| byte != 0).unwrap_or(0);
    &bytes[start..]
}

/// Reads a C3D file: one track per marker, points in the file's own axes and unit.
///
/// The clock counts from frame 1, as event times do, so a trial that was cut out of a longer one starts later than 0. A
/// rate in `options` is used only where the file states none.
pub(super) fn read(bytes: &[u8], options: &ReadOptions) -> Result<Recording, C3dError> {
    let file = without_leading_zeros(bytes);
    let mut warnings = Vec::new();
    let section = parameters::section(file)?;
    let header = Header::read(file, section.processor)?;
    let parameters = Parameters::read(section, &mut warnings);
    let layout = Layout::of(file, &header, &parameters, &mut warnings)?;
    let (rate_hz, rate_source) = rate(&header, &parameters, options, &mut warnings)?;
    let first_frame = first_frame(&header, &parameters);
    let clock_s: Vec<f64> = (0..layout.frames).map(|row| (first_frame + row as u64) as f64 / rate_hz).collect();
    let tracks = tracks(file, &layout, &parameters, &mut warnings)?;
    let events = events::read(&header, &parameters, &clock_s, &mut warnings);
    let (up, usual_up) = screen_up(&parameters);
    Ok(Recording {
        format: Format::C3d,
        rate_hz: Some(rate_hz),
        rate_source,
        first_row: 0,
        clock_s,
        tracks,
        up,
        usual_up,
        events,
        warnings,
    })
}

/// POINT:RATE, else the header's rate, else the user's.
fn rate(
    header: &Header<'_>,
    parameters: &Parameters<'_>,
    options: &ReadOptions,
    warnings: &mut Vec<Message>,
) -> Result<(f64, RateSource), C3dError> {
    let usable = |rate: &f64| rate.is_finite() && *rate > 0.0 && (1.0 / rate).is_finite();
    let stated = parameters.number("POINT", "RATE").filter(usable);
    let in_header = Some(header.rate_hz).filter(usable);
    if let (Some(stated), Some(in_header)) = (stated, in_header)
        && (stated - in_header).abs() > 1e-3 * stated
    {
        warnings.push(Message::new("c3d.rate_differs").with("used", stated).with("header", in_header));
    }
    match (stated.or(in_header), options.rate_hz.filter(usable)) {
        (Some(rate), _) => Ok((rate, RateSource::Stated)),
        (None, Some(rate)) => Ok((rate, RateSource::User)),
        (None, None) => Err(C3dError::NoRate),
    }
}

/// Frames between frame 1 and the first frame of the file. TRIAL holds 32 bits, the header 16; some writers count from
/// zero, which is taken as frame 1.
fn first_frame(header: &Header<'_>, parameters: &Parameters<'_>) -> u64 {
    let trial = parameters.long("TRIAL", "ACTUAL_START_FIELD").filter(|&frame| frame > 0);
    trial.unwrap_or(header.first_frame).saturating_sub(1)
}

/// The markers' tracks, without model outputs.
fn tracks(
    file: &[u8],
    layout: &Layout,
    parameters: &Parameters<'_>,
    warnings: &mut Vec<Message>,
) -> Result<Vec<Track>, C3dError> {
    let markers = labels::markers(parameters, layout.points, warnings);
    if markers.is_empty() {
        return Err(C3dError::OnlyModelOutputs { points: layout.points });
    }
    let indices: Vec<usize> = markers.iter().map(|marker| marker.index).collect();
    let columns = points::read(file, layout, parameters.processor, &indices);
    let tracks = markers
        .into_iter()
        .zip(columns)
        .map(|(marker, points)| Track { unit: marker.unit, ..Track::marker(marker.name, points) });
    let tracks: Vec<Track> = tracks.collect();
    // An empty track stays: the file lists the marker, and a point list that skips some is hard to compare with others.
    let empty = || tracks.iter().filter(|track| track.present() == 0);
    match (empty().count(), empty().next()) {
        (count, _) if count == tracks.len() => Err(C3dError::AllMissing { points: count, frames: layout.frames }),
        (count, Some(first)) => {
            let message = Message::new("c3d.empty_tracks").with("count", count);
            warnings.push(message.with("name", first.name.as_str()));
            Ok(tracks)
        }
        (_, None) => Ok(tracks),
    }
}

/// POINT:Y_SCREEN names the file axis that points up on a screen. With a minus it is met in files whose vertical is the
/// opposite direction (screens count rows downwards), so then only the axis is taken, as a habit.
fn screen_up(parameters: &Parameters<'_>) -> (Option<Axis>, Option<Axis>) {
    let stated = parameters.strings("POINT", "Y_SCREEN").first().and_then(|text| Axis::parse(text));
    match stated {
        Some(up @ (Axis::PlusX | Axis::PlusY | Axis::PlusZ)) => (Some(up), Some(up)),
        Some(Axis::MinusX) => (None, Some(Axis::PlusX)),
        Some(Axis::MinusY) => (None, Some(Axis::PlusY)),
        Some(Axis::MinusZ) | None => (None, Some(Axis::PlusZ)),
    }
}

#[cfg(test)]
mod build;
#[cfg(test)]
mod tests;
