//! Values of JavaScript as plain data.

use crate::plain::{Given, Read};
use js_sys::{Array, Object};
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;

/// What JavaScript gave.
pub(super) fn given<T: Read>(value: JsValue) -> Result<T, JsValue> {
    T::read(&plain(&value)).map_err(|error| JsError::new(&error.to_string()).into())
}

/// A JavaScript value as a plain one; one that is none (a function, a symbol) is nothing. Read by hand, because serde's
/// reader brings the printing of floats along for its messages.
pub(super) fn plain(value: &JsValue) -> Given {
    if let Some(flag) = value.as_bool() {
        Given::Flag(flag)
    } else if let Some(number) = value.as_f64() {
        Given::Number(number)
    } else if let Some(text) = value.as_string() {
        Given::Text(text)
    } else if let Some(list) = value.dyn_ref::<Array>() {
        Given::List(list.iter().map(|value| plain(&value)).collect())
    } else if value.is_object() {
        let field = |pair: JsValue| Some((Array::from(&pair).get(0).as_string()?, plain(&Array::from(&pair).get(1))));
        Given::Record(Object::entries(value.unchecked_ref()).iter().filter_map(field).collect())
    } else {
        Given::Null
    }
}

/// The browser's spelling of a number, for JSON.
pub(super) fn spelled(number: f64) -> String {
    let text = js_sys::Number::from(number).to_string_with_radix(10).map(String::from);
    text.ok().filter(|_| number.is_finite()).unwrap_or_else(|| "null".into())
}
