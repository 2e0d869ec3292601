//! Columns of whole numbers in few bits, and bits as text.
//!
//! ```text
//! column  = order (2 bits) k (6 bits) *number
//! number  = quotient ones, a zero, k low bits       quotient = number >> k, below 24
//!         / 24 ones, 64 bits                        any other
//! ```
//!
//! This is Rice's code (Rice 1979, JPL 79-22) with an escape. A number stands for the difference to the one before (`order`
//! 1), for the difference of two differences (2), or for itself (0); signs are folded into the lowest bit. Differences wrap
//! at 64 bits. The highest bit of a byte comes first, and zeros fill the last one. `k` is at least 2, so that a byte holds at
//! most two and a half numbers.

use super::coding::Coding;

/// A quotient of this many ones is an escape.
const ESCAPE: u64 = 24;

const LEAST_K: u32 = 2;

/// The letters of base64 (RFC 4648, 4), in the order of their values.
const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// The bytes of base64 with padding; `None` where it is none, or its last bits are not zero.
pub(super) fn from_base64(text: &str) -> Option<Vec<u8>> {
    let letters = text.trim_end_matches('=');
    if !text.len().is_multiple_of(4) || text.len() - letters.len() > 2 {
        return None;
    }
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    let (mut rest, mut count) = (0_u32, 0);
    for letter in letters.bytes() {
        rest = rest << 6 | value(letter)?;
        count += 6;
        if count >= 8 {
            count -= 8;
            bytes.push((rest >> count) as u8);
            rest &= (1 << count) - 1;
        }
    }
    (rest == 0).then_some(bytes)
}

fn value(letter: u8) -> Option<u32> {
    let value = match letter {
        b'A'..=b'Z' => letter - b'A',
        b'a'..=b'z' => letter - b'a' + 26,
        b'0'..=b'9' => letter - b'0' + 52,
        b'+' => 62,
        b'/' => 63,
        _ => return None,
    };
    Some(u32::from(value))
}

/// The text of bytes.
fn to_base64(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let all = chunk.iter().fold(0_u32, |all, byte| all << 8 | u32::from(*byte)) << (8 * (3 - chunk.len()));
        for place in 0..4 {
            let letter = LETTERS[(all >> (18 - 6 * place) & 63) as usize];
            text.push(if place <= chunk.len() { char::from(letter) } else { '=' });
        }
    }
    text
}

/// Reads bits.
pub(super) struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Bits<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        Bits { bytes, at: 0 }
    }

    fn bit(&mut self) -> Option<u64> {
        let byte = self.bytes.get(self.at / 8)?;
        let bit = byte >> (7 - self.at % 8) & 1;
        self.at += 1;
        Some(u64::from(bit))
    }

    fn bits(&mut self, count: u32) -> Option<u64> {
        let mut value = 0;
        for _ in 0..count {
            value = value << 1 | self.bit()?;
        }
        Some(value)
    }

    fn folded(&mut self, k: u32) -> Option<u64> {
        let mut quotient = 0;
        while quotient < ESCAPE && self.bit()? == 1 {
            quotient += 1;
        }
        if quotient == ESCAPE { self.bits(64) } else { Some(quotient << k | self.bits(k)?) }
    }

    /// The numbers of a column; `None` where the bits end, or `k` is none.
    pub(super) fn column(&mut self, count: usize, coding: Coding) -> Option<Vec<f64>> {
        let (order, k) = (self.bits(2)?, self.bits(6)? as u32);
        // Held against the bits there are before room is made.
        let least = count.checked_mul(1 + LEAST_K as usize)?;
        if !(LEAST_K..60).contains(&k) || least > 8 * self.bytes.len() - self.at {
            return None;
        }
        let mut numbers = Vec::with_capacity(count);
        let (mut last, mut step) = (0_i64, 0_i64);
        for _ in 0..count {
            let folded = self.folded(k)?;
            let own = (folded >> 1) as i64 ^ -((folded & 1) as i64);
            step = if order == 2 { step.wrapping_add(own) } else { own };
            last = if order == 0 { own } else { last.wrapping_add(step) };
            numbers.push(coding.number(last));
        }
        Some(numbers)
    }
}

/// Writes bits.
#[derive(Default)]
pub(in crate::formats) struct Pen {
    bytes: Vec<u8>,
    /// Free bits of the last byte.
    free: u32,
}

impl Pen {
    fn bits(&mut self, value: u64, count: u32) {
        for at in (0..count).rev() {
            if self.free == 0 {
                self.bytes.push(0);
                self.free = 8;
            }
            self.free -= 1;
            if let Some(last) = self.bytes.last_mut() {
                *last |= ((value >> at & 1) as u8) << self.free;
            }
        }
    }

    /// Writes a column in the order and with the k that take the fewest bits.
    pub(in crate::formats) fn column(&mut self, wholes: &[i64]) {
        let choices = (0..3).map(|order| (order, folded(wholes, order)));
        let costed = choices.flat_map(|(order, list)| around_best(&list).map(|k| (cost(&list, k), order, k)));
        let Some((_, order, k)) = costed.min() else { return };
        self.bits(order, 2);
        self.bits(u64::from(k), 6);
        for number in folded(wholes, order) {
            let quotient = number >> k;
            if quotient < ESCAPE {
                self.bits((1 << (quotient + 1)) - 2, quotient as u32 + 1);
                self.bits(number, k);
            } else {
                self.bits((1 << ESCAPE) - 1, ESCAPE as u32);
                self.bits(number, 64);
            }
        }
    }

    /// What was written, as text.
    pub(in crate::formats) fn text(&self) -> String {
        to_base64(&self.bytes)
    }
}

/// Differences with their signs in the lowest bit.
fn folded(wholes: &[i64], order: u64) -> Vec<u64> {
    let (mut last, mut step) = (0_i64, 0_i64);
    let fold = |whole: &i64| {
        let first = whole.wrapping_sub(last);
        let own = [*whole, first, first.wrapping_sub(step)][order as usize];
        (last, step) = (*whole, first);
        (own << 1 ^ own >> 63) as u64
    };
    wholes.iter().map(fold).collect()
}

/// The mean number's bits, and one more and less.
fn around_best(list: &[u64]) -> [u32; 3] {
    let mean = list.iter().map(|number| *number as f64).sum::<f64>() / list.len().max(1) as f64;
    let bits = (mean as u64).checked_ilog2().unwrap_or(0).clamp(LEAST_K + 1, 58);
    [bits - 1, bits, bits + 1]
}

fn cost(list: &[u64], k: u32) -> u64 {
    let one = |number: &u64| if number >> k < ESCAPE { (number >> k) + 1 + u64::from(k) } else { ESCAPE + 64 };
    list.iter().map(one).sum()
}

#[cfg(test)]
mod tests {
    use super::{from_base64, to_base64};

    /// Test vectors of RFC 4648, 10.
    #[test]
    fn base64_is_that_of_the_standard() {
        let rows = ["", "Zg==", "Zm8=", "Zm9v", "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy"];
        for (length, text) in rows.into_iter().enumerate() {
            assert_eq!(to_base64(&b"foobar"[..length]), text);
            assert_eq!(from_base64(text).as_deref(), Some(&b"foobar"[..length]));
        }
        assert_eq!(from_base64("+/8=").as_deref(), Some(&[0xFB, 0xFF][..]));
        for wrong in ["Z", "Zg", "Zg=", "Zg===", "====", "Zh==", "Zm9=", "Zm 9", "Zm-_", "=Zg="] {
            assert_eq!(from_base64(wrong), None, "{wrong}");
        }
    }
}
