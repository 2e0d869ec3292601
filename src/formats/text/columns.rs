//! Labels of columns to points with three coordinates, and to the columns of time and name.

use super::clock::stamp_seconds;
use super::dialect::Dialect;
use super::error::TextError;
use super::header::{Column, Header};
use super::labels::{Leading, Quantity, TimeUnit, Unit, names_points};
use super::numbers::trimmed;
use super::records::Record;
use super::section::Section;
use crate::formats::LengthUnit;
use crate::formats::names::make_unique;
use crate::letters::{holds, is_letter, is_of, trim_end};
use crate::order;
use crate::words::{Message, Place};

/// Where in the table a point stands.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct TrackColumns {
    pub(super) name: String,
    /// Columns of x, y and z.
    pub(super) columns: [usize; 3],
    pub(super) unit: Option<LengthUnit>,
}

/// The time column.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct TimeColumn {
    pub(super) column: usize,
    pub(super) unit: Option<TimeUnit>,
    /// Times of day or dates instead of numbers.
    pub(super) stamps: bool,
}

/// Which columns of a table are read.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Plan {
    pub(super) tracks: Vec<TrackColumns>,
    pub(super) time: Option<TimeColumn>,
    pub(super) frame: Option<usize>,
    pub(super) sub_frame: Option<usize>,
    /// Name of the point, in tables with one row per sample and point.
    pub(super) name: Option<usize>,
}

/// Understands a table that has a header.
///
/// # Errors
/// [`TextError::NoTracks`], [`TextError::Flat`] and [`TextError::CommaTwice`].
pub(super) fn plan(
    section: &Section,
    header: &Header,
    dialect: &Dialect,
    warnings: &mut Vec<Message>,
) -> Result<Plan, TextError> {
    let mut columns = header.columns.clone();
    if !header.axis_row {
        find_glued_axes(&mut columns);
        find_axes_by_order(&mut columns, warnings);
    }
    let groups = group(&columns);
    refuse_double_comma(section, header, dialect)?;
    if !groups.iter().any(Group::is_whole) {
        return Err(no_tracks(section, &columns, &groups));
    }
    let mut plan = leading_columns(section, &columns, dialect);
    let mut mixed: Vec<&Group<'_>> = Vec::new();
    for group in &groups {
        match group.track() {
            Some(_) if group.mixed() => mixed.push(group),
            found => plan.tracks.extend(found),
        }
    }
    if let Some(first) = mixed.first() {
        warnings.push(Message::new("text.mixed_units").with("tracks", mixed.len()).with("first", first.name));
    }
    if plan.tracks.is_empty() {
        return Err(no_tracks(section, &columns, &groups));
    }
    plan.name = name_column(section, &columns, &plan);
    tell_left_out(&columns, &plan, section, warnings);
    name_tracks(&mut plan.tracks, warnings);
    Ok(plan)
}

/// Understands a table without a header by its shape: leading columns that count up, then triples.
///
/// # Errors
/// [`TextError::NoTracks`].
pub(super) fn bare(section: &Section, dialect: &Dialect, warnings: &mut Vec<Message>) -> Result<Plan, TextError> {
    let width = section.width() - usize::from(section.ends_empty());
    let lead = width % 3;
    let rising = |column: usize| {
        let numbers = section.numbers(column, dialect.decimal);
        numbers.windows(2).all(|pair| matches!(pair, [Some(a), Some(b)] if b > a))
    };
    if width < 3 || !(0..lead).all(rising) || (0..width).any(|column| section.is_text(column)) {
        return Err(TextError::NoTracks { line: section.start.line, columns: width, found: String::new() });
    }
    let mut plan = Plan::default();
    for column in 0..lead {
        let whole = section.numbers(column, dialect.decimal).iter().flatten().all(|number| number.fract() == 0.0);
        match whole {
            true => plan.frame = plan.frame.or(Some(column)),
            false => plan.time = plan.time.or(Some(TimeColumn { column, unit: None, stamps: false })),
        }
    }
    let points = (width - lead) / 3;
    let listed = listed_names(section, points);
    if listed.is_none() {
        warnings.push(Message::new("text.no_header").with("tracks", points));
    }
    let names = listed.unwrap_or_else(|| (1..=points).map(|number| format!("point {number}")).collect());
    let columns = (lead..width).step_by(3).map(|x| [x, x + 1, x + 2]);
    plan.tracks =
        names.into_iter().zip(columns).map(|(name, columns)| TrackColumns { name, columns, unit: None }).collect();
    name_tracks(&mut plan.tracks, warnings);
    Ok(plan)
}

