//! The pack: a shelf as bytes, all numbers little-endian.
//!
//! | bytes | what |
//! | --- | --- |
//! | 8 | `HPSHELF` and a zero |
//! | 2, 2, 4 | [`VERSION`]; points of a path, [`POINTS`]; number of entries |
//! | for each entry: 2 and so many | its label, UTF-8 |
//! | 1, 1, 1, 1 | hand, club, kind of swing: their numbers in documented order, from 0; zero |
//! | 4 | depth at the top, arms, single precision; not a number: unknown |
//! | 2 x 3 x points | out, target, up in steps of [`STEP`] arms, signed, point after point |
//! | last 4 | CRC-32 (IEEE 802.3) of everything before |

use super::{Entry, POINTS, STEP, Shelf, Tags, steps};
use crate::words::Message;

/// Version of the pack that is written. Others are refused.
pub const VERSION: u16 = 1;

const MAGIC: &[u8; 8] = b"HPSHELF\0";

/// Why bytes are no shelf.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum PackError {
    /// They do not begin as a pack does.
    NotAPack,
    /// Another version, or another number of points.
    OtherVersion {
        /// What it says.
        version: u16,
    },
    /// The bytes are not those that were written: cut short, or changed.
    Damaged {
        /// How many there are.
        bytes: usize,
    },
}

impl PackError {
    /// In words.
    pub fn message(&self) -> Message {
        match self {
            PackError::NotAPack => Message::new("shelf.not_a_pack"),
            PackError::OtherVersion { version } => {
                Message::new("shelf.other_version").with("version", u64::from(*version)).with("own", u64::from(VERSION))
            }
            PackError::Damaged { bytes } => Message::new("shelf.damaged").with("bytes", *bytes),
        }
    }
}

impl Shelf {
    /// The shelf as a pack.
    pub fn to_pack(&self) -> Vec<u8> {
        let mut out = MAGIC.to_vec();
        out.extend(VERSION.to_le_bytes());
        out.extend((POINTS as u16).to_le_bytes());
        out.extend((self.len() as u32).to_le_bytes());
        for (number, tags) in self.tags().iter().enumerate() {
            write_tags(tags, &mut out);
            let coordinates = self.path(number).into_iter().flatten();
            out.extend(coordinates.flat_map(|arms| steps(arms).to_le_bytes()));
        }
        let check = crc32(&out);
        out.extend(check.to_le_bytes());
        out
    }

    /// A shelf from a pack.
    ///
    /// # Errors
    /// [`PackError`]. Nothing is taken from a pack that is damaged anywhere.
    pub fn from_pack(bytes: &[u8]) -> Result<Shelf, PackError> {
        let damaged = PackError::Damaged { bytes: bytes.len() };
        let mut rest = Rest(bytes.strip_prefix(MAGIC).ok_or(PackError::NotAPack)?);
        let (version, points) = (rest.u16().ok_or(damaged)?, rest.u16().ok_or(damaged)?);
        if version != VERSION || usize::from(points) != POINTS {
            return Err(PackError::OtherVersion { version });
        }
        let (all, check) = bytes.split_last_chunk().ok_or(damaged)?;
        if crc32(all) != u32::from_le_bytes(*check) {
            return Err(damaged);
        }
        let count = rest.take().map(u32::from_le_bytes).ok_or(damaged)?;
        let mut shelf = Shelf::default();
        for _ in 0..count {
            shelf.push(&rest.entry().ok_or(damaged)?);
        }
        if rest.0.len() == check.len() { Ok(shelf) } else { Err(damaged) }
    }
}

/// Bytes with the check of those before at their end, in place of their last four: for tests that damage a pack.
pub fn sealed(bytes: &[u8]) -> Vec<u8> {
    let mut out = bytes.get(..bytes.len().saturating_sub(4)).unwrap_or_default().to_vec();
    out.extend(crc32(&out).to_le_bytes());
    out
}

fn write_tags(tags: &Tags, out: &mut Vec<u8>) {
    let label = within(&tags.label, usize::from(u16::MAX));
    out.extend((label.len() as u16).to_le_bytes());
    out.extend(label.as_bytes());
    let number = |found: Option<usize>| found.unwrap_or(0) as u8;
    out.push(number(crate::settings::Hand::ALL.iter().position(|hand| *hand == tags.hand)));
    out.push(number(crate::settings::Club::ALL.iter().position(|club| *club == tags.club)));
    out.push(number(crate::settings::SwingKind::ALL.iter().position(|kind| *kind == tags.kind)));
    out.push(0);
    out.extend(tags.depth.map_or(f32::NAN, |depth| depth as f32).to_le_bytes());
}

