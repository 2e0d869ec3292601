//! Sorting from one copy of the machine code.
//!
//! Std's sort is compiled anew, about 4 kB of WebAssembly, for every type and every comparison. Here the places are
//! sorted instead of the items, and the comparison is called through a reference: one copy, a tenth of that size, serves
//! the whole core.

use std::cmp::Ordering;

/// Sorts by a comparison, which must be a total order; equal items keep their order. O(n log n) time, O(n) memory.
pub(crate) fn sort_by<T>(items: &mut [T], compare: impl Fn(&T, &T) -> Ordering) {
    let places = ordered(items.len(), &|a, b| compare(&items[a], &items[b]));
    for (a, b) in swaps(places) {
        items.swap(a, b);
    }
}

/// The swaps, one after another, that bring what is at `places[at]` to `at`.
fn swaps(mut places: Vec<usize>) -> Vec<(usize, usize)> {
    let mut swaps = Vec::new();
    for start in 0..places.len() {
        // Along one cycle of the permutation, up to where it closes.
        let mut at = start;
        loop {
            let from = std::mem::replace(&mut places[at], at);
            if from == start || from == at {
                break;
            }
            swaps.push((at, from));
            at = from;
        }
    }
    swaps
}

/// Sorts in the items' own order.
pub(crate) fn sort<T: Ord>(items: &mut [T]) {
    sort_by(items, T::cmp);
}

/// Sorts numbers in the order of [`f64::total_cmp`]: NaN last, or first where its sign is set.
pub(crate) fn sort_numbers(numbers: &mut [f64]) {
    let sorted = merge_sort(numbers.to_vec(), |a, b| a.total_cmp(&b));
    numbers.copy_from_slice(&sorted);
}

/// The number that would stand at `place` if they were sorted by [`f64::total_cmp`]; the last beyond it, none of none.
/// O(n) whatever they are: numbers are sorted into 256 equal parts of their range, and only the part that holds the place
/// is looked at again.
pub(crate) fn nth(numbers: impl Iterator<Item = f64>, place: usize) -> Option<f64> {
    // Whole numbers in the order of the floats.
    let mut keys: Vec<u64> = numbers.map(|x| x.to_bits()).map(|bits| bits ^ sign_mask(bits >> 63)).collect();
    let mut place = place.min(keys.len().checked_sub(1)?);
    loop {
        let (low, high) = keys.iter().fold((u64::MAX, 0), |(low, high), key| (low.min(*key), high.max(*key)));
        if low == high {
            return Some(f64::from_bits(low ^ sign_mask(low >> 63 ^ 1)));
        }
        let shift = 56_u32.saturating_sub((high - low).leading_zeros());
        let part = |key: u64| ((key - low) >> shift) as usize & 0xFF;
        let mut counts = [0; 256];
        keys.iter().for_each(|key| counts[part(*key)] += 1);
        let mut wanted = 0;
        while place >= counts[wanted] {
            place -= counts[wanted];
            wanted += 1;
        }
        keys.retain(|key| part(*key) == wanted);
    }
}

/// What turns the bits of a float into its place among whole numbers: all of them where the sign is set, else the sign.
fn sign_mask(sign: u64) -> u64 {
    if sign == 1 { u64::MAX } else { 1 << 63 }
}

/// The number, or the end of the range that it lies beyond; NaN stays NaN. Unlike [`f64::clamp`] it does not panic where
/// the range is none, with a message that would bring the printing of floats into the module.
pub(crate) fn within(number: f64, low: f64, high: f64) -> f64 {
    if number < low {
        low
    } else if number > high {
        high
    } else {
        number
    }
}

/// How many different items there are. O(n log n) time, O(n) memory.
pub(crate) fn distinct<T: Ord>(items: &[T]) -> usize {
    firsts(items).iter().enumerate().filter(|(at, first)| at == *first).count()
}

/// For each item the place of the first one that equals it. O(n log n) time, O(n) memory.
pub(crate) fn firsts<T: Ord>(items: &[T]) -> Vec<usize> {
    first_equals(items.len(), &|a, b| items[a].cmp(&items[b]))
}

fn first_equals(count: usize, compare: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    let mut firsts: Vec<usize> = (0..count).collect();
    for pair in ordered(count, compare).windows(2) {
        if compare(pair[0], pair[1]).is_eq() {
            firsts[pair[1]] = firsts[pair[0]];
        }
    }
    firsts
}

