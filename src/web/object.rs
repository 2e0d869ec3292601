//! JavaScript objects. What is plain data goes through serde; what has typed arrays, or is read once a frame, is made and
//! read field by field.

use crate::picture::camera::{Orbit, View};
use crate::picture::cloud::Cloud;
use crate::picture::{Band, Figure, Layout, LengthDisplay, Mark, Picture, Timing, ViewState, Words};
use crate::plain::{self, Plain};
use js_sys::{Array, Float64Array, Object, Reflect};
use wasm_bindgen::{JsCast, JsValue};

/// Plain objects and null, as JSON has them.
pub(super) fn told(value: &dyn Plain) -> Result<JsValue, JsValue> {
    Ok(plain::serialize(value, &serde_wasm_bindgen::Serializer::json_compatible())?)
}

/// A field; undefined where there is none.
pub(super) fn field(object: &JsValue, name: &str) -> JsValue {
    Reflect::get(object, &JsValue::from_str(name)).unwrap_or(JsValue::UNDEFINED)
}

/// A number, if the field is one.
pub(super) fn number(object: &JsValue, name: &str) -> Option<f64> {
    field(object, name).as_f64()
}

/// A whole number from 0 up, if the field is one.
pub(super) fn count(object: &JsValue, name: &str) -> Option<usize> {
    number(object, name).filter(|x| *x >= 0.0).map(|x| x as usize)
}

/// A text; empty where the field is none.
pub(super) fn text(object: &JsValue, name: &str) -> String {
    field(object, name).as_string().unwrap_or_default()
}

/// The elements of an array; none where the field is no array.
pub(super) fn list(object: &JsValue, name: &str) -> Vec<JsValue> {
    field(object, name).dyn_ref::<Array>().map(|array| array.to_vec()).unwrap_or_default()
}

fn texts(object: &JsValue, name: &str) -> Vec<String> {
    list(object, name).iter().map(|value| value.as_string().unwrap_or_default()).collect()
}

fn flag(object: &JsValue, name: &str, default: bool) -> bool {
    field(object, name).as_bool().unwrap_or(default)
}

