//! Would another target line change a verdict?

use super::judge::{Case, verdict};
use super::rules::{RULES, Rule};
use super::{Beside, CANNOT_TELL, Finding, Thresholds};
use crate::measure::{Measure, under_aims};
use crate::swing::Swing;

/// Turns of the target line that are tried reach this far to either side at least, degrees (common practice: how far
/// players stand from where they aim).
pub const LEAST_REACH_DEG: f64 = 10.0;
/// And this many SD of the target line.
pub const REACH_SD: f64 = 2.0;
/// No line is tried beyond this, degrees.
const FARTHEST_DEG: f64 = 45.0;

/// How far the target line may be off, degrees: what the aim slider spans, to either side.
pub fn aim_reach_deg(swing: &Swing) -> f64 {
    let reach = (REACH_SD * swing.target_sd_deg).max(LEAST_REACH_DEG);
    if reach < FARTHEST_DEG { reach } else { FARTHEST_DEG }
}

/// A swing under turned target lines, the smallest turns first.
pub(super) struct Aims {
    degrees: Vec<f64>,
    measures: Vec<Vec<Measure>>,
}

impl Aims {
    /// Whole degrees to either side. Without a body no target line is looked at.
    pub(super) fn of(swing: &Swing) -> Aims {
        let whole = if swing.has_body { aim_reach_deg(swing) as u32 } else { 0 };
        let degrees: Vec<f64> = (1..=whole).flat_map(|size| [f64::from(size), -f64::from(size)]).collect();
        let names: Vec<&str> = RULES.iter().flat_map(|rule| rule.checks).map(|check| check.measure).collect();
        let measures = under_aims(swing, &degrees, &names);
        Aims { degrees, measures }
    }

    /// Tells the smallest turn that changes the verdict, and to which.
    pub(super) fn tell(&self, rule: &Rule, finding: &mut Finding, references: &[Beside], thresholds: &Thresholds) {
        if finding.verdict == CANNOT_TELL {
            return;
        }
        for (degrees, measures) in self.degrees.iter().zip(&self.measures) {
            let case = Case { measures, references, thresholds };
            let turned = verdict(rule, &case.answers(rule)).map_or(CANNOT_TELL, |(verdict, _)| verdict);
            if turned != finding.verdict {
                finding.flips_deg = Some(*degrees);
                finding.flips_to = Some(turned);
                return;
            }
        }
    }
}
