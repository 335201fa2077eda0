//! The files of a site by path, of which no two may be one on any machine. Must not know what is in them.

use std::collections::BTreeMap;

use crate::base::{Problem, Problems, folded};

/// Files with what each was made from, by their folded path.
#[derive(Default)]
pub(super) struct SiteFiles {
    by_folded: BTreeMap<String, (String, Vec<u8>, String)>,
}

impl SiteFiles {
    /// Where another file has the path already, both sources are told and the first stays.
    pub fn add(&mut self, path: String, bytes: Vec<u8>, source: String, problems: &mut Problems) {
        let key = folded(&path);
        if let Some((_, _, first)) = self.by_folded.get(&key) {
            problems.push(
                Problem::error("page-twice", format!("{first} and {source} would be one page, `{path}`"))
                    .note("large and small letters count as one: on some machines they are")
                    .mend("give one of the two another name"),
            );
            return;
        }
        self.by_folded.insert(key, (path, bytes, source));
    }

    pub fn pages(self) -> BTreeMap<String, Vec<u8>> {
        self.by_folded.into_values().map(|(path, bytes, _)| (path, bytes)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_files_of_one_path_are_told_by_what_they_come_from() {
        let (mut files, mut problems) = (SiteFiles::default(), Problems::default());
        files.add("parts/a.html".into(), b"1".to_vec(), "the part a".into(), &mut problems);
        files.add("Parts/A.html".into(), b"2".to_vec(), "the box A".into(), &mut problems);
        assert_eq!(problems.0.len(), 1);
        assert!(problems.0[0].fact.starts_with("the part a and the box A would be one page"));
        assert_eq!(files.pages()["parts/a.html"], b"1");
    }
}
