//! Instants that the file names: the EVENT group, and the older events in the header.

use super::header::Header;
use super::parameters::{Parameters, text};
use crate::formats::Event;
use crate::order;
use crate::words::Message;

/// All events, by time. A header event at the time of one of the EVENT group is the same one, told shorter.
pub(super) fn read(
    header: &Header<'_>,
    parameters: &Parameters<'_>,
    clock_s: &[f64],
    warnings: &mut Vec<Message>,
) -> Vec<Event> {
    let mut events = group_events(parameters);
    let in_group = events.len();
    let half_step = match clock_s {
        [first, second, ..] => 0.5 * (second - first),
        _ => 0.0,
    };
    for event in header_events(header, clock_s, warnings) {
        if !events[..in_group].iter().any(|known| (known.clock_s - event.clock_s).abs() <= half_step) {
            events.push(event);
        }
    }
    let stated = events.len();
    events.retain(|event| event.clock_s.is_finite());
    if events.len() < stated {
        warnings.push(Message::new("c3d.event_times").with("count", stated - events.len()));
    }
    order::sort_by(&mut events, |a, b| a.clock_s.total_cmp(&b.clock_s));
    events
}

/// EVENT:TIMES holds minutes and seconds per event, counted from frame 1. By the order of C3D arrays its dimensions are
/// [2, USED]; the guide prints (USED, 2), and files of that shape are read by it.
fn group_events(parameters: &Parameters<'_>) -> Vec<Event> {
    let times = parameters.numbers("EVENT", "TIMES");
    let labels = parameters.strings("EVENT", "LABELS");
    let contexts = parameters.strings("EVENT", "CONTEXTS");
    let stored = times.len() / 2;
    let used = parameters.count("EVENT", "USED").map_or(stored, |used| stored.min(used as usize));
    let dims = parameters.find("EVENT", "TIMES").map_or(&[][..], |parameter| parameter.dims);
    let columns = matches!(*dims, [rows, 2] if rows != 2);
    let event = |index: usize| {
        let (minutes, seconds) = if columns { (index, stored + index) } else { (2 * index, 2 * index + 1) };
        let label = label(contexts.get(index), labels.get(index));
        Event { label, clock_s: 60.0 * times[minutes] + times[seconds] }
    };
    (0..used).map(event).collect()
}

/// "Right" and "Foot Strike" make "Right Foot Strike"; the context "General" says nothing.
fn label(context: Option<&String>, label: Option<&String>) -> String {
    let context = context.map_or("", String::as_str);
    let context = if context.eq_ignore_ascii_case("General") { "" } else { context };
    format!("{context} {}", label.map_or("", String::as_str)).trim().to_owned()
}

/// Documents disagree on where header times count from: frame 1 (py-c3d) or the first sample (an old user guide). In a
/// file that starts at frame 1 both are the same. Elsewhere the reading under which all events lie inside the recording
/// is taken, frame 1 where both or none do, and the other is told.
fn header_events(header: &Header<'_>, clock_s: &[f64], warnings: &mut Vec<Message>) -> Vec<Event> {
    let (Some(&first), Some(&last)) = (clock_s.first(), clock_s.last()) else { return Vec::new() };
    let stated = header.events();
    let inside = |shift: f64| stated.iter().all(|(time, _)| (first..=last).contains(&(time + shift)));
    let shift = if !inside(0.0) && inside(first) { first } else { 0.0 };
    if shift > 0.0 {
        warnings.push(Message::new("c3d.header_event_clock").with("seconds", shift));
    }
    stated.iter().map(|&(time, label)| Event { label: text(label), clock_s: time + shift }).collect()
}
