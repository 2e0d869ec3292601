use crate::swing::InstantName;
use crate::words::Message;

/// Why the data cannot carry a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Why {
    /// An instant it needs was not found.
    NoInstant(InstantName),
    /// The second instant does not come after the first.
    Order(InstantName, InstantName),
    /// A body point it needs is not known.
    NoPoint(&'static str),
    /// A point is missing just where it is needed.
    Gap,
    /// Hands only: no frame.
    NoBody,
    /// The ball's place is not known.
    NoBall,
    /// The arms drop by less than the threshold.
    ArmsStay,
    /// The body carries the hands out too little for a part of it.
    NotCarried,
    /// The trunk does not unwind before impact.
    NotUnwound,
    /// The displacement is too small against the noise.
    SmallMove,
    /// The hands drop too little for a chord.
    ShortChord,
    /// The club has too few samples before impact.
    FewSamples,
}

impl Why {
    pub(super) fn message(self) -> Message {
        match self {
            Why::NoInstant(name) => Message::new("measure.no_instant").with("instant", name.name()),
            Why::Order(from, to) => Message::new("measure.order").with("from", from.name()).with("to", to.name()),
            Why::NoPoint(point) => Message::new("measure.no_point").with("point", point),
            Why::Gap => Message::new("measure.gap"),
            Why::NoBody => Message::new("measure.no_body"),
            Why::NoBall => Message::new("measure.no_ball"),
            Why::ArmsStay => Message::new("measure.arms_stay"),
            Why::NotCarried => Message::new("measure.not_carried"),
            Why::NotUnwound => Message::new("measure.not_unwound"),
            Why::SmallMove => Message::new("measure.small_move"),
            Why::ShortChord => Message::new("measure.short_chord"),
            Why::FewSamples => Message::new("measure.few_samples"),
        }
    }
}
