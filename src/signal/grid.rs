use super::spline::{End, Spline};
use super::{median, runs};
use crate::formats::{GAP, Point, Recording};
use crate::words::Message;
use std::fmt;

/// A file clock further than this from the uniform clock, in steps, is not rounding but a missing or odd row.
const ROUNDING_STEPS: f64 = 0.5;
/// A clock that stands still for longer than this between two rows starts another take; only one take is used.
const TAKE_BREAK_S: f64 = 2.0;
/// Bound on the samples of an uneven clock.
const MOST_SAMPLES_PER_ROW: f64 = 4.0;

/// The uniform clock of one take of a recording.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Sampling rate, Hz.
    pub rate_hz: f64,
    /// Seconds from the first usable sample, uniform.
    pub time_s: Vec<f64>,
    /// Nearest row of the recording, per sample.
    pub row: Vec<usize>,
    kind: Kind,
    /// What was odd about the clock.
    pub warnings: Vec<Message>,
}

#[derive(Clone, Debug, PartialEq)]
enum Kind {
    /// Sample k is row `first + k`.
    Rows { first: usize },
    /// Sample k is that row, or a gap.
    WithHoles(Vec<Option<usize>>),
    /// The clock is irregular: tracks are interpolated. Holds row range and clock.
    Irregular { first: usize, clock_s: Vec<f64> },
}

/// Why a recording has no usable clock.
#[derive(Clone, Debug, PartialEq)]
pub enum GridError {
    /// Fewer rows than a movement needs.
    TooFewRows {
        /// Rows found.
        rows: usize,
        /// Rows needed.
        needed: usize,
    },
}

impl GridError {
    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            GridError::TooFewRows { rows, needed } => {
                Message::new("signal.too_few_rows").with("rows", *rows).with("needed", *needed)
            }
        }
    }
}

impl fmt::Display for GridError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.message().fmt(f)
    }
}

impl std::error::Error for GridError {}

impl Grid {
    /// The uniform clock of a recording: its rows where they are evenly spaced, rows with holes where some are missing,
    /// an interpolated clock at the median step where the spacing is irregular.
    ///
    /// # Errors
    /// [`GridError::TooFewRows`] with fewer than `least_rows` rows: a still pose needs one, a movement three.
    pub fn of(recording: &Recording, least_rows: usize) -> Result<Grid, GridError> {
        let mut warnings = Vec::new();
        let (first, last) = longest_take(&recording.clock_s, &mut warnings);
        let clock = &recording.clock_s[first..last];
        if clock.len() < least_rows.max(1) {
            return Err(GridError::TooFewRows { rows: clock.len(), needed: least_rows });
        }
        if clock.len() == 1 {
            let step = recording.rate_hz.map_or(1.0, |rate| 1.0 / rate);
            return Ok(Grid::uniform(step, vec![first], Kind::Rows { first }, warnings));
        }
        let span = clock[clock.len() - 1] - clock[0];
        let even_step = span / (clock.len() - 1) as f64;
        if largest_offset(clock, even_step) < ROUNDING_STEPS * even_step {
            let kind = Kind::Rows { first };
            return Ok(Grid::uniform(even_step, (first..last).collect(), kind, warnings));
        }
        let usual_step = median(clock.windows(2).map(|pair| pair[1] - pair[0])).unwrap_or(even_step);
        // A clock that mixes tiny and large steps must not ask for more samples than a few times its rows.
        let step = usual_step.max(even_step / MOST_SAMPLES_PER_ROW);
        Ok(Grid::uneven(clock, step, first, warnings))
    }

    fn uniform(step_s: f64, row: Vec<usize>, kind: Kind, warnings: Vec<Message>) -> Grid {
        let time_s = (0..row.len()).map(|k| k as f64 * step_s).collect();
        Grid { rate_hz: 1.0 / step_s, time_s, row, kind, warnings }
    }

    fn uneven(clock: &[f64], step: f64, first: usize, mut warnings: Vec<Message>) -> Grid {
        let span = clock[clock.len() - 1] - clock[0];
        let samples = (span / step).round() as usize + 1;
        let mut holes = vec![None; samples];
        let mut nearest = vec![first; samples];
        let mut even = true;
        for (offset, t) in clock.iter().enumerate() {
            let exact = (t - clock[0]) / step;
            let k = (exact.round() as usize).min(samples - 1);
            even &= (exact - k as f64).abs() < ROUNDING_STEPS / 2.0 && holes[k].is_none();
            holes[k] = Some(first + offset);
        }
        let mut row = first;
        for (k, near) in nearest.iter_mut().enumerate() {
            row = holes[k].unwrap_or(row);
            *near = row;
        }
        let kind = if even {
            let missing = holes.iter().filter(|hole| hole.is_none()).count();
            warnings.push(Message::new("signal.rows_missing").with("rows", missing));
            Kind::WithHoles(holes)
        } else {
            warnings.push(Message::new("signal.clock_irregular").with("hz", 1.0 / step));
            Kind::Irregular { first, clock_s: clock.to_vec() }
        };
        Grid::uniform(step, nearest, kind, warnings)
    }

    /// Number of samples.
    pub fn len(&self) -> usize {
        self.time_s.len()
    }

    /// Is there no sample? (Never for a grid made by [`Grid::of`].)
    pub fn is_empty(&self) -> bool {
        self.time_s.is_empty()
    }

    /// Seconds between samples.
    pub fn step_s(&self) -> f64 {
        1.0 / self.rate_hz
    }

