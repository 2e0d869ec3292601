//! One time per row: from a time column, from frame numbers and a rate, or from a rate alone.

use super::body::Body;
use super::columns::Plan;
use super::error::TextError;
use super::labels::TimeUnit;
use super::preamble::Facts;
use crate::decimal;
use crate::formats::{RateSource, ReadOptions};
use crate::letters::{is_of, trim_end};
use crate::order;
use crate::words::{Message, Place};

/// Times and rate of a recording.
#[derive(Debug)]
pub(super) struct Clock {
    pub(super) clock_s: Vec<f64>,
    pub(super) rate_hz: Option<f64>,
    pub(super) source: RateSource,
}

/// A stated rate within this share of the one in the time column is the same rate.
const SAME_RATE: f64 = 0.01;

/// Time stamps rounded to less than this share of a step do no harm.
const HARMLESS_ROUNDING: f64 = 0.02;

/// Rounding moves a time by half a unit; a fitted line may add a little.
const ROUNDING_SLACK: f64 = 0.75;

/// Steps this far from the median are told.
const UNEVEN: f64 = 0.1;

/// Makes the clock, and drops rows that have no time of their own.
///
/// # Errors
/// [`TextError::NoTime`], [`TextError::NoRows`], [`TextError::BadRate`] and [`TextError::TimeBackwards`].
pub(super) fn build(
    body: &mut Body,
    plan: &Plan,
    facts: &Facts,
    options: &ReadOptions,
    warnings: &mut Vec<Message>,
) -> Result<Clock, TextError> {
    let rate = rate(facts, options)?;
    split_frames(body, plan);
    if let Some(time) = plan.time
        && usable(&body.time)
    {
        match time_unit(body, time.unit.or(facts.time_unit), time.stamps, rate, warnings) {
            Some(unit) => return from_times(body, unit, time.stamps, facts.rate_hz.map(|(rate, _)| rate), warnings),
            None => body.frame = std::mem::take(&mut body.time),
        }
    }
    let Some((rate_hz, source)) = rate else { return Err(TextError::NoTime) };
    if usable(&body.frame) {
        return from_frames(body, plan, rate_hz, source, warnings);
    }
    if body.rows() == 0 {
        return Err(TextError::NoRows);
    }
    let clock_s = (0..body.rows()).map(|row| row as f64 / rate_hz).collect();
    Ok(Clock { clock_s, rate_hz: Some(rate_hz), source })
}

fn rate(facts: &Facts, options: &ReadOptions) -> Result<Option<(f64, RateSource)>, TextError> {
    if let Some(rate_hz) = options.rate_hz.filter(|rate| !rate.is_finite() || *rate <= 0.0) {
        return Err(TextError::BadRate { rate_hz });
    }
    let stated = facts.rate_hz.map(|(rate, _)| (rate, RateSource::Stated));
    Ok(stated.or(options.rate_hz.map(|rate| (rate, RateSource::User))))
}

/// Do at least half of the rows have a number here?
fn usable(list: &[f64]) -> bool {
    !list.is_empty() && 2 * list.iter().filter(|x| x.is_finite()).count() >= list.len()
}

/// "Frame, Sub Frame": sub-frames count within a frame.
fn split_frames(body: &mut Body, plan: &Plan) {
    let most = body.sub_frame.iter().copied().filter(|x| x.is_finite()).fold(0.0, f64::max);
    if plan.sub_frame.is_none() || most < 1.0 || body.frame.len() != body.sub_frame.len() {
        return;
    }
    for (frame, sub) in body.frame.iter_mut().zip(&body.sub_frame) {
        *frame += sub / (most + 1.0);
    }
}

