//! How fast text tables become numbers, natively: what a byte costs in large files, as a multiple of what it costs in a
//! small one, and of what reading the bytes alone costs.
//!
//! `cargo bench --bench reading` prints it for 1, 7 and 100 MB, with points and with gaps.

#![allow(clippy::expect_used, clippy::print_stdout, reason = "a bench answers on standard output")]

use handpath::formats::{ReadOptions, read};
use std::fmt::Write;
use std::time::Instant;

/// Thirteen tracks and a time; every `gap`-th point is missing.
fn table(bytes: usize, decimals: usize, gap: usize) -> String {
    let mut out = String::from("time");
    for track in 0..13 {
        write!(out, ",M{track} x,M{track} y,M{track} z").expect("room");
    }
    let mut seed = 1_u64;
    for row in 0.. {
        write!(out, "\n{:.4}", f64::from(row) / 240.0).expect("room");
        for track in 0..13 {
            if gap > 0 && (row as usize + track).is_multiple_of(gap) {
                out.push_str(",,,");
                continue;
            }
            for _ in 0..3 {
                seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                write!(out, ",{:.decimals$}", (seed >> 11) as f64 / (1_u64 << 52) as f64 - 1.0).expect("room");
            }
        }
        if out.len() >= bytes {
            return out;
        }
    }
    out
}

/// Milliseconds, the median of five.
fn ms<T>(mut work: impl FnMut() -> T) -> f64 {
    let mut once = || {
        let start = Instant::now();
        std::hint::black_box(work());
        1e3 * start.elapsed().as_secs_f64()
    };
    once();
    let mut found: Vec<f64> = (0..5).map(|_| once()).collect();
    found.sort_by(f64::total_cmp);
    found[2]
}

fn main() {
    for (decimals, gap) in [(5, 0), (5, 7), (17, 0)] {
        let mut per_byte = vec![];
        for megabytes in [1, 7, 100] {
            let text = table(megabytes * 1_000_000, decimals, gap);
            let plain = ms(|| text.bytes().filter(|byte| *byte == b'\n').count());
            let ours = ms(|| read(text.as_bytes(), &ReadOptions::default()).expect("a table").rows());
            per_byte.push(ours / text.len() as f64);
            println!(
                "{decimals} decimals, gap every {gap}: {megabytes:3} MB {ours:8.1} ms, {:6.0} MB/s; a byte costs {:.2} times \
                 that of 1 MB, and {:.1} times looking at it",
                text.len() as f64 / ours / 1e3,
                per_byte[per_byte.len() - 1] / per_byte[0],
                ours / plain,
            );
        }
    }
}
