//! What things are called on the bench: parts, places, surfaces, ways up. Must not know steps, reasons or pages.

use super::lengths::Lengths;
use super::page::RevisionText;
use super::words::Words;
use crate::assembly::{Check, Demand, ItemIx, Outcome, Placed, Stack, Support};
use crate::catalogue::{Catalogue, Part, PartIx, Variant, VariantIx};
use crate::quantity::{Caliper, Ends, Money};
use crate::rules::{Condition, Rule, SlotIx, SurfaceRef};
use crate::solve::Answer;

/// Everything finished text is made from, besides the answers.
#[derive(Clone, Copy)]
pub struct Book<'a> {
    pub catalogue: &'a Catalogue,
    pub rules: &'a [Rule],
    pub words: &'a Words,
    /// By what a reading may be off.
    pub caliper: Caliper,
}

/// One answer laid out for telling.
#[derive(Clone, Copy)]
pub struct Bench<'a> {
    pub book: Book<'a>,
    pub rule: &'a Rule,
    pub answer: &'a Answer,
}

/// A ring's outside with the heights of its two faces.
pub(super) struct Face {
    surface: &'static str,
    bottom: i64,
    pub top: i64,
    /// Another ring of the same column stands on it.
    covered: bool,
}

impl<'a> Bench<'a> {
    pub fn new(book: Book<'a>, answer: &'a Answer) -> Bench<'a> {
        Bench { book, rule: &book.rules[answer.system], answer }
    }

    pub fn words(&self) -> &'a Words {
        self.book.words
    }

    /// "HIC (wide shim)": as shops call it, then what it is.
    pub fn system(&self) -> String {
        self.words().system(self.rule)
    }

    pub fn lengths(&self) -> Lengths<'a> {
        Lengths { words: self.book.words }
    }

    pub fn stack(&self) -> &'a Stack {
        &self.answer.stack
    }

    pub fn items(&self) -> impl Iterator<Item = (ItemIx, &'a Placed)> + use<'a> {
        self.answer.stack.items.iter().enumerate().map(|(i, placed)| (ItemIx(i as u16), placed))
    }

    pub fn in_slot(&self, slot: SlotIx) -> impl Iterator<Item = (ItemIx, &'a Placed)> + use<'a> {
        self.items().filter(move |(_, placed)| placed.slot == slot)
    }

    pub fn item(&self, ix: ItemIx) -> &'a Placed {
        &self.stack().items[usize::from(ix.0)]
    }

    pub fn variant(&self, ix: VariantIx) -> &'a Variant {
        self.book.catalogue.variant(ix)
    }

    pub fn variant_of(&self, ix: ItemIx) -> &'a Variant {
        self.variant(self.item(ix).variant)
    }

    pub fn part_of(&self, ix: ItemIx) -> &'a Part {
        self.book.catalogue.part_of(self.item(ix).variant)
    }

    pub fn part(&self, ix: PartIx) -> &'a Part {
        self.book.catalogue.part(ix)
    }

    pub fn ends(&self) -> Vec<Ends> {
        self.stack().dims.iter().map(|d| d.ends).collect()
    }

    pub fn holds(&self, conditions: &[Condition]) -> bool {
        conditions.iter().all(|condition| match *condition {
            Condition::Filled(slot) => self.in_slot(slot).next().is_some(),
            Condition::Empty(slot) => self.in_slot(slot).next().is_none(),
        })
    }

    /// "upper bearing"
    pub fn slot_word(&self, slot: SlotIx) -> String {
        let name = &self.rule.slot(slot).name;
        self.words().first(&[&format!("slot.{name}")]).unwrap_or_else(|| name.replace('-', " "))
    }

    /// "shim", or "shims" for any other count than one.
    pub fn kind_word(&self, kind: &str, count: u32) -> String {
        let form = if count == 1 { "one" } else { "many" };
        self.words().first(&[&format!("kind.{kind}.{form}")]).unwrap_or_else(|| kind.replace('-', " "))
    }

    /// "shim", "spacer 2"
    pub fn item_word(&self, ix: ItemIx) -> String {
        let slot = self.item(ix).slot;
        let word = self.slot_word(slot);
        let mates: Vec<ItemIx> = self.in_slot(slot).map(|(i, _)| i).collect();
        if mates.len() < 2 {
            return word;
        }
        let number = mates.iter().position(|&i| i == ix).map_or(1, |p| p + 1).to_string();
        self.words().say("item.numbered", &[("word", &word), ("number", &number)])
    }

    /// Of several in one place the part's own name: nobody at the bench has numbered them.
    fn told_apart(&self, ix: ItemIx) -> String {
        match self.in_slot(self.item(ix).slot).count() {
            0 | 1 => self.item_word(ix),
            _ => self.own_name(ix),
        }
    }

    /// "Quay spacer 5"; "second Quay spacer 5" where several of one name stand in one place.
    pub fn own_name(&self, ix: ItemIx) -> String {
        let part = self.part_of(ix);
        let alike: Vec<ItemIx> = self
            .in_slot(self.item(ix).slot)
            .map(|(item, _)| item)
            .filter(|&item| self.part_of(item).name == part.name)
            .collect();
        if alike.len() < 2 {
            return part.name.clone();
        }
        let number = (alike.iter().position(|&i| i == ix).unwrap_or(0) + 1).to_string();
        let values = [("name", part.name.as_str()), ("number", number.as_str())];
        let keys = [format!("item.nth-{number}"), "item.nth".to_owned()];
        let said = self.words().first_said(&keys.each_ref().map(String::as_str), &values);
        said.unwrap_or_else(|| part.name.clone())
    }

    /// "steerer" for a fork's outside; the part's own word where the surface has no name on the bench.
    pub fn surface_word(&self, ix: ItemIx, surface: Option<&str>) -> String {
        let kind = self.part_of(ix).kind;
        let named = surface.and_then(|s| self.words().first(&[&format!("surface.{kind}.{s}")]));
        named.unwrap_or_else(|| self.item_word(ix))
    }

    /// What the part lacks that has none of the surfaces that a size is asked of.
    pub fn lacking(&self, check: &Check) -> Option<String> {
        let Demand::Size(index) = check.demand else { return None };
        let asked = &self.rule.sizes.get(usize::from(index))?.surface;
        let lacks = check.value.is_none() && check.outcome == Outcome::Fail;
        lacks.then(|| self.lacks_word(asked.first()?)).flatten()
    }

    /// "hole up through its crown", as said after "has no".
    pub fn lacks_word(&self, reference: &SurfaceRef) -> Option<String> {
        let kind = self.rule.slot(reference.slot).kinds.first()?;
        self.words().first(&[&format!("lacks.{kind}.{}", reference.surface)])
    }

    /// A surface as a rule names it, by the first kind that may stand in its slot.
    pub fn reference_word(&self, reference: &SurfaceRef) -> String {
        let kind = self.rule.slot(reference.slot).kinds.first().copied().unwrap_or("");
        let key = format!("surface.{kind}.{}", reference.surface);
        self.words().first(&[&key]).unwrap_or_else(|| self.slot_word(reference.slot))
    }

    /// Of the surfaces that may do, the first that the stack has; else the first.
    pub fn reference_in_use<'r>(&self, list: &'r [SurfaceRef]) -> Option<&'r SurfaceRef> {
        let there = |reference: &&SurfaceRef| {
            self.in_slot(reference.slot)
                .any(|(item, _)| self.variant_of(item).shape.has_surface(reference.surface))
        };
        list.iter().find(there).or(list.first())
    }

    /// "shim (Alder wide shim)"
    pub fn with_name(&self, word: &str, ix: ItemIx) -> String {
        let name = &self.part_of(ix).name;
        self.words().say("item.named", &[("word", word), ("name", name)])
    }

    /// "outside diameter"
    pub fn dim_word(&self, name: &str) -> String {
        self.words().first(&[&format!("dim.{name}")]).unwrap_or_else(|| name.replace(['-', '_'], " "))
    }

    /// What it rests on: the first sure support, else the first.
    pub fn under(&self, ix: ItemIx) -> Option<String> {
        let supports = &self.item(ix).rests_on;
        let support = supports.iter().find(|s| s.certain).or(supports.first())?;
        Some(self.rest_word(ix, support))
    }

    /// The face of `on` on which a part of chosen height stands, let down all the way.
    pub fn carrying_word(&self, ix: ItemIx, on: ItemIx) -> Option<String> {
        let low = self.bottom(ix)?;
        let face = self.faces(on, &self.ends())?.into_iter().find(|face| face.top == low)?;
        let key = format!("rest.{}.{}", self.part_of(on).kind, face.surface);
        Some(self.words().first(&[&key]).unwrap_or_else(|| self.told_apart(on)))
    }

    /// What it is pressed or screwed into or set in.
    pub fn host_word(&self, ix: ItemIx) -> Option<String> {
        let placed = self.item(ix);
        let host = placed.mates.first().map(|m| m.item).or(placed.rides_with)?;
        let kind = self.part_of(host).kind;
        Some(self.words().first(&[&format!("into.{kind}")]).unwrap_or_else(|| self.item_word(host)))
    }

    /// "crown", "top of the steerer", "top cap"
    pub fn rest_word(&self, above: ItemIx, support: &Support) -> String {
        let kind = self.part_of(support.item).kind;
        let mut keys = vec![];
        if matches!(support.surface, "top" | "bottom") {
            if let Some(face) = self.carrying_face(above, support.item) {
                keys.extend(face.covered.then(|| format!("rest.{kind}.{}-below", face.surface)));
                keys.push(format!("rest.{kind}.{}", face.surface));
            }
        } else {
            keys.push(format!("rest.{kind}.{}", support.surface));
        }
        keys.push(format!("rest.{kind}.{}", support.column));
        let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
        self.words().first(&keys).unwrap_or_else(|| self.told_apart(support.item))
    }

    /// The ring whose top carries the part: found by height, at nominal sizes.
    fn carrying_face(&self, above: ItemIx, below: ItemIx) -> Option<Face> {
        let ends = self.ends();
        let bottoms: Vec<i64> = self.faces(above, &ends)?.into_iter().map(|face| face.bottom).collect();
        let miss = |face: &Face| bottoms.iter().map(|b| (b - face.top).abs()).min().unwrap_or(i64::MAX);
        self.faces(below, &ends)?.into_iter().min_by_key(miss)
    }

    pub(super) fn faces(&self, ix: ItemIx, ends: &[Ends]) -> Option<Vec<Face>> {
        let mut faces = vec![];
        for column in &self.item(ix).columns {
            let mut bottom = self.bottom(ix)? + column.start.nominal(ends);
            for (place, segment) in column.segments.iter().enumerate() {
                let top = bottom + segment.length.nominal(ends);
                let covered = place + 1 < column.segments.len();
                faces.push(Face { surface: segment.outside.surface, bottom, top, covered });
                bottom = top;
            }
        }
        Some(faces)
    }

    /// Nominal height of the item's bottom above the crown-race seat; `None`: nothing beneath.
    pub fn bottom(&self, ix: ItemIx) -> Option<i64> {
        if let Some(landing) = &self.item(ix).landing {
            return Some(landing.nominal);
        }
        let shape = &self.variant_of(ix).shape;
        let ends = |d: &crate::kinds::NamedDim| {
            let (nominal, least) = (d.dimension.nominal.as_nm(), d.dimension.least().as_nm());
            Ends { nominal, least, most: d.dimension.most().as_nm() }
        };
        let own: Vec<Ends> = shape.dims.iter().map(ends).collect();
        (ix.0 == 0).then(|| -shape.datum.nominal(&own))
    }

    /// "5 mm hex key"
    pub fn tool(&self, ix: ItemIx) -> Option<String> {
        let drive = self.variant_of(ix).shape.features.drive.as_ref()?;
        let size = self.lengths().exact(drive.size.as_nm());
        let key = format!("tool.{}", drive.tool.replace(' ', "-"));
        let key = if self.words().has(&key) { key.as_str() } else { "tool.other" };
        Some(self.words().say(key, &[("size", &size), ("tool", drive.tool)]))
    }

    /// As the maker wrote it, or the words that say there is none. `None` where there is nothing to turn.
    pub fn torque(&self, ix: ItemIx) -> Option<String> {
        let drive = self.variant_of(ix).shape.features.drive.as_ref()?;
        Some(drive.torque_written.clone().unwrap_or_else(|| self.words().word("torque.none")))
    }

    /// The same with whose it is.
    pub fn torque_said(&self, ix: ItemIx) -> Option<String> {
        let drive = self.variant_of(ix).shape.features.drive.as_ref()?;
        let kind = self.kind_word(self.part_of(ix).kind, 1);
        let said =
            |torque: &String| self.words().say("torque.of-maker", &[("torque", torque), ("kind", &kind)]);
        drive.torque_written.as_ref().map(said).or_else(|| self.torque(ix))
    }

    pub fn revision(&self, ix: VariantIx) -> Option<RevisionText> {
        self.book.revision(ix)
    }

    pub fn money(&self, money: Money) -> String {
        money.shown(self.words().language())
    }
}
