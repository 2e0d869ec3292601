//! Shares of few balls, with intervals that hold for small numbers.
//!
//! Wilson's interval of a share (Wilson 1927, J Am Stat Assoc 22:209-212), and Newcombe's hybrid of two of them for the
//! difference of two shares (Newcombe 1998, Stat Med 17:873-890, method 10; both cited from memory, both held against
//! outside libraries by `tests/outside_shares.rs`). Both take balls as independent draws, which balls of one session are
//! only roughly: the intervals are rather too narrow than too wide.

use crate::plain;
use crate::sets::wilson;

/// Confidence of all intervals here.
pub const CONFIDENCE: f64 = 0.9;

/// A share of few, with its 90 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// How many of them.
    pub hits: usize,
    /// Of how many.
    pub of: usize,
    /// The share, 0 to 1.
    pub value: f64,
    /// Lower end of the 90 % interval.
    pub low_90: f64,
    /// Upper end.
    pub high_90: f64,
}

plain::record!(Share { hits, of, value, low_90, high_90 });

impl Share {
    /// `None` of nothing.
    pub fn of(hits: usize, of: usize) -> Option<Share> {
        let hits = hits.min(of);
        let (low_90, high_90) = wilson(hits, of, CONFIDENCE);
        let value = hits as f64 / of as f64;
        (of > 0).then_some(Share { hits, of, value, low_90: low_90.max(0.0), high_90: high_90.min(1.0) })
    }
}

/// The later share minus the earlier one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShareDifference {
    /// Difference.
    pub value: f64,
    /// Lower end of its 90 % interval.
    pub low_90: f64,
    /// Upper end.
    pub high_90: f64,
    /// Does the interval leave zero out?
    pub shown: bool,
}

plain::record!(ShareDifference { value, low_90, high_90, shown });

/// Newcombe's interval of the difference of two independent shares.
pub fn difference(before: &Share, after: &Share) -> ShareDifference {
    let value = after.value - before.value;
    let low_90 = value - (after.value - after.low_90).hypot(before.high_90 - before.value);
    let high_90 = value + (after.high_90 - after.value).hypot(before.value - before.low_90);
    ShareDifference { value, low_90, high_90, shown: low_90 > 0.0 || high_90 < 0.0 }
}
