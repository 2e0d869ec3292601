//! The rows of the table: which work of ours stands beside which of a peer.

use super::Round;
use anyhow::{Context, Result, ensure};
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt::Write;

/// Where something was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Side {
    /// In Chromium: ours as WebAssembly, and peers in JavaScript.
    Page,
    /// Peers in Python.
    Python,
    /// In this program.
    Native,
}

/// A row.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Measured {
    /// What is done.
    pub work: String,
    /// Who else does it.
    pub peer: String,
    /// Milliseconds of ours, the median of the rounds.
    pub ours_ms: f64,
    /// Milliseconds of the peer's.
    pub peer_ms: f64,
    /// The second by the first.
    pub ratio: f64,
    /// The least ratio of a round.
    pub low: f64,
    /// The greatest.
    pub high: f64,
}

type Name = (Side, String);

/// Work, peer, the names of both.
fn wanted() -> Vec<(String, &'static str, Name, Name)> {
    let mut rows = vec![];
    let page = |name: String| (Side::Page, name);
    let python = |name: String| (Side::Python, name);
    for kind in ["smooth", "noisy"] {
        for n in [250, 1000] {
            let ours = page(format!("distance {kind} {n}"));
            let work = format!("DTW distance, n=m={n}, {kind}");
            let plain = "dtw_ndim.distance_fast(use_pruning=False)";
            rows.push((work.clone(), plain, ours.clone(), python(format!("distance {kind} {n}"))));
            rows.push((work.clone(), "tslearn dtw (numpy)", ours.clone(), python(format!("tslearn {kind} {n}"))));
            rows.push((work, "dtw-python distance_only", ours, python(format!("dtw-python {kind} {n}"))));
            let (work, ours) = (format!("distance and path, n=m={n}, {kind}"), page(format!("path {kind} {n}")));
            let path = "dtw.warping_path_fast(use_ndim=True)";
            rows.push((work.clone(), path, ours.clone(), python(format!("path {kind} {n}"))));
            rows.push((work, "dynamic-time-warping (npm)", ours, page(format!("npm {kind} {n}"))));
        }
    }
    for n in [250, 1000] {
        let name = format!("pruned like {n}");
        let work = format!("DTW distance with pruning, similar curves, n=m={n}");
        rows.push((work, "dtw_ndim.distance_fast(use_pruning=True)", page(name.clone()), python(name)));
    }
    for kind in ["similar", "unrelated"] {
        let (work, ours) = (format!("nearest of 10,000 x 128, band 10 %, {kind}"), page(format!("nearest {kind}")));
        let loops = [("distance_fast(max_dist=best so far) loop", "nearest"), ("bare dtw_cc loop", "bare")];
        rows.extend(loops.map(|(peer, name)| (work.clone(), peer, ours.clone(), python(format!("{name} {kind}")))));
    }
    let of = |name: &str| name.to_owned();
    let work = of("barycenter 20 x 200, 10 iterations");
    rows.push((work, "dba_loop(use_c=True)", page(of("average")), python(of("average"))));
    let work = of("C3D points and residuals from bytes, 600 x 50");
    rows.push((work, "ezc3d reading the same file", page(of("c3d")), python(of("c3d"))));
    let (work, ours) = (of("CSV 7 MB to numbers"), page(of("csv")));
    rows.push((work.clone(), "papaparse with numbers", ours.clone(), page(of("papaparse"))));
    rows.push((work, "typed-array JavaScript split", ours, page(of("split"))));
    let native = |name: &str| (Side::Native, of(name));
    rows.push((of("CSV 7 MB to numbers, natively"), "csv crate and parse", native("csv"), native("csv crate")));
    rows
}

/// The rows of several rounds; those that were not measured are no mistake where not `all` parts were.
///
/// # Errors
/// Two sides found different things, or one was not measured.
pub(super) fn measured(rounds: &[BTreeMap<Side, Round>], all: bool) -> Result<Vec<Measured>> {
    rounds.iter().try_for_each(|round| same(round, all))?;
    let known =
        |(side, name): &Name| rounds.iter().any(|round| round.get(side).is_some_and(|at| at.ms.contains_key(name)));
    let wanted = wanted().into_iter().filter(|(_, _, ours, theirs)| all || (known(ours) && known(theirs)));
    wanted.map(|(work, peer, ours, theirs)| row(rounds, work, peer, &ours, &theirs)).collect()
}

