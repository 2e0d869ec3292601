//! From a track name to the rows of the name table it fits.

use super::names::{ANONYMOUS, CLUB_WORDS, NOISE, OTHERWISE, ROWS, Row, Side, TRANSLATED};
use std::collections::HashMap;
use std::sync::LazyLock;

/// Longer names are no marker names; they are left unread.
const LONGEST_NAME: usize = 256;
/// Of a name in many words only the last ones are read.
const MOST_TOKENS: usize = 12;

/// What a name says.
#[derive(Clone, Debug)]
pub(super) struct Reading<'a> {
    /// What stands before the point's own name: `golfer 1` of `golfer 1:LSHO`. Empty without one.
    pub(super) subject: &'a str,
    pub(super) side: Option<Side>,
    /// Rows of the table with this word; their conditions are still open.
    pub(super) rows: &'static [&'static Row],
    /// Number after the word (`Ball1`), 0 without one.
    pub(super) number: u32,
    /// The name says that it is the end of a chain (`LeftToeBase end`).
    pub(super) end: bool,
}

struct Token {
    text: String,
    /// Byte offset in the name.
    at: usize,
}

type Table = HashMap<&'static str, Vec<&'static Row>>;

static TABLE: LazyLock<Table> = LazyLock::new(|| {
    let mut table = Table::new();
    for row in ROWS {
        for word in row.words.split_ascii_whitespace() {
            table.entry(word).or_default().push(row);
        }
    }
    table
});

/// Reads a name; `None` when it is not in the table. Time and memory are bounded, whatever the name.
///
/// The part after the last colon is tried first, then with leading words taken as the subject, then with the words
/// before the colon taken as part of the name (`club:head`).
pub(super) fn read(name: &str) -> Option<Reading<'_>> {
    if name.len() > LONGEST_NAME {
        return None;
    }
    let tokens = tokens(name);
    let own = own_start(name, &tokens);
    let starts = (own..tokens.len()).chain((0..own).rev());
    starts.into_iter().find_map(|start| read_from(name, &tokens, start, own))
}

/// Index of the first token behind the last subject separator.
fn own_start(name: &str, tokens: &[Token]) -> usize {
    let cut = name.rfind([':', '|', '/', '\\']).unwrap_or(0);
    let own = tokens.iter().position(|token| token.at >= cut).unwrap_or(0);
    if cut == 0 { 0 } else { own }
}

fn read_from<'a>(name: &'a str, tokens: &[Token], start: usize, own: usize) -> Option<Reading<'a>> {
    let (dropped, rest) = tokens.split_at(start);
    if dropped.iter().skip(own).any(|token| side_of(&token.text).is_some() || OTHERWISE.contains(&&*token.text)) {
        return None;
    }
    let subject = name[..rest.first()?.at].trim_matches(|c: char| !c.is_alphanumeric());
    let mut reading = read_words(rest)?;
    let of_body = reading.rows.iter().any(|row| row.part.of_body());
    if of_body && reading.side.is_none() && dropped.iter().any(|token| is_club_word(&token.text)) {
        return None;
    }
    reading.subject = subject;
    Some(reading)
}

fn read_words(tokens: &[Token]) -> Option<Reading<'static>> {
    let words: Vec<&str> = tokens.iter().map(|token| &*token.text).collect();
    look_up_words(&words).or_else(|| {
        let (last, before) = words.split_last()?;
        let end = matches!(*last, "end" | "endsite" | "nub" | "site");
        let before = if *last == "site" { before.strip_suffix(&["end"]).unwrap_or(before) } else { before };
        let reading = if end { look_up_words(before) } else { None }?;
        Some(Reading { end: true, ..reading })
    })
}

/// A separate side word first (`hip_r`), then no side (`C7`), then a side written together (`LSHO`).
fn look_up_words(words: &[&str]) -> Option<Reading<'static>> {
    let side_at = [0, words.len().wrapping_sub(1)].into_iter().chain(1..words.len());
    let separate = side_at.filter_map(|at| Some((at, side_of(words.get(at)?)?))).next();
    if let Some((at, side)) = separate {
        let rest: Vec<&str> = words.iter().enumerate().filter(|(i, _)| *i != at).map(|(_, word)| *word).collect();
        if let Some(found) = look_up(&join(&rest), Some(side)) {
            return Some(found);
        }
    }
    let joined = join(words);
    look_up(&joined, None).or_else(|| glued_sides(&joined).find_map(|(side, rest)| look_up(rest, Some(side))))
}

