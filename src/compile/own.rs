//! What a rider says to have, found in the book: deck, bars, parts and boxes. Must not know what is asked about them.

use super::book::Book;
use super::unknown;
use crate::base::{Problem, Problems, suggest};
use crate::catalogue::{BoxIx, Part, VariantIx};
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
    for (kind, typed) in [("deck", &typed.deck), ("bars", &typed.bars)] {
        own.uses.extend(typed.as_ref().and_then(|typed| of_kind(book, kind, typed, problems)));
    }
    own.has.extend(own.uses.iter().map(|&part| (part, 1)));
    (problems.errors() == before).then_some(own)
}

fn of_kind(book: &Book, kind: &str, typed: &str, problems: &mut Problems) -> Option<VariantIx> {
    let (id, said) = revision_said(typed);
    let part = book.catalogue.find(id).map(|part| book.catalogue.part(part)).filter(|p| p.kind == kind);
    if part.is_none() {
        let all = book.catalogue.of_kind(kind).map(|p| book.catalogue.part(p).id.as_str());
        problems.push(unknown("own-part-unknown", kind, id, suggest(id, all)));
    }
    in_hand(book, part?, said, problems)
}

fn revision_said(typed: &str) -> (&str, Option<&str>) {
    typed.split_once(':').map_or((typed, None), |(id, said)| (id, Some(said)))
}

/// A part or a box: what is owned, and apart from it what a rider only brings along, a deck.
pub fn have(book: &Book, typed: &str, problems: &mut Problems) -> (Vec<(VariantIx, u32)>, Option<VariantIx>) {
    let (id, said) = revision_said(typed);
    if let Some(part) = book.catalogue.find(id) {
        let part = book.catalogue.part(part);
        let Some(owned) = in_hand(book, part, said, problems) else { return (vec![], None) };
        let mut slots = book.rules.iter().flat_map(|r| &r.slots).filter(|s| s.brought);
        return match slots.any(|slot| slot.kinds.contains(&part.kind)) {
            true => (vec![], Some(owned)),
            false => (vec![(owned, 1)], None),
        };
    }
    if let Some(of) = book.catalogue.boxes.iter().position(|b| b.id == id) {
        let strengths = ShopStrengths(&book.shop);
        return (book.bench(&strengths).brings(BoxIx(of as u32)), None);
    }
    let parts = book.catalogue.parts.iter().map(|p| p.id.as_str());
    let near = suggest(id, parts.chain(book.catalogue.boxes.iter().map(|b| b.id.as_str())));
    problems.push(unknown("own-part-unknown", "part or box", id, near));
    (vec![], None)
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
