//! Curves over the student's time or path, with the cursor of the picture.
//!
//! Both curves have the student's axis: the reference is drawn where its moment belongs, matched or in its own time.

use super::camera::Rect;
use super::data::{Figure, Picture, locate};
use super::ribbon::Lengths;
use super::scene::{Anchor, Dash, Ink, Scene, Stroke, text_width};
use super::state::{ViewState, Words};
use crate::formats::is_gap;
use crate::swing::InstantName;

/// What is drawn upwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Hand speed, m/s.
    Speed,
    /// A coordinate of the hands: out, target or up.
    Place(usize),
    /// What body and arms have moved the student's hands out since the top, up to lead arm level.
    Shares,
    /// How much later than the reference since the top of both, ms; matched point by point.
    Lateness,
}

impl Quantity {
    /// By the name that the page uses; speed where it is another.
    pub fn parse(name: &str) -> Quantity {
        match name {
            "out" => Quantity::Place(0),
            "target" => Quantity::Place(1),
            "up" => Quantity::Place(2),
            "shares" => Quantity::Shares,
            "lateness" => Quantity::Lateness,
            _ => Quantity::Speed,
        }
    }
}

/// One line: the student's time and a value.
struct Curve {
    pen: Stroke,
    key: &'static str,
    points: Vec<[f64; 2]>,
}

const STUDENT: Stroke = Stroke { ink: Ink::Student, width: 2.5, dash: Dash::Solid };
const REFERENCE: Stroke = Stroke { ink: Ink::Reference, width: 2.0, dash: Dash::Long };
const THIN: Stroke = Stroke { ink: Ink::Ground, width: 1.0, dash: Dash::Solid };

/// A picture's curves of one quantity.
pub struct Plot<'a> {
    picture: &'a Picture,
    state: &'a ViewState,
    quantity: Quantity,
    /// Lengths of the student's path: drawn over them instead of time.
    lengths: Option<&'a Lengths>,
    curves: Vec<Curve>,
}

impl<'a> Plot<'a> {
    /// Works out the curves.
    pub fn new(picture: &'a Picture, state: &'a ViewState, quantity: Quantity, lengths: Option<&'a Lengths>) -> Self {
        let mut plot = Plot { picture, state, quantity, lengths, curves: vec![] };
        plot.curves = match quantity {
            Quantity::Shares => vec![plot.share("picture.body", STUDENT, 2), plot.share("picture.arms", ARMS, 1)],
            Quantity::Lateness => plot.lateness().into_iter().collect(),
            _ => plot.both(),
        };
        plot
    }

    fn both(&self) -> Vec<Curve> {
        let student = &self.picture.student;
        let own = |t: f64| self.value(student, t);
        let mut curves = vec![self.curve("picture.student", STUDENT, &own)];
        if let Some(reference) = self.state.chosen(self.picture).filter(|_| self.state.references) {
            let at = |time| ViewState { time, ..self.state.clone() }.reference_time(student, reference);
            curves.push(self.curve("picture.reference", REFERENCE, &|t| self.value(reference, at(t))));
        }
        curves
    }

    fn curve(&self, key: &'static str, pen: Stroke, value: &dyn Fn(f64) -> f64) -> Curve {
        let (from, to) = self.picture.student.span();
        let times = self.picture.student.time_s.iter().filter(|t| (from..=to).contains(*t));
        Curve { pen, key, points: times.map(|t| [*t, value(*t)]).collect() }
    }

    fn value(&self, figure: &Figure, time_s: f64) -> f64 {
        match self.quantity {
            Quantity::Place(axis) => figure.at(&figure.hands, time_s)[axis] / self.state.unit.metres(),
            _ => speed(figure, time_s),
        }
    }

    fn share(&self, key: &'static str, pen: Stroke, column: usize) -> Curve {
        let rows = self.picture.student.shares.as_chunks::<3>().0;
        Curve { pen, key, points: rows.iter().map(|row| [row[0], row[column] / self.state.unit.metres()]).collect() }
    }

