//! Header rows above a table, in any usual order, to one label per column.
//!
//! Each row is one of: names, axes, units, quantities ("Position", "Rotation"), or nothing of interest (kinds of object,
//! identifiers). What a row is, the majority of its cells decides. A name over the first of several columns holds for
//! the empty cells behind it.

use super::dialect::{Dialect, is_number};
use super::labels::{self, Label, Leading, Quantity, Unit};
use super::numbers::trimmed;
use super::preamble::states_fact;
use super::records::{Delimiter, Record};
use super::section::Section;
use crate::letters::{is_of, look_up, trim_start};
use crate::order;

/// What the header says of one column.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Column {
    pub(super) label: Label,
    pub(super) leading: Option<Leading>,
    /// The label as written, for messages.
    pub(super) written: String,
}

/// The header of a table.
#[derive(Debug, Default)]
pub(super) struct Header {
    /// Empty: the table has no header.
    pub(super) columns: Vec<Column>,
    /// Is there a row of axes, so that names stand alone?
    pub(super) axis_row: bool,
}

/// Tables with more header rows than this were not seen.
const MOST_ROWS: usize = 8;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Names,
    Axes,
    Units,
    Quantities,
    Ignored,
}

struct Row {
    cells: Vec<String>,
    kind: Kind,
}

/// Reads the header rows of a section. `verbatim`: a row of names is never taken apart.
pub(super) fn read(text: &str, section: &Section, dialect: &Dialect, verbatim: bool) -> Header {
    let mut rows = rows(text, section, dialect);
    if rows.is_empty() {
        return Header::default();
    }
    let axis_row = rows.iter().any(|row| row.kind == Kind::Axes);
    let width = rows.iter().map(|row| row.cells.len()).max().unwrap_or(0);
    let written: Vec<String> = (0..width).map(|column| written(&rows, column)).collect();
    let leading: Vec<Option<Leading>> = (0..width).map(|column| leading(&rows, column)).collect();
    rows.iter_mut().for_each(|row| row.cells.resize(width, String::new()));
    let triples = triples(&rows);
    for row in rows.iter_mut().filter(|row| matches!(row.kind, Kind::Names | Kind::Quantities)) {
        if !fill_triples(row, &triples) {
            fill(row, if axis_row { usize::MAX } else { 2 });
        }
    }
    drop_titles(&mut rows);
    drop_numbers(&mut rows);
    let columns = written.into_iter().zip(leading).enumerate().map(|(at, (written, leading))| {
        let leading = leading.map(|leading| with_unit(leading, &rows, at));
        Column { label: label(&rows, at, axis_row, verbatim), leading, written }
    });
    Header { columns: columns.collect(), axis_row }
}

/// The rows that belong to the header, top first.
fn rows(text: &str, section: &Section, dialect: &Dialect) -> Vec<Row> {
    let width = section.width();
    let shifted = counts_rows(section, dialect) && !section.ends_empty();
    let mut rows: Vec<Row> = Vec::new();
    for record in section.above.iter().rev().take(MOST_ROWS) {
        let cells = aligned(cells(text, record, dialect, width), width, dialect.delimiter, shifted);
        if cells.iter().all(String::is_empty) {
            continue;
        }
        let Some(kind) = accepted(&cells, record, &rows, width) else { break };
        let complete = kind == Kind::Names && names_and_axes(&cells) >= 3;
        rows.push(Row { cells, kind });
        if complete {
            break;
        }
    }
    if rows.iter().all(|row| matches!(row.kind, Kind::Units | Kind::Ignored)) {
        rows.clear();
    }
    rows.reverse();
    rows
}

/// Is the first column a count of the rows that a header may leave out?
fn counts_rows(section: &Section, dialect: &Dialect) -> bool {
    let numbers = section.numbers(0, dialect.decimal);
    numbers.len() > 1 && numbers.windows(2).all(|pair| matches!(pair, [Some(a), Some(b)] if (b - a - 1.0).abs() < 1e-9))
}

