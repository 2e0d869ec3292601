#![no_main]

use handpath::formats::Format;
use libfuzzer_sys::{fuzz_mutator, fuzz_target, fuzzer_mutate};

fuzz_target!(|bytes: &[u8]| handpath_fuzz::read_and_check(bytes, Some(Format::Text)));
fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
    handpath_fuzz::mutate_text(data, size, max_size, seed, fuzzer_mutate)
});
