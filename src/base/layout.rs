//! What a table of a book's file may hold, key by key: the reader refuses every key that is not listed, and the
//! reference tells each that is. One list for both. Knows no particular table.
//!
//! The layouts lie beside their readers (`layouts.rs` in `src/catalogue/`, `src/rules/` and `src/kinds/`); the fields of a
//! part are its kind's table. `Table::finish` refuses every key that is not in the layout, so nothing that a reader takes can
//! be missing in the reference; in builds with debug assertions it also refuses a reader that asks for a key that its layout
//! does not list. A new key is a line in its layout, then asked for by its reader.

/// One table: what it is called and which keys it takes.
#[derive(Debug)]
pub struct Layout {
    /// What the reference calls it.
    pub name: &'static str,
    /// As it stands in a file: `[[slot]]`.
    pub header: &'static str,
    /// Where it stands.
    pub place: &'static str,
    /// One line on what it is.
    pub about: &'static str,
    pub keys: &'static [Key],
    /// Layouts whose keys may stand in it as well.
    pub also: &'static [&'static Layout],
}

#[derive(Debug)]
pub struct Key {
    pub name: &'static str,
    pub holds: Holds,
    pub need: Wanted,
    /// One line on what it means.
    pub about: &'static str,
    /// A value as it is written.
    pub example: &'static str,
}

/// What a key's value is.
#[derive(Clone, Copy, Debug)]
pub enum Holds {
    Text,
    /// A text, or a list of texts.
    Texts,
    Flag,
    /// A whole number from 0 to this.
    Count(u32),
    /// Two whole numbers from 0 to this: least and most.
    Counts(u32),
    /// A plain length.
    Length,
    /// A plain length, or `"none"`.
    LengthOrNone,
    /// A least and a most.
    Lengths,
    /// A least and a most, or the least alone; the most may be `"none"`.
    LeastAndMost,
    /// A length with its deviations.
    Size,
    /// A number in quotes, or bare.
    Number,
    Price,
    Choice(&'static [&'static str]),
    Table(&'static Layout),
    Tables(&'static Layout),
    /// A list, each member a text or such a table.
    TextsOrTables(&'static Layout),
    /// Keys are names of the author's own, each with such a table.
    NamedTables(&'static Layout),
    /// Keys are sizes of a part.
    Sizes,
}

/// Whether a key must be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted {
    Always,
    /// May be left out: then nothing is said.
    May,
    /// Left out it is taken to be this.
    Else(&'static str),
    /// Needed in the case that the words tell.
    Where(&'static str),
}

impl Layout {
    /// Its own keys, then those of the layouts beside it.
    pub fn all_keys(&self) -> impl Iterator<Item = &'static Key> {
        self.keys.iter().chain(self.also.iter().flat_map(|layout| layout.keys))
    }

    /// The header of a table of that name that stands below one of this layout's own tables.
    pub fn inner_of(&self, name: &str) -> Option<&'static str> {
        let below = |key: &'static Key| match key.holds {
            Holds::Tables(inner) => inner.keys.iter().find(|k| k.name == name),
            _ => None,
        };
        match self.all_keys().find_map(below)?.holds {
            Holds::Tables(found) => Some(found.header),
            _ => None,
        }
    }

    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.all_keys().find(|key| key.name == name)
    }
}

/// A key as one line of a layout.
pub const fn key(
    name: &'static str,
    holds: Holds,
    need: Wanted,
    about: &'static str,
    example: &'static str,
) -> Key {
    Key { name, holds, need, about, example }
}
