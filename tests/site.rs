//! The site as a whole, from guides made by hand: structure, links, escaping, files. Knows no solving.

use crate::sample;

use std::collections::{BTreeMap, BTreeSet};

use benchleaf::base::{Problems, Sources};
use benchleaf::site::{Theme, read_theme};
use sample::{MARKUP, World, prose};
use scraper::{ElementRef, Html, Selector};

type Pages = BTreeMap<String, Html>;

fn pages(files: &BTreeMap<String, Vec<u8>>) -> Pages {
    let html = files.iter().filter(|(path, _)| path.ends_with(".html"));
    html.map(|(path, bytes)| (path.clone(), Html::parse_document(std::str::from_utf8(bytes).unwrap())))
        .collect()
}

fn of_sample() -> Pages {
    pages(&World::new().site().unwrap())
}

fn all<'h>(page: &'h Html, selector: &str) -> Vec<ElementRef<'h>> {
    page.select(&Selector::parse(selector).unwrap()).collect()
}

fn text(element: ElementRef) -> String {
    element.text().collect::<Vec<_>>().join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

fn texts(page: &Html, selector: &str) -> Vec<String> {
    all(page, selector).into_iter().map(text).collect()
}

/// A link's target as a path from the site's root; `None` where it climbs out of it.
fn target(from: &str, href: &str) -> Option<String> {
    let mut folder: Vec<&str> = from.split('/').collect();
    folder.pop();
    for piece in href.split('/') {
        match piece {
            ".." => drop(folder.pop()?),
            "." => {}
            other => folder.push(other),
        }
    }
    Some(folder.join("/"))
}

#[test]
fn every_page_of_the_contract_is_there() {
    let files = World::new().site().unwrap();
    for path in [
        "index.html",
        "guides/fork-a/sys-a.html",
        "guides/fork-b/sys-b.html",
        "forks/fork-a.html",
        "systems/sys-b.html",
        "parts/shim-a.html",
        "parts/fork-a.html",
        "parts/box-a.html",
        "pages/words.html",
        "data/pairings.json",
        "theme/style.css",
    ] {
        assert!(files.get(path).is_some_and(|bytes| !bytes.is_empty()), "{path}");
    }
}

#[test]
fn every_page_parses_without_an_error() {
    for (path, page) in of_sample() {
        assert_eq!(page.errors, Vec::<std::borrow::Cow<str>>::new(), "{path}");
        assert_eq!(all(&page, "html[lang=en]").len(), 1, "{path}");
        assert_eq!(all(&page, "h1").len(), 1, "{path}");
        assert_eq!(all(&page, "main#content").len(), 1, "{path}");
    }
}

#[test]
fn every_relative_link_and_fragment_leads_somewhere() {
    let files = World::new().site().unwrap();
    let pages = pages(&files);
    let mut followed = 0;
    for (path, page) in &pages {
        for link in all(page, "[href], [src]") {
            let href = link.attr("href").or(link.attr("src")).unwrap();
            if href.starts_with("https://example.org/") {
                continue;
            }
            assert!(!href.contains(':') && !href.starts_with('/'), "{path}: {href}");
            let (to, fragment) = href.split_once('#').unwrap_or((href, ""));
            let to = if to.is_empty() { path.clone() } else { target(path, to).unwrap() };
            assert!(files.contains_key(&to), "{path}: {href}");
            let there = fragment.is_empty() || !all(&pages[&to], &format!("[id=\"{fragment}\"]")).is_empty();
            assert!(there, "{path}: {href}");
            followed += 1;
        }
    }
    assert!(followed > 200, "{followed}");
}

#[test]
fn ids_are_unique_and_references_by_id_lead_somewhere() {
    for (path, page) in of_sample() {
        let ids: Vec<&str> = all(&page, "[id]").iter().map(|e| e.attr("id").unwrap()).collect();
        let unique: BTreeSet<&str> = ids.iter().copied().collect();
        assert_eq!(ids.len(), unique.len(), "{path}");
        for element in all(&page, "[aria-labelledby]") {
            for id in element.attr("aria-labelledby").unwrap().split(' ') {
                assert!(unique.contains(id), "{path}: {id}");
            }
        }
    }
}

#[test]
fn headings_never_skip_a_level() {
    for (path, page) in of_sample() {
        let mut before = 0;
        for heading in all(&page, "h1, h2, h3, h4, h5, h6") {
            let level: u32 = heading.value().name()[1..].parse().unwrap();
            assert!(level <= before + 1, "{path}: {}", text(heading));
            before = level;
        }
    }
}

#[test]
fn markup_in_a_part_name_is_shown_as_text() {
    let pages = of_sample();
    for path in ["parts/shim-a.html", "guides/fork-a/sys-b.html", "parts/box-a.html", "parts/index.html"] {
        let page = &pages[path];
        assert!(text(page.root_element()).contains("<script>alert(1)</script>"), "{path}");
        assert_eq!(all(page, "script, b").len(), 0, "{path}");
    }
    assert_eq!(texts(&pages["parts/shim-a.html"], "h1"), [MARKUP]);
}

#[test]
fn a_guide_page_carries_its_verdict_and_opens_with_it() {
    let pages = of_sample();
    for (path, verdict, words) in [
        ("guides/fork-a/sys-a.html", "depends", "Depends on the revision"),
        ("guides/fork-a/sys-b.html", "goes", "Goes with extra parts"),
        ("guides/fork-b/sys-a.html", "measure", "Measure first"),
    ] {
        let page = &pages[path];
        let article = all(page, "main > article.guide:first-child")[0];
        assert_eq!(article.attr("data-verdict"), Some(verdict), "{path}");
        assert_eq!(
            format!("guides/{}", article.attr("data-fork").unwrap()),
            path.rsplit_once('/').unwrap().0
        );
        assert_eq!(article.attr("data-system"), path.rsplit_once('/').unwrap().1.strip_suffix(".html"));
        assert_eq!(texts(page, "article.guide > header h1 .word"), [words], "{path}");
        assert!(!all(page, "section.safety").is_empty(), "{path}");
    }
}

#[test]
fn an_answer_that_says_no_warns_against_making_it_fit_where_another_revision_goes() {
    let mut world = World::new();
    world.prose.safety.push(prose("where-nothing-is-built", "# Do not make it fit\n\nLeave it.\n"));
    let pages = pages(&world.site().unwrap());
    let answers = texts(&pages["guides/fork-a/sys-a.html"], "section.answer");
    let warned: Vec<bool> = answers.iter().map(|answer| answer.contains("Do not make it fit")).collect();
    assert_eq!(warned, [false, true], "revision 1 goes, revision 2 does not");
    assert_eq!(texts(&pages["guides/fork-b/sys-b.html"], "#safety-nothing"), ["Do not make it fit"]);
}

#[test]
fn what_goes_with_one_revision_alone_stands_behind_what_goes_with_all() {
    let rows = texts(&of_sample()["forks/fork-a.html"], "section[aria-labelledby=goes-with] li");
    assert_eq!(rows.len(), 2);
    assert!(rows[0].starts_with("System B ") && !rows[0].ends_with(" alone"), "{rows:?}");
    assert!(rows[1].starts_with("System A ") && rows[1].ends_with(" with 1 alone"), "{rows:?}");
}

#[test]
fn a_guide_that_asks_for_a_reading_opens_with_it() {
    let page = &of_sample()["guides/fork-b/sys-a.html"];
    assert_eq!(all(page, "article.guide > header + section.measuring").len(), 1);
    let zones = texts(page, ".zone");
    assert_eq!(zones[0], "Goes: 136.50 to 137.00 mm.");
    assert_eq!(zones.len(), 3);
}

#[test]
fn steps_are_numbered_in_bench_order_with_their_picture_and_feel_line() {
    let page = &of_sample()["guides/fork-a/sys-b.html"];
    let steps = all(page, "ol.steps > li");
    assert_eq!(steps.iter().map(|s| s.attr("value").unwrap()).collect::<Vec<_>>(), ["1", "2"]);
    assert_eq!(all(page, "ol.steps > li:first-child svg[data-drawing=step]").len(), 1);
    assert_eq!(texts(page, "ol.steps .feel").len(), 2);
    assert!(texts(page, "ol.steps .say")[0].ends_with(" 2"));
    assert_eq!(texts(page, "ol.steps .signal-warning").len(), 2);
    assert_eq!(all(page, "svg[data-drawing=assembled]").len(), 1);
    assert_eq!(texts(page, "table.parts .balloon"), ["1", "2"]);
}

#[test]
fn a_no_shows_reason_funnel_wanted_part_and_the_marked_attempt_but_no_steps() {
    let page = &of_sample()["guides/fork-b/sys-b.html"];
    assert_eq!(texts(page, ".reason"), ["The shim stops on the steerer.", "Together these cannot hold:"]);
    assert_eq!(texts(page, ".facts-together li"), ["FACT-ONE.", "FACT-TWO."]);
    assert_eq!(texts(page, ".funnel li").len(), 1);
    assert_eq!(texts(page, ".wanted li").len(), 1);
    assert_eq!(all(page, "svg[data-drawing]").len(), 1);
    assert_eq!(all(page, "ol.steps, .before-riding").len(), 0);
}

#[test]
fn a_no_that_was_not_proved_is_never_shown_as_one() {
    let pages = of_sample();
    let page = &pages["guides/fork-b/sys-b.html"];
    assert_eq!(all(page, "article.guide > header .verdict-no").len(), 0);
    assert_eq!(all(page, "article.guide > header .verdict-unsettled").len(), 1);
    assert_eq!(all(&pages["index.html"], "table.fit .cell-unsettled").len(), 1);
}

#[test]
fn parts_out_of_one_box_stand_under_its_name_once() {
    let page = &of_sample()["guides/fork-a/sys-b.html"];
    assert_eq!(texts(page, ".list-use .from"), ["Box A"]);
    assert_eq!(all(page, ".list-use li").len(), 2);
}

#[test]
fn revisions_that_differ_stand_in_blocks_of_their_own() {
    let page = &of_sample()["guides/fork-a/sys-a.html"];
    assert_eq!(texts(page, ".revisions li .word"), ["Goes with extra parts", "Does not go"]);
    let blocks = all(page, "section.answer");
    assert_eq!(blocks.len(), 2);
    assert_eq!(blocks[0].select(&Selector::parse("ol.steps").unwrap()).count(), 1);
    assert_eq!(blocks[1].select(&Selector::parse("ol.steps").unwrap()).count(), 0);
}

#[test]
fn the_front_page_has_every_pairing_as_a_word_and_a_shape() {
    let page = &of_sample()["index.html"];
    assert_eq!(texts(page, "table.fit thead th").len(), 3);
    let cells = all(page, "table.fit tbody td > a");
    assert_eq!(cells.len(), 4);
    let shapes: BTreeSet<String> = cells.iter().map(|c| all_in(*c, "svg.mark")[0].inner_html()).collect();
    assert_eq!(shapes.len(), 4, "goes, measure, no and what depends each have a shape of their own");
    let words: Vec<String> = cells.iter().map(|c| text(all_in(*c, ".word")[0])).collect();
    assert_eq!(words, ["Depends on the revision", "Goes with extra parts", "Measure first", "Does not go"]);
}

#[test]
fn where_it_depends_the_cell_is_split_and_each_half_has_its_revision_its_shape_and_its_word() {
    let page = &of_sample()["index.html"];
    let cells = all(page, "table.fit a.cell-depends");
    assert_eq!(cells.len(), 1);
    let halves = all_in(cells[0], ".half");
    let told = |h: &ElementRef<'_>| (text(all_in(*h, "small")[0]), text(all_in(*h, ".word")[0]));
    let told: Vec<(String, String)> = halves.iter().map(told).collect();
    let expected = [("revision 1", "Goes with extra parts"), ("revision 2", "Does not go")];
    assert_eq!(told, expected.map(|(r, w)| (r.to_string(), w.to_string())));
    assert_eq!(halves.iter().map(|h| all_in(*h, "svg.mark").len()).collect::<Vec<_>>(), [1, 1]);
    assert_eq!(all(page, ".legend .mark-depends").len(), 1);
}

fn all_in<'h>(element: ElementRef<'h>, selector: &str) -> Vec<ElementRef<'h>> {
    element.select(&Selector::parse(selector).unwrap()).collect()
}

