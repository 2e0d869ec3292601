//! Made-up data for all that is measured, the same on every machine.

use anyhow::{Context, Result};
use handpath::formats::write::{C3dOptions, c3d};
use handpath::formats::{LengthUnit, ReadOptions, Track, read};
use std::fmt::Write;
use std::path::Path;

/// A stream of numbers from 0 to 1 (Knuth's constants).
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// Four sines in each axis, at a pace of its own.
struct Wave([[f64; 8]; 3]);

impl Wave {
    fn new(random: &mut Random) -> Wave {
        Wave(std::array::from_fn(|_| std::array::from_fn(|_| random.next())))
    }

    fn near(&self, random: &mut Random, by: f64) -> Wave {
        Wave(self.0.map(|axis| axis.map(|x| x + by * (random.next() - 0.5))))
    }

    /// Points, the time bent by `late`.
    fn points(&self, count: usize, late: f64) -> Vec<f64> {
        let at = |k: usize| k as f64 / (count - 1) as f64;
        let bent = |t: f64| t + late * (std::f64::consts::TAU * t).sin();
        let axis = |axis: &[f64; 8], t: f64| -> f64 {
            let wave = |k: usize| axis[k] * (std::f64::consts::TAU * ((k + 1) as f64 * 0.5 * t + axis[k + 4])).sin();
            (0..4).map(wave).sum()
        };
        (0..count).flat_map(|k| self.0.iter().map(move |parts| axis(parts, bent(at(k))))).collect()
    }
}

/// Writes all files into a folder.
///
/// # Errors
/// A file could not be written.
pub(super) fn write(folder: &Path) -> Result<()> {
    std::fs::create_dir_all(folder)?;
    let write = |name: &str, bytes: Vec<u8>| {
        std::fs::write(folder.join(name), bytes).with_context(|| format!("cannot write {name}"))
    };
    let mut random = Random(1);
    for count in [250, 1000] {
        let wave = Wave::new(&mut random);
        let other = wave.near(&mut random, 0.3);
        let smooth = [wave.points(count, 0.03), other.points(count, -0.03)].concat();
        let like = [wave.points(count, 0.02), wave.near(&mut random, 0.01).points(count, -0.01)].concat();
        let noisy: Vec<f64> = (0..6 * count).map(|_| 2.0 * random.next() - 1.0).collect();
        for (kind, numbers) in [("smooth", smooth), ("like", like), ("noisy", noisy)] {
            write(&format!("pair-{kind}-{count}.f64"), doubles(&numbers))?;
        }
    }
    for (kind, by) in [("similar", 0.5), ("unrelated", f64::INFINITY)] {
        write(&format!("shelf-{kind}.f32"), shelf(&mut random, by))?;
    }
    let wave = Wave::new(&mut random);
    let curve = |random: &mut Random| {
        let late = 0.1 * (random.next() - 0.5);
        wave.near(random, 0.1).points(200, late)
    };
    let curves: Vec<f64> = (0..20).flat_map(|_| curve(&mut random)).collect();
    write("curves.f64", doubles(&curves))?;
    write("points.c3d", points(&mut random)?)?;
    write("table.csv", table(&mut random)?.into_bytes())
}

fn doubles(numbers: &[f64]) -> Vec<u8> {
    numbers.iter().flat_map(|number| number.to_le_bytes()).collect()
}

/// A query and 10,000 paths of 128 points, in whole steps of what a shelf keeps.
fn shelf(random: &mut Random, by: f64) -> Vec<u8> {
    let base = Wave::new(random);
    let mut out = vec![];
    for _ in 0..=10_000 {
        let late = 0.06 * (random.next() - 0.5);
        let wave = if by.is_finite() { base.near(random, by) } else { Wave::new(random) };
        let step =
            |number: f64| (number / handpath::shelf::STEP).round().clamp(-32768.0, 32767.0) * handpath::shelf::STEP;
        out.extend(wave.points(128, late).into_iter().flat_map(|number| (step(number) as f32).to_le_bytes()));
    }
    out
}

/// 600 frames of 50 markers.
fn points(random: &mut Random) -> Result<Vec<u8>> {
    let mut recording = read(table_of(random, 1, 600)?.as_bytes(), &ReadOptions::default())?;
    let mut track = |number: usize| {
        let wave = Wave::new(random).points(600, 0.0);
        let places = wave.as_chunks().0.iter().map(|point: &[f64; 3]| point.map(|x| 1000.0 * x)).collect();
        Track { unit: Some(LengthUnit::Millimetre), ..Track::marker(format!("M{number}"), places) }
    };
    recording.tracks = (0..50).map(&mut track).collect();
    Ok(c3d(&recording, &C3dOptions::default()))
}

/// 20,000 rows of 40 columns.
fn table(random: &mut Random) -> Result<String> {
    table_of(random, 13, 20_000)
}

fn table_of(random: &mut Random, tracks: usize, rows: usize) -> Result<String> {
    let mut out = String::from("time");
    for track in 0..tracks {
        write!(out, ",M{track} x,M{track} y,M{track} z")?;
    }
    for row in 0..rows {
        write!(out, "\n{:.4}", row as f64 / 240.0)?;
        for _ in 0..3 * tracks {
            write!(out, ",{:.5}", 2.0 * random.next() - 1.0)?;
        }
    }
    Ok(out)
}
