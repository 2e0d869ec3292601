//! Warnings of readers, from data back to messages: keys and names of parameters are words of the program.

use crate::json::Json;
use crate::words::{Arg, Message, Place};

/// What readers say. A test holds the list against their code.
const KEYS: [&str; 86] = [
    "bvh.calibration_pose",
    "bvh.channel_count",
    "bvh.cut_row",
    "bvh.end_of_file",
    "bvh.frame_time",
    "bvh.frame_time_missing",
    "bvh.frame_time_ms",
    "bvh.missing_values",
    "bvh.no_channels",
    "bvh.no_rows",
    "bvh.number",
    "bvh.offset_added",
    "bvh.offset_more",
    "bvh.offset_replaced",
    "bvh.ragged_row",
    "bvh.repeated_names",
    "bvh.rows_differ",
    "bvh.rows_unstated",
    "bvh.too_large",
    "bvh.unexpected",
    "c3d.all_missing",
    "c3d.broken_parameters",
    "c3d.counts_differ",
    "c3d.empty_tracks",
    "c3d.event_times",
    "c3d.header_event_clock",
    "c3d.model_outputs",
    "c3d.no_data",
    "c3d.no_parameters",
    "c3d.no_points",
    "c3d.no_rate",
    "c3d.no_rows",
    "c3d.only_model_outputs",
    "c3d.processor",
    "c3d.rate_differs",
    "c3d.repeated_names",
    "c3d.scale",
    "c3d.short_header",
    "c3d.truncated",
    "c3d.unit_unknown",
    "c3d.units_differ",
    "c3d.unnamed_points",
    "text.axes_by_order",
    "text.bad_rate",
    "text.binary",
    "text.broken_utf16",
    "text.code_page",
    "text.columns_left_out",
    "text.comma_twice",
    "text.duplicate_names",
    "text.empty_tracks",
    "text.flat",
    "text.half_points",
    "text.long_rows",
    "text.missing_marks",
    "text.mixed_units",
    "text.no_data",
    "text.no_header",
    "text.no_rows",
    "text.no_table",
    "text.no_time",
    "text.no_tracks",
    "text.no_tracks_bare",
    "text.open_quote",
    "text.rate_differs",
    "text.repeated_points",
    "text.repeated_times",
    "text.rounded_times",
    "text.rows_without_time",
    "text.short_rows",
    "text.slow_clock",
    "text.thousands",
    "text.time_backwards",
    "text.time_unit_guessed",
    "text.too_many_columns",
    "text.too_sparse",
    "text.two_decimal_marks",
    "text.uneven_times",
    "text.unreadable_cells",
    "text.zero_points",
    "text.zero_tracks",
    "trc.frame_count",
    "trc.marker_count",
    "trc.no_markers",
    "trc.no_rows",
    "trc.no_tabs",
];

/// Parameters of it.
const ARGS: [&str; 35] = [
    "after",
    "analog",
    "before",
    "bytes",
    "cells",
    "columns",
    "commas",
    "count",
    "expected",
    "first",
    "found",
    "frame_bytes",
    "frames",
    "header",
    "joint",
    "joints",
    "kept",
    "limit",
    "measured",
    "name",
    "points",
    "quantum",
    "rate",
    "rows",
    "seconds",
    "stated",
    "step",
    "steps",
    "track",
    "tracks",
    "unit",
    "units",
    "used",
    "value",
    "values",
];

fn known(list: &[&'static str], word: &str) -> Option<&'static str> {
    list.iter().copied().find(|known| *known == word)
}

/// The warning; that there was one where this version does not know it.
pub(super) fn read(told: &Json) -> Message {
    let key = told.get("key").and_then(Json::as_text).unwrap_or("");
    let Some(known_key) = known(&KEYS, key) else {
        return Message::new("packed.unknown_warning").with("key", key);
    };
    let args = told.get("args").map_or(&[][..], Json::fields).iter();
    let args = args.filter_map(|(name, value)| Some((known(&ARGS, name)?, arg(value)?))).collect();
    Message { key: known_key, args, place: told.get("place").map(place) }
}

/// A count is spelled without a point, a measured number with one.
fn arg(value: &Json) -> Option<Arg> {
    match value {
        Json::Text(text) => Some(text.as_str().into()),
        _ => value.as_count().map(Arg::from).or_else(|| value.as_number().map(Arg::from)),
    }
}

fn place(told: &Json) -> Place {
    let count = |name| told.get(name).and_then(Json::as_count).map(|count| count as u64);
    Place {
        file: None,
        line: count("line"),
        column: count("column"),
        byte: count("byte"),
        track: told.get("track").and_then(Json::as_text).map(str::to_owned),
        row: count("row"),
    }
}

#[cfg(test)]
mod tests {
    use super::{ARGS, KEYS};
    use std::path::{Path, PathBuf};

    fn sources(folder: &Path) -> Vec<PathBuf> {
        let entries = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
        let inside = |path: PathBuf| if path.is_dir() { sources(&path) } else { vec![path] };
        entries
            .filter(|path| ["packed", "write", "tests.rs"].iter().all(|no| !path.ends_with(no)))
            .flat_map(inside)
            .collect()
    }

    #[test]
    fn the_list_holds_what_the_readers_say() {
        let mut seen = 0;
        for path in sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src/formats")) {
            let text = std::fs::read_to_string(&path).unwrap();
            let code = text.split("#[cfg(test)]\nmod ").next().unwrap();
            let words = |call: &str| {
                code.split(call)
                    .skip(1)
                    .filter_map(|rest| rest.split('"').next())
                    .map(str::to_owned)
                    .collect::<Vec<_>>()
            };
            for key in
                words("Message::new(\"").iter().filter(|key| !key.contains("not_a_table") && *key != "read.empty")
            {
                assert!(KEYS.contains(&key.as_str()), "{key} of {}", path.display());
                seen += 1;
            }
            for name in words(".with(\"").iter().filter(|_| !path.ends_with("build.rs")) {
                assert!(ARGS.contains(&name.as_str()), "{name} of {}", path.display());
            }
        }
        assert!(seen > 80, "only {seen} keys were looked at");
    }
}
