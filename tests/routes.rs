//! Small books of parts, boxes and set-ups made up by number; every route found is held against every basket for every goal.
//! Shares with the search for routes only what a set-up is: purchases are found by trying every basket.

use crate::book;

use std::collections::{BTreeMap, HashMap};
use std::fmt::Write;

use benchleaf::catalogue::{Catalogue, VariantIx};
use benchleaf::solve::{Article, Best, NoRoute, Route, RouteMap, SetUp, Shelf, ShopStrengths};
use book::{Book, Numbers};

const SHOP: &str = "name = \"Quay Bench\"\ncurrency = \"EUR\"\n";
const RULE: &str = include_str!("proof/small.toml");

/// Whatever they stand for, all parts are rings: only what they cost matters here.
fn world(numbers: &mut Numbers) -> Book {
    let mut text = String::new();
    let ids: Vec<String> = [
        "fork-a", "fork-b", "bars-a", "bars-b", "part-a", "part-b", "part-c", "part-d", "deck-a", "deck-b",
        "deck-c",
    ]
    .map(str::to_string)
    .to_vec();
    for id in &ids {
        let sold = match numbers.below(7) {
            0 => "loose = false".to_string(),
            1 => "loose = true".to_string(),
            _ => format!("price = \"{}.00\"", numbers.between(1, 9)),
        };
        let more = if id == "part-d" || (id == "fork-b" && numbers.one_in(2)) {
            "[[part.revision]]\nid = \"1\"\n[[part.revision]]\nid = \"2\"\n"
        } else {
            ""
        };
        writeln!(
            text,
            "[[part]]\nid = \"{id}\"\nkind = \"spacer\"\nname = \"{id}\"\n{sold}\nbore = \"28.6\"\noutside = \"34\"\nlength = \"5\"\n{more}"
        )
        .unwrap();
    }
    for index in 0..3 {
        let mut held: Vec<usize> = (0..numbers.between(1, 3)).map(|_| numbers.below(ids.len())).collect();
        if index < 2 {
            held.push(index as usize);
        }
        held.sort();
        held.dedup();
        let holds: Vec<String> = held
            .iter()
            .map(|&h| {
                // Sometimes it says in which revision.
                let said = if h == 7 && numbers.one_in(2) { "revision = \"2\", " } else { "" };
                format!("{{ part = \"{}\", {said}count = {} }}", ids[h], numbers.between(1, 2))
            })
            .collect();
        let price = match numbers.below(6) {
            0 => String::new(),
            _ => format!("price = \"{}.00\"\n", numbers.between(3, 15)),
        };
        writeln!(
            text,
            "[[box]]\nid = \"box-{index}\"\nname = \"Box\"\n{price}holds = [{}]\n",
            holds.join(", ")
        )
        .unwrap();
    }
    let mut stock = "id,on_hand\n".to_string();
    for id in ids.iter().filter(|_| numbers.one_in(6)) {
        writeln!(stock, "{id},0").unwrap();
    }
    Book::of_texts(&[
        ("content/shop.toml", SHOP),
        ("content/systems/small.toml", RULE),
        ("parts/all.toml", &text),
        ("parts/stock.csv", &stock),
    ])
}

fn set_ups(book: &Book, numbers: &mut Numbers) -> Vec<SetUp> {
    let catalogue = &book.catalogue;
    let variant = |id: &str, numbers: &mut Numbers| {
        let all = &catalogue.part(catalogue.find(id).unwrap()).variants;
        all[numbers.below(all.len())]
    };
    let decks = ["deck-a", "deck-b", "deck-c"].map(|id| book.variant(id));
    let mut all = vec![];
    for fork in ["fork-a", "fork-b"] {
        for system in 0..3 {
            for bars in ["bars-a", "bars-b"] {
                if numbers.one_in(3) {
                    continue;
                }
                let fork = variant(fork, numbers);
                let mut variants = vec![fork, variant(bars, numbers)];
                for _ in 0..numbers.between(0, 3) {
                    let id = ["part-a", "part-b", "part-c", "part-d"][numbers.below(4)];
                    let again = variants.iter().copied().find(|&v| catalogue.part_of(v).id == id);
                    variants.push(again.unwrap_or_else(|| variant(id, numbers)));
                }
                variants.sort();
                let brought = decks.iter().filter(|_| !numbers.one_in(2)).map(|&d| vec![d]).collect();
                let set_in = variants
                    .iter()
                    .filter(|v| catalogue.part_of(**v).id == "part-a")
                    .map(|&v| {
                        let bars = || variants.iter().copied().find(|&v| catalogue.part_of(v).id == *bars);
                        (v, if numbers.one_in(2) { fork } else { bars().unwrap() })
                    })
                    .collect();
                let bars = catalogue.find(bars);
                all.push(SetUp {
                    fork,
                    system,
                    bars,
                    as_in_guide: false,
                    boxed: vec![],
                    variants,
                    set_in,
                    brought,
                });
            }
        }
    }
    all
}

