//! The page in real browsers, spoken to by W3C WebDriver.

mod driver;
mod page;

pub use driver::{Engine, Missing};
pub use page::{Browser, Scheme};
