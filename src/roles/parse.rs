//! From a track name to the rows of the name table it fits.

use super::names::{ANONYMOUS, CLUB_WORDS, NOISE, OTHERWISE, Part, QUALIFIERS, ROWS, Row, SEGMENTS, SPELLINGS, Side};
use crate::letters::{is_capital, is_in, is_letter, is_letter_or_digit, lower, trim, trim_end};
use crate::order;
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
    /// Byte offset of the point's own name: before it stands a subject, if anything.
    pub(super) own: usize,
    pub(super) side: Option<Side>,
    /// Rows of the table with this word; their conditions are still open.
    pub(super) rows: &'static [(&'static str, &'static Row)],
    /// Number after the word (`Ball1`), 0 without one.
    pub(super) number: u32,
    /// The name says that it is the end of a chain (`LeftToeBase end`).
    pub(super) end: bool,
}

/// Every word of the table with its row, sorted by word, rows of one word in the order of the table.
static WORDS: LazyLock<Vec<(&'static str, &'static Row)>> = LazyLock::new(|| {
    let mut words: Vec<(&str, &Row)> = Vec::new();
    for row in ROWS {
        for word in row.words.split(' ') {
            words.push((word, row));
        }
    }
    order::sort_by(&mut words, |a, b| a.0.cmp(b.0));
    words
});

/// The word of the table for another spelling of it.
fn respelled(word: &str) -> &str {
    let known = SPELLINGS.iter().find_map(|line| {
        let (known, others) = line.split_once(':')?;
        is_in(others, word).then_some(known)
    });
    known.unwrap_or(word)
}

/// A word of a name, spelled as the table does.
struct Token {
    text: String,
    /// Byte offset in the name.
    at: usize,
    side: Option<Side>,
    club: bool,
    noise: bool,
    number: bool,
}

impl Token {
    fn new(text: &str, at: usize) -> Self {
        let text = respelled(text);
        let stem = trim_end(text, |c| c.is_ascii_digit());
        let numbered_noise = stem.len() < text.len() && is_in(NOISE, stem);
        let text = if numbered_noise { &text[stem.len()..] } else { text };
        let club = is_in(CLUB_WORDS, trim(text, |c| c.is_ascii_digit()));
        Token {
            text: if club { "club".to_owned() } else { text.to_owned() },
            at,
            side: match text {
                "left" => Some(Side::Left),
                "right" => Some(Side::Right),
                _ => None,
            },
            club,
            noise: is_in(NOISE, text),
            number: text.bytes().all(|b| b.is_ascii_digit()),
        }
    }
}

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
    let mut starts = (own..tokens.len()).chain((0..own).rev());
    starts.find_map(|start| read_from(name, &tokens, start, own))
}

/// Index of the first token behind the last subject separator; 0 when none follows it.
fn own_start(name: &str, tokens: &[Token]) -> usize {
    let cut = name.rfind([':', '|', '/', '\\']);
    cut.and_then(|cut| tokens.iter().position(|token| token.at > cut)).unwrap_or(0)
}

fn read_from<'a>(name: &'a str, tokens: &[Token], start: usize, own: usize) -> Option<Reading<'a>> {
    let (dropped, rest) = tokens.split_at(start);
    let reading = read_words(rest)?;
    if !may_drop(dropped, own, &reading) {
        return None;
    }
    let segments = dropped.iter().all(|token| token.side.is_some() || is_in(SEGMENTS, &token.text));
    let subject = if segments { "" } else { &name[..rest.first()?.at] };
    let own = if segments { tokens.first()?.at } else { subject.len() };
    Some(Reading { subject: trim(subject, |c| !is_letter_or_digit(c)), own, ..reading })
}

/// May the words left of the point's own name be its subject? After the colon (from `own` on) they may not be words
/// that change the point; a club's head is not the player's, and the ball of a foot not the golf ball.
fn may_drop(dropped: &[Token], own: usize, reading: &Reading<'_>) -> bool {
    let mut fitting = reading.rows.iter().filter(|(_, row)| row.part.role(reading.side).is_some());
    let of_body = fitting.any(|(_, row)| row.part.of_body());
    let changes = |token: &Token| {
        let text = &*token.text;
        token.side.is_some() || is_in(OTHERWISE, text) || (!of_body && is_in(SEGMENTS, text))
    };
    let clubs_own = of_body && reading.side.is_none() && dropped.iter().any(|token| token.club);
    !clubs_own && !dropped.iter().skip(own).any(changes)
}

/// The words as they stand, else without a last word that says "end of the chain".
fn read_words(tokens: &[Token]) -> Option<Reading<'static>> {
    look_up_words(tokens).or_else(|| {
        let chain = tokens.iter().rposition(|token| !matches!(&*token.text, "end" | "site" | "endsite" | "nub"))?;
        let before = tokens.get(..=chain).filter(|before| before.len() < tokens.len())?;
        Some(Reading { end: true, ..look_up_words(before)? })
    })
}