type Counted = BTreeMap<VariantIx, u32>;
type Basket = (u32, i64, Vec<Article>);

/// Every way to fill a basket, with never more than three of a thing.
struct Baskets<'a> {
    catalogue: &'a Catalogue,
    known: HashMap<(Counted, bool), Option<Basket>>,
}

impl Baskets<'_> {
    fn cheapest(&mut self, missing: &Counted) -> Option<Basket> {
        self.fill(missing, true).or_else(|| self.fill(missing, false))
    }

    fn fill(&mut self, missing: &Counted, in_stock: bool) -> Option<Basket> {
        if let Some(known) = self.known.get(&(missing.clone(), in_stock)) {
            return known.clone();
        }
        let out = benchleaf::catalogue::OnHand::Count(0);
        let mut on_sale: Vec<(Article, Option<i64>, Counted)> = vec![];
        for part in &self.catalogue.parts {
            let sold = |v: &&VariantIx| self.catalogue.variant(**v).revision.as_ref().is_none_or(|r| r.sold);
            let loose = part.loose && !(in_stock && part.on_hand == out);
            for &v in part.variants.iter().filter(|v| loose && sold(v)) {
                on_sale.push((Article::Part(v), part.price.map(|p| p.as_minor()), Counted::from([(v, 1)])));
            }
        }
        for (i, the_box) in self.catalogue.boxes.iter().enumerate() {
            let ix = benchleaf::catalogue::BoxIx(i as u32);
            let price = the_box.price.map(|p| p.as_minor());
            // What may be one revision or another is not counted on.
            let known = the_box.holds.iter().filter_map(|h| Some((h.revision?, h.count)));
            on_sale.push((Article::Box(ix), price, known.collect()));
        }
        on_sale.retain(|(_, _, holds)| holds.keys().any(|part| missing.contains_key(part)));
        let mut best: Option<Basket> = None;
        fill_from(&on_sale, missing, (0, 0, vec![]), &mut best);
        self.known.insert((missing.clone(), in_stock), best.clone());
        best
    }
}

fn fill_from(
    on_sale: &[(Article, Option<i64>, Counted)],
    missing: &Counted,
    basket: Basket,
    best: &mut Option<Basket>,
) {
    let rank = |b: &Basket| (b.0, b.1, b.2.len(), b.2.clone());
    if missing.is_empty() {
        if best.as_ref().is_none_or(|known| rank(&basket) < rank(known)) {
            *best = Some(basket);
        }
        return;
    }
    let Some(((article, price, holds), rest)) = on_sale.split_first() else { return };
    let (mut missing, mut basket) = (missing.clone(), basket);
    for _ in 0..4 {
        fill_from(rest, &missing, basket.clone(), best);
        for (part, count) in holds {
            let left = missing.remove(part).unwrap_or(0).saturating_sub(*count);
            if left > 0 {
                missing.insert(*part, left);
            }
        }
        basket.2.push(*article);
        match price {
            Some(price) => basket.1 += price,
            None => basket.0 += 1,
        }
    }
}

/// What moving from one stop to another takes: articles without a price, money, changes, and whether the deck changes.
struct Mover<'a> {
    book: &'a Book,
    stops: &'a [SetUp],
    baskets: Baskets<'a>,
}

type Moved = (u32, i64, usize);

impl Mover<'_> {
    fn moved(&mut self, owned: &Counted, at: usize, to: usize) -> Option<Moved> {
        let (a, b) = (self.stops[at].clone(), self.stops[to].clone());
        let part = |v: VariantIx| self.book.catalogue.variant(v).part;
        let differ = [part(a.fork) != part(b.fork), a.system != b.system, a.bars != b.bars];
        if !differ[0] && a.fork != b.fork {
            return None;
        }
        let mut owned = owned.clone();
        let mut stays = b.set_in.clone();
        for set in &a.set_in {
            match stays.iter().position(|s| s == set) {
                Some(place) => drop(stays.remove(place)),
                None => *owned.entry(set.0).or_insert(1) -= 1,
            }
        }
        let mut needs = Counted::new();
        for &variant in &b.variants {
            *needs.entry(variant).or_insert(0) += 1;
        }
        let count = differ.iter().filter(|d| **d).count();
        if a.brought.iter().any(|deck| b.brought.contains(deck)) {
            return self.priced(&needs, &owned).map(|(unpriced, minor)| (unpriced, minor, count));
        }
        let with = |deck: &Vec<VariantIx>| {
            let mut needs = needs.clone();
            deck.iter().for_each(|&v| *needs.entry(v).or_insert(0) += 1);
            self.priced(&needs, &owned)
        };
        let cheapest = b.brought.iter().filter_map(with).min();
        cheapest.map(|(unpriced, minor)| (unpriced, minor, count + 1))
    }

    fn priced(&mut self, needs: &Counted, owned: &Counted) -> Option<(u32, i64)> {
        let have = |part| owned.get(&part).copied().unwrap_or(0);
        let missing =
            needs.iter().map(|(&p, &n)| (p, n.saturating_sub(have(p)))).filter(|m| m.1 > 0).collect();
        self.baskets.cheapest(&missing).map(|(unpriced, minor, _)| (unpriced, minor))
    }
}

