//! Cameras and one display list: a comparison as plain data, no browser and no language.
//!
//! [`Picture`] is what crosses from the worker to the page once per comparison; [`ViewState`] is what changes while the
//! user looks. [`build::pane`] and [`ribbon::build`] turn the two into a [`Scene`], which the canvas painter of `web`
//! and [`svg::write`] paint alike. Words come in from the catalogue through [`Words`].

pub mod build;
pub mod camera;
pub mod cloud;
mod data;
mod gauges;
mod labels;
pub mod notes;
pub mod plot;
pub mod ribbon;
pub mod scene;
mod state;
pub mod summary;
pub mod svg;

pub use data::{Band, Figure, Mark, Picture};
pub use notes::{Pin, Span};
pub use scene::Scene;
pub use state::{Layout, LengthDisplay, Timing, ViewState, Words};
