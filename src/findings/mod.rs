//! What the measures of a swing fit with: a carrier of the hands, and the kinds of cause that coaches know.
//!
//! The rules are data ([`RULES`], [`THRESHOLDS`]): each finding asks a few measures whether they are on one side of a
//! threshold, and a small table says which verdict follows from the answers. Findings show motion, not intention, and
//! say nothing about the flight of a ball.
//!
//! **Certainty** of a verdict is the probability that the true measures lead to it. For each check it is that of a normal
//! truth about the measured value, with the SD that the 90 % interval has on the side of the threshold; the checks of a
//! row count as independent and are multiplied. Measures share errors, so that this is a little too low or too high
//! where two checks are close to their thresholds at once.
//!
//! **Flips.** The target line may be off: each finding tells the smallest turn of it that would change the verdict.

mod flips;
mod judge;
mod reading;
mod rules;
mod thresholds;

pub use flips::{LEAST_REACH_DEG, REACH_SD, aim_reach_deg};
pub use reading::{Told, reading, spoken_percent};
pub use rules::{CANNOT_TELL, Cell, Check, Label, Limit, RULES, Rule, Side, THRESHOLDS, Threshold, limits};
pub use thresholds::Thresholds;

use crate::measure::Measure;
use crate::plain;
use crate::swing::Swing;
use crate::words::Message;
use flips::Aims;
use judge::Case;

/// What one rule says about a swing.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Documented name.
    pub name: &'static str,
    /// Catalogue key of the sentence that says what it is.
    pub key: &'static str,
    /// Documented verdict; "cannot tell" where the data do not carry another.
    pub verdict: &'static str,
    /// Probability that the verdict is that of the true measures, 0 to 1; `None` with "cannot tell".
    pub certainty: Option<f64>,
    /// What it rests on.
    pub evidence: Vec<Evidence>,
    /// Smallest turn of the target line that changes the verdict, degrees, positive towards the player's `out` side, in
    /// whole degrees within [`aim_reach_deg`]; `None`: none does.
    pub flips_deg: Option<f64>,
    /// The verdict under that turn.
    pub flips_to: Option<&'static str>,
    /// References it compares with; 0: it stands on its own thresholds.
    pub references: usize,
    /// Why it cannot be told.
    pub why: Option<Message>,
}

plain::record!(Finding { name, key, verdict, certainty, evidence, flips_deg, flips_to, references, why });

/// A measure against a threshold.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Name of the measure.
    pub measure: &'static str,
    /// Its value in `unit`; `None` where it is absent.
    pub value: Option<f64>,
    /// Unit of all numbers here.
    pub unit: &'static str,
    /// Lower end of the 90 % interval.
    pub low_90: Option<f64>,
    /// Upper end.
    pub high_90: Option<f64>,
    /// The mean of the references, at the student's size; with it, the difference is held against the threshold.
    pub references: Option<f64>,
    /// The side on which the check holds.
    pub side: Side,
    /// Name of the threshold.
    pub threshold: &'static str,
    /// Its value.
    pub limit: f64,
    /// How well the line between usual and unusual is known, 1 SD; 0 where the threshold is the definition.
    pub limit_sd: f64,
    /// Where that value comes from.
    pub label: Label,
    /// Does the check hold? `None` where the measure is absent.
    pub holds: Option<bool>,
}

plain::record!(Evidence {
    measure,
    value,
    unit,
    low_90,
    high_90,
    references,
    side,
    threshold,
    limit,
    limit_sd,
    label,
    holds
});

/// A reference beside the student.
#[derive(Clone, Copy, Debug)]
pub struct Beside<'a> {
    /// Its measures, at its own size.
    pub measures: &'a [Measure],
    /// What its lengths are multiplied by, so that it has the student's size.
    pub factor: f64,
}

impl<'a> Beside<'a> {
    /// A reference and its measures; `None` with another club or kind of swing, whose geometry is not compared.
    pub fn of(student: &Swing, reference: &Swing, measures: &'a [Measure], factor: f64) -> Option<Beside<'a>> {
        let like = student.club == reference.club && student.kind == reference.kind;
        like.then_some(Beside { measures, factor })
    }
}

/// All findings about a swing, in the order of [`RULES`]; with references, those that compare do so. `measures` are the
/// swing's own, with intervals.
pub fn findings(swing: &Swing, measures: &[Measure], references: &[Beside], thresholds: &Thresholds) -> Vec<Finding> {
    let mut found = without_flips(measures, references, thresholds);
    let aims = Aims::of(swing);
    for (rule, finding) in RULES.iter().zip(&mut found) {
        aims.tell(rule, finding, references, thresholds);
    }
    found
}

/// The findings of [`findings`] without what turned target lines change, which takes most of the time.
pub fn without_flips(measures: &[Measure], references: &[Beside], thresholds: &Thresholds) -> Vec<Finding> {
    let case = Case { measures, references, thresholds };
    RULES.iter().map(|rule| finding(&case, rule)).collect()
}

fn finding(case: &Case, rule: &Rule) -> Finding {
    let answers = case.answers(rule);
    let told = judge::verdict(rule, &answers);
    let compared = answers.iter().any(|answer| answer.evidence.references.is_some());
    let why = answers.iter().filter(|answer| answer.holds.is_none()).find_map(|answer| answer.why.clone());
    Finding {
        name: rule.name,
        key: rule.key,
        verdict: told.map_or(CANNOT_TELL, |(verdict, _)| verdict),
        certainty: told.map(|(_, certainty)| certainty),
        flips_deg: None,
        flips_to: None,
        references: if compared { case.references.len() } else { 0 },
        why: why.filter(|_| told.is_none()),
        evidence: answers.into_iter().map(|answer| answer.evidence).collect(),
    }
}

#[cfg(test)]
mod tests;
