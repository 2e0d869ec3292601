//! Decimal text to numbers and back.
//!
//! Std's own code for this is correct and fast, but needs 40 kB of WebAssembly, of which a table of 10 kB does not even
//! compress.

/// The number that a text stands for, to the bit what `str::parse` gives: the nearest `f64`, ties to even (IEEE 754).
///
/// ```text
/// number = [ "+" | "-" ] ( "inf" | "infinity" | "nan" | decimal )         words in any case
/// decimal = ( digits [ "." *digit ] | "." digits ) [ ( "e" | "E" ) [ "+" | "-" ] digits ]
/// ```
pub(crate) fn parse(text: &[u8]) -> Option<f64> {
    // Most numbers are plain, and the small parser takes its time with them.
    handpath_rows::plain(text).or_else(|| lexical_parse_float::FromLexical::from_lexical(text).ok())
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
