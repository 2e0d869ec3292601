//! Letters, their case, and words: without the tables of Unicode, and in one copy each.
//!
//! Exact for ASCII and Latin-1. What stands further back is a letter without case, except for general punctuation.

/// Is this a letter?
pub(crate) fn is_letter(c: char) -> bool {
    c.is_ascii_alphabetic() || c >= 'À' && !matches!(c, '×' | '÷' | '\u{2000}'..='\u{206F}')
}

/// Is this a letter or an ASCII digit?
pub(crate) fn is_letter_or_digit(c: char) -> bool {
    is_letter(c) || c.is_ascii_digit()
}

/// Is this a capital?
pub(crate) fn is_capital(c: char) -> bool {
    lower(c) != c
}

/// The small letter of a capital; anything else as it is.
pub(crate) fn lower(c: char) -> char {
    match c {
        '×' => c,
        'À'..='Þ' => char::from(c as u8 + 32),
        _ => c.to_ascii_lowercase(),
    }
}

/// The text without the characters at its ends that fit. A pointer instead of a type for the test, so that the module
/// holds one copy; likewise below.
#[inline(never)]
pub(crate) fn trim(text: &str, edge: fn(char) -> bool) -> &str {
    trim_end(trim_start(text, edge), edge)
}

/// The text without the characters at its start that fit.
#[inline(never)]
pub(crate) fn trim_start(text: &str, edge: fn(char) -> bool) -> &str {
    text.trim_start_matches(edge)
}

/// The text without the characters at its end that fit.
#[inline(never)]
pub(crate) fn trim_end(text: &str, edge: fn(char) -> bool) -> &str {
    text.trim_end_matches(edge)
}

/// Is the word in a list of words, separated by blanks?
#[inline(never)]
pub(crate) fn is_in(list: &str, word: &str) -> bool {
    list.split_ascii_whitespace().any(|listed| listed == word)
}

/// What stands beside the list of words that holds this one.
pub(crate) fn look_up<T: Copy>(lists: &[(T, &str)], word: &str) -> Option<T> {
    lists.iter().find(|(_, list)| is_in(list, word)).map(|(value, _)| *value)
}

/// Is this one of the characters of a text?
pub(crate) fn is_of(text: &str, c: char) -> bool {
    text.chars().any(|one| one == c)
}

/// Does a text hold this part? (Std's search is made for long texts, and weighs as much.)
pub(crate) fn holds(text: &[u8], part: &[u8]) -> bool {
    place_of(text, part).is_some()
}

#[inline(never)]
fn place_of(text: &[u8], part: &[u8]) -> Option<usize> {
    text.windows(part.len()).position(|window| window == part)
}

/// The text with a value for the first place that holds this part.
pub(crate) fn filled(text: &str, part: &str, value: &str) -> String {
    match place_of(text.as_bytes(), part.as_bytes()) {
        Some(at) => [&text[..at], value, &text[at + part.len()..]].concat(),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_whole() {
        let lists = [(1, "one uno"), (2, "two dos")];
        assert_eq!(["dos", "do", "one uno", ""].map(|word| look_up(&lists, word)), [Some(2), None, None, None]);
        assert!(holds(b"NumMarkers", b"Mark") && !holds(b"Num", b"NumMarkers"));
        assert_eq!(trim("  (mm) ", |c| is_of(" ()", c)), "mm");
        assert_eq!([filled("{size} in", "{size}", "3"), filled("in", "{size}", "3")], ["3 in", "in"]);
    }

    /// Std's tables are the oracle. The letters ª, µ and º of Latin-1 are signs of units and ordinals here.
    #[test]
    fn ascii_and_latin_1_are_exact() {
        for c in (0..=255_u8).map(char::from).filter(|c| !"ªµº".contains(*c)) {
            assert_eq!(is_letter(c), c.is_alphabetic(), "{c:?}");
            assert_eq!(is_capital(c), c.is_uppercase(), "{c:?}");
            assert_eq!(lower(c).to_string(), c.to_lowercase().to_string(), "{c:?}");
        }
        for c in "Жж中".chars() {
            assert!(is_letter(c) && lower(c) == c, "{c:?}");
        }
        assert!(!is_letter('\u{2019}') && !is_letter_or_digit('\u{a0}') && is_letter_or_digit('7'));
    }
}
