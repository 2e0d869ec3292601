#![no_main]

use handpath::formats::Format;
use libfuzzer_sys::{fuzz_mutator, fuzz_target, fuzzer_mutate};

const WIDE: &[u8] = b"\xFF\xFEH\0I\0E\0R\0A\0R\0C\0H\0Y\0\n\0";
const PLAIN: &[u8] = b"HIERARCHY\n";

// Input that starts like a BVH file is read as it stands. Anything else is a plan from which a file is built, so that a
// good share of the files is whole; without its first word a file would go to the reader of delimited text, which has a
// target of its own.
fuzz_target!(|bytes: &[u8]| {
    if bytes.starts_with(WIDE) || bytes.starts_with(PLAIN) {
        handpath_fuzz::read_and_check(bytes, Some(Format::Bvh));
    } else {
        handpath_fuzz::read_and_check(&handpath_fuzz::plan::bvh(bytes), Some(Format::Bvh));
    }
});
fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
    if data.starts_with(PLAIN) {
        handpath_fuzz::mutate_text(data, size, max_size, seed, fuzzer_mutate)
    } else {
        fuzzer_mutate(data, size, max_size)
    }
});