    fn lateness(&self) -> Option<Curve> {
        let student = &self.picture.student;
        let reference = self.state.chosen(self.picture)?;
        let since = reference.mark_s(InstantName::Top)? - student.mark_s(InstantName::Top)?;
        let own = |t: f64| super::data::number_at(&student.time_s, &reference.matched_s, t);
        Some(self.curve("picture.student", STUDENT, &|t| 1000.0 * (t + since - own(t))))
    }

    /// What the curves say at the cursor, in their order; nothing where one has no value there.
    pub fn reading(&self) -> Vec<(&'static str, f64)> {
        let at = |curve: &Curve| {
            let times: Vec<f64> = curve.points.iter().map(|point| point[0]).collect();
            let (first, last) = (*times.first()?, *times.last()?);
            let values: Vec<f64> = curve.points.iter().map(|point| point[1]).collect();
            let value = super::data::number_at(&times, &values, self.state.time);
            let inside = (first..=last).contains(&self.state.time) && value.is_finite();
            inside.then_some((curve.key, value))
        };
        self.curves.iter().filter_map(at).collect()
    }

    fn along(&self, time_s: f64) -> f64 {
        self.lengths.map_or(time_s, |lengths| lengths.at(time_s) / self.state.unit.metres())
    }

    fn axes(&self, frame: Rect) -> Axes {
        let points = || self.curves.iter().flat_map(|curve| &curve.points);
        let (from, to) = points().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), [t, _]| (l.min(*t), h.max(*t)));
        let values = points().map(|point| point[1]);
        let (low, high) =
            values.filter(|y| y.is_finite()).fold((0.0, 0.0), |(l, h): (f64, f64), y| (l.min(y), h.max(y)));
        let pad = 0.05 * (high - low).max(1e-9);
        Axes {
            inner: frame.inset(44.0, 34.0, 12.0, 24.0),
            x: [self.along(from), self.along(to)],
            y: [low - pad, high + pad],
        }
    }

    /// The student's time at a spot of the plot.
    pub fn time_at(&self, x: f64, frame: Rect) -> f64 {
        let axes = self.axes(frame);
        let share = ((x - axes.inner.x) / axes.inner.width).clamp(0.0, 1.0);
        let along = axes.x[0] + share * (axes.x[1] - axes.x[0]);
        self.lengths.map_or(along, |lengths| lengths.time(along * self.state.unit.metres()))
    }

    /// Draws axes, curves and cursor.
    pub fn draw(&self, words: &Words, frame: Rect) -> Scene {
        let mut scene = Scene::new(frame);
        if self.reading_is_empty() {
            let middle = [frame.x + frame.width / 2.0, frame.y + frame.height / 2.0];
            scene.text(middle, Anchor::Middle, Ink::Faint, words.get("picture.no_curve"));
            return scene;
        }
        let axes = self.axes(frame);
        axes.draw(&mut scene, words);
        self.instants(&mut scene, &axes, words);
        for curve in &self.curves {
            let spots: Vec<_> = curve.points.iter().map(|[t, y]| axes.spot(self.along(*t), *y)).collect();
            scene.line(&spots, curve.pen, 1.0);
        }
        self.legend(&mut scene, words, frame);
        self.cursor(&mut scene, &axes);
        scene
    }

    fn reading_is_empty(&self) -> bool {
        self.curves.iter().all(|curve| curve.points.iter().all(|point| !point[1].is_finite()))
    }

    fn instants(&self, scene: &mut Scene, axes: &Axes, words: &Words) {
        let mut end = f64::NEG_INFINITY;
        for mark in &self.picture.student.marks {
            let [x, _] = axes.spot(self.along(mark.time_s), 0.0);
            let key = super::ribbon::key(mark);
            let text = words.get(&key);
            let half = text_width(text) / 2.0;
            if !(axes.inner.x - 1.0..=axes.inner.x + axes.inner.width + 1.0).contains(&x) {
                continue;
            }
            let Rect { y, height, .. } = axes.inner;
            scene.line(&[[x, y], [x, y + height]], Stroke { dash: Dash::Short, ..THIN }, 0.8);
            if x - half > end && x + half < axes.inner.x + axes.inner.width {
                scene.text([x, y - 4.0], Anchor::Middle, Ink::Faint, text);
                end = x + half + 4.0;
            }
        }
    }

    fn legend(&self, scene: &mut Scene, words: &Words, frame: Rect) {
        let mut x = frame.x + 44.0;
        for curve in &self.curves {
            let text = words.get(curve.key);
            scene.line(&[[x, frame.y + 9.0], [x + 22.0, frame.y + 9.0]], curve.pen, 1.0);
            scene.text([x + 28.0, frame.y + 13.0], Anchor::Start, Ink::Text, text);
            x += 44.0 + text_width(text);
        }
    }

    fn cursor(&self, scene: &mut Scene, axes: &Axes) {
        let x = self.along(self.state.time);
        if !(axes.x[0]..=axes.x[1]).contains(&x) {
            return;
        }
        let pen = Stroke { ink: Ink::Text, width: 1.25, dash: Dash::Solid };
        scene.line(&[axes.spot(x, axes.y[0]), axes.spot(x, axes.y[1])], pen, 1.0);
        for (key, value) in self.reading() {
            let fill = self.curves.iter().find(|curve| curve.key == key).map(|curve| curve.pen.ink);
            scene.circle(axes.spot(x, value), 4.5, Some(pen), fill, None);
        }
    }
}