/// The words as one, without those that say nothing, and with any club word as "club".
fn join(words: &[&str]) -> String {
    let mut joined = String::new();
    let mut after_club = false;
    for word in words {
        let club = is_club_word(word);
        let number = word.bytes().all(|b| b.is_ascii_digit());
        if club {
            joined.push_str("club");
        } else if !NOISE.contains(word) && !(after_club && number) {
            joined.push_str(word);
        }
        after_club = club;
    }
    joined
}

fn is_club_word(word: &str) -> bool {
    CLUB_WORDS.contains(&word.trim_matches(|c: char| c.is_ascii_digit()))
}

fn side_of(word: &str) -> Option<Side> {
    match word {
        "l" | "lt" | "lft" | "left" => Some(Side::Left),
        "r" | "rt" | "rgt" | "right" => Some(Side::Right),
        _ => None,
    }
}

fn glued_sides(word: &str) -> impl Iterator<Item = (Side, &str)> {
    let front = [
        ("left", Side::Left),
        ("right", Side::Right),
        ("lt", Side::Left),
        ("rt", Side::Right),
        ("l", Side::Left),
        ("r", Side::Right),
    ];
    let back = [("left", Side::Left), ("right", Side::Right)];
    let fronts = front.into_iter().filter_map(move |(mark, side)| Some((side, word.strip_prefix(mark)?)));
    fronts.chain(back.into_iter().filter_map(move |(mark, side)| Some((side, word.strip_suffix(mark)?))))
}

/// The word as it stands, else without the number behind it.
fn look_up(word: &str, side: Option<Side>) -> Option<Reading<'static>> {
    let stem = word.trim_end_matches(|c: char| c.is_ascii_digit());
    let fits = |word: &str| TABLE.get(word).filter(|rows| rows.iter().any(|row| row.part.role(side).is_some()));
    if let Some(rows) = fits(word) {
        return Some(Reading { subject: "", side, rows, number: 0, end: false });
    }
    let number = word[stem.len()..].parse().ok()?;
    Some(Reading { subject: "", side, rows: fits(stem)?, number, end: false })
}

/// Splits at separators, at humps (`LeftArm`, `LElbowOut`), and between a digit and a capital; lower case, no accents.
fn tokens(name: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut previous = ' ';
    let mut chars = name.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let next = chars.peek().map_or(' ', |(_, c)| *c);
        if c.is_alphanumeric() {
            if !previous.is_alphanumeric() || is_hump(previous, c, next) {
                tokens.push(Token { text: String::new(), at });
            }
            if let Some(token) = tokens.last_mut() {
                token.text.extend(c.to_lowercase().map(fold));
            }
        }
        previous = c;
    }
    tokens.drain(..tokens.len().saturating_sub(MOST_TOKENS));
    for token in &mut tokens {
        translate(&mut token.text);
    }
    tokens
}

fn is_hump(previous: char, c: char, next: char) -> bool {
    c.is_uppercase() && (previous.is_lowercase() || previous.is_ascii_digit() || next.is_lowercase())
}

/// Is this a name that nobody gave: a number, or a word such as "marker" with a number?
pub(super) fn is_anonymous(name: &str) -> bool {
    let own = name.rsplit(':').next().unwrap_or_default();
    let words: Vec<String> = own.split(|c: char| !c.is_alphabetic()).map(str::to_lowercase).collect();
    words.iter().all(|word| ANONYMOUS.contains(&&**word))
}

fn fold(c: char) -> char {
    match c {
        'ä' | 'á' | 'à' | 'â' => 'a',
        'é' | 'è' | 'ê' => 'e',
        'í' | 'î' => 'i',
        'ö' | 'ó' | 'ô' => 'o',
        'ü' | 'ú' | 'û' => 'u',
        'ñ' => 'n',
        'ç' => 'c',
        other => other,
    }
}

fn translate(word: &mut String) {
    if let Some((_, known)) = TRANSLATED.iter().find(|(foreign, _)| foreign == word) {
        *word = (*known).to_owned();
    }
}
