//! What a rule file has to say of a kind's surfaces, so that nothing is left out by silence.
//!
//! A wall is marked where something slides over it, is pressed on it, turns in it or is squeezed by it. One that stands
//! in the open, that only carries, or into which nothing reaches bears no mark. Must not know any rule.
//!
//! Marked are bores that go over something, threads, and outsides that go inside something (shim, liner, bar sleeve, spigot,
//! quill, star nut's fins, steerer, bars). Not marked are rims, a clamp's body, cones and faces that only carry (the seat's
//! width is checked), pockets in which nothing is guided (the recess for a bolt's head), and what only has to stand clear of
//! what stands still.

/// What is asked of one surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// It goes over, into or onto something: a sleeve, a press or a thread speaks of it.
    Fit,
    /// Pinch bolts close it: a grip is by it.
    Grip,
    /// By its diameter one system differs from another: a size speaks of it.
    Size,
    /// Only some parts of the kind have it.
    Sometimes,
    /// It is a further reach of the same rod as that surface: what passes over the one can come to stand on the other.
    Reach(&'static str),
}

/// What is asked of a kind.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    pub surfaces: &'static [(&'static str, &'static [Ask])],
    /// Columns that stand still while the bars turn; `"*"` is the whole part.
    pub still: &'static [&'static str],
    /// It must not turn by itself: some grip holds it.
    pub held: bool,
    /// It may have a slit, and a system wants one or none.
    pub slit: bool,
}

use Ask::{Fit, Grip, Reach, Size, Sometimes};

/// Nothing but walls is asked.
const fn walls(surfaces: &'static [(&'static str, &'static [Ask])]) -> Asked {
    Asked { surfaces, still: &[], held: false, slit: false }
}

pub(super) const NOTHING: Asked = walls(&[]);

pub(super) const FORK: Asked = walls(&[
    ("bottom-bore", &[Fit, Size, Sometimes]),
    ("seat", &[Fit, Sometimes]),
    ("steerer", &[Fit, Size]),
    ("steerer-bore", &[Fit]),
    ("upper", &[Fit, Size, Sometimes, Reach("steerer")]),
    ("thread", &[Fit, Size, Sometimes, Reach("steerer")]),
    ("insert-thread", &[Fit, Sometimes]),
]);

/// The bore between the seats is far from the steerer: that it stands clear is checked as what stands still.
pub(super) const DECK: Asked = Asked { still: &["*"], ..walls(&[("seat-bore", &[Fit])]) };

pub(super) const BEARING: Asked =
    Asked { still: &["outer"], ..walls(&[("inside", &[Fit]), ("outside", &[Fit])]) };

/// A ring whose bore goes over something and whose rim stands in the open.
pub(super) const RING: Asked = walls(&[("bore", &[Fit])]);

/// A sleeve with something inside it and something round it.
pub(super) const SLEEVE: Asked = walls(&[("inside", &[Fit]), ("outside", &[Fit])]);

pub(super) const CLAMP: Asked =
    walls(&[("bore", &[Fit, Grip]), ("shelf", &[Fit, Sometimes]), ("upper-bore", &[Fit, Grip, Sometimes])]);

/// The recess is a pocket for the bolt's head: where it is too narrow the head stands on its rim.
pub(super) const CAP: Asked = walls(&[("hole", &[Fit]), ("spigot", &[Fit, Sometimes])]);

pub(super) const BOLT: Asked = walls(&[("thread", &[Fit]), ("shank", &[Fit, Sometimes, Reach("thread")])]);

pub(super) const STAR_NUT: Asked = walls(&[("thread", &[Fit]), ("fins", &[Fit])]);

pub(super) const BARS: Asked =
    Asked { held: true, slit: true, ..walls(&[("outside", &[Fit, Size]), ("inside", &[Fit, Size])]) };

pub(super) const QUILL: Asked = walls(&[("shaft", &[Fit]), ("post", &[Fit])]);

/// What turns on a threaded steerer.
pub(super) const NUT: Asked = walls(&[("thread", &[Fit])]);

impl super::Kind {
    /// What is asked of one of its surfaces; empty: nothing.
    pub fn asks(&self, surface: &str) -> &'static [Ask] {
        let found = self.asked.surfaces.iter().find(|(name, _)| *name == surface);
        found.map_or(&[], |(_, asks)| asks)
    }

    /// Whether every part of the kind has the surface.
    pub fn always_has(&self, surface: &str) -> bool {
        self.role(surface).is_some() && !self.asks(surface).contains(&Sometimes)
    }

    /// All reaches of the rod that the surface is of, itself among them; empty: it has but the one.
    pub fn reaches(&self, surface: &str) -> Vec<&'static str> {
        let foot = self.asks(surface).iter().find_map(|ask| match ask {
            Reach(foot) => Some(*foot),
            _ => None,
        });
        let foot = foot.unwrap_or(surface);
        let of_rod = |asks: &[Ask]| asks.contains(&Reach(self.spelt(foot)));
        let further: Vec<&str> =
            self.asked.surfaces.iter().filter(|(_, asks)| of_rod(asks)).map(|(name, _)| *name).collect();
        if further.is_empty() { further } else { [self.spelt(foot)].into_iter().chain(further).collect() }
    }

    fn spelt(&self, surface: &str) -> &'static str {
        self.surfaces.iter().map(|(name, _)| *name).find(|name| *name == surface).unwrap_or("")
    }
}

#[cfg(test)]
mod tests {
    use super::super::all;
    use super::*;

    #[test]
    fn only_surfaces_and_columns_that_a_kind_has_are_marked() {
        for kind in all() {
            for (surface, asks) in kind.asked.surfaces {
                assert!(kind.role(surface).is_some(), "{}.{surface}", kind.name);
                for ask in *asks {
                    if let Reach(foot) = ask {
                        assert!(kind.role(foot).is_some(), "{}.{foot}", kind.name);
                    }
                }
            }
            for column in kind.asked.still {
                assert!(*column == "*" || kind.columns.contains(column), "{}: {column}", kind.name);
            }
        }
    }

    /// A thread, whichever kind has it, has a mate.
    #[test]
    fn every_thread_is_asked_for_a_fit() {
        use super::super::Role;
        for kind in all() {
            for (surface, role) in kind.surfaces {
                if matches!(role, Role::MaleThread | Role::FemaleThread) {
                    assert!(kind.asks(surface).contains(&Fit), "{}.{surface}", kind.name);
                }
            }
        }
    }

    #[test]
    fn the_reaches_of_a_steerer_are_its_top_its_thread_and_the_rest() {
        let fork = super::super::find("fork").unwrap();
        assert_eq!(fork.reaches("upper"), ["steerer", "upper", "thread"]);
        assert_eq!(fork.reaches("steerer"), ["steerer", "upper", "thread"]);
        assert!(fork.reaches("seat").is_empty());
    }
}