#[test]
fn a_system_page_shows_its_places_in_the_order_they_are_filled() {
    let page = &of_sample()["systems/sys-a.html"];
    assert_eq!(texts(page, "table.slots tbody th"), ["Fork", "Cap", "Wide shim"]);
    assert_eq!(texts(page, ".prose em"), ["shim"]);
    // What one only likes to see stands apart from what must hold.
    assert_eq!(texts(page, "table.limits tbody tr:nth-child(2) td"), ["at most 4.00 mm"]);
    assert_eq!(all(page, "table.limits tbody tr").len(), 6);
}

#[test]
fn parts_and_guides_link_both_ways() {
    let pages = of_sample();
    let hrefs = |path: &str, of: &str| -> Vec<String> {
        let links = all(&pages[path], &format!("{of} a[href]"));
        links.iter().filter_map(|a| target(path, a.attr("href").unwrap())).collect()
    };
    let guide = "guides/fork-a/sys-b.html";
    for path in ["parts/shim-a.html", "parts/shim-b.html", "parts/deck-a.html", "parts/box-a.html"] {
        assert!(hrefs(guide, "article").iter().any(|h| h == path), "{path}");
        assert!(hrefs(path, "main").iter().any(|h| h == guide), "{path}");
    }
    assert!(hrefs("forks/fork-a.html", "main").iter().any(|h| h == guide));
    assert!(hrefs("systems/sys-b.html", "main").iter().any(|h| h == guide));
    assert!(hrefs("parts/box-a.html", "main").iter().any(|h| h == "parts/shim-b.html"));
    assert!(hrefs("parts/shim-b.html", "main").iter().any(|h| h == "parts/box-a.html"));
}

