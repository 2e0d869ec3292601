//! The rule table: what each finding looks at, from which threshold on, and which verdict follows.
//!
//! A coach can read and change it. Nothing here has a publication behind it, unless its label says so: the rules put
//! common practice into measures, and the sizes are working assumptions, tried on the forward model and adjustable
//! ([`super::Thresholds`]).

/// Where a threshold comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Label {
    /// Coaches say so; no publication behind it.
    CommonPractice,
    /// Common practice names the direction; the size is this project's choice.
    WorkingAssumption,
}

plain::words!(Label { CommonPractice = "common practice", WorkingAssumption = "working assumption" });

/// A threshold of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Threshold {
    /// Name in a file of thresholds.
    pub name: &'static str,
    /// Value that holds unless another is stated, in `unit`.
    pub default: f64,
    /// How well the line between usual and unusual is known, 1 SD in `unit`; 0 where the threshold is the definition.
    pub sd: f64,
    /// "m", "deg", or "1" for a share.
    pub unit: &'static str,
    /// Where the value comes from.
    pub label: Label,
    /// Catalogue key of the sentence that says what it means and why it has this size.
    pub key: &'static str,
}

plain::record!(Threshold { name, default, sd, unit, label, key });

/// A threshold beside what it is a limit of.
#[derive(Clone, Copy, Debug)]
pub struct Limit {
    /// Name of the finding.
    pub finding: &'static str,
    /// Name of the measure.
    pub measure: &'static str,
    /// The side on which the check holds.
    pub side: Side,
    /// Is it a limit of the difference to the references?
    pub beside: bool,
    /// The threshold.
    pub threshold: &'static Threshold,
}

plain::record!(Limit { finding, measure, side, beside, threshold: inline });

/// All thresholds in the order of [`RULES`].
pub fn limits() -> Vec<Limit> {
    let checks = RULES.iter().flat_map(|rule| rule.checks.iter().map(|check| (rule.name, check)));
    let of_check = |(finding, check): (&'static str, &Check)| {
        let names = [Some(check.threshold), check.with_references];
        let limit = |(beside, name): (usize, Option<&str>)| {
            let threshold = THRESHOLDS.iter().find(|threshold| Some(threshold.name) == name)?;
            Some(Limit { finding, measure: check.measure, side: check.side, beside: beside == 1, threshold })
        };
        names.into_iter().enumerate().filter_map(limit).collect::<Vec<_>>()
    };
    checks.flat_map(of_check).collect()
}

/// On which side of its threshold a measure has to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The threshold or more.
    AtLeast,
    /// The threshold or less.
    AtMost,
}

plain::words!(Side { AtLeast = "at least", AtMost = "at most" });

/// A question that a rule asks of one measure.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// Name of the measure.
    pub measure: &'static str,
    /// The side on which the answer is yes.
    pub side: Side,
    /// Name of the threshold.
    pub threshold: &'static str,
    /// With references: the measure is compared with their mean, and its difference with this threshold.
    pub with_references: Option<&'static str>,
    /// Catalogue keys of what is said where it holds: by itself, and beside references. Empty: nothing.
    pub says: [&'static str; 2],
}

/// What a row of a rule asks of a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cell {
    /// The check holds.
    Yes,
    /// It does not.
    No,
    /// It may or may not.
    Any,
}

/// One finding: checks, and a verdict for each combination of answers. The first row that fits counts.
#[derive(Clone, Copy, Debug)]
pub struct Rule {
    /// Name of the finding.
    pub name: &'static str,
    /// Catalogue key of the sentence that says what it is.
    pub key: &'static str,
    /// What it looks at.
    pub checks: &'static [Check],
    /// Verdict, and what it asks of the checks in their order. No two rows fit the same answers.
    pub rows: &'static [(&'static str, &'static [Cell])],
    /// Verdict where no row fits.
    pub otherwise: &'static str,
}

/// Verdict where the data do not carry another.
pub const CANNOT_TELL: &str = "cannot tell";

use crate::plain;
use Cell::{Any, No, Yes};
use Label::{CommonPractice, WorkingAssumption};
use Side::{AtLeast, AtMost};

const FITS: &str = "fits";
const FITS_NOT: &str = "does not fit";

