//! The HIERARCHY section.

use super::error::BvhError;
use super::motion::Motion;
use super::source::{Source, Word, number};
use crate::formats::Point;
use crate::formats::names::make_unique;
use crate::letters::trim_end;
use crate::words::Message;

/// What one value of a row does to its joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Channel {
    /// Moves along an axis (0 = x).
    Position(usize),
    /// Turns about an axis (0 = x), degrees.
    Rotation(usize),
}

impl Channel {
    fn parse(name: &str) -> Option<Channel> {
        let axis = match name.as_bytes().first()?.to_ascii_lowercase() {
            b'x' => 0,
            b'y' => 1,
            b'z' => 2,
            _ => return None,
        };
        match name.get(1..)? {
            kind if kind.eq_ignore_ascii_case("position") => Some(Channel::Position(axis)),
            kind if kind.eq_ignore_ascii_case("rotation") => Some(Channel::Rotation(axis)),
            _ => None,
        }
    }
}

/// A joint or end site.
#[derive(Clone, Debug)]
pub(super) struct Joint {
    pub(super) name: String,
    /// Index of the parent, always smaller than the own index.
    pub(super) parent: Option<usize>,
    pub(super) offset: Point,
    pub(super) channels: Vec<Channel>,
    /// Column of the first channel in a row of values.
    pub(super) first: usize,
    pub(super) end_site: bool,
    /// Do the position channels repeat OFFSET (and so replace it), instead of adding to it?
    pub(super) replaces_offset: bool,
}

/// All joints, depth first as written.
#[derive(Clone, Debug)]
pub(super) struct Skeleton {
    pub(super) joints: Vec<Joint>,
}

impl Skeleton {
    /// Reads up to and with the word MOTION. A stack instead of recursion: depth costs no call stack.
    pub(super) fn read(source: &mut Source<'_>) -> Result<Skeleton, BvhError> {
        expect(source, "HIERARCHY")?;
        let mut joints: Vec<Joint> = Vec::new();
        let mut open: Vec<usize> = Vec::new();
        let mut columns = 0;
        loop {
            let expected = match open.last() {
                None if joints.is_empty() => "ROOT",
                None => "ROOT | MOTION",
                Some(&inner) if joints[inner].end_site => "}",
                Some(_) => "CHANNELS | JOINT | End Site | }",
            };
            let word = next(source, expected)?;
            match open.last().copied() {
                None if word.is("ROOT") => open.push(begin(source, &mut joints, None, false)?),
                None if word.is("MOTION") && !joints.is_empty() => break,
                Some(_) if word.text == "}" => drop(open.pop()),
                Some(inner) if joints[inner].end_site => return Err(wrong(word, expected)),
                Some(inner) if word.is("JOINT") => open.push(begin(source, &mut joints, Some(inner), false)?),
                Some(inner) if word.is("End") || word.is("EndSite") => {
                    open.push(begin(source, &mut joints, Some(inner), true)?);
                }
                Some(inner) if word.is("CHANNELS") && joints[inner].channels.is_empty() => {
                    joints[inner].first = columns;
                    joints[inner].channels = channels(source)?;
                    columns += joints[inner].channels.len();
                }
                _ => return Err(wrong(word, expected)),
            }
        }
        if columns == 0 { Err(BvhError::NoChannels) } else { Ok(Skeleton { joints }) }
    }

    /// Values per row.
    pub(super) fn channels(&self) -> usize {
        self.joints.iter().map(|joint| joint.channels.len()).sum()
    }

    /// Numbers repeated joint names, and tells.
    pub(super) fn make_names_unique(&mut self) -> Option<Message> {
        let mut names: Vec<String> = self.joints.iter_mut().map(|joint| std::mem::take(&mut joint.name)).collect();
        let repeated = make_unique(&mut names);
        self.joints.iter_mut().zip(names).for_each(|(joint, name)| joint.name = name);
        let name = repeated.first()?.as_str();
        Some(Message::new("bvh.repeated_names").with("count", repeated.len()).with("name", name))
    }

    /// Decides per joint whether position channels add to OFFSET or replace it.
    ///
    /// Programs differ: some loaders add (three.js), others replace (bvhio, Blender). Exporters that write six channels
    /// for every joint repeat OFFSET in the channels, and adding would double each bone; others write the displacement.
    /// So the data decide: channels whose mean is nearer OFFSET than zero replace it. Told where it is not clear-cut,
    /// and for a root always (there it shifts the whole body).
    pub(super) fn settle_offsets(&mut self, motion: &Motion) -> Vec<Message> {
        let mut warnings = Vec::new();
        for joint in &mut self.joints {
            let Some(misfit) = joint.settle_offset(motion) else { continue };
            if joint.parent.is_none() || misfit > CLEAR {
                let key = Message::new(if joint.replaces_offset { "bvh.offset_replaced" } else { "bvh.offset_added" });
                warnings.push(key.with("joint", joint.name.as_str()));
            }
        }
        let more = warnings.len().saturating_sub(TOLD_JOINTS);
        warnings.truncate(TOLD_JOINTS);
        if more > 0 {
            warnings.push(Message::new("bvh.offset_more").with("joints", more));
        }
        warnings
    }
}

