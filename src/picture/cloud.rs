//! Every point of a file, named or not, to be given its role by a click.

use super::camera::{Camera, Orbit, Rect};
use super::data::Figure;
use super::labels::{Label, Placer};
use super::scene::{Dash, Ink, Scene, Stroke, Tag};
use crate::formats::{Point, Recording, is_gap};

/// The tracks of one file, turned so that the third coordinate is up.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cloud {
    /// Track names.
    pub names: Vec<String>,
    /// Documented role per track; empty without one.
    pub roles: Vec<String>,
    /// Seconds from the file's first row.
    pub time_s: Vec<f64>,
    /// Per track, flat points in the file's unit.
    pub points: Vec<Vec<f64>>,
}

/// More rows than this are thinned: the cloud is for looking, not for measuring.
const MOST_ROWS: usize = 400;

impl Cloud {
    /// All tracks of a recording; `up` is the direction that is up, in file axes.
    pub fn new(recording: &Recording, up: Point) -> Self {
        let every = recording.rows().div_ceil(MOST_ROWS).max(1);
        let start = recording.clock_s.first().copied().unwrap_or(0.0);
        let turn = upright(up);
        let track = |points: &Vec<Point>| points.iter().step_by(every).flat_map(|point| turned(&turn, point)).collect();
        Cloud {
            names: recording.tracks.iter().map(|track| track.name.clone()).collect(),
            roles: vec![String::new(); recording.tracks.len()],
            time_s: recording.clock_s.iter().step_by(every).map(|clock| clock - start).collect(),
            points: recording.tracks.iter().map(|t| track(&t.points)).collect(),
        }
    }

    fn at(&self, track: usize, time_s: f64) -> Point {
        let (index, _) = super::data::locate(&self.time_s, time_s);
        self.points.get(track).map_or(crate::formats::GAP, |series| Figure::point(series, index))
    }
}

/// Rows of the turn that brings `up` to the third axis and keeps the hand of the axes.
fn upright(up: Point) -> [Point; 3] {
    let size = |p: &Point| p.iter().map(|x| x * x).sum::<f64>().sqrt();
    let z = up.map(|x| x / size(&up).max(1e-12));
    let smallest = (0..3).min_by(|a, b| z[*a].abs().total_cmp(&z[*b].abs())).unwrap_or(0);
    let mut seed = [0.0; 3];
    seed[smallest] = 1.0;
    let x = cross(&seed, &z);
    let x = x.map(|v| v / size(&x).max(1e-12));
    [x, cross(&z, &x), z]
}

fn cross(a: &Point, b: &Point) -> Point {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn turned(turn: &[Point; 3], point: &Point) -> Point {
    turn.map(|row| row[0] * point[0] + row[1] * point[1] + row[2] * point[2])
}

/// A direction of a cloud in file axes again; `up` is the one that the cloud was made with.
pub(crate) fn from_upright(up: Point, direction: Point) -> Point {
    let [x, y, z] = upright(up);
    [0, 1, 2].map(|axis| x[axis] * direction[0] + y[axis] * direction[1] + z[axis] * direction[2])
}

/// Draws the cloud at a time; `picked` is the track the user has chosen.
pub fn build(cloud: &Cloud, time_s: f64, orbit: Orbit, zoom: f64, picked: Option<usize>, frame: Rect) -> Scene {
    let mut scene = Scene::new(frame);
    let places: Vec<Point> = (0..cloud.names.len()).map(|track| cloud.at(track, time_s)).collect();
    let inner = frame.inset(40.0, 28.0, 40.0, 28.0);
    let camera = Camera::fit(orbit, false, places.iter(), inner, zoom);
    let spots: Vec<_> = places.iter().map(|point| camera.project(point)).collect();
    let mut placer = Placer::new(frame, spots.clone());
    placer.reserve(super::build::corner(&frame));
    for (track, spot) in spots.iter().enumerate().filter(|(track, _)| !is_gap(&places[*track])) {
        let known = cloud.roles.get(track).is_some_and(|role| !role.is_empty());
        let chosen = picked == Some(track);
        let rim = Stroke { ink: if chosen { Ink::Text } else { Ink::Faint }, width: 1.5, dash: Dash::Solid };
        let fill = if known { Ink::Student } else { Ink::Page };
        scene.circle(*spot, if chosen { 8.0 } else { 5.0 }, Some(rim), Some(fill), Some(Tag::Track(track)));
    }
    let order = picked.into_iter().chain((0..spots.len()).filter(|track| picked != Some(*track)));
    for track in order {
        let (Some(spot), Some(name)) = (spots.get(track), cloud.names.get(track)) else { continue };
        let bold = if picked == Some(track) { name.clone() } else { String::new() };
        let lines = if picked == Some(track) { vec![] } else { vec![name.clone()] };
        placer.place(&mut scene, &Label { spot: *spot, name: bold, lines, ink: Ink::Faint });
    }
    scene
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn up_becomes_the_third_axis_without_mirroring() {
        for up in [[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [-1.0, 0.0, 0.0], [0.0, 0.0, -1.0]] {
            let turn = upright(up);
            let [x, y, z] = turned(&turn, &up);
            assert!(x.abs() < 1e-12 && y.abs() < 1e-12 && (z - 1.0).abs() < 1e-12);
            let third = cross(&turn[0], &turn[1]);
            assert!((0..3).all(|i| (third[i] - turn[2][i]).abs() < 1e-12));
            let back = from_upright(up, turned(&turn, &[0.3, -0.5, 0.8]));
            assert!((0..3).all(|i| (back[i] - [0.3, -0.5, 0.8][i]).abs() < 1e-12));
        }
    }

    #[test]
    fn a_click_finds_the_track_and_a_gap_is_not_there() {
        let points = vec![vec![0.0, 0.0, 0.0], vec![1.0, 0.0, 1.0], vec![f64::NAN; 3]];
        let names = ["*0", "*1", "*2"].map(str::to_owned).to_vec();
        let cloud = Cloud { names, roles: vec![String::new(); 3], time_s: vec![0.0], points };
        let frame = Rect::sized(280.0, 256.0);
        let scene = build(&cloud, 0.0, Orbit { yaw: 0.0, pitch: 0.0 }, 1.0, None, frame);
        assert_eq!(scene.hit([41.0, 227.0], 6.0), Some(Tag::Track(0)));
        assert_eq!(scene.hit([239.0, 29.0], 6.0), Some(Tag::Track(1)));
        assert_eq!(scene.items.iter().filter(|item| item.tag.is_some()).count(), 2);
    }
}