/// As many whole characters as fit.
fn within(text: &str, most: usize) -> &str {
    let end = text.char_indices().map(|(at, letter)| at + letter.len_utf8()).take_while(|end| *end <= most).last();
    &text[..end.unwrap_or(0)]
}

/// What is not read yet.
struct Rest<'a>(&'a [u8]);

impl Rest<'_> {
    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (taken, rest) = self.0.split_first_chunk()?;
        self.0 = rest;
        Some(*taken)
    }

    fn u16(&mut self) -> Option<u16> {
        self.take().map(u16::from_le_bytes)
    }

    fn entry(&mut self) -> Option<Entry> {
        let length = usize::from(self.u16()?);
        let (label, rest) = self.0.split_at_checked(length)?;
        self.0 = rest;
        let label = std::str::from_utf8(label).ok()?.to_owned();
        let [hand, club, kind, _] = self.take()?.map(usize::from);
        let depth = f64::from(self.take().map(f32::from_le_bytes)?);
        let tags = Tags {
            label,
            hand: *crate::settings::Hand::ALL.get(hand)?,
            club: *crate::settings::Club::ALL.get(club)?,
            kind: *crate::settings::SwingKind::ALL.get(kind)?,
            depth: Some(depth).filter(|depth| depth.is_finite()),
        };
        let mut points = Vec::with_capacity(POINTS);
        for _ in 0..POINTS {
            let mut coordinate = || Some(f64::from(self.take().map(i16::from_le_bytes)?) * STEP);
            points.push([coordinate()?, coordinate()?, coordinate()?]);
        }
        Some(Entry { tags, points })
    }
}

/// The check of IEEE 802.3, four bits at a time.
fn crc32(bytes: &[u8]) -> u32 {
    const TABLE: [u32; 16] = {
        let mut table = [0; 16];
        let mut at = 0;
        while at < 16 {
            let mut value = at as u32;
            let mut bit = 0;
            while bit < 4 {
                value = if value & 1 == 1 { value >> 1 ^ 0xEDB8_8320 } else { value >> 1 };
                bit += 1;
            }
            table[at] = value;
            at += 1;
        }
        table
    };
    let step = |check: u32, low: u32| check >> 4 ^ TABLE[((check ^ low) & 15) as usize];
    !bytes.iter().fold(!0, |check, byte| step(step(check, u32::from(*byte)), u32::from(*byte) >> 4))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::{Club, Hand, SwingKind};

    fn shelf() -> Shelf {
        let mut shelf = Shelf::default();
        for (label, depth) in [("student, lesson 1", Some(0.75)), ("Ä", None)] {
            let (hand, club, kind) = (Hand::Left, Club::Wedge, SwingKind::Drill);
            let tags = Tags { label: label.into(), hand, club, kind, depth };
            let points = (0..POINTS).map(|k| [k as f64 * STEP, -1.5, 3.2]).collect();
            shelf.push(&Entry { tags, points });
        }
        shelf
    }

    /// The check value that every catalogue of CRCs gives for this one.
    #[test]
    fn the_check_is_that_of_the_standard() {
        assert_eq!(crc32(b"123456789"), 0xCBF4_3926);
    }

    #[test]
    fn a_pack_is_read_back() {
        let shelf = shelf();
        let bytes = shelf.to_pack();
        assert_eq!(bytes.len(), 16 + 2 * (2 + 4 + 4 + 6 * POINTS) + 17 + 2 + 4);
        let back = Shelf::from_pack(&bytes).unwrap();
        assert_eq!((back.tags(), back.path(1)), (shelf.tags(), shelf.path(1)));
        assert_eq!(back.to_pack(), bytes);
        assert_eq!(Shelf::from_pack(&Shelf::default().to_pack()).unwrap().len(), 0);
        assert_eq!(within("aÄ", 2), "a");
    }

    #[test]
    fn what_is_damaged_is_refused() {
        let bytes = shelf().to_pack();
        assert_eq!(Shelf::from_pack(b"x").unwrap_err(), PackError::NotAPack);
        for cut in 8..bytes.len() {
            assert!(Shelf::from_pack(&bytes[..cut]).is_err(), "{cut}");
        }
        for at in 0..bytes.len() {
            let mut bytes = bytes.clone();
            bytes[at] ^= 4;
            assert!(Shelf::from_pack(&bytes).is_err(), "{at}");
        }
        let mut newer = bytes.clone();
        newer[8] = 2;
        let error = Shelf::from_pack(&newer).unwrap_err();
        assert_eq!(error, PackError::OtherVersion { version: 2 });
        // A count that the bytes do not hold, with a good check.
        let mut more = bytes[..bytes.len() - 4].to_vec();
        more[12] = 200;
        more.extend(crc32(&more).to_le_bytes());
        assert_eq!(Shelf::from_pack(&more).unwrap_err(), PackError::Damaged { bytes: more.len() });
    }
}