fn floats(value: &JsValue) -> Vec<f64> {
    value.dyn_ref::<Float64Array>().map(Float64Array::to_vec).unwrap_or_default()
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

/// The picture, its series as typed arrays.
pub(super) fn picture_object(picture: &Picture) -> JsValue {
    let references = array(picture.references.iter().map(figure_object));
    object([("student", figure_object(&picture.student)), ("references", references)])
}

/// The band of the references.
pub(super) fn band_object(band: &Band) -> JsValue {
    object([("mean", series(&band.mean)), ("half", series(&band.half)), ("swings", band.swings.into())])
}

/// The band again; null is an empty one.
pub(super) fn band(value: &JsValue) -> Band {
    let of = |name| floats(&field(value, name));
    Band { swings: count(value, "swings").unwrap_or(0), mean: of("mean"), half: of("half") }
}

fn figure_object(figure: &Figure) -> JsValue {
    object([
        ("label", JsValue::from_str(&figure.label)),
        ("leftHanded", JsValue::from_bool(figure.left_handed)),
        ("times", series(&figure.time_s)),
        ("hands", series(&figure.hands)),
        ("joints", array(figure.joints.iter().map(|joint| series(joint)))),
        ("limbs", pairs(&figure.limbs)),
        ("club", pairs(&figure.club)),
        ("marks", array(figure.marks.iter().map(mark_object))),
        ("ball", figure.ball.map_or(JsValue::NULL, |ball| series(&ball))),
        ("matched", series(&figure.matched_s)),
        ("armsOnly", series(&figure.arms_only)),
        ("shares", series(&figure.shares)),
    ])
}

fn pairs(lines: &[[usize; 2]]) -> JsValue {
    series(&lines.iter().flatten().map(|index| *index as f64).collect::<Vec<f64>>())
}

fn pairs_of(value: &JsValue) -> Vec<[usize; 2]> {
    floats(value).as_chunks::<2>().0.iter().map(|ends| ends.map(|index| index as usize)).collect()
}

/// Measures of a report, as the picture needs them; those without a value are left out.
pub(super) fn measures(value: &JsValue) -> Vec<(String, [f64; 3])> {
    let measures = value.dyn_ref::<Array>().map(|array| array.to_vec()).unwrap_or_default();
    let measure = |measure: &JsValue| {
        let found = number(measure, "value")?;
        let end = |name| number(measure, name).unwrap_or(found);
        Some((text(measure, "name"), [found, end("low_90"), end("high_90")]))
    };
    measures.iter().filter_map(measure).collect()
}

fn mark_object(mark: &Mark) -> JsValue {
    object([
        ("name", JsValue::from_str(&mark.name)),
        ("time", JsValue::from_f64(mark.time_s)),
        ("deviation", mark.deviation.map_or(JsValue::NULL, |deviation| series(&deviation))),
    ])
}

/// The picture again; null is an empty one.
pub(super) fn picture(value: &JsValue) -> Picture {
    let references = list(value, "references").iter().map(figure).collect();
    Picture { student: figure(&field(value, "student")), references, ..Picture::default() }
}

fn figure(value: &JsValue) -> Figure {
    Figure {
        label: text(value, "label"),
        left_handed: flag(value, "leftHanded", false),
        time_s: floats(&field(value, "times")),
        hands: floats(&field(value, "hands")),
        joints: list(value, "joints").iter().map(floats).collect(),
        limbs: pairs_of(&field(value, "limbs")),
        club: pairs_of(&field(value, "club")),
        marks: list(value, "marks").iter().map(mark).collect(),
        ball: point(&field(value, "ball")),
        matched_s: floats(&field(value, "matched")),
        arms_only: floats(&field(value, "armsOnly")),
        shares: floats(&field(value, "shares")),
        measures: vec![],
    }
}

fn mark(value: &JsValue) -> Mark {
    let time_s = number(value, "time").unwrap_or(f64::NAN);
    Mark { name: text(value, "name"), time_s, deviation: point(&field(value, "deviation")) }
}

fn point(value: &JsValue) -> Option<[f64; 3]> {
    floats(value).try_into().ok()
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

/// The points of a file again.
pub(super) fn cloud(value: &JsValue) -> Cloud {
    Cloud {
        names: texts(value, "names"),
        roles: texts(value, "roles"),
        time_s: floats(&field(value, "times")),
        points: list(value, "points").iter().map(floats).collect(),
    }
}

/// Words by key.
pub(super) fn words(value: &JsValue) -> Words {
    let entries = value.dyn_ref::<Object>().map(|object| Object::entries(object).to_vec()).unwrap_or_default();
    let pair = |entry: JsValue| {
        let pair: Array = entry.into();
        Some((pair.get(0).as_string()?, pair.get(1).as_string()?))
    };
    entries.into_iter().filter_map(pair).collect()
}

/// A view by its name; down the line where the name is unknown.
pub(super) fn view(name: &str) -> View {
    match name {
        "face-on" => View::FaceOn,
        "overhead" => View::Overhead,
        "free" => View::Free,
        _ => View::DownTheLine,
    }
}

/// The unit of lengths that a job or a view names.
pub(super) fn unit(value: &JsValue) -> LengthDisplay {
    if text(value, "unit") == "in" { LengthDisplay::Inch } else { LengthDisplay::Centimetre }
}

/// The view state; what is missing or unknown is the default.
pub(super) fn state(value: &JsValue) -> ViewState {
    let default = ViewState::default();
    let (orbit, lit) = (field(value, "orbit"), field(value, "lit"));
    let is = |name: &str, word: &str| text(value, name) == word;
    ViewState {
        time: number(value, "time").unwrap_or(default.time),
        timing: if is("timing", "own") { Timing::Own } else { Timing::Matched },
        layout: if is("layout", "side-by-side") { Layout::SideBySide } else { Layout::Overlaid },
        unit: unit(value),
        orbit: Orbit {
            yaw: number(&orbit, "yaw").unwrap_or(default.orbit.yaw),
            pitch: number(&orbit, "pitch").unwrap_or(default.orbit.pitch),
        },
        zoom: number(value, "zoom").unwrap_or(default.zoom),
        reference: count(value, "reference").unwrap_or(default.reference),
        body: flag(value, "body", default.body),
        lines: flag(value, "lines", default.lines),
        numbers: flag(value, "numbers", default.numbers),
        references: flag(value, "references", default.references),
        band: flag(value, "band", default.band),
        arms: flag(value, "arms", default.arms),
        shaft: flag(value, "shaft", default.shaft),
        lit: number(&lit, "from").zip(number(&lit, "to")),
    }
}
