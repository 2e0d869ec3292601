//! Decimal text to numbers and back.
//!
//! Std's own code for this is correct and fast, but needs 40 kB of WebAssembly, of which a table of 10 kB does not even
//! compress. Here nearly every number takes a handful of multiplications, and the rest goes by whole-number arithmetic
//! with as many digits as it takes.
//! The libraries that go without the table take twice the time for a file of usual numbers.

/// Digits beyond these only tell whether there is more: no number halfway between two `f64` has more than 767.
const KEPT_DIGITS: usize = 770;

/// The powers of ten that are exact as `f64`.
const POWERS: [f64; 23] = {
    let mut powers = [1.0; 23];
    let mut at = 1;
    while at < powers.len() {
        powers[at] = powers[at - 1] * 10.0;
        at += 1;
    }
    powers
};

/// A `u64` below this has room for one more digit.
const NINETEEN_DIGITS: u64 = 1_000_000_000_000_000_000;

/// The number that a text stands for, to the bit what `str::parse` gives: the nearest `f64`, ties to even (IEEE 754).
///
/// ```text
/// number = [ "+" | "-" ] ( "inf" | "infinity" | "nan" | decimal )         words in any case
/// decimal = ( digits [ "." *digit ] | "." digits ) [ ( "e" | "E" ) [ "+" | "-" ] digits ]
/// ```
///
/// Time is O(n) for usual numbers, O(n * 770) for those halfway between two `f64`, or nearly so, and for very small or
/// great ones.
pub(crate) fn parse(text: &[u8]) -> Option<f64> {
    let (negative, rest) = signed(text);
    let size = match Decimal::scan(rest) {
        Some(decimal) => decimal.value(),
        None if is_word(rest, "inf") || is_word(rest, "infinity") => f64::INFINITY,
        None if is_word(rest, "nan") => f64::NAN,
        None => return None,
    };
    Some(if negative { -size } else { size })
}

fn signed(text: &[u8]) -> (bool, &[u8]) {
    match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        _ => (false, text),
    }
}

fn is_word(text: &[u8], word: &str) -> bool {
    text.eq_ignore_ascii_case(word.as_bytes())
}

/// The digits as one whole number, times `10^exponent`.
struct Decimal<'a> {
    whole: &'a [u8],
    fraction: &'a [u8],
    exponent: i64,
}

impl<'a> Decimal<'a> {
    fn scan(text: &'a [u8]) -> Option<Self> {
        let (whole, rest) = digits(text);
        let (fraction, rest) = match rest {
            [b'.', rest @ ..] => digits(rest),
            _ => (&rest[..0], rest),
        };
        let exponent = match rest {
            [] => 0,
            [b'e' | b'E', rest @ ..] => exponent(rest)?,
            _ => return None,
        };
        let empty = whole.is_empty() && fraction.is_empty();
        let zeros = fraction.iter().rev().take_while(|digit| **digit == b'0').count();
        let fraction = &fraction[..fraction.len() - zeros];
        (!empty).then_some(Decimal { whole, fraction, exponent: exponent - fraction.len() as i64 })
    }

    fn digits(&self) -> impl Iterator<Item = u8> {
        self.whole.iter().chain(self.fraction).map(|digit| digit - b'0')
    }

    fn value(&self) -> f64 {
        let (mut head, mut exponent, mut more) = (0, self.exponent, false);
        for part in [self.whole, self.fraction] {
            for digit in part {
                if head < NINETEEN_DIGITS {
                    head = head * 10 + u64::from(digit - b'0');
                } else {
                    more |= *digit > b'0';
                    exponent += 1;
                }
            }
        }
        let low = in_two_doubles(head, exponent);
        let high = if more { in_two_doubles(head + 1, exponent) } else { low };
        low.filter(|_| low == high).unwrap_or_else(|| self.exact())
    }

