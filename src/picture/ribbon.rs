//! The scrubber: the hand paths rolled out to their own length, with the instants on them.
//!
//! Two rails share one scale, so a longer path is a longer rail. Along a rail, equal steps are equal lengths of path: the
//! downswing, a quarter of a second, gets the room its length has.

use super::camera::{Rect, Spot};
use super::data::{Figure, Mark, Picture, locate};
use super::scene::{Anchor, Dash, Ink, Scene, Stroke, Tag, text_width};
use super::state::{LengthDisplay, ViewState, Words};
use crate::formats::is_gap;
use crate::order;
use crate::swing::InstantName;

/// Room left and right of the rails: half the thumb of a range input, so that its middle runs along the rail.
pub const PADDING_PX: f64 = 12.0;

/// Length of path against time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lengths {
    time_s: Vec<f64>,
    /// Metres from the start of the drawn stretch; never decreasing.
    length_m: Vec<f64>,
    span: (f64, f64),
}

impl Lengths {
    /// Measures a figure's drawn stretch. A gap is bridged by its chord.
    pub fn new(figure: &Figure) -> Self {
        let span = figure.span();
        let mut sum = 0.0;
        let mut last = None;
        let length_m = figure.path().into_iter().zip(&figure.time_s).map(|(point, time)| {
            if (span.0..=span.1).contains(time) && !is_gap(&point) {
                sum += last.map_or(0.0, |before| crate::picture::build::distance(&before, &point));
                last = Some(point);
            }
            sum
        });
        let length_m = length_m.collect();
        Lengths { time_s: figure.time_s.clone(), length_m, span }
    }

    /// Length of the whole stretch, metres.
    pub fn total_m(&self) -> f64 {
        self.length_m.last().copied().unwrap_or(0.0)
    }

    /// Length of path up to a time, metres.
    pub fn at(&self, time_s: f64) -> f64 {
        super::data::number_at(&self.time_s, &self.length_m, order::within(time_s, self.span.0, self.span.1)).max(0.0)
    }

    /// The earliest time with this much path behind it.
    pub fn time(&self, length_m: f64) -> f64 {
        let after = self.length_m.partition_point(|length| *length < length_m);
        if after == 0 || after >= self.length_m.len() {
            return if length_m <= 0.0 { self.span.0 } else { self.span.1 };
        }
        let (low, high) = (self.length_m[after - 1], self.length_m[after]);
        let (from, to) = (self.time_s[after - 1], self.time_s[after]);
        order::within(from + (length_m - low) / (high - low) * (to - from), self.span.0, self.span.1)
    }

    /// The sample `steps` away from a time, inside the stretch.
    pub fn step(&self, time_s: f64, steps: f64) -> f64 {
        let (index, part) = locate(&self.time_s, time_s + 1e-9);
        let from = index as f64 + if part > 0.01 && steps < 0.0 { 1.0 } else { 0.0 };
        let to = ((from + steps) as usize).min(self.time_s.len().saturating_sub(1));
        self.time_s.get(to).map_or(self.span.0, |time| order::within(*time, self.span.0, self.span.1))
    }
}

/// The rails of student and chosen reference.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ribbon {
    /// The student's lengths.
    pub student: Lengths,
    /// The chosen reference's.
    pub reference: Option<Lengths>,
}

impl Ribbon {
    /// Measures both.
    pub fn new(picture: &Picture, state: &ViewState) -> Self {
        Ribbon { student: Lengths::new(&picture.student), reference: state.chosen(picture).map(Lengths::new) }
    }

    fn longest_m(&self) -> f64 {
        self.reference.as_ref().map_or(0.0, Lengths::total_m).max(self.student.total_m()).max(1e-3)
    }

    /// The student's place on the ribbon, 0 to 1.
    pub fn place(&self, time_s: f64) -> f64 {
        self.student.at(time_s) / self.longest_m()
    }

    /// The student's time at a place of the ribbon.
    pub fn time(&self, place: f64) -> f64 {
        self.student.time(place * self.longest_m())
    }
}

