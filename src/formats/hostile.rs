//! Broken files for the tests of all readers: whatever the bytes, a recording that keeps its invariants or an error.

use super::{ReadOptions, Recording, read};

#[path = "../../tests/damage/mod.rs"]
mod damage;

pub(super) use damage::Random;

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