/// The places 0 to `count` in the order of what is at them, equals by place.
fn ordered(count: usize, compare: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    merge_sort((0..count).collect(), compare)
}

/// Merges runs of 1, 2, 4 ... items; equal items keep their order.
fn merge_sort<T: Copy>(mut items: Vec<T>, compare: impl Fn(T, T) -> Ordering) -> Vec<T> {
    let mut run = 1;
    while run < items.len() {
        let mut merged = Vec::with_capacity(items.len());
        for pair in items.chunks(2 * run) {
            let (mut left, mut right) = pair.split_at(run.min(pair.len()));
            while let ([a, later @ ..], [b, behind @ ..]) = (left, right) {
                if compare(*a, *b).is_le() {
                    merged.push(*a);
                    left = later;
                } else {
                    merged.push(*b);
                    right = behind;
                }
            }
            merged.extend_from_slice(left);
            merged.extend_from_slice(right);
        }
        items = merged;
        run *= 2;
    }
    items
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Std's stable sort is the oracle, on lists of every length up to 200 with many equals.
    #[test]
    fn sorts_as_std_does_and_keeps_the_order_of_equals() {
        let mut seed = 1_u64;
        for length in 0..200 {
            let mut drawn = || {
                seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (seed >> 33) % 20
            };
            let items: Vec<(u64, usize)> = (0..length).map(|place| (drawn(), place)).collect();
            let (mut ours, mut theirs) = (items.clone(), items);
            sort_by(&mut ours, |a, b| b.0.cmp(&a.0));
            theirs.sort_by_key(|pair| std::cmp::Reverse(pair.0));
            assert_eq!(ours, theirs);
            sort(&mut ours);
            assert!(ours.is_sorted(), "{ours:?}");
        }
    }

    /// The sorted list is the oracle, on numbers of all sizes and signs, with equals.
    #[test]
    fn finds_what_would_stand_at_a_place() {
        let mut seed = 1_u64;
        let mut drawn = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            seed
        };
        for length in 1..200 {
            let wild = length % 3 == 0;
            let number = |bits: u64| if wild { f64::from_bits(bits) } else { (bits >> 40) as f64 / 1e6 - 8.0 };
            let mut numbers: Vec<f64> = (0..length).map(|_| number(drawn())).collect();
            numbers.extend([numbers[0], 0.0, -0.0]);
            let mut sorted = numbers.clone();
            sort_numbers(&mut sorted);
            for (place, expected) in sorted.iter().enumerate() {
                let found = nth(numbers.iter().copied(), place).unwrap();
                assert_eq!(found.to_bits(), expected.to_bits(), "{place} of {numbers:?}");
            }
            assert_eq!(nth(numbers.iter().copied(), 999).map(f64::to_bits), sorted.last().map(|x| x.to_bits()));
        }
        assert_eq!(nth(std::iter::empty(), 0), None);
    }

    #[test]
    fn keeps_a_number_within_a_range() {
        let rows = [(0.5, 0.5), (-1.0, 0.0), (2.0, 1.0), (f64::INFINITY, 1.0)];
        rows.iter().for_each(|(number, kept)| assert_eq!(within(*number, 0.0, 1.0), *kept));
        assert!(within(f64::NAN, 0.0, 1.0).is_nan());
        assert_eq!(within(0.5, 1.0, 0.0), 1.0);
    }

    #[test]
    fn finds_the_first_of_equals() {
        assert_eq!(firsts(&["b", "a", "b", "c", "a", "b"]), [0, 1, 0, 3, 1, 0]);
        assert_eq!(firsts::<&str>(&[]), [0; 0]);
        assert_eq!(distinct(&["b", "a", "b"]), 2);
    }

    #[test]
    fn puts_numbers_that_are_none_at_the_ends() {
        let mut numbers = [f64::NAN, 1.0, -0.0, f64::NEG_INFINITY, 0.0, -f64::NAN];
        sort_numbers(&mut numbers);
        assert!(numbers[0].is_nan() && numbers[5].is_nan());
        assert_eq!(
            numbers[1..5].iter().map(|x| x.to_bits()).collect::<Vec<_>>(),
            [f64::NEG_INFINITY.to_bits(), (-0.0_f64).to_bits(), 0.0_f64.to_bits(), 1.0_f64.to_bits()]
        );
    }
}
