//! What comes before and after the picture: intake, set-up, balls, ruling out, practice, the next lesson, house presets.
//!
//! | part | takes | gives |
//! | --- | --- | --- |
//! | [`intake`] | what the student says of themselves | what comes first, what is not offered |
//! | [`cautions`] | a place of the page | what is shown there |
//! | [`setup`] | a still capture with two markers on the target line | the target line of the session |
//! | [`ball`] | start, curve, strike, numbers of a launch measurement | the flight, and what contradicts itself |
//! | [`captures`] | the captures of a session | how many are still asked for, which to hold against which |
//! | [`rule_out`] | what was looked at | aim, ball position, face, strike, hand path, in this order |
//! | [`plan`], [`practice`] | a plan and a log of taps | climb, stay, step down, and why |
//! | [`copy`] | two figures of the picture | the path to copy, drawn for paper |
//! | [`intervals`] | counts | shares with small-number intervals |
//! | [`next`] | two lessons | what changed, and what follows from it |
//! | [`presets`], [`fingerprint`] | a house's settings | the same numbers for every coach of it |
//!
//! Plain data in and out, no browser, no clock: times are texts that the caller writes (ISO 8601), and are only passed
//! on. **Words of ball flight are those of the trade** (pull, push, draw, hook ...), which mean the same for both
//! hands. Signed angles come as a launch measurement writes them, positive to the right of the target; they are turned
//! once where they come in ([`ball`]), so that inside positive means "to the push side" for either hand.
//!
//! Defaults without a publication behind them are common practice or working assumptions, as each says.

pub mod ball;
pub mod captures;
pub mod cautions;
pub mod copy;
pub mod fingerprint;
pub mod intake;
pub mod intervals;
pub mod next;
pub mod plan;
pub mod practice;
pub mod presets;
pub mod rule_out;
pub mod setup;
mod take;
#[cfg(test)]
mod tests;
