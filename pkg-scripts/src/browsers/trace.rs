//! What a trace of Chromium says: events as objects with a name, a process, a thread, microseconds by the clock (`dur`) and of
//! the thread's own work (`tdur`).

use serde_json::Value;

/// One task of a page's main thread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Task {
    /// Milliseconds after the mark when it began; less than zero: before it.
    pub start_ms: f64,
    /// Milliseconds by the clock, in which other programs may have had their turn.
    pub wall_ms: f64,
    /// Milliseconds that the thread worked.
    pub thread_ms: f64,
}

/// The tasks of the thread that made a mark; none where none did.
pub(super) fn tasks(events: &[Value], mark: &str) -> Option<Vec<Task>> {
    let thread = |event: &Value| (event["pid"].as_u64(), event["tid"].as_u64());
    let marked = events.iter().find(|event| event["name"] == mark)?;
    let (own, at) = (thread(marked), marked["ts"].as_f64().unwrap_or(0.0));
    let of_page = |event: &&Value| event["name"] == "ThreadControllerImpl::RunTask" && thread(event) == own;
    let task = |event: &Value| {
        let ms = |name: &str| Some(event[name].as_f64()? / 1e3);
        let start_ms = (event["ts"].as_f64().unwrap_or(0.0) - at) / 1e3;
        Some(Task { start_ms, wall_ms: ms("dur")?, thread_ms: ms("tdur")? })
    };
    Some(events.iter().filter(of_page).filter_map(task).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn tasks_are_those_of_the_thread_that_made_the_mark() {
        let event =
            |name: &str, tid: u64| json!({"name": name, "pid": 1, "tid": tid, "ts": 9000, "dur": 3000, "tdur": 2500});
        let task = "ThreadControllerImpl::RunTask";
        let events = [
            event(task, 7),
            event(task, 8),
            event("other", 7),
            json!({"name": "here", "pid": 1, "tid": 7, "ts": 8000}),
        ];
        assert_eq!(tasks(&events, "here"), Some(vec![Task { start_ms: 1.0, wall_ms: 3.0, thread_ms: 2.5 }]));
        assert_eq!(tasks(&events, "nowhere"), None);
    }
}
