//! Where each page lies in the site and how one page reaches another. Must not know what stands on a page.
//!
//! Every path here counts from the site's own root, with `/`; a template puts the page's `root` (`../../`) before
//! it, so that all links are relative and the site works from a memory stick.

use crate::base::page_name;
use crate::catalogue::{Catalogue, PartBox};
use crate::kinds::Known;
use crate::rules::Rule;

/// The shop's page of sizes to measure next.
pub const MEASURING: &str = "measure-next.html";

/// The page of the key to an unknown fork.
pub const KEY: &str = "key.html";

pub fn guide_path(fork: &str, system: &str) -> String {
    format!("guides/{}/{}.html", safe(fork), safe(system))
}

/// The guide of a pairing with other bars; `page` as the guide names it.
pub fn for_bars_path(fork: &str, system: &str, page: &str) -> String {
    format!("guides/{}/{}/{}.html", safe(fork), safe(system), safe(page))
}

pub fn fork_path(id: &str) -> String {
    format!("forks/{}.html", safe(id))
}

/// The upgrade map of a fork.
pub fn upgrades_path(fork: &str) -> String {
    format!("upgrades/{}.html", safe(fork))
}

pub fn system_path(id: &str) -> String {
    format!("systems/{}.html", safe(id))
}

/// Parts and boxes share ids, so they share a folder.
pub fn part_path(id: &str) -> String {
    format!("parts/{}.html", safe(id))
}

pub fn prose_path(slug: &str) -> String {
    format!("pages/{}.html", safe(slug))
}

/// `../` for every folder that the page lies in; empty for the front page.
pub fn root_of(path: &str) -> String {
    "../".repeat(path.matches('/').count())
}

/// Ids are already safe as file names, names of prose files are not: what an address could misread becomes `-`, so
/// that nothing can leave its folder. Never empty.
pub fn safe(id: &str) -> String {
    page_name(id)
}

/// What exists in this book, asked by id.
#[derive(Clone, Copy)]
pub struct Links<'a> {
    pub catalogue: &'a Catalogue,
    pub rules: &'a [Rule],
}

impl<'a> Links<'a> {
    /// A fork's own page, a part's page or a box's page; `None` when the book has no such id.
    pub fn article(&self, id: &str) -> Option<String> {
        if let Some(ix) = self.catalogue.find(id) {
            let part = self.catalogue.part(ix);
            return Some(if part.is(Known::Fork) { fork_path(id) } else { part_path(id) });
        }
        self.the_box(id).map(|_| part_path(id))
    }

    pub fn fork(&self, id: &str) -> Option<String> {
        self.catalogue.find(id).filter(|&ix| self.catalogue.part(ix).is(Known::Fork)).map(|_| fork_path(id))
    }

    pub fn system(&self, id: &str) -> Option<String> {
        self.rules.iter().any(|r| r.id == id).then(|| system_path(id))
    }

    pub fn the_box(&self, id: &str) -> Option<&'a PartBox> {
        self.catalogue.boxes.iter().find(|b| b.id == id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_two_folders_down_goes_up_twice() {
        assert_eq!(root_of("guides/heron/wide.html"), "../../");
        assert_eq!(root_of("index.html"), "");
    }

    #[test]
    fn names_that_differ_by_a_letter_of_any_script_are_different_pages() {
        assert_ne!(prose_path("ä"), prose_path("ö"));
        assert_eq!(prose_path("a b"), "pages/a-b.html");
    }

    #[test]
    fn no_id_can_leave_its_folder() {
        assert_eq!(part_path("../../etc/passwd"), "parts/------etc-passwd.html");
        assert_eq!(guide_path("", "a b"), "guides/-/a-b.html");
    }
}