/// The start's shelf as the map has it; the best moves both ways of finding them: changes, and whether the deck is one.
fn held_against_every_basket(seed: u64) -> [Option<(usize, bool)>; 2] {
    let mut numbers = Numbers(seed);
    let book = world(&mut numbers);
    let stops = set_ups(&book, &mut numbers);
    if stops.len() < 2 {
        return [None, None];
    }
    let strengths = ShopStrengths(&book.shop);
    let mut map = RouteMap::new(book.bench(&strengths), &stops, true);
    let from = numbers.below(stops.len());
    let to = stops[numbers.below(stops.len())].clone();
    let part = |v: VariantIx| book.catalogue.variant(v).part;
    let goals: Vec<usize> = (0..stops.len())
        .filter(|&i| part(stops[i].fork) == part(to.fork) && stops[i].system == to.system)
        .collect();
    let Some(shelf) = map.shelf(from, &[]) else { return [None, None] };
    let Shelf { owned } = shelf.clone();
    let baskets = Baskets { catalogue: &book.catalogue, known: HashMap::new() };
    let mut mover = Mover { book: &book, stops: &stops, baskets };
    let there = goals.contains(&from).then_some((0, 0, 0));
    let mut found: Vec<Moved> = goals.iter().filter_map(|&to| mover.moved(&owned, from, to)).collect();
    if let Some(there) = there {
        found = vec![there];
    }
    if stops[from].brought.is_empty() {
        found.clear();
    }
    [Best::Cheapest, Best::FewestChanges].map(|best| {
        let route = map.route(from, &shelf, &goals, None, best);
        let expected = match best {
            Best::Cheapest => found.iter().copied().min(),
            Best::FewestChanges => found.iter().copied().min_by_key(|f| (f.2, f.0, f.1)),
        };
        let got = route.as_ref().ok().map(|r| (r.cost().unpriced, r.cost().minor, r.count()));
        assert_eq!(got, expected, "book {seed}, {best:?}: {route:?}");
        let deck = |r: &Route| r.change.as_ref().is_some_and(|change| change.what.deck);
        got.map(|g| (g.2, route.is_ok_and(|r| deck(&r))))
    })
}

#[test]
fn the_best_way_is_that_of_filling_every_basket_for_every_goal() {
    let mut lengths: BTreeMap<[Option<(usize, bool)>; 2], u32> = BTreeMap::new();
    for seed in 0..300 {
        *lengths.entry(held_against_every_basket(seed)).or_insert(0) += 1;
    }
    println!("{lengths:?}");
    type Lengths = [Option<(usize, bool)>; 2];
    let with = |wanted: &dyn Fn(&Lengths) -> bool| -> u32 {
        lengths.iter().filter(|(l, _)| wanted(l)).map(|(_, n)| n).sum()
    };
    assert!(with(&|l| l[0].is_none()) > 10, "some books have no route");
    let changes = |found: Option<(usize, bool)>| found.map(|f| f.0);
    assert!(with(&|l| changes(l[1]) > Some(1)) > 20, "some routes take several changes");
    assert!(with(&|l| changes(l[0]) != changes(l[1])) > 3, "sometimes more changes are cheaper");
}

#[test]
fn a_goal_that_is_sold_nowhere_says_so() {
    let book = Book::of_texts(&[
        ("content/shop.toml", SHOP),
        ("content/systems/small.toml", RULE),
        (
            "parts/all.toml",
            "[[part]]\nid = \"fork-a\"\nkind = \"spacer\"\nname = \"A\"\nprice = \"1\"\nbore = \"28.6\"\noutside = \"34\"\nlength = \"5\"\n\
             [[part]]\nid = \"fork-b\"\nkind = \"spacer\"\nname = \"B\"\nloose = false\nbore = \"28.6\"\noutside = \"34\"\nlength = \"5\"\n",
        ),
    ]);
    let stop = |id: &str| {
        let fork = book.variant(id);
        SetUp {
            fork,
            system: 0,
            bars: None,
            as_in_guide: true,
            boxed: vec![],
            variants: vec![fork],
            set_in: vec![],
            brought: vec![vec![]],
        }
    };
    let stops = [stop("fork-a"), stop("fork-b")];
    let strengths = ShopStrengths(&book.shop);
    let mut map = RouteMap::new(book.bench(&strengths), &stops, true);
    let shelf = map.shelf(0, &[]).unwrap();
    assert_eq!(map.route(0, &shelf, &[1], None, Best::Cheapest), Err(NoRoute::NotSold));
}
