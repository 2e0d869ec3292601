//! The shelf's class: a [`Collection`] behind JavaScript values.

use super::read::given;
use crate::plain::{Given, GivenError, Read};
use crate::session::{Collection, Shelved, Wish};
use crate::settings::Corrections;
use wasm_bindgen::prelude::*;

/// References on a shelf.
#[wasm_bindgen]
#[derive(Default)]
pub struct References(Collection);

/// What is asked: `{corrections, wish}`, both as documented where they are read.
struct Question {
    corrections: Corrections,
    wish: Wish,
}

impl Read for Question {
    fn read(given: &Given) -> Result<Question, GivenError> {
        let fields = given.fields()?;
        Ok(Question { corrections: fields.take("corrections")?, wish: fields.take("wish")? })
    }
}

#[wasm_bindgen]
impl References {
    /// Without any.
    #[wasm_bindgen(constructor)]
    pub fn new() -> References {
        super::show_panics();
        References::default()
    }

    /// Reads a file and puts its swing on the shelf under a label: `{tags, error}`, see [`Shelved`].
    pub fn add(&mut self, label: &str, bytes: &[u8]) -> Result<JsValue, JsValue> {
        super::told(&self.0.add(label, bytes, &Corrections::default()))
    }

    /// A pack in place of what lies there: `{tags: null, error}`. With an error nothing has changed.
    pub fn open(&mut self, pack: &[u8]) -> Result<JsValue, JsValue> {
        let opened = Collection::from_pack(pack);
        let error = opened.as_ref().err().map(|error| error.message());
        self.0 = opened.unwrap_or(std::mem::take(&mut self.0));
        super::told(&Shelved { tags: None, error })
    }

    /// How many lie there.
    pub fn count(&self) -> usize {
        self.0.tags().len()
    }

    /// Their labels, in order.
    pub fn labels(&self) -> Vec<String> {
        self.0.tags().iter().map(|tags| tags.label.clone()).collect()
    }

    /// The shelf as a pack.
    pub fn pack(&self) -> Vec<u8> {
        self.0.to_pack()
    }

    /// The nearest to the swing of a file, or to it with a recording of the player standing still: `{near, among, error}`, see
    /// [`crate::session::Nearest`].
    pub fn nearest(&self, bytes: &[u8], still: Option<Vec<u8>>, question: JsValue) -> Result<JsValue, JsValue> {
        let Question { corrections, wish } = given(question)?;
        super::told(&self.0.nearest_to_file(bytes, still.as_deref(), &corrections, &wish))
    }
}