/// The unit of a time column; `None` where it counts frames.
fn time_unit(
    body: &Body,
    stated: Option<TimeUnit>,
    stamps: bool,
    rate: Option<(f64, RateSource)>,
    warnings: &mut Vec<Message>,
) -> Option<TimeUnit> {
    if stamps {
        return Some(TimeUnit::Seconds);
    }
    let Some(step) = median(steps(&body.time).into_iter().filter(|step| *step > 0.0).collect()) else {
        return Some(stated.unwrap_or(TimeUnit::Seconds));
    };
    if let Some(unit) = stated {
        if unit.seconds(step) > 0.5 {
            warnings.push(Message::new("text.slow_clock").with("step", unit.seconds(step)));
        }
        return Some(unit);
    }
    let by_rate = rate.and_then(|(rate, _)| {
        use TimeUnit::{Microseconds, Milliseconds, Nanoseconds, Seconds};
        [Seconds, Milliseconds, Microseconds, Nanoseconds]
            .into_iter()
            .find(|unit| (0.5..2.0).contains(&(unit.seconds(step) * rate)))
    });
    if by_rate.is_none() && steps(&body.time).iter().all(|step| (step - 1.0).abs() < 1e-9) {
        return None;
    }
    // A swing is over in two seconds: steps of half a second are no seconds, and so on upwards.
    let by_step = match step {
        _ if step > 5e5 => TimeUnit::Nanoseconds,
        _ if step > 500.0 => TimeUnit::Microseconds,
        _ if step > 0.5 => TimeUnit::Milliseconds,
        _ => TimeUnit::Seconds,
    };
    let unit = by_rate.unwrap_or(by_step);
    if unit != TimeUnit::Seconds {
        warnings.push(Message::new("text.time_unit_guessed").with("unit", unit.symbol()).with("step", step));
    }
    Some(unit)
}

fn steps(list: &[f64]) -> Vec<f64> {
    list.windows(2).map(|pair| pair[1] - pair[0]).collect()
}

fn median(list: Vec<f64>) -> Option<f64> {
    let middle = list.len() / 2;
    order::nth(list.into_iter(), middle)
}

fn from_times(
    body: &mut Body,
    unit: TimeUnit,
    stamps: bool,
    stated: Option<f64>,
    warnings: &mut Vec<Message>,
) -> Result<Clock, TextError> {
    let marks: Vec<bool> = body.time.iter().map(|time| time.is_finite()).collect();
    drop_rows(body, &marks, "text.rows_without_time", warnings);
    if stamps {
        pass_midnight(&mut body.time);
    }
    refuse_backwards(&body.time, &body.lines)?;
    if usable(&body.frame) && body.frame.len() == body.time.len() {
        drop_rows(body, &new_ones(&body.frame, body.rows()), "text.repeated_times", warnings);
    }
    let quantum = unit.seconds(quantum(&body.time));
    let seconds: Vec<f64> = body.time.iter().map(|time| unit.seconds(*time)).collect();
    if let Some((clock_s, rate_hz)) = even_clock(&seconds, &body.frame, quantum, stated) {
        let message = Message::new("text.rounded_times").with("quantum", quantum * 1e3);
        warnings.push(message.with("rate", rate_hz));
        return Ok(chosen_rate(clock_s, Some(rate_hz), stated, warnings));
    }
    body.time = seconds;
    drop_rows(body, &new_ones(&body.time, body.rows()), "text.repeated_times", warnings);
    let clock_s = std::mem::take(&mut body.time);
    let rate_hz = rate_of(&clock_s, quantum, warnings);
    Ok(chosen_rate(clock_s, rate_hz, stated, warnings))
}

/// Times of day start again at midnight.
fn pass_midnight(times: &mut [f64]) {
    const DAY_S: f64 = 86_400.0;
    let mut days = 0.0;
    for at in 1..times.len() {
        let time = times[at] + days;
        if times[at - 1] - time > DAY_S / 2.0 {
            days += DAY_S;
        }
        times[at] += days;
    }
}

fn refuse_backwards(times: &[f64], lines: &[u64]) -> Result<(), TextError> {
    let Some(row) = steps(times).iter().position(|step| *step < 0.0).map(|at| at + 1) else { return Ok(()) };
    let line = lines.get(row).copied().unwrap_or(0);
    Err(TextError::TimeBackwards { line, row, before: times[row - 1], after: times[row] })
}

fn drop_rows(body: &mut Body, marks: &[bool], key: &'static str, warnings: &mut Vec<Message>) {
    let Some(first) = marks.iter().position(|mark| !mark) else { return };
    let line = body.lines.get(first).copied().unwrap_or(0);
    let dropped = body.keep(marks);
    let message = match key {
        "text.repeated_times" => Message::new("text.repeated_times"),
        _ => Message::new("text.rows_without_time"),
    };
    warnings.push(message.with("rows", dropped).at(Place::line(line)));
}

/// Steps shorter than this are none (seconds or frames): no camera counts in billionths, and the rate of a far smaller
/// step would be infinite.
const SHORTEST_STEP: f64 = 1e-9;