/// All findings, in the order they are told.
pub const RULES: [Rule; 6] = [
    Rule {
        name: "carrier",
        key: "findings.carrier",
        checks: &[
            check("made, out", AtLeast, "arms-out"),
            check("carried, out", AtLeast, "body-out"),
            check("taken back", AtMost, "taken-back"),
        ],
        rows: &[("arm-driven", &[Yes, No, Any]), ("both", &[Yes, Yes, Any]), ("body-carried", &[No, Yes, Yes])],
        otherwise: "neither",
    },
    Rule {
        name: "arm drop",
        key: "findings.arm_drop",
        checks: &[check("made, up", AtLeast, "arm-drop").says("findings.says_little_drop", "")],
        rows: &[("too little", &[Yes])],
        otherwise: "enough",
    },
    Rule {
        name: "early or flat turn",
        key: "findings.early_or_flat_turn",
        checks: &[
            check("trunk opening, at lead arm level", AtLeast, "trunk-opening")
                .beside("trunk-opening-more")
                .says("findings.says_early", "findings.says_earlier"),
            check("trunk lean, top to lead arm level", AtMost, "trunk-lean")
                .beside("trunk-lean-less")
                .says("findings.says_flat", "findings.says_flatter"),
        ],
        rows: &[(FITS_NOT, &[No, No])],
        otherwise: FITS,
    },
    Rule {
        name: "lunge",
        key: "findings.lunge",
        checks: &[
            check("carried by shift, out", AtLeast, "shift-out").says("findings.says_shift", ""),
            check("carried by tilt, out", AtLeast, "tilt-out").says("findings.says_tilt", ""),
        ],
        rows: &[(FITS_NOT, &[No, No])],
        otherwise: FITS,
    },
    Rule {
        name: "no room",
        key: "findings.no_room",
        checks: &[
            check("hands over the lead shoulder, at top", AtLeast, "top-height")
                .beside("top-height-more")
                .says("findings.says_high", "findings.says_higher"),
            check("hands at top, out", AtLeast, "top-out")
                .beside("top-out-more")
                .says("findings.says_forward", "findings.says_farther_forward"),
            check("hands at top, target", AtLeast, "top-across")
                .beside("top-across-more")
                .says("findings.says_across", "findings.says_farther_across"),
        ],
        rows: &[(FITS_NOT, &[No, No, No])],
        otherwise: FITS,
    },
    Rule {
        name: "too far inside",
        key: "findings.too_far_inside",
        checks: &[check("out drift, at lead arm level", AtMost, "inside-drift").says("findings.says_inside", "")],
        rows: &[(FITS, &[Yes])],
        otherwise: FITS_NOT,
    },
];

const fn check(measure: &'static str, side: Side, threshold: &'static str) -> Check {
    Check { measure, side, threshold, with_references: None, says: ["", ""] }
}

impl Check {
    /// The same check, which compares with references where there are some.
    const fn beside(self, threshold: &'static str) -> Check {
        Check { with_references: Some(threshold), ..self }
    }

    /// The same check, with what is said where it holds.
    const fn says(self, alone: &'static str, beside: &'static str) -> Check {
        Check { says: [alone, beside], ..self }
    }
}

/// All thresholds.
pub const THRESHOLDS: [Threshold; 17] = [
    length("arms-out", 0.01, "findings.threshold_arms_out"),
    length("body-out", 0.05, "findings.threshold_body_out"),
    Threshold { label: CommonPractice, ..threshold("taken-back", 0.5, "1", "findings.threshold_taken_back") },
    length("arm-drop", -0.10, "findings.threshold_arm_drop"),
    angle("trunk-opening", 42.0, "findings.threshold_trunk_opening").about(4.0),
    angle("trunk-opening-more", 6.0, "findings.threshold_trunk_opening_more"),
    angle("trunk-lean", 29.0, "findings.threshold_trunk_lean").about(4.0),
    angle("trunk-lean-less", -5.0, "findings.threshold_trunk_lean_less"),
    length("shift-out", 0.04, "findings.threshold_shift_out"),
    length("tilt-out", 0.04, "findings.threshold_tilt_out"),
    length("top-height", 0.50, "findings.threshold_top_height").about(0.04),
    length("top-height-more", 0.08, "findings.threshold_top_height_more"),
    length("top-out", 0.05, "findings.threshold_top_out").about(0.04),
    length("top-out-more", 0.06, "findings.threshold_top_out_more"),
    length("top-across", -0.15, "findings.threshold_top_across").about(0.04),
    length("top-across-more", 0.08, "findings.threshold_top_across_more"),
    length("inside-drift", -0.04, "findings.threshold_inside_drift"),
];

const fn threshold(name: &'static str, default: f64, unit: &'static str, key: &'static str) -> Threshold {
    Threshold { name, default, sd: 0.0, unit, label: WorkingAssumption, key }
}

impl Threshold {
    /// The same threshold, which stands in for references: players differ by so much.
    const fn about(self, sd: f64) -> Threshold {
        Threshold { sd, ..self }
    }
}

const fn length(name: &'static str, metres: f64, key: &'static str) -> Threshold {
    threshold(name, metres, "m", key)
}

const fn angle(name: &'static str, degrees: f64, key: &'static str) -> Threshold {
    threshold(name, degrees, "deg", key)
}
