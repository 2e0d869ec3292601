//! The engine under the rule table: answers to checks, and the verdict and its certainty that follow.

use super::rules::{Cell, Check, Rule, Side};
use super::{Beside, Evidence, Thresholds};
use crate::measure::Measure;
use crate::words::Message;

/// A 90 % interval of a normal distribution reaches this many SD to either side.
pub(super) const SD_90: f64 = 1.644_853_626_951_472_7;

/// What a check finds.
pub(super) struct Answer {
    pub(super) evidence: Evidence,
    /// `None`: the measure is absent.
    pub(super) holds: Option<bool>,
    /// Probability that it holds, or half where it is absent.
    probability: f64,
    /// Why the measure is absent.
    pub(super) why: Option<Message>,
}

/// What a check is asked about.
pub(super) struct Case<'a> {
    pub(super) measures: &'a [Measure],
    pub(super) references: &'a [Beside<'a>],
    pub(super) thresholds: &'a Thresholds,
}

/// A number with what its truth may lie below and above it, 1 SD each.
#[derive(Clone, Copy)]
struct Uncertain {
    value: f64,
    below: f64,
    above: f64,
}

impl Uncertain {
    fn of(measure: &Measure) -> Option<Uncertain> {
        let value = measure.value?;
        // Without an interval nothing is known about which side the truth is on.
        let (low, high) = measure.low_90.zip(measure.high_90).unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        Some(Uncertain { value, below: (value - low) / SD_90, above: (high - value) / SD_90 })
    }
}

impl Uncertain {
    /// The same number, held against a limit that is itself known to 1 SD `sd`.
    fn blurred(self, sd: f64) -> Uncertain {
        Uncertain { below: self.below.hypot(sd), above: self.above.hypot(sd), ..self }
    }
}

impl Case<'_> {
    /// The checks of a rule.
    pub(super) fn answers(&self, rule: &Rule) -> Vec<Answer> {
        rule.checks.iter().filter_map(|check| self.answer(check)).collect()
    }

    /// `None` where the table names a threshold that it does not have (a test makes sure that it does not).
    fn answer(&self, check: &Check) -> Option<Answer> {
        let measure = self.measures.iter().find(|measure| measure.name == check.measure);
        let own = measure.and_then(Uncertain::of);
        let usual = check.with_references.and_then(|name| Some((name, self.usual(check.measure)?)));
        let (threshold, limit) = self.thresholds.named(usual.map_or(check.threshold, |(name, _)| name))?;
        let usual = usual.map(|(_, usual)| usual);
        let compared = own.map(|own| usual.map_or(own, |usual| difference(own, usual)));
        let holds = compared.map(|number| on_side(check.side, number.value, limit));
        Some(Answer {
            evidence: Evidence {
                measure: check.measure,
                value: own.map(|own| own.value),
                unit: threshold.unit,
                low_90: measure.and_then(|measure| measure.low_90),
                high_90: measure.and_then(|measure| measure.high_90),
                references: usual.map(|usual| usual.value),
                side: check.side,
                threshold: threshold.name,
                limit,
                limit_sd: threshold.sd,
                label: threshold.label,
                holds,
            },
            holds,
            probability: compared.map_or(0.5, |number| probability(check.side, number.blurred(threshold.sd), limit)),
            why: measure.and_then(|measure| measure.absent.clone()),
        })
    }

    /// What the references do: the mean, and how well it is known by their number, spread and intervals.
    fn usual(&self, name: &str) -> Option<Uncertain> {
        let of = |reference: &Beside| {
            let measure = reference.measures.iter().find(|measure| measure.name == name)?;
            let factor = if measure.unit == "m" { reference.factor } else { 1.0 };
            let own = Uncertain::of(measure)?;
            Some((factor * own.value, factor * 0.5 * (own.below + own.above)))
        };
        let found: Vec<(f64, f64)> = self.references.iter().filter_map(of).collect();
        let count = found.len() as f64;
        let value = found.iter().map(|(value, _)| value).sum::<f64>() / count;
        // The spread holds the error of a single reference; a single reference has none but that.
        let spread = found.iter().map(|(other, _)| (other - value).powi(2)).sum::<f64>() / (count - 1.0).max(1.0);
        let errors = found.iter().map(|(_, sd)| sd * sd).sum::<f64>() / count;
        let sd = (spread.max(errors) / count).sqrt();
        (!found.is_empty()).then_some(Uncertain { value, below: sd, above: sd })
    }
}

fn difference(own: Uncertain, usual: Uncertain) -> Uncertain {
    Uncertain {
        value: own.value - usual.value,
        below: own.below.hypot(usual.above),
        above: own.above.hypot(usual.below),
    }
}

fn on_side(side: Side, value: f64, limit: f64) -> bool {
    match side {
        Side::AtLeast => value >= limit,
        Side::AtMost => value <= limit,
    }
}

/// Probability that the truth is on the side, the truth normal about the value with the SD towards the limit.
fn probability(side: Side, number: Uncertain, limit: f64) -> f64 {
    let off = number.value - limit;
    let sd = if off >= 0.0 { number.below } else { number.above };
    // No error at all: the value itself decides.
    let z = if sd > 0.0 { off / sd } else { off * f64::INFINITY };
    let above = if z.is_nan() { f64::from(off >= 0.0) } else { normal(z) };
    match side {
        Side::AtLeast => above,
        Side::AtMost => 1.0 - above,
    }
}

/// The normal distribution function, by the formula 26.2.17 of Abramowitz and Stegun 1964: within 7.5e-8.
pub(super) fn normal(z: f64) -> f64 {
    const TERMS: [f64; 5] = [0.319_381_530, -0.356_563_782, 1.781_477_937, -1.821_255_978, 1.330_274_429];
    let t = 1.0 / (1.0 + 0.231_641_9 * z.abs());
    let sum = TERMS.iter().rev().fold(0.0, |sum, term| t * (term + sum));
    let tail = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt() * sum;
    if z > 0.0 { 1.0 - tail } else { tail }
}

/// The verdict of a rule, and its certainty; `None` where an absent measure leaves it open.
pub(super) fn verdict(rule: &Rule, answers: &[Answer]) -> Option<(&'static str, f64)> {
    if answers.len() != rule.checks.len() {
        return None;
    }
    let mut left = 1.0;
    let mut found = None;
    for (verdict, cells) in rule.rows {
        let share = cells.iter().zip(answers).map(|(cell, answer)| likely(*cell, answer)).product::<f64>();
        left -= share;
        let fit = cells.iter().zip(answers).map(|(cell, answer)| fits(*cell, answer)).collect::<Vec<_>>();
        if fit.contains(&Some(false)) {
            continue;
        }
        if fit.contains(&None) {
            return None;
        }
        found = found.or(Some((*verdict, share)));
    }
    Some(found.unwrap_or((rule.otherwise, left.max(0.0))))
}

fn fits(cell: Cell, answer: &Answer) -> Option<bool> {
    match cell {
        Cell::Any => Some(true),
        Cell::Yes => answer.holds,
        Cell::No => answer.holds.map(|holds| !holds),
    }
}

fn likely(cell: Cell, answer: &Answer) -> f64 {
    match cell {
        Cell::Any => 1.0,
        Cell::Yes => answer.probability,
        Cell::No => 1.0 - answer.probability,
    }
}
