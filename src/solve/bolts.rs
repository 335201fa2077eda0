//! What the shop's material list says of threads, and what is taken where a part does not say. Must not know stacks.

use crate::assembly::Strengths;
use crate::catalogue::Shop;
use crate::kinds::Shape;
use crate::quantity::{Length, PropertyClass, Strength, engagement_needed};

/// Engagement from the bolt's property class and the nut's material. The bolt is to break before the thread strips: an
/// unknown bolt is the strongest of the trade, an unknown nut the weakest.
#[derive(Clone, Copy)]
pub struct ShopStrengths<'a>(pub &'a Shop);

impl ShopStrengths<'_> {
    fn nut(&self, female: &Shape) -> Option<Strength> {
        let material = female.features.material.as_deref();
        material.and_then(|name| self.0.materials.get(name)).map(|material| material.strength)
    }
}

impl Strengths for ShopStrengths<'_> {
    fn engagement_needed(&self, male: &Shape, female: &Shape) -> Option<Length> {
        let thread = male.features.threads.iter().find(|t| t.male)?.thread;
        let class = class(male).unwrap_or_else(|| self.0.usual.strongest_class());
        let nut = self.nut(female).or_else(|| self.0.usual.weakest_nut().map(|nut| nut.1))?;
        engagement_needed(thread, class.tensile(), nut)
    }

    fn supposed(&self, male: &Shape, female: &Shape) -> (Option<PropertyClass>, Option<String>) {
        let weakest = || self.0.usual.weakest_nut().map(|nut| nut.0.to_owned());
        (
            class(male).is_none().then(|| self.0.usual.strongest_class()),
            self.nut(female).is_none().then(weakest).flatten(),
        )
    }
}

fn class(male: &Shape) -> Option<PropertyClass> {
    PropertyClass::read(male.features.property_class.as_deref()?).ok()
}
