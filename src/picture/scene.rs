//! The display list: one picture as plain data. Canvas and SVG are two painters of the same list.

use super::camera::{Rect, Spot};
use std::fmt;
use std::fmt::Write;

/// A colour by its job. The painter looks it up, so that light, dark and forced colours are settled last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// The student.
    Student,
    /// The reference compared with.
    Reference,
    /// Another reference.
    Other,
    /// Floor, grid, scale bar, axes.
    Ground,
    /// Ball line and target line.
    Line,
    /// Ball.
    Ball,
    /// Words and numbers.
    Text,
    /// Words of lesser weight.
    Faint,
    /// The page behind the picture: rim of words and marks.
    Page,
}

impl Ink {
    /// All, in the order of a painter's palette.
    pub const ALL: [Ink; 9] =
        [Ink::Student, Ink::Reference, Ink::Other, Ink::Ground, Ink::Line, Ink::Ball, Ink::Text, Ink::Faint, Ink::Page];

    /// Name, as in the style sheet's `--hp-<name>` and in the classes of an SVG file.
    pub fn name(self) -> &'static str {
        match self {
            Ink::Student => "student",
            Ink::Reference => "reference",
            Ink::Other => "other",
            Ink::Ground => "ground",
            Ink::Line => "line",
            Ink::Ball => "ball",
            Ink::Text => "text",
            Ink::Faint => "faint",
            Ink::Page => "page",
        }
    }
}

/// Dash patterns. They tell swings apart where colour cannot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dash {
    /// Unbroken.
    Solid,
    /// Long dashes.
    Long,
    /// Short dashes.
    Short,
    /// Dash and dot.
    DashDot,
}

impl Dash {
    /// Drawn and open lengths, CSS pixels; empty for an unbroken line.
    pub fn lengths(self) -> &'static [f64] {
        match self {
            Dash::Solid => &[],
            Dash::Long => &[9.0, 4.0],
            Dash::Short => &[3.0, 4.0],
            Dash::DashDot => &[8.0, 3.0, 2.0, 3.0],
        }
    }
}

/// A pen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Colour.
    pub ink: Ink,
    /// Width, CSS pixels.
    pub width: f64,
    /// Dash pattern.
    pub dash: Dash,
}

/// Where a text stands against its spot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Starts at the spot.
    Start,
    /// Centred on it.
    Middle,
    /// Ends at it.
    End,
}

impl Anchor {
    /// `start`, `middle` or `end`, as SVG has it.
    pub fn name(self) -> &'static str {
        match self {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        }
    }
}

/// A form on the screen.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Connected straight lines.
    Polyline(Vec<Spot>),
    /// A filled outline.
    Polygon(Vec<Spot>),
    /// A disc.
    Circle(Spot, f64),
    /// One line of text; the spot is on its base line.
    Text {
        /// Place.
        at: Spot,
        /// Side.
        anchor: Anchor,
        /// Font size, CSS pixels.
        size: f64,
        /// Heavier type.
        bold: bool,
        /// What it says.
        text: String,
    },
}

/// What a pointer finds at an item.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tag {
    /// An instant: figure (0 the student, 1 the first reference, ...) and index among its marks.
    Instant {
        /// Figure.
        figure: usize,
        /// Mark.
        mark: usize,
    },
    /// A track of the file, by index.
    Track(usize),
}

/// One entry of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Form.
    pub shape: Shape,
    /// Pen, if its outline is drawn.
    pub stroke: Option<Stroke>,
    /// Colour, if it is filled. A text is filled.
    pub fill: Option<Ink>,
    /// 0 to 1.
    pub opacity: f64,
    /// What a pointer finds here.
    pub tag: Option<Tag>,
}

/// A picture: items in the order they are painted, later ones on top.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scene {
    /// Width, CSS pixels.
    pub width: f64,
    /// Height, CSS pixels.
    pub height: f64,
    /// Items.
    pub items: Vec<Item>,
}

impl Scene {
    /// An empty picture.
    pub fn new(frame: Rect) -> Self {
        Scene { width: frame.width, height: frame.height, items: Vec::new() }
    }

    /// Adds a line; gaps (NaN) break it.
    pub fn line(&mut self, spots: &[Spot], stroke: Stroke, opacity: f64) {
        for run in spots.split(|spot| !(spot[0] + spot[1]).is_finite()).filter(|run| run.len() > 1) {
            self.push(Shape::Polyline(run.to_vec()), Some(stroke), None, opacity, None);
        }
    }

    /// Adds a disc, unless its centre is a gap.
    pub fn circle(&mut self, at: Spot, radius: f64, stroke: Option<Stroke>, fill: Option<Ink>, tag: Option<Tag>) {
        if (at[0] + at[1]).is_finite() {
            self.push(Shape::Circle(at, radius), stroke, fill, 1.0, tag);
        }
    }

    /// Adds a filled outline.
    pub fn polygon(&mut self, spots: Vec<Spot>, fill: Ink) {
        self.area(spots, fill, 1.0);
    }

    /// Adds a filled outline that lets through what lies under it; with a gap there is none.
    pub fn area(&mut self, spots: Vec<Spot>, fill: Ink, opacity: f64) {
        if spots.iter().flatten().all(|x| x.is_finite()) {
            self.push(Shape::Polygon(spots), None, Some(fill), opacity, None);
        }
    }

    /// Adds a text.
    pub fn text(&mut self, at: Spot, anchor: Anchor, ink: Ink, text: impl Into<String>) {
        self.words(at, anchor, ink, TEXT_PX, false, text.into());
    }

