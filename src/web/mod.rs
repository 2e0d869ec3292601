//! The wasm-bindgen surface and the canvas painter: the only room that knows a browser.
//!
//! Five modules are built from this crate, a feature each. `painter` holds the `Painter`: it runs in the page and paints what
//! it is given, one call a frame; it comes with the page, so it is small. `engine` holds the `Session`: it runs in a worker,
//! reads files and computes; it comes when there is something to compute. `coach` holds the `Practice` and the questions of a
//! lesson that need neither: a student who logs balls on a phone loads it alone. `maker` makes files of made-up swings and
//! drafts stories; it comes when somebody asks for one. `shelf` reads references and finds the nearest of many; it comes
//! when somebody opens their shelf. JavaScript owns what it makes and frees it.

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
#[cfg(any(feature = "engine", feature = "coach", feature = "maker", feature = "shelf"))]
#[cfg_attr(any(feature = "maker", feature = "shelf"), allow(dead_code, reason = "these write no JSON"))]
mod read;
#[cfg(feature = "engine")]
mod session;
#[cfg(feature = "shelf")]
mod shelf;
#[cfg(any(feature = "painter", feature = "coach"))]
#[cfg_attr(not(feature = "painter"), allow(dead_code, reason = "the coach takes points and figures alone"))]
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
#[cfg(feature = "shelf")]
pub use shelf::References;

#[cfg(any(feature = "painter", feature = "engine", feature = "coach", feature = "maker", feature = "shelf"))]
use crate::plain::{self, Plain};
#[cfg(any(feature = "painter", feature = "engine", feature = "coach", feature = "maker", feature = "shelf"))]
use wasm_bindgen::JsValue;

/// Plain objects and null, as JSON has them.
#[cfg(any(feature = "painter", feature = "engine", feature = "coach", feature = "maker", feature = "shelf"))]
fn told(value: &dyn Plain) -> Result<JsValue, JsValue> {
    Ok(plain::serialize(value, &serde_wasm_bindgen::Serializer::json_compatible())?)
}

fn show_panics() {
    console_error_panic_hook::set_once();
}
