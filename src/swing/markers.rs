use super::SwingError;
use crate::body::{Landmarks, Scale, UpGuess, guess_scale, guess_up, horizontal};
use crate::formats::{Point, Recording, is_gap};
use crate::roles::{self, Role, RoleMap};
use crate::settings::{Corrections, TargetLine};
use crate::signal::{DEFAULT_CUTOFF_HZ, Grid, LowPass, drop_spikes, fill_gaps, mean, noise_sd};
use crate::table::Table;
use crate::words::Message;
use nalgebra::Vector3;

/// Tracks that a collision stops: a filter would smear the jolt, so they stay as recorded.
const STRUCK: [Role; 4] = [Role::ClubHead, Role::Ball, Role::ShaftUpper, Role::ShaftLower];

/// The body points of a recording on one uniform clock, metres, file axes.
pub(super) struct Markers {
    pub(super) grid: Grid,
    pub(super) roles: RoleMap,
    pub(super) scale: Scale,
    pub(super) up: UpGuess,
    /// Short gaps closed, unfiltered.
    pub(super) raw: Table<Role, Vec<Point>>,
    /// Filtered, but for club and ball.
    pub(super) smooth: Table<Role, Vec<Point>>,
    /// Mid-hands, unfiltered and filtered.
    pub(super) hands_raw: Vec<Point>,
    pub(super) hands: Vec<Point>,
    /// Tracks that a stated target line names, on the grid, metres, not mirrored.
    pub(super) named: Table<String, Vec<Point>>,
    /// Which roles make the mid-hands.
    pub(super) hand_roles: Vec<Role>,
    /// 1 SD of noise of the mid-hands per coordinate, metres.
    pub(super) noise_m: f64,
    pub(super) cutoff_hz: f64,
    pub(super) warnings: Vec<Message>,
}

impl Markers {
    /// Roles, scale, clock, gaps and filter. `least_rows`: three for a movement, one for a still pose.
    pub(super) fn prepare(
        recording: &Recording,
        corrections: &Corrections,
        least_rows: usize,
    ) -> Result<Markers, SwingError> {
        let roles = roles::assign(recording, &corrections.roles).map_err(SwingError::Roles)?;
        let hand_roles = hand_roles(&roles, recording)?;
        let grid = Grid::of(recording, least_rows).map_err(SwingError::Clock)?;
        let units = in_file_units(recording, &roles, &grid);
        let pose = Landmarks::median_of(&units);
        let scale = guess_scale(recording, corrections, &units, travel(&units, &hand_roles));
        let metres_of = |role: &Role| scale.metres[roles.assigned[role].tracks[0]];
        let up = guess_up(recording, corrections, &pose);
        let mut raw: Table<Role, Vec<Point>> =
            units.iter().map(|(role, points)| (*role, scaled(points, metres_of(role)))).collect();
        let mut warnings = [recording.warnings.clone(), roles.warnings.clone(), grid.warnings.clone()].concat();
        warnings.extend(up.warning.clone());
        warnings.extend(close_gaps(&mut raw, &grid));
        let cutoff_hz = corrections.cutoff.unwrap_or(DEFAULT_CUTOFF_HZ);
        let filter = LowPass::new(cutoff_hz, grid.rate_hz);
        if filter.is_none() {
            warnings.push(Message::new("swing.not_filtered").with("cutoff", cutoff_hz).with("hz", grid.rate_hz));
        }
        let clean = |role: &Role, points: &Vec<Point>| match filter {
            Some(filter) if !STRUCK.contains(role) => filter.apply(points),
            _ => points.clone(),
        };
        let smooth: Table<Role, Vec<Point>> = raw.iter().map(|(role, p)| (*role, clean(role, p))).collect();
        let hands_raw = mid_hands(&raw, &hand_roles);
        let hands = match filter {
            Some(filter) => filter.apply(&hands_raw),
            None => hands_raw.clone(),
        };
        if hand_roles.len() == 1 && hand_roles[0] != Role::MidHands {
            warnings.push(Message::new("swing.one_hand").with("role", hand_roles[0].name()));
        }
        let named = target_tracks(recording, corrections, &grid, &scale);
        let noise_m = noise_sd(&hands_raw).unwrap_or(0.0);
        Ok(Markers {
            grid,
            roles,
            scale,
            up,
            raw,
            smooth,
            hands_raw,
            hands,
            named,
            hand_roles,
            noise_m,
            cutoff_hz,
            warnings,
        })
    }