    /// Adds a heavier text.
    pub fn bold(&mut self, at: Spot, anchor: Anchor, ink: Ink, text: impl Into<String>) {
        self.words(at, anchor, ink, TEXT_PX, true, text.into());
    }

    fn words(&mut self, at: Spot, anchor: Anchor, ink: Ink, size: f64, bold: bool, text: String) {
        if (at[0] + at[1]).is_finite() {
            self.push(Shape::Text { at, anchor, size, bold, text }, None, Some(ink), 1.0, None);
        }
    }

    /// Adds a line from `from` to `to` with a solid head at `to`.
    pub fn arrow(&mut self, from: Spot, to: Spot, stroke: Stroke) {
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let length = dx.hypot(dy);
        if length.is_nan() || length < 1.0 {
            return;
        }
        let head = (length * 0.6).min(4.0 + 2.0 * stroke.width);
        let (ux, uy) = (dx / length, dy / length);
        let base = [to[0] - ux * head, to[1] - uy * head];
        let side = head * 0.45;
        self.line(&[from, base], stroke, 1.0);
        let corners = vec![to, [base[0] - uy * side, base[1] + ux * side], [base[0] + uy * side, base[1] - ux * side]];
        self.polygon(corners, stroke.ink);
    }

    fn push(&mut self, shape: Shape, stroke: Option<Stroke>, fill: Option<Ink>, opacity: f64, tag: Option<Tag>) {
        self.items.push(Item { shape, stroke, fill, opacity, tag });
    }

    /// The tagged disc nearest to a spot, within `reach` CSS pixels of its rim.
    pub fn hit(&self, spot: Spot, reach: f64) -> Option<Tag> {
        let near = self.items.iter().rev().filter_map(|item| match (&item.shape, item.tag) {
            (Shape::Circle(at, radius), Some(tag)) => Some(((at[0] - spot[0]).hypot(at[1] - spot[1]) - radius, tag)),
            _ => None,
        });
        near.filter(|(distance, _)| *distance <= reach).min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, tag)| tag)
    }
}

/// Size of words and numbers, CSS pixels.
pub const TEXT_PX: f64 = 12.0;

/// Width of a text, estimated: painters have fonts of their own, and the list must not depend on them.
pub fn text_width(text: &str) -> f64 {
    text.chars().count() as f64 * TEXT_PX * 0.58
}

/// The list as text, one item a line, lengths with one decimal: for tests and for reading.
impl fmt::Display for Scene {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "scene {:.1} x {:.1}", self.width, self.height)?;
        self.items.iter().try_for_each(|item| writeln!(f, "{item}"))
    }
}

impl fmt::Display for Item {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.shape {
            Shape::Polyline(spots) => write!(f, "line {}", joined(spots))?,
            Shape::Polygon(spots) => write!(f, "area {}", joined(spots))?,
            Shape::Circle([x, y], radius) => write!(f, "disc {x:.1},{y:.1} r{radius:.1}")?,
            Shape::Text { at: [x, y], anchor, text, bold, .. } => {
                let weight = if *bold { " bold" } else { "" };
                write!(f, "text {x:.1},{y:.1} {}{weight} {text:?}", anchor.name())?;
            }
        }
        if let Some(Stroke { ink, width, dash }) = self.stroke {
            write!(f, " | pen {} {width:.1} {dash:?}", ink.name())?;
        }
        if let Some(ink) = self.fill {
            write!(f, " | fill {}", ink.name())?;
        }
        if self.opacity < 1.0 {
            write!(f, " | opacity {:.2}", self.opacity)?;
        }
        match self.tag {
            Some(tag) => write!(f, " | {tag:?}"),
            None => Ok(()),
        }
    }
}

fn joined(spots: &[Spot]) -> String {
    spots.iter().fold(String::new(), |mut text, [x, y]| {
        let space = if text.is_empty() { "" } else { " " };
        let _ = write!(text, "{space}{x:.1},{y:.1}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const PEN: Stroke = Stroke { ink: Ink::Student, width: 2.0, dash: Dash::Solid };

    #[test]
    fn a_gap_breaks_a_line() {
        let mut scene = Scene::default();
        let gap = [f64::NAN; 2];
        scene.line(&[[0.0, 0.0], [1.0, 0.0], gap, [2.0, 0.0], gap, [3.0, 0.0], [4.0, 0.0]], PEN, 1.0);
        assert_eq!(scene.items.len(), 2);
    }

    #[test]
    fn the_nearest_tag_wins_and_far_is_nothing() {
        let mut scene = Scene::default();
        scene.circle([10.0, 10.0], 3.0, None, Some(Ink::Student), Some(Tag::Track(0)));
        scene.circle([20.0, 10.0], 3.0, None, Some(Ink::Student), Some(Tag::Track(1)));
        assert_eq!(scene.hit([16.0, 10.0], 8.0), Some(Tag::Track(1)));
        assert_eq!(scene.hit([13.0, 10.0], 8.0), Some(Tag::Track(0)));
        assert_eq!(scene.hit([60.0, 10.0], 8.0), None);
    }

    #[test]
    fn an_arrow_ends_at_its_tip_and_a_gap_draws_nothing() {
        let mut scene = Scene::default();
        scene.arrow([0.0, 0.0], [30.0, 0.0], PEN);
        assert!(matches!(&scene.items[1].shape, Shape::Polygon(corners) if corners[0] == [30.0, 0.0]));
        scene.arrow([0.0, 0.0], [f64::NAN, 0.0], PEN);
        assert_eq!(scene.items.len(), 2);
    }
}
