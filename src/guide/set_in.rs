//! How deep a part that is set into another may sit where something is other than in the plan. Must not know why.

use super::bench::Bench;
use crate::assembly::ItemIx;
use crate::kinds::Known;
use crate::rules::PutOn;

const TENTH: i64 = 100_000;
const MILLIMETRE: i64 = 1_000_000;

/// Nanometres inside the host's end, least and most.
pub type Depth = (i64, i64);

/// Set in at a depth that the plan's step tells.
pub fn all<'b>(bench: &'b Bench<'_>) -> impl Iterator<Item = (ItemIx, Depth)> + 'b {
    bench.stack().windows.iter().filter_map(|window| Some((window.item, window.depth?)))
}

/// "the star nut then sits 8.0 to 11.5 mm below the end"
pub fn with_other(bench: &Bench<'_>, item: ItemIx, depth: Depth) -> String {
    let word = bench.item_word(item);
    match told(bench, item, depth) {
        Some(depth) => bench.words().say("set-in.then", &[("part", &word), ("depth", &depth)]),
        None => bench.words().say("set-in.in-hand", &[("part", &word)]),
    }
}

/// That what the steps say of depths and other chosen heights is for the plan as it stands; `None` where nothing is chosen.
pub fn only_as_planned(bench: &Bench<'_>) -> Option<String> {
    as_planned(bench, bench.stack().windows.iter().map(|window| window.item).collect())
}

/// The same of what is not set into anything: a clamp.
pub fn heights_as_planned(bench: &Bench<'_>) -> Option<String> {
    let outside = bench.stack().windows.iter().filter(|window| window.depth.is_none());
    as_planned(bench, outside.map(|window| window.item).collect())
}

fn as_planned(bench: &Bench<'_>, items: Vec<ItemIx>) -> Option<String> {
    let words: Vec<String> = items.into_iter().map(|item| bench.item_word(item)).collect();
    let list = bench.words().joined("and", &words);
    (!words.is_empty()).then(|| bench.words().say("set-in.as-planned", &[("list", &list)]))
}

/// What stays set in from another plan: as it is, where it may sit wherever it may have been set there.
pub fn stays(old: (&Bench<'_>, ItemIx), new: (&Bench<'_>, ItemIx)) -> Option<String> {
    let of = |(bench, item): (&Bench<'_>, ItemIx)| all(bench).find(|w| w.0 == item).map(|w| w.1);
    let (before, now) = (of(old), of(new)?);
    let holds = before.is_some_and(|before| now.0 <= before.0 && before.1 <= now.1);
    let bench = new.0;
    let range = || told(bench, new.1, now).unwrap_or_else(|| bench.words().word("step.window-in-hand"));
    let price = bench.part_of(new.1).price.map(|price| bench.money(price));
    let deck = bench.items().find(|&(item, _)| bench.part_of(item).is(Known::Deck));
    let deck = deck.map(|(deck, _)| bench.part_of(deck).name.clone());
    let told = [("price", price), ("deck", deck)];
    (!holds).then(|| {
        let told = told.into_iter().filter_map(|(name, text)| Some((name, text?)));
        let values: Vec<(&str, String)> = told.chain([("depth", range())]).collect();
        let values: Vec<(&str, &str)> = values.iter().map(|(name, text)| (*name, text.as_str())).collect();
        bench.words().say("coming.stays-if", &values)
    })
}

/// What to aim at in a range that is told as a range: its middle, in whole millimetres where there is room.
pub fn middle((least, most): Depth) -> Option<i64> {
    let step = if most - least >= 4 * MILLIMETRE { MILLIMETRE } else { TENTH };
    (most - least > MILLIMETRE).then(|| (least + most + step).div_euclid(2 * step) * step)
}

/// The range at which to aim. Where it is narrower than a millimetre, its middle, and how far off that may be. Where real parts
/// leave no range in common, the end of it that the rule alone sets, which is the same on all of them: if there is room on the
/// parts in hand, there is room there.
pub fn told(bench: &Bench<'_>, item: ItemIx, (least, most): Depth) -> Option<String> {
    let PutOn::Chosen(choice) = bench.rule.slot(bench.item(item).slot).put_on else { return None };
    let by_hand = choice.by_hand.as_nm();
    let aim = |value: i64, within: i64| {
        let within = within.div_euclid(TENTH) * TENTH;
        let key = if within > 0 { "step.window-within" } else { "step.window-at" };
        let (value, within) = (bench.lengths().aim(value), bench.lengths().aim(within));
        bench.words().say(key, &[("value", &value), ("within", &within)])
    };
    if by_hand > 0 && (least..=least + MILLIMETRE).contains(&most) {
        let middle = (least + most + TENTH).div_euclid(2 * TENTH) * TENTH;
        return Some(aim(middle, (middle - least).min(most - middle) + by_hand));
    }
    bench.lengths().inward(least, most, 1).or_else(|| {
        let nearest = Some(choice.depth_least.as_nm() + by_hand).filter(|&at| at == least);
        let deepest = choice.depth_most.map(|most| most.as_nm() - by_hand).filter(|&at| at == most);
        Some(aim(nearest.or(deepest)?, by_hand))
    })
}