/// Marks all but the rows whose time or frame number is that of the row before.
fn new_ones(list: &[f64], rows: usize) -> Vec<bool> {
    let mut marks = vec![true; rows];
    for (mark, step) in marks.iter_mut().skip(1).zip(steps(list)) {
        *mark = step > SHORTEST_STEP || step.is_nan();
    }
    marks
}

/// The decimal unit that all times are whole multiples of; 0 where there is none down to a billionth.
fn quantum(times: &[f64]) -> f64 {
    let whole = |scale: f64| {
        times.iter().all(|time| {
            let scaled = time * scale;
            (scaled - scaled.round()).abs() <= 1e-12 * scaled.abs().max(1.0) * 10.0
        })
    };
    let scale = (0..=9).map(|digits| 10_f64.powi(digits)).find(|scale| whole(*scale));
    scale.map_or(0.0, |scale| 1.0 / scale)
}

/// Where rounding hides an even clock, that clock and its rate.
fn even_clock(seconds: &[f64], frames: &[f64], quantum: f64, stated: Option<f64>) -> Option<(Vec<f64>, f64)> {
    let count = seconds.len();
    let counting: Vec<f64> = match frames.len() == count && frames.windows(2).all(|pair| pair[1] > pair[0]) {
        true => frames.iter().map(|frame| frame - frames[0]).collect(),
        false => (0..count).map(|row| row as f64).collect(),
    };
    let (start, end) = (*seconds.first()?, *seconds.last()?);
    let slope = slope(&counting, seconds)?;
    let uneven = steps(seconds).iter().any(|step| (step - slope).abs() > HARMLESS_ROUNDING * slope);
    if slope <= SHORTEST_STEP || !uneven || quantum < HARMLESS_ROUNDING * slope || count < 3 {
        return None;
    }
    let rate_hz = neat_rate(1.0 / slope, quantum / (end - start), stated);
    let shift = seconds.iter().zip(&counting).map(|(time, k)| time - k / rate_hz).sum::<f64>() / count as f64;
    let misfit = seconds.iter().zip(&counting).map(|(time, k)| (time - k / rate_hz - shift).abs()).fold(0.0, f64::max);
    if misfit > ROUNDING_SLACK * quantum {
        return None;
    }
    Some((counting.iter().map(|k| start + k / rate_hz).collect(), rate_hz))
}

/// Slope of the least-squares line.
fn slope(x: &[f64], y: &[f64]) -> Option<f64> {
    let count = x.len() as f64;
    let (mean_x, mean_y) = (x.iter().sum::<f64>() / count, y.iter().sum::<f64>() / count);
    let (mut xx, mut xy) = (0.0, 0.0);
    for (x, y) in x.iter().zip(y) {
        xx += (x - mean_x) * (x - mean_x);
        xy += (x - mean_x) * (y - mean_y);
    }
    let slope = xy / xx;
    slope.is_finite().then_some(slope)
}

/// The stated rate, else the whole number, that the measured rate cannot be told from.
fn neat_rate(rate_hz: f64, doubt: f64, stated: Option<f64>) -> f64 {
    let near = |candidate: f64| (rate_hz / candidate - 1.0).abs() <= doubt.max(1e-9);
    stated.filter(|stated| near(*stated)).or(Some(rate_hz.round()).filter(|whole| near(*whole))).unwrap_or(rate_hz)
}

/// Rate of strictly rising times, from all of them where the steps are even, else from the median step.
fn rate_of(clock_s: &[f64], quantum: f64, warnings: &mut Vec<Message>) -> Option<f64> {
    let step = median(steps(clock_s))?;
    let span = clock_s.last()? - clock_s.first()?;
    let odd = steps(clock_s).iter().filter(|one| (**one / step - 1.0).abs() > UNEVEN).count();
    let rate_hz = if odd > 0 {
        warnings.push(Message::new("text.uneven_times").with("steps", odd).with("step", step * 1e3));
        neat_rate(1.0 / step, 2.0 * quantum / step, None)
    } else {
        neat_rate((clock_s.len() - 1) as f64 / span, quantum / span, None)
    };
    Some(rate_hz).filter(|rate| rate.is_finite() && *rate > 0.0)
}

