//! References on a shelf, as the page and `inspect` keep them: files in, the nearest to a student's swing out.

use crate::formats::{self, ReadOptions};
use crate::plain::{self, Fields, Given, GivenError, Read};
use crate::settings::{Club, Corrections, Hand, SwingKind};
use crate::shelf::{Entry, Filter, PackError, Shelf, Tags};
use crate::swing::{self, Swing};
use crate::words::Message;

/// What became of a file that was given to a shelf.
#[derive(Clone, Debug, Default)]
pub struct Shelved {
    /// What is known of its swing; none where it holds none that can lie on a shelf.
    pub tags: Option<Tags>,
    /// Why not.
    pub error: Option<Message>,
}

plain::record!(Shelved { tags, error });

/// Which references are looked through, and how many are wanted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wish {
    /// Club kind.
    pub club: Option<Club>,
    /// Hand the player plays.
    pub hand: Option<Hand>,
    /// Kind of swing.
    pub kind: Option<SwingKind>,
    /// How far the depth at the top may be from the student's, metres at the student's size.
    pub within_m: Option<f64>,
    /// At most so many are told.
    pub count: usize,
}

/// `{club, hand, kind, within_m, count}`; what is left out or null admits all, and 10 are told.
impl Read for Wish {
    fn read(given: &Given) -> Result<Wish, GivenError> {
        let fields: Fields<'_> = given.fields()?;
        Ok(Wish {
            club: fields.take("club")?,
            hand: fields.take("hand")?,
            kind: fields.take("kind")?,
            within_m: fields.take("within_m")?,
            count: fields.or("count", 10)?,
        })
    }
}

/// A reference that is near.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// What is known of it.
    pub tags: Tags,
    /// Root of the mean square distance of matched points, metres at the student's size.
    pub apart_m: f64,
    /// Depth at the top minus the student's, metres at the student's size; none where one of them is not known.
    pub deeper_m: Option<f64>,
}

plain::record!(Near { tags: inline, apart_m, deeper_m });

/// What a search found.
#[derive(Clone, Debug, Default)]
pub struct Nearest {
    /// The nearest first.
    pub near: Vec<Near>,
    /// How many were looked through.
    pub among: usize,
    /// Why nothing could be looked for.
    pub error: Option<Message>,
}

plain::record!(Nearest { near, among, error });

/// A shelf, and what is put on it.
#[derive(Clone, Debug, Default)]
pub struct Collection {
    shelf: Shelf,
}

impl Collection {
    /// Reads a file, finds its swing and puts it on the shelf under a label. One that cannot lie there is told.
    pub fn add(&mut self, label: &str, bytes: &[u8], corrections: &Corrections) -> Shelved {
        match entry(label, bytes, None, corrections) {
            Ok((_, entry)) => {
                self.shelf.push(&entry);
                Shelved { tags: Some(entry.tags), error: None }
            }
            Err(error) => Shelved { tags: None, error: Some(error) },
        }
    }

    /// What lies on it, in order.
    pub fn tags(&self) -> &[Tags] {
        self.shelf.tags()
    }

    /// The shelf as a pack, see [`crate::shelf`].
    pub fn to_pack(&self) -> Vec<u8> {
        self.shelf.to_pack()
    }

    /// A shelf from a pack.
    ///
    /// # Errors
    /// [`PackError`].
    pub fn from_pack(bytes: &[u8]) -> Result<Collection, PackError> {
        Ok(Collection { shelf: Shelf::from_pack(bytes)? })
    }

    /// The nearest to the swing of a file; `still`: a separate recording of the player at address.
    pub fn nearest_to_file(
        &self,
        bytes: &[u8],
        still: Option<&[u8]>,
        corrections: &Corrections,
        wish: &Wish,
    ) -> Nearest {
        match entry("", bytes, still, corrections) {
            Ok((swing, entry)) => self.nearest(&swing, &entry, wish),
            Err(error) => Nearest { error: Some(error), ..Nearest::default() },
        }
    }

    /// The nearest to a swing.
    pub fn nearest_to(&self, swing: &Swing, wish: &Wish) -> Nearest {
        match Entry::of(swing) {
            Some(entry) => self.nearest(swing, &entry, wish),
            None => Nearest { error: Some(Message::new("shelf.no_path")), ..Nearest::default() },
        }
    }

    fn nearest(&self, swing: &Swing, entry: &Entry, wish: &Wish) -> Nearest {
        let Some(arm_m) = crate::shelf::arm_m(&swing.size) else { return Nearest::default() };
        let depth = wish.within_m.map(|within_m| (entry.tags.depth.unwrap_or(f64::NAN), within_m / arm_m));
        let filter = Filter { club: wish.club, hand: wish.hand, kind: wish.kind, depth };
        let deeper_m = |tags: &Tags| Some((tags.depth? - entry.tags.depth?) * arm_m);
        let near = self.shelf.nearest(&entry.points, wish.count, &filter).into_iter().filter_map(|found| {
            let tags = self.tags().get(found.number)?.clone();
            Some(Near { apart_m: found.apart * arm_m, deeper_m: deeper_m(&tags), tags })
        });
        let among = self.tags().iter().filter(|tags| filter.admits(tags)).count();
        Nearest { near: near.collect(), among, error: None }
    }
}

fn entry(label: &str, bytes: &[u8], still: Option<&[u8]>, of: &Corrections) -> Result<(Swing, Entry), Message> {
    let read = |bytes| formats::read(bytes, &ReadOptions { rate_hz: of.rate }).map_err(|error| error.message());
    let (recording, still) = (read(bytes)?, still.map(read).transpose()?);
    let mut swing = swing::analyse(&recording, still.as_ref(), of).map_err(|error| error.message())?;
    swing.label = label.to_owned();
    let entry = Entry::of(&swing).ok_or_else(|| Message::new("shelf.no_path"))?;
    Ok((swing, entry))
}
