//! Dynamic time warping of 3-D curves, as fast as the machine: single precision, four cells at a time.
//!
//! A crate of its own, because the page's modules are compiled to be small and this has to be compiled to be fast. It
//! knows points and costs, nothing of swings. `handpath::align` holds the plain version in double precision, which says what is
//! right: the path found here costs, added up in double precision, at most 1e-5 more
//! than the cheapest one.
//!
//! The cells of an anti-diagonal do not wait for each other; two anti-diagonals are filled in one pass, so that the second
//! finds what it needs of the first in registers.

mod curve;
mod fill;
mod lanes;
mod many;
mod shape;
mod trace;
mod warp;

pub use curve::Curve;
pub use many::{Candidate, Many};
pub use shape::{Local, Rules, Step};
pub use warp::Warper;
