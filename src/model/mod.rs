//! A forward model of a golf swing: the source of the demo's data, and of truth in tests.
//!
//! [`ModelParams`] say what the player does; [`Motion`] lays it out as functions of time; [`sample()`] and
//! [`sample_skeleton`] look at it as a capture system would; [`Motion::truth`] and [`Motion::shares`] say what is true.
//!
//! **Given separately.** The trunk moves by its own functions (mid-hip, three angles of pelvis and thorax) and the arms
//! by theirs (the mid-hands in the thorax frame). The path of the hands `h = o + R r` follows, and with it, exactly, what
//! arms and body each contribute. The club's direction has its own functions too. All are sums of minimum-jerk steps:
//! twice continuously differentiable, with derivatives in closed form.
//!
//! **Fixed from outside.** At impact the club head passes through the ball's centre, for any parameters: hands and club
//! are brought exactly there. At the top and at address the hands are where the parameters want them, as far as the arm
//! reaches. Limbs are rigid: elbows and knees follow from the ends by two-bone inverse kinematics, so every bone keeps its
//! length, and a skeleton with three rotation channels a joint holds the swing without loss.
//!
//! **Left out.** Shoulder blades, a bending spine, wrists that bend between forearm and fist, skin (markers sit on joint
//! centres and landmarks), the shaft's bend, the shock of the strike. It is kinematics: no forces, and nothing it draws is
//! a norm. Numbers without a source beside them are choices that make a plausible swing.
//!
//! Frame: `[out, target, up]`, metres, origin on the floor midway between the ankles, a right-hander's. A left-hander is
//! mirrored when sampled. Time: seconds from the start of the model; a recording's clock starts with its window.
//!
//! ```
//! use handpath::model::{ModelParams, Motion, SampleOptions, sample};
//! use handpath::swing::InstantName;
//!
//! let params = ModelParams { throw_m: 0.08, ..ModelParams::default() };
//! let motion = Motion::new(&params);
//! let recording = sample(&motion, &params, &SampleOptions::default())?;
//! assert!(recording.track("LSHO").is_some());
//!
//! let instants = motion.truth(0).expect("one swing").instants;
//! let shares = motion.shares(instants[&InstantName::Top], instants[&InstantName::LeadArmLevel]);
//! assert!(shares.body.x > shares.arms.x);
//! # Ok::<(), handpath::model::OutOfReach>(())
//! ```

mod demo;
mod motion;
mod params;
mod pose;
mod presets;
mod sample;
mod skeleton;
mod smooth;
mod trial;
mod truth;

pub use demo::{DemoFile, demo_files};
pub use motion::{HEAD_BEHIND_BALL_M, Motion, Times, V};
pub use params::{Build, ModelParams};
pub use pose::{Arm, Leg, OutOfReach, Pose, Side};
pub use presets::{Kind, REFERENCES, reference, student};
pub use sample::{Missing, Naming, SampleOptions, sample};
pub use skeleton::sample_skeleton;
pub use trial::{SLIDERS, Slider, recorded, trial, trial_reference};
pub use truth::{Shares, Truth};
