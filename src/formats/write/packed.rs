//! Recordings as JSON, to be kept in lessons; the format is described in `src/formats/packed`.

use crate::formats::packed::bits::Pen;
use crate::formats::packed::coding::Coding;
use crate::formats::packed::{FORMAT, VERSION, check};
use crate::formats::{Recording, Track, is_gap};
use crate::json::{Json, Spell};
use crate::order;
use crate::words::{Arg, Message, Place};

/// The recording as a JSON object that the reader gives back to the bit.
pub fn packed(recording: &Recording, spell: Spell) -> Json {
    let known = |word: Option<&str>| word.map_or(Json::Null, Json::text);
    let number = |number: Option<f64>| number.map_or(Json::Null, |number| Json::Number(spell(number)));
    let steps = steps(recording);
    let mut tree = record([
        ("format", Json::text(FORMAT)),
        ("version", Json::count(VERSION)),
        ("read_from", Json::text(recording.format.name())),
        ("rate_hz", number(recording.rate_hz)),
        ("rate_source", Json::text(recording.rate_source.name())),
        ("first_row", Json::count(recording.first_row)),
        ("rows", Json::count(recording.rows())),
        ("up", known(recording.up.map(|axis| axis.name()))),
        ("usual_up", known(recording.usual_up.map(|axis| axis.name()))),
        ("clock", clock(recording, spell)),
        ("tracks", Json::List(recording.tracks.iter().map(|one| track(one, &steps, spell)).collect())),
        ("events", Json::List(events(recording, spell))),
        ("warnings", Json::List(recording.warnings.iter().map(|one| warning(one, spell)).collect())),
    ]);
    let points = recording.rows() * recording.tracks.len();
    let short = points.saturating_sub(tree.line().len());
    if short > 0 {
        tree.set("room", Json::Text(" ".repeat(short)));
    }
    tree.set("check", Json::Text(check(recording)));
    tree
}

fn record<const N: usize>(fields: [(&str, Json); N]) -> Json {
    Json::Record(fields.map(|(name, value)| (name.to_owned(), value)).into())
}

fn clock(recording: &Recording, spell: Spell) -> Json {
    let counted = [recording.rate_hz.map(Coding::Per), recording.rate_hz.map(|rate| Coding::Times(1.0 / rate))];
    let stepped = recording.clock_s.get(1).map(|second| Coding::Times(second - recording.clock_s[0]));
    let others: Vec<Coding> = counted.into_iter().chain([stepped]).flatten().collect();
    let coding = Coding::of(&recording.clock_s, &others);
    record([("as", Json::Text(coding.word(spell))), ("data", data(std::slice::from_ref(&recording.clock_s), coding))])
}

fn data(columns: &[Vec<f64>], coding: Coding) -> Json {
    let mut pen = Pen::default();
    for column in columns {
        pen.column(&column.iter().filter_map(|number| coding.whole(*number)).collect::<Vec<_>>());
    }
    Json::Text(pen.text())
}

fn track(track: &Track, steps: &[Coding], spell: Spell) -> Json {
    let present: Vec<_> = track.points.iter().filter(|point| !is_gap(point)).collect();
    let columns = [0, 1, 2].map(|axis| present.iter().map(|point| point[axis]).collect::<Vec<f64>>());
    let coding = Coding::of(&columns.concat(), steps);
    let mut tree = record([("name", Json::text(&track.name))]);
    if let Some(unit) = track.unit {
        tree.set("unit", Json::text(unit.symbol()));
    }
    if let Some(parent) = track.parent {
        tree.set("parent", Json::count(parent));
    }
    if track.end_site {
        tree.set("end_site", Json::Flag(true));
    }
    tree.set("as", Json::Text(coding.word(spell)));
    let gaps = gaps(track);
    if !gaps.is_empty() {
        tree.set("gaps", Json::List(gaps.into_iter().map(Json::count).collect()));
    }
    tree.set("data", data(&columns, coding));
    tree
}

/// Steps that the numbers may be whole multiples of: a C3D file of integers has one, a single precision number. It is the
/// least difference of two numbers, or a small part of it.
fn steps(recording: &Recording) -> Vec<Coding> {
    let present = |track: &&Track| track.points.iter().any(|point| !is_gap(point));
    let points = recording.tracks.iter().find(present).map_or(&[][..], |track| &track.points);
    let mut numbers: Vec<f64> = points.iter().flatten().copied().filter(|x| x.is_finite()).collect();
    order::sort_numbers(&mut numbers);
    let steps = numbers.windows(2).map(|pair| pair[1] - pair[0]).filter(|step| *step > 0.0);
    let least = steps.fold(f64::INFINITY, f64::min);
    let parts = [1.0, 2.0, 3.0].map(|part| f64::from((least / part) as f32));
    parts.into_iter().filter(|step| step.is_finite() && *step > 0.0).map(Coding::Times).collect()
}

/// First row and rows of each stretch without points.
fn gaps(track: &Track) -> Vec<usize> {
    let mut gaps = Vec::new();
    let mut before = false;
    for (row, point) in track.points.iter().enumerate() {
        match (is_gap(point), before) {
            (true, true) => *gaps.last_mut().unwrap_or(&mut 0) += 1,
            (true, false) => gaps.extend([row, 1]),
            _ => {}
        }
        before = is_gap(point);
    }
    gaps
}

fn events(recording: &Recording, spell: Spell) -> Vec<Json> {
    let told = recording.events.iter();
    told.map(|event| record([("label", Json::text(&event.label)), ("clock_s", Json::Number(spell(event.clock_s)))]))
        .collect()
}

fn warning(message: &Message, spell: Spell) -> Json {
    let arg = |arg: &Arg| match arg {
        Arg::Count(count) => Json::Number(count.to_string()),
        Arg::Number(number) => Json::Number(with_point(spell(*number))),
        Arg::Text(text) => Json::text(text),
    };
    let args = message.args.iter().map(|(name, value)| ((*name).to_owned(), arg(value))).collect();
    let mut tree = record([("key", Json::text(message.key)), ("args", Json::Record(args))]);
    if let Some(at) = &message.place {
        tree.set("place", place(at));
    }
    tree
}

/// A measured number is told from a count by its point.
fn with_point(spelled: String) -> String {
    if spelled.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-') { spelled + ".0" } else { spelled }
}

fn place(place: &Place) -> Json {
    let counts = [("line", place.line), ("column", place.column), ("byte", place.byte), ("row", place.row)];
    let known = counts.into_iter().filter_map(|(name, count)| Some((name, Json::Number(count?.to_string()))));
    let track = place.track.iter().map(|name| ("track", Json::text(name)));
    Json::Record(known.chain(track).map(|(name, value)| (name.to_owned(), value)).collect())
}
