//! Which track is which body point: guessed from usual marker-set and joint names, shown, correctable.

mod role;

pub use role::Role;

use crate::words::Message;
use serde::Serialize;
use std::collections::BTreeMap;

/// How a role came to its tracks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum RoleSource {
    /// Named by the user.
    #[serde(rename = "stated by the user")]
    User,
    /// A name of a usual marker set or skeleton.
    #[serde(rename = "track name")]
    Name,
}

/// The tracks that make one body point: the point is their mean, and a gap where one of them has a gap.
#[derive(Clone, Debug, PartialEq)]
pub struct Assignment {
    /// Indices into [`crate::formats::Recording::tracks`], at least one.
    pub tracks: Vec<usize>,
    /// Where it comes from.
    pub source: RoleSource,
}

/// Roles of one recording.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RoleMap {
    /// Tracks by role.
    pub assigned: BTreeMap<Role, Assignment>,
    /// What was odd: two subjects in one file, two tracks for one role, ...
    pub warnings: Vec<Message>,
}
