//! Which guides name a part, and as what: the way back from a part to its guides. Must not know pages.

use std::collections::BTreeMap;

use crate::guide::Guide;
use crate::solve::Verdict;

/// Guides (indexes, rising, each once) that name a part or box.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PartUses {
    /// It stands in the pile.
    pub stands: Vec<usize>,
    /// It could stand there instead.
    pub could: Vec<usize>,
    /// It stays in its box.
    pub left: Vec<usize>,
    /// It has to be bought.
    pub bought: Vec<usize>,
}

pub struct Uses<'a>(BTreeMap<&'a str, PartUses>);

impl<'a> Uses<'a> {
    /// Linear in all rows of all guides.
    pub fn of(guides: &'a [Guide]) -> Uses<'a> {
        let mut uses: BTreeMap<&str, PartUses> = BTreeMap::new();
        for (number, guide) in guides.iter().enumerate() {
            let mut note = |id: &'a str, list: fn(&mut PartUses) -> &mut Vec<usize>| {
                let list = list(uses.entry(id).or_default());
                if list.last() != Some(&number) {
                    list.push(number);
                }
            };
            for answer in &guide.answers {
                answer.parts.iter().for_each(|row| note(&row.part_id, |u| &mut u.stands));
                let serving = answer.alternatives.iter().filter(|row| row.verdict != Verdict::No);
                serving.for_each(|row| note(&row.part_id, |u| &mut u.could));
                answer.leave.iter().for_each(|row| note(&row.part_id, |u| &mut u.left));
                answer.leave.iter().for_each(|row| note(&row.box_id, |u| &mut u.left));
                answer.need.iter().for_each(|row| note(&row.id, |u| &mut u.bought));
                let boxes = answer.use_from.iter().filter_map(|row| row.box_id.as_deref());
                boxes.for_each(|id| note(id, |u| &mut u.stands));
            }
        }
        Uses(uses)
    }

    /// Empty for a part that no guide names.
    pub fn part(&self, id: &str) -> PartUses {
        self.0.get(id).cloned().unwrap_or_default()
    }
}
