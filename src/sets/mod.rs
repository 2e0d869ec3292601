//! Several swings: what they have in common, how far they spread, how like they are, and whether lessons differ.

mod kinds;
mod lessons;
mod notes;
mod quantiles;
mod spread;

pub use lessons::{CANNOT_TELL, CHANGE, CONFIDENCE, Change, Difference, Lessons, NO_CHANGE, lessons};
pub use quantiles::{chi_square_quantile, sd_factors, t_quantile, wilson};
pub use spread::Spread;
