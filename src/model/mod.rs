//! A forward model of a golf swing: demo data, and truth for tests.
mod demo;
mod motion;
mod params;
mod pose;
mod presets;
mod sample;
mod skeleton;
mod smooth;
mod truth;

pub use demo::{DemoFile, demo_files};
pub use motion::{HEAD_BEHIND_BALL_M, Motion, Times, V};
pub use params::{Build, ModelParams};
pub use pose::{Arm, Leg, OutOfReach, Pose, Side};
pub use presets::{Kind, REFERENCES, reference, student};
pub use sample::{Missing, Naming, SampleOptions, sample};
pub use skeleton::sample_skeleton;
pub use truth::{Shares, Truth};
