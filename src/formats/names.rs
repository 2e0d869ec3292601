//! Track names that a user can tell apart.

use std::collections::{HashMap, HashSet};

/// Makes names unique in place: later ones get a number (`Hand`, `Hand 2`, `Hand 3`). Returns each name that occurred
/// more than once, in file order, for a warning.
pub(super) fn make_unique(names: &mut [String]) -> Vec<String> {
    let mut used: HashSet<String> = names.iter().cloned().collect();
    if used.len() == names.len() {
        return Vec::new();
    }
    let mut next: HashMap<String, usize> = HashMap::new();
    let mut repeated = Vec::new();
    for name in names {
        let Some(number) = next.get_mut(name) else {
            next.insert(name.clone(), 2);
            continue;
        };
        if *number == 2 {
            repeated.push(name.clone());
        }
        // A numbered name may itself be taken; the search goes on where it stopped, so it stays linear per name.
        let mut unique = format!("{name} {number}");
        while !used.insert(unique.clone()) {
            *number += 1;
            unique = format!("{name} {number}");
        }
        *number += 1;
        *name = unique;
    }
    repeated
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unique(names: &[&str]) -> (Vec<String>, Vec<String>) {
        let mut names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
        let repeated = make_unique(&mut names);
        (names, repeated)
    }

    #[test]
    fn distinct_names_stay() {
        assert_eq!(unique(&["a", "A", "a 2"]), (vec!["a".into(), "A".into(), "a 2".into()], vec![]));
    }

    #[test]
    fn repeats_are_numbered_past_names_in_use() {
        let (names, repeated) = unique(&["a", "a", "a 2", "a", "b", "b", "a 2"]);
        assert_eq!(names, ["a", "a 3", "a 2", "a 4", "b", "b 2", "a 2 2"]);
        assert_eq!(repeated, ["a", "b", "a 2"]);
    }
}
