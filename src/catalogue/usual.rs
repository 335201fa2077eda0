//! What the trade makes bolts and nuts of: what a part that does not say is taken for, whichever of them is worst for the
//! check at hand. Must not know the checks.
//!
//! Where even that says nothing (the limits of such a thread are not known, and a rule asks for computed engagement) the
//! check fails and names the datum: nothing is to be measured then.

use std::collections::BTreeMap;

use super::Material;
use crate::base::{Problem, Problems, Table, suggest};
use crate::kinds::misread_problem;
use crate::quantity::{PropertyClass, Strength};

/// Classes of socket head bolts, plain and stainless: common practice, no source.
const CLASSES: [PropertyClass; 4] =
    [PropertyClass::C8_8, PropertyClass::C10_9, PropertyClass::C12_9, PropertyClass::A2_70];
/// What nuts, inserts and star nuts are cut from, MPa. Which these are: common practice, no source; the first figure a
/// handbook's, secondary, the second a usual one for free-cutting steel, from memory.
const NUTS: [(&str, u32); 2] = [("aluminium 6061-T6", 310), ("free-cutting steel", 400)];

/// Never without a class and a nut material.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Usual {
    classes: Vec<PropertyClass>,
    nuts: Vec<(String, Strength)>,
}

impl Usual {
    /// For a book that does not list them: the usual ones, and every material the book has.
    pub fn common(materials: &BTreeMap<String, Material>) -> Usual {
        let own = materials.iter().map(|(name, material)| (name.clone(), material.strength));
        let common = NUTS.iter().filter(|(name, _)| !materials.contains_key(*name));
        let common = common.filter_map(|(name, mpa)| Some((name.to_string(), Strength::mpa(*mpa)?)));
        Usual { classes: CLASSES.to_vec(), nuts: own.chain(common).collect() }
    }

    /// A bolt that has to break before its thread strips: the class that breaks last.
    pub fn strongest_class(&self) -> PropertyClass {
        self.classes.iter().copied().max_by_key(|c| c.tensile()).unwrap_or(PropertyClass::C12_9)
    }

    /// A bolt that has to bear a torque: the class that stretches first.
    pub fn weakest_class(&self) -> PropertyClass {
        self.classes.iter().copied().min_by_key(|c| c.proof()).unwrap_or(PropertyClass::A2_70)
    }

    /// A thread that has to hold: the nut that strips first; of equals the first by name.
    pub fn weakest_nut(&self) -> Option<(&str, Strength)> {
        let nuts = self.nuts.iter().map(|(name, strength)| (name.as_str(), *strength));
        nuts.min_by_key(|&(name, strength)| (strength, name))
    }
}

/// `[usual]`; each line left out keeps what is common.
pub(super) fn read_usual(
    root: &Table,
    materials: &BTreeMap<String, Material>,
    problems: &mut Problems,
) -> Usual {
    let mut usual = Usual::common(materials);
    let Some(table) = root.get("usual").and_then(|e| e.table(problems)) else { return usual };
    let mut classes = vec![];
    for text in table.texts("bolt_classes", problems) {
        match PropertyClass::read(&text.value) {
            Ok(class) => classes.push(class),
            Err(misread) => problems.push(misread_problem(&text, misread, "class-misread")),
        }
    }
    let mut nuts = vec![];
    for text in table.texts("nut_materials", problems) {
        match materials.get(&text.value) {
            Some(material) => nuts.push((text.value, material.strength)),
            None => {
                let near = suggest(&text.value, materials.keys().map(String::as_str));
                problems.push(
                    Problem::error("material-unknown", format!("[materials] has no \"{}\"", text.value))
                        .at(text.span, "")
                        .note("what is usual is listed by the names of [materials]")
                        .mend(near.map_or("add it there".to_string(), |near| format!("write \"{near}\""))),
                );
            }
        }
    }
    table.finish("[usual]", &super::layouts::USUAL, problems);
    // A line that lists nothing says no more than none.
    if !classes.is_empty() {
        usual.classes = classes;
    }
    if !nuts.is_empty() {
        usual.nuts = nuts;
    }
    usual
}

#[cfg(test)]
mod tests {
    use super::*;

    fn materials(list: &[(&str, u32)]) -> BTreeMap<String, Material> {
        let one = |&(name, mpa): &(&str, u32)| {
            let strength = Strength::mpa(mpa).expect("a strength");
            (name.to_string(), Material { strength, source: None })
        };
        list.iter().map(one).collect()
    }

    #[test]
    fn a_book_of_strong_materials_does_not_make_an_unknown_nut_strong() {
        let usual = Usual::common(&materials(&[("steel 4130", 670)]));
        assert_eq!(usual.weakest_nut().map(|n| n.1.as_mpa()), Some(310));
    }

    #[test]
    fn a_weaker_material_of_the_book_counts_and_so_does_its_own_figure() {
        let usual = Usual::common(&materials(&[("zinc", 280), ("aluminium 6061-T6", 290)]));
        assert_eq!(usual.weakest_nut(), Some(("zinc", Strength::mpa(280).expect("a strength"))));
        let usual = Usual::common(&materials(&[("aluminium 6061-T6", 290)]));
        assert_eq!(usual.weakest_nut().map(|n| n.1.as_mpa()), Some(290));
    }

    #[test]
    fn the_worst_bolt_is_another_one_for_each_check() {
        let usual = Usual::common(&BTreeMap::new());
        assert_eq!(usual.strongest_class(), PropertyClass::C12_9);
        assert_eq!(usual.weakest_class(), PropertyClass::A2_70);
    }
}
