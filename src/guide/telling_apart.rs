//! By what a rider tells revisions apart: the mark that the book names, else the first size that differs by more than a
//! caliper can miss; of the fork, and of parts in boxes that do not say which revision they hold. Must not know verdicts.

use super::bench::{Bench, Book};
use super::lengths::Lengths;
use super::page::RevisionText;
use crate::catalogue::VariantIx;
use crate::kinds::{NamedDim, Shape};
use crate::solve::InBox;

impl<'a> Book<'a> {
    /// A part's own label and sign, where it has revisions.
    pub fn revision(&self, ix: VariantIx) -> Option<RevisionText> {
        let revision = self.catalogue.variant(ix).revision.as_ref()?;
        let label = self.revision_label(ix)?;
        let part_id = self.catalogue.part_of(ix).id.clone();
        let tell = revision.tell.clone().or_else(|| self.size_apart(ix));
        let short = self.words.say("revision.fork", &[("label", &revision.id)]);
        Some(RevisionText { part_id, id: revision.id.clone(), label, short, tell })
    }

    /// "2 (spring 2026)"
    fn revision_label(&self, ix: VariantIx) -> Option<String> {
        let revision = self.catalogue.variant(ix).revision.as_ref()?;
        let mut values = vec![("id", revision.id.as_str())];
        values.extend(revision.since.as_deref().map(|since| ("since", since)));
        Some(self.words.say("revision.label", &values))
    }

    /// "Mill clamp, revision 2 (2024)"; the bare name where the part is made in one way only.
    pub fn variant_name(&self, ix: VariantIx) -> String {
        let part = self.catalogue.part_of(ix);
        match self.revision_label(ix).filter(|_| part.variants.len() > 1) {
            Some(revision) => {
                self.words.say("revision.named", &[("part", &part.name), ("revision", &revision)])
            }
            None => part.name.clone(),
        }
    }

    /// "the Mill clamp in the Pipit fork box of revision 2 (2024)"; `None` where nothing is taken to be so.
    pub fn boxed_label(&self, boxed: &[InBox]) -> Option<String> {
        let all: Vec<RevisionText> = boxed.iter().map(|held| self.in_box(held)).collect();
        joined(self, &all).map(|r| r.label)
    }

    fn in_box(&self, held: &InBox) -> RevisionText {
        let (words, catalogue) = (self.words, self.catalogue);
        let (part, the_box) = (catalogue.part(held.part), catalogue.the_box(held.of));
        let label = |&(v, count): &(VariantIx, u32)| {
            let label = self.revision(v).map_or_else(String::new, |r| r.label);
            match held.pieces.len() {
                1 => label,
                _ => words.say("item.several", &[("count", &count.to_string()), ("name", &label)]),
            }
        };
        let labels: Vec<String> = held.pieces.iter().map(label).collect();
        let values = [("part", part.name.as_str()), ("box", the_box.name.as_str())];
        let label = match labels.is_empty() {
            true => words.say("revision.boxed-any", &values),
            false => {
                let list = words.joined("plus", &labels);
                words.say("revision.boxed", &[values[0], values[1], ("revision", &list)])
            }
        };
        let ids: Vec<&str> = held
            .pieces
            .iter()
            .filter_map(|&(v, _)| catalogue.variant(v).revision.as_ref().map(|r| r.id.as_str()))
            .collect();
        let id = ids.join("+");
        let short = words.say("revision.named", &[("part", &part.name), ("revision", &id)]);
        RevisionText { part_id: part.id.clone(), id, label, short, tell: self.tell_of(held) }
    }

    fn tell_of(&self, held: &InBox) -> Option<String> {
        let words = self.words;
        let sign = |&(v, _): &(VariantIx, u32)| {
            let revision = self.revision(v)?;
            let tell = revision.tell?;
            Some(words.say("revision.sign", &[("part", &self.variant_name(v)), ("tell", &tell)]))
        };
        let signs: Vec<String> = held.pieces.iter().filter_map(sign).collect();
        (!signs.is_empty()).then(|| words.joined("semicolon", &signs))
    }

    /// Of the sizes by which a caliper always tells it from every other revision, the first.
    fn size_apart(&self, ix: VariantIx) -> Option<String> {
        let (catalogue, ix) = (self.catalogue, self.catalogue.as_made(ix));
        let others: Vec<&Shape> = catalogue
            .part_of(ix)
            .variants
            .iter()
            .filter(|&&v| v != ix)
            .map(|&v| &catalogue.variant(v).shape)
            .collect();
        if others.is_empty() {
            return None;
        }
        let own = &catalogue.variant(ix).shape;
        let there = |shape: &Shape, name: &str| shape.dims.iter().any(|d| d.name == name);
        let dim = own.dims.iter().find(|d| others.iter().all(|o| self.is_apart(d, o)));
        let lengths = Lengths { words: self.words };
        let what = |name: &str| {
            self.words.first(&[&format!("dim.{name}")]).unwrap_or_else(|| name.replace('_', " "))
        };
        if let Some(dim) = dim {
            let ends = dim.ends();
            let values = [("what", what(&dim.name)), ("value", lengths.outward(ends.least, ends.most))];
            return Some(self.words.say("revision.size", &values.each_ref().map(|(k, v)| (*k, v.as_str()))));
        }
        let names = others.first()?.dims.iter().map(|d| d.name.as_str());
        let missing = names.filter(|n| !there(own, n)).find(|n| others.iter().all(|o| there(o, n)))?;
        Some(self.words.say("revision.size-missing", &[("what", &what(missing))]))
    }

    /// Whatever both real parts are and however far the caliper is off, the readings are not the same.
    fn is_apart(&self, dim: &NamedDim, other: &Shape) -> bool {
        let Some(there) = other.dims.iter().find(|d| d.name == dim.name) else { return true };
        let (here, there) = (dim.ends(), there.ends());
        let missed = 2 * self.caliper.uncertainty(dim.nature).as_nm();
        here.least - there.most > missed || there.least - here.most > missed
    }
}

impl Bench<'_> {
    /// Everything that is taken to be so in this answer and may be otherwise with another rider: the fork's revision,
    /// then what lies in boxes.
    pub fn revisions(&self) -> Vec<RevisionText> {
        self.fork_revision()
            .into_iter()
            .chain(self.answer.boxed.iter().map(|held| self.book.in_box(held)))
            .collect()
    }

    /// The fork's alone; empty where it has none.
    pub fn fork_revision(&self) -> Vec<RevisionText> {
        let fork = self.book.revision(self.answer.fork);
        let named = |r: RevisionText| {
            let label = self.words().say("revision.fork", &[("label", &r.label)]);
            RevisionText { label, ..r }
        };
        fork.map(named).into_iter().collect()
    }
}

/// One label and one sign for all of them together; `None` where there is nothing to tell.
pub fn joined(book: &Book, all: &[RevisionText]) -> Option<RevisionText> {
    let (first, rest) = all.split_first()?;
    if rest.is_empty() {
        return Some(first.clone());
    }
    let labels: Vec<String> = all.iter().map(|r| r.label.clone()).collect();
    let shorts: Vec<String> = all.iter().map(|r| r.short.clone()).collect();
    let tells: Vec<String> = all.iter().filter_map(|r| r.tell.clone()).collect();
    Some(RevisionText {
        label: book.words.joined("plus", &labels),
        short: book.words.joined("plus", &shorts),
        tell: (!tells.is_empty()).then(|| book.words.joined("semicolon", &tells)),
        ..first.clone()
    })
}
