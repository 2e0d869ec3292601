//! Orthographic cameras: metres in the body-relative frame to CSS pixels.
//!
//! World axes are `[out, target, up]`. Screen axes: x to the right, y **down**, CSS pixels, origin at the upper left of
//! the pane. Every view is a turn of one camera, given by two angles:
//!
//! | view | yaw | pitch | looks along | points right | points up |
//! | --- | --- | --- | --- | --- | --- |
//! | down the line | 0 | 0 | +target, from behind the player | out | up |
//! | face on | 90 | 0 | -out, from beyond the ball | target | up |
//! | overhead | 0 | 90 | -up, from above | out | target |
//! | free | any | -90 to 90 | | | |
//!
//! Yaw turns the camera about `up`, positive from down the line towards face on; pitch lifts it, positive upwards. A
//! left-hander's points are stored mirrored; `flip` mirrors the screen left to right, which shows the player as filmed.

use crate::formats::{Point, is_gap};
use nalgebra::{Matrix2x3, RowVector3, Vector3};

/// A place on the screen, CSS pixels.
pub type Spot = [f64; 2];

/// The views of the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// From behind the player along the target line.
    DownTheLine,
    /// From beyond the ball, facing the player.
    FaceOn,
    /// From above.
    Overhead,
    /// Turned by hand.
    Free,
}

/// Direction of the free camera, degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Orbit {
    /// About the vertical: 0 looks down the line, 90 face on.
    pub yaw: f64,
    /// Height of the camera: 0 level, 90 from above.
    pub pitch: f64,
}

impl Orbit {
    /// Where the free view starts: half way between down the line and face on, a little from above.
    pub const START: Orbit = Orbit { yaw: 40.0, pitch: 18.0 };
}

impl View {
    /// The angles of a view; a fixed view ignores `free`.
    pub fn orbit(self, free: Orbit) -> Orbit {
        match self {
            View::DownTheLine => Orbit { yaw: 0.0, pitch: 0.0 },
            View::FaceOn => Orbit { yaw: 90.0, pitch: 0.0 },
            View::Overhead => Orbit { yaw: 0.0, pitch: 90.0 },
            View::Free => Orbit { yaw: free.yaw, pitch: free.pitch.clamp(-90.0, 90.0) },
        }
    }
}

/// A rectangle on the screen, CSS pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Rect {
    /// From the upper left corner.
    pub fn sized(width: f64, height: f64) -> Self {
        Rect { x: 0.0, y: 0.0, width, height }
    }

    /// Smaller by these margins; never smaller than nothing.
    pub fn inset(self, left: f64, top: f64, right: f64, bottom: f64) -> Self {
        let width = (self.width - left - right).max(1.0);
        Rect { x: self.x + left, y: self.y + top, width, height: (self.height - top - bottom).max(1.0) }
    }

    /// Area shared with another rectangle.
    pub fn overlap(&self, other: &Rect) -> f64 {
        let width = (self.x + self.width).min(other.x + other.width) - self.x.max(other.x);
        let height = (self.y + self.height).min(other.y + other.height) - self.y.max(other.y);
        width.max(0.0) * height.max(0.0)
    }

    /// Is the spot inside?
    pub fn holds(&self, [x, y]: Spot) -> bool {
        (self.x..=self.x + self.width).contains(&x) && (self.y..=self.y + self.height).contains(&y)
    }

    /// Area that sticks out of another rectangle.
    pub fn outside(&self, frame: &Rect) -> f64 {
        self.width * self.height - self.overlap(frame)
    }
}

/// An orthographic camera with its scale.
#[derive(Clone, Debug, PartialEq)]
pub struct Camera {
    turn: Matrix2x3<f64>,
    shift: Spot,
    px_per_m: f64,
}

impl Camera {
    /// A camera in this direction that shows all of `points` (gaps are passed over) as large as `frame` allows, times
    /// `zoom` about its middle. Without a usable point it shows 2 m around the origin.
    pub fn fit<'a>(orbit: Orbit, flip: bool, points: impl Iterator<Item = &'a Point>, frame: Rect, zoom: f64) -> Self {
        let turn = turn(orbit, flip);
        let (low, high) = extent(points.filter(|p| !is_gap(p)).map(|p| turned(&turn, p)));
        let size = [(high[0] - low[0]).max(SMALLEST_M), (high[1] - low[1]).max(SMALLEST_M)];
        let px_per_m = (frame.width / size[0]).min(frame.height / size[1]) * zoom.clamp(0.2, 20.0);
        let middle = [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0];
        let shift =
            [frame.x + frame.width / 2.0 - middle[0] * px_per_m, frame.y + frame.height / 2.0 - middle[1] * px_per_m];
        Camera { turn, shift, px_per_m }
    }

    /// Where a point falls, CSS pixels. A gap falls nowhere (NaN).
    pub fn project(&self, point: &Point) -> Spot {
        let [x, y] = turned(&self.turn, point);
        [self.shift[0] + x * self.px_per_m, self.shift[1] + y * self.px_per_m]
    }

    /// CSS pixels per metre across the view.
    pub fn px_per_m(&self) -> f64 {
        self.px_per_m
    }

    /// A direction as it shows on the screen; length 1 where it lies across the view, 0 where it points at the viewer.
    pub fn direction(&self, direction: Point) -> Spot {
        turned(&self.turn, &direction)
    }
}