    /// A track, one point per sample of the grid.
    pub fn resample(&self, points: &[Point]) -> Vec<Point> {
        let at = |row: usize| points.get(row).copied().unwrap_or(GAP);
        match &self.kind {
            Kind::Rows { first } => (0..self.len()).map(|k| at(first + k)).collect(),
            Kind::WithHoles(holes) => holes.iter().map(|row| row.map_or(GAP, at)).collect(),
            Kind::Irregular { first, clock_s } => self.interpolate(&points[*first..*first + clock_s.len()], clock_s),
        }
    }

    fn interpolate(&self, points: &[Point], clock_s: &[f64]) -> Vec<Point> {
        let mut out = vec![GAP; self.len()];
        for run in runs(points) {
            let knots: Vec<f64> = clock_s[run.clone()].iter().map(|t| t - clock_s[0]).collect();
            let (from, to) = (knots[0], knots[knots.len() - 1]);
            let Some(spline) = Spline::fit(&knots, &points[run], End::NotAKnot) else { continue };
            for (t, point) in self.time_s.iter().zip(&mut out) {
                if (from..=to).contains(t) {
                    *point = spline.value(*t);
                }
            }
        }
        out
    }
}

/// Row range of the longest stretch without a break of the clock.
fn longest_take(clock: &[f64], warnings: &mut Vec<Message>) -> (usize, usize) {
    let mut takes = vec![];
    let mut start = 0;
    for row in 1..clock.len() {
        if clock[row] - clock[row - 1] > TAKE_BREAK_S {
            takes.push((start, row));
            start = row;
        }
    }
    takes.push((start, clock.len()));
    let best = takes.iter().copied().max_by_key(|(from, to)| to - from).unwrap_or((0, clock.len()));
    if takes.len() > 1 {
        warnings.push(
            Message::new("signal.several_takes")
                .with("takes", takes.len())
                .with("first", best.0)
                .with("last", best.1 - 1),
        );
    }
    best
}

fn largest_offset(clock: &[f64], step: f64) -> f64 {
    clock.iter().enumerate().map(|(k, t)| (t - clock[0] - k as f64 * step).abs()).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::{Format, RateSource, Track, is_gap};

    fn recording(clock_s: Vec<f64>) -> Recording {
        let points = clock_s.iter().map(|t| [*t, 2.0 * t, 1.0]).collect();
        Recording {
            format: Format::Text,
            rate_hz: None,
            rate_source: RateSource::TimeColumn,
            clock_s,
            tracks: vec![Track::marker("a", points)],
            up: None,
            usual_up: None,
            events: vec![],
            warnings: vec![],
            first_row: 0,
        }
    }

    #[test]
    fn rounded_time_stamps_are_an_even_clock() {
        let clock = (0..100).map(|k| (k as f64 / 240.0 * 1000.0).round() / 1000.0 + 5.0).collect();
        let grid = Grid::of(&recording(clock), 3).unwrap();
        assert!((grid.rate_hz - 240.0).abs() < 0.5, "{}", grid.rate_hz);
        assert_eq!((grid.len(), grid.row[99], grid.time_s[0]), (100, 99, 0.0));
        assert!(grid.warnings.is_empty());
    }

    #[test]
    fn a_missing_row_becomes_a_gap_and_is_told() {
        let clock = (0..100).filter(|k| !(40..45).contains(k)).map(|k| k as f64 * 0.01).collect();
        let rec = recording(clock);
        let grid = Grid::of(&rec, 3).unwrap();
        let points = grid.resample(&rec.tracks[0].points);
        assert_eq!((grid.len(), grid.row[46]), (100, 41));
        assert!(is_gap(&points[42]) && (points[50][0] - 0.5).abs() < 1e-12);
        assert_eq!(
            grid.warnings[0].to_string(),
            "5 rows are missing in the clock of the file; they are treated as gaps."
        );
    }

    #[test]
    fn an_irregular_clock_is_interpolated_and_told() {
        let clock = (0..100).map(|k| k as f64 * 0.01 + 0.004 * ((k * 7 % 5) as f64 - 2.0) / 2.0).collect();
        let mut rec = recording(clock);
        rec.clock_s.iter_mut().enumerate().for_each(|(k, t)| *t += 1e-4 * (k * k) as f64 / 10.0);
        rec.tracks[0].points = rec.clock_s.iter().map(|t| [*t, 2.0 * t, 1.0]).collect();
        let grid = Grid::of(&rec, 3).unwrap();
        let points = grid.resample(&rec.tracks[0].points);
        let t0 = rec.clock_s[0];
        assert!(points.iter().zip(&grid.time_s).all(|(p, t)| is_gap(p) || (p[0] - t - t0).abs() < 1e-9));
        assert_eq!(grid.warnings.len(), 1);
    }

    #[test]
    fn the_longest_take_is_used_and_told() {
        let clock = (0..30).map(|k| k as f64 * 0.01).chain((0..60).map(|k| 100.0 + k as f64 * 0.01)).collect();
        let grid = Grid::of(&recording(clock), 3).unwrap();
        assert_eq!((grid.len(), grid.row[0], grid.time_s[0]), (60, 30, 0.0));
        assert!(grid.warnings[0].to_string().contains("2 takes"), "{}", grid.warnings[0]);
    }

    #[test]
    fn one_row_is_enough_for_a_still_pose() {
        let grid = Grid::of(&recording(vec![7.0]), 1).unwrap();
        assert_eq!((grid.len(), grid.time_s[0], grid.row[0]), (1, 0.0, 0));
    }

    #[test]
    fn err_too_few_rows() {
        let error = Grid::of(&recording(vec![0.0, 0.1]), 3).unwrap_err();
        assert_eq!(
            error.to_string(),
            "The recording has 2 rows; a movement needs at least 3. Export the whole swing, not a single frame."
        );
    }
}