fn row(rounds: &[BTreeMap<Side, Round>], work: String, peer: &str, ours: &Name, theirs: &Name) -> Result<Measured> {
    let of = |(side, name): &Name| -> Result<Vec<f64>> {
        let ms = |round: &BTreeMap<Side, Round>| round.get(side)?.ms.get(name).copied();
        rounds.iter().map(|round| ms(round).with_context(|| format!("{name} was not measured"))).collect()
    };
    let (ours, theirs) = (of(ours)?, of(theirs)?);
    let ratios: Vec<f64> = ours.iter().zip(&theirs).map(|(ours, theirs)| theirs / ours).collect();
    let (ours_ms, peer_ms) = (median(ours), median(theirs));
    let low = ratios.iter().copied().fold(f64::INFINITY, f64::min);
    let high = ratios.iter().copied().fold(0.0, f64::max);
    Ok(Measured { work, peer: peer.to_owned(), ours_ms, peer_ms, ratio: peer_ms / ours_ms, low, high })
}

pub(super) fn median(mut numbers: Vec<f64>) -> f64 {
    numbers.sort_by(f64::total_cmp);
    numbers[numbers.len() / 2]
}

/// A comparison of speeds is worth something only where both find the same.
fn same(round: &BTreeMap<Side, Round>, all: bool) -> Result<()> {
    let left_out = |name: &str| !all && !round.get(&Side::Page).is_some_and(|page| page.found.contains_key(name));
    let found = |side: Side, name: &str| {
        let found = round.get(&side).and_then(|round| round.found.get(name));
        found.with_context(|| format!("{name} was not looked for"))
    };
    let close = |a: &Value, b: &Value, share: f64| {
        a.as_f64().zip(b.as_f64()).is_some_and(|(a, b)| (a - b).abs() <= share * b.abs())
    };
    for kind in ["smooth", "noisy", "like"] {
        for name in [250, 1000].map(|n| format!("{kind} {n}")).into_iter().filter(|name| !left_out(name)) {
            let (ours, theirs) = (found(Side::Page, &name)?, found(Side::Python, &name)?);
            ensure!(close(&ours[0], theirs, 1e-5) && close(&ours[1], theirs, 1e-5), "{name}: {ours} and {theirs}");
        }
    }
    for (name, share) in [("similar", 0.0), ("unrelated", 0.0), ("c3d", 0.0), ("average", 1e-5)] {
        if left_out(name) {
            continue;
        }
        let (ours, theirs) = (found(Side::Page, name)?, found(Side::Python, name)?);
        ensure!(close(ours, theirs, share), "{name}: {ours} and {theirs}");
    }
    Ok(())
}

/// As Markdown.
pub fn table(rows: &[Measured]) -> String {
    let mut out =
        String::from("| work | peer | ours, ms | peer, ms | ratio | rounds |\n| --- | --- | --: | --: | --: | --- |\n");
    for row in rows {
        let Measured { work, peer, ours_ms, peer_ms, ratio, low, high } = row;
        // Writing to a string does not fail.
        let _ = writeln!(out, "| {work} | {peer} | {ours_ms:.3} | {peer_ms:.3} | {ratio:.1} | {low:.1} to {high:.1} |");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_the_median_of_its_rounds() {
        let round = |ours: f64, theirs: f64| {
            let of = |ms| Round { ms: BTreeMap::from([("x".into(), ms)]), ..Round::default() };
            BTreeMap::from([(Side::Page, of(ours)), (Side::Python, of(theirs))])
        };
        let rounds = [round(1.0, 8.0), round(2.0, 30.0), round(4.0, 20.0)];
        let name = |side| (side, "x".to_owned());
        let found = row(&rounds, "w".into(), "p", &name(Side::Page), &name(Side::Python)).unwrap();
        assert_eq!((found.ours_ms, found.peer_ms, found.ratio), (2.0, 20.0, 10.0));
        assert_eq!((found.low, found.high), (5.0, 15.0));
        assert!(row(&rounds, "w".into(), "p", &name(Side::Native), &name(Side::Python)).is_err());
        assert!(table(&[found]).ends_with("| w | p | 2.000 | 20.000 | 10.0 | 5.0 to 15.0 |\n"));
    }
}