struct Rail<'a> {
    figure: &'a Figure,
    lengths: &'a Lengths,
    index: usize,
    ink: Ink,
    dash: Dash,
    y: f64,
    px_per_m: f64,
}

impl Rail<'_> {
    fn spot(&self, time_s: f64) -> Spot {
        [PADDING_PX + self.lengths.at(time_s) * self.px_per_m, self.y]
    }
}

/// Draws the ribbon.
pub fn build(picture: &Picture, ribbon: &Ribbon, state: &ViewState, words: &Words, frame: Rect) -> Scene {
    let mut scene = Scene::new(frame);
    if picture.student.time_s.is_empty() {
        return scene;
    }
    let px_per_m = (frame.width - 2.0 * PADDING_PX).max(1.0) / ribbon.longest_m();
    let rail = |figure, lengths, index, ink, dash, y| Rail { figure, lengths, index, ink, dash, y, px_per_m };
    let middle = frame.height * 0.5;
    ruler(&mut scene, ribbon.longest_m(), px_per_m, state.unit, frame);
    let student = rail(&picture.student, &ribbon.student, 0, Ink::Student, Dash::Solid, middle);
    if let (Some(figure), Some(lengths)) = (state.chosen(picture), &ribbon.reference) {
        let other = rail(figure, lengths, 1, Ink::Reference, Dash::Long, middle + 18.0);
        ties(&mut scene, &student, &other);
        draw_rail(&mut scene, &other, state.reference_time(&picture.student, figure));
    }
    draw_rail(&mut scene, &student, state.time);
    names(&mut scene, &student, words, frame);
    scene
}

fn draw_rail(scene: &mut Scene, rail: &Rail<'_>, time_s: f64) {
    let (from, to) = rail.figure.span();
    let pen = |width| Stroke { ink: rail.ink, width, dash: rail.dash };
    scene.line(&[rail.spot(from), rail.spot(to)], pen(1.5), 0.7);
    if let (Some(top), Some(end)) = (rail.figure.mark_s(InstantName::Top), down_to(rail.figure)) {
        scene.line(&[rail.spot(top), rail.spot(end)], Stroke { width: 5.0, ..pen(5.0) }, 1.0);
    }
    for (mark, instant) in rail.figure.marks.iter().enumerate() {
        let fill = if rail.index == 0 { rail.ink } else { Ink::Page };
        let tag = Tag::Instant { figure: rail.index, mark };
        let rim = Stroke { ink: rail.ink, width: 1.5, dash: Dash::Solid };
        scene.circle(rail.spot(instant.time_s), 4.0, Some(rim), Some(fill), Some(tag));
    }
    let [x, y] = rail.spot(time_s);
    let handle = Stroke { ink: Ink::Text, width: 2.0, dash: Dash::Solid };
    let fill = if rail.index == 0 { rail.ink } else { Ink::Page };
    scene.circle([x, y], if rail.index == 0 { 9.0 } else { 6.0 }, Some(handle), Some(fill), None);
}

fn down_to(figure: &Figure) -> Option<f64> {
    figure.mark_s(InstantName::Impact).or(figure.mark_s(InstantName::HipHeight))
}

/// Thin lines between the same instants of both rails.
fn ties(scene: &mut Scene, student: &Rail<'_>, other: &Rail<'_>) {
    for mark in &student.figure.marks {
        if let Some(partner) = other.figure.marks.iter().find(|partner| partner.name == mark.name) {
            let pen = Stroke { ink: Ink::Faint, width: 1.0, dash: Dash::Solid };
            scene.line(&[student.spot(mark.time_s), other.spot(partner.time_s)], pen, 0.7);
        }
    }
}