    /// Up as a unit vector, file axes.
    pub(super) fn up_vector(&self) -> Vector3<f64> {
        Vector3::from(self.up.axis.unit())
    }

    /// Height of each point of a series, metres over the file's zero.
    pub(super) fn heights(&self, points: &[Point]) -> Vec<f64> {
        let up = self.up_vector();
        points.iter().map(|p| Vector3::from(*p).dot(&up)).collect()
    }

    /// From the right to the left ankle (else hip, else shoulder) per sample, without its vertical part.
    pub(super) fn stance_line(&self) -> Option<Vec<Point>> {
        let up = self.up_vector();
        let pairs = [
            (Role::RightAnkle, Role::LeftAnkle),
            (Role::RightHipJoint, Role::LeftHipJoint),
            (Role::RightHipBone, Role::LeftHipBone),
            (Role::RightShoulder, Role::LeftShoulder),
        ];
        let (right, left) = pairs.iter().find_map(|(a, b)| self.smooth.get(a).zip(self.smooth.get(b)))?;
        let line = |(a, b): (&Point, &Point)| horizontal(Vector3::from(*b) - Vector3::from(*a), up).into();
        Some(right.iter().zip(left).map(line).collect())
    }

    /// Negates the file axis `axis` of every series: a left-handed coordinate system becomes right-handed.
    pub(super) fn mirror(&mut self, axis: usize) {
        let all = self.raw.values_mut().chain(self.smooth.values_mut());
        for points in all.chain([&mut self.hands_raw, &mut self.hands]) {
            points.iter_mut().for_each(|p| p[axis] = -p[axis]);
        }
    }
}

/// Metres per file unit as [`super::analyse()`] takes it, also for a recording that holds no swing.
pub fn scale(recording: &Recording, corrections: &Corrections) -> Scale {
    let roles = roles::assign(recording, &corrections.roles).unwrap_or_default();
    let Ok(grid) = Grid::of(recording, 1) else {
        return guess_scale(recording, corrections, &Table::new(), None);
    };
    let units = in_file_units(recording, &roles, &grid);
    let travel = hand_roles(&roles, recording).ok().and_then(|hands| travel(&units, &hands));
    guess_scale(recording, corrections, &units, travel)
}

/// A better choice of hand roles is passed over when it is seen in less than this share of the rows of another.
const SEEN_ENOUGH: f64 = 0.5;

/// The mid-hands: the grip marker; both hands; both wrists; else the one hand or wrist that is there; the first of
/// them that is seen well enough.
fn hand_roles(roles: &RoleMap, recording: &Recording) -> Result<Vec<Role>, SwingError> {
    let choices: [&[Role]; 8] = [
        &[Role::MidHands],
        &[Role::LeftHand, Role::RightHand],
        &[Role::LeftWrist, Role::RightWrist],
        &[Role::LeftHand],
        &[Role::RightHand],
        &[Role::LeftWrist],
        &[Role::RightWrist],
        &[Role::ShaftUpper],
    ];
    let seen = |role: &Role| {
        let tracks = roles.assigned.get(role).map_or(&[][..], |assignment| &assignment.tracks);
        tracks.iter().map(|&track| recording.tracks[track].present()).min().unwrap_or(0)
    };
    let rows: Vec<usize> = choices.iter().map(|choice| choice.iter().map(seen).min().unwrap_or(0)).collect();
    // Both hands are worth more than one seen a little longer: only whole choices are weighed against each other.
    let most = rows[..3]
        .iter()
        .copied()
        .max()
        .filter(|most| *most > 0)
        .unwrap_or(rows[3..].iter().copied().max().unwrap_or(0));
    let enough = |count: usize| count > 0 && count as f64 >= SEEN_ENOUGH * most as f64;
    let found = choices.iter().zip(&rows).find(|(_, count)| enough(**count));
    found.map(|(choice, _)| choice.to_vec()).ok_or(SwingError::NoHands { tracks: recording.tracks.len() })
}

