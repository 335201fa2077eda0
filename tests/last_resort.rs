//! Small books whose rule allows permanent changes, answered twice: by the search, and by writing every part as if it
//! were made to every allowed length, and trying every combination of that book. Knows nothing of how a change is made.

use crate::book;
use crate::trying;

use benchleaf::assembly::{Outcome, Pick, Placed, assemble};
use benchleaf::catalogue::{OnHand, VariantIx};
use benchleaf::quantity::Length;
use benchleaf::solve::{Answer, Article, ShopStrengths, Supply, Verdict};
use book::Book;
use rayon::prelude::*;
use trying::{RULE, book_of, by_trying_all, by_trying_all_with, first_by_stock, texts, told};

/// Two changes that the rule of the made-up books allows.
const CHANGES: &str = r#"
[[change]]
id = "shim-cut"
slot = "shim"
size = "length"
between = ["26", "38"]
step = "4"
within = "0.1"
say = "Cut it."
lost = ["going-back"]

[[change]]
id = "steerer-cut"
slot = "fork"
size = "steerer_length"
between = ["58", "62"]
step = "2"
within = "0.1"
say = "Cut it."
lost = ["going-back"]
"#;

/// What each part is cut to, fork first; 0 for one left alone.
type Cuts = [(String, i64); 2];
/// Outcome, changes, cost, parts, ids, and what comes off: less comes first.
type BestCut = (Outcome, usize, (u32, i64), usize, Vec<(u16, String, i64, bool)>);

/// Lengths in millimetres that a part may be cut to; 0: not at all.
fn lengths(book: &Book, id: &str, size: &str, all: &[i64]) -> Vec<i64> {
    let shape = &book.catalogue.variant(book.variant(id)).shape;
    let own = shape.dims.iter().find(|d| d.name == size).unwrap().dimension.least().as_nm();
    let cut = all.iter().copied().filter(|l| l * 1_000_000 + 100_000 <= own);
    std::iter::once(0).chain(cut).collect()
}

/// The parts' text with a part written as if it were made that long.
fn as_if_made(parts: &str, id: &str, size: &str, length: i64) -> String {
    let at = parts.find(&format!("id = \"{id}\"")).unwrap();
    let line = at + parts[at..].find(&format!("\n{size} = ")).unwrap() + 1;
    let end = line + parts[line..].find('\n').unwrap();
    format!("{}{size} = \"{length} ±0.1\"{}", &parts[..line], &parts[end..])
}

/// Every second book has a steerer that no pile is long enough for.
fn texts_to_cut(seed: u64) -> (String, String) {
    let (parts, stock) = texts(seed);
    match seed % 2 {
        0 => (parts, stock),
        _ => (as_if_made(&parts, "fork-a", "steerer_length", 84), stock),
    }
}

/// The best plan for every way of cutting: from what is in stock, and from everything.
fn by_cutting_all((parts, stock): &(String, String), book: &Book) -> Vec<[Option<BestCut>; 2]> {
    let forks = lengths(book, "fork-a", "steerer_length", &[58, 60, 62]);
    let shims: Vec<String> =
        book.catalogue.of_kind("shim").map(|p| book.catalogue.part(p).id.clone()).collect();
    let mut cuts: Vec<Cuts> = vec![];
    for &fork in &forks {
        for shim in &shims {
            let all = lengths(book, shim, "length", &[26, 30, 34, 38]);
            cuts.extend(all.iter().map(|&l| [("fork-a".to_string(), fork), (shim.clone(), l)]));
        }
    }
    cuts.retain(|c| c.iter().any(|(_, length)| *length > 0));
    let best = |cut: &Cuts| {
        let mut text = parts.clone();
        for ((id, length), size) in cut.iter().zip(["steerer_length", "length"]) {
            if *length > 0 {
                text = as_if_made(&text, id, size, *length);
            }
        }
        let made = book_of(RULE, &text, stock);
        let with = if cut[1].1 > 0 { cut[1].0.as_str() } else { "" };
        let count = cut.iter().filter(|c| c.1 > 0).count();
        let off = |id: &str| cut.iter().find(|c| c.0 == id).map_or(0, |c| -c.1);
        by_trying_all_with(&made, made.variant("fork-a"), with).map(|best| {
            let (outcome, cost, items, told) = best?;
            let told = told.into_iter().map(|(slot, id, turned)| (slot, id.clone(), off(&id), turned));
            Some((outcome, count, cost, items, told.collect()))
        })
    };
    cuts.par_iter().map(best).collect()
}

