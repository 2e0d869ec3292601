//! Several swings of one player.

use super::Spread;
use super::band::BandKind;
use super::kinds::{most_common, of_kind};
use super::notes::few_swings;
use super::set::SwingSet;
use crate::align::AlignError;
use crate::measure::{Drawer, Measure, without_intervals};
use crate::plain;
use crate::swing::Swing;

/// A measure over several swings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasureSpread {
    /// Documented name of the measure.
    pub name: &'static str,
    /// Catalogue key of its sentence.
    pub key: &'static str,
    /// Unit of mean and standard deviation.
    pub unit: &'static str,
    /// Mean and spread of the swings that have it.
    pub spread: Option<Spread>,
}

plain::record!(MeasureSpread { name, key, unit, spread });

/// The swings of a player as one, and how much their measures vary.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnSet {
    /// Mean path, spread, most typical swing.
    pub set: SwingSet,
    /// The measures shown first.
    pub measures: Vec<MeasureSpread>,
}

/// Makes one of a player's swings: of the kind that most of them are, the others are named in the notes. Nothing is
/// scaled.
///
/// # Errors
/// As [`SwingSet::of`].
pub fn own_set(swings: &[&Swing], band: BandKind) -> Result<OwnSet, AlignError> {
    let mut notes = vec![];
    let kept = most_common(swings).map_or_else(Vec::new, |kind| of_kind(swings, kind, &mut notes));
    let mut set = SwingSet::of(&kept, band)?;
    notes.extend(few_swings(kept.len()).filter(|_| kept.len() == 1));
    set.notes.splice(0..0, notes);
    let lists: Vec<Vec<Measure>> = kept.iter().map(|swing| without_intervals(swing)).collect();
    let first = lists.first().into_iter().flatten().filter(|measure| measure.drawer == Drawer::First);
    let spread = |measure: &Measure| MeasureSpread {
        name: measure.name,
        key: measure.key,
        unit: measure.unit,
        spread: Spread::of(&lists.iter().filter_map(|list| value(list, measure.name)).collect::<Vec<_>>()),
    };
    Ok(OwnSet { measures: first.map(spread).collect(), set })
}

/// Value of a measure in a list.
pub(super) fn value(list: &[Measure], name: &str) -> Option<f64> {
    list.iter().find(|measure| measure.name == name).and_then(|measure| measure.value)
}

/// A swing of the student's own, to serve as a reference: it has their size, so that nothing is scaled, whatever its own
/// recording says of it.
#[must_use]
pub fn as_own(student: &Swing, swing: &Swing) -> Swing {
    Swing { size: student.size, ..swing.clone() }
}