/// Names above the student's rail, in two rows where they would touch; one without room is left out.
fn names(scene: &mut Scene, rail: &Rail<'_>, words: &Words, frame: Rect) {
    let mut ends = [f64::NEG_INFINITY; 2];
    for mark in &rail.figure.marks {
        let name = key(mark);
        let text = words.get(&name);
        let half = text_width(text) / 2.0;
        let x = rail.spot(mark.time_s)[0];
        let left = order::within(x - half, 0.0, (frame.width - 2.0 * half).max(0.0));
        let Some(row) = ends.iter().position(|end| *end + 6.0 < left) else { continue };
        ends[row] = left + 2.0 * half;
        let y = rail.y - 14.0 - 15.0 * row as f64;
        if row > 0 {
            scene.line(
                &[[x, rail.y - 5.0], [x, y + 3.0]],
                Stroke { ink: Ink::Faint, width: 1.0, dash: Dash::Solid },
                0.6,
            );
        }
        // At the edges the text grows inwards, whatever font it is painted in.
        let (at, anchor) = if left <= 0.0 {
            (0.0, Anchor::Start)
        } else if left + 2.0 * half >= frame.width {
            (frame.width, Anchor::End)
        } else {
            (x, Anchor::Middle)
        };
        scene.text([at, y], anchor, Ink::Text, text);
    }
}

/// Catalogue key of an instant's name.
pub(super) fn key(mark: &Mark) -> String {
    format!("instant.{}", mark.name.replace(' ', "_"))
}

/// Length along the path, at the foot of the ribbon.
fn ruler(scene: &mut Scene, longest_m: f64, px_per_m: f64, unit: LengthDisplay, frame: Rect) {
    let step = match unit {
        LengthDisplay::Centimetre => 50.0,
        LengthDisplay::Inch => 20.0,
    };
    let step = if step * unit.metres() * px_per_m < 44.0 { step * 2.0 } else { step };
    let pen = Stroke { ink: Ink::Ground, width: 1.0, dash: Dash::Solid };
    let foot = frame.height - 16.0;
    let count = (longest_m / (step * unit.metres())) as usize;
    for tick in 0..=count.min(200) {
        let value = tick as f64 * step;
        let x = PADDING_PX + value * unit.metres() * px_per_m;
        scene.line(&[[x, foot - 4.0], [x, foot]], pen, 1.0);
        let text = if tick == 0 { format!("0 {}", unit.symbol()) } else { (value as u64).to_string() };
        let anchor = if tick == 0 { Anchor::Start } else { Anchor::Middle };
        let at = if tick == 0 { x - PADDING_PX + 2.0 } else { x.min(frame.width - text_width(&text) / 2.0) };
        scene.text([at, foot + 12.0], anchor, Ink::Faint, text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Still for 1 s, then 2 m in 1 s along `out`.
    fn figure() -> Figure {
        let time_s: Vec<f64> = (0..=20).map(|i| f64::from(i) * 0.1).collect();
        let hands = time_s.iter().flat_map(|t| [(t - 1.0).max(0.0) * 2.0, 0.0, 1.0]).collect();
        Figure { time_s, hands, ..Figure::default() }
    }

    #[test]
    fn length_and_time_are_inverse_on_the_move() {
        let lengths = Lengths::new(&figure());
        assert!((lengths.total_m() - 2.0).abs() < 1e-12);
        for time in [1.05, 1.3, 1.77, 2.0] {
            assert!((lengths.time(lengths.at(time)) - time).abs() < 1e-9, "{time}");
        }
        assert!(lengths.at(0.5).abs() < 1e-12);
        assert!((lengths.time(-1.0)).abs() < 1e-12 && (lengths.time(9.0) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn steps_are_samples_and_stay_inside() {
        let lengths = Lengths::new(&figure());
        let rows = [(0.5, 1.0, 0.6), (0.55, 1.0, 0.6), (0.55, -1.0, 0.5), (0.0, -1.0, 0.0), (2.0, 5.0, 2.0)];
        for (time, steps, expected) in rows {
            assert!((lengths.step(time, steps) - expected).abs() < 1e-9, "{time} {steps}");
        }
    }

    #[test]
    fn nothing_to_measure_is_no_crash() {
        let ribbon = Ribbon::new(&Picture::default(), &ViewState::default());
        let frame = Rect::sized(300.0, 80.0);
        let scene = build(&Picture::default(), &ribbon, &ViewState::default(), &Words::default(), frame);
        assert!(ribbon.place(3.0).abs() < 1e-12 && scene.width > 0.0);
    }
}