/// Trimmed cells, without the mark of a comment.
fn cells(text: &str, record: &Record, dialect: &Dialect, width: usize) -> Vec<String> {
    let mut cells: Vec<String> = record.cells.iter().map(|cell| trimmed(cell).to_owned()).collect();
    if cells.len() > width && cells.first().is_some_and(|first| matches!(first.as_str(), "#" | "%" | "//")) {
        cells.remove(0);
    }
    if dialect.delimiter == Delimiter::Blanks && cells.len() > width {
        cells = wide_blanks(text, record).filter(|cells| (3..=width).contains(&cells.len())).unwrap_or(cells);
    }
    if let Some(first) = cells.first_mut() {
        let bare = trim_start(first, |c| is_of("/#%", c)).trim().to_owned();
        if !bare.is_empty() {
            *first = bare;
        }
    }
    cells
}

/// "Left Wrist X   Left Wrist Y": two blanks separate where one does not.
fn wide_blanks(text: &str, record: &Record) -> Option<Vec<String>> {
    let line = text.get(record.at.byte..)?.lines().next()?;
    let mut cells: Vec<String> = Vec::new();
    let mut blanks = 2;
    for c in line.chars() {
        match c {
            ' ' => blanks += 1,
            '\t' => blanks += 2,
            _ => {
                match (cells.last_mut(), blanks) {
                    (Some(cell), 0) => cell.push(c),
                    (Some(cell), 1) => cell.extend([' ', c]),
                    _ => cells.push(c.to_string()),
                }
                blanks = 0;
            }
        }
    }
    Some(cells)
}

/// Puts the cells of a row that is shorter than the table where they belong.
fn aligned(cells: Vec<String>, width: usize, delimiter: Delimiter, shifted: bool) -> Vec<String> {
    if cells.len() >= width {
        return cells;
    }
    if shifted && cells.len() + 1 == width && cells.iter().all(|cell| !cell.is_empty()) {
        return [vec![String::new()], cells].concat();
    }
    if delimiter != Delimiter::Blanks {
        return cells;
    }
    let leading = cells.iter().take_while(|cell| labels::leading(cell).is_some()).count();
    let (front, names) = cells.split_at(leading);
    let mut out = vec![String::new(); width];
    let triples = width.checked_sub(3 * names.len()).is_some_and(|rest| rest <= leading.max(2));
    if !triples && kind_of(&cells, false) == Kind::Names {
        return cells;
    }
    let step = if triples { 3 } else { 1 };
    let from = width.saturating_sub(step * names.len());
    out.iter_mut().zip(front).for_each(|(cell, text)| cell.clone_from(text));
    out[from..].iter_mut().step_by(step).zip(names).for_each(|(cell, text)| cell.clone_from(text));
    out
}

/// What kind of header row this is; `None` for a line of the preamble.
fn accepted(cells: &[String], record: &Record, below: &[Row], width: usize) -> Option<Kind> {
    let first_axis =
        below.iter().find(|row| row.kind == Kind::Axes).and_then(|row| row.cells.iter().position(|cell| is_axis(cell)));
    let kind = kind_of(cells, first_axis.is_some());
    let filled = cells.iter().filter(|cell| !cell.is_empty()).count();
    if kind == Kind::Units && filled >= 3 {
        return Some(kind);
    }
    if states_fact(record) {
        return None;
    }
    let reaches = match first_axis {
        Some(axis) => {
            let over = cells.iter().skip(axis).any(|cell| !cell.is_empty());
            over && (axis == 0 || fits_below(&cells[0], below) || 2 * filled > width && !labelled_below(below))
        }
        None => filled >= 3.max(width.div_ceil(3).min(width / 3 + 1)) || filled >= width,
    };
    let numbers = cells.iter().filter(|cell| !cell.is_empty() && is_number(cell.as_bytes())).count();
    let named = below.iter().any(|row| row.kind == Kind::Names);
    let mostly_numbers = 2 * numbers > filled && (first_axis.is_none() || named);
    (reaches && !mostly_numbers).then_some(kind)
}

/// May a header row begin with this cell?
fn fits_below(head: &str, below: &[Row]) -> bool {
    head.is_empty() || is_heading(head) || labels::leading(head).is_some() && !labelled_below(below)
}

/// Is the first column already called time or frame by a row further down?
fn labelled_below(below: &[Row]) -> bool {
    below.iter().any(|row| row.cells.first().is_some_and(|cell| labels::leading(cell).is_some()))
}

