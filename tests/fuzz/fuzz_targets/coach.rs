#![no_main]

use libfuzzer_sys::{fuzz_mutator, fuzz_target, fuzzer_mutate};

// A house preset, or the parts of a lesson that the coaching loop reads: intake, set-up, captures, plan, log.
fuzz_target!(|bytes: &[u8]| {
    if bytes.windows(handpath_fuzz::PRESET.len()).any(|part| part == handpath_fuzz::PRESET.as_bytes()) {
        handpath_fuzz::preset_and_check(bytes);
    } else {
        handpath_fuzz::loop_and_check(bytes);
    }
});
fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
    handpath_fuzz::mutate_text(data, size, max_size, seed, fuzzer_mutate)
});
