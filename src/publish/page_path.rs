//! Which paths a page may have. Looks at text only, never at a disk.

/// Files that the publisher needs for itself begin so: its list, its lock, what is half done. Hidden, so that neither
/// the watcher nor a web server shows them.
pub(super) const OWN_PREFIX: &str = ".benchleaf-";

/// True of a path that stays strictly inside the folder it is joined to, on every kind of machine: names parted by
/// single `/`, none of them `.` or `..`, nothing that a drive or another separator could be read from, and no
/// name that the publisher needs for itself.
pub fn is_page_path(path: &str) -> bool {
    !path.is_empty() && path.split('/').all(is_page_name)
}

fn is_page_name(name: &str) -> bool {
    !matches!(name, "" | "." | "..")
        && !name.contains(['\\', ':'])
        && !name.chars().any(char::is_control)
        && !name.starts_with(OWN_PREFIX)
}

/// The folders that a page lies in, outermost first: `a/b/c.html` gives `a`, `a/b`.
pub(super) fn folders_of(path: &str) -> impl Iterator<Item = &str> {
    path.match_indices('/').map(|(at, _)| &path[..at])
}

#[cfg(test)]
mod tests {
    use super::{folders_of, is_page_path};

    #[test]
    fn a_page_path_stays_strictly_inside() {
        for path in ["index.html", "guides/a/b.html", "parts/ä.html", "..a/b..", ".nojekyll"] {
            assert!(is_page_path(path), "{path}");
        }
        let bad = [
            "",
            "/",
            "/etc/x",
            "..",
            "../x",
            "a/../../x",
            "a//b",
            "a/",
            "./a",
            "a\\..\\b",
            "C:x",
            "a\0b",
            "a\nb",
        ];
        for path in bad.into_iter().chain([".benchleaf-written", "a/.benchleaf-new", ".benchleaf-lock"]) {
            assert!(!is_page_path(path), "{path:?}");
        }
    }

    #[test]
    fn folders_of_a_page_come_outermost_first() {
        assert_eq!(folders_of("a/b/c.html").collect::<Vec<_>>(), ["a", "a/b"]);
        assert_eq!(folders_of("c.html").count(), 0);
    }
}
