use crate::formats::{Point, is_gap};
use crate::roles::Role;
use crate::signal::median_point;
use crate::table::Table;
use nalgebra::Vector3;

/// One position per role, metres: a pose.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Landmarks(Table<Role, Point>);

/// So many samples give a median that is as good as all for a guess.
const ENOUGH: usize = 200;

impl Landmarks {
    /// The coordinate-wise median of each role's samples in `range`; roles without a sample there are absent.
    pub fn median_over(series: &Table<Role, Vec<Point>>, range: std::ops::Range<usize>) -> Landmarks {
        let pose = series.iter().filter_map(|(role, points)| {
            let part = points.get(range.start.min(points.len())..range.end.min(points.len()))?;
            Some((*role, median_point(part)?))
        });
        Landmarks(pose.collect())
    }

    /// The same over all samples, of which a long series has many more than a median needs: even parts of it.
    pub fn median_of(series: &Table<Role, Vec<Point>>) -> Landmarks {
        let pose = series.iter().filter_map(|(role, points)| {
            let some: Vec<Point> = points.iter().step_by(1 + points.len() / ENOUGH).copied().collect();
            Some((*role, median_point(&some)?))
        });
        Landmarks(pose.collect())
    }

    /// Sets or replaces a role.
    pub fn insert(&mut self, role: Role, point: Point) {
        if !is_gap(&point) {
            self.0.insert(role, point);
        }
    }

    /// Position of a role.
    pub fn get(&self, role: Role) -> Option<Vector3<f64>> {
        self.0.get(&role).map(|p| Vector3::from(*p))
    }

    /// Middle of two roles; `None` unless both are there.
    pub fn mid(&self, a: Role, b: Role) -> Option<Vector3<f64>> {
        Some((self.get(a)? + self.get(b)?) * 0.5)
    }

    /// From one role to another.
    pub fn between(&self, from: Role, to: Role) -> Option<Vector3<f64>> {
        Some(self.get(to)? - self.get(from)?)
    }

    /// Middle of the ankles.
    pub fn mid_ankles(&self) -> Option<Vector3<f64>> {
        self.mid(Role::LeftAnkle, Role::RightAnkle)
    }

    /// Middle of the shoulders.
    pub fn mid_shoulders(&self) -> Option<Vector3<f64>> {
        self.mid(Role::LeftShoulder, Role::RightShoulder)
    }

    /// Middle of the hips: joints, else the four hip bones, else the front two, else the middle itself.
    pub fn mid_hips(&self) -> Option<Vector3<f64>> {
        let front = self.mid(Role::LeftHipBone, Role::RightHipBone);
        let back = self.mid(Role::LeftHipBack, Role::RightHipBack);
        self.mid(Role::LeftHipJoint, Role::RightHipJoint)
            .or_else(|| Some((front? + back?) * 0.5))
            .or(front)
            .or_else(|| self.get(Role::MidHip))
    }

    /// Mid-hands: the grip marker, else the middle of hands or wrists, else the one there is.
    pub fn mid_hands(&self) -> Option<Vector3<f64>> {
        self.get(Role::MidHands)
            .or_else(|| self.mid(Role::LeftHand, Role::RightHand))
            .or_else(|| self.mid(Role::LeftWrist, Role::RightWrist))
            .or_else(|| {
                [Role::LeftHand, Role::RightHand, Role::LeftWrist, Role::RightWrist].iter().find_map(|r| self.get(*r))
            })
    }

    /// Every position negated along one file axis (0, 1 or 2).
    pub fn mirrored(&self, axis: usize) -> Landmarks {
        let flip = |p: &Point| {
            let mut q = *p;
            q[axis] = -q[axis];
            q
        };
        Landmarks(self.0.iter().map(|(role, p)| (*role, flip(p))).collect())
    }

    /// Every position times a factor.
    pub fn scaled(&self, factor: f64) -> Landmarks {
        Landmarks(self.0.iter().map(|(role, p)| (*role, p.map(|x| x * factor))).collect())
    }
}
