//! The check of a recording: CRC-32 of its names and numbers.

use crate::formats::{Recording, is_gap};

/// The polynomial of ISO 3309 and ITU-T V.42, which PNG and gzip use, lowest bit first.
const POLYNOMIAL: u32 = 0xEDB8_8320;

struct Crc(u32);

impl Crc {
    fn bytes(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 ^= u32::from(*byte);
            for _ in 0..8 {
                self.0 = self.0 >> 1 ^ if self.0 & 1 == 1 { POLYNOMIAL } else { 0 };
            }
        }
    }

    fn number(&mut self, number: f64) {
        self.bytes(&number.to_bits().to_le_bytes());
    }
}

/// Eight hexadecimal digits over the rate (a NaN where there is none), the first row, the clock, and of each track its name,
/// its unit and its points, then the events, all numbers as 64 bits with the lowest byte first. A gap counts as three times
/// the quiet NaN `7ff8000000000000`.
pub(in crate::formats) fn check(recording: &Recording) -> String {
    const NAN: f64 = f64::from_bits(0x7FF8_0000_0000_0000);
    let mut crc = Crc(!0);
    crc.number(recording.rate_hz.unwrap_or(NAN));
    crc.bytes(&(recording.first_row as u64).to_le_bytes());
    recording.clock_s.iter().for_each(|time| crc.number(*time));
    for track in &recording.tracks {
        crc.bytes(track.name.as_bytes());
        crc.bytes(track.unit.map_or("", |unit| unit.symbol()).as_bytes());
        for point in &track.points {
            let gap = is_gap(point);
            point.iter().for_each(|x| crc.number(if gap { NAN } else { *x }));
        }
    }
    for event in &recording.events {
        crc.bytes(event.label.as_bytes());
        crc.number(event.clock_s);
    }
    format!("{:08x}", !crc.0)
}

#[cfg(test)]
mod tests {
    use super::Crc;

    /// Check value of CRC-32/ISO-HDLC in the catalogue of parametrised CRC algorithms (G. Cook), from memory.
    #[test]
    fn the_check_is_crc_32() {
        let mut crc = Crc(!0);
        crc.bytes(b"123456789");
        assert_eq!(!crc.0, 0xCBF4_3926);
    }
}
