//! Themes and prose of a book: what a shop may change and what is refused.

use crate::world::{book_files, world_of};
use benchleaf::base::{BookFiles, Problems, Sources};
use benchleaf::site::read_theme;

fn with(path: &str, text: &str) -> BookFiles {
    let mut files = book_files();
    files.insert(path.into(), text.as_bytes().to_vec());
    files
}

/// Code, and line and column of its first place.
fn first_problem(files: &BookFiles, name: &str) -> (String, Option<(usize, usize)>) {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    assert!(read_theme(files, name, &mut sources, &mut problems).is_none());
    let problem = &problems.0[0];
    (problem.code.into(), problem.places.first().map(|p| sources.line_column(p.span)))
}

#[test]
fn a_theme_may_change_one_template_and_keep_the_rest() {
    let own =
        "{% extends \"base.html\" %}{% block content %}<h1>Ours: {{ page.title }}</h1>{% endblock content %}";
    let world = world_of(&with("themes/bench/prose.html", own)).expect("no errors");
    let files = world.files();
    assert!(String::from_utf8_lossy(&files["pages/about.html"]).contains("<h1>Ours: About this book</h1>"));
    assert!(String::from_utf8_lossy(&files["index.html"]).contains("table class=\"fit\""));
}

#[test]
fn a_mistake_in_a_template_is_told_at_its_place() {
    let files = with("themes/bench/prose.html", "<p>\n  {{ page.title | }}\n");
    let (code, place) = first_problem(&files, "bench");
    assert_eq!((code.as_str(), place.map(|p| p.0)), ("theme-syntax", Some(2)));
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
fn a_value_that_no_page_has_is_told_once_at_its_place() {
    let files = with("themes/bench/guide.html", "<h1>\n{{ page.colour_of_the_sky }}</h1>");
    let world = world_of(&files).expect("reads");
    let problems = world.try_files().expect_err("cannot be rendered");
    assert_eq!(problems.0.len(), 1, "{problems:?}");
    assert_eq!(problems.0[0].code, "theme-render");
    assert_eq!(world.sources.line_column(problems.0[0].places[0].span).0, 2);
}

#[test]
fn a_theme_that_is_not_there_is_refused_with_those_that_are() {
    let files = with("themes/harbour/style.css", "p {}");
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    assert!(read_theme(&files, "harbor", &mut sources, &mut problems).is_none());
    assert_eq!(problems.0[0].code, "theme-unknown");
    assert!(problems.0[0].notes[0].contains("bench, harbour"), "{:?}", problems.0[0].notes);
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
    let style = include_str!("../../themes/bench/style.css");
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
