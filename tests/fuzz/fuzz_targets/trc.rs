#![no_main]

use handpath::formats::Format;
use libfuzzer_sys::{fuzz_mutator, fuzz_target, fuzzer_mutate};

const WIDE: &[u8] = b"\xFF\xFEP\0a\0t\0h\0";
const STARTS: [&[u8]; 3] = [b"PathFileType", b"DataRate", WIDE];

// Input that starts like a TRC file is read as it stands. Anything else is a plan from which a file is built, as for BVH.
fuzz_target!(|bytes: &[u8]| {
    if STARTS.iter().any(|start| bytes.starts_with(start)) {
        handpath_fuzz::read_and_check(bytes, Some(Format::Trc));
    } else {
        handpath_fuzz::read_and_check(&handpath_fuzz::plan::trc(bytes), Some(Format::Trc));
    }
});
fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
    if STARTS.iter().any(|start| data[..size].starts_with(start)) {
        handpath_fuzz::mutate_text(data, size, max_size, seed, fuzzer_mutate)
    } else {
        fuzzer_mutate(data, size, max_size)
    }
});