fn chosen_rate(clock_s: Vec<f64>, measured: Option<f64>, stated: Option<f64>, warnings: &mut Vec<Message>) -> Clock {
    let (rate_hz, source) = match (measured, stated) {
        (Some(measured), Some(stated)) if (measured / stated - 1.0).abs() > SAME_RATE => {
            warnings.push(Message::new("text.rate_differs").with("stated", stated).with("measured", measured));
            (Some(measured), RateSource::TimeColumn)
        }
        (_, Some(stated)) => (Some(stated), RateSource::Stated),
        (measured, None) => (measured, RateSource::TimeColumn),
    };
    Clock { clock_s, rate_hz, source }
}

fn from_frames(
    body: &mut Body,
    plan: &Plan,
    rate_hz: f64,
    source: RateSource,
    warnings: &mut Vec<Message>,
) -> Result<Clock, TextError> {
    let marks: Vec<bool> = body.frame.iter().map(|frame| frame.is_finite()).collect();
    drop_rows(body, &marks, "text.rows_without_time", warnings);
    refuse_backwards(&body.frame, &body.lines)?;
    drop_rows(body, &new_ones(&body.frame, body.rows()), "text.repeated_times", warnings);
    // Frames are counted from 1, unless the file has a frame 0.
    let base = if body.frame.first().is_some_and(|frame| *frame >= 1.0) { 1.0 } else { 0.0 };
    body.time = body.frame.iter().map(|frame| (frame - base) / rate_hz).collect();
    // Frame numbers beyond what seconds can tell apart.
    drop_rows(body, &new_ones(&body.time, body.rows()), "text.repeated_times", warnings);
    let clock_s = std::mem::take(&mut body.time);
    let divided = plan.sub_frame.is_some() && body.frame.iter().any(|frame| frame.fract() > 0.0);
    let rate_hz = if divided { rate_of(&clock_s, 0.0, warnings).unwrap_or(rate_hz) } else { rate_hz };
    Ok(Clock { clock_s, rate_hz: Some(rate_hz), source })
}

/// Seconds of a time stamp: `[date ("T" | " ")] hh ":" mm ":" ss [("." | ",") digits] [zone]`, or `mm:ss.fff`. A date
/// counts from 1970-01-01; zones are left out of account, since one file has one zone.
pub(super) fn stamp_seconds(text: &str) -> Option<f64> {
    let (date, time) = match text.split_once(['T', ' ']) {
        Some((date, time)) if date.chars().any(|c| is_of("-/.", c)) => (days_of(date)?, time),
        _ => (0.0, text),
    };
    let time = trim_end(time.trim(), |c| matches!(c, 'Z' | 'z'));
    let time = time.split_once(['+']).map_or(time, |(time, _)| time);
    let time = time.rsplit_once('-').filter(|(time, _)| time.as_bytes().contains(&b':')).map_or(time, |(time, _)| time);
    let parts: Vec<&str> = time.split(':').collect();
    let whole = |part: &str| part.parse::<u32>().ok().map(f64::from);
    let (hours, minutes, seconds) = match parts[..] {
        [minutes, seconds] => (0.0, whole(minutes)?, seconds),
        [hours, minutes, seconds] => (whole(hours)?, whole(minutes)?, seconds),
        _ => return None,
    };
    let seconds = decimal::parse(seconds.replace(',', ".").as_bytes()).filter(|s| (0.0..61.0).contains(s))?;
    (minutes < 60.0 || parts.len() == 2).then_some(date * 86_400.0 + hours * 3600.0 + minutes * 60.0 + seconds)
}

/// Days since 1970-01-01 of `yyyy-mm-dd`, `yyyy/mm/dd`, `dd.mm.yyyy` (Howard Hinnant, "chrono-compatible low-level date
/// algorithms", days_from_civil).
fn days_of(date: &str) -> Option<f64> {
    let numbers: Vec<i64> = date.split(['-', '/', '.']).map(|part| part.trim().parse().ok()).collect::<Option<_>>()?;
    let (year, month, day) = match numbers[..] {
        [year, month, day] if year > 31 => (year, month, day),
        [day, month, year] => (year, month, day),
        _ => return None,
    };
    if !(0..=9999).contains(&year) || !(1..=12).contains(&month) || !(1..=31).contains(&day) {
        return None;
    }
    let year = if month <= 2 { year - 1 } else { year };
    let era = year.div_euclid(400);
    let year_of_era = year.rem_euclid(400);
    let day_of_year = (153 * (month + if month > 2 { -3 } else { 9 }) + 2) / 5 + day - 1;
    let day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    Some((era * 146_097 + day_of_era - 719_468) as f64)
}
