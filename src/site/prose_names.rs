//! Names of prose files as names of pages: no two may end up as one. Must not know what the prose says.

use std::collections::BTreeMap;

use super::links::prose_path;
use super::prose::Prose;
use crate::base::{FileId, Problem, Problems, Span, folded, refused_file_name};

/// Pages and the files they come from, in path order. Told where a name cannot be a page, or two would be one.
pub(super) fn check_names(pages: &[(FileId, Prose)], problems: &mut Problems) {
    let mut first: BTreeMap<String, (FileId, &Prose)> = BTreeMap::new();
    for (file, prose) in pages {
        let path = prose_path(&prose.slug);
        let name = path.rsplit('/').next().unwrap_or("");
        if let Some(refused) = refused_file_name(name) {
            problems.push(
                Problem::error("page-name", format!("{}.md cannot name a page", prose.slug))
                    .at(Span::new(*file, 0..0), "")
                    .note(refused.note)
                    .mend("rename the file"),
            );
        }
        let key = folded(&path);
        let Some((other, earlier)) = first.get(&key) else {
            first.insert(key, (*file, prose));
            continue;
        };
        problems.push(
            Problem::error("page-twice", format!("two texts would be one page, `{path}`"))
                .at(Span::new(*file, 0..0), "this file")
                .at(Span::new(*other, 0..0), format!("{}.md is that page already", earlier.slug))
                .note(
                    "blanks and marks in a file's name become hyphens; large and small letters count as one",
                )
                .mend("rename one of the two files"),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::base::{BookFiles, Problems, Sources};
    use crate::site::read_prose;

    fn told(names: &[&str]) -> Vec<(&'static str, Vec<String>)> {
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        let file = |name: &&str| (format!("content/pages/{name}.md"), b"# T\n".to_vec());
        let files: BookFiles = names.iter().map(file).collect();
        read_prose(&files, &mut sources, &mut problems);
        let paths = |p: &crate::base::Problem| {
            p.places.iter().map(|place| sources.get(place.span.file).path.clone()).collect()
        };
        problems.0.iter().map(|p| (p.code, paths(p))).collect()
    }

    #[test]
    fn two_texts_of_one_page_are_told_with_both_names() {
        for pair in [["a b", "a-b"], ["a-b", "a.b"], ["About", "about"], ["a\u{308}", "ä"]] {
            let told = told(&pair);
            assert_eq!(told.len(), 1, "{pair:?}");
            assert_eq!(told[0].0, "page-twice");
            assert!(
                pair.iter().all(|name| told[0].1.contains(&format!("content/pages/{name}.md"))),
                "{told:?}"
            );
        }
        assert_eq!(told(&["ä", "ö", "a", "字", "index"]), []);
    }

    #[test]
    fn a_name_that_windows_refuses_or_that_is_too_long_is_told() {
        for name in ["con", "NUL", "com1", &"ä".repeat(99)] {
            assert_eq!(told(&[name]), [("page-name", vec![format!("content/pages/{name}.md")])]);
        }
    }
}
