//! A small book for tests: a fork, a head tube, spacers, two shims, a cap and a bolt, put together as asked.
//! Knows nothing of the search: answers are made by hand.

use super::bench::Book;
use super::words::Words;
use crate::assembly::{ItemIx, Pick, Setting, Stack, Strengths, alike_turned, assemble};
use crate::catalogue::{Catalogue, PartIx, Shop, VariantIx};
use crate::kinds::Shape;
use crate::quantity::{Length, Money};
use crate::rules::{Rule, SlotIx, book_for_tests};
use crate::solve::{Alternative, Answer, ReadWhat, Reading, Spend, Supply, Then, Verdict};

const SHOP: &str = "name = \"Slipway\"\nlanguage = \"en\"\ncurrency = \"EUR\"\n";

const PARTS: &str = r#"
[[part]]
id = "fork-heron"
kind = "fork"
name = "Heron fork"
loose = false
crown_outside = "46 ±0.1"
crown_height = "32 ±0.1"
bottom_thickness = "8 ±0.1"
seat_diameter = "30.1 +0.05/+0"
seat_height = "6 ±0.1"
steerer_outside = "28.6 +0/-0.05"
steerer_bore = "22.4 ±0.1"
steerer_length = "142 ±0.1"
insert_thread = "M8"
insert_depth = "10 ±0.2"
insert_length = "20 ±0.2"
[[part.revision]]
id = "1"
tell = "two grooves round the crown"
[[part.revision]]
id = "2"
since = "spring 2026"
steerer_length = "142.4 ±0.1"

[[part]]
id = "deck-tern"
kind = "deck"
name = "Tern deck"
head_tube_length = "95 ±0.1"
head_tube_outside = "50 ±0.1"
head_tube_bore = "36 ±0.1"
seat_bore = "41.9 +0.1/0"
seat_depth = "8 ±0.1"
seat_angle = "45"

[[part]]
id = "deck-wren"
kind = "deck"
name = "Wren deck"
head_tube_length = "101 ±0.1"
head_tube_outside = "50 ±0.1"
head_tube_bore = "36 ±0.1"
seat_bore = "41.9 +0.1/0"
seat_depth = "8 ±0.1"
seat_angle = "45"

[[part]]
id = "deck-smew"
kind = "deck"
name = "Smew deck"
head_tube_length = "95 ±0.1"
head_tube_outside = "50 ±0.1"
head_tube_bore = "36 ±0.1"
seat_bore = "44 +0.1/0"
seat_depth = "8 ±0.1"
seat_angle = "45"

[[part]]
id = "spacer-5"
kind = "spacer"
name = "Quay spacer 5"
price = "2.50"
bore = "28.9 ±0.1"
outside = "38 ±0.1"
length = "5"

[[part]]
id = "shim-alder"
kind = "shim"
name = "Alder shim"
price = "6.50"
inside = "28.6 +0.15/+0.05"
outside = "31.8 ±0.05"
length = "50 ±0.1"
lip_outside = "38 ±0.1"
lip_height = "2 ±0.1"

[[part]]
id = "shim-narrow"
kind = "shim"
name = "Narrow shim"
inside = "28.2 ±0.02"
outside = "31.8 ±0.05"
length = "50 ±0.1"

[[part]]
id = "cap-plain"
kind = "cap"
name = "Plain cap"
outside = "34 ±0.1"
thickness = "6 ±0.1"
hole = "8.4 ±0.1"

[[part]]
id = "bolt-m8"
kind = "bolt"
name = "Bolt M8"
thread = "M8"
length = "30 ±0.2"
thread_length = "25 ±0.2"
head = "iso-4762"
property_class = "8.8"
torque = "8 N m"

[[part]]
id = "bolt-m8-long"
kind = "bolt"
name = "Bolt M8 long"
price = "1.20"
thread = "M8"
length = "35 ±0.2"
thread_length = "30 ±0.2"
head = "iso-4762"
property_class = "8.8"
torque = "8 N m"

[[part]]
id = "bolt-bare"
kind = "bolt"
name = "Bare bolt"
thread = "M8"
length = "30 ±0.2"
thread_length = "25 ±0.2"
head = "iso-4762"
property_class = "8.8"

