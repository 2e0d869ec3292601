//! Less of a recording, for lessons that have to be small.

use crate::formats::{Recording, Track};
use crate::roles;
use crate::settings::{Corrections, TargetLine};

/// The recording with only those tracks that have a role, or mark the target line. A parent that is left out is replaced by
/// its own nearest parent that is not.
pub fn with_roles_only(recording: &Recording, corrections: &Corrections) -> Recording {
    let map = roles::assign(recording, &corrections.roles).unwrap_or_default();
    let roles: Vec<usize> = map.assigned.values().flat_map(|assignment| assignment.tracks.iter().copied()).collect();
    let marks = |name: &str| match &corrections.target {
        Some(TargetLine::Markers { near, far }) => name == near || name == far,
        _ => false,
    };
    let kept: Vec<bool> =
        recording.tracks.iter().enumerate().map(|(at, track)| roles.contains(&at) || marks(&track.name)).collect();
    if !kept.contains(&true) {
        return recording.clone();
    }
    let place = |at: usize| kept[..at].iter().filter(|kept| **kept).count();
    let ancestor = |track: &Track| {
        let above = std::iter::successors(track.parent, |at| recording.tracks.get(*at)?.parent);
        above.into_iter().find(|at| kept[*at]).map(place)
    };
    let tracks = recording.tracks.iter().enumerate().filter(|(at, _)| kept[*at]);
    let tracks = tracks.map(|(_, track)| Track { parent: ancestor(track), ..track.clone() }).collect();
    Recording {
        format: recording.format,
        rate_hz: recording.rate_hz,
        rate_source: recording.rate_source,
        first_row: recording.first_row,
        clock_s: recording.clock_s.clone(),
        tracks,
        up: recording.up,
        usual_up: recording.usual_up,
        events: recording.events.clone(),
        warnings: recording.warnings.clone(),
    }
}
