//! Words of the program's own tables in data that is written and read back.

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::BTreeSet;
use std::sync::{Mutex, PoisonError};

/// A name from one of the program's tables: a kind, a surface, a column.
pub type Label = &'static str;

/// The same word lives once, however often it is read.
fn lasting(word: &str) -> Label {
    static WORDS: Mutex<BTreeSet<Label>> = Mutex::new(BTreeSet::new());
    let mut words = WORDS.lock().unwrap_or_else(PoisonError::into_inner);
    match words.get(word) {
        Some(&known) => known,
        None => {
            let new: Label = Box::leak(word.to_owned().into_boxed_str());
            words.insert(new);
            new
        }
    }
}

pub fn serialize<S: Serializer>(label: &Label, to: S) -> Result<S::Ok, S::Error> {
    label.serialize(to)
}

pub fn deserialize<'d, D: Deserializer<'d>>(from: D) -> Result<Label, D::Error> {
    Ok(lasting(&String::deserialize(from)?))
}

/// The same for several.
pub mod list {
    use super::*;

    pub fn serialize<S: Serializer>(labels: &[Label], to: S) -> Result<S::Ok, S::Error> {
        labels.serialize(to)
    }

    pub fn deserialize<'d, D: Deserializer<'d>>(from: D) -> Result<Vec<Label>, D::Error> {
        let words = Vec::<String>::deserialize(from)?;
        Ok(words.iter().map(|word| lasting(word)).collect())
    }
}
