//! The engine's class: a [`crate::session::Session`] behind JavaScript values.

use super::give;
use super::read::{given, spelled};
use crate::session::{self, Id, Job};
use js_sys::Reflect;
use wasm_bindgen::prelude::*;

/// Files and what was found in them.
#[wasm_bindgen]
pub struct Session(session::Session);

#[wasm_bindgen]
extern "C" {
    /// The worker's: it tells the page.
    #[wasm_bindgen(js_name = handpathReading)]
    fn reading(id: Id, share: f64);
}

#[wasm_bindgen]
impl Session {
    /// Without files.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Session {
        super::show_panics();
        Session(session::Session::watched(|id, share| reading(id, share)))
    }

    /// Takes the bytes of a file under a number. Nothing is read yet.
    pub fn put(&mut self, id: Id, bytes: Vec<u8>) {
        self.0.put(id, bytes);
    }

    /// Forgets a file.
    pub fn drop(&mut self, id: Id) {
        self.0.drop(id);
    }

    /// Reads, finds, compares what a job names: `{files: [{id, report, roles, names_key, content_key}], shown, comparison, readings: {cm,
    /// in}, picture}`, the series of the picture as typed arrays. A job is `{files: [{id, slot, label, corrections}], shown,
    /// align, degrees, thresholds, band: {kind, of}}`.
    pub fn compare(&mut self, job: JsValue) -> Result<JsValue, JsValue> {
        let mut answer = self.0.compare(&given(job)?);
        // Series are many numbers, and plain arrays of them are slow to cross.
        let picture = answer.picture.take();
        let told = super::told(&answer)?;
        Reflect::set(&told, &"picture".into(), &picture.as_ref().map_or(JsValue::NULL, give::picture_object))?;
        Ok(told)
    }

    /// What if the student's target line lay `degrees` of the job farther to the out side: `{measures, findings}`, as in a
    /// report, the measures without intervals. Null without a swing of the student.
    pub fn aim(&mut self, job: JsValue) -> Result<JsValue, JsValue> {
        let job: Job = given(job)?;
        super::told(&self.0.aim(&job))
    }

    /// The band of the references of a job, for the picture; null of too few. It takes its time.
    pub fn band(&mut self, job: JsValue) -> Result<JsValue, JsValue> {
        let job: Job = given(job)?;
        Ok(self.0.band(&job).as_ref().map_or(JsValue::NULL, give::band_object))
    }

    /// What the student's swings of a job say together, and against those of an earlier lesson: `{own, lessons}`. It takes
    /// its time.
    pub fn together(&mut self, job: JsValue) -> Result<JsValue, JsValue> {
        let job: Job = given(job)?;
        super::told(&self.0.together(&job))
    }

    /// The measures of a job as a table (CSV).
    #[wasm_bindgen(js_name = measuresCsv)]
    pub fn measures_csv(&mut self, job: JsValue) -> Result<String, JsValue> {
        Ok(self.0.measures_csv(&given(job)?))
    }

    /// The hand paths of a job at the matched moments, as a table (CSV).
    #[wasm_bindgen(js_name = pathsCsv)]
    pub fn paths_csv(&mut self, job: JsValue) -> Result<String, JsValue> {
        Ok(self.0.paths_csv(&given(job)?))
    }

    /// Opens a lesson file: `{document, recordings, unusable, warnings, error}`, see [`session::OpenedLesson`].
    #[wasm_bindgen(js_name = openLesson)]
    pub fn open_lesson(&self, bytes: &[u8]) -> Result<JsValue, JsValue> {
        super::told(&session::open_lesson(bytes))
    }

    /// Makes a lesson file of `{document, opened, small, nameless}`: `{text, left_out, nameless, error}`, see [`session::Saving`].
    #[wasm_bindgen(js_name = saveLesson)]
    pub fn save_lesson(&mut self, saving: JsValue) -> Result<JsValue, JsValue> {
        super::told(&self.0.save_lesson(&given(saving)?, spelled))
    }

    /// All points of a file `{id, up}`, to be picked in the picture; `up` is the documented name of the axis that is up.
    pub fn cloud(&mut self, job: JsValue) -> Result<JsValue, JsValue> {
        Ok(self.0.cloud(given(job)?).as_ref().map_or(JsValue::NULL, give::cloud_object))
    }
}