    /// By whole numbers of any length.
    #[inline(never)]
    fn exact(&self) -> f64 {
        let (mut number, mut kept, mut more, mut exponent) = (vec![], 0_usize, false, self.exponent);
        for digit in self.digits() {
            if kept < KEPT_DIGITS {
                multiply_add(&mut number, 10, u32::from(digit));
                kept += usize::from(!number.is_empty());
            } else {
                more |= digit > 0;
                exponent += 1;
            }
        }
        // It lies between a tenth of this power of ten and the power.
        match exponent + kept as i64 {
            _ if number.is_empty() => 0.0,
            ..=-330 => 0.0,
            311.. => f64::INFINITY,
            _ => scaled(number, exponent, more),
        }
    }
}

/// `number * 10^exponent`: one operation where both are exact (Clinger 1990, "How to read floating point numbers
/// accurately"), else an `f64` and the rest that it leaves. `None` where the power is not exact, or where the error of
/// the rest could decide the last bit.
fn in_two_doubles(number: u64, exponent: i64) -> Option<f64> {
    let power = *POWERS.get(exponent.unsigned_abs() as usize)?;
    let leading = number as f64;
    if number <= 1 << 53 {
        return Some(if exponent < 0 { leading / power } else { leading * power });
    }
    let trailing = number.wrapping_sub(leading as u64) as i64 as f64;
    let (value, rest) = if exponent < 0 {
        let value = leading / power;
        let (product, error) = product(value, power);
        (value, (leading - product - error + trailing) / power)
    } else {
        let (value, error) = product(leading, power);
        (value, error + trailing * power)
    };
    let doubt = rest.abs() * 1e-12;
    let nearest = value + (rest - doubt);
    (nearest == value + (rest + doubt)).then_some(nearest)
}

/// The product as an `f64` and what it rounds off, exactly (Dekker 1971, "A floating-point technique for extending the
/// available precision").
fn product(a: f64, b: f64) -> (f64, f64) {
    let halves = |x: f64| {
        let shifted = x * 134_217_729.0;
        let high = shifted - (shifted - x);
        (high, x - high)
    };
    let ((a_high, a_low), (b_high, b_low)) = (halves(a), halves(b));
    let product = a * b;
    (product, a_high * b_high - product + a_high * b_low + a_low * b_high + a_low * b_low)
}

/// Leading digits, and what follows them.
fn digits(text: &[u8]) -> (&[u8], &[u8]) {
    text.split_at(text.iter().take_while(|byte| byte.is_ascii_digit()).count())
}

/// A power of ten in a text; one far out of reach stays so.
fn exponent(text: &[u8]) -> Option<i64> {
    let (negative, text) = signed(text);
    let (digits, rest) = digits(text);
    let size = digits.iter().fold(0_i64, |size, digit| (size * 10 + i64::from(digit - b'0')).min(1 << 50));
    (!digits.is_empty() && rest.is_empty()).then_some(if negative { -size } else { size })
}

/// `number * 10^exponent`, where `number` is whole, lowest 32 bits first; `more`: there is a little more to it.
fn scaled(mut number: Vec<u32>, exponent: i64, mut more: bool) -> f64 {
    let mut places = exponent.unsigned_abs();
    let mut limbs = 0;
    if exponent < 0 {
        // Enough zero bits at the end that 64 are left after the division; log2(10) is less than 10/3.
        limbs = (places as usize * 10 / 3 + 64) / 32 + 1;
        number = [vec![0; limbs], number].concat();
    }
    while places > 0 {
        let step = places.min(9);
        let power = 10_u32.pow(step as u32);
        if exponent < 0 {
            more |= divide(&mut number, power) > 0;
        } else {
            multiply_add(&mut number, power, 0);
        }
        places -= step;
    }
    nearest(&number, -32 * limbs as i64, more)
}

fn multiply_add(number: &mut Vec<u32>, factor: u32, add: u32) {
    let mut carry = u64::from(add);
    for limb in number.iter_mut() {
        carry += u64::from(*limb) * u64::from(factor);
        *limb = carry as u32;
        carry >>= 32;
    }
    if carry > 0 {
        number.push(carry as u32);
    }
}

/// Divides, and returns the remainder.
fn divide(number: &mut Vec<u32>, divisor: u32) -> u32 {
    let mut rest = 0;
    for limb in number.iter_mut().rev() {
        let part = (rest << 32) | u64::from(*limb);
        *limb = (part / u64::from(divisor)) as u32;
        rest = part % u64::from(divisor);
    }
    while number.pop_if(|limb| *limb == 0).is_some() {}
    rest as u32
}