/// Words that name a header row in its first cell.
fn is_heading(cell: &str) -> bool {
    heading_kind(cell).is_some()
}

fn heading_kind(cell: &str) -> Option<Kind> {
    const HEADINGS: [(Kind, &str); 4] = [
        (
            Kind::Names,
            "name names marker markers marker_name marker_names label labels point points joint joints bodyparts segment",
        ),
        (Kind::Ignored, "id ids type parent color colour scorer"),
        (Kind::Units, "unit units"),
        (Kind::Axes, "axis axes coords component components coordinate"),
    ];
    look_up(&HEADINGS, &cell.trim_end_matches(':').to_ascii_lowercase().replace(' ', "_"))
}

/// "X", "x1", "X (mm)", "Pos X".
fn is_axis(cell: &str) -> bool {
    let label = labels::parse(cell);
    label.axis.is_some() && label.name.bytes().all(|byte| byte.is_ascii_digit())
}

fn kind_of(cells: &[String], axes_known: bool) -> Kind {
    if axes_known
        && let Some(kind) = cells.iter().find(|cell| !cell.is_empty()).and_then(|cell| heading_kind(cell))
        && kind != Kind::Axes
    {
        return kind;
    }
    let counted: Vec<&String> = cells
        .iter()
        .filter(|cell| !cell.is_empty() && labels::leading(cell).is_none() && !(is_heading(cell) && axes_known))
        .collect();
    let most = |test: &dyn Fn(&str) -> bool| 2 * counted.iter().filter(|cell| test(cell)).count() > counted.len();
    if most(&is_axis) {
        Kind::Axes
    } else if most(&|cell| labels::unit(cell).is_some()) {
        Kind::Units
    } else if most(&|cell| labels::quantity_alone(cell).is_some()) {
        Kind::Quantities
    } else if axes_known && (most(&labels::is_type) || most(&is_identifier)) {
        Kind::Ignored
    } else {
        Kind::Names
    }
}

/// A long hexadecimal number, as programs give to objects.
fn is_identifier(cell: &str) -> bool {
    let digits = cell.bytes().filter(u8::is_ascii_hexdigit).count();
    let others = cell.bytes().filter(|byte| !byte.is_ascii_hexdigit() && !b"-{}".contains(byte)).count();
    others == 0 && digits >= 8 && cell.bytes().any(|byte| byte.is_ascii_digit())
}

/// Cells that hold a name and an axis.
fn names_and_axes(cells: &[String]) -> usize {
    let whole = |cell: &&String| {
        let label = labels::parse(cell);
        label.axis.is_some() && !label.name.is_empty()
    };
    cells.iter().filter(whole).count()
}

fn written(rows: &[Row], column: usize) -> String {
    let cells = rows.iter().filter_map(|row| row.cells.get(column));
    cells.filter(|cell| !cell.is_empty()).map(String::as_str).collect::<Vec<_>>().join(" ")
}

fn leading(rows: &[Row], column: usize) -> Option<Leading> {
    let cells = || rows.iter().rev().filter_map(|row| Some((row.kind, row.cells.get(column)?)));
    let by_unit = |(kind, cell): (Kind, &String)| match labels::unit(cell) {
        Some(Unit::Time(unit)) if kind == Kind::Units => Some(Leading::Time(Some(unit))),
        _ => None,
    };
    cells().find_map(|(_, cell)| labels::leading(cell)).or_else(|| cells().find_map(by_unit))
}

/// A time unit may stand in the row of units.
fn with_unit(leading: Leading, rows: &[Row], column: usize) -> Leading {
    let unit = rows.iter().filter_map(|row| row.cells.get(column)).find_map(|cell| labels::unit(cell));
    match (leading, unit) {
        (Leading::Time(None), Some(Unit::Time(unit))) => Leading::Time(Some(unit)),
        _ => leading,
    }
}

/// First columns of three neighbours with the axes x, y, z.
fn triples(rows: &[Row]) -> Vec<usize> {
    let Some(row) = rows.iter().find(|row| row.kind == Kind::Axes) else { return Vec::new() };
    let axes: Vec<Option<usize>> = row.cells.iter().map(|cell| labels::parse(cell).axis).collect();
    (0..axes.len()).filter(|&at| axes.get(at..at + 3) == Some(&[Some(0), Some(1), Some(2)])).collect()
}

