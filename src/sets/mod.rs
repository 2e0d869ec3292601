//! Several swings: what they have in common, how far they spread, how like they are, and whether lessons differ.
//!
//! Kinds of swing (full, part, drill, pause, practice) are never mixed in a mean. A spread from few swings is itself badly
//! known, and says so.

mod band;
mod kinds;
mod lessons;
mod like;
mod notes;
mod own;
mod quantiles;
mod set;
mod spread;
mod usual;

pub use band::{BandKind, COVERAGE, LEAST_SWINGS, half_widths};
pub(crate) use lessons::welch;
pub use lessons::{CANNOT_TELL, CHANGE, CONFIDENCE, Change, Difference, Lessons, NO_CHANGE, lessons};
pub use like::{Choice, LIKE_DEPTH_M, Likeness, ReferenceSet, likeness, reference_set, suited};
pub use own::{MeasureSpread, OwnSet, as_own, own_set};
pub use quantiles::{chi_square_quantile, sd_factors, t_quantile, wilson};
pub use set::{Band, SwingSet, most_typical};
pub use spread::Spread;
pub use usual::{Among, Reach, Usual, usual};
