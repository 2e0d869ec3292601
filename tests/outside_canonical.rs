//! Canonical JSON and its digest against rfc8785 and hashlib of Python, from stored vectors
//! (tests/reference/topics/canonical.py), and SHA-256 against the examples of FIPS 180-4.

#![allow(clippy::unwrap_used)]

use handpath::coach::fingerprint::{canonical, digest, of};
use handpath::json::{parse, spelled};
use serde_json::Value;

#[test]
fn canonical_texts_agree_to_the_byte() {
    let vectors: Value = serde_json::from_str(include_str!("reference/vectors/canonical.json")).unwrap();
    let cases = vectors["cases"].as_array().unwrap();
    for case in cases {
        let tree = parse(case["text"].as_str().unwrap()).unwrap();
        assert_eq!(canonical(&tree, spelled), case["canonical"].as_str().unwrap());
        assert_eq!(of(&tree, spelled).sha256, case["sha256"].as_str().unwrap());
    }
    assert_eq!(cases.len(), 7);
}

/// "abc" and the empty message, as FIPS 180-4's published examples give them.
#[test]
fn digests_are_those_of_the_standard() {
    assert_eq!(digest(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_eq!(digest(b""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}