const ARMS: Stroke = Stroke { ink: Ink::Student, width: 2.5, dash: Dash::Short };

/// Hand speed between the samples around a time, m/s.
fn speed(figure: &Figure, time_s: f64) -> f64 {
    let (index, part) = locate(&figure.time_s, time_s);
    let near = index + usize::from(part >= 0.5);
    let (before, after) = (near.saturating_sub(1), (near + 1).min(figure.time_s.len().saturating_sub(1)));
    let (a, b) = (Figure::point(&figure.hands, before), Figure::point(&figure.hands, after));
    let times = figure.time_s.get(before).zip(figure.time_s.get(after));
    match times {
        Some((from, to)) if to > from && !is_gap(&a) && !is_gap(&b) => super::build::distance(&a, &b) / (to - from),
        _ => f64::NAN,
    }
}

/// From numbers to spots.
struct Axes {
    inner: Rect,
    x: [f64; 2],
    y: [f64; 2],
}

impl Axes {
    fn spot(&self, x: f64, y: f64) -> [f64; 2] {
        let share = |value: f64, [low, high]: [f64; 2]| (value - low) / (high - low).max(1e-9);
        [
            self.inner.x + share(x, self.x) * self.inner.width,
            self.inner.y + (1.0 - share(y, self.y)) * self.inner.height,
        ]
    }

    fn draw(&self, scene: &mut Scene, words: &Words) {
        let mark = words.get("picture.decimal");
        let (left, foot) = (self.inner.x, self.inner.y + self.inner.height);
        for (value, text) in ticks(self.y, self.inner.height / 36.0, mark) {
            let [_, y] = self.spot(self.x[0], value);
            scene.line(&[[left, y], [left + self.inner.width, y]], THIN, if value == 0.0 { 1.0 } else { 0.35 });
            scene.text([left - 6.0, y + 4.0], Anchor::End, Ink::Faint, text);
        }
        for (value, text) in ticks(self.x, self.inner.width / 70.0, mark) {
            let [x, _] = self.spot(value, self.y[0]);
            scene.line(&[[x, foot], [x, foot + 4.0]], THIN, 1.0);
            scene.text([x, foot + 17.0], Anchor::Middle, Ink::Faint, text);
        }
    }
}

