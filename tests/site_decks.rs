//! What pages say of decks: rows of guides, rows of pages for other bars, and a deck's own page. Knows no solving.

use crate::sample;

use benchleaf::guide::ForBars;
use benchleaf::site::GuideForBars;
use benchleaf::solve::Verdict;
use sample::{World, deck_row};
use scraper::{Html, Selector};

fn page(world: &World, for_bars: &[GuideForBars], path: &str) -> Html {
    let files = world.site_for_bars(for_bars).unwrap();
    let bytes = files.get(path).unwrap_or_else(|| panic!("no {path} among {:?}", files.keys()));
    Html::parse_document(std::str::from_utf8(bytes).unwrap())
}

fn texts(page: &Html, css: &str) -> Vec<String> {
    let wanted = Selector::parse(css).unwrap();
    let all = page.select(&wanted);
    all.map(|e| e.text().collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")).collect()
}

/// Pages for other bars stand behind the guides, and their own place among all pages is no place among the guides.
#[test]
fn a_deck_on_which_nothing_goes_names_forks_that_go_on_it_on_a_page_for_other_bars_too() {
    let world = World::new();
    let mut guide = world.guides[2].clone();
    guide.answers[0].decks = vec![deck_row(Verdict::No, "does not go")];
    guide.with_bars = Some(ForBars { page: "bars-b".to_owned(), name: "Bars B".to_owned() });
    let mut other = world.guides[1].clone();
    other.with_bars = guide.with_bars.clone();
    other.answers[0].decks = vec![deck_row(Verdict::No, "does not go")];
    let for_bars = [
        GuideForBars { of: 2, guide, drawings: world.drawings[2].clone() },
        GuideForBars { of: 1, guide: other, drawings: world.drawings[1].clone() },
    ];
    // Of the two answers for the first fork with System A one has no row: not all of them go on it. With its own bars this one does.
    let first = page(&world, &for_bars, "guides/fork-b/sys-a/bars-b.html");
    assert_eq!(
        texts(&first, "tr#on-deck-a td span"),
        ["does not go. Forks that go on it with this system: Fork B"]
    );
    let second = page(&world, &for_bars, "guides/fork-a/sys-b/bars-b.html");
    let told = texts(&second, "tr#on-deck-a td span");
    assert_eq!(told, ["does not go. Forks that go on it with this system: Fork A"]);
}

#[test]
fn the_page_of_a_deck_tells_what_goes_on_it_or_may_and_of_revisions_the_worst() {
    let mut world = World::new();
    let told = |page: &Html| -> Vec<String> {
        let cells = |css: &str| texts(page, &format!("table.decks tbody {css}"));
        let (forks, systems, said) = (cells("th"), cells("td:nth-of-type(1)"), cells("td:nth-of-type(2)"));
        let row = |((fork, system), said): ((String, String), String)| format!("{fork}, {system}: {said}");
        forks.into_iter().zip(systems).zip(said).map(row).collect()
    };
    let on_deck = page(&world, &[], "parts/deck-a.html");
    assert_eq!(
        told(&on_deck),
        ["Fork A, System A: goes", "Fork A, System B: goes", "Fork B, System A: goes"]
    );
    // Revision 2 has to be measured: so the pairing is told, whatever the other says.
    world.guides[0].answers[1].decks = vec![deck_row(Verdict::Measure, "measure first, as said")];
    world.guides[1].answers[0].decks = vec![deck_row(Verdict::No, "does not go")];
    world.guides[2].answers[0].decks = vec![deck_row(Verdict::Goes, "goes")];
    let on_deck = page(&world, &[], "parts/deck-a.html");
    assert_eq!(told(&on_deck), ["Fork A, System A: measure first, as said", "Fork B, System A: goes"]);
    for guide in &mut world.guides {
        guide.answers.iter_mut().for_each(|answer| answer.decks.clear());
    }
    let on_deck = page(&world, &[], "parts/deck-a.html");
    assert_eq!(told(&on_deck), Vec::<String>::new());
    assert!(texts(&on_deck, "section, main").iter().any(|text| text.contains("What goes on this deck")));
}