[[box]]
id = "box-heron"
name = "Heron fork box"
price = "149.00"
holds = ["fork-heron", { part = "spacer-5", count = 2 }, "cap-plain", "bolt-m8", "shim-narrow"]
"#;

pub const RULE: &str = r#"
name = "Trial shim"
short = ["TS"]
summary = "A shim and nothing else."
pulled = "cap"
any_size = ["fork.bottom-bore", "fork.steerer", "fork.upper", "fork.thread"]
[limits]
gap = ["2", "5"]
seat = "0.5"
still = "0.2"
[[slot]]
name = "fork"
kinds = ["fork"]
put_on = "fixed"
[[slot]]
name = "head-tube"
kinds = ["deck"]
put_on = "from-above"
brought = true
rests_on = ["*"]
still = ["*"]
[[slot]]
name = "spacer"
kinds = ["spacer"]
count = [0, 3]
put_on = "from-above"
rests_on = ["*"]
[[slot]]
name = "shim"
kinds = ["shim"]
put_on = "from-above"
way = "either"
rests_on = ["head-tube", "spacer"]
[[slot]]
name = "cap"
kinds = ["cap"]
put_on = "from-above"
rests_on = ["*"]
[[slot]]
name = "bolt"
kinds = ["bolt"]
put_on = "threaded"
rests_on = ["*"]
[[sleeve]]
outer = "shim.inside"
inner = ["fork.steerer"]
clearance = ["0", "0.3"]
overlap = "30"
[[thread]]
male = ["bolt.thread"]
female = ["fork.insert-thread"]
engaged = "8"
spare = "none"
[[free]]
surface = ["fork.bottom-bore", "fork.seat", "fork.steerer-bore", "fork.thread", "fork.upper", "head-tube.seat-bore"]
why = "This rule is for sentences."
[[free]]
surface = ["spacer.bore", "shim.outside", "cap.hole", "cap.spigot", "bolt.shank"]
why = "This rule is for sentences."
[[path]]
slot = "shim"
[[path]]
slot = "spacer"
optional = true
[[path]]
slot = "head-tube"
[[path]]
slot = "fork"
[[step]]
id = "look"
say = "Wipe every face."
[[step]]
id = "spacer-on"
slot = "spacer"
say = "Slide the {part} onto the {under}."
reach = "above"
[[step]]
id = "cap-loose"
slot = "cap"
when = ["no spacer"]
say = "Never said with spacers: {part}."
reach = "above"
[[step]]
id = "shim-on"
slot = "shim"
say = "Slide the {part} on, {way}, until it rests on the {under}."
feel = "It slides by hand."
reach = "above"
[[step]]
id = "bolt-in"
slot = "bolt"
say = "Turn the {part} into the {into} with a {tool} to {torque}[, {depth} deep]."
feel = "Look: {gap} of daylight."
reach = "above"
[[step]]
id = "bolt-again"
slot = "bolt"
say = "Check the {part}."
reach = "above"
[[step]]
id = "deck-on"
slot = "head-tube"
say = "Push the steerer up through the {part}."
reach = "below"
[[step]]
id = "cap-on"
slot = "cap"
when = ["spacer"]
say = "Never said without spacers: {part}."
reach = "above"
[[before_riding]]
say = "Check the play."
[[before_riding]]
when = ["no bolt"]
say = "Never said with a bolt."
"#;

pub struct Sample {
    pub catalogue: Catalogue,
    pub rules: Vec<Rule>,
    pub words: Words,
    pub shop: Shop,
}

struct NoStrengths;

impl Strengths for NoStrengths {
    fn engagement_needed(&self, _: &Shape, _: &Shape) -> Option<Length> {
        None
    }
}

pub fn sample() -> Sample {
    with_rule(RULE)
}

pub fn with_rule(rule: &str) -> Sample {
    let texts =
        [("content/shop.toml", SHOP), ("parts/all.toml", PARTS), ("content/systems/trial.toml", rule)];
    let (shop, rules, catalogue) = book_for_tests::read(&texts);
    Sample { catalogue, rules, words: Words::own(), shop }
}

