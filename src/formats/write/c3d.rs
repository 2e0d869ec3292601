//! C3D: binary points with parameters, by the user guide of c3d.org.
//!
//! ```text
//! block 1      header, 256 words of 16 bits
//! block 2 ...  parameters: groups and their values, as records
//! then         data: per frame, per point x, y, z and a fourth word (camera bits and residual; -1: missing)
//! ```

use crate::formats::{LengthUnit, Recording, is_gap};

/// Number format of the machine that wrote the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Processor {
    /// Little-endian, IEEE floats.
    Intel = 84,
    /// Little-endian integers, VAX floats.
    Dec = 85,
    /// Big-endian, IEEE floats.
    Sgi = 86,
}

/// Variant of the format.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct C3dOptions {
    /// Number format. Default: Intel.
    pub processor: Processor,
    /// 16-bit integers instead of floats, scaled to 32000 at the greatest coordinate. Default: false.
    pub integers: bool,
}

impl Default for C3dOptions {
    fn default() -> Self {
        C3dOptions { processor: Processor::Intel, integers: false }
    }
}

const BLOCK: usize = 512;
/// Labels that one parameter can hold: a dimension is one byte.
const LABELS_PER_PARAMETER: usize = 255;
/// Events that the header can hold.
const HEADER_EVENTS: usize = 18;
/// Marks 4-character event labels in the header.
const EVENT_KEY: u16 = 0x3039;

/// Numbers in the byte order of a processor.
#[derive(Clone, Copy)]
struct Bytes(Processor);

impl Bytes {
    fn word(self, value: u16) -> [u8; 2] {
        if self.0 == Processor::Sgi { value.to_be_bytes() } else { value.to_le_bytes() }
    }

    fn float(self, value: f32) -> [u8; 4] {
        match self.0 {
            Processor::Intel => value.to_le_bytes(),
            Processor::Sgi => value.to_be_bytes(),
            // VAX: an exponent larger by 2 (by the guide: IEEE times 4), and the 16-bit halves exchanged.
            Processor::Dec => {
                let [a, b, c, d] = (value * 4.0).to_le_bytes();
                [c, d, a, b]
            }
        }
    }
}

/// Writes a recording as C3D. Points beyond 65535 are left out (the format counts them in 16 bits), and so are names
/// beyond 255 bytes. Any number of frames: beyond 65535 the count stands in `POINT:LONG_FRAMES` and in `TRIAL`.
pub fn c3d(recording: &Recording, options: &C3dOptions) -> Vec<u8> {
    let bytes = Bytes(options.processor);
    let scale = scale_of(recording, options);
    // The place of the data depends on the size of the parameters, not on the value written there.
    let blocks = parameters(recording, bytes, scale, 0).len() / BLOCK;
    let data_block = (2 + blocks) as u16;
    let mut out = header(recording, bytes, scale, data_block);
    out.extend(parameters(recording, bytes, scale, data_block));
    for row in 0..recording.rows() {
        for track in recording.tracks.iter().take(usize::from(u16::MAX)) {
            point(&mut out, &track.points[row], bytes, scale);
        }
    }
    out.resize(out.len().div_ceil(BLOCK) * BLOCK, 0);
    out
}

/// `POINT:SCALE`: negative for floats.
fn scale_of(recording: &Recording, options: &C3dOptions) -> f32 {
    let points = recording.tracks.iter().flat_map(|track| &track.points).filter(|p| !is_gap(p));
    let greatest = points.flatten().fold(0.0_f64, |most, x| most.max(x.abs()));
    let scale = if greatest > 0.0 { (greatest / 32000.0) as f32 } else { 1.0 };
    if options.integers { scale } else { -scale }
}

fn point(out: &mut Vec<u8>, point: &[f64; 3], bytes: Bytes, scale: f32) {
    let missing = is_gap(point);
    let values = if missing { [0.0; 3] } else { *point };
    let fourth: f32 = if missing { -1.0 } else { 0.0 };
    if scale < 0.0 {
        values.iter().for_each(|x| out.extend(bytes.float(*x as f32)));
        out.extend(bytes.float(fourth));
    } else {
        let whole = |x: f64| (x / f64::from(scale)).round().clamp(-32767.0, 32767.0) as i16 as u16;
        values.iter().for_each(|x| out.extend(bytes.word(whole(*x))));
        out.extend(bytes.word(fourth as i16 as u16));
    }
}

fn header(recording: &Recording, bytes: Bytes, scale: f32, data_block: u16) -> Vec<u8> {
    let count = |n: usize| u16::try_from(n).unwrap_or(u16::MAX);
    let mut out = vec![2, 0x50];
    for word in [count(recording.tracks.len()), 0, 1, count(recording.rows()), 0] {
        out.extend(bytes.word(word));
    }
    out.extend(bytes.float(scale));
    out.extend(bytes.word(data_block));
    out.extend(bytes.word(0));
    out.extend(bytes.float(super::rate_hz(recording) as f32));
    out.resize(2 * 149, 0);
    let events = &recording.events[..recording.events.len().min(HEADER_EVENTS)];
    out.extend(bytes.word(EVENT_KEY));
    out.extend(bytes.word(events.len() as u16));
    out.resize(2 * 152, 0);
    events.iter().for_each(|event| out.extend(bytes.float(event.clock_s as f32)));
    out.resize(2 * 188, 0);
    // Event status: 0 is displayed (from memory; readers differ, so none should depend on it).
    out.resize(2 * 198, 0);
    events.iter().for_each(|event| out.extend(padded(&event.label, 4)));
    out.resize(BLOCK, 0);
    out
}

