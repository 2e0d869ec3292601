//! Fields from outside, taken one by one: what cannot be meant is told and left out, the rest is kept.

use crate::plain::{Given, Read};
use crate::words::Message;

/// The fields of a record; of anything else none.
pub(super) struct Take<'a> {
    fields: &'a [(String, Given)],
    /// What could not be meant.
    pub(super) told: Vec<Message>,
}

impl<'a> Take<'a> {
    pub(super) fn of(given: &'a Given) -> Take<'a> {
        match given {
            Given::Record(fields) => Take { fields, told: vec![] },
            Given::Null => Take { fields: &[], told: vec![] },
            _ => Take { fields: &[], told: vec![unusable("", "an object was expected")] },
        }
    }

    /// The field as it is; nothing where it is missing.
    pub(super) fn given(&self, name: &str) -> &'a Given {
        self.fields.iter().find(|(own, _)| own == name).map_or(&Given::Null, |(_, given)| given)
    }

    /// The field, where it can be meant.
    pub(super) fn take<T: Read>(&mut self, name: &'static str) -> Option<T> {
        match Option::<T>::read(self.given(name)) {
            Ok(value) => value,
            Err(error) => {
                self.told.push(unusable(name, &error.problem));
                None
            }
        }
    }

    /// A number that is one, within bounds.
    pub(super) fn number(&mut self, name: &'static str, least: f64, most: f64) -> Option<f64> {
        let number: f64 = self.take(name)?;
        if !(least..=most).contains(&number) {
            let told = Message::new("coach.out_of_range").with("field", name).with("least", least).with("most", most);
            self.told.push(told);
            return None;
        }
        Some(number)
    }

    /// A whole number within bounds.
    pub(super) fn count(&mut self, name: &'static str, least: usize, most: usize) -> Option<usize> {
        let number = self.number(name, least as f64, most as f64)?;
        if number != number.trunc() {
            self.told.push(unusable(name, "a whole number was expected"));
            return None;
        }
        Some(number as usize)
    }

    pub(super) fn flag(&mut self, name: &'static str) -> bool {
        self.take(name).unwrap_or(false)
    }

    /// The records of a list; nothing of anything else.
    pub(super) fn list(&mut self, name: &'static str) -> &'a [Given] {
        match self.given(name) {
            Given::List(items) => items,
            Given::Null => &[],
            _ => {
                self.told.push(unusable(name, "a list was expected"));
                &[]
            }
        }
    }
}

fn unusable(field: &str, problem: &str) -> Message {
    Message::new("coach.field").with("field", field).with("problem", problem)
}
