//! Objects with typed arrays for JavaScript. The names of their fields are those that the same types tell as
//! plain data: the painter takes both.

use crate::picture::cloud::Cloud;
use crate::picture::{Band, Figure, Mark, Picture};
use js_sys::{Array, Float64Array, Object, Reflect};
use wasm_bindgen::JsValue;

/// The picture, its series as typed arrays.
pub(super) fn picture_object(picture: &Picture) -> JsValue {
    let references = array(picture.references.iter().map(figure_object));
    let band = band_object(&picture.band);
    let others = array(picture.others.iter().map(|path| series(path)));
    object([
        ("student", figure_object(&picture.student)),
        ("references", references),
        ("band", band),
        ("others", others),
    ])
}

/// The band of the references.
pub(super) fn band_object(band: &Band) -> JsValue {
    object([
        ("mean", series(&band.mean)),
        ("half", series(&band.half)),
        ("swings", band.swings.into()),
        ("unlike", band.unlike.into()),
        ("pointwise", band.pointwise.into()),
    ])
}

fn figure_object(figure: &Figure) -> JsValue {
    object([
        ("label", JsValue::from_str(&figure.label)),
        ("left_handed", JsValue::from_bool(figure.left_handed)),
        ("time_s", series(&figure.time_s)),
        ("hands", series(&figure.hands)),
        ("joints", array(figure.joints.iter().map(|joint| series(joint)))),
        ("limbs", pairs(&figure.limbs)),
        ("club", pairs(&figure.club)),
        ("marks", array(figure.marks.iter().map(mark_object))),
        ("ball", figure.ball.map_or(JsValue::NULL, |ball| series(&ball))),
        ("matched_s", series(&figure.matched_s)),
        ("arms_only", series(&figure.arms_only)),
        ("shares", series(&figure.shares)),
    ])
}

fn pairs(lines: &[[usize; 2]]) -> JsValue {
    array(lines.iter().map(|ends| series(&ends.map(|index| index as f64))))
}

fn mark_object(mark: &Mark) -> JsValue {
    object([
        ("name", JsValue::from_str(&mark.name)),
        ("time_s", JsValue::from_f64(mark.time_s)),
        ("deviation", mark.deviation.map_or(JsValue::NULL, |deviation| series(&deviation))),
    ])
}

/// The points of a file.
pub(super) fn cloud_object(cloud: &Cloud) -> JsValue {
    object([
        ("names", names(&cloud.names)),
        ("roles", names(&cloud.roles)),
        ("times", series(&cloud.time_s)),
        ("points", array(cloud.points.iter().map(|track| series(track)))),
    ])
}

/// An object from its fields.
pub(super) fn object<const N: usize>(fields: [(&str, JsValue); N]) -> JsValue {
    let object = Object::new();
    for (name, value) in fields {
        // Setting a field of a fresh plain object cannot fail.
        let _ = Reflect::set(&object, &JsValue::from_str(name), &value);
    }
    object.into()
}

fn array(values: impl Iterator<Item = JsValue>) -> JsValue {
    values.collect::<Array>().into()
}

fn series(values: &[f64]) -> JsValue {
    Float64Array::from(values).into()
}

fn names(values: &[String]) -> JsValue {
    array(values.iter().map(|name| JsValue::from_str(name)))
}
