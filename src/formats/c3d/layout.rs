//! Where the frames are and how many: claims of the file, checked against its size.

use super::BLOCK;
use super::error::C3dError;
use super::header::Header;
use super::parameters::Parameters;
use crate::words::Message;

/// Frame count that says: look elsewhere, 16 bits are not enough.
const FULL_WORD: u64 = 65535;

/// How the data section is laid out. `start + frames * frame_bytes()` is inside the file.
///
/// ```text
/// frame  = point*, analog value*
/// point  = x, y, z, residual word
/// ```
///
/// Elements are 16-bit words times the scale, or floats; analog values have the same size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Layout {
    /// Byte of the first frame.
    pub(super) start: usize,
    /// Points per frame.
    pub(super) points: usize,
    /// Analog values per frame, all channels and samples.
    pub(super) analog: usize,
    /// Frames.
    pub(super) frames: usize,
    /// `None`: floats.
    pub(super) int_scale: Option<f64>,
}

impl Layout {
    pub(super) fn of(
        file: &[u8],
        header: &Header<'_>,
        parameters: &Parameters<'_>,
        warnings: &mut Vec<Message>,
    ) -> Result<Layout, C3dError> {
        let scale = parameters.number("POINT", "SCALE").unwrap_or(header.scale);
        if scale == 0.0 || !scale.is_finite() {
            return Err(C3dError::Scale { found: scale });
        }
        // The sign of the scale tells floats (already scaled) from words.
        let int_scale = (scale > 0.0).then_some(scale);
        let claims = Claims::collect(header, parameters)?;
        let first = claims.first(int_scale);
        let chosen = claims.settle(file.len(), int_scale)?;
        if chosen.frames < first.frames && chosen.same_but_frames(&first) && !claims.frames.contains(&chosen.frames) {
            let message = Message::new("c3d.truncated").with("stated", first.frames).with("kept", chosen.frames);
            warnings.push(message);
        } else if chosen != first {
            let message = Message::new("c3d.counts_differ").with("points", chosen.points);
            warnings.push(message.with("frames", chosen.frames).with("analog", chosen.analog));
        }
        Ok(chosen)
    }

    pub(super) fn element_bytes(&self) -> usize {
        if self.int_scale.is_some() { 2 } else { 4 }
    }

    /// Bytes of a frame. Counts are 16-bit words or were checked against the file, so this cannot overflow.
    pub(super) fn frame_bytes(&self) -> usize {
        (4 * self.points + self.analog) * self.element_bytes()
    }

    fn bytes(&self) -> Option<usize> {
        self.frames.checked_mul(self.frame_bytes())
    }

    fn same_but_frames(&self, other: &Layout) -> bool {
        Layout { frames: other.frames, ..*self } == *other
    }
}

/// What the file says in its several places, the most trusted first. No list is empty.
struct Claims {
    starts: Vec<usize>,
    points: Vec<usize>,
    analog: Vec<usize>,
    frames: Vec<usize>,
}

impl Claims {
    fn collect(header: &Header<'_>, parameters: &Parameters<'_>) -> Result<Claims, C3dError> {
        // POINT:USED is a word by the guide; some writers store a byte.
        let points = distinct([parameters.count("POINT", "USED"), Some(header.points as u64)], FULL_WORD);
        if points.is_empty() {
            return Err(C3dError::NoPoints);
        }
        let block = [Some(header.data_block as u64), parameters.count("POINT", "DATA_START")];
        let mut starts: Vec<usize> = distinct(block, FULL_WORD).iter().map(|&block| (block - 1) * BLOCK).collect();
        if starts.is_empty() {
            // A file that does not say: the data follow the parameters.
            starts.push(parameters.end);
        }
        let frames = distinct(frame_claims(header, parameters), u64::from(u32::MAX));
        if frames.is_empty() {
            return Err(C3dError::NoRows);
        }
        Ok(Claims { starts, points, analog: analog_claims(header, parameters), frames })
    }

