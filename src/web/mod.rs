//! The wasm-bindgen surface and the canvas painter: the only room that knows a browser.
//!
//! Four modules are built from this crate, a feature each. `painter` holds the `Painter`: it runs in the page and paints what
//! it is given, one call a frame; it comes with the page, so it is small. `engine` holds the `Session`: it runs in a worker,
//! reads files and computes; it comes when there is something to compute. `coach` holds the `Practice` and the questions of a
//! lesson that need neither: a student who logs balls on a phone loads it alone. `maker` makes files of made-up swings and
//! drafts stories; it comes when somebody asks for one. JavaScript owns what it makes and frees it.

#[cfg(feature = "painter")]
mod canvas;
#[cfg(feature = "coach")]
mod coach;
#[cfg(feature = "engine")]
mod give;
#[cfg(feature = "maker")]
mod maker;
#[cfg(feature = "measure")]
mod measure;
#[cfg(feature = "painter")]
mod painter;
#[cfg(any(feature = "engine", feature = "coach", feature = "maker"))]
#[cfg_attr(feature = "maker", allow(dead_code, reason = "the maker writes no JSON"))]
mod read;
#[cfg(feature = "engine")]
mod session;
#[cfg(any(feature = "painter", feature = "coach"))]
#[cfg_attr(not(feature = "painter"), allow(dead_code, reason = "the coach takes points alone"))]
mod take;

#[cfg(feature = "coach")]
pub use coach::*;
#[cfg(feature = "maker")]
pub use maker::{draft_story, reference, slider_names, slider_ranges, swing_file};
#[cfg(feature = "measure")]
pub use measure::Bench;
#[cfg(feature = "painter")]
pub use painter::{Painter, inks, orbit_of, role_list};
#[cfg(feature = "engine")]
pub use session::Session;

#[cfg(any(feature = "painter", feature = "engine", feature = "coach", feature = "maker"))]
use crate::plain::{self, Plain};
#[cfg(any(feature = "painter", feature = "engine", feature = "coach", feature = "maker"))]
use wasm_bindgen::JsValue;

/// Plain objects and null, as JSON has them.
#[cfg(any(feature = "painter", feature = "engine", feature = "coach", feature = "maker"))]
fn told(value: &dyn Plain) -> Result<JsValue, JsValue> {
    Ok(plain::serialize(value, &serde_wasm_bindgen::Serializer::json_compatible())?)
}

fn show_panics() {
    console_error_panic_hook::set_once();
}
