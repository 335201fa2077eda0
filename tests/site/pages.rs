//! The site as a whole: what holds for every page of a book.

use std::collections::{BTreeMap, BTreeSet};

use crate::world::{HOSTILE, world};
use scraper::{ElementRef, Html, Selector};

type Pages = BTreeMap<String, Html>;

fn all(pages: &BTreeMap<String, Vec<u8>>) -> Pages {
    let html = pages.iter().filter(|(path, _)| path.ends_with(".html"));
    html.map(|(path, bytes)| (path.clone(), Html::parse_document(&String::from_utf8_lossy(bytes)))).collect()
}

fn select<'a>(page: &'a Html, css: &str) -> Vec<ElementRef<'a>> {
    page.select(&Selector::parse(css).expect("a selector")).collect()
}

fn text(element: ElementRef) -> String {
    element.text().collect::<Vec<_>>().join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A link's target from the site's root and its fragment; `None` for another site.
fn resolve(page: &str, href: &str) -> Option<(String, String)> {
    let (path, fragment) = href.split_once('#').unwrap_or((href, ""));
    if ["http:", "https:", "mailto:", "tel:"].iter().any(|scheme| path.starts_with(scheme)) {
        return None;
    }
    assert!(!path.starts_with('/'), "{page}: {href} is not relative");
    let mut kept: Vec<&str> = page.split('/').collect();
    kept.pop();
    for piece in path.split('/').filter(|p| !p.is_empty()) {
        match piece {
            ".." => assert!(kept.pop().is_some(), "{page}: {href} leaves the site"),
            other => kept.push(other),
        }
    }
    let target = if path.is_empty() { page.to_string() } else { kept.join("/") };
    Some((target, fragment.to_string()))
}

#[test]
fn every_page_parses_as_html_without_an_error() {
    for (path, page) in all(&world().files()) {
        assert!(page.errors.is_empty(), "{path}: {:?}", page.errors);
        assert_eq!(select(&page, "html[lang=en] head title").len(), 1, "{path}");
        assert_eq!(select(&page, "h1").len(), 1, "{path}");
        assert_eq!(select(&page, "main#content").len(), 1, "{path}");
    }
}

#[test]
fn every_link_is_relative_and_leads_to_a_page_and_a_place_on_it() {
    let files = world().files();
    let pages = all(&files);
    let mut followed = 0;
    for (path, page) in &pages {
        let links = select(page, "[href], [src]");
        let targets = links.iter().filter_map(|l| l.value().attr("href").or(l.value().attr("src")));
        for (target, fragment) in targets.filter_map(|href| resolve(path, href)) {
            assert!(files.contains_key(&target), "{path} links to {target}, which is not there");
            let there = || {
                pages[&target]
                    .root_element()
                    .select(&Selector::parse("[id]").expect("a selector"))
                    .any(|e| e.value().attr("id") == Some(fragment.as_str()))
            };
            assert!(fragment.is_empty() || there(), "{path} links to {target}#{fragment}");
            followed += 1;
        }
    }
    assert!(followed > 1000, "only {followed} links were looked at");
}

#[test]
fn every_page_but_the_front_is_reached_from_the_front() {
    let files = world().files();
    let pages = all(&files);
    let (mut seen, mut left) = (BTreeSet::new(), vec!["index.html".to_string()]);
    while let Some(path) = left.pop() {
        if !seen.insert(path.clone()) {
            continue;
        }
        let hrefs = select(&pages[&path], "a[href]");
        let targets = hrefs.iter().filter_map(|a| resolve(&path, a.value().attr("href")?));
        left.extend(targets.map(|(target, _)| target).filter(|t| t.ends_with(".html")));
    }
    let missed: Vec<&String> = pages.keys().filter(|path| !seen.contains(*path)).collect();
    assert!(missed.is_empty(), "{missed:?}");
}

#[test]
fn ids_are_unique_on_a_page_and_headings_skip_no_level() {
    for (path, page) in all(&world().files()) {
        let mut ids = BTreeSet::new();
        for element in select(&page, "[id]") {
            let id = element.value().attr("id").unwrap_or("");
            assert!(!id.is_empty() && ids.insert(id.to_string()), "{path}: id {id} twice");
        }
        let mut before = 0;
        for heading in select(&page, "h1, h2, h3, h4, h5, h6") {
            let level: usize = heading.value().name()[1..].parse().expect("a level");
            assert!(level <= before + 1, "{path}: h{level} after h{before}: {}", text(heading));
            assert!(!text(heading).is_empty(), "{path}: an empty heading");
            before = level;
        }
    }
}

#[test]
fn every_table_has_a_caption_and_every_heading_cell_a_scope() {
    for (path, page) in all(&world().files()) {
        for table in select(&page, "table") {
            let caption = Selector::parse("caption").expect("a selector");
            assert_eq!(table.select(&caption).count(), 1, "{path}");
        }
        for cell in select(&page, "th") {
            assert!(cell.value().attr("scope").is_some(), "{path}: {}", text(cell));
        }
    }
}

#[test]
fn labels_that_a_page_refers_to_are_on_it() {
    for (path, page) in all(&world().files()) {
        for element in select(&page, "[aria-labelledby]") {
            let id = element.value().attr("aria-labelledby").unwrap_or("");
            assert_eq!(select(&page, &format!("[id=\"{id}\"]")).len(), 1, "{path}: {id}");
        }
    }
}

#[test]
fn markup_in_a_name_is_shown_as_text() {
    let files = world().files();
    let mut shown = 0;
    for (path, page) in all(&files) {
        assert!(select(&page, "b, [onclick], script").is_empty(), "{path}");
        shown += usize::from(page.root_element().text().any(|t| t.contains(HOSTILE)));
    }
    assert!(shown > 20, "{shown} pages show the name");
}

#[test]
fn a_guide_page_says_in_data_what_it_says_in_words() {
    let world = world();
    let pages = all(&world.files());
    for guide in &world.guides {
        let path = format!("guides/{}/{}.html", guide.fork_id, guide.system_id);
        let article = select(&pages[&path], "article.guide");
        let [article] = article[..] else { panic!("{path}: {} articles", article.len()) };
        assert_eq!(article.value().attr("data-fork"), Some(guide.fork_id.as_str()));
        assert_eq!(article.value().attr("data-system"), Some(guide.system_id.as_str()));
        assert!(
            ["goes", "measure", "no"].contains(&article.value().attr("data-verdict").unwrap_or("")),
            "{path}"
        );
        let counted = |css: &str| select(&pages[&path], css).len();
        let steps: usize = guide.answers.iter().map(|a| a.steps.len()).sum();
        assert_eq!(counted("ol.steps > li"), steps, "{path}");
        assert_eq!(counted("section.safety"), world.prose.safety.len(), "{path}");
        assert_eq!(counted("svg[data-drawing=assembled]"), guide.answers.len(), "{path}");
        assert_eq!(counted("svg[data-drawing=step]"), steps, "{path}");
        assert!(text(select(&pages[&path], "h1")[0]).ends_with(&guide.verdict_words), "{path}");
    }
}

#[test]
fn each_revision_with_its_own_answer_has_a_block_that_says_how_to_tell() {
    let world = world();
    let pages = all(&world.files());
    for guide in world.guides.iter().filter(|g| g.answers.len() > 1) {
        let page = &pages[&format!("guides/{}/{}.html", guide.fork_id, guide.system_id)];
        let blocks = select(page, "section.answer");
        assert_eq!(blocks.len(), guide.answers.len());
        for (block, answer) in blocks.iter().zip(&guide.answers) {
            let revision = answer.revision.as_ref().expect("a revision");
            let said = text(*block);
            assert!(
                said.contains(&revision.label) && said.contains(revision.tell.as_deref().unwrap_or("")),
                "{said}"
            );
        }
    }
}

#[test]
fn a_part_links_back_to_every_guide_that_links_to_it() {
    let files = world().files();
    let pages = all(&files);
    let links = |path: &str| -> BTreeSet<String> {
        let hrefs = select(&pages[path], "main a[href]");
        hrefs.iter().filter_map(|a| Some(resolve(path, a.value().attr("href")?)?.0)).collect()
    };
    let mut pairs = 0;
    for guide in pages.keys().filter(|p| p.starts_with("guides/")) {
        for other in links(guide).iter().filter(|p| !p.starts_with("guides/") && !p.starts_with("pages/")) {
            assert!(links(other).contains(guide), "{other} does not link back to {guide}");
            pairs += 1;
        }
    }
    assert!(pairs > 300, "{pairs}");
}

#[test]
fn the_grid_has_a_word_and_a_shape_for_every_pairing() {
    let world = world();
    let pages = all(&world.files());
    let cells = select(&pages["index.html"], "table.fit td a");
    assert_eq!(cells.len(), world.guides.len());
    for (cell, guide) in cells.iter().zip(&world.guides) {
        assert!(text(*cell).ends_with(&guide.verdict_words));
        assert_eq!(cell.select(&Selector::parse("svg.mark").expect("a selector")).count(), 1);
    }
}

#[test]
fn a_no_that_was_not_proved_does_not_have_the_shape_of_a_no() {
    let mut world = world();
    for guide in &mut world.guides {
        guide.answers.iter_mut().for_each(|a| a.unfinished = Some("The search came to its limit.".into()));
    }
    let files = world.files();
    let page = Html::parse_document(&String::from_utf8_lossy(&files["index.html"]));
    assert!(select(&page, "table.fit .mark-no").is_empty());
    assert!(!select(&page, "table.fit .mark-unsettled").is_empty());
}

#[test]
fn the_same_book_gives_the_same_bytes_on_one_core_and_on_many() {
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| world().files())
    };
    assert!(on(1) == on(4));
}

#[test]
fn a_book_without_forks_still_has_its_other_pages() {
    let mut world = world();
    world.guides.clear();
    world.drawings.clear();
    let files = world.files();
    assert!(files.contains_key("index.html") && files.contains_key("systems/wide-shim.html"));
}
