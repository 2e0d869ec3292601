//! Motion over time as a sum of minimum-jerk steps.

/// Minimum-jerk step from 0 (`u <= 0`) to 1 (`u >= 1`): `10 u^3 - 15 u^4 + 6 u^5` (Flash and Hogan 1985, from memory).
/// Twice continuously differentiable.
pub(super) fn step(u: f64) -> f64 {
    let u = u.clamp(0.0, 1.0);
    u * u * u * (10.0 + u * (6.0 * u - 15.0))
}

/// Slope of [`step`].
pub(super) fn step_slope(u: f64) -> f64 {
    let u = u.clamp(0.0, 1.0);
    30.0 * u * u * (1.0 - u) * (1.0 - u)
}

/// One step of a channel: `by` units between `from_s` and `to_s`.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Step {
    from_s: f64,
    to_s: f64,
    by: f64,
}

/// One scalar motion: a start value plus steps that may overlap, plus an optional slow sway. Value and derivative are
/// closed forms at any time.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Channel {
    start: f64,
    steps: Vec<Step>,
    /// Amplitude, angular frequency and phase of the sway.
    sway: [f64; 3],
}

impl Channel {
    /// Rest at a value.
    pub(super) fn at_rest(start: f64) -> Self {
        Channel { start, ..Channel::default() }
    }

    /// Adds `amplitude * sin(rate_rad_s * t + phase_rad)` for the whole recording.
    pub(super) fn with_sway(mut self, amplitude: f64, rate_rad_s: f64, phase_rad: f64) -> Self {
        self.sway = [amplitude, rate_rad_s, phase_rad];
        self
    }

    /// Value at a time, seconds.
    pub(super) fn value(&self, t_s: f64) -> f64 {
        let steps: f64 = self.steps.iter().map(|s| s.by * step((t_s - s.from_s) / (s.to_s - s.from_s))).sum();
        self.start + steps + self.sway[0] * (self.sway[1] * t_s + self.sway[2]).sin()
    }

    /// Derivative at a time, per second.
    pub(super) fn rate(&self, t_s: f64) -> f64 {
        let steps: f64 = self
            .steps
            .iter()
            .map(|s| s.by * step_slope((t_s - s.from_s) / (s.to_s - s.from_s)) / (s.to_s - s.from_s))
            .sum();
        steps + self.sway[0] * self.sway[1] * (self.sway[1] * t_s + self.sway[2]).cos()
    }

    /// Where the steps so far lead in the end (the sway left out).
    pub(super) fn end(&self) -> f64 {
        self.start + self.steps.iter().map(|s| s.by).sum::<f64>()
    }

    /// Adds a step of a given size.
    pub(super) fn by(&mut self, from_s: f64, to_s: f64, by: f64) {
        self.steps.push(Step { from_s, to_s, by });
    }

    /// Adds a step that ends at a value.
    pub(super) fn to(&mut self, from_s: f64, to_s: f64, value: f64) {
        self.by(from_s, to_s, value - self.end());
    }

    /// Adds a step that runs on after `at_s` and has brought the channel to `value` exactly then.
    pub(super) fn through(&mut self, from_s: f64, at_s: f64, to_s: f64, value: f64) {
        let share = step((at_s - from_s) / (to_s - from_s));
        self.by(from_s, to_s, (value - self.value(at_s)) / share);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_starts_and_ends_at_rest() {
        for (u, value, slope) in
            [(-1.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.5, 0.5, 1.875), (1.0, 1.0, 0.0), (2.0, 1.0, 0.0)]
        {
            assert!((step(u) - value).abs() < 1e-15 && (step_slope(u) - slope).abs() < 1e-15, "{u}");
        }
    }

    #[test]
    fn rate_is_the_derivative_of_value() {
        let mut channel = Channel::at_rest(3.0).with_sway(0.2, 5.0, 1.0);
        channel.by(0.0, 1.0, 2.0);
        channel.to(0.5, 2.0, -1.0);
        channel.through(0.7, 1.2, 3.0, 4.0);
        for k in 0..40 {
            let t = f64::from(k) * 0.09;
            let slope = (channel.value(t + 1e-6) - channel.value(t - 1e-6)) / 2e-6;
            assert!((slope - channel.rate(t)).abs() < 1e-6, "{t}");
        }
    }

    #[test]
    fn through_passes_the_value_and_to_ends_there() {
        let mut channel = Channel::at_rest(1.0);
        channel.to(0.0, 1.0, -2.0);
        channel.through(0.9, 1.25, 1.5, 0.5);
        assert!((channel.value(1.25) - 0.5).abs() < 1e-14);
        channel.to(1.25, 2.0, 7.0);
        assert!((channel.value(1.25) - 0.5).abs() < 1e-14 && (channel.value(9.0) - 7.0).abs() < 1e-14);
    }
}