/// Nothing is magnified beyond this: a single point is shown in 30 cm of surroundings.
const SMALLEST_M: f64 = 0.3;

/// Rows: what points right and what points down on the screen.
fn turn(orbit: Orbit, flip: bool) -> Matrix2x3<f64> {
    let (sin_yaw, cos_yaw) = orbit.yaw.to_radians().sin_cos();
    let (sin_pitch, cos_pitch) = orbit.pitch.to_radians().sin_cos();
    let right = Vector3::new(cos_yaw, sin_yaw, 0.0);
    let look = Vector3::new(-sin_yaw * cos_pitch, cos_yaw * cos_pitch, -sin_pitch);
    let down = -right.cross(&look);
    let side: RowVector3<f64> = right.transpose() * if flip { -1.0 } else { 1.0 };
    Matrix2x3::from_rows(&[side, down.transpose()])
}

fn turned(turn: &Matrix2x3<f64>, point: &Point) -> Spot {
    let screen = turn * Vector3::from(*point);
    [screen.x, screen.y]
}

fn extent(spots: impl Iterator<Item = Spot>) -> (Spot, Spot) {
    let none = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    let (low, high) = spots
        .fold(none, |(low, high), s| ([low[0].min(s[0]), low[1].min(s[1])], [high[0].max(s[0]), high[1].max(s[1])]));
    if low[0].is_finite() { (low, high) } else { ([-1.0; 2], [1.0; 2]) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const OUT: Point = [1.0, 0.0, 0.0];
    const TARGET: Point = [0.0, 1.0, 0.0];
    const UP: Point = [0.0, 0.0, 1.0];

    fn camera(view: View, flip: bool) -> Camera {
        Camera::fit(view.orbit(Orbit::START), flip, [].iter(), Rect::sized(200.0, 200.0), 1.0)
    }

    fn close(a: Spot, b: Spot) {
        assert!((a[0] - b[0]).abs() < 1e-12 && (a[1] - b[1]).abs() < 1e-12, "{a:?} is not {b:?}");
    }

    #[test]
    fn the_table_of_views_holds() {
        let rows = [
            (View::DownTheLine, [OUT, TARGET, UP], [[1.0, 0.0], [0.0, 0.0], [0.0, -1.0]]),
            (View::FaceOn, [OUT, TARGET, UP], [[0.0, 0.0], [1.0, 0.0], [0.0, -1.0]]),
            (View::Overhead, [OUT, TARGET, UP], [[1.0, 0.0], [0.0, -1.0], [0.0, 0.0]]),
        ];
        for (view, axes, spots) in rows {
            for (axis, spot) in axes.into_iter().zip(spots) {
                close(camera(view, false).direction(axis), spot);
                close(camera(view, true).direction(axis), [-spot[0], spot[1]]);
            }
        }
    }

    #[test]
    fn a_turn_keeps_lengths_across_the_view() {
        let orbit = Orbit { yaw: 33.0, pitch: 21.0 };
        let rows = turn(orbit, false);
        let product = rows * rows.transpose();
        assert!((product - nalgebra::Matrix2::identity()).norm() < 1e-12);
    }

    #[test]
    fn everything_fits_in_the_frame() {
        let points = [[0.2, -0.4, 0.0], [0.9, 0.3, 1.8], [f64::NAN; 3], [0.5, 1.1, 1.0]];
        for view in [View::DownTheLine, View::FaceOn, View::Overhead, View::Free] {
            let frame = Rect::sized(300.0, 240.0).inset(20.0, 10.0, 20.0, 10.0);
            let camera = Camera::fit(view.orbit(Orbit::START), false, points.iter(), frame, 1.0);
            let grown = frame.inset(-1e-9, -1e-9, -1e-9, -1e-9);
            assert!(points.iter().filter(|p| !is_gap(p)).all(|p| grown.holds(camera.project(p))), "{view:?}");
        }
    }

    #[test]
    fn a_metre_up_rises_by_the_scale() {
        let camera = camera(View::DownTheLine, false);
        let rise = camera.project(&[0.0; 3])[1] - camera.project(&UP)[1];
        assert!((rise - camera.px_per_m()).abs() < 1e-9);
        assert!((camera.px_per_m() - 100.0).abs() < 1e-9);
    }
}
