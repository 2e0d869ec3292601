//! Handpath: compare the hand path of a golf swing with reference swings.
//!
//! Data flows through the rooms in this order, and imports only point down the list:
//!
//! | room | takes | gives |
//! | --- | --- | --- |
//! | [`formats`] | bytes of an export file | [`formats::Recording`]: named tracks, times, units, events |
//! | [`roles`] | track names | which track is which body point |
//! | [`signal`] | tracks | gaps closed, noise filtered, speed |
//! | [`body`] | body points at address | the body-relative frame, size, handedness |
//! | [`swing`] | tracks and frame | [`swing::Swing`]: hand path and instants, each guess with its source |
//! | [`measure`] | a swing | [`measure::Measure`]: what its hand path says, in numbers |
//! | [`findings`] | measures | what they fit with, by a table of rules |
//! | [`align`] | two hand paths | dynamic time warping |
//! | [`compare`] | student and reference swings | deviations, lateness |
//! | [`sets`] | several swings | average and spread, likeness, lesson against lesson |
//! | [`shelf`] | many reference swings | the nearest hand paths |
//! | [`report`] | recording, swing, comparison | what the page and `inspect` show, as plain data |
//! | [`lesson`] | recordings, corrections, a coach's words | a file that keeps them, and back |
//! | [`picture`] | a comparison | a display list: plain data, no browser |
//! | [`coach`] | what a coach and a student note | what to rule out, what to practise, what changed |
//! | [`session`] | bytes and corrections of several files | what of it has to be computed, once |
//! | `web` | JavaScript | the wasm-bindgen surface and the canvas painter (wasm32 only) |
//!
//! Beside them stand [`words`] (messages as keys and parameters), [`settings`] (what a user can correct), [`plain`] (what
//! comes in and goes out as data), [`json`] (a tree that loses nothing), [`table`] (a small map) and [`model`] (a forward model of a swing, the source of demo data and of truth in tests).
//!
//! Lengths are metres, times seconds, angles radians unless a name ends otherwise. A point is `[x, y, z]`; a gap is
//! three NaN.

pub mod align;
pub mod body;
pub mod coach;
pub mod compare;
mod decimal;
pub mod findings;
pub mod formats;
pub mod json;
pub mod lesson;
mod letters;
pub mod measure;
pub mod model;
mod order;
pub mod picture;
pub mod plain;
pub mod report;
pub mod roles;
pub mod session;
pub mod sets;
pub mod settings;
pub mod shelf;
pub mod signal;
pub mod swing;
pub mod table;
#[cfg(all(
    target_arch = "wasm32",
    any(
        feature = "painter",
        feature = "engine",
        feature = "coach",
        feature = "maker",
        feature = "shelf",
        feature = "measure"
    )
))]
pub mod web;
pub mod words;
