//! Why a written quantity was refused, and where in its text. Knows no file: the caller adds the place.

use std::ops::Range;

use super::Length;

/// One refusal: `at` is in bytes of the text given to the reader, always on character boundaries.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misread {
    pub at: Range<usize>,
    /// What is wrong, in one line: `"28,6" has a comma`.
    pub fact: String,
    /// What would have been read.
    pub expected: String,
    /// One next action.
    pub mend: String,
    /// The size that was understood where it is the size that is refused: too long, or in no table.
    pub size: Option<Length>,
}

impl Misread {
    pub(super) fn new(
        at: Range<usize>,
        fact: impl Into<String>,
        expected: impl Into<String>,
        mend: impl Into<String>,
    ) -> Misread {
        Misread { at, fact: fact.into(), expected: expected.into(), mend: mend.into(), size: None }
    }

    /// The length that was refused is a deviation.
    pub(super) fn of_no_size(self) -> Misread {
        Misread { size: None, ..self }
    }

    pub(super) fn of_size(self, size: Length) -> Misread {
        Misread { size: Some(size), ..self }
    }

    /// The same refusal where the text read was a piece of a longer one, `by` bytes in.
    pub(super) fn shifted(mut self, by: usize) -> Misread {
        self.at = self.at.start + by..self.at.end + by;
        self
    }
}
