use super::rules::{THRESHOLDS, Threshold};
use crate::plain::{self, Given, GivenError, Read};
use crate::table::Table;
use crate::words::Message;
use serde::Serialize;

/// Thresholds that differ from the defaults of [`THRESHOLDS`], by name. In JSON an object of numbers, saved with the
/// lesson; `{}` is the table as it stands.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Thresholds(Table<String, f64>);

impl Thresholds {
    /// The value that holds, in the threshold's unit.
    pub fn get(&self, threshold: &Threshold) -> f64 {
        self.0.get(threshold.name).copied().filter(|value| value.is_finite()).unwrap_or(threshold.default)
    }

    /// States a value.
    ///
    /// # Errors
    /// A [`Message`]: there is no threshold of this name, or the value is not a number.
    pub fn set(&mut self, name: &str, value: f64) -> Result<(), Message> {
        check(name, value)?;
        self.0.insert(name.to_owned(), value);
        Ok(())
    }

    /// Looks through values that came from outside.
    ///
    /// # Errors
    /// As [`Self::set`], for the first value that cannot be used.
    pub fn checked(self) -> Result<Thresholds, Message> {
        self.0.iter().try_for_each(|(name, value)| check(name, *value))?;
        Ok(self)
    }

    /// The value of a name of the rule table.
    pub(super) fn named(&self, name: &str) -> Option<(&'static Threshold, f64)> {
        let threshold = THRESHOLDS.iter().find(|threshold| threshold.name == name)?;
        Some((threshold, self.get(threshold)))
    }
}

impl Read for Thresholds {
    fn read(given: &Given) -> Result<Self, GivenError> {
        Table::read(given).map(Thresholds)
    }
}

plain::readable!(Thresholds);

fn check(name: &str, value: f64) -> Result<(), Message> {
    if !THRESHOLDS.iter().any(|threshold| threshold.name == name) {
        return Err(Message::new("findings.unknown_threshold").with("name", name));
    }
    if !value.is_finite() {
        return Err(Message::new("findings.bad_threshold").with("name", name));
    }
    Ok(())
}
