#![no_main]

use libfuzzer_sys::fuzz_target;

// The pack of a shelf, with its check put right first: else nearly all copies would be refused by that alone.
fuzz_target!(|bytes: &[u8]| handpath_fuzz::shelf_and_check(bytes));
