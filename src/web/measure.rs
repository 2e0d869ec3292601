//! What `cargo measure` measures, in WebAssembly: the core's own functions behind numbers. No part of the page.

use crate::align::{BarycenterOptions, StepPattern, barycenter_single};
use crate::formats::{self, Point, ReadOptions};
use crate::settings::{Club, Hand, SwingKind};
use crate::shelf::{Entry, Filter, POINTS, Shelf, Tags};
use handpath_kernel::{Curve, Rules, Warper};
use wasm_bindgen::prelude::*;

fn points(numbers: &[f64]) -> Vec<Point> {
    numbers.as_chunks().0.to_vec()
}

/// Data that lies ready, and what is done with it.
#[wasm_bindgen]
#[derive(Default)]
pub struct Bench {
    warper: Warper,
    pair: (Curve, Curve),
    curves: Vec<Vec<Point>>,
    shelf: Shelf,
}

#[wasm_bindgen]
impl Bench {
    /// Without data.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Bench {
        super::show_panics();
        Bench::default()
    }

    /// Root of the cost, as most libraries tell it; the curves are rounded to single precision in here.
    pub fn distance(&mut self, a: &[f64], b: &[f64], prune: bool) -> f64 {
        self.take(a, b);
        let cost = self.warper.distance(&self.pair.0, &self.pair.1, &Rules { prune, ..Rules::PLAIN });
        cost.map_or(f64::NAN, |cost| f64::from(cost).sqrt())
    }

    /// Cells of the cheapest path.
    pub fn path(&mut self, a: &[f64], b: &[f64]) -> usize {
        self.take(a, b);
        self.warper.path(&self.pair.0, &self.pair.1, &Rules::PLAIN).map_or(0, |path| path.len())
    }

    fn take(&mut self, a: &[f64], b: &[f64]) {
        self.pair = (Curve::new(a.as_chunks().0, &[0.0; 3]), Curve::new(b.as_chunks().0, &[0.0; 3]));
    }

    /// Curves of one length, one after the other.
    pub fn keep(&mut self, numbers: &[f64], samples: usize) {
        self.curves = numbers.chunks_exact(3 * samples.max(1)).map(points).collect();
    }

    /// Cost of their average, over the number of curves.
    pub fn average(&self, most_rounds: usize) -> f64 {
        let step = StepPattern::Symmetric1;
        let options = BarycenterOptions { step, band: None, hold_ends: false, most_rounds, tolerance: -1.0 };
        let found = barycenter_single(&self.curves[0], &self.curves, &options);
        found.map_or(f64::NAN, |found| found.cost / self.curves.len() as f64)
    }

    /// Puts paths on an empty shelf.
    pub fn fill(&mut self, numbers: &[f32]) {
        self.shelf = Shelf::default();
        let tags =
            Tags { label: String::new(), hand: Hand::Right, club: Club::Iron, kind: SwingKind::Full, depth: None };
        for path in numbers.chunks_exact(3 * POINTS) {
            let points = path.as_chunks().0.iter().map(|point: &[f32; 3]| point.map(f64::from)).collect();
            self.shelf.push(&Entry { tags: tags.clone(), points });
        }
    }

    /// Number of the nearest.
    pub fn nearest(&self, path: &[f64]) -> usize {
        let found = self.shelf.nearest(path.as_chunks().0, 1, &Filter::default());
        found.first().map_or(usize::MAX, |near| near.number)
    }

    /// Rows times tracks of a file.
    pub fn read(&self, bytes: &[u8]) -> usize {
        formats::read(bytes, &ReadOptions::default()).map_or(0, |found| found.rows() * found.tracks.len())
    }
}
