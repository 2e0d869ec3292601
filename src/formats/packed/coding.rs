//! Numbers as whole numbers, to the bit.
//!
//! A measure has few digits, but a binary fraction shows them all. Where every number of a track is one whole number over
//! another, as decimals are, the whole numbers are kept; else the bits of the single or double precision number are.

use crate::json::Spell;

/// How a number became a whole one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::formats) enum Coding {
    /// `f32`: the bits of a single precision number.
    Single,
    /// `f64`: the bits of a double precision number.
    Double,
    /// `per D`: number = whole / D. Decimals of a text (`per 1000`), and times of a counted rate (`per 240`).
    Per(f64),
    /// `times S`: number = whole * S. Times of a counted step.
    Times(f64),
}

/// Whole numbers up to here are exact in double precision.
const MOST: f64 = 9_007_199_254_740_992.0;

impl Coding {
    /// Reads the word of a coding.
    pub(super) fn parse(text: &str) -> Option<Coding> {
        let number = |text: &str| crate::decimal::parse(text.as_bytes()).filter(|x| x.is_finite() && *x > 0.0);
        match text.split_once(' ') {
            Some(("per", divisor)) => number(divisor).map(Coding::Per),
            Some(("times", step)) => number(step).map(Coding::Times),
            None if text == "f32" => Some(Coding::Single),
            None if text == "f64" => Some(Coding::Double),
            _ => None,
        }
    }

    /// The word.
    pub(in crate::formats) fn word(self, spell: Spell) -> String {
        match self {
            Coding::Single => "f32".into(),
            Coding::Double => "f64".into(),
            Coding::Per(divisor) => ["per ", &spell(divisor)].concat(),
            Coding::Times(step) => ["times ", &spell(step)].concat(),
        }
    }

    /// The whole number of a finite number; `None` where it would not come back to the bit.
    ///
    /// A negative number of magnitude m is -1 - m, so that minus zero is -1, and neighbours stay neighbours.
    pub(in crate::formats) fn whole(self, number: f64) -> Option<i64> {
        let size = number.abs();
        let magnitude = match self {
            Coding::Single => i64::from((size as f32).to_bits()),
            Coding::Double => size.to_bits() as i64,
            Coding::Per(divisor) => within(size * divisor)?,
            Coding::Times(step) => within(size / step)?,
        };
        let whole = if number.is_sign_negative() { !magnitude } else { magnitude };
        (self.number(whole).to_bits() == number.to_bits()).then_some(whole)
    }

    /// The number again; anything of a whole number that no number became.
    pub(super) fn number(self, whole: i64) -> f64 {
        let magnitude = if whole < 0 { !whole } else { whole };
        let size = match self {
            Coding::Single => f64::from(f32::from_bits(magnitude as u32)),
            Coding::Double => f64::from_bits(magnitude as u64),
            Coding::Per(divisor) => magnitude as f64 / divisor,
            Coding::Times(step) => magnitude as f64 * step,
        };
        if whole < 0 { -size } else { size }
    }

    /// The first of the codings that brings all numbers back, decimals first; the last, bits of double precision, does.
    pub(in crate::formats) fn of(numbers: &[f64], others: &[Coding]) -> Coding {
        let decimals = (0..=15).map(|digits| Coding::Per(10_u64.pow(digits) as f64));
        let all = decimals.chain(others.iter().copied()).chain([Coding::Single]);
        let fits = |coding: &Coding| numbers.iter().all(|number| coding.whole(*number).is_some());
        all.into_iter().find(fits).unwrap_or(Coding::Double)
    }
}

fn within(size: f64) -> Option<i64> {
    let whole = size.round_ties_even();
    (whole <= MOST).then_some(whole as i64)
}
