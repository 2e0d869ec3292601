//! The coach's module: a [`practice::Practice`] behind JavaScript values, and questions that keep nothing.
//!
//! Everything goes in and out as plain objects; their shapes stand at the types of [`crate::coach`]. Messages are `{key, args,
//! place}`, their sentences in the catalogue. A field that is missing is its default, one that cannot be meant is told in
//! `notes` or `warnings`; an exception is thrown only where a call itself is wrong.

use super::read::{given, plain, spelled};
use super::{take, told};
use crate::coach::{
    ball, captures, cautions, copy, fingerprint, intake, next, plan, practice, presets, rule_out, setup,
};
use crate::plain::{Given, Read};
use crate::session::{Saving, close_lesson, open_lesson};
use crate::settings::Hand;
use wasm_bindgen::prelude::*;

/// A plan and the log of taps, folded: a tap costs the same whatever was logged before.
#[wasm_bindgen]
pub struct Practice(practice::Practice);

#[wasm_bindgen]
impl Practice {
    /// Folds a log: `plan` is the lesson's field `plan`, `log` its field `log`, a list of entries; both may be missing.
    #[wasm_bindgen(constructor)]
    pub fn new(plan: JsValue, log: JsValue) -> Practice {
        super::show_panics();
        Practice(practice::Practice::of(&plain(&plan), &plain(&log)))
    }

    /// Folds one entry more, which the caller adds to the log: `{hit_on: {rung, share} | null, standing, notes}`. Of a ball
    /// `hit_on` is to be written into its entry (`{...entry, ...hit_on}`), so that later changes of the plan do not
    /// rewrite what happened.
    pub fn tap(&mut self, entry: JsValue) -> Result<JsValue, JsValue> {
        told(&self.0.tap(&plain(&entry)))
    }

    /// Where the session stands, and the advice: `{session, began, kind, ended, rung, share, on_rung, asked, tally, left,
    /// since_rest, advice: {kind, reason, also}}`.
    pub fn standing(&self) -> Result<JsValue, JsValue> {
        told(&self.0.standing())
    }

    /// Session by session: `{sessions: [{number, began, kind, ended, tally, good, pulled, rungs}], at_full_speed}`.
    pub fn progress(&self) -> Result<JsValue, JsValue> {
        told(&self.0.progress())
    }

    /// The plan as it was understood, defaults filled in.
    pub fn plan(&self) -> Result<JsValue, JsValue> {
        told(self.0.plan())
    }

    /// What of plan and log could not be meant: messages, each of an entry with its 1-based number `entry`.
    pub fn warnings(&self) -> Result<JsValue, JsValue> {
        told(&self.0.warnings())
    }
}

fn hand_of(hand: &str) -> Hand {
    if hand == "left" { Hand::Left } else { Hand::Right }
}

/// A plan with its defaults filled in: `{plan, warnings}`.
#[wasm_bindgen(js_name = planOf)]
pub fn plan_of(plan: JsValue) -> Result<JsValue, JsValue> {
    let (plan, warnings) = plan::Plan::take(&plain(&plan));
    told(&PlanAnswer { plan, warnings })
}

struct PlanAnswer {
    plan: plan::Plan,
    warnings: Vec<crate::words::Message>,
}

crate::plain::record!(PlanAnswer { plan, warnings });

/// One ball: `{start, curve, flight, face, starts, bends, notes}`; `hand` "right" or "left", `tolerance` in degrees.
#[wasm_bindgen(js_name = ballOf)]
pub fn ball_of(ball: JsValue, hand: &str, tolerance: f64) -> Result<JsValue, JsValue> {
    told(&ball::told(&plain(&ball), hand_of(hand), tolerance))
}

/// The words for a ball and the side on which a player of this hand sees each: `{starts: [{word, side}], curves, strikes}`,
/// from left to right.
#[wasm_bindgen(js_name = ballWords)]
pub fn ball_words(hand: &str) -> Result<JsValue, JsValue> {
    told(&ball::choices(hand_of(hand)))
}

/// What follows from an intake card: `{first, not_offered, notes, missing, may_record, may_pool, plan}`.
#[wasm_bindgen(js_name = intakeOf)]
pub fn intake_of(intake: JsValue) -> Result<JsValue, JsValue> {
    told(&intake::told(&plain(&intake)))
}

/// The cautions of a place ("intake", "capture", "plan", "drill", "practice", "numbers"), as messages.
#[wasm_bindgen]
pub fn cautions(place: &str, minor: bool) -> Result<JsValue, JsValue> {
    let place = Given::Text(place.to_owned());
    let place = cautions::Place::read(&place).map_err(|error| JsError::new(&error.to_string()))?;
    told(&cautions::at(place, minor))
}

/// All cautions: `[{key, places, minors}]`.
#[wasm_bindgen(js_name = cautionTable)]
pub fn caution_table() -> Result<JsValue, JsValue> {
    told(&cautions::CAUTIONS)
}

