#![no_main]

use handpath::formats::Format;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| handpath_fuzz::read_and_check(bytes, Format::C3d));
