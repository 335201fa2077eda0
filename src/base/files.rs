//! The files of a book as bytes, by path. Knows no disk and no meaning.

use std::collections::BTreeMap;

/// Files by their path inside the book ("parts/shims.toml"), always with `/`, as raw bytes. Holds only what lies
/// in `content/`, `parts/` and `themes/`; an empty map is an empty book.
pub type BookFiles = BTreeMap<String, Vec<u8>>;
