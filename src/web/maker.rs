//! What is made on demand: files of made-up swings, and drafts of stories.

use super::read::given;
use crate::model::{SLIDERS, recorded, trial, trial_reference};
use crate::session::draft;
use wasm_bindgen::prelude::*;

/// Documented names of the sliders.
#[wasm_bindgen(js_name = sliderNames)]
pub fn slider_names() -> Vec<String> {
    SLIDERS.iter().map(|slider| slider.name.to_owned()).collect()
}

/// Least and greatest value, step and start of each, one after the other.
#[wasm_bindgen(js_name = sliderRanges)]
pub fn slider_ranges() -> Vec<f64> {
    SLIDERS.iter().flat_map(|slider| [slider.low, slider.high, slider.step, slider.start]).collect()
}

/// The file of a swing by the sliders' values, in their order.
#[wasm_bindgen(js_name = swing)]
pub fn swing_file(values: &[f64]) -> Vec<u8> {
    super::show_panics();
    recorded(&trial(values))
}

/// The file of the reference, for pages that have none.
#[wasm_bindgen]
pub fn reference() -> Vec<u8> {
    recorded(&trial_reference())
}

/// A first draft of a story, a list of [`crate::session::Step`], of [`crate::session::Facts`].
#[wasm_bindgen(js_name = draft)]
pub fn draft_story(facts: JsValue) -> Result<JsValue, JsValue> {
    super::told(&draft(&given(facts)?))
}