/// Round numbers in a range, about `most` of them, with their text.
fn ticks([low, high]: [f64; 2], most: f64, decimal_mark: &str) -> Vec<(f64, String)> {
    const STEPS: [f64; 13] = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0];
    let wanted = (high - low) / most.max(1.0);
    let step = STEPS.into_iter().find(|step| *step >= wanted).unwrap_or(5000.0);
    let (first, last) = ((low / step).ceil() as i64, (high / step).floor() as i64);
    let text = |value: f64| {
        let text = crate::decimal::fixed(value, u32::from(step < 1.0)).replace('.', decimal_mark);
        text.replace('-', "−")
    };
    (first..=last.min(first + 50)).map(|i| (i as f64 * step, text(i as f64 * step))).collect()
}

#[cfg(test)]
mod tests {
    use super::super::Mark;
    use super::*;

    /// Out at 2 m/s after a second of rest; the top at 1 s.
    fn figure(late_s: f64) -> Figure {
        let time_s: Vec<f64> = (0..=40).map(|i| f64::from(i) * 0.05).collect();
        let hands = time_s.iter().flat_map(|t| [(t - 1.0 - late_s).max(0.0) * 2.0, 0.0, 1.0]).collect();
        let marks = vec![Mark::new("top", 1.0)];
        Figure { time_s, hands, marks, shares: vec![1.0, 0.0, 0.0, 1.5, -0.1, 0.3], ..Figure::default() }
    }

    fn picture() -> Picture {
        let mut reference = figure(0.1);
        reference.matched_s = reference.time_s.iter().map(|t| t - 0.02 * (t - 1.0).max(0.0)).collect();
        Picture { student: figure(0.0), references: vec![reference], ..Picture::default() }
    }

    fn read(quantity: Quantity, time: f64) -> Vec<f64> {
        let (picture, state) = (picture(), ViewState { time, ..ViewState::default() });
        Plot::new(&picture, &state, quantity, None).reading().into_iter().map(|(_, value)| value).collect()
    }

    #[test]
    fn the_cursor_reads_what_the_curves_show() {
        let close = |found: Vec<f64>, expected: &[f64]| {
            assert!(found.len() == expected.len(), "{found:?}");
            assert!(found.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-9), "{found:?}");
        };
        // The reference is matched to 1.49 s, and started 0.1 s later.
        close(read(Quantity::Place(0), 1.5), &[100.0, 78.0]);
        close(read(Quantity::Speed, 1.5), &[2.0, 2.0]);
        close(read(Quantity::Lateness, 1.5), &[10.0]);
        close(read(Quantity::Shares, 1.25), &[15.0, -5.0]);
        close(read(Quantity::Shares, 0.5), &[]);
    }

    #[test]
    fn a_spot_and_its_time_belong_together() {
        let (picture, state) = (picture(), ViewState { time: 1.3, ..ViewState::default() });
        let lengths = Lengths::new(&picture.student);
        let frame = Rect::sized(600.0, 240.0);
        for over in [None, Some(&lengths)] {
            let plot = Plot::new(&picture, &state, Quantity::Speed, over);
            let [x, _] = plot.axes(frame).spot(plot.along(1.3), 0.0);
            assert!((plot.time_at(x, frame) - 1.3).abs() < 1e-9);
            assert!((plot.time_at(-50.0, frame) - plot.time_at(0.0, frame)).abs() < 1e-12);
        }
    }

    #[test]
    fn nothing_to_draw_is_said() {
        let (picture, state) = (Picture::default(), ViewState::default());
        let scene =
            Plot::new(&picture, &state, Quantity::Lateness, None).draw(&Words::default(), Rect::sized(300.0, 200.0));
        assert!(scene.to_string().contains("picture.no_curve"), "{scene}");
    }
}
