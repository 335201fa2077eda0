//! What comes with the program, so that a book need not carry it: clamp systems, the headsets they draw in, safety prose,
//! words, and usual headset pieces. One copy: the files of the demo book itself, as they were when the program was built.
//! Must not know what is in them.
//!
//! The theme is built in as well, but known where themes are read.
//!
//! `Taken::of` puts the files that a book asks for (`[built_in]` in its shop's file) among its own before anything is read,
//! so no reader knows of them; a headset comes with the system that draws in it, cautions wherever a book has none. A book's
//! own file of the same path stands in their place. Pieces stand in `parts/.built-in/`, where no file of a book's own is ever
//! read from, and one gives way to a part of the book with its id. A new rule file, headset or caution of the demo book has
//! to be listed here: a test asks for it.

mod changed;
mod pieces;
mod taken;

pub use changed::{RECORD, changed};
pub use pieces::{PIECES, Pieces};
pub use taken::{AskedFor, Taken, asked_for, is_piece, unpacked_as};

/// A file of the demo book: its path there, and its text.
pub type File = (&'static str, &'static str);

macro_rules! files {
    ($($path:literal),* $(,)?) => { [$(($path, include_str!(concat!("../../", $path)))),*] };
}

/// Rule files and their prose, in path order.
pub static SYSTEMS: [File; 12] = files![
    "content/systems/cap-in-clamp.md",
    "content/systems/cap-in-clamp.toml",
    "content/systems/locknut.md",
    "content/systems/locknut.toml",
    "content/systems/pulled-from-below.md",
    "content/systems/pulled-from-below.toml",
    "content/systems/slim-shim.md",
    "content/systems/slim-shim.toml",
    "content/systems/stepped-steerer.md",
    "content/systems/stepped-steerer.toml",
    "content/systems/wide-shim.md",
    "content/systems/wide-shim.toml",
];

/// Headsets that those systems draw in.
pub static HEADSETS: [File; 2] = files!["content/headsets/integrated.toml", "content/headsets/threaded.toml"];

/// The usual cautions.
pub static SAFETY: [File; 3] = files![
    "content/safety/before-you-ride.md",
    "content/safety/before-you-start.md",
    "content/safety/where-nothing-is-built.md",
];

/// Every sentence that a guide is made of.
pub static WORDS: [File; 1] = files!["content/words/en.toml"];

/// Folder and ending of a rule file.
pub const SYSTEM_FOLDER: &str = "content/systems/";
pub const HEADSET_FOLDER: &str = "content/headsets/";
pub const SAFETY_FOLDER: &str = "content/safety/";

/// Names of the clamp systems, as a book asks for them, in order.
pub fn system_names() -> Vec<&'static str> {
    let name = |(path, _): &File| path.strip_prefix(SYSTEM_FOLDER)?.strip_suffix(".toml");
    SYSTEMS.iter().filter_map(name).collect()
}

/// Names of the sets of pieces.
pub fn piece_names() -> Vec<&'static str> {
    PIECES.iter().map(|set| set.name).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;
    use std::path::Path;

    /// What is added to a folder of the demo book and forgotten here would be missing in everybody else's.
    #[test]
    fn every_rule_headset_and_caution_of_the_demo_book_is_built_in() {
        let home = Path::new(env!("CARGO_MANIFEST_DIR"));
        for (folder, known) in [
            (SYSTEM_FOLDER, &SYSTEMS[..]),
            (HEADSET_FOLDER, &HEADSETS[..]),
            (SAFETY_FOLDER, &SAFETY[..]),
            ("content/words/", &WORDS[..]),
        ] {
            let entries = fs::read_dir(home.join(folder)).unwrap().flatten();
            let mut there: Vec<String> =
                entries.map(|e| format!("{folder}{}", e.file_name().to_str().unwrap())).collect();
            there.sort();
            assert_eq!(there, known.iter().map(|f| f.0).collect::<Vec<_>>());
        }
    }
}
