/// Places before the first and after the last point that vectors may read.
pub(crate) const PAD: usize = 12;

/// What stands there: so far away from all points, and forwards from backwards, that no path goes there, and not so far
/// that squares overflow.
const FAR: f32 = 1e18;

/// A curve of points, axis by axis, forwards and backwards: along an anti-diagonal one index falls while the other rises.
#[derive(Clone, Debug, Default)]
pub struct Curve {
    len: usize,
    forwards: [Vec<f32>; 3],
    backwards: [Vec<f32>; 3],
}

impl Curve {
    /// Rounds points to single precision, as they lie from an origin: choose it near both curves that are to be warped.
    /// Coordinates have to be finite.
    pub fn new(points: &[[f64; 3]], origin: &[f64; 3]) -> Curve {
        let axis = |axis: usize| {
            let mut row = vec![FAR; points.len() + 2 * PAD];
            let points = points.iter().map(|point| (point[axis] - origin[axis]) as f32);
            row.iter_mut().skip(PAD).zip(points).for_each(|(place, x)| *place = x);
            row
        };
        let forwards = [axis(0), axis(1), axis(2)];
        let backwards = forwards.clone().map(|mut row| {
            row.reverse();
            let last = row.len() - PAD;
            row[..PAD].fill(-FAR);
            row[last..].fill(-FAR);
            row
        });
        Curve { len: points.len(), forwards, backwards }
    }

    /// How many points.
    pub fn len(&self) -> usize {
        self.len
    }

    /// Without points?
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// The axes from a point on.
    pub(crate) fn from(&self, i: isize, count: usize) -> [&[f32]; 3] {
        let at = (i + PAD as isize) as usize;
        [0, 1, 2].map(|axis| &self.forwards[axis][at..at + count])
    }

    /// The axes from a point on, towards the first.
    pub(crate) fn back_from(&self, j: isize, count: usize) -> [&[f32]; 3] {
        let at = (self.len as isize - 1 - j + PAD as isize) as usize;
        [0, 1, 2].map(|axis| &self.backwards[axis][at..at + count])
    }

    /// The square of the distance of two points, added up in the order of the lanes.
    pub(crate) fn apart(&self, i: isize, other: &Curve, j: isize) -> f32 {
        let at = |curve: &Curve, axis: usize, i: isize| curve.forwards[axis][(i + PAD as isize) as usize];
        let [x, y, z] = [0, 1, 2].map(|axis| at(self, axis, i) - at(other, axis, j));
        x * x + y * y + z * z
    }
}
