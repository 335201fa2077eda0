//! Coming from one system to another in the demo book: every part is accounted for, and what is bought is what is
//! missing. Knows no words.

use crate::book;

use std::collections::BTreeMap;
use std::sync::LazyLock;

use benchleaf::assembly::Demand;
use benchleaf::catalogue::{BoxIx, VariantIx};
use benchleaf::guide::{self, Words};
use benchleaf::solve::{Answer, Article, Bench, Coming, ShopStrengths, Source, Verdict};
use book::Book;
use rayon::prelude::*;

/// The demo book, and every plan of two forks that come with much in their boxes: found once for all tests.
static PLANS: LazyLock<(Book, Vec<Vec<Answer>>)> = LazyLock::new(|| {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    let of_fork = |fork: &str| {
        let part = book.catalogue.find(fork).unwrap();
        let all: Vec<Answer> =
            (0..book.rules.len()).into_par_iter().flat_map_iter(|s| bench.answers(part, s)).collect();
        let plans: Vec<Answer> = all.into_iter().filter(|a| a.verdict != Verdict::No).collect();
        assert!(plans.len() > 1, "{fork} goes with several systems");
        plans
    };
    let plans = ["fork-egret", "fork-stilt"].map(of_fork).to_vec();
    (book, plans)
});

fn with_answers(mut check: impl FnMut(&Bench<'_>, &Book, &[Answer])) {
    let (book, plans) = &*PLANS;
    let strengths = ShopStrengths(&book.shop);
    let bench = book.bench(&strengths);
    for plans in plans {
        check(&bench, book, plans);
    }
}

fn pairs(plans: &[Answer]) -> impl Iterator<Item = (&Answer, &Answer)> {
    plans.iter().flat_map(move |old| plans.iter().map(move |new| (old, new)))
}

#[test]
fn every_item_of_both_plans_is_told_once() {
    with_answers(|bench, _, plans| {
        for (old, new) in pairs(plans) {
            let coming = bench.coming(old, new).unwrap();
            let mut before: Vec<u16> =
                coming.stays.iter().map(|s| s.0.0).chain(coming.off.iter().map(|o| o.0.0)).collect();
            let mut after: Vec<u16> =
                coming.stays.iter().map(|s| s.1.0).chain(coming.on.iter().map(|o| o.0.0)).collect();
            before.sort();
            after.sort();
            assert_eq!(before, (0..old.stack.items.len() as u16).collect::<Vec<_>>());
            assert_eq!(after, (0..new.stack.items.len() as u16).collect::<Vec<_>>());
            let again = |c: &Coming| c.on.iter().filter(|o| o.1 == Source::Again).count();
            let goes_again = coming.off.iter().filter(|o| o.1).count();
            let brought = coming.on.iter().filter(|o| o.1 == Source::Brought).count();
            assert!(goes_again <= again(&coming) + brought && again(&coming) <= goes_again);
        }
    });
}

#[test]
fn what_is_bought_is_what_is_missing() {
    with_answers(|bench, book, plans| {
        for (old, new) in pairs(plans) {
            let coming = bench.coming(old, new).unwrap();
            let bought: usize = coming.on.iter().filter(|o| o.1 == Source::Bought).count();
            assert_eq!(bought == 0, coming.buy.is_empty(), "{coming:?}");
            let mut supplied: BTreeMap<VariantIx, u32> = BTreeMap::new();
            for buy in &coming.buy {
                match buy.article {
                    Article::Part(part) => *supplied.entry(part).or_insert(0) += buy.count,
                    Article::Box(BoxIx(b)) => {
                        for held in &book.catalogue.boxes[b as usize].holds {
                            let known = held.revision.into_iter();
                            known.for_each(|v| *supplied.entry(v).or_insert(0) += held.count * buy.count);
                        }
                    }
                }
            }
            for (item, _) in coming.on.iter().filter(|o| o.1 == Source::Bought) {
                let part = new.stack.items[usize::from(item.0)].variant;
                let left = supplied.get_mut(&part).filter(|n| **n > 0);
                *left.unwrap_or_else(|| panic!("{part:?} is bought by nothing: {coming:?}")) -= 1;
            }
            let total: i64 =
                coming.buy.iter().filter_map(|b| Some(b.price?.as_minor() * i64::from(b.count))).sum();
            assert_eq!(coming.spend.known.as_minor(), total);
            let afresh = new.spend.known.as_minor() + i64::from(new.spend.unpriced) * 1_000_000;
            let cheaper = total <= afresh || coming.brought.is_empty();
            assert!(cheaper || !old.buy.is_empty() || driven_out(bench, old), "{coming:?}");
        }
    });
}

#[test]
fn where_no_one_deck_goes_with_both_the_new_one_is_bought_and_the_old_one_comes_off() {
    let mut bought = 0;
    with_answers(|bench, book, plans| {
        for (old, new) in pairs(plans) {
            let coming = bench.coming(old, new).unwrap();
            let deck = |answer: &Answer| {
                let items = answer.stack.items.iter();
                items.map(|i| i.variant).position(|v| book.catalogue.part_of(v).kind == "deck").unwrap()
            };
            let (before, after) = (deck(old), deck(new));
            let variant = new.stack.items[after].variant;
            let in_price = coming.buy.iter().find(|buy| buy.article == Article::Part(variant));
            assert_eq!(in_price.is_some(), coming.brought.is_empty(), "{coming:?}");
            let Some(in_price) = in_price else { continue };
            assert!(coming.brought_priced && in_price.price.is_some(), "{coming:?}");
            assert!(coming.on.iter().any(|on| usize::from(on.0.0) == after && on.1 == Source::Bought));
            assert!(coming.off.iter().any(|off| usize::from(off.0.0) == before && !off.1));
            bought += 1;
        }
    });
    assert!(bought > 0);
}

/// A part driven into the old plan's fork or bars may have to be bought again.
fn driven_out(bench: &Bench<'_>, old: &Answer) -> bool {
    let rule = &bench.rules[old.system];
    old.stack.items.iter().any(|item| rule.driven_into(item.slot).is_some())
}

#[test]
fn coming_from_the_same_system_changes_nothing() {
    with_answers(|bench, _, plans| {
        for plan in plans {
            let coming = bench.coming(plan, plan).unwrap();
            assert!(coming.off.is_empty() && coming.on.is_empty() && coming.buy.is_empty());
            assert_eq!((coming.spend.known.as_minor(), coming.spend.unpriced), (0, 0));
            assert!(!coming.brought.is_empty());
        }
    });
}

#[test]
fn a_part_that_could_be_either_way_up_is_taken_off_where_the_new_plan_tells_its_way_up() {
    let mut tried = 0;
    with_answers(|bench, book, plans| {
        for (old, new) in pairs(plans) {
            let stays = bench.coming(old, new).unwrap().stays;
            let brought = |i: usize| book.rules[new.system].slot(new.stack.items[i].slot).brought;
            let told = |i: u16| i > 0 && !new.either_way.iter().any(|e| e.0 == i) && !brought(usize::from(i));
            let Some(&(item, _)) = stays.iter().find(|s| s.0 == s.1 && told(s.0.0)) else { continue };
            let mut loose = old.clone();
            loose.either_way.push(item);
            let stays = bench.coming(&loose, new).unwrap().stays;
            assert!(!stays.iter().any(|s| s.0 == item), "{item:?} may be the wrong way up");
            tried += 1;
        }
    });
    assert!(tried > 0);
}

/// A star nut that was driven in for one plan may sit where the bolt of the next does not reach it.
#[test]
fn what_stays_set_in_is_told_as_it_is_only_where_the_new_plan_takes_it_wherever_it_was_set() {
    let (mut as_it_is, mut asked) = (0, 0);
    with_answers(|bench, book, plans| {
        let words = Words::own();
        let caliper = book.shop.defaults.caliper;
        let of = guide::Book { catalogue: &book.catalogue, rules: &book.rules, words: &words, caliper };
        for (old, new) in pairs(plans).filter(|(old, new)| old.system != new.system) {
            let Some(coming) = bench.coming(old, new) else { continue };
            let answers = [new.clone()];
            let mut told = guide::guide(&of, &answers);
            guide::coming_from(&of, &mut told, &answers, &[vec![guide::ComingBy::from(coming.clone(), old)]]);
            let depth = |answer: &Answer, item| {
                answer.stack.windows.iter().find(|w| w.item == item).and_then(|w| w.depth)
            };
            for (before, after) in coming.stays {
                let (Some(was), Some(may)) = (depth(old, before), depth(new, after)) else { continue };
                let id = &book.catalogue.part_of(new.stack.items[after.0 as usize].variant).id;
                let keep = &told.answers[0].coming[0].keep;
                let line = keep.iter().find(|line| line.part_id == *id).unwrap();
                let inside = may.0 <= was.0 && was.1 <= may.1;
                assert_eq!(
                    line.text == words.word("coming.stays"),
                    inside,
                    "{id}: {was:?}, {may:?}: {}",
                    line.text
                );
                (as_it_is, asked) = (as_it_is + usize::from(inside), asked + usize::from(!inside));
            }
        }
    });
    assert!(asked > 0, "{as_it_is} stay as they are, {asked} are asked about");
}

/// What a step lets measure of one part is never less than the gap that the table tells, and one of them is that gap.
#[test]
fn the_closing_gap_is_the_least_of_what_each_pushed_part_can_still_go_down() {
    let (_, plans) = &*PLANS;
    let (mut pulled, mut others) = (0, 0);
    for answer in plans.iter().flatten() {
        let gap = answer.stack.checks.iter().find(|check| check.demand == Demand::GapLeast).unwrap();
        let Some(value) = &gap.value else { continue };
        let first = answer.gaps.iter().min_by_key(|own| own.1.least).unwrap();
        assert_eq!((first.1.least, first.1.most >= value.most), (value.least, true), "{:?}", answer.gaps);
        *(if gap.about[0] == first.0 { &mut pulled } else { &mut others }) += 1;
    }
    assert!(pulled > 0 && others > 0, "{pulled} by the pulled part, {others} by another");
}

/// With a caliper, before the cap hides it: what the cap reaches below its seat comes to the gap.
#[test]
fn what_is_read_before_a_cap_goes_on_is_the_gap_and_the_spigot_of_that_cap() {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let words = Words::own();
    let caliper = book.shop.defaults.caliper;
    let of = guide::Book { catalogue: &book.catalogue, rules: &book.rules, words: &words, caliper };
    let hundredths = |nanometres: i64, up: bool| {
        let whole = if up { -(-nanometres).div_euclid(10_000) } else { nanometres.div_euclid(10_000) };
        format!("{:.2}", whole as f64 / 100.0)
    };
    // One cap with a spigot, one without.
    for (fork, least) in [("fork-rook", 2_900_000), ("fork-heron", 0)] {
        let answers = [book.bench(&strengths).answer(book.variant(fork), book.system("wide-shim"))];
        let stack = &answers[0].stack;
        let cap = stack.items.iter().position(|item| item.name == "cap").unwrap();
        let foot = &stack.items[cap].columns[0].segments[0];
        let ends: Vec<_> = stack.dims.iter().map(|dim| dim.ends).collect();
        let spigot = match foot.outside.surface == "spigot" {
            true => (foot.length.least(&ends), foot.length.most(&ends)),
            false => (0, 0),
        };
        assert!((spigot.0 > 0) == (least > 0), "{fork}: {spigot:?}");
        let gap = &answers[0].gaps.iter().find(|gap| usize::from(gap.0.0) == cap).unwrap().1;
        let guide = guide::guide(&of, &answers);
        let step = guide.answers[0].steps.iter().find(|s| s.id == "cap-on").unwrap();
        let range = format!(
            "{} to {} mm",
            hundredths(gap.least + spigot.0, false),
            hundredths(gap.most + spigot.1, true)
        );
        let text = step.text.replace('\u{a0}', " ");
        assert!(text.contains(&range), "{fork}: {range} is not in: {text}");
        let says =
            step.also.iter().any(|line| line.replace('\u{a0}', " ") == "3 mm of it is spigot, not gap.");
        assert_eq!(says, spigot.0 > 0, "{fork}: {:?}", step.also);
    }
}

/// A shorter bolt serves as well only with the nut where it reaches it.
#[test]
fn a_part_that_serves_as_well_tells_how_deep_the_nut_may_sit_with_it() {
    let (book, plans) = &*PLANS;
    let mut narrower = 0;
    for answer in plans.iter().flatten() {
        for other in &answer.alternatives {
            for (item, (least, most)) in &other.depths {
                let plan = answer.stack.windows.iter().find(|w| w.item == *item).unwrap().depth;
                assert!(
                    least <= most || other.verdict != Verdict::Goes,
                    "{}",
                    book.catalogue.part_of(other.variant).id
                );
                narrower += usize::from(plan.is_some_and(|plan| *most < plan.1 || plan.0 < *least));
            }
        }
    }
    assert!(narrower > 0);
}
