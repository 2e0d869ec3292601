//! The wasm-bindgen surface and the canvas painter: the only room that knows a browser.
//!
//! Two modules are built from this crate, a feature each. `painter` holds the `Painter`: it runs in the page and paints what
//! it is given, one call a frame; it comes with the page, so it is small. `engine` holds the `Session`: it runs in a worker,
//! reads files and computes; it comes when there is something to compute. JavaScript owns both and frees them.

#[cfg(feature = "painter")]
mod canvas;
#[cfg(feature = "engine")]
mod give;
#[cfg(feature = "painter")]
mod painter;
#[cfg(feature = "engine")]
mod session;
#[cfg(feature = "painter")]
mod take;

#[cfg(feature = "painter")]
pub use painter::{Painter, inks, role_list};
#[cfg(feature = "engine")]
pub use session::Session;

use crate::plain::{self, Plain};
use wasm_bindgen::JsValue;

/// Plain objects and null, as JSON has them.
fn told(value: &dyn Plain) -> Result<JsValue, JsValue> {
    Ok(plain::serialize(value, &serde_wasm_bindgen::Serializer::json_compatible())?)
}

fn show_panics() {
    console_error_panic_hook::set_once();
}