#[test]
fn the_pairings_file_is_one_array_with_one_pairing_a_line() {
    let files = World::new().site().unwrap();
    let text = std::str::from_utf8(&files["data/pairings.json"]).unwrap();
    let all: Vec<serde_json::Value> = serde_json::from_str(text).unwrap();
    assert_eq!(all.len(), 4);
    assert_eq!(all[0]["fork"], "fork-a");
    assert_eq!(text.lines().count(), 6, "brackets stand alone");
}

#[test]
fn a_book_without_pairings_still_has_its_pages() {
    let mut world = World::new();
    (world.guides, world.drawings, world.pairings) = (vec![], vec![], vec![]);
    let files = world.site().unwrap();
    assert_eq!(files["data/pairings.json"], b"[\n\n]\n");
    assert_eq!(all(&pages(&files)["index.html"], "table").len(), 0);
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    assert_eq!(World::new().site().unwrap(), World::new().site().unwrap());
}

#[test]
fn a_dead_link_in_prose_is_told_with_the_page_that_may_be_meant() {
    let mut world = World::new();
    world.prose.safety.push(prose("x", "# X\n\n[a](words.html)\n"));
    let problems = world.site().unwrap_err();
    assert_eq!(problems.0.len(), 1);
    assert_eq!(
        (problems.0[0].code, problems.0[0].mend.as_str()),
        ("prose-link-dead", "write `pages/words.html`")
    );
}

