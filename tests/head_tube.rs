//! On which head tubes a plan goes, against trying every mix of spacers and risers at every height. Knows no search.
//!
//! All pairings: `cargo test --test library head_tube:: -- --ignored`.

use crate::book;

use benchleaf::assembly::{Outcome, Pick, Setting, assemble};
use benchleaf::catalogue::VariantIx;
use benchleaf::rules::SlotIx;
use benchleaf::solve::{Answer, HeadTube, ShopStrengths, Verdict, picks_of};
use book::Book;

const MM: i64 = 1_000_000;
const LENGTH: &str = "head_tube_length";

struct Sweep<'b> {
    book: &'b Book,
    setting: Setting<'b>,
    deck: SlotIx,
    /// The plan's parts without its fillers, and every mix to put in their place.
    others: Vec<Pick>,
    mixes: Vec<Vec<Pick>>,
}

impl<'b> Sweep<'b> {
    fn of(book: &'b Book, setting: Setting<'b>, answer: &Answer) -> Sweep<'b> {
        let picks = picks_of(&answer.stack);
        let kind = |variant: VariantIx| book.catalogue.part_of(variant).kind;
        let deck = picks.iter().find(|p| kind(p.variant) == "deck").unwrap().slot;
        let filler = |kind: &str| kind == "spacer" || kind == "riser";
        let slots: Vec<SlotIx> = (0..setting.rule.slots.len() as u16)
            .map(SlotIx)
            .filter(|s| setting.rule.slot(*s).kinds.iter().any(|k| filler(k)))
            .collect();
        let all = (0..book.catalogue.variants.len() as u32).map(VariantIx);
        let candidates: Vec<VariantIx> = all.filter(|&v| filler(kind(v))).collect();
        let mut mixes: Vec<Vec<Pick>> = vec![vec![]];
        for &slot in &slots {
            let mut own: Vec<Vec<Pick>> = vec![vec![]];
            let mut last = own.clone();
            for _ in 0..setting.rule.slot(slot).most.min(3) {
                let with_one_more = |mix: &Vec<Pick>| -> Vec<Vec<Pick>> {
                    let from = mix.last().map(|p: &Pick| p.variant);
                    let more = candidates.iter().filter(|&&v| from.is_none_or(|f| v >= f));
                    more.map(|&variant| [&mix[..], &[Pick { slot, variant, turned: false }]].concat())
                        .collect()
                };
                last = last.iter().flat_map(with_one_more).collect();
                own.extend(last.iter().cloned());
            }
            mixes = mixes.iter().flat_map(|a| own.iter().map(move |b| [&a[..], &b[..]].concat())).collect();
        }
        let others = picks.into_iter().filter(|p| !slots.contains(&p.slot)).collect();
        let mut sweep = Sweep { book, setting, deck, others, mixes };
        let all = std::mem::take(&mut sweep.mixes);
        sweep.mixes = all.into_iter().filter(|mix| sweep.goes_over_the_steerer(mix)).collect();
        sweep
    }

    /// Those that fit neither the steerer nor its reduced upper part never go, at any height.
    fn goes_over_the_steerer(&self, mix: &[Pick]) -> bool {
        let fork =
            self.others.iter().find(|p| self.book.catalogue.part_of(p.variant).kind == "fork").unwrap();
        let dim = |variant: VariantIx, name: &str| {
            let dims = &self.book.catalogue.variant(variant).shape.dims;
            dims.iter().find(|d| d.name == name).map(|d| d.dimension.nominal.as_nm())
        };
        let outsides: Vec<i64> =
            ["steerer_outside", "upper_outside"].iter().filter_map(|name| dim(fork.variant, name)).collect();
        let fits = |bore: i64| outsides.iter().any(|outside| (0..3 * MM).contains(&(bore - outside)));
        mix.iter().all(|p| fits(dim(p.variant, "bore").unwrap()))
    }

    fn mix_that_goes(&self, height: i64) -> Option<Vec<VariantIx>> {
        let exact = [(self.deck, LENGTH, height)];
        let setting = Setting { exact: &exact, ..self.setting };
        let goes = |mix: &&Vec<Pick>| {
            let mut picks = [&self.others[..], mix].concat();
            picks.sort_by_key(|p| p.slot);
            assemble(setting, &picks).checks.iter().all(|c| c.outcome == Outcome::Pass)
        };
        let mix = self.mixes.iter().find(goes)?;
        Some(mix.iter().map(|pick| pick.variant).collect())
    }
}