/// The length of the change's own with which the plan was found.
fn found_with(book: &Book, variant: VariantIx, name: &str) -> i64 {
    let dims = &book.catalogue.variant(variant).shape.dims;
    dims.iter().find(|d| d.name == name).unwrap().dimension.nominal.as_nm()
}

/// The plan of an answer with what it cuts.
fn told_cut(book: &Book, answer: &Answer) -> Option<BestCut> {
    let (outcome, cost, items, _) = told(book, answer)?;
    let off = |variant| {
        let change = answer.changes.iter().find(|c| c.variant == variant);
        change
            .and_then(|c| c.size.as_ref())
            .map_or(0, |size| -found_with(book, variant, size.name) / 1_000_000)
    };
    let one = |i: &benchleaf::assembly::Placed| {
        (i.slot.0, book.catalogue.part_of(i.variant).id.clone(), off(i.variant), i.turned)
    };
    let told = answer.stack.items.iter().map(one).collect();
    Some((outcome, answer.changes.len(), cost, items, told))
}

/// What was compared: the answer's supply, and whether a last resort stands beside it.
fn compare_cuts(seed: u64) -> Result<(Option<Supply>, bool), String> {
    let (parts, stock) = texts_to_cut(seed);
    let rule = RULE.replacen("[[sleeve]]", &format!("{CHANGES}\n[[sleeve]]"), 1);
    let book = book_of(&rule, &parts, &stock);
    let strengths = ShopStrengths(&book.shop);
    let answer = book.bench(&strengths).answer(book.variant("fork-a"), 0);
    let [stocked, all] = by_trying_all(&book, book.variant("fork-a"));
    let wrong = |what: &str, search: String, trying: String| {
        Err(format!("book {seed}, {what}: search {search}\nall {trying}\n{parts}\n{stock}"))
    };
    let cuts = by_cutting_all(&(parts.clone(), stock.clone()), &book);
    let best = |place: usize| cuts.iter().filter_map(|c| c[place].clone()).min();
    if stocked.is_none() && all.is_none() {
        // On hand first, but for what must be measured where something goes for certain.
        let trying = match (best(0), best(1)) {
            (Some(stocked), Some(all)) if all.0 < stocked.0 => Some(all),
            (stocked, all) => stocked.or(all),
        };
        let search = told_cut(&book, &answer);
        if answer.unfinished || search != trying {
            return wrong("changed", format!("{search:?}"), format!("{trying:?}"));
        }
        return Ok((answer.supply, false));
    }
    if told(&book, &answer) != first_by_stock(stocked, all) || !answer.changes.is_empty() {
        return wrong("as made", format!("{:?}", told_cut(&book, &answer)), String::new());
    }
    let spent = (answer.spend.unpriced, answer.spend.known.as_minor());
    let out = |b: &benchleaf::solve::Buy| match b.article {
        Article::Part(p) => book.catalogue.part_of(p).on_hand == OnHand::Count(0),
        Article::Box(b) => book.catalogue.the_box(b).on_hand == OnHand::Count(0),
    };
    let cheaper_only = answer.verdict == Verdict::Goes && !answer.buy.iter().any(out);
    let worth = |c: &BestCut| c.0 == Outcome::Pass && (!cheaper_only || c.2 < spent);
    let trying = cuts.iter().filter_map(|c| c[0].clone()).filter(worth).min();
    let trying = trying.map(|c| (c.2, c.4.iter().map(|t| t.1.clone()).collect::<Vec<_>>()));
    let search = answer.last_resort.as_ref().map(|r| {
        let ids = r.parts.iter().map(|&v| book.catalogue.part_of(v).id.clone()).collect::<Vec<_>>();
        ((r.spend.unpriced, r.spend.known.as_minor()), ids)
    });
    if search != trying {
        return wrong("last resort", format!("{search:?}"), format!("{trying:?}"));
    }
    Ok((answer.supply, search.is_some()))
}

