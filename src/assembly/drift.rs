//! How far two parts can be off centre from each other: by the clearances of what guides them.
//!
//! Every sleeve the rule names is a guide with its clearance; a screwed thread, a pressed seat and a cone in its cone
//! guide without play. Two parts drift at most by the shortest chain of guides between them.
//!
//! Play is told in the parts' own dimensions, so that what a bore has to do with both a seat and the play counts once. How
//! much of it there is depends on the parts in hand; how they lie within it does not. What must hold however they lie is held
//! to all of it; a best case is looked for by the check that asks. Must not know limits.
//!
//! The least of a seat is with all the play there can be; the most is without any, for a seat stays as it was clamped.

use super::build::Build;
use super::report::{Contact, ItemIx};
use crate::quantity::{Ends, Form, Length};

/// Above this many chains between two parts the rest is disregarded, above as many ways for one it counts at its widest: drift
/// may come out more than it can be, never less.
const MOST: usize = 16;

/// A sleeve as a guide: diametral clearances, of which the greatest is its play. Indices of groups of parts without play.
struct Guide {
    groups: [usize; 2],
    play: Vec<Form>,
}

pub struct Drift<'b> {
    dims: &'b [Ends],
    /// By item: which group without play between its parts it belongs to.
    groups: Vec<usize>,
    guides: Vec<Guide>,
}

/// A chain of guides between two parts. The greatest of these is the play it leaves, in diameter.
pub type Chain = Vec<Form>;

/// All that keeps two parts near each other: of its chains the one that leaves least counts. None: nothing centres them.
#[derive(Clone, Debug, Default)]
pub struct Chains {
    pub all: Vec<Chain>,
    /// The play may be less than these say: chains were left out, or a guide has several walls of which one may be narrower.
    pub perhaps_less: bool,
}

impl Chains {
    /// Parts without play between them.
    pub fn no_play() -> Chains {
        Chains { all: vec![vec![Form::zero()]], perhaps_less: false }
    }

    pub fn none(&self) -> bool {
        self.all.is_empty()
    }

    /// No play at all, whatever the parts.
    pub fn fast(&self) -> bool {
        self.all.iter().any(|chain| chain.iter().all(|play| *play == Form::zero()))
    }

    /// The chain that leaves least play where each leaves most.
    pub fn shortest(&self, dims: &[Ends]) -> Option<&Chain> {
        self.all.iter().min_by_key(|chain| widest(chain, dims))
    }

    /// Radial drift at its widest over all parts, rounded up; `None`: nothing centres the one on the other.
    pub fn widest(&self, dims: &[Ends]) -> Option<i64> {
        self.shortest(dims).map(|chain| (widest(chain, dims) + 1).div_euclid(2).max(0))
    }
}

impl<'b> Drift<'b> {
    pub fn of(build: &'b Build<'_>) -> Drift<'b> {
        let groups = (0..build.items.len()).collect();
        let mut drift = Drift { dims: &build.dims, groups, guides: Vec::new() };
        for screw in build.links.screws.iter().filter(|s| s.matches) {
            drift.fasten(screw.male.0, screw.female.0);
        }
        for item in build.all() {
            if let Some(seated) = &build.item(item).seated {
                drift.fasten(item, seated.on.0);
            }
            // What is only inside its host, neither pressed nor screwed in, has the play of its sleeve.
            if let Some(host) = build.host(item).filter(|_| fast(build, item)) {
                drift.fasten(item, host);
            }
            for other in coned(build, item) {
                drift.fasten(item, other);
            }
        }
        for sleeve in &build.links.sleeves {
            let groups = [sleeve.outer.0, sleeve.inner.0].map(|item| drift.groups[item.0 as usize]);
            if groups[0] != groups[1] {
                drift.guides.push(Guide { groups, play: play(&sleeve.clearances, &build.dims) });
            }
        }
        drift
    }

    fn fasten(&mut self, a: ItemIx, b: ItemIx) {
        let (kept, gone) = (self.groups[a.0 as usize], self.groups[b.0 as usize]);
        self.groups.iter_mut().filter(|group| **group == gone).for_each(|group| *group = kept);
    }

    /// What keeps the two near each other.
    pub fn between(&self, a: ItemIx, b: ItemIx) -> Chains {
        let (from, to) = (self.groups[a.0 as usize], self.groups[b.0 as usize]);
        let mut chains = Chains::default();
        self.follow(to, &mut vec![from], &[Form::zero()], &mut chains);
        chains
    }

    /// Goes on from the last of `passed` by every guide that leads to a group not passed yet.
    fn follow(&self, to: usize, passed: &mut Vec<usize>, play: &[Form], chains: &mut Chains) {
        let Some(&at) = passed.last() else { return };
        if at == to {
            chains.all.push(play.to_vec());
            return;
        }
        for guide in &self.guides {
            let next = match guide.groups {
                [one, other] if one == at => other,
                [other, one] if one == at => other,
                _ => continue,
            };
            if passed.contains(&next) {
                continue;
            }
            if chains.all.len() >= MOST {
                chains.perhaps_less = true;
                return;
            }
            chains.perhaps_less |= guide.play.len() > 1;
            let mut ways: Vec<Form> =
                play.iter().flat_map(|so_far| guide.play.iter().map(|more| so_far.plus(more))).collect();
            if ways.len() > MOST {
                let widest = ways.iter().map(|way| way.most(self.dims)).max().unwrap_or(0);
                ways = vec![Form::constant(Length::nm(widest))];
            }
            passed.push(next);
            self.follow(to, passed, &ways, chains);
            passed.pop();
        }
    }
}

fn fast(build: &Build<'_>, item: ItemIx) -> bool {
    let screwed =
        |screw: &super::links::Screwed| screw.matches && [screw.male.0, screw.female.0].contains(&item);
    build.item(item).seated.is_some() || build.links.screws.iter().any(screwed)
}

fn widest(chain: &Chain, dims: &[Ends]) -> i64 {
    chain.iter().map(|play| play.most(dims)).max().unwrap_or(0)
}

/// The clearances that may be the widest; nothing, where it may be that all of them are tight.
fn play(clearances: &[Form], dims: &[Ends]) -> Vec<Form> {
    let surely = clearances.iter().map(|c| c.least(dims)).max().unwrap_or(0);
    let widest = |c: &&Form| c.most(dims) > 0 && c.most(dims) >= surely;
    let mut play: Vec<Form> = clearances.iter().filter(widest).cloned().collect();
    if surely < 0 || play.is_empty() {
        play.push(Form::zero());
    }
    play
}

/// Items that this one sits on by a cone in every case.
fn coned(build: &Build<'_>, item: ItemIx) -> Vec<ItemIx> {
    let cone_touches = |case: &super::case::Case| -> Vec<ItemIx> {
        let stand = &case.stands[item.0 as usize];
        stand.touches.iter().filter(|t| t.contact == Contact::Cone).map(|t| t.item).collect()
    };
    let Some((first, rest)) = build.cases.split_first() else { return Vec::new() };
    let mut found = cone_touches(first);
    found.retain(|i| rest.iter().all(|case| cone_touches(case).contains(i)));
    found
}