fn inside(union: &[HeadTube], height: i64) -> bool {
    union.iter().any(|tube| tube.least <= height && height <= tube.most)
}

/// Both sides of each end, by a little more than a micrometre, and `between` heights spread from end to end.
fn heights(union: &[HeadTube], between: i64) -> Vec<i64> {
    let ends = union.iter().flat_map(|t| [t.least - 2_000, t.least, t.most, t.most + 2_000]);
    let (least, most) = (union[0].least.max(30 * MM), union.iter().map(|t| t.most).max().unwrap());
    let step = (most - least + 6 * MM) / between;
    let mut all: Vec<i64> = ends.chain((0..=between).map(|n| least - 3 * MM + n * step)).collect();
    all.sort_unstable();
    all.dedup();
    // Under this a head tube has no room for its two seats.
    all.retain(|&h| h > 20 * MM);
    all
}

/// How many heights were tried, and at how many of them it goes.
fn prove(book: &Book, fork: &str, system: usize, between: i64) -> Option<(usize, usize)> {
    let strengths = ShopStrengths(&book.shop);
    let answer = book.bench(&strengths).answer(book.variant(fork), system);
    let id = &book.rules[system].id;
    if answer.verdict != Verdict::Goes {
        assert!(answer.head_tube.is_empty(), "{fork} {id}: a range is promised though it does not surely go");
        return None;
    }
    let union = &answer.head_tube;
    assert!(!union.is_empty(), "{fork} {id}: it goes, and on no head tube");
    assert!(union.iter().all(|t| t.least <= t.most), "{fork} {id}");
    let sweep = Sweep::of(book, book.setting(system, &strengths), &answer);
    let (mut tried, mut goes) = (0, 0);
    for height in heights(union, between) {
        let promised = inside(union, height);
        let goes_with = sweep.mix_that_goes(height);
        // A changed part may be made anywhere within its window; here it is made just so, which suits more.
        let suits_more = !answer.changes.is_empty() && goes_with.is_some();
        assert!(
            suits_more || goes_with.is_some() == promised,
            "{fork} {id} on a head tube of {height} nm with {goes_with:?}: {union:?}"
        );
        tried += 1;
        goes += usize::from(promised);
    }
    Some((tried, goes))
}

#[test]
fn a_plan_goes_on_the_head_tubes_it_promises_and_on_no_other() {
    let book = Book::demo();
    let (tried, goes) = prove(&book, "fork-heron", book.system("wide-shim"), 12).unwrap();
    assert!(tried > 40 && goes > 10 && goes < tried, "{tried} {goes}");
}

/// Where it goes is no shift by the height of the pile: the shoulder of a stepped steerer asks for a head tube so long, however
/// tall the pile is.
#[test]
fn two_risers_over_a_shoulder_go_where_a_spacer_pile_of_their_shift_would_not() {
    let book = Book::demo();
    let strengths = ShopStrengths(&book.shop);
    let answer = book.bench(&strengths).answer(book.variant("fork-stilt"), book.system("cap-in-clamp"));
    let (riser, spacer) = (book.variant("riser-25-9"), book.variant("spacer-25-10"));
    let pair = answer.head_tube.iter().find(|tube| tube.with == [riser, riser]);
    let alone = answer.head_tube.iter().find(|tube| tube.with == [spacer]).unwrap();
    // The pair is 8 mm taller.
    assert!(pair.unwrap().least > alone.least - 8 * MM, "{:?}", answer.head_tube);
}

#[test]
#[ignore = "a long run: every pairing that goes, about three minutes"]
fn every_plan_goes_on_the_head_tubes_it_promises_and_on_no_other() {
    let book = Book::demo();
    let forks: Vec<String> =
        book.catalogue.of_kind("fork").map(|ix| book.catalogue.part(ix).id.clone()).collect();
    let pairs = (0..book.rules.len()).flat_map(|s| forks.iter().map(move |fork| (fork, s)));
    let proved: Vec<(usize, usize)> = pairs.filter_map(|(fork, s)| prove(&book, fork, s, 60)).collect();
    assert!(proved.len() >= 10, "{}", proved.len());
    println!("{} pairings, {} heights", proved.len(), proved.iter().map(|p| p.0).sum::<usize>());
}
