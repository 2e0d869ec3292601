use super::sd_factors;
use crate::words::Message;

/// With fewer swings than this their spread is known too badly to lean on; 6 to 8 are asked for.
pub(super) const ENOUGH: usize = 6;

/// Says how little is known of a spread from so few swings; nothing to say of enough, or of one.
pub(super) fn few_swings(count: usize) -> Option<Message> {
    match count {
        0 => None,
        1 => Some(Message::new("sets.one_swing")),
        ENOUGH.. => None,
        _ => {
            let (low, high) = sd_factors(count);
            Some(Message::new("sets.few_swings").with("count", count).with("low", low).with("high", high))
        }
    }
}