/// The `f64` nearest to `number * 2^exponent`, ties to even; `more`: it is a little more than that.
fn nearest(number: &[u32], exponent: i64, more: bool) -> f64 {
    let limb = |back: usize| number.len().checked_sub(back).map_or(0, |at| u64::from(number[at]));
    let shift = (limb(1) as u32).leading_zeros();
    // The highest 64 bits, and whether there are bits below them.
    let top = (((limb(1) << 32) | limb(2)) << shift) | ((limb(3) << shift) >> 32);
    let below = (limb(3) << shift) as u32 > 0 || number.iter().rev().skip(3).any(|limb| *limb > 0);
    let exponent = exponent + 32 * number.len() as i64 - i64::from(shift) - 64;
    // 53 bits are kept; fewer where the last of them would be under the least subnormal number, 2^-1074.
    let dropped = (-1074 - exponent).clamp(11, 65) as u32;
    let kept = top.checked_shr(dropped).unwrap_or(0);
    let half = 1_u64.checked_shl(dropped - 1).unwrap_or(0);
    let rest = top & half.wrapping_mul(2).wrapping_sub(1);
    let odd = more || below || kept % 2 == 1;
    let rounded = kept + u64::from(half > 0 && (rest > half || rest == half && odd));
    if exponent + 11 > 971 {
        return f64::INFINITY;
    }
    // The highest of 53 bits adds one to the exponent's field, and so does a carry into it.
    let field = (exponent + i64::from(dropped) + 1074) as u64;
    f64::from_bits((field << 52) + rounded)
}

