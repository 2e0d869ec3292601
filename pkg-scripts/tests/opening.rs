//! The answer that the demo page opens with is what the core computes for the files in the page's markup.
#![cfg(feature = "demo-data")]
#![allow(clippy::unwrap_used, reason = "tests")]

use pkg_scripts::opening::{FILE, difference, opening};
use pkg_scripts::project::www;
use serde_json::Value;

#[test]
fn the_committed_answer_is_what_the_core_computes() {
    let committed: Value =
        serde_json::from_slice(&std::fs::read(www().join(FILE)).unwrap_or_default()).unwrap_or_default();
    let first = difference(&committed, &opening().unwrap());
    assert_eq!(first, None, "{FILE} is not up to date: run `cargo demo-data` and commit");
}
