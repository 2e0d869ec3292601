//! A coach's notes in the picture: texts pinned to places of the student's path, and measured stretches of it.

use super::build::{NARROW_PX, Stage};
use super::data::Figure;
use super::labels::{Label, Placer};
use super::scene::{Dash, Ink, Scene, Stroke};
use crate::formats::{Point, is_gap};

/// A text at a place of the student's path.
#[derive(Clone, Debug, PartialEq)]
pub struct Pin {
    /// The student's own time, seconds.
    pub time_s: f64,
    /// What is said of the place.
    pub text: String,
}

/// A measured stretch of the student's path.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// The student's own time at one end, seconds.
    pub from_s: f64,
    /// At the other.
    pub to_s: f64,
    /// What is said of it.
    pub text: String,
}

/// Characters of a note that the picture shows: the list has all of them.
const SHOWN_CHARS: [usize; 2] = [14, 34];

/// Straight way between the hands at two times of a swing, and the way along the path, metres; NaN where one of the places is
/// a gap. Time is linear in the number of samples.
pub fn span_length(figure: &Figure, from_s: f64, to_s: f64) -> [f64; 2] {
    let (from_s, to_s) = (from_s.min(to_s), from_s.max(to_s));
    let [start, end] = [from_s, to_s].map(|time_s| figure.at(&figure.hands, time_s));
    let inside = figure.path().into_iter().zip(&figure.time_s).filter(|(_, time)| **time > from_s && **time < to_s);
    let mut along = 0.0;
    let mut last = start;
    for point in inside.map(|(point, _)| point).filter(|point| !is_gap(point)).chain([end]) {
        along += distance(&last, &point);
        last = point;
    }
    [distance(&start, &end), along]
}

fn distance(a: &Point, b: &Point) -> f64 {
    [0, 1, 2].iter().map(|axis| (b[*axis] - a[*axis]).powi(2)).sum::<f64>().sqrt()
}

impl Stage<'_> {
    /// Spans as straight lines with ends across, pins as heads on a stem.
    pub(super) fn notes(&self, scene: &mut Scene, figure: &Figure) {
        let small = if self.full() { 1.0 } else { 0.6 };
        let pen = Stroke { ink: Ink::Text, width: 1.75 * small, dash: Dash::Solid };
        let at = |time_s: f64| self.camera.project(&figure.at(&figure.hands, time_s));
        for span in &self.state.spans {
            let (from, to) = (at(span.from_s), at(span.to_s));
            let length = (to[0] - from[0]).hypot(to[1] - from[1]).max(1e-6);
            let across = [(from[1] - to[1]) / length * 6.0 * small, (to[0] - from[0]) / length * 6.0 * small];
            scene.line(&[from, to], Stroke { dash: Dash::Short, ..pen }, 1.0);
            for end in [from, to] {
                let tick = [[end[0] - across[0], end[1] - across[1]], [end[0] + across[0], end[1] + across[1]]];
                scene.line(&tick, pen, 1.0);
            }
        }
        for pin in &self.state.pins {
            let foot = at(pin.time_s);
            let head = [foot[0], foot[1] - 18.0 * small];
            scene.line(&[foot, head], pen, 1.0);
            let rim = Stroke { ink: Ink::Page, width: 1.5 * small, dash: Dash::Solid };
            scene.circle(head, 5.0 * small, Some(rim), Some(Ink::Text), None);
        }
    }

    /// Pins by number and text; spans by length and text.
    pub(super) fn note_labels(&self, scene: &mut Scene, figure: &Figure, placer: &mut Placer) {
        let most = SHOWN_CHARS[usize::from(self.frame.width >= NARROW_PX)];
        for (number, pin) in (1..).zip(&self.state.pins) {
            let foot = self.camera.project(&figure.at(&figure.hands, pin.time_s));
            let name = [&format!("{number} "), &*shortened(&pin.text, most)].concat();
            placer.place(scene, &Label { spot: [foot[0], foot[1] - 18.0], name, lines: vec![], ink: Ink::Text });
        }
        for span in &self.state.spans {
            let [a, b] = [span.from_s, span.to_s].map(|time_s| figure.at(&figure.hands, time_s));
            let spot = self.camera.project(&[0, 1, 2].map(|axis| 0.5 * (a[axis] + b[axis])));
            let size = self.state.unit.size(distance(&a, &b), self.words.get("picture.decimal"));
            let name = self.state.unit.spelled(size.as_deref().unwrap_or("0"));
            let lines = if span.text.is_empty() { vec![] } else { vec![shortened(&span.text, most)] };
            placer.place(scene, &Label { spot, name, lines, ink: Ink::Text });
        }
    }
}

fn shortened(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        Some((cut, _)) => [&text[..cut], "…"].concat(),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A quarter circle of radius 1 m in a second, a sample each degree: the chord is sqrt 2, the arc pi / 2.
    #[test]
    fn chord_and_arc_of_a_quarter_circle() {
        let angles = (0..=90).map(|degree| f64::from(degree).to_radians());
        let figure = Figure {
            time_s: (0..=90).map(|degree| f64::from(degree) / 90.0).collect(),
            hands: angles.flat_map(|angle| [angle.cos(), 0.0, angle.sin()]).collect(),
            ..Figure::default()
        };
        for (from, to) in [(0.0, 1.0), (1.0, 0.0)] {
            let [straight, along] = span_length(&figure, from, to);
            assert!((straight - 2.0_f64.sqrt()).abs() < 1e-12, "{straight}");
            assert!((along - std::f64::consts::FRAC_PI_2).abs() < 1e-4, "{along}");
        }
        let [straight, along] = span_length(&figure, 0.25, 0.25);
        assert_eq!((straight, along), (0.0, 0.0));
        let gap = Figure { hands: vec![f64::NAN; 3 * 91], ..figure };
        assert!(span_length(&gap, 0.1, 0.9).iter().all(|length| length.is_nan()));
    }

    #[test]
    fn long_notes_are_shown_in_part() {
        assert_eq!(shortened("é".repeat(3).as_str(), 2), "éé…");
        assert_eq!(shortened("abc", 3), "abc");
    }
}