/// The plan of an answer in a book where the one part it cuts is made exactly that long.
fn goes_at(texts: &(String, String), book: &Book, answer: &Answer, length: i64) -> bool {
    let change = &answer.changes[0];
    let size = change.size.as_ref().unwrap();
    let id = &book.catalogue.part_of(change.variant).id;
    let cut = as_if_made(&texts.0, id, size.name, 1234);
    let text = cut.replace("\"1234 ±0.1\"", &format!("\"{} ±0\"", Length::nm(length)));
    let made = book_of(RULE, &text, &texts.1);
    let as_made = |v| book.catalogue.variant(v).changed.as_ref().map_or(v, |c| c.from);
    let pick = |i: &Placed| Pick { slot: i.slot, variant: as_made(i.variant), turned: i.turned };
    let picks: Vec<Pick> = answer.stack.items.iter().map(pick).collect();
    let strengths = ShopStrengths(&made.shop);
    let stack = assemble(made.setting(0, &strengths), &picks);
    stack.checks.iter().all(|c| c.outcome == Outcome::Pass)
}

#[test]
fn every_length_of_the_printed_window_goes_and_missed_by_as_much_as_is_allowed() {
    let mut windows = 0;
    for seed in (1..40).step_by(2) {
        let (parts, stock) = texts_to_cut(seed);
        let rule = RULE.replacen("[[sleeve]]", &format!("{CHANGES}\n[[sleeve]]"), 1);
        let book = book_of(&rule, &parts, &stock);
        let strengths = ShopStrengths(&book.shop);
        let answer = book.bench(&strengths).answer(book.variant("fork-a"), 0);
        if answer.verdict != Verdict::Goes || answer.changes.len() != 1 {
            continue;
        }
        let size = answer.changes[0].size.clone().unwrap();
        // Aimed at as far from scrap as from a second cut.
        let (under, over) = (size.to - size.least, size.most - size.to);
        assert!((0..=100_000).contains(&(over - under)), "{size:?}");
        windows += usize::from(size.least < size.most);
        let texts = (parts, stock);
        let ends = [size.least - size.within, size.to, size.most + size.within];
        assert!(ends.iter().all(|&l| goes_at(&texts, &book, &answer, l)), "book {seed}: {size:?}");
        // The window ends where it has to: at what the rule allows, or because more would not go for certain.
        let (low, high) = (58_000_000, 62_000_000);
        let inner = size.name == "steerer_length" && size.least > low && size.most < high;
        let wider = size.most + size.within + 4_000_000;
        assert!(!inner || !goes_at(&texts, &book, &answer, wider), "book {seed}: {size:?}");
    }
    assert!(windows > 3, "{windows}");
}

fn run_cuts(books: u64, least: usize) {
    let compared: Vec<_> = (0..books).into_par_iter().map(compare_cuts).collect();
    let wrong: Vec<&String> = compared.iter().filter_map(|c| c.as_ref().err()).collect();
    assert!(wrong.is_empty(), "{} of {books} books differ, the first:\n{}", wrong.len(), wrong[0]);
    let found: Vec<(Option<Supply>, bool)> = compared.into_iter().flatten().collect();
    type Told = (Option<Supply>, bool);
    let count = |wanted: &dyn Fn(&Told) -> bool| found.iter().filter(|f| wanted(f)).count();
    let counts = [
        count(&|f| f.0 == Some(Supply::PermanentChange)),
        count(&|f| f.1),
        count(&|f| f.0.is_none()),
        count(&|f| matches!(f.0, Some(Supply::AsBoxed | Supply::ExtraParts)) && !f.1),
    ];
    println!("only with a change, last resort beside, no, without: {counts:?}");
    assert!(counts.iter().all(|&c| c >= least), "{counts:?}");
}

#[test]
fn the_last_resort_is_what_cutting_every_part_to_every_length_finds() {
    run_cuts(24, 1);
}

/// The long run: `cargo test --test library last_resort:: -- --ignored`.
#[test]
#[ignore = "some minutes"]
fn the_last_resort_is_what_cutting_every_part_to_every_length_finds_in_200_books() {
    run_cuts(200, 8);
}
