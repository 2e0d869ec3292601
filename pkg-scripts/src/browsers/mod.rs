//! The page in real browsers, spoken to by W3C WebDriver.

mod driver;
mod page;
mod rehearsal;
mod trace;

pub(crate) use driver::program;
pub use driver::{Engine, Missing};
pub use page::{Browser, Scheme};
pub use rehearsal::rehearse;
pub use trace::Task;