impl Sample {
    pub fn book(&self) -> Book<'_> {
        Book {
            catalogue: &self.catalogue,
            rules: &self.rules,
            words: &self.words,
            caliper: crate::quantity::Caliper::USUAL,
        }
    }

    pub fn part(&self, id: &str) -> PartIx {
        self.catalogue.find(id).unwrap()
    }

    pub fn variant(&self, id: &str, revision: usize) -> VariantIx {
        self.catalogue.part(self.part(id)).variants[revision]
    }

    pub fn slot(&self, name: &str) -> SlotIx {
        self.rules[0].find(name).unwrap()
    }

    /// By slot, part and whether it is turned; fork first.
    pub fn stack(&self, picks: &[(&str, &str, bool)]) -> Stack {
        self.stack_of_revision(picks, 0)
    }

    pub fn stack_of_revision(&self, picks: &[(&str, &str, bool)], fork: usize) -> Stack {
        let pick = |&(slot, part, turned): &(&str, &str, bool)| {
            let revision = if slot == "fork" { fork } else { 0 };
            Pick { slot: self.slot(slot), variant: self.variant(part, revision), turned }
        };
        let picks: Vec<Pick> = picks.iter().map(pick).collect();
        let bolts = NoStrengths;
        let setting = Setting {
            rule: &self.rules[0],
            catalogue: &self.catalogue,
            bolts: &bolts,
            waived: &[],
            exact: &[],
        };
        assemble(setting, &picks)
    }

    /// A part that goes in that slot instead, either way up, at no price.
    pub fn alternative(&self, slot: &str, part: &str) -> Alternative {
        Alternative {
            slot: self.slot(slot),
            variant: self.variant(part, 0),
            turned: false,
            either_way: true,
            verdict: Verdict::Goes,
            price: None,
            in_stock: true,
            gap: None,
            depths: vec![],
            heights_hold: true,
        }
    }

    fn alike(&self, stack: &Stack) -> Vec<ItemIx> {
        let items = stack.items.iter().enumerate().skip(1);
        let alike = items.filter(|(_, i)| alike_turned(&self.catalogue.variant(i.variant).shape));
        alike.map(|(index, _)| ItemIx(index as u16)).collect()
    }

    /// An answer with nothing to buy, to take or to tell besides the stack.
    pub fn answer(&self, verdict: Verdict, stack: Stack) -> Answer {
        Answer {
            fork: stack.items[0].variant,
            boxed: vec![],
            system: 0,
            verdict,
            supply: (verdict != Verdict::No).then_some(Supply::AsBoxed),
            either_way: self.alike(&stack),
            stack,
            buy: vec![],
            take: vec![],
            leave: vec![],
            spend: Spend { known: Money::nothing(self.shop.currency), unpriced: 0 },
            alternatives: vec![],
            unfit: vec![],
            gaps: vec![],
            if_in_stock: None,
            if_on_hand: None,
            changes: vec![],
            last_resort: None,
            head_tube: vec![],
            readings: vec![],
            tries: vec![],
            reason: vec![],
            reason_smallest: true,
            funnel: vec![],
            wanted: vec![],
            unfinished: false,
        }
    }

    pub fn money(&self, cents: i64) -> Money {
        Money::minor(cents, self.shop.currency)
    }
}

/// The plan that goes: two spacers under the right shim, its lip up.
pub const PLAN: [(&str, &str, bool); 7] = [
    ("fork", "fork-heron", false),
    ("head-tube", "deck-tern", false),
    ("spacer", "spacer-5", false),
    ("spacer", "spacer-5", false),
    ("shim", "shim-alder", true),
    ("cap", "cap-plain", false),
    ("bolt", "bolt-m8", false),
];

/// The narrow shim stops on the top of the steerer.
pub const NARROW: [(&str, &str, bool); 3] =
    [("fork", "fork-heron", false), ("head-tube", "deck-tern", false), ("shim", "shim-narrow", false)];

/// A reading that decides; go zone, then no zone.
pub fn reading(what: ReadWhat, go: (Option<i64>, Option<i64>), no: (Option<i64>, Option<i64>)) -> Reading {
    let (go_from, go_to) = go;
    let (no_below, no_above) = no;
    let (checks, then) = (vec![], Then::default());
    Reading {
        what,
        go_from,
        go_to,
        no_below,
        no_above,
        caliper: 20_000,
        order: 1,
        decides: true,
        checks,
        undecided: 42,
        then,
        longer: None,
    }
}