/// The number with a fixed count of decimals (at most 9), rounded to nearest, without a minus before zeros. What is no
/// number gives zero, and what is beyond 64 bits the largest number that is not.
pub(crate) fn fixed(number: f64, decimals: u32) -> String {
    let unit = 10_u64.pow(decimals);
    let units = (number.abs() * unit as f64).round_ties_even() as u64;
    let sign = if number < 0.0 && units > 0 { "-" } else { "" };
    let (whole, rest) = (units / unit, units % unit);
    let width = decimals as usize;
    if decimals == 0 { format!("{sign}{whole}") } else { format!("{sign}{whole}.{rest:0width$}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Std's parser is the oracle.
    fn agrees(text: &str) {
        let (ours, theirs) = (parse(text.as_bytes()), text.parse::<f64>().ok());
        assert_eq!(ours.map(f64::to_bits), theirs.map(f64::to_bits), "{text}: {ours:?} {theirs:?}");
    }

    fn draw(seed: &mut u64) -> u64 {
        *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        *seed ^ (*seed >> 29)
    }

    #[test]
    fn reads_every_spelling_as_std_does() {
        let texts = "0 -0 +0 . .5 5. 5.e3 -.5e-3 1e 1e+ e5 1.2.3 1e5.0 +-1 -+1 inf -INF Infinity infinit nan -NaN nan1 0x10 1_0 \
                     ½ 1,5 00012.500 1e0000000000000000000005 0e999999999999999999999 1e-99999999999999999999 9e99999999999999";
        texts.split(' ').chain(["", " 1", "1 ", "-", "+"]).for_each(agrees);
    }

    #[test]
    fn rounds_random_numbers_as_std_does() {
        let mut seed = 11;
        for _ in 0..20_000 {
            let bits = draw(&mut seed);
            let number = f64::from_bits(bits);
            agrees(&format!("{number:e}"));
            agrees(&format!("{number:.6e}"));
            agrees(&format!("{number:.25e}"));
            let (digits, places) = (draw(&mut seed) >> (bits % 60), draw(&mut seed) % 22);
            agrees(&format!("{digits}e-{places}"));
            agrees(&format!("{digits}e{places}"));
            agrees(&format!("{digits}.{places}"));
        }
    }

    /// Up to 20 digits with the point anywhere, and the 17 decimals that programs write who write them all.
    #[test]
    fn rounds_numbers_of_many_digits_as_std_does() {
        let mut seed = 17;
        for _ in 0..100_000 {
            let [digits, place, power] = [(); 3].map(|()| draw(&mut seed) >> 2);
            let text = (digits >> (place % 20)).to_string();
            let (whole, fraction) = text.split_at((power % 20) as usize % text.len());
            agrees(&format!("{whole}.{fraction}"));
            agrees(&format!("{whole}.{fraction}{place}e{}", power as i64 % 50 - 25));
            agrees(&format!("{:.17}", f64::from_bits((1_000 + place % 60) << 52 | digits >> 10)));
        }
    }

    /// Halfway between two neighbours, and a little to either side of it, where one digit decides.
    #[test]
    fn rounds_the_halfway_cases_as_std_does() {
        let mut seed = 5;
        let edges =
            [0, 1, 2, 0x000f_ffff_ffff_ffff, 0x0010_0000_0000_0000, 0x7fef_ffff_ffff_fffe, 0x4330_0000_0000_0000];
        let drawn = (0..300).map(|_| draw(&mut seed) >> 1);
        for bits in drawn.chain(edges).collect::<Vec<_>>() {
            let Some(halfway) = halfway_above(bits) else { continue };
            agrees(&halfway);
            agrees(&format!("{halfway}0000000000000000000000000001"));
            let below = halfway.strip_suffix('5').unwrap_or(&halfway);
            agrees(&format!("{below}4999999999999999999999999999"));
        }
        for text in
            ["1.7976931348623158e308", "1.7976931348623159e308", "2.4703282292062327e-324", "2.4703282292062328e-324"]
        {
            agrees(text);
        }
        agrees(&format!("0.{}1", "0".repeat(5000)));
        agrees(&format!("1{}e-5000", "0".repeat(5000)));
        agrees(&format!("{}.5", "9".repeat(3000)));
        agrees(&format!("9007199254740993{}1e-1000", "0".repeat(999)));
    }

    /// All decimals of the number halfway between that of the bits and the next: the mean of the two, exactly.
    fn halfway_above(bits: u64) -> Option<String> {
        let (low, high) = (f64::from_bits(bits), f64::from_bits(bits + 1));
        if !high.is_finite() || low.abs() > 1e15 {
            return None;
        }
        // Decimals of both add up digit by digit; half of the sum is exact.
        let digits =
            |x: f64| format!("{x:.1080}").replace('.', "").bytes().map(|b| u32::from(b - b'0')).collect::<Vec<_>>();
        let (a, b) = (digits(low), digits(high));
        let width = a.len().max(b.len());
        let at = |digits: &[u32], i: usize| (i + digits.len()).checked_sub(width).map_or(0, |i| digits[i]);
        let mut sum: Vec<u32> = (0..width).map(|i| at(&a, i) + at(&b, i)).collect();
        let mut rest = 0;
        for digit in &mut sum {
            let value = rest * 10 + *digit;
            (*digit, rest) = (value / 2, value % 2);
        }
        for i in (1..width).rev() {
            sum[i - 1] += sum[i] / 10;
            sum[i] %= 10;
        }
        let text: String = sum.iter().map(|digit| digit.to_string()).collect();
        let (whole, fraction) = text.split_at(text.len() - 1080);
        Some(format!("{whole}.{}{}", fraction.trim_end_matches('0'), if rest == 1 { "5" } else { "" }))
    }

    #[test]
    fn writes_decimals_as_std_does() {
        let mut seed = 3;
        for _ in 0..20_000 {
            let number = (draw(&mut seed) as i64 >> 20) as f64 / 65_536.0 + 1e-7;
            for decimals in 0..4 {
                let theirs = format!("{number:.*}", decimals as usize);
                let theirs = if theirs.contains(|c| matches!(c, '1'..='9')) {
                    theirs.as_str()
                } else {
                    theirs.trim_start_matches('-')
                };
                assert_eq!(fixed(number, decimals), theirs, "{number}");
            }
        }
        assert_eq!(fixed(f64::NAN, 1), "0.0");
        assert_eq!(fixed(f64::INFINITY, 0), u64::MAX.to_string());
    }
}
