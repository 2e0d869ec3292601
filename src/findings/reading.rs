//! Two or three plain sentences about a swing, chosen from its findings.

use super::{Beside, CANNOT_TELL, Evidence, Finding, RULES, aim_reach_deg};
use crate::measure::Measure;
use crate::swing::Swing;
use crate::words::Message;

/// A certainty as it is told: in whole per cent, never all of them.
pub fn spoken_percent(certainty: f64) -> u64 {
    (100.0 * certainty).round().min(99.0) as u64
}

/// What the sentences are about.
#[derive(Clone, Copy)]
pub struct Told<'a> {
    /// The student's swing.
    pub swing: &'a Swing,
    /// Its measures.
    pub measures: &'a [Measure],
    /// Its findings.
    pub findings: &'a [Finding],
    /// References that the findings compare with.
    pub references: &'a [Beside<'a>],
}

/// Lengths that round to nothing in whole centimetres are told as nothing, metres.
const NOTHING_M: f64 = 0.005;
/// A cause less likely than this is not told.
const LEAST_CERTAINTY: f64 = 0.5;
/// And less likely than this where its threshold stands in for references.
const LEAST_CERTAINTY_ALONE: f64 = 0.9;
/// A target line with more than this 1 SD was not stated, degrees.
const STATED_DEG: f64 = 1.0;

/// What the hands did, what carried them and how sure that is, and the cause or the caution that matters most. `spell`
/// writes a length, not negative, in whole units: "12 cm".
///
/// The numbers are those of the measures. The sentences compare the student with references or with themself, and say
/// nothing of intention or flight.
pub fn reading(told: &Told, spell: &dyn Fn(f64) -> String) -> Vec<Message> {
    let carrier = told.findings.iter().find(|finding| finding.name == "carrier");
    let mut sentences: Vec<Message> = told.hands(spell).into_iter().collect();
    match carrier {
        Some(Finding { verdict: CANNOT_TELL, why, .. }) => {
            sentences.push(Message::new("findings.carrier_cannot_tell"));
            sentences.extend(why.clone());
        }
        Some(carrier) => {
            sentences.extend(told.carried(carrier, spell));
            sentences.extend(told.shaky(carrier).or_else(|| told.cause(spell)).or_else(|| told.assumed()));
        }
        None => {}
    }
    sentences
}

impl Told<'_> {
    fn value(&self, name: &str) -> Option<f64> {
        self.measures.iter().find(|measure| measure.name == name)?.value
    }

    /// Mean of the references, at the student's size.
    fn usual(&self, name: &str) -> Option<f64> {
        let of = |reference: &Beside| {
            let value = reference.measures.iter().find(|measure| measure.name == name)?.value?;
            Some(value * reference.factor)
        };
        let found: Vec<f64> = self.references.iter().filter_map(of).collect();
        (!found.is_empty()).then(|| found.iter().sum::<f64>() / found.len() as f64)
    }

    /// Out and down, from the top to lead arm level; beside references, how much farther out than theirs.
    fn hands(&self, spell: &dyn Fn(f64) -> String) -> Option<Message> {
        let out = self.value("out drift, at lead arm level")?;
        let down = self.value("hands at top, up")? - self.value("hands at lead arm level, up")?;
        let (message, size) = match self.usual("out drift, at lead arm level").map(|usual| out - usual) {
            None if out >= NOTHING_M => (Message::new("findings.hands_out"), out),
            None if out <= -NOTHING_M => (Message::new("findings.hands_in"), out),
            None => (Message::new("findings.hands_stay"), out),
            Some(more) if more >= NOTHING_M => (Message::new("findings.hands_farther_out"), more),
            Some(more) if more <= -NOTHING_M => (Message::new("findings.hands_less_far_out"), more),
            Some(more) => (Message::new("findings.hands_as_far_out"), more),
        };
        let message = message.with("size", spell(size.abs())).with("down", spell(down.max(0.0)));
        Some(message.with("references", self.references.len()))
    }

    /// Who carried them, with both shares and the certainty.
    fn carried(&self, carrier: &Finding, spell: &dyn Fn(f64) -> String) -> Option<Message> {
        let (arms, body) = (self.value("made, out")?, self.value("carried, out")?);
        let message = match carrier.verdict {
            "arm-driven" if body >= NOTHING_M => Message::new("findings.carrier_arms_and_some_body"),
            "arm-driven" => Message::new("findings.carrier_arms"),
            "both" => Message::new("findings.carrier_both"),
            "body-carried" if arms <= -NOTHING_M => Message::new("findings.carrier_body"),
            "body-carried" => Message::new("findings.carrier_body_alone"),
            _ if body >= NOTHING_M && arms <= -NOTHING_M => Message::new("findings.carrier_neither_taken_back"),
            _ => Message::new("findings.carrier_neither"),
        };
        let percent = carrier.certainty.map_or(0, spoken_percent);
        let message = message.with("arms", spell(arms.abs())).with("body", spell(body.abs()));
        Some(message.with("percent", percent))
    }

    /// A target line within reach under which another carrier would be told.
    fn shaky(&self, carrier: &Finding) -> Option<Message> {
        Some(Message::new("findings.aim_changes_carrier").with("degrees", carrier.flips_deg?.abs()))
    }

    /// The most certain of the causes that fit, the first of equals.
    fn cause(&self, spell: &dyn Fn(f64) -> String) -> Option<Message> {
        let (mut most, mut surest) = (0.0, None);
        for finding in self.findings {
            let certainty = finding.certainty.unwrap_or(0.0);
            let cause = cause_of(finding, spell).filter(|_| certainty > most);
            if cause.is_some() {
                (most, surest) = (certainty, cause);
            }
        }
        surest
    }

    /// The target line is assumed, and that does not matter for the carrier.
    fn assumed(&self) -> Option<Message> {
        let assumed = self.swing.has_body && self.swing.target_sd_deg > STATED_DEG;
        assumed.then(|| Message::new("findings.aim_keeps_carrier").with("degrees", aim_reach_deg(self.swing)))
    }
}

/// What is said where a check of the finding holds.
fn cause_of(finding: &Finding, spell: &dyn Fn(f64) -> String) -> Option<Message> {
    let rule = RULES.iter().find(|rule| rule.name == finding.name)?;
    let held = |(_, evidence): &(_, &Evidence)| evidence.holds == Some(true);
    let (check, evidence) = rule.checks.iter().zip(&finding.evidence).find(held)?;
    let least = if evidence.limit_sd > 0.0 { LEAST_CERTAINTY_ALONE } else { LEAST_CERTAINTY };
    if finding.certainty.unwrap_or(0.0) < least {
        return None;
    }
    let key = check.says[usize::from(evidence.references.is_some())];
    (!key.is_empty()).then(|| said(key, evidence, spell))
}

/// A sentence about one measure: how far on the side of its threshold, or beside references how far from theirs.
fn said(key: &'static str, evidence: &Evidence, spell: &dyn Fn(f64) -> String) -> Message {
    let value = evidence.value.unwrap_or(0.0) - evidence.references.unwrap_or(0.0);
    let size = (value * evidence.limit.signum()).max(0.0);
    match evidence.unit {
        "m" => Message::new(key).with("size", spell(size)),
        _ => Message::new(key).with("degrees", size),
    }
}