/// Where each triple has one name over any of its columns (merged cells may keep it in the middle), it holds for all
/// three; false where that is not so.
fn fill_triples(row: &mut Row, triples: &[usize]) -> bool {
    let name_in = |at: usize| {
        let mut filled = row.cells[at..at + 3].iter().filter(|cell| !cell.is_empty());
        filled.next().filter(|_| filled.next().is_none()).cloned()
    };
    let Some(names) = triples.iter().map(|&at| name_in(at)).collect::<Option<Vec<String>>>() else { return false };
    for (&at, name) in triples.iter().zip(&names) {
        row.cells[at..at + 3].fill(name.clone());
    }
    !names.is_empty()
}

/// Lets a name hold for up to `most` empty cells behind it.
fn fill(row: &mut Row, most: usize) {
    let mut last = String::new();
    let mut filled = 0;
    for cell in &mut row.cells {
        if !cell.is_empty() {
            let holds = labels::leading(cell).is_none() && !is_heading(cell);
            last = if holds { cell.clone() } else { String::new() };
            filled = 0;
        } else if filled < most {
            cell.clone_from(&last);
            filled += 1;
        }
    }
}

/// Of several rows of names, one that has the same text all over is a title.
fn drop_titles(rows: &mut [Row]) {
    let distinct = |row: &Row| {
        let named = |cell: &&String| !cell.is_empty() && labels::leading(cell).is_none() && !is_heading(cell);
        order::distinct(&row.cells.iter().filter(named).collect::<Vec<_>>())
    };
    let names: Vec<usize> = rows.iter().map(|row| if row.kind == Kind::Names { distinct(row) } else { 0 }).collect();
    if names.iter().any(|&count| count > 1) {
        for (row, _) in rows.iter_mut().zip(&names).filter(|(_, count)| **count == 1) {
            row.kind = Kind::Ignored;
        }
    }
}

/// Of several rows of names, those that only number the columns' objects add nothing to a row that names them.
fn drop_numbers(rows: &mut [Row]) {
    let numbers = |row: &Row| {
        let mut cells = row.cells.iter().filter(|cell| !cell.is_empty() && labels::leading(cell).is_none()).peekable();
        cells.peek().is_some() && cells.all(|cell| cell.bytes().all(|byte| byte.is_ascii_digit()))
    };
    let is_name = |row: &Row| row.kind == Kind::Names;
    if rows.iter().any(|row| is_name(row) && !numbers(row)) {
        rows.iter_mut().filter(|row| is_name(row) && numbers(row)).for_each(|row| row.kind = Kind::Ignored);
    }
}

fn label(rows: &[Row], column: usize, axis_row: bool, verbatim: bool) -> Label {
    let mut label = Label::default();
    let mut names: Vec<String> = Vec::new();
    let mut number = String::new();
    for row in rows {
        let cell = row.cells.get(column).map(String::as_str).unwrap_or_default();
        if cell.is_empty() || labels::leading(cell).is_some() && row.kind != Kind::Axes {
            continue;
        }
        let part = match row.kind {
            Kind::Names if verbatim => Label { name: cell.to_owned(), ..Label::default() },
            Kind::Names if axis_row => labels::name_only(cell),
            Kind::Names => labels::parse(cell),
            Kind::Axes => labels::parse(cell),
            Kind::Units => Label { unit: labels::unit(cell), ..Label::default() },
            Kind::Quantities => Label { quantity: labels::quantity_alone(cell), ..Label::default() },
            Kind::Ignored => continue,
        };
        label.axis = part.axis.or(label.axis);
        label.unit = part.unit.or(label.unit);
        if label.quantity != Some(Quantity::Other) {
            label.quantity = part.quantity.or(label.quantity);
        }
        if row.kind == Kind::Axes && part.axis.is_some() {
            number = part.name;
        } else if !part.name.is_empty() && names.last() != Some(&part.name) {
            names.push(part.name);
        }
    }
    label.name = if names.is_empty() && !number.is_empty() { format!("point {number}") } else { names.join(":") };
    label
}