/// Names on a line of their own above the numbers: a key, then one name per point.
pub(super) fn lists_names(section: &Section) -> bool {
    let width = section.width() - usize::from(section.ends_empty());
    listed_names(section, width / 3).is_some()
}

fn listed_names(section: &Section, points: usize) -> Option<Vec<String>> {
    let names = |record: &Record| {
        let cells: Vec<&str> = record.cells.iter().map(trimmed).collect();
        let listed = cells.get(1..)?.iter().copied().rev().skip_while(|cell| cell.is_empty()).collect::<Vec<_>>();
        let key = cells[0].to_ascii_lowercase();
        let told = ["name", "label", "marker"].iter().any(|word| holds(key.as_bytes(), word.as_bytes()));
        let whole = listed.len() == points && points > 0 && listed.iter().all(|cell| is_word(cell));
        (told && whole).then(|| listed.iter().rev().map(|cell| (*cell).to_owned()).collect())
    };
    section.above.iter().rev().find_map(names)
}

fn is_word(cell: &str) -> bool {
    cell.contains(is_letter)
}

/// Columns of one point while they are collected.
struct Group<'a> {
    name: &'a str,
    columns: [Option<usize>; 3],
    units: [Option<LengthUnit>; 3],
}

impl Group<'_> {
    fn is_whole(&self) -> bool {
        self.columns.iter().all(Option::is_some)
    }
    fn mixed(&self) -> bool {
        let mut stated = self.units.iter().flatten();
        stated.next().is_some_and(|first| stated.any(|unit| unit != first))
    }
    fn track(&self) -> Option<TrackColumns> {
        let [Some(x), Some(y), Some(z)] = self.columns else { return None };
        let unit = self.units.iter().flatten().next().copied();
        Some(TrackColumns { name: self.name.to_owned(), columns: [x, y, z], unit })
    }
}

/// The length unit of a column that can be a coordinate; `None` where it cannot.
fn coordinate(column: &Column) -> Option<(usize, Option<LengthUnit>)> {
    let axis = column.label.axis.filter(|&axis| axis < 3)?;
    if column.leading.is_some() || column.label.quantity == Some(Quantity::Other) {
        return None;
    }
    match column.label.unit {
        None => Some((axis, None)),
        Some(Unit::Length(unit)) => Some((axis, Some(unit))),
        Some(_) => None,
    }
}

fn group(columns: &[Column]) -> Vec<Group<'_>> {
    let keys: Vec<(&str, bool)> =
        columns.iter().map(|column| (column.label.name.as_str(), column.label.quantity.is_some())).collect();
    let firsts = order::firsts(&keys);
    let mut groups: Vec<Group<'_>> = Vec::new();
    let mut open = vec![usize::MAX; columns.len()];
    for (at, column) in columns.iter().enumerate() {
        let Some((axis, unit)) = coordinate(column) else { continue };
        let group = &mut open[firsts[at]];
        if groups.get(*group).is_none_or(|group| group.columns[axis].is_some()) {
            *group = groups.len();
            groups.push(Group { name: &column.label.name, columns: [None; 3], units: [None; 3] });
        }
        groups[*group].columns[axis] = Some(at);
        groups[*group].units[axis] = unit;
    }
    groups
}

/// "LWRAX", "LWRAx", "XLWRA", "LWRA.1": an axis only where all three siblings exist.
fn find_glued_axes(columns: &mut [Column]) {
    type Split = fn(&str) -> Option<(String, usize)>;
    let splits: [Split; 3] = [last_letter, first_letter, number_behind];
    for split in splits {
        let free = |column: &Column| column.label.axis.is_none() && column.leading.is_none();
        let found = columns.iter().map(|column| split(&column.label.name).filter(|_| free(column)).unwrap_or_default());
        let (bases, axes): (Vec<String>, Vec<usize>) = found.unzip();
        let mut siblings = vec![[None; 3]; columns.len()];
        for (at, first) in order::firsts(&bases).into_iter().enumerate().filter(|(at, _)| !bases[*at].is_empty()) {
            siblings[first][axes[at]].get_or_insert(at);
        }
        for (base, whole) in bases.iter().zip(siblings) {
            let [Some(x), Some(y), Some(z)] = whole else { continue };
            for (axis, at) in [x, y, z].into_iter().enumerate() {
                columns[at].label.axis = Some(axis);
                columns[at].label.name = base[2..].to_owned();
                if says_other(&columns[at].label.name) {
                    columns[at].label.quantity = Some(Quantity::Other);
                }
            }
        }
    }
}