/// A text cut or filled with blanks to a number of bytes.
fn padded(text: &str, length: usize) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    bytes.resize(length, b' ');
    bytes
}

/// The parameter section under construction.
struct Section {
    bytes: Bytes,
    out: Vec<u8>,
    group: i8,
}

impl Section {
    fn group(&mut self, name: &str) {
        self.group += 1;
        self.out.extend([name.len() as u8, (-self.group) as u8]);
        self.out.extend(name.as_bytes());
        // To the next record: the offset's own two bytes and the length of an empty description.
        self.out.extend(self.bytes.word(3));
        self.out.push(0);
    }

    fn parameter(&mut self, name: &str, element: i8, dimensions: &[usize], data: &[u8]) {
        self.out.extend([name.len() as u8, self.group as u8]);
        self.out.extend(name.as_bytes());
        let length = 2 + 1 + 1 + dimensions.len() + data.len() + 1;
        self.out.extend(self.bytes.word(length as u16));
        self.out.extend([element as u8, dimensions.len() as u8]);
        self.out.extend(dimensions.iter().map(|n| *n as u8));
        self.out.extend(data);
        self.out.push(0);
    }

    fn words(&mut self, name: &str, values: &[u16]) {
        let data: Vec<u8> = values.iter().flat_map(|v| self.bytes.word(*v)).collect();
        let dimensions = if values.len() == 1 { vec![] } else { vec![values.len()] };
        self.parameter(name, 2, &dimensions, &data);
    }

    fn float(&mut self, name: &str, value: f64) {
        let data = self.bytes.float(value as f32);
        self.parameter(name, 4, &[], &data);
    }

    fn text(&mut self, name: &str, value: &str) {
        self.parameter(name, -1, &[value.len().min(255)], &padded(value, value.len().min(255)));
    }

    /// Texts of one length, first dimension the length.
    fn texts(&mut self, name: &str, values: &[&str]) {
        let length = values.iter().map(|v| v.len()).max().unwrap_or(0).clamp(1, 255);
        let data: Vec<u8> = values.iter().flat_map(|v| padded(v, length)).collect();
        self.parameter(name, -1, &[length, values.len()], &data);
    }

    /// Ends the last record, puts the four bytes in front, and fills the last block.
    fn finish(self) -> Vec<u8> {
        let blocks = (4 + self.out.len() + 2).div_ceil(BLOCK);
        let mut section = vec![1, 0x50, blocks as u8, self.bytes.0 as u8];
        section.extend(self.out);
        section.resize(blocks * BLOCK, 0);
        section
    }
}

fn parameters(recording: &Recording, bytes: Bytes, scale: f32, data_block: u16) -> Vec<u8> {
    let mut section = Section { bytes, out: Vec::new(), group: 0 };
    point_group(&mut section, recording, scale, data_block);
    section.group("ANALOG");
    section.words("USED", &[0]);
    section.group("FORCE_PLATFORM");
    section.words("USED", &[0]);
    if recording.rows() > usize::from(u16::MAX) {
        section.group("TRIAL");
        let halves = |n: usize| [(n & 0xFFFF) as u16, (n >> 16) as u16];
        section.words("ACTUAL_START_FIELD", &halves(1));
        section.words("ACTUAL_END_FIELD", &halves(recording.rows()));
    }
    if !recording.events.is_empty() {
        event_group(&mut section, recording);
    }
    section.finish()
}

fn point_group(section: &mut Section, recording: &Recording, scale: f32, data_block: u16) {
    let count = |n: usize| u16::try_from(n).unwrap_or(u16::MAX);
    section.group("POINT");
    section.words("USED", &[count(recording.tracks.len())]);
    section.words("FRAMES", &[count(recording.rows())]);
    if recording.rows() > usize::from(u16::MAX) {
        section.float("LONG_FRAMES", recording.rows() as f64);
    }
    section.float("SCALE", f64::from(scale));
    section.float("RATE", super::rate_hz(recording));
    section.words("DATA_START", &[data_block]);
    section.text("UNITS", recording.stated_unit().unwrap_or(LengthUnit::Millimetre).symbol());
    if let Some(up) = recording.up {
        let across = if up.name().ends_with('x') { "+Y" } else { "+X" };
        section.text("X_SCREEN", across);
        section.text("Y_SCREEN", &up.name().to_ascii_uppercase());
    }
    let names: Vec<&str> = recording.tracks.iter().map(|track| track.name.as_str()).collect();
    for (k, labels) in names.chunks(LABELS_PER_PARAMETER).enumerate() {
        let number = if k == 0 { String::new() } else { (k + 1).to_string() };
        section.texts(&format!("LABELS{number}"), labels);
        section.texts(&format!("DESCRIPTIONS{number}"), &vec![""; labels.len()]);
    }
}

fn event_group(section: &mut Section, recording: &Recording) {
    let events = &recording.events[..recording.events.len().min(LABELS_PER_PARAMETER)];
    section.group("EVENT");
    section.words("USED", &[events.len() as u16]);
    section.texts("CONTEXTS", &vec!["General"; events.len()]);
    section.texts("LABELS", &events.iter().map(|event| event.label.as_str()).collect::<Vec<_>>());
    let halves = events.iter().flat_map(|event| {
        let minutes = (event.clock_s / 60.0).floor();
        [minutes, event.clock_s - 60.0 * minutes]
    });
    let times: Vec<u8> = halves.flat_map(|x| section.bytes.float(x as f32)).collect();
    section.parameter("TIMES", 4, &[2, events.len()], &times);
}
