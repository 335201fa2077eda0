//! What the shop's material list says of threads. Must not know stacks.

use crate::assembly::Strengths;
use crate::catalogue::Shop;
use crate::kinds::Shape;
use crate::quantity::{Length, PropertyClass, engagement_needed};

/// Engagement from the bolt's property class and the nut's material.
#[derive(Clone, Copy)]
pub struct ShopStrengths<'a>(pub &'a Shop);

impl Strengths for ShopStrengths<'_> {
    fn engagement_needed(&self, male: &Shape, female: &Shape) -> Option<Length> {
        let thread = male.features.threads.iter().find(|t| t.male)?.thread;
        let class = PropertyClass::read(male.features.property_class.as_deref()?).ok()?;
        let material = self.0.materials.get(female.features.material.as_deref()?)?;
        engagement_needed(thread, class.tensile(), material.strength)
    }
}