/// "ClubRotX", "LWRAVelocityY".
fn says_other(base: &str) -> bool {
    const ENDS: [&str; 12] = [
        "Rot",
        "Rotation",
        "Vel",
        "Velocity",
        "Accel",
        "Acceleration",
        "Angle",
        "Quat",
        "Orientation",
        "rotation",
        "velocity",
        "acceleration",
    ];
    ENDS.iter().any(|end| base.ends_with(end))
}

fn letter_axis(c: char) -> Option<(char, usize)> {
    // Upper and lower case are kept apart: "MAX" and "MAx" are no siblings.
    let (case, first) = if c.is_ascii_lowercase() { ('l', 'x') } else { ('u', 'X') };
    let axis = (c as usize).checked_sub(first as usize)?;
    (axis < 3).then_some((case, axis))
}

fn last_letter(name: &str) -> Option<(String, usize)> {
    let last = name.chars().next_back()?;
    let (case, axis) = letter_axis(last)?;
    let base = name.strip_suffix(last)?;
    let bare = ["Pos", "pos", "Position", "position"].iter().find_map(|end| base.strip_suffix(end)).unwrap_or(base);
    Some((format!("{case}:{}", trim_end(bare, |c| is_of("_ .", c))), axis))
}

fn first_letter(name: &str) -> Option<(String, usize)> {
    let first = name.chars().next()?;
    let (case, axis) = letter_axis(first)?;
    let base = name.strip_prefix(first)?;
    (!base.is_empty()).then(|| (format!("{case}:{base}"), axis))
}

/// `LWRA[0]`, `LWRA_1`, counted from 0.
fn number_behind(name: &str) -> Option<(String, usize)> {
    let (base, number) = trim_end(name, |c| is_of("])", c)).rsplit_once(['[', '(', '_', '.', ' '])?;
    let axis = number.parse::<usize>().ok().filter(|&number| number < 3)?;
    (!base.is_empty()).then(|| (format!("0:{base}"), axis))
}

/// A name over three columns without any axis: x, y and z in this order, which is told.
fn find_axes_by_order(columns: &mut [Column], warnings: &mut Vec<Message>) {
    if columns.iter().any(|column| column.label.axis.is_some()) {
        return;
    }
    let mut found = 0_usize;
    let mut at = 0;
    while at + 2 < columns.len() {
        if let Some(name) = shared_name(&columns[at..]).map(str::to_owned) {
            for (axis, column) in columns[at..at + 3].iter_mut().enumerate() {
                column.label.axis = Some(axis);
                column.label.name.clone_from(&name);
            }
            found += 1;
            at += 3;
        } else {
            at += 1;
        }
    }
    if found > 0 {
        warnings.push(Message::new("text.axes_by_order").with("tracks", found));
    }
}

/// The name that the first three columns share: as it is, made unique (`.1`, `.2`), or counted from 1 (`_1`, `_2`, `_3`)
/// with no fourth.
fn shared_name(columns: &[Column]) -> Option<&str> {
    let end = |at: usize, base: &str| {
        let column: &Column = columns.get(at).filter(|column| column.leading.is_none())?;
        column.label.name.strip_prefix(base)
    };
    let name = columns.first()?.label.name.as_str();
    end(0, name).filter(|_| !name.is_empty())?;
    if (1..3).all(|at| matches!(end(at, name), Some("" | ".1" | ".2"))) {
        return Some(name);
    }
    let base = name.strip_suffix("_1").filter(|base| !base.is_empty() && !says_other(base))?;
    let three = end(1, base) == Some("_2") && end(2, base) == Some("_3");
    (three && end(3, base) != Some("_4")).then_some(base)
}

/// With "1,5,2,5" under a header of two columns, each number fell into two cells.
fn refuse_double_comma(section: &Section, header: &Header, dialect: &Dialect) -> Result<(), TextError> {
    let labelled = header.columns.iter().rposition(|column| !column.written.is_empty()).map_or(0, |last| last + 1);
    let cells = section.width() - usize::from(section.ends_empty());
    let twice = cells == 2 * labelled || cells + 1 == 2 * labelled;
    if labelled < 3 || !twice || dialect.delimiter != super::records::Delimiter::Comma {
        return Ok(());
    }
    Err(TextError::CommaTwice { line: section.start.line, header: labelled, cells })
}

