//! Broken files for the tests of all readers: whatever the bytes, a recording that keeps its invariants or an error.

use super::{ReadOptions, Recording, read};

/// A small generator (xorshift64*): the same files on every run.
pub(super) struct Random(u64);

impl Random {
    pub(super) fn new(seed: u64) -> Self {
        Random(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    pub(super) fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    pub(super) fn below(&mut self, limit: usize) -> usize {
        (self.next() % limit.max(1) as u64) as usize
    }

    /// A byte that breaks things more often than a random one.
    fn byte(&mut self) -> u8 {
        const NASTY: [u8; 10] = [0, 1, 0x7F, 0x80, 0xFF, b'\n', b'{', b'}', b'-', b'9'];
        if self.below(2) == 0 { NASTY[self.below(NASTY.len())] } else { self.next() as u8 }
    }

    /// The file with some bytes changed, a piece moved, doubled or taken out, or its end cut off.
    pub(super) fn mutate(&mut self, file: &[u8]) -> Vec<u8> {
        let mut file = file.to_vec();
        for _ in 0..=self.below(3) {
            let (from, length) = (self.below(file.len()), self.below(40));
            let to = file.len().min(from + length);
            match self.below(12) {
                0 => drop(file.drain(from..to)),
                1 => file.truncate(from.max(1)),
                2 => file.extend_from_within(from..to),
                3 => {
                    let piece = file[from..to].to_vec();
                    let at = self.below(file.len());
                    file.splice(at..at, piece);
                }
                _ => {
                    for _ in 0..=self.below(2) {
                        let at = self.below(file.len());
                        if let Some(byte) = file.get_mut(at) {
                            // Digits mostly stay digits, so that a text can still be one.
                            let digit = byte.is_ascii_digit() && self.below(8) != 0;
                            *byte = if digit { b'0' + self.below(10) as u8 } else { self.byte() };
                        }
                    }
                }
            }
        }
        file
    }
}

/// Reads through the front door, and checks the invariants of what comes out.
#[track_caller]
pub(super) fn survives(bytes: &[u8]) -> Option<Recording> {
    match read(bytes, &ReadOptions::default()) {
        Ok(recording) => {
            assert_eq!(recording.broken_invariant(), None);
            recording.warnings.iter().for_each(|warning| assert!(!warning.to_string().is_empty()));
            Some(recording)
        }
        Err(error) => {
            assert!(!error.to_string().is_empty());
            None
        }
    }
}

/// Reads mutated copies of a valid file; at least a twentieth must still be readable, or the test would show little.
#[track_caller]
pub(super) fn survives_mutations(file: &[u8], copies: u64) {
    assert!(survives(file).is_some(), "the file to start from is readable");
    let readable = (0..copies).filter(|&seed| survives(&Random::new(seed).mutate(file)).is_some()).count();
    assert!(readable as u64 >= copies / 20, "{readable} of {copies} are readable");
}

#[test]
fn random_bytes_are_no_harm() {
    let starts: [&[u8]; 4] = [b"", b"HIERARCHY ROOT r { ", &[2, 0x50, 2, 0, 0, 0], b"PathFileType\t4\t"];
    for seed in 0..2000 {
        let mut random = Random::new(seed);
        let start = starts[random.below(starts.len())];
        let length = random.below(2000);
        let bytes: Vec<u8> = start.iter().copied().chain((0..length).map(|_| random.byte())).collect();
        survives(&bytes);
    }
}
