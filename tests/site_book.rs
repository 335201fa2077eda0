//! The site of the repository's own book, with guides made by hand: what holds for every page, and what a shop may
//! change. Knows no solving.

use crate::world;

use std::collections::{BTreeMap, BTreeSet};

use benchleaf::base::{BookFiles, Problems, Sources};
use benchleaf::site::read_theme;
use scraper::{ElementRef, Html, Selector};
use world::{HOSTILE, book_files, world, world_of};

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
fn a_no_that_was_not_proved_does_not_have_the_shape_of_a_no() {
    let mut world = world();
    for guide in &mut world.guides {
        guide.verdict_words = guide.answers[0].verdict_words.clone();
        guide.answers.iter_mut().for_each(|a| a.unfinished = Some("The search came to its limit.".into()));
    }
    let pages = all(&world.files());
    assert!(select(&pages["index.html"], "table.fit .mark-no").is_empty());
    assert!(!select(&pages["index.html"], "table.fit .mark-unsettled").is_empty());
    assert_eq!(select(&pages["index.html"], ".legend .mark-unsettled").len(), 1);
}

#[test]
fn a_proved_no_of_one_revision_keeps_its_shape_beside_an_unsettled_one() {
    let mut world = world();
    for guide in &mut world.guides {
        guide.answers.iter_mut().for_each(|a| a.unfinished = Some("The search came to its limit.".into()));
    }
    let pages = all(&world.files());
    assert!(select(&pages["index.html"], ".mark-unsettled").is_empty());
    assert!(!select(&pages["index.html"], "table.fit .mark-no").is_empty());
}

#[test]
fn a_system_page_tells_the_sizes_that_the_system_takes() {
    let world = world();
    let pages = all(&world.files());
    for rule in &world.rules {
        let rows = select(&pages[&format!("systems/{}.html", rule.id)], "table.limits tbody tr");
        for size in &rule.sizes {
            let (least, most) = (size.least.to_mm(2), size.most.to_mm(2));
            assert!(
                rows.iter().any(|r| text(*r).ends_with(&format!("{least} mm to {most} mm"))),
                "{}",
                rule.id
            );
        }
    }
    assert!(world.rules.iter().any(|r| !r.sizes.is_empty()));
}

#[test]
fn the_same_book_gives_the_same_bytes_on_one_core_and_on_many() {
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| world().files())
    };
    assert!(on(1) == on(4));
}

fn with(path: &str, text: &str) -> BookFiles {
    let mut files = book_files();
    files.insert(path.into(), text.as_bytes().to_vec());
    files
}

#[test]
fn two_wrong_templates_are_told_in_one_run() {
    let mut files = with("themes/bench/prose.html", "{{ page.title | }}");
    files.insert("themes/bench/box.html".into(), b"{% if %}".to_vec());
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    read_theme(&files, "bench", &mut sources, &mut problems);
    assert_eq!(problems.0.len(), 2);
}

#[test]
fn files_beside_the_templates_are_laid_into_the_site() {
    let mut files = with("themes/bench/script.js", "document.title;");
    files.insert("themes/bench/fonts/a.woff2".into(), vec![0, 159, 146, 150]);
    let pages = world_of(&files).expect("no errors").files();
    assert_eq!(pages["theme/fonts/a.woff2"], [0, 159, 146, 150]);
    let front = String::from_utf8_lossy(&pages["index.html"]).into_owned();
    assert!(front.contains("<script src=\"theme/script.js\" defer></script>"));
}

#[test]
fn a_link_in_prose_that_leads_nowhere_is_refused_at_its_place() {
    let files = with("content/pages/zz.md", "# T\n\nSee [it](parts/none.html) and [this](about.html).\n");
    let world = world_of(&files).expect("reads");
    let problems = world.try_files().expect_err("a dead link");
    let told: Vec<_> = problems.0.iter().map(|p| (p.code, p.mend.as_str())).collect();
    assert_eq!(told, [("prose-link-dead", ""), ("prose-link-dead", "write `pages/about.html`")]);
    assert_eq!(world.sources.line_column(problems.0[0].places[0].span), (3, 5));
}

#[test]
fn prose_links_reach_their_page_from_every_depth() {
    let files = with("content/safety/zz.md", "# T\n\nSee [about](pages/about.html).\n");
    let world = world_of(&files).expect("reads");
    let pages = world.files();
    let guide = pages.iter().find(|(path, _)| path.starts_with("guides/")).expect("a guide");
    assert!(String::from_utf8_lossy(guide.1).contains("href=\"../../pages/about.html\">about</a>"));
}

/// Contrast after WCAG 2.2, success criterion 1.4.3 (formula of its glossary, "relative luminance").
fn contrast(a: &str, b: &str) -> f64 {
    let luminance = |hex: &str| {
        let channel = |at: usize| {
            let c = f64::from(u8::from_str_radix(&hex[at..at + 2], 16).expect("hex")) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    };
    let (x, y) = (luminance(a), luminance(b));
    (x.max(y) + 0.05) / (x.min(y) + 0.05)
}

#[test]
fn text_has_the_contrast_that_wcag_asks_for_in_light_and_dark() {
    let style = include_str!("../themes/bench/style.css");
    let roots: Vec<&str> = style.split(":root {").skip(1).take(2).collect();
    for root in roots {
        let colour = |name: &str| {
            let from = root.split(&format!("--{name}: ")).nth(1).expect("a colour");
            from.split(';').next().expect("an end").trim()
        };
        for ink in ["ink", "soft", "link"] {
            for ground in ["paper", "sheet", "wash"] {
                let ratio = contrast(&full(colour(ink)), &full(colour(ground)));
                assert!(ratio >= 4.5, "{ink} on {ground}: {ratio:.2}");
            }
        }
        assert!(contrast(&full(colour("plate-ink")), &full(colour("plate"))) >= 4.5);
    }
}

/// `#fff` as `#ffffff`.
fn full(hex: &str) -> String {
    let digits = hex.trim_start_matches('#');
    let doubled = || digits.chars().flat_map(|c| [c, c]).collect();
    format!("#{}", if digits.len() == 3 { doubled() } else { digits.to_string() })
}
