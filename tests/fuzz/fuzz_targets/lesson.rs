#![no_main]

use handpath::lesson;
use libfuzzer_sys::{fuzz_mutator, fuzz_target, fuzzer_mutate};

// A lesson file, or a recording as lessons keep them.
fuzz_target!(|bytes: &[u8]| {
    if lesson::looks_like(bytes) {
        handpath_fuzz::open_and_check(bytes);
    } else {
        handpath_fuzz::read_and_check(bytes, None);
    }
});
fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
    handpath_fuzz::mutate_text(data, size, max_size, seed, fuzzer_mutate)
});