/// Mean position channels within this share of OFFSET's length of either reading settle the question.
const CLEAR: f64 = 0.01;

/// Joints named one by one in warnings about OFFSET; a hostile file could ask for thousands.
const TOLD_JOINTS: usize = 3;

impl Joint {
    /// Sets `replaces_offset`; returns how far the mean of the channels is from the reading taken, as a share of the
    /// length of OFFSET. `None` where the question does not arise.
    fn settle_offset(&mut self, motion: &Motion) -> Option<f64> {
        let mut zero_sq = 0.0;
        let mut offset_sq = 0.0;
        let mut length_sq = 0.0;
        for (column, channel) in self.channels.iter().enumerate() {
            let Channel::Position(axis) = *channel else { continue };
            let mean = motion.mean(self.first + column)?;
            zero_sq += mean * mean;
            offset_sq += (mean - self.offset[axis]).powi(2);
            length_sq += self.offset[axis] * self.offset[axis];
        }
        if length_sq <= 0.0 {
            return None;
        }
        self.replaces_offset = offset_sq < zero_sq;
        Some((offset_sq.min(zero_sq) / length_sq).sqrt())
    }
}

/// Reads from after JOINT, ROOT or End Site up to and with OFFSET; returns the new joint's index.
fn begin(
    source: &mut Source<'_>,
    joints: &mut Vec<Joint>,
    parent: Option<usize>,
    end: bool,
) -> Result<usize, BvhError> {
    let index = joints.len();
    let name = match (source.name(), parent) {
        (_, Some(parent)) if end => format!("{} end", joints[parent].name),
        // A name on a line of its own, or none at all.
        ("", _) => match next(source, "{")? {
            word if word.text == "{" => return open(source, joints, parent, format!("joint {}", index + 1), end),
            word => word.text.to_owned(),
        },
        (name, _) => name.to_owned(),
    };
    expect(source, "{")?;
    open(source, joints, parent, name, end)
}

/// Reads OFFSET, which stands first in every body.
fn open(
    source: &mut Source<'_>,
    joints: &mut Vec<Joint>,
    parent: Option<usize>,
    name: String,
    end_site: bool,
) -> Result<usize, BvhError> {
    expect(source, "OFFSET")?;
    let offset = [coordinate(source)?, coordinate(source)?, coordinate(source)?];
    joints.push(Joint { name, parent, offset, channels: Vec::new(), first: 0, end_site, replaces_offset: false });
    Ok(joints.len() - 1)
}

fn coordinate(source: &mut Source<'_>) -> Result<f64, BvhError> {
    let word = next(source, "OFFSET x y z")?;
    let text = trim_end(word.text, |c| matches!(c, ',' | ';'));
    // A comma inside a number can only be a decimal comma here: three blanks-separated numbers are asked for.
    let value = number(text, true).filter(|value| value.is_finite());
    value.ok_or_else(|| BvhError::Number { at: word.spot().pair(), found: word.text.to_owned() })
}

fn channels(source: &mut Source<'_>) -> Result<Vec<Channel>, BvhError> {
    let count = next(source, "CHANNELS n")?;
    let mut channels = Vec::new();
    let mut ahead = source.clone();
    while let Some(channel) = ahead.word().and_then(|word| Channel::parse(word.text)) {
        channels.push(channel);
        source.clone_from(&ahead);
    }
    if count.text.parse() == Ok(channels.len()) {
        return Ok(channels);
    }
    let found = channels.len();
    Err(BvhError::ChannelCount { at: count.spot().pair(), stated: count.text.to_owned(), found })
}

fn next<'a>(source: &mut Source<'a>, expected: &'static str) -> Result<Word<'a>, BvhError> {
    source.word().ok_or_else(|| BvhError::EndOfFile { at: source.spot().pair(), expected })
}

fn expect(source: &mut Source<'_>, keyword: &'static str) -> Result<(), BvhError> {
    let word = next(source, keyword)?;
    if word.is(keyword) { Ok(()) } else { Err(wrong(word, keyword)) }
}

fn wrong(word: Word<'_>, expected: &'static str) -> BvhError {
    BvhError::unexpected(word.spot(), expected, word.text)
}
