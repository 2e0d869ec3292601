//! Several swings of the student, and an earlier lesson.

use super::{Job, Session, Slot};
use crate::plain;
use crate::sets::{BandKind, Lessons, MeasureSpread, lessons, own_set};
use crate::swing::Swing;
use crate::words::Message;

/// What the student's swings say together.
#[derive(Clone, Debug, Default)]
pub struct Together {
    /// The swings of the lesson; null with one.
    pub own: Option<Own>,
    /// The lesson against the earlier one; null without swings of one of them.
    pub lessons: Option<Lessons>,
}

plain::record!(Together { own, lessons });

/// The swings of a lesson as one.
#[derive(Clone, Debug, Default)]
pub struct Own {
    /// Names of those that are of one kind.
    pub swings: Vec<String>,
    /// Name of the most typical one; null with fewer than three.
    pub most_typical: Option<String>,
    /// The measures shown first: mean and spread.
    pub measures: Vec<MeasureSpread>,
    /// Swings left out, too few swings.
    pub notes: Vec<Message>,
    /// Why they cannot be made one.
    pub error: Option<Message>,
}

plain::record!(Own { swings, most_typical, measures, notes, error });

impl Session {
    /// The student's swings as one, and against those of an earlier lesson. It takes its time.
    pub fn together(&mut self, job: &Job) -> Together {
        self.prepare(job);
        let [later, earlier] = [Slot::Student, Slot::Earlier].map(|slot| self.swings(job, slot));
        let (later, earlier): (Vec<&Swing>, Vec<&Swing>) = (later.iter().collect(), earlier.iter().collect());
        Together {
            own: (later.len() > 1).then(|| Own::of(&later)),
            lessons: (!later.is_empty() && !earlier.is_empty()).then(|| lessons(&earlier, &later)),
        }
    }

    fn swings(&self, job: &Job, slot: Slot) -> Vec<Swing> {
        job.in_slot(slot).filter_map(|file| self.swing(file)).collect()
    }
}

impl Own {
    fn of(swings: &[&Swing]) -> Own {
        match own_set(swings, BandKind::Pointwise) {
            Ok(found) => Own {
                most_typical: found.set.most_typical.and_then(|number| found.set.labels.get(number).cloned()),
                swings: found.set.labels,
                measures: found.measures,
                notes: found.set.notes,
                error: None,
            },
            Err(error) => Own { error: Some(error.message()), ..Own::default() },
        }
    }
}
