//! Kinds of swing are told apart and never averaged together.

use crate::settings::SwingKind;
use crate::swing::Swing;
use crate::words::Message;

const ALL: [(SwingKind, &str); 5] = [
    (SwingKind::Full, "full"),
    (SwingKind::Part, "part"),
    (SwingKind::Drill, "drill"),
    (SwingKind::Pause, "pause"),
    (SwingKind::Practice, "practice"),
];

fn word(kind: SwingKind) -> &'static str {
    ALL.iter().find(|(other, _)| *other == kind).map_or("", |(_, word)| word)
}

/// The kind that most of the swings are; of kinds with as many swings the first in the order full, part, drill, pause,
/// practice. `None` without swings.
pub(super) fn most_common(swings: &[&Swing]) -> Option<SwingKind> {
    let count = |kind: SwingKind| swings.iter().filter(|swing| swing.kind == kind).count();
    let most = ALL.iter().map(|(kind, _)| count(*kind)).max().filter(|most| *most > 0)?;
    ALL.iter().map(|(kind, _)| *kind).find(|kind| count(*kind) == most)
}

/// The swings of one kind, and a message for each other one.
pub(super) fn of_kind<'a>(swings: &[&'a Swing], kind: SwingKind, notes: &mut Vec<Message>) -> Vec<&'a Swing> {
    let mut kept = vec![];
    for &swing in swings {
        if swing.kind == kind {
            kept.push(swing);
        } else {
            let note = Message::new("sets.other_kind").with("swing", swing.label.as_str());
            notes.push(note.with("kind", word(swing.kind)).with("others", word(kind)));
        }
    }
    kept
}

/// A warning where the swings were played with more than one kind of club.
pub(super) fn mixed_clubs(swings: &[&Swing]) -> Option<Message> {
    let mixed = swings.windows(2).any(|pair| pair[0].club != pair[1].club);
    mixed.then(|| Message::new("sets.mixed_clubs"))
}
