//! Letters and their case without the tables of Unicode, which weigh as much as all readers' words together.
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

#[cfg(test)]
mod tests {
    use super::*;

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
