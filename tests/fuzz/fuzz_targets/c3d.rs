#![no_main]

use handpath::formats::Format;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    // Without its second byte and a zero (here a reserved one) a file goes to the reader of delimited text, which has a target of its own.
    let mut bytes = bytes.to_vec();
    let header = bytes.iter().position(|&byte| byte != 0).unwrap_or(0);
    if bytes.len() > header + 30 {
        (bytes[header + 1], bytes[header + 30]) = (0x50, 0);
        handpath_fuzz::read_and_check(&bytes, Some(Format::C3d));
    }
});