fn no_tracks(section: &Section, columns: &[Column], groups: &[Group<'_>]) -> TextError {
    let line = section.start.line;
    if let Some(flat) = groups.iter().find(|group| matches!(group.columns, [Some(_), Some(_), None])) {
        return TextError::Flat { line, track: flat.name.to_owned() };
    }
    let unknown = columns.iter().find(|column| !column.written.is_empty() && column.leading.is_none());
    let found = unknown.map(|column| column.written.clone()).unwrap_or_default();
    TextError::NoTracks { line, columns: section.width(), found }
}

fn leading_columns(section: &Section, columns: &[Column], dialect: &Dialect) -> Plan {
    let mut plan = Plan::default();
    for (at, column) in columns.iter().enumerate() {
        match column.leading {
            Some(Leading::Time(unit)) if plan.time.is_none() => plan.time = time_column(section, at, unit, dialect),
            Some(Leading::Frame) => plan.frame = plan.frame.or(Some(at)),
            Some(Leading::SubFrame) => plan.sub_frame = plan.sub_frame.or(Some(at)),
            _ => {}
        }
    }
    let unlabelled = columns.first().is_some_and(|column| column.written.is_empty() || column.written == "#");
    if unlabelled {
        unlabelled_first(section, dialect, &mut plan);
    }
    plan
}

/// A first column without a label that counts up: frame numbers where they are whole, else times.
fn unlabelled_first(section: &Section, dialect: &Dialect, plan: &mut Plan) {
    let numbers = section.numbers(0, dialect.decimal);
    let counts = numbers.windows(2).all(|pair| matches!(pair, [Some(a), Some(b)] if b >= a));
    let whole = numbers.iter().all(|number| number.is_some_and(|number| number.fract() == 0.0));
    if counts && whole {
        plan.frame = plan.frame.or(Some(0));
    } else if counts && numbers.len() > 1 {
        plan.time = plan.time.or(Some(TimeColumn { column: 0, unit: None, stamps: false }));
    }
}

/// A column that is called time and holds numbers or time stamps.
fn time_column(section: &Section, column: usize, unit: Option<TimeUnit>, dialect: &Dialect) -> Option<TimeColumn> {
    let numbers = section.numbers(column, dialect.decimal).iter().flatten().count();
    let stamp = |cell: &[u8]| stamp_seconds(trimmed(cell)).is_some();
    let stamps = section.sample.iter().filter_map(|record| record.cells.get(column)).filter(|cell| stamp(cell)).count();
    (numbers > 0 || stamps > 0).then_some(TimeColumn { column, unit, stamps: stamps > numbers })
}

/// The column that names the point of each row.
fn name_column(section: &Section, columns: &[Column], plan: &Plan) -> Option<usize> {
    if plan.tracks.len() != 1 {
        return None;
    }
    let free = |at: usize| {
        columns[at].leading.is_none()
            && columns[at].label.axis.is_none()
            && plan.time.is_none_or(|time| time.column != at)
    };
    let called = (0..columns.len()).find(|&at| free(at) && names_points(&columns[at].written));
    called.or_else(|| (0..columns.len()).find(|&at| free(at) && section.is_text(at) && changes(section, at)))
}

/// Do neighbouring rows of the sample differ in this column?
fn changes(section: &Section, column: usize) -> bool {
    let cells: Vec<&[u8]> = section.sample.iter().filter_map(|record| record.cells.get(column)).collect();
    cells.windows(2).filter(|pair| pair[0] != pair[1]).count() * 2 > cells.len()
}

fn tell_left_out(columns: &[Column], plan: &Plan, section: &Section, warnings: &mut Vec<Message>) {
    let mut used = vec![false; columns.len()];
    plan.tracks.iter().flat_map(|track| track.columns).chain(plan.name).for_each(|at| used[at] = true);
    let left: Vec<&Column> = columns
        .iter()
        .enumerate()
        .filter(|(at, column)| {
            *at < section.width() && column.leading.is_none() && !column.written.is_empty() && !used[*at]
        })
        .map(|(_, column)| column)
        .collect();
    if let Some(first) = left.first() {
        let message = Message::new("text.columns_left_out").with("columns", left.len());
        warnings.push(message.with("first", first.written.as_str()));
    }
}

/// Gives nameless points a number, and makes names unique.
fn name_tracks(tracks: &mut [TrackColumns], warnings: &mut Vec<Message>) {
    let nameless = tracks.iter().filter(|track| track.name.is_empty()).count();
    let mut count = 0;
    for track in tracks.iter_mut().filter(|track| track.name.is_empty()) {
        count += 1;
        track.name = if nameless == 1 { "point".to_owned() } else { format!("point {count}") };
    }
    let mut names: Vec<String> = tracks.iter_mut().map(|track| std::mem::take(&mut track.name)).collect();
    let repeated = make_unique(&mut names);
    tracks.iter_mut().zip(names).for_each(|(track, name)| track.name = name);
    if let Some(first) = repeated.first() {
        let message = Message::new("text.duplicate_names").with("count", repeated.len());
        warnings.push(message.at(Place::track(first)));
    }
}
