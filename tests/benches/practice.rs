//! What a tap costs late in a log of practice: ball 500 as a multiple of ball 50, in one run.
//!
//! `cargo bench --bench practice` fails where it is more than twice as much. `coach::practice` counts the same in entries
//! folded, which no machine can disturb.

#![allow(clippy::expect_used, clippy::print_stdout, reason = "a bench answers on standard output")]

use handpath::coach::practice::Practice;
use handpath::plain::Given;
use std::hint::black_box;
use std::time::Instant;

/// Times that the tap is taken and timed.
const ROUNDS: usize = 300;

fn ball() -> Given {
    let text = |value: &str| Given::Text(value.into());
    let fields = [("what", text("ball")), ("start", text("straight")), ("curve", text("fade"))];
    Given::Record(fields.map(|(name, value)| (name.to_owned(), value)).into())
}

/// Seconds of the tap that is ball `number`, the least of many: what else the machine does only adds.
fn seconds(number: usize) -> f64 {
    let log = Given::List(vec![ball(); number - 1]);
    let (mut least, tap) = (f64::INFINITY, ball());
    for _ in 0..ROUNDS {
        // Folded anew and not copied: a copy has no room left, and the tap would pay for more.
        let mut practice = Practice::of(&Given::Null, &log);
        let start = Instant::now();
        black_box(practice.tap(black_box(&tap)));
        least = least.min(start.elapsed().as_secs_f64());
    }
    least
}

fn main() {
    let [early, late] = [50, 500].map(seconds);
    let ratio = late / early;
    println!("ball 50: {:.2} us, ball 500: {:.2} us, ratio {ratio:.2}", 1e6 * early, 1e6 * late);
    assert!(ratio <= 2.0, "ball 500 costs {ratio:.2} times ball 50");
}
