use super::address::{self, Address, Calm};
use super::assemble::{Parts, assemble};
use super::coarse::{Downswing, Trace};
use super::markers::Markers;
use super::stance::{Mirror, Stance};
use super::{Swing, SwingError};
use crate::body::stature_in_units;
use crate::formats::Recording;
use crate::settings::Corrections;
use crate::signal::Curve;
use crate::words::Message;

/// From a recording to a swing: roles, scale, clock, cleaning, coarse instants, frame, refined instants.
///
/// `address`: a separate recording of the player standing still at address, from the same session and file axes.
///
/// # Errors
/// [`SwingError`] where there is no swing in the recording, or a correction does not fit it.
pub fn analyse(
    recording: &Recording,
    address: Option<&Recording>,
    corrections: &Corrections,
) -> Result<Swing, SwingError> {
    let mut markers = Markers::prepare(recording, corrections, 3)?;
    let separate = address.map(|file| separate_address(file, &mut markers, corrections)).transpose()?;
    let mut coarse = Coarse::find(&markers, corrections, separate.as_ref())?;
    let mirror = Mirror::guess(&markers, &coarse, corrections);
    mirror.apply(&mut markers, &mut coarse);
    let stance = Stance::of(&markers, &coarse, &mirror, corrections);
    Ok(assemble(Parts { recording, corrections, markers, coarse, mirror, stance }))
}

/// Bones of one player in two recordings that differ by more than this share are measured in different units.
const SAME_PLAYER: f64 = 0.15;

/// An address file shares roles and axes with the swing, and its scale: unless it states a unit of its own, or the
/// player would then be of another size than in the swing (a file of another format in another unit).
fn separate_address(file: &Recording, swing: &mut Markers, corrections: &Corrections) -> Result<Markers, SwingError> {
    let mut shared = corrections.clone();
    shared.up = Some(swing.up.axis);
    let known = |names: &Vec<String>| names.iter().all(|name| file.track(name).is_some());
    shared.roles.retain(|_, names| known(names));
    if file.stated_unit().is_none() {
        shared.scale = Some(swing.scale.metres_per_unit);
    }
    let prepare =
        |shared: &Corrections| Markers::prepare(file, shared, 1).map_err(|error| SwingError::Address(Box::new(error)));
    let address = prepare(&shared)?;
    let ratio = stature_in_units(&swing.smooth).zip(stature_in_units(&address.smooth)).map(|(a, b)| a / b);
    match ratio.filter(|ratio| ratio.is_finite() && ratio.ln().abs() > SAME_PLAYER) {
        Some(ratio) => {
            swing.warnings.push(Message::new("swing.address_scaled").with("factor", ratio));
            shared.scale = Some(address.scale.metres_per_unit * ratio);
            prepare(&shared)
        }
        None => Ok(address),
    }
}

/// Coarse instants of the chosen swing, and its address.
pub(super) struct Coarse {
    pub(super) swing: Downswing,
    /// Swings found in the recording, and which one this is (1-based).
    pub(super) found: usize,
    pub(super) number: usize,
    /// Times of earlier tops (pumps), seconds.
    pub(super) earlier_tops_s: Vec<f64>,
    /// End of this swing's stretch: the next swing's address, or the end of the recording. A sample index.
    pub(super) end: usize,
    pub(super) takeaway_s: Option<f64>,
    pub(super) takeaway_sd_s: f64,
    pub(super) address: Address,
    /// Does the recording begin with the hands near the ball?
    pub(super) starts_near_ball: bool,
}

impl Coarse {
    fn find(markers: &Markers, corrections: &Corrections, separate: Option<&Markers>) -> Result<Coarse, SwingError> {
        let grid = &markers.grid;
        let speed = Curve::new(grid, &markers.hands).speeds(&grid.time_s);
        let height = markers.heights(&markers.hands);
        let apart = address::hands_apart(markers);
        let stance = markers.stance_line();
        let trace = Trace {
            step_s: grid.step_s(),
            hands: &markers.hands,
            speed: &speed,
            height: &height,
            apart: apart.as_deref(),
            stance: stance.as_deref(),
        };
        let fastest = speed.iter().copied().filter(|v| !v.is_nan()).fold(0.0, f64::max);
        let swings = trace.downswings().map_err(|why| SwingError::rejected(why, fastest))?;
        let chosen = choose(&swings, &speed, corrections.swing)?;
        let swing = swings[chosen].clone();
        let from = if chosen == 0 { 0 } else { swings[chosen - 1].low };
        let calm = Calm::of(markers);
        let takeaway = calm.takeaway(&trace, &swing, from);
        let since = takeaway.map_or(from, |k| k as usize);
        let earlier = trace.earlier_tops(since, &swing);
        Ok(Coarse {
            found: swings.len(),
            number: chosen + 1,
            earlier_tops_s: earlier.into_iter().map(|k| grid.time_s[k]).collect(),
            end: swings.get(chosen + 1).map_or(grid.len(), |next| next.top),
            takeaway_s: takeaway.map(|k| k * grid.step_s()),
            takeaway_sd_s: takeaway_sd(&calm, takeaway, grid.step_s()),
            starts_near_ball: chosen == 0 && address::near_ball(&trace, &swing, 0),
            address: address::find(markers, &trace, &calm, &swing, from, separate),
            swing,
        })
    }
}

/// The swing asked for (1-based), else the fastest.
fn choose(swings: &[Downswing], speed: &[f64], asked: Option<usize>) -> Result<usize, SwingError> {
    match asked {
        Some(number) if number >= 1 && number <= swings.len() => Ok(number - 1),
        Some(asked) => Err(SwingError::SwingNumber { asked, found: swings.len() }),
        None => {
            let fastest = (0..swings.len()).max_by(|a, b| speed[swings[*a].peak].total_cmp(&speed[swings[*b].peak]));
            Ok(fastest.unwrap_or(0))
        }
    }
}

/// The takeaway is where a heavily filtered speed passes a threshold: filter and threshold blur it by about 20 ms.
fn takeaway_sd(calm: &Calm, takeaway: Option<f64>, step_s: f64) -> f64 {
    const BLUR_S: f64 = 0.02;
    let at = takeaway.unwrap_or(0.0) as usize;
    let rise = calm.speed.get(at + 1).zip(calm.speed.get(at)).map_or(0.0, |(b, a)| (b - a) / step_s);
    (0.25 * calm.still_m_s / rise.max(0.3)).hypot(BLUR_S)
}
