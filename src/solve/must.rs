//! How many items each slot must have for anything to go: what the rule asks, and what a fastener that is sure to come
//! needs to screw into.
//!
//! Must not know heights.

use super::candidates::Field;
use crate::assembly::{Demand, Readies, Setting};
use crate::catalogue::VariantIx;
use crate::rules::{SurfaceRef, ThreadPair};

/// By slot.
pub(super) fn least(setting: Setting<'_>, readies: &Readies, field: &Field) -> Vec<u8> {
    let mut least: Vec<u8> = setting.rule.slots.iter().map(|s| s.least).collect();
    for (index, pair) in setting.rule.threads.iter().enumerate() {
        if !setting.asks(Demand::ThreadMatch(index as u16)) {
            continue;
        }
        if let Some(slot) = only_mate(setting, readies, field, pair) {
            least[slot] = least[slot].max(1);
        }
    }
    least
}

/// The only slot that may have the female thread, where the male one is sure to come and the fork has neither.
fn only_mate(setting: Setting<'_>, readies: &Readies, field: &Field, pair: &ThreadPair) -> Option<usize> {
    let has = |s: &SurfaceRef| {
        let surface = readies.names.of(s.surface);
        move |v: &VariantIx| readies.diameters.has(*v, surface)
    };
    let there = |s: &SurfaceRef| &field.slots[s.slot.0 as usize];
    let some = |s: &&SurfaceRef| there(s).iter().any(has(s));
    let all = |s: &SurfaceRef| there(s).iter().all(has(s));
    let comes = |s: &SurfaceRef| s.slot.0 > 0 && setting.rule.slot(s.slot).least > 0 && all(s);
    if !pair.male.iter().any(comes) || pair.male.iter().any(|s| s.slot.0 == 0 && some(&s)) {
        return None;
    }
    let mut slots = pair.female.iter().filter(some).map(|s| s.slot.0 as usize);
    let first = slots.next()?;
    (first > 0 && slots.all(|slot| slot == first)).then_some(first)
}

#[cfg(test)]
mod tests {
    use super::super::ShopStrengths;
    use super::*;
    use crate::catalogue::{Catalogue, Shop};
    use crate::rules::{Rule, SlotIx, book_for_tests};

    const FORK: &str = "loose = false\ncrown_outside = \"46\"\ncrown_height = \"32\"\nbottom_thickness = \"8\"
seat_diameter = \"30.1\"\nseat_height = \"6\"\nsteerer_outside = \"28.6\"\nsteerer_bore = \"22.4\"\nsteerer_length = \"140\"\n";
    const STAR_NUT: &str = "thread = \"M8\"\nheight = \"12\"\ncore_outside = \"13\"\nfits_bore_least = \"22\"\nfits_bore_most = \"22.9\"\n";
    const BOLT: &str = "thread = \"M8\"\nlength = \"30\"\nthread_length = \"30\"\nhead = \"iso-4762\"\nproperty_class = \"8.8\"\n";
    const INSERT: &str = "insert_thread = \"M8\"\ninsert_depth = \"10\"\ninsert_length = \"15\"\n";

    struct Book {
        shop: Shop,
        rules: Vec<Rule>,
        catalogue: Catalogue,
    }

    fn book() -> Book {
        let part = |id: &str, kind: &str, sizes: &str| {
            format!("[[part]]\nid = \"{id}\"\nkind = \"{kind}\"\nname = \"{id}\"\n{sizes}")
        };
        let parts = [
            part("plain", "fork", FORK),
            part("tapped", "fork", &format!("{FORK}{INSERT}")),
            part("nut", "star-nut", STAR_NUT),
            part("bolt", "bolt", BOLT),
        ];
        let (shop, rules, catalogue) = book_for_tests::read(&[
            ("content/shop.toml", include_str!("../../content/shop.toml")),
            ("content/headsets/integrated.toml", include_str!("../../content/headsets/integrated.toml")),
            ("content/systems/wide-shim.toml", include_str!("../../content/systems/wide-shim.toml")),
            ("parts/all.toml", &parts.concat()),
        ]);
        Book { shop, rules, catalogue }
    }

    impl Book {
        fn slot(&self, name: &str) -> usize {
            self.rules[0].slots.iter().position(|s| s.name == name).expect("a slot")
        }

        /// Least number of star nuts with this fork, and this in the slots named.
        fn star_nuts(&self, fork: &str, slots: &[(&str, &str)], waived: &[Demand]) -> u8 {
            let rule = &self.rules[0];
            let variant =
                |id: &str| self.catalogue.part(self.catalogue.find(id).expect("a part")).variants[0];
            let mut field = Field { slots: vec![Vec::new(); rule.slots.len()], funnel: Vec::new() };
            field.slots[0].push(variant(fork));
            for (slot, part) in slots {
                field.slots[self.slot(slot)].push(variant(part));
            }
            let (strengths, readies) = (ShopStrengths(&self.shop), Readies::of(&self.catalogue, &self.rules));
            let setting = Setting { rule, catalogue: &self.catalogue, bolts: &strengths, waived, exact: &[] };
            least(setting, &readies, &field)[self.slot("star-nut")]
        }
    }

    #[test]
    fn a_bolt_that_is_sure_to_come_wants_a_star_nut_where_nothing_else_has_a_thread() {
        let book = book();
        assert_eq!(book.rules[0].slot(SlotIx(book.slot("star-nut") as u16)).least, 0);
        let both = [("star-nut", "nut"), ("bolt", "bolt")];
        assert_eq!(book.star_nuts("plain", &both, &[]), 1);
        // The fork may take the bolt itself.
        assert_eq!(book.star_nuts("tapped", &both, &[]), 0);
        // No star nut would help: the search says why.
        assert_eq!(book.star_nuts("plain", &both[1..], &[]), 0);
    }

    #[test]
    fn a_thread_that_is_not_asked_for_wants_nothing() {
        let both = [("star-nut", "nut"), ("bolt", "bolt")];
        assert_eq!(book().star_nuts("plain", &both, &[Demand::ThreadMatch(0)]), 0);
    }
}
