//! Points that are numbers in the file and no positions: zeros, marks for "missing", half points.

use crate::formats::{GAP, Point, Track, is_gap};
use crate::words::{Message, Place};

/// Why a point is none.
#[derive(Clone, Copy)]
enum Odd {
    Zero,
    /// With its value.
    Mark(f64),
    Half,
}

/// How many points of one kind, and the first.
#[derive(Default)]
struct Count {
    points: usize,
    first: Option<(String, Odd)>,
}

/// Turns them into gaps, and takes away tracks that hold nothing.
pub(in crate::formats) fn mark(tracks: &mut Vec<Track>, warnings: &mut Vec<Message>) {
    let mut counts: [Count; 3] = Default::default();
    let (mut zero_tracks, mut empty_tracks) = (Vec::new(), Vec::new());
    for track in tracks.iter_mut() {
        let had_points = track.points.iter().any(|point| !is_gap(point));
        mark_track(track, &mut counts);
        if track.points.iter().all(is_gap) {
            if had_points { &mut zero_tracks } else { &mut empty_tracks }.push(track.name.clone());
        }
    }
    tracks.retain(|track| !track.points.iter().all(is_gap));
    counts.into_iter().for_each(|count| warnings.extend(count.message()));
    if let Some(first) = zero_tracks.first() {
        warnings.push(Message::new("text.zero_tracks").with("tracks", zero_tracks.len()).with("first", first.as_str()));
    }
    if let Some(first) = empty_tracks.first() {
        warnings
            .push(Message::new("text.empty_tracks").with("tracks", empty_tracks.len()).with("first", first.as_str()));
    }
}

fn mark_track(track: &mut Track, counts: &mut [Count; 3]) {
    for point in &mut track.points {
        let Some(odd) = oddity(point) else { continue };
        let [zeros, marks, halves] = &mut *counts;
        let count = match odd {
            Odd::Zero => zeros,
            Odd::Mark(_) => marks,
            Odd::Half => halves,
        };
        count.points += 1;
        count.first.get_or_insert_with(|| (track.name.clone(), odd));
        *point = GAP;
    }
}

fn oddity(point: &Point) -> Option<Odd> {
    let [x, y, z] = *point;
    // Nearly all points: whole, and not one value thrice.
    if x != y && (x + y + z).is_finite() {
        return None;
    }
    if is_gap(point) {
        return point.iter().any(|x| x.is_finite()).then_some(Odd::Half);
    }
    if point.iter().all(|&x| x.abs() <= 0.0) {
        return Some(Odd::Zero);
    }
    missing_mark(point).map(Odd::Mark)
}

/// One value in all three coordinates that programs write for "missing": nines (-999, 9999.99), powers of ten from
/// 1000, the ends of 16-bit integers, or anything no capture volume holds.
fn missing_mark(point: &Point) -> Option<f64> {
    let value = point[0];
    if point.iter().any(|&x| x.to_bits() != value.to_bits()) {
        return None;
    }
    let size = value.abs();
    const MARKS: [f64; 13] = [
        999.0,
        999.9,
        999.99,
        999.999,
        9999.0,
        9999.9,
        9999.99,
        99_999.0,
        999_999.0,
        9_999_999.0,
        32_767.0,
        32_768.0,
        99_999_999.0,
    ];
    let listed = MARKS.iter().chain(&[1e3, 1e4, 1e5, 1e6, 1e7, 1e8]).any(|mark| (size - mark).abs() <= 0.0);
    (listed || size >= 1e9).then_some(value)
}

impl Count {
    fn message(self) -> Option<Message> {
        let (track, odd) = self.first?;
        let message = match odd {
            Odd::Zero => Message::new("text.zero_points"),
            Odd::Mark(value) => Message::new("text.missing_marks").with("value", value),
            Odd::Half => Message::new("text.half_points"),
        };
        Some(message.with("points", self.points).at(Place::track(&track)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ok_zeros_marks_and_halves_become_gaps() {
        let points = vec![[1.0, 2.0, 3.0], [0.0, -0.0, 0.0], [-999.0; 3], [1.0, f64::NAN, 2.0], [0.0, 0.0, 5.0], GAP];
        let zero = vec![[0.0; 3]; 6];
        let mut tracks = vec![Track::marker("A", points), Track::marker("B", zero), Track::marker("C", vec![GAP; 6])];
        let mut warnings = Vec::new();
        mark(&mut tracks, &mut warnings);
        assert_eq!(tracks.len(), 1);
        let present: Vec<bool> = tracks[0].points.iter().map(|point| !is_gap(point)).collect();
        assert_eq!(present, [true, false, false, false, true, false]);
        let told: Vec<String> = warnings.iter().map(ToString::to_string).collect();
        assert_eq!(
            told,
            [
                "track \"A\": Points at exactly (0, 0, 0), read as gaps: 7.",
                "track \"A\": Points with -999.00 in all three coordinates, read as gaps: 1.",
                "track \"A\": Points with only one or two coordinates, read as gaps: 1.",
                "Tracks that are zero throughout and were left out: 1 (first: \"B\").",
                "Tracks without any position that were left out: 1 (first: \"C\").",
            ]
        );
    }

    #[test]
    fn ok_equal_coordinates_alone_are_no_mark() {
        assert_eq!(missing_mark(&[5.0; 3]), None);
        assert_eq!(missing_mark(&[999.0, 999.0, 998.0]), None);
        assert_eq!(missing_mark(&[1e20; 3]), Some(1e20));
    }
}
