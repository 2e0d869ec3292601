//! The parameter section: groups of named values.

use super::BLOCK;
use super::error::C3dError;
use super::numbers::Processor;
use crate::letters::trim;
use crate::words::{Message, Place};

/// Most blocks a parameter section can have: their number is one byte.
const MOST_BLOCKS: usize = 255;

/// Finds the parameter section, and who wrote the file.
///
/// ```text
/// 0 reserved (2 bytes)   2 number of blocks (1 byte)   3 processor type (1 byte)   4 records
/// ```
pub(super) fn section(file: &[u8]) -> Result<Section<'_>, C3dError> {
    let block = file.first().map_or(0, |&block| usize::from(block));
    if file.len() < BLOCK {
        return Err(C3dError::ShortHeader { bytes: file.len() });
    }
    let start = block.saturating_sub(1) * BLOCK;
    let missing = C3dError::NoParameters { start, bytes: file.len() };
    let Some(&[_, _, blocks, kind]) = file.get(start..).and_then(|section| section.first_chunk()) else {
        return Err(missing);
    };
    let processor = Processor::parse(kind).ok_or(C3dError::Processor { byte: start + 3, found: kind })?;
    // Some writers leave the number of blocks at zero.
    let blocks = if blocks == 0 { MOST_BLOCKS } else { usize::from(blocks) };
    let end = file.len().min(start + blocks * BLOCK);
    Ok(Section { bytes: &file[start..end], end, processor })
}

/// The bytes of the parameter section.
#[derive(Clone, Copy, Debug)]
pub(super) struct Section<'a> {
    bytes: &'a [u8],
    /// Byte after it, from the header's first.
    end: usize,
    pub(super) processor: Processor,
}

/// One parameter: type, dimensions (first fastest), and bytes.
#[derive(Clone, Debug)]
pub(super) struct Parameter<'a> {
    group: u8,
    name: String,
    /// -1 characters, 1 bytes, 2 words, 4 floats.
    kind: i8,
    pub(super) dims: &'a [u8],
    data: &'a [u8],
}

/// All groups and parameters, in file order.
#[derive(Clone, Debug)]
pub(super) struct Parameters<'a> {
    groups: Vec<(u8, String)>,
    list: Vec<Parameter<'a>>,
    /// Who wrote the file's numbers.
    pub(super) processor: Processor,
    /// Byte after the section, from the header's first.
    pub(super) end: usize,
}

/// A record, before it is known whether it is a group or a parameter.
struct Record<'a> {
    id: i8,
    name: String,
    /// From after the offset word to the next record.
    body: &'a [u8],
    /// Start of the next record; `None` at the last.
    next: Option<usize>,
}

impl<'a> Parameters<'a> {
    /// Reads the records. A broken one ends or shortens the list with a warning: what was read is usable.
    pub(super) fn read(section: Section<'a>, warnings: &mut Vec<Message>) -> Parameters<'a> {
        let Section { bytes: section, end, processor } = section;
        let mut parameters = Parameters { groups: Vec::new(), list: Vec::new(), processor, end };
        let mut broken = Vec::new();
        let mut at = Some(4);
        while let Some(start) = at {
            let Some(record) = Record::read(section, start, processor) else {
                if section.get(start).is_some_and(|&length| length != 0) {
                    broken.push((start, String::new()));
                }
                break;
            };
            at = record.next;
            if record.id < 0 {
                parameters.groups.push((record.id.unsigned_abs(), record.name));
            } else if let Some((kind, dims, data)) = split_parameter(record.body) {
                let group = record.id.unsigned_abs();
                parameters.list.push(Parameter { group, name: record.name, kind, dims, data });
            } else {
                broken.push((start, record.name));
            }
        }
        if let Some((start, name)) = broken.first() {
            let message = Message::new("c3d.broken_parameters").with("count", broken.len()).with("name", name.as_str());
            warnings.push(message.at(Place::byte(*start)));
        }
        parameters
    }

    /// Parameters of a group, in file order. Names compare without case; a parameter may precede its group.
    pub(super) fn in_group(&self, group: &str) -> impl Iterator<Item = &Parameter<'a>> {
        let ids: Vec<u8> = self.groups.iter().filter(|(_, name)| name == group).map(|&(id, _)| id).collect();
        self.list.iter().filter(move |parameter| ids.contains(&parameter.group))
    }