    /// The first combination that fits.
    fn find(&self, int_scale: Option<f64>, fits: &dyn Fn(&Layout) -> bool) -> Option<Layout> {
        for &start in &self.starts {
            for &points in &self.points {
                for &analog in &self.analog {
                    let each = |&frames| Layout { start, points, analog, frames, int_scale };
                    if let Some(layout) = self.frames.iter().map(each).find(fits) {
                        return Some(layout);
                    }
                }
            }
        }
        None
    }

    fn first(&self, int_scale: Option<f64>) -> Layout {
        let (start, points, analog, frames) = (self.starts[0], self.points[0], self.analog[0], self.frames[0]);
        Layout { start, points, analog, frames, int_scale }
    }

    /// The first combination that fills the file but for the padding of its last block; else the first that fits and
    /// has the most trusted frame count; else the complete frames that a cut file still has.
    fn settle(&self, file_bytes: usize, int_scale: Option<f64>) -> Result<Layout, C3dError> {
        let spare = |layout: &Layout| file_bytes.checked_sub(layout.start)?.checked_sub(layout.bytes()?);
        let fills = |layout: &Layout| spare(layout).is_some_and(|spare| spare < BLOCK);
        let fits = |layout: &Layout| layout.frames == self.frames[0] && spare(layout).is_some();
        if let Some(layout) = self.find(int_scale, &fills).or_else(|| self.find(int_scale, &fits)) {
            return Ok(layout);
        }
        let first = self.first(int_scale);
        let found = file_bytes.saturating_sub(first.start);
        match found / first.frame_bytes() {
            0 => Err(C3dError::NoData { start: first.start, frame_bytes: first.frame_bytes(), found }),
            frames => Ok(Layout { frames, ..first }),
        }
    }
}

/// POINT:FRAMES first; where it is full, the places that hold more than 16 bits. The header's frame numbers last: they
/// are those of the original recording.
fn frame_claims(header: &Header<'_>, parameters: &Parameters<'_>) -> [Option<u64>; 5] {
    let frames = parameters.count("POINT", "FRAMES");
    let long = parameters.count("POINT", "LONG_FRAMES");
    let start = parameters.long("TRIAL", "ACTUAL_START_FIELD");
    let end = parameters.long("TRIAL", "ACTUAL_END_FIELD");
    let trial = start.zip(end).and_then(|(start, end)| (end + 1).checked_sub(start));
    let in_header = (header.last_frame + 1).checked_sub(header.first_frame);
    let full = frames == Some(FULL_WORD);
    [if full { long.or(trial) } else { None }, frames, long, trial, in_header]
}

/// Analog values per frame: the header's, else channels times samples. Zero is a claim like any other.
fn analog_claims(header: &Header<'_>, parameters: &Parameters<'_>) -> Vec<usize> {
    let channels = parameters.count("ANALOG", "USED").filter(|&used| used <= FULL_WORD).unwrap_or(0) as usize;
    let rates = parameters.number("ANALOG", "RATE").zip(parameters.number("POINT", "RATE"));
    let samples = rates.map_or(0, |(analog, points)| (analog / points).round().clamp(0.0, 65535.0) as usize);
    let mut claims = vec![header.analog_values];
    for claim in [channels.saturating_mul(header.analog_samples), channels.saturating_mul(samples)] {
        if claim <= FULL_WORD as usize && !claims.contains(&claim) {
            claims.push(claim);
        }
    }
    claims
}

/// Claims above zero, each once.
fn distinct<const N: usize>(claims: [Option<u64>; N], most: u64) -> Vec<usize> {
    let mut list = Vec::with_capacity(N);
    for claim in claims.into_iter().flatten().filter(|&claim| claim > 0 && claim <= most) {
        if !list.contains(&(claim as usize)) {
            list.push(claim as usize);
        }
    }
    list
}
