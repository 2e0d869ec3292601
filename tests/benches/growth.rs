//! How what is computed grows with what it is given, natively: `cargo bench --bench growth` prints the table of
//! DEVELOPERS.md. A factor beside a row says how many times as long it took as the row above, and how many times as much it
//! was given.

#![allow(clippy::expect_used, clippy::print_stdout, reason = "a bench answers on standard output")]

use handpath::formats::write::{C3dOptions, c3d};
use handpath::formats::{LengthUnit, ReadOptions, Track, read};
use handpath::settings::{Club, Hand, SwingKind};
use handpath::shelf::{Entry, Filter, POINTS, Shelf, Tags};
use handpath_kernel::{Curve, Rules, Warper};
use std::fmt::Write;
use std::time::Instant;

/// Milliseconds of one call: the median of seven batches, each long enough for the clock.
fn ms<T>(mut work: impl FnMut() -> T) -> f64 {
    let mut batch = |count: usize| {
        let start = Instant::now();
        (0..count).for_each(|_| {
            std::hint::black_box(work());
        });
        1e3 * start.elapsed().as_secs_f64() / count as f64
    };
    let count = ((5.0 / batch(1).max(1e-4)) as usize).clamp(1, 10_000);
    let mut found: Vec<f64> = (0..7).map(|_| batch(count)).collect();
    found.sort_by(f64::total_cmp);
    found[3]
}

struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn path(&mut self, points: usize) -> Vec<[f64; 3]> {
        let [a, b, c] = [self.next(), self.next(), self.next()];
        let at = |k: usize| 6.0 * k as f64 / points as f64;
        (0..points)
            .map(|k| [(at(k) + a).sin(), (at(k) * (1.0 + b / 4.0)).cos(), c + (1.5 * at(k)).sin() / 2.0])
            .collect()
    }
}

/// Prints a row for every size.
fn rows(what: &str, sizes: &[usize], mut measured: impl FnMut(usize) -> f64) {
    let mut before: Option<(usize, f64)> = None;
    for size in sizes {
        let ms = measured(*size);
        let grown = before.map_or_else(String::new, |(least, was)| {
            format!("{:.1} times for {:.1} times as much", ms / was, *size as f64 / least as f64)
        });
        println!("| {what} | {size} | {ms:.3} | {grown} |");
        before = Some((*size, ms));
    }
}

fn table(bytes: usize) -> String {
    let mut random = Random(3);
    let mut out = String::from("time");
    (0..13).for_each(|track| write!(out, ",M{track} x,M{track} y,M{track} z").expect("room"));
    for row in 0.. {
        write!(out, "\n{:.4}", f64::from(row) / 240.0).expect("room");
        (0..39).for_each(|_| write!(out, ",{:.5}", 2.0 * random.next() - 1.0).expect("room"));
        if out.len() >= bytes {
            return out;
        }
    }
    out
}

fn markers(count: usize) -> Vec<u8> {
    let mut recording = read(table(40_000).as_bytes(), &ReadOptions::default()).expect("a table");
    let mut random = Random(5);
    let rows = recording.rows();
    let track = |number: usize| Track {
        unit: Some(LengthUnit::Metre),
        ..Track::marker(format!("M{number}"), random.path(rows))
    };
    recording.tracks = (0..count).map(track).collect();
    c3d(&recording, &C3dOptions::default())
}

fn shelf(count: usize) -> Shelf {
    let mut random = Random(7);
    let mut shelf = Shelf::default();
    for label in 0..count {
        let (hand, club, kind) = (Hand::Right, Club::Iron, SwingKind::Full);
        let tags = Tags { label: label.to_string(), hand, club, kind, depth: None };
        shelf.push(&Entry { tags, points: random.path(POINTS) });
    }
    shelf
}

fn main() {
    println!("| work | size | ms | grown |\n| --- | --: | --: | --- |");
    let mut warper = Warper::default();
    let curves = |n: usize| [1, 2].map(|seed| Curve::new(&Random(seed).path(n), &[0.0; 3]));
    rows("distance, n = m", &[64, 125, 250, 500, 1000, 2000, 4000], |n| {
        let [a, b] = curves(n);
        ms(|| warper.distance(&a, &b, &Rules::PLAIN))
    });
    rows("distance and path, n = m", &[64, 125, 250, 500, 1000, 2000, 4000], |n| {
        let [a, b] = curves(n);
        ms(|| warper.path(&a, &b, &Rules::PLAIN))
    });
    rows("nearest of so many references", &[10, 100, 1000, 10_000, 100_000], |count| {
        let (shelf, query) = (shelf(count), Random(11).path(POINTS));
        ms(|| shelf.nearest(&query, 1, &Filter::default()))
    });
    rows("C3D, 115 frames, so many markers", &[12, 25, 50, 100, 200, 250], |count| {
        let bytes = markers(count);
        ms(|| read(&bytes, &ReadOptions::default()))
    });
    rows("text table, bytes", &[10_000, 100_000, 1_000_000, 10_000_000, 100_000_000], |bytes| {
        let text = table(bytes);
        ms(|| read(text.as_bytes(), &ReadOptions::default()))
    });
}
