//! The wasm-bindgen surface and the canvas painter: the only room that knows a browser.
//!
//! Two instances of the module run. The worker's holds a [`Session`]: it reads files and computes. The page's own holds
//! a [`Painter`]: it paints what the worker sent, one call a frame. JavaScript owns both and frees them.

mod against;
mod canvas;
mod judge;
mod object;
mod painter;
mod session;

pub use painter::{Painter, inks};
pub use session::{Session, role_list};

fn show_panics() {
    console_error_panic_hook::set_once();
}
