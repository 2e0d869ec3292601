//! Objects of JavaScript, read field by field: what is missing or of another type is a default.

use crate::picture::camera::{Orbit, View};
use crate::picture::cloud::Cloud;
use crate::picture::{Band, Figure, Layout, LengthDisplay, Mark, Picture, Pin, Span, Timing, ViewState, Words};
use js_sys::{Array, Float64Array, Object, Reflect};
use wasm_bindgen::{JsCast, JsValue};

/// The picture again; null is an empty one.
pub(super) fn picture(value: &JsValue) -> Picture {
    let references = list(value, "references").iter().map(figure).collect();
    let others = list(value, "others").iter().map(floats).collect();
    Picture { student: figure(&field(value, "student")), references, band: band(&field(value, "band")), others }
}

/// The band again; null is an empty one.
pub(super) fn band(value: &JsValue) -> Band {
    let of = |name| floats(&field(value, name));
    Band {
        swings: count(value, "swings").unwrap_or(0),
        unlike: count(value, "unlike").unwrap_or(0),
        pointwise: flag(value, "pointwise", false),
        mean: of("mean"),
        half: of("half"),
    }
}

pub(super) fn figure(value: &JsValue) -> Figure {
    Figure {
        label: text(value, "label"),
        left_handed: flag(value, "left_handed", false),
        time_s: floats(&field(value, "time_s")),
        hands: floats(&field(value, "hands")),
        joints: list(value, "joints").iter().map(floats).collect(),
        limbs: pairs_of(&field(value, "limbs")),
        club: pairs_of(&field(value, "club")),
        marks: list(value, "marks").iter().map(mark).collect(),
        ball: point(&field(value, "ball")),
        matched_s: floats(&field(value, "matched_s")),
        arms_only: floats(&field(value, "arms_only")),
        shares: floats(&field(value, "shares")),
        measures: vec![],
    }
}

fn pairs_of(value: &JsValue) -> Vec<[usize; 2]> {
    let pair = |ends: &JsValue| Some(<[f64; 2]>::try_from(floats(ends)).ok()?.map(|index| index as usize));
    elements(value).iter().filter_map(pair).collect()
}

fn mark(value: &JsValue) -> Mark {
    let time_s = number(value, "time_s").unwrap_or(f64::NAN);
    Mark { name: text(value, "name"), time_s, deviation: point(&field(value, "deviation")) }
}

fn point(value: &JsValue) -> Option<[f64; 3]> {
    floats(value).try_into().ok()
}

/// Measures of a report, as the picture needs them; those without a value are left out.
pub(super) fn measures(value: &JsValue) -> Vec<(String, [f64; 3])> {
    let measure = |measure: &JsValue| {
        let found = number(measure, "value")?;
        let end = |name| number(measure, name).unwrap_or(found);
        Some((text(measure, "name"), [found, end("low_90"), end("high_90")]))
    };
    elements(value).iter().filter_map(measure).collect()
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
        others: flag(value, "others", default.others),
        arms: flag(value, "arms", default.arms),
        shaft: flag(value, "shaft", default.shaft),
        lit: number(&lit, "from").zip(number(&lit, "to")),
        pins: list(value, "pins").iter().filter_map(pin).collect(),
        spans: list(value, "spans").iter().filter_map(span).collect(),
    }
}

fn pin(value: &JsValue) -> Option<Pin> {
    Some(Pin { time_s: number(value, "time_s")?, text: text(value, "text") })
}

fn span(value: &JsValue) -> Option<Span> {
    let (from_s, to_s) = number(value, "from_s").zip(number(value, "to_s"))?;
    Some(Span { from_s, to_s, text: text(value, "text") })
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
    elements(&field(object, name))
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

fn elements(value: &JsValue) -> Vec<JsValue> {
    value.dyn_ref::<Array>().map(|array| array.to_vec()).unwrap_or_default()
}
