//! From a track name to the rows of the name table it fits.

use super::names::{ANONYMOUS, CLUB_WORDS, NOISE, OTHERWISE, Part, QUALIFIERS, ROWS, Row, SEGMENTS, SPELLINGS, Side};
use std::collections::{HashMap, HashSet};
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

/// The lists of `names.rs`, ready for look-up.
struct Vocabulary {
    rows: HashMap<&'static str, Vec<&'static Row>>,
    spellings: HashMap<&'static str, &'static str>,
    noise: HashSet<&'static str>,
    club: HashSet<&'static str>,
    qualifiers: HashSet<&'static str>,
    otherwise: HashSet<&'static str>,
    segments: HashSet<&'static str>,
    anonymous: HashSet<&'static str>,
}

static VOCABULARY: LazyLock<Vocabulary> = LazyLock::new(|| {
    let mut rows: HashMap<&str, Vec<&Row>> = HashMap::new();
    for row in ROWS {
        for word in row.words.split_ascii_whitespace() {
            rows.entry(word).or_default().push(row);
        }
    }
    let pairs = SPELLINGS.iter().filter_map(|line| line.split_once(':'));
    Vocabulary {
        rows,
        spellings: pairs.flat_map(|(known, others)| others.split_ascii_whitespace().map(move |o| (o, known))).collect(),
        noise: set(NOISE),
        club: set(CLUB_WORDS),
        qualifiers: set(QUALIFIERS),
        otherwise: set(OTHERWISE),
        segments: set(SEGMENTS),
        anonymous: set(ANONYMOUS),
    }
});

fn set(words: &'static str) -> HashSet<&'static str> {
    words.split_ascii_whitespace().collect()
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
        let vocabulary = &*VOCABULARY;
        let text = vocabulary.spellings.get(text).copied().unwrap_or(text);
        let stem = text.trim_end_matches(|c: char| c.is_ascii_digit());
        let numbered_noise = stem.len() < text.len() && vocabulary.noise.contains(stem);
        let text = if numbered_noise { &text[stem.len()..] } else { text };
        let club = vocabulary.club.contains(text.trim_matches(|c: char| c.is_ascii_digit()));
        Token {
            text: if club { "club".to_owned() } else { text.to_owned() },
            at,
            side: match text {
                "left" => Some(Side::Left),
                "right" => Some(Side::Right),
                _ => None,
            },
            club,
            noise: vocabulary.noise.contains(text),
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
    let segments = dropped.iter().all(|token| token.side.is_some() || VOCABULARY.segments.contains(&*token.text));
    let subject = if segments { "" } else { &name[..rest.first()?.at] };
    Some(Reading { subject: subject.trim_matches(|c: char| !c.is_alphanumeric()), ..reading })
}

/// May the words left of the point's own name be its subject? After the colon (from `own` on) they may not be words
/// that change the point; a club's head is not the player's, and the ball of a foot not the golf ball.
fn may_drop(dropped: &[Token], own: usize, reading: &Reading<'_>) -> bool {
    let mut fitting = reading.rows.iter().filter(|row| row.part.role(reading.side).is_some());
    let of_body = fitting.any(|row| row.part.of_body());
    let changes = |token: &Token| {
        let text = &*token.text;
        token.side.is_some() || VOCABULARY.otherwise.contains(text) || (!of_body && VOCABULARY.segments.contains(text))
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
    look_up_orders(&all, None).or_else(|| {
        let joined = join(all.iter());
        glued_sides(&joined).find_map(|(side, rest)| look_up(rest, Some(side)))
    })
}

/// As written, else with a qualifier in front moved to the end (`lateral elbow`).
fn look_up_orders(tokens: &[&Token], side: Option<Side>) -> Option<Reading<'static>> {
    look_up(&join(tokens.iter()), side).or_else(|| {
        let (first, rest) = tokens.split_first()?;
        let qualifies = VOCABULARY.qualifiers.contains(&*first.text);
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
    if let Some(rows) = rows(word, side) {
        return Some(Reading { subject: "", side, rows, number: 0, end: false });
    }
    let stem = word.trim_end_matches(|c: char| c.is_ascii_digit());
    let number = word[stem.len()..].parse().ok()?;
    Some(Reading { subject: "", side, rows: rows(stem, side)?, number, end: false })
}

/// The rows of a word that can have this side; shaft and grip words also behind "club".
fn rows(word: &str, side: Option<Side>) -> Option<&'static [&'static Row]> {
    let known = |word: &str| VOCABULARY.rows.get(word).map(Vec::as_slice);
    let held = |row: &&Row| matches!(row.part, Part::MidHands | Part::ShaftUpper | Part::ShaftLower);
    let behind_club = || known(word.strip_prefix("club")?).filter(|rows| rows.iter().all(held));
    let rows = known(word).or_else(behind_club)?;
    rows.iter().any(|row| row.part.role(side).is_some()).then_some(rows)
}

/// Splits at separators, at humps (`LeftArm`, `LElbowOut`), and between a digit and a capital; lower case, no accents.
fn tokens(name: &str) -> Vec<Token> {
    let mut words: Vec<(usize, String)> = Vec::new();
    let mut previous = ' ';
    let mut chars = name.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let next = chars.peek().map_or(' ', |(_, c)| *c);
        if c.is_alphanumeric() {
            if !previous.is_alphanumeric() || is_hump(previous, c, next) {
                words.push((at, String::new()));
            }
            if let Some((_, word)) = words.last_mut() {
                word.extend(c.to_lowercase().map(fold));
            }
        }
        previous = c;
    }
    let first = words.len().saturating_sub(MOST_TOKENS);
    words[first..].iter().map(|(at, word)| Token::new(word, *at)).collect()
}

fn is_hump(previous: char, c: char, next: char) -> bool {
    c.is_uppercase() && (previous.is_lowercase() || previous.is_ascii_digit() || next.is_lowercase())
}

/// Is this a name that nobody gave: a number, or a word such as "marker" with a number?
pub(super) fn is_anonymous(name: &str) -> bool {
    let own = name.rsplit(':').next().unwrap_or_default();
    let mut words = own.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty());
    words.all(|word| VOCABULARY.anonymous.contains(&*word.to_lowercase()))
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