fn themed(files: &[(&str, &str)], name: &str) -> (Option<Theme>, Problems, Sources) {
    let files = files.iter().map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).collect();
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let theme = read_theme(&files, name, &mut sources, &mut problems);
    (theme, problems, sources)
}

#[test]
fn one_template_of_a_book_takes_the_place_of_the_built_in_one() {
    let mut world = World::new();
    let own = [("themes/bench/prose.html", "<p>{{ page.title }}</p>"), ("themes/bench/script.js", "1")];
    world.theme = themed(&own, "bench").0.unwrap();
    let files = world.site().unwrap();
    assert_eq!(files["pages/words.html"], b"<p>Words</p>");
    assert_eq!(files["theme/script.js"], b"1");
    assert!(files.contains_key("theme/style.css"));
}

#[test]
fn a_broken_template_is_told_at_its_place_in_the_book() {
    let (theme, problems, sources) =
        themed(&[("themes/bench/prose.html", "<p>\n{{ page.title </p>")], "bench");
    assert!(theme.is_none());
    assert_eq!((problems.0.len(), problems.0[0].code), (1, "theme-syntax"));
    let span = problems.0[0].places[0].span;
    assert_eq!(sources.get(span.file).path, "themes/bench/prose.html");
    assert_eq!(sources.line_column(span).0, 2);
}

#[test]
fn a_template_that_asks_for_what_is_not_there_is_told_once() {
    let mut world = World::new();
    world.theme = themed(&[("themes/bench/part.html", "{{ page.colour.deep }}")], "bench").0.unwrap();
    let problems = world.site().unwrap_err();
    assert_eq!((problems.0.len(), problems.0[0].code), (1, "theme-render"));
}

#[test]
fn an_unknown_theme_is_told_with_those_there_are() {
    let (theme, problems, _) = themed(&[("themes/dark/style.css", "")], "drak");
    assert!(theme.is_none());
    assert_eq!(problems.0[0].code, "theme-unknown");
    assert_eq!(problems.0[0].notes, ["there are: bench, dark"]);
}
