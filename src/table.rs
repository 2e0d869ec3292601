//! A map as a sorted vector.
//!
//! Std's maps are compiled anew, 5 to 10 kB of WebAssembly each, for every pair of types. The core's maps hold a dozen
//! roles or the parameters of a message, where a sorted vector is as fast and an order of magnitude smaller.

use serde::{Serialize, Serializer};
use std::borrow::Borrow;
use std::fmt;
use std::ops::Index;

/// A map from `K` to `V`, in the order of its keys. In JSON it is an object.
///
/// Finding is O(log n), inserting and removing O(n): not for lists as long as a file. Of equal keys the last one counts.
#[derive(Clone, PartialEq, Eq)]
pub struct Table<K, V> {
    entries: Vec<(K, V)>,
}

impl<K, V> Table<K, V> {
    /// A table without entries.
    pub const fn new() -> Self {
        Table { entries: Vec::new() }
    }

    /// Number of entries.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// Is there no entry?
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// Keys and values, by key.
    pub fn iter(&self) -> Entries<'_, K, V> {
        self.entries.iter().map(|(key, value)| (key, value))
    }

    /// Keys, rising.
    pub fn keys(&self) -> impl ExactSizeIterator<Item = &K> + Clone {
        self.entries.iter().map(|(key, _)| key)
    }

    /// Values, by key.
    pub fn values(&self) -> impl ExactSizeIterator<Item = &V> + Clone {
        self.entries.iter().map(|(_, value)| value)
    }

    /// Values to change, by key.
    pub fn values_mut(&mut self) -> impl Iterator<Item = &mut V> {
        self.entries.iter_mut().map(|(_, value)| value)
    }

    /// Values, by key, without their keys.
    pub fn into_values(self) -> impl Iterator<Item = V> {
        self.entries.into_iter().map(|(_, value)| value)
    }

    /// Keys, and values to change, by key.
    pub fn iter_mut(&mut self) -> impl Iterator<Item = (&K, &mut V)> {
        self.entries.iter_mut().map(|(key, value)| (&*key, value))
    }

    /// Keeps the entries that hold.
    pub fn retain(&mut self, mut holds: impl FnMut(&K, &mut V) -> bool) {
        self.entries.retain_mut(|(key, value)| holds(key, value));
    }
}

impl<K: Ord, V> Table<K, V> {
    /// Where a key is, or where it would be.
    fn place<Q: Ord + ?Sized>(&self, key: &Q) -> Result<usize, usize>
    where
        K: Borrow<Q>,
    {
        self.entries.binary_search_by(|(known, _)| known.borrow().cmp(key))
    }

    /// Value of a key.
    pub fn get<Q: Ord + ?Sized>(&self, key: &Q) -> Option<&V>
    where
        K: Borrow<Q>,
    {
        self.place(key).ok().map(|at| &self.entries[at].1)
    }

    /// Value of a key, to change.
    pub fn get_mut<Q: Ord + ?Sized>(&mut self, key: &Q) -> Option<&mut V>
    where
        K: Borrow<Q>,
    {
        self.place(key).ok().map(|at| &mut self.entries[at].1)
    }

    /// Is there an entry of this key?
    pub fn contains_key<Q: Ord + ?Sized>(&self, key: &Q) -> bool
    where
        K: Borrow<Q>,
    {
        self.place(key).is_ok()
    }

    /// Sets the value of a key and returns the one before.
    pub fn insert(&mut self, key: K, value: V) -> Option<V> {
        match self.place(&key) {
            Ok(at) => Some(std::mem::replace(&mut self.entries[at].1, value)),
            Err(at) => {
                self.entries.insert(at, (key, value));
                None
            }
        }
    }

    /// Takes a key out and returns its value.
    pub fn remove<Q: Ord + ?Sized>(&mut self, key: &Q) -> Option<V>
    where
        K: Borrow<Q>,
    {
        self.place(key).ok().map(|at| self.entries.remove(at).1)
    }

    /// Value of a key, which is set first where it is missing.
    pub fn or_insert_with(&mut self, key: K, value: impl FnOnce() -> V) -> &mut V {
        let at = self.place(&key).unwrap_or_else(|at| {
            self.entries.insert(at, (key, value()));
            at
        });
        &mut self.entries[at].1
    }
}