    /// A parameter by upper-case names.
    pub(super) fn find(&self, group: &str, name: &str) -> Option<&Parameter<'a>> {
        self.in_group(group).find(|parameter| parameter.name == name)
    }

    /// The first value of a parameter; words signed.
    pub(super) fn number(&self, group: &str, name: &str) -> Option<f64> {
        self.find(group, name)?.number(0, self.processor)
    }

    /// The first value of a parameter as a count: words unsigned, floats rounded.
    pub(super) fn count(&self, group: &str, name: &str) -> Option<u64> {
        self.find(group, name)?.count(0, self.processor)
    }

    /// A count of 32 bits in two words, the low one first. (py-c3d multiplies by 65535, a slip.)
    pub(super) fn long(&self, group: &str, name: &str) -> Option<u64> {
        let parameter = self.find(group, name)?;
        let low = parameter.count(0, self.processor)?;
        let high = if parameter.kind == 2 { parameter.count(1, self.processor).unwrap_or(0) } else { 0 };
        Some(low.saturating_add(high * 65536)).filter(|&count| count <= u64::from(u32::MAX))
    }

    /// All values of a parameter; words signed.
    pub(super) fn numbers(&self, group: &str, name: &str) -> Vec<f64> {
        let Some(parameter) = self.find(group, name) else { return Vec::new() };
        (0..).map_while(|index| parameter.number(index, self.processor)).collect()
    }

    /// All strings of a parameter, blanks trimmed; none where it is missing or not of characters.
    pub(super) fn strings(&self, group: &str, name: &str) -> Vec<String> {
        self.find(group, name).map_or_else(Vec::new, Parameter::strings)
    }
}

impl<'a> Record<'a> {
    /// ```text
    /// 0 length of the name (signed; negative: locked)   1 group number (negative: this is a group)   2 name
    /// then the offset of the next record, counted from the offset word itself; 0 at the last record
    /// ```
    fn read(section: &'a [u8], start: usize, processor: Processor) -> Option<Record<'a>> {
        let [length, id] = *section.get(start..)?.first_chunk()?;
        let (length, id) = (length as i8, id as i8);
        if length == 0 || id == 0 {
            return None;
        }
        let link = start + 2 + usize::from(length.unsigned_abs());
        let name = text(section.get(start + 2..link)?).to_ascii_uppercase();
        let offset = usize::from(processor.count_at(section, link)?);
        // An offset that points into its own word would loop; one past the section is a cut file.
        let (end, next) = match offset {
            0 => (section.len(), None),
            1 => return None,
            _ => (section.len().min(link + offset), Some(link + offset).filter(|&next| next < section.len())),
        };
        Some(Record { id, name, body: section.get(link + 2..end)?, next })
    }
}

/// ```text
/// 0 element type (signed)   1 number of dimensions   2 dimensions (1 byte each)   then the elements
/// ```
fn split_parameter(body: &[u8]) -> Option<(i8, &[u8], &[u8])> {
    let (&[kind, count], rest) = body.split_first_chunk()?;
    let kind = kind as i8;
    if !matches!(kind, -1 | 1 | 2 | 4) {
        return None;
    }
    let (dims, rest) = rest.split_at_checked(usize::from(count))?;
    let elements = dims.iter().try_fold(1_usize, |product, &dim| product.checked_mul(usize::from(dim)))?;
    let data = rest.get(..elements.checked_mul(usize::from(kind.unsigned_abs()))?)?;
    Some((kind, dims, data))
}

impl Parameter<'_> {
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    fn number(&self, index: usize, processor: Processor) -> Option<f64> {
        match self.kind {
            1 => self.data.get(index).map(|&byte| f64::from(byte)),
            2 => processor.int_at(self.data, 2 * index).map(f64::from),
            4 => processor.float_at(self.data, 4 * index),
            _ => None,
        }
    }

    fn count(&self, index: usize, processor: Processor) -> Option<u64> {
        match self.kind {
            2 => processor.count_at(self.data, 2 * index).map(u64::from),
            // A cast from float saturates, and takes NaN as zero.
            _ => self.number(index, processor).map(|value| value.round() as u64),
        }
    }

    /// Strings of characters: the first dimension is the length of each.
    pub(super) fn strings(&self) -> Vec<String> {
        let length = self.dims.first().map_or(1, |&length| usize::from(length));
        if self.kind != -1 || length == 0 {
            return Vec::new();
        }
        self.data.chunks_exact(length).map(text).collect()
    }
}

/// Characters of a file: UTF-8 where they are valid UTF-8, else Latin-1; blanks and NUL trimmed.
pub(super) fn text(bytes: &[u8]) -> String {
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|&byte| char::from(byte)).collect(),
    };
    trim(&text, |c| c.is_whitespace() || c == '\0').to_owned()
}
