//! Names of files that come and go while somebody works. Looks at names only, never at a disk.

/// The folders that make a book. Nothing outside them is ever read.
pub const BOOK_FOLDERS: [&str; 3] = ["content", "parts", "themes"];

/// The file that one common editor makes for a moment to see whether a folder can be written.
const EDITOR_PROBE: &str = "4913";

/// True of names that are no part of a book: hidden files, editor backups and locks, temporary files.
pub fn is_passing_name(name: &str) -> bool {
    let lower = name.to_ascii_lowercase();
    name.starts_with('.')
        || name.ends_with('~')
        || (name.starts_with('#') && name.ends_with('#'))
        || [".swp", ".swo", ".swx", ".tmp", ".temp", ".bak"].iter().any(|end| lower.ends_with(end))
        || name == EDITOR_PROBE
}

/// True of paths inside a book that are its own: tables, texts and lists, and in a theme everything. What else lies in
/// `content` and `parts` is never read.
pub fn is_book_file(path: &str) -> bool {
    path.starts_with("themes/") || [".toml", ".md", ".csv"].iter().any(|end| path.ends_with(end))
}

/// True of drawings, pictures and the like, which people keep beside their data: passed over without a word.
pub fn is_picture(path: &str) -> bool {
    let lower = path.to_ascii_lowercase();
    PICTURES.iter().any(|end| lower.ends_with(end))
}

const PICTURES: [&str; 22] = [
    ".jpg", ".jpeg", ".png", ".gif", ".webp", ".svg", ".heic", ".tif", ".tiff", ".bmp", ".pdf", ".mp4",
    ".mov", ".dxf", ".dwg", ".step", ".stp", ".stl", ".f3d", ".fcstd", ".skp", ".zip",
];

#[cfg(test)]
mod tests {
    use super::is_passing_name;

    #[test]
    fn backups_locks_and_hidden_files_are_no_part_of_a_book() {
        for name in
            [".hidden", ".shims.toml.swp", "shims.toml~", "#shims.toml#", ".#shims.toml", "a.TMP", "4913"]
        {
            assert!(is_passing_name(name), "{name}");
        }
        for name in ["shims.toml", "stock.csv", "no#hash", "a~b.md", "tmp", "#1.md"] {
            assert!(!is_passing_name(name), "{name}");
        }
    }
}