fn mid_hands(series: &Table<Role, Vec<Point>>, hand_roles: &[Role]) -> Vec<Point> {
    let parts: Vec<&[Point]> = hand_roles.iter().filter_map(|role| series.get(role).map(Vec::as_slice)).collect();
    mean(&parts)
}

/// Role series on the grid, in file units; tracks of one role that state different units are brought to the first's.
fn in_file_units(recording: &Recording, roles: &RoleMap, grid: &Grid) -> Table<Role, Vec<Point>> {
    let series = |assignment: &roles::Assignment| {
        let unit = |track: usize| recording.tracks[track].unit.map(|unit| unit.metres());
        let parts: Vec<Vec<Point>> = assignment
            .tracks
            .iter()
            .map(|&track| {
                let factor = unit(track).zip(unit(assignment.tracks[0])).map_or(1.0, |(this, first)| this / first);
                scaled(&grid.resample(&recording.tracks[track].points), factor)
            })
            .collect();
        mean(&parts.iter().map(Vec::as_slice).collect::<Vec<_>>())
    };
    roles.assigned.iter().map(|(role, assignment)| (*role, series(assignment))).collect()
}

fn target_tracks(
    recording: &Recording,
    corrections: &Corrections,
    grid: &Grid,
    scale: &Scale,
) -> Table<String, Vec<Point>> {
    let Some(TargetLine::Markers { near, far }) = &corrections.target else { return Table::new() };
    let track = |name: &String| {
        let index = recording.tracks.iter().position(|track| track.name == *name)?;
        Some((name.clone(), scaled(&grid.resample(&recording.tracks[index].points), scale.metres[index])))
    };
    [near, far].into_iter().filter_map(track).collect()
}

fn scaled(points: &[Point], factor: f64) -> Vec<Point> {
    points.iter().map(|p| p.map(|x| x * factor)).collect()
}

/// Diagonal of the box around the hands' path, in the series' unit.
fn travel(units: &Table<Role, Vec<Point>>, hand_roles: &[Role]) -> Option<f64> {
    let hands = mid_hands(units, hand_roles);
    let usable = || hands.iter().filter(|p| !is_gap(p));
    let extent = |axis: usize| {
        let (low, high) = usable().fold((f64::MAX, f64::MIN), |(low, high), p| (low.min(p[axis]), high.max(p[axis])));
        high - low
    };
    usable().next().map(|_| (0..3).map(|axis| extent(axis).powi(2)).sum::<f64>().sqrt())
}

/// Drops spikes and closes short gaps; tells how many, once for all points.
fn close_gaps(raw: &mut Table<Role, Vec<Point>>, grid: &Grid) -> Vec<Message> {
    let (mut spikes, mut filled) = (vec![], vec![]);
    for (role, points) in raw.iter_mut() {
        let dropped = if STRUCK.contains(role) { 0 } else { drop_spikes(points, grid.rate_hz) };
        spikes.extend((dropped > 0).then_some((*role, dropped)));
        let gaps = fill_gaps(points, grid.rate_hz);
        let samples = gaps.iter().map(|gap| gap.samples.len()).sum();
        filled.extend(gaps.first().map(|first| (*role, samples, first.samples.start)));
    }
    let names = |roles: &mut dyn Iterator<Item = Role>| roles.map(Role::name).collect::<Vec<_>>().join(", ");
    let mut told = vec![];
    if !spikes.is_empty() {
        let samples: usize = spikes.iter().map(|(_, dropped)| dropped).sum();
        let roles = names(&mut spikes.iter().map(|(role, _)| *role));
        told.push(Message::new("swing.spikes").with("samples", samples).with("roles", roles));
    }
    if let Some(first) = filled.iter().map(|(.., start)| *start).min() {
        let samples: usize = filled.iter().map(|(_, samples, _)| samples).sum();
        let roles = names(&mut filled.iter().map(|(role, ..)| *role));
        let row = grid.row[first];
        told.push(Message::new("swing.gaps_closed").with("samples", samples).with("row", row).with("roles", roles));
    }
    told
}
