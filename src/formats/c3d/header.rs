//! The header block.

use super::BLOCK;
use super::error::C3dError;
use super::numbers::Processor;

/// Second byte of every C3D file.
pub(super) const KEY: u8 = 0x50;

/// Value of the word that says: event labels have four characters.
const EVENT_KEY: u16 = 12345;

/// Events a header can hold.
const EVENTS: usize = 18;

/// What the header says. Offsets in bytes, words of two bytes:
///
/// ```text
///   0 block number of the parameter section (1 byte), KEY (1 byte)
///   2 points                  4 analog values per frame       6 first frame         8 last frame
///  10 interpolation gap      12 scale (float)                16 first data block   18 analog samples per frame
///  20 rate, Hz (float)      298 EVENT_KEY                   300 number of events  304 18 event times (float), s
/// 396 18 event labels of 4 characters
/// ```
///
/// Frame numbers and counts are unsigned. The display flags of the events (376) are not used: documents disagree on
/// which value means shown.
#[derive(Clone, Debug)]
pub(super) struct Header<'a> {
    pub(super) points: usize,
    pub(super) analog_values: usize,
    pub(super) first_frame: u64,
    pub(super) last_frame: u64,
    pub(super) scale: f64,
    pub(super) data_block: usize,
    pub(super) analog_samples: usize,
    pub(super) rate_hz: f64,
    block: &'a [u8],
    processor: Processor,
}

impl<'a> Header<'a> {
    pub(super) fn read(file: &'a [u8], processor: Processor) -> Result<Header<'a>, C3dError> {
        let block = file.get(..BLOCK).ok_or(C3dError::ShortHeader { bytes: file.len() })?;
        let word = |offset| processor.count_at(block, offset).map_or(0, usize::from);
        let float = |offset| processor.float_at(block, offset).unwrap_or(f64::NAN);
        Ok(Header {
            points: word(2),
            analog_values: word(4),
            first_frame: word(6) as u64,
            last_frame: word(8) as u64,
            scale: float(12),
            data_block: word(16),
            analog_samples: word(18),
            rate_hz: float(20),
            block,
            processor,
        })
    }

    /// Times (seconds) and labels of the header's events.
    pub(super) fn events(&self) -> Vec<(f64, &'a [u8])> {
        if self.processor.count_at(self.block, 298) != Some(EVENT_KEY) {
            return Vec::new();
        }
        let count = self.processor.count_at(self.block, 300).map_or(0, usize::from).min(EVENTS);
        let event = |index: usize| {
            let time = self.processor.float_at(self.block, 304 + 4 * index)?;
            Some((time, self.block.get(396 + 4 * index..400 + 4 * index)?))
        };
        (0..count).filter_map(event).collect()
    }
}