impl<K, V> Default for Table<K, V> {
    fn default() -> Self {
        Table::new()
    }
}

impl<K: fmt::Debug, V: fmt::Debug> fmt::Debug for Table<K, V> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_map().entries(self.iter()).finish()
    }
}

impl<K: Ord, V> FromIterator<(K, V)> for Table<K, V> {
    fn from_iter<I: IntoIterator<Item = (K, V)>>(entries: I) -> Self {
        let mut table = Table::new();
        table.extend(entries);
        table
    }
}

impl<K: Ord, V> Extend<(K, V)> for Table<K, V> {
    fn extend<I: IntoIterator<Item = (K, V)>>(&mut self, entries: I) {
        for (key, value) in entries {
            self.insert(key, value);
        }
    }
}

impl<K: Ord, V, const N: usize> From<[(K, V); N]> for Table<K, V> {
    fn from(entries: [(K, V); N]) -> Self {
        entries.into_iter().collect()
    }
}

impl<K, V> IntoIterator for Table<K, V> {
    type Item = (K, V);
    type IntoIter = std::vec::IntoIter<(K, V)>;
    fn into_iter(self) -> Self::IntoIter {
        self.entries.into_iter()
    }
}

/// Keys and values of a [`Table`], by key.
pub type Entries<'a, K, V> = std::iter::Map<std::slice::Iter<'a, (K, V)>, fn(&'a (K, V)) -> (&'a K, &'a V)>;

impl<'a, K, V> IntoIterator for &'a Table<K, V> {
    type Item = (&'a K, &'a V);
    type IntoIter = Entries<'a, K, V>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

/// As with std's maps, a key that is missing is a mistake of the program.
impl<K: Ord + Borrow<Q>, V, Q: Ord + ?Sized> Index<&Q> for Table<K, V> {
    type Output = V;
    fn index(&self, key: &Q) -> &V {
        let at = self.place(key).unwrap_or(self.entries.len());
        &self.entries[at].1
    }
}

impl<K: Serialize, V: Serialize> Serialize for Table<K, V> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    /// The same steps on std's map, which is the oracle.
    #[test]
    fn does_what_a_tree_map_does() {
        let (mut ours, mut theirs) = (Table::new(), BTreeMap::new());
        let mut seed = 7_u64;
        for step in 0..4000_u32 {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let key = (seed >> 40) % 50;
            match (seed >> 33) % 5 {
                0 | 1 => assert_eq!(ours.insert(key, step), theirs.insert(key, step)),
                2 => assert_eq!(ours.remove(&key), theirs.remove(&key)),
                3 => assert_eq!(ours.or_insert_with(key, || step), theirs.entry(key).or_insert(step)),
                _ => assert_eq!(ours.get_mut(&key), theirs.get_mut(&key)),
            }
            assert_eq!(ours.contains_key(&key), theirs.contains_key(&key));
        }
        ours.retain(|key, _| key % 3 > 0);
        theirs.retain(|key, _| key % 3 > 0);
        assert!(!ours.is_empty() && ours.len() == theirs.len());
        assert!(ours.iter().eq(theirs.iter()) && ours.keys().eq(theirs.keys()) && ours.values().eq(theirs.values()));
        assert_eq!(format!("{ours:?}"), format!("{theirs:?}"));
    }

    #[test]
    fn the_last_of_equal_keys_counts() {
        let pairs = [("b", 1), ("a", 2), ("b", 3), ("a", 4), ("b", 5)];
        let mut table: Table<&str, i32> = pairs.into_iter().collect();
        assert!(table.iter().eq(BTreeMap::from(pairs).iter()));
        table.extend([("c", 6), ("a", 7)]);
        assert_eq!(table, Table::from([("a", 7), ("b", 5), ("c", 6)]));
        assert_eq!(table["b"], 5);
    }

    #[test]
    fn is_an_object_in_json() {
        let table = Table::from([("b".to_owned(), 1), ("a".to_owned(), 2)]);
        let json = serde_json::to_string(&table).unwrap();
        assert_eq!(json, r#"{"a":2,"b":1}"#);
    }
}
