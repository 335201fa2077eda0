//! Tells what the machine refused: the step, the file, and the causes beneath. Knows nothing of books.

use std::error::Error;

use super::clean_text::clean;
use super::{Ending, say};

/// The whole chain of causes, one a line.
pub fn tell(step: &str, error: &dyn Error) -> Ending {
    say::message(&chain(step, error));
    Ending::MachineFailed
}

pub fn chain(step: &str, error: &dyn Error) -> String {
    let mut text = format!("error: {step}");
    let mut next = Some(error);
    while let Some(error) = next {
        text.push_str(&format!("\n  because: {error}"));
        next = error.source();
    }
    clean(&text).into_owned()
}
