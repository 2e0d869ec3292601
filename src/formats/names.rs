//! Track names that a user can tell apart.

use crate::order;

/// Makes names unique in place: later ones get a number (`Hand`, `Hand 2`, `Hand 3`). Returns each name that occurred
/// more than once, in file order, for a warning.
pub(super) fn make_unique(names: &mut [String]) -> Vec<String> {
    let firsts = order::firsts(names);
    let mut taken = names.to_vec();
    order::sort(&mut taken);
    let mut numbers = vec![1; names.len()];
    let mut repeated = Vec::new();
    for (at, first) in firsts.into_iter().enumerate().filter(|(at, first)| at != first) {
        if numbers[first] == 1 {
            repeated.push(names[first].clone());
        }
        // A numbered name may itself be taken; the search goes on where it stopped, so it stays linear per name.
        names[at] = loop {
            numbers[first] += 1;
            let name = format!("{} {}", names[first], numbers[first]);
            if taken.binary_search(&name).is_err() {
                break name;
            }
        };
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