/// A separate side word first (`hip_r`), then no side (`C7`), then a side written together (`LSHO`).
fn look_up_words(tokens: &[Token]) -> Option<Reading<'static>> {
    let mut places = [0, tokens.len().wrapping_sub(1)].into_iter().chain(1..tokens.len());
    let separate = places.find_map(|at| Some((at, tokens.get(at)?.side?)));
    if let Some((at, side)) = separate {
        let rest = tokens.iter().enumerate().filter(|(i, _)| *i != at).map(|(_, token)| token);
        let found = look_up_orders(&rest.collect::<Vec<_>>(), Some(side));
        if found.is_some() {
            return found;
        }
    }
    let all: Vec<&Token> = tokens.iter().collect();
    look_up_orders(&all, None).or_else(|| look_up_glued(&join(all.iter())))
}

/// As written, else with a qualifier in front moved to the end (`lateral elbow`).
fn look_up_orders(tokens: &[&Token], side: Option<Side>) -> Option<Reading<'static>> {
    look_up(&join(tokens.iter()), side).or_else(|| {
        let (first, rest) = tokens.split_first()?;
        let qualifies = is_in(QUALIFIERS, &first.text);
        if qualifies { look_up(&join(rest.iter().chain([first])), side) } else { None }
    })
}

/// The words as one, without those that say nothing and without a club's number.
fn join<'a>(tokens: impl Iterator<Item = &'a &'a Token>) -> String {
    let mut joined = String::new();
    let mut after_club = false;
    for token in tokens {
        let clubs_number = after_club && token.number;
        if !token.noise && !clubs_number {
            joined.push_str(&token.text);
        }
        after_club = token.club;
    }
    joined
}

fn look_up_glued(word: &str) -> Option<Reading<'static>> {
    let before = [
        ("left", Side::Left),
        ("right", Side::Right),
        ("lt", Side::Left),
        ("rt", Side::Right),
        ("l", Side::Left),
        ("r", Side::Right),
    ];
    let front = before.iter().find_map(|(mark, side)| look_up(word.strip_prefix(mark)?, Some(*side)));
    front.or_else(|| before[..2].iter().find_map(|(mark, side)| look_up(word.strip_suffix(mark)?, Some(*side))))
}

/// The word as it stands, else without the number behind it.
fn look_up(word: &str, side: Option<Side>) -> Option<Reading<'static>> {
    if let Some(rows) = rows(word, side) {
        return Some(Reading { subject: "", own: 0, side, rows, number: 0, end: false });
    }
    let stem = trim_end(word, |c| c.is_ascii_digit());
    let number = word[stem.len()..].parse().ok()?;
    Some(Reading { subject: "", own: 0, side, rows: rows(stem, side)?, number, end: false })
}

/// The rows of a word that can have this side; shaft and grip words also behind "club".
fn rows(word: &str, side: Option<Side>) -> Option<&'static [(&'static str, &'static Row)]> {
    let held = |row: &Row| matches!(row.part, Part::MidHands | Part::ShaftUpper | Part::ShaftLower);
    let behind_club = || known(word.strip_prefix("club")?).filter(|rows| rows.iter().all(|(_, row)| held(row)));
    let rows = known(word).or_else(behind_club)?;
    rows.iter().any(|(_, row)| row.part.role(side).is_some()).then_some(rows)
}

fn known(word: &str) -> Option<&'static [(&'static str, &'static Row)]> {
    let behind = &WORDS[WORDS.partition_point(|(known, _)| *known < word)..];
    let count = behind.iter().take_while(|(known, _)| *known == word).count();
    behind.get(..count).filter(|rows| !rows.is_empty())
}

/// Splits at separators, at humps (`LeftArm`, `LElbowOut`), and between a digit and a capital; lower case, no accents.
fn tokens(name: &str) -> Vec<Token> {
    let mut words: Vec<(usize, String)> = Vec::new();
    let mut previous = ' ';
    let mut chars = name.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let next = chars.peek().map_or(' ', |(_, c)| *c);
        if is_letter_or_digit(c) {
            if !is_letter_or_digit(previous) || is_hump(previous, c, next) {
                words.push((at, String::new()));
            }
            if let Some((_, word)) = words.last_mut() {
                word.push(fold(lower(c)));
            }
        }
        previous = c;
    }
    let first = words.len().saturating_sub(MOST_TOKENS);
    words[first..].iter().map(|(at, word)| Token::new(word, *at)).collect()
}

fn is_hump(previous: char, c: char, next: char) -> bool {
    let is_small = |c: char| is_letter(c) && !is_capital(c);
    is_capital(c) && (is_small(previous) || previous.is_ascii_digit() || is_small(next))
}

/// Is this a name that nobody gave: a number, or a word such as "marker" with a number?
pub(super) fn is_anonymous(name: &str) -> bool {
    let own = name.rsplit(':').next().unwrap_or_default();
    let mut words = own.split(|c: char| !is_letter(c)).filter(|word| !word.is_empty());
    words.all(|word| is_in(ANONYMOUS, &word.to_ascii_lowercase()))
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