/// The set-up check: `cloud` is what the engine's `cloud({id, up})` gives, `wish` is `{near, far, ball, up, hand, metres}`
/// with the same `up`. `{setup, error, notes}`; `setup.corrections` is to be stated for every
/// capture of the session, `{...setup.corrections, ...corrections}`: what a capture states itself wins.
#[wasm_bindgen(js_name = setupOf)]
pub fn setup_of(cloud: JsValue, wish: JsValue) -> Result<JsValue, JsValue> {
    told(&setup::check(&take::cloud(&cloud), &given(wish)?))
}

/// The path to copy, to be kept as `plan.picture`: of the `student` and the `reference` of the engine's picture; null where nothing
/// can be copied.
#[wasm_bindgen(js_name = copyOf)]
pub fn copy_of(student: JsValue, reference: JsValue) -> Result<JsValue, JsValue> {
    let reference = (!reference.is_falsy()).then(|| take::figure(&reference));
    told(&copy::Copy::of(&take::figure(&student), reference.as_ref()))
}

/// What is kept as `plan.picture`, drawn: `{views: [{name, width, height, lines: [{what, points}], spots: [{what, x, y}]}], told}`.
#[wasm_bindgen(js_name = copyPicture)]
pub fn copy_picture(kept: JsValue) -> Result<JsValue, JsValue> {
    told(&copy::told(&plain(&kept)))
}

/// The captures of a session: `{kept, good, more, judge, pulls, good_balls, compare, efforts, notes}`.
#[wasm_bindgen(js_name = capturesOf)]
pub fn captures_of(captures: JsValue, hand: &str) -> Result<JsValue, JsValue> {
    told(&captures::told(&plain(&captures), hand_of(hand)))
}

/// Does the path hold as speed returns? Takes `[{effort, measures: [{name, unit, value}]}]`, gives `[{name, unit, efforts:
/// [{effort, spread, against_slow, verdict}]}]`.
#[wasm_bindgen(js_name = alongEfforts)]
pub fn along_efforts(captures: JsValue) -> Result<JsValue, JsValue> {
    told(&captures::along(&plain(&captures)))
}

/// The strip of what to rule out first: `{rows: [{cause, state, evidence, by_coach}], announce, first, notes}`.
#[wasm_bindgen(js_name = ruleOut)]
pub fn rule_out(asked: JsValue) -> Result<JsValue, JsValue> {
    told(&rule_out::told(&plain(&asked)))
}

/// What changed since the lesson before: `{pulled_before, pulled_after, difference, balls, measure, path_difference, path,
/// changed, transfer, fixed, verdict, reason, notes}`.
#[wasm_bindgen(js_name = nextLesson)]
pub fn next_lesson(asked: JsValue) -> Result<JsValue, JsValue> {
    told(&next::told(&plain(&asked)))
}

/// Opens a house preset: `{document, setups, fingerprint, warnings, error}`, the document as JSON text.
#[wasm_bindgen(js_name = openPreset)]
pub fn open_preset(bytes: &[u8]) -> Result<JsValue, JsValue> {
    told(&presets::told(bytes, spelled))
}

/// Changes a field of a preset or lesson document (JSON text) and signs it: `change` is `{coach, date, what: [NAME, ...],
/// to}`; without `to` the field is taken away; several at once are `{coach, date, changes: [{what, to}, ...]}`. `{document, error}`.
#[wasm_bindgen(js_name = changeDocument)]
pub fn change_document(document: &str, change: JsValue) -> Result<JsValue, JsValue> {
    told(&presets::changed(document, &plain(&change), spelled))
}

/// SHA-256 of bytes, 64 hexadecimal digits.
#[wasm_bindgen]
pub fn digest(bytes: &[u8]) -> String {
    fingerprint::digest(bytes)
}

/// The fingerprint of settings `{corrections, thresholds, references: [{recording, corrections}]}`: `{sha256, code}`; `recording` is the
/// [`digest`] of the recording's text as [`open_lesson_file`] gives it.
#[wasm_bindgen(js_name = fingerprintOf)]
pub fn fingerprint_of(settings: JsValue) -> Result<JsValue, JsValue> {
    told(&fingerprint::told(&plain(&settings), spelled))
}

/// Opens a lesson file without reading its recordings: `{document, recordings, unusable, warnings, error}`, as the engine does.
#[wasm_bindgen(js_name = openLesson)]
pub fn open_lesson_file(bytes: &[u8]) -> Result<JsValue, JsValue> {
    told(&open_lesson(bytes))
}

/// Makes a lesson file of `{document, opened}` and the recordings that [`open_lesson_file`] gave: `{text, left_out, error}`.
#[wasm_bindgen(js_name = saveLesson)]
pub fn save_lesson_file(saving: JsValue, recordings: Vec<String>) -> Result<JsValue, JsValue> {
    let saving: Saving = given(saving)?;
    told(&close_lesson(&saving, &recordings))
}
