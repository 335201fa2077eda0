//! What a rider says to have, found in the book: deck, bars, parts and boxes. Must not know what is asked about them.

use super::book::{Book, called};
use super::named::{self, Called};
use super::unknown;
use crate::base::{Problem, Problems, suggest};
use crate::catalogue::{BoxIx, Part, PartBox, VariantIx};
use crate::kinds::{self, Known};
use crate::solve::{Rider, ShopStrengths};
use serde_json::{Value as Json, json};

/// As typed: ids of parts, with `:REVISION` where a part is made in several, and of boxes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OwnTyped {
    pub deck: Option<String>,
    pub bars: Option<String>,
    pub have: Vec<String>,
}

impl OwnTyped {
    pub fn is_nothing(&self) -> bool {
        *self == OwnTyped::default()
    }

    pub fn json(&self) -> Json {
        json!({ "deck": self.deck, "bars": self.bars, "have": self.have })
    }
}

/// Found in the book.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Own {
    /// Boxes unpacked.
    pub has: Vec<(VariantIx, u32)>,
    /// Of that, what must be used: deck and bars.
    pub uses: Vec<VariantIx>,
}

impl Own {
    pub fn rider(&self) -> Rider<'_> {
        Rider { owns: &self.has, uses: &self.uses }
    }

    /// Tells what has no place in the system.
    pub fn has_places(&self, book: &Book, system: usize, problems: &mut Problems) -> bool {
        let strengths = ShopStrengths(&book.shop);
        if book.bench(&strengths).places(system, &self.uses).is_some() {
            return true;
        }
        let names: Vec<&str> = self.uses.iter().map(|&v| book.catalogue.part_of(v).id.as_str()).collect();
        let rule = &book.rules[system].id;
        problems.push(
            Problem::error("own-no-place", format!("{rule} has no place for {}", names.join(" and ")))
                .note("one deck and one set of bars are used")
                .mend("leave out what is not used with it"),
        );
        false
    }
}

/// `None` where something of it is not in the book.
pub fn own(book: &Book, typed: &OwnTyped, problems: &mut Problems) -> Option<Own> {
    let before = problems.errors();
    let mut own = Own::default();
    for typed in &typed.have {
        let (has, brought) = have(book, typed, problems);
        own.uses.extend(brought);
        own.has.extend(has);
    }
    for (known, typed) in [(Known::Deck, &typed.deck), (Known::Bars, &typed.bars)] {
        own.uses.extend(typed.as_ref().and_then(|typed| of_kind(book, known, typed, problems)));
    }
    own.has.extend(own.uses.iter().map(|&part| (part, 1)));
    (problems.errors() == before).then_some(own)
}

fn of_kind(book: &Book, known: Known, typed: &str, problems: &mut Problems) -> Option<VariantIx> {
    let (name, said) = revision_said(typed);
    let parts: Vec<&Part> = book.catalogue.known_as(known).map(|part| book.catalogue.part(part)).collect();
    let among: Vec<Called> = parts.iter().map(|part| called(part)).collect();
    let kinds = kinds::known_as(known).join(" or ");
    let found = meant(name, &kinds, &among, problems)?;
    in_hand(book, parts[found], said, problems)
}

/// As a fork is named: by id, by name, or by a beginning that no other has.
fn meant(typed: &str, what: &str, among: &[Called], problems: &mut Problems) -> Option<usize> {
    let codes = ["own-part-unknown", "own-part-ambiguous"];
    named::find(typed, what, codes, among).map_err(|problem| problems.push(*problem)).ok()
}

fn revision_said(typed: &str) -> (&str, Option<&str>) {
    typed.split_once(':').map_or((typed, None), |(id, said)| (id, Some(said)))
}

/// A part or a box: what is owned, and apart from it what a rider only brings along, a deck.
pub fn have(book: &Book, typed: &str, problems: &mut Problems) -> (Vec<(VariantIx, u32)>, Option<VariantIx>) {
    let (name, said) = revision_said(typed);
    let parts = book.catalogue.parts.iter().filter(|part| part.variants.iter().any(|&v| is_made(book, v)));
    let parts: Vec<&Part> = parts.collect();
    let a_box = |b: &PartBox| Called { id: b.id.clone(), names: vec![b.name.clone()] };
    let among: Vec<Called> =
        parts.iter().map(|part| called(part)).chain(book.catalogue.boxes.iter().map(a_box)).collect();
    let Some(found) = meant(name, "part or box", &among, problems) else { return (vec![], None) };
    let Some(part) = parts.get(found) else {
        let strengths = ShopStrengths(&book.shop);
        let of = BoxIx((found - parts.len()) as u32);
        return (book.bench(&strengths).brings(of), None);
    };
    let Some(owned) = in_hand(book, part, said, problems) else { return (vec![], None) };
    let mut slots = book.rules.iter().flat_map(|r| &r.slots).filter(|s| s.brought);
    match slots.any(|slot| slot.kinds.contains(&part.kind)) {
        true => (vec![], Some(owned)),
        false => (vec![(owned, 1)], None),
    }
}

/// What is changed for good is made by hand, and nobody names it.
fn is_made(book: &Book, variant: VariantIx) -> bool {
    book.catalogue.variant(variant).changed.is_none()
}

/// Which revision of it is owned; of a part made in several it has to be said.
fn in_hand(book: &Book, part: &Part, said: Option<&str>, problems: &mut Problems) -> Option<VariantIx> {
    let id = |v: &VariantIx| book.catalogue.variant(*v).revision.as_ref().map_or("", |r| r.id.as_str());
    match (said, part.variants.as_slice()) {
        (None, [only]) => Some(*only),
        (None, several) => {
            let ids: Vec<String> = several.iter().map(|v| format!("{}:{}", part.id, id(v))).collect();
            problems.push(
                Problem::error("own-revision-needed", format!("{} is made in several revisions", part.id))
                    .note("what goes with one may not go with another")
                    .mend(format!("name the one that is owned: {}", ids.join(" or "))),
            );
            None
        }
        (Some(said), all) => {
            let found = all.iter().copied().find(|v| id(v) == said);
            if found.is_none() {
                let near = suggest(said, all.iter().map(id));
                problems.push(unknown("own-revision-unknown", "revision of this part", said, near));
            }
            found
        }
    }
}
