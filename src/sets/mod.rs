//! Several swings: what they have in common, how far they spread, how like they are, and whether lessons differ.

mod quantiles;

pub use quantiles::{chi_square_quantile, sd_factors, t_quantile, wilson};
